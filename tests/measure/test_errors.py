"""The one family of errors: what, where, remedy, in one sentence each."""

from __future__ import annotations

import pytest

from culmwright.measure.errors import AnswerIsNo, BadInput, CulmwrightError, each_of, together

SENTENCES = [
    (BadInput("this is a folder"), "this is a folder."),
    (BadInput("7 is too many", where="[rod] sides"), "[rod] sides: 7 is too many."),
    (BadInput("7 is too many", remedy="Write 6"), "7 is too many. Write 6."),
    (BadInput("7 is too many", where="[rod] sides", remedy="Write 6"), "[rod] sides: 7 is too many. Write 6."),
]


@pytest.mark.parametrize(("error", "sentence"), SENTENCES)
def test_the_sentence(error, sentence):
    assert str(error) == sentence


def test_seen_from_further_out_the_place_grows_and_the_rest_stays():
    inner = BadInput("7 is too many", where="[rod] sides", remedy="Write 6")
    outer = inner.at("a.toml")
    assert str(outer) == "a.toml, [rod] sides: 7 is too many. Write 6."
    assert type(outer) is BadInput
    assert str(BadInput("there is no such file").at("a.toml")) == "a.toml: there is no such file."
    assert type(AnswerIsNo("no").at("here")) is AnswerIsNo


def test_exit_codes():
    assert BadInput("no").exit_code == 2
    assert AnswerIsNo("no").exit_code == 1
    assert issubclass(BadInput, CulmwrightError)
    assert issubclass(AnswerIsNo, CulmwrightError)


def test_what_is_refused_together_is_said_together():
    def no(where):
        raise BadInput(f"{where} is wrong", where=where, remedy="Mend it")

    together(lambda: 1, lambda: None)
    with pytest.raises(BadInput) as one:
        together(lambda: 1, lambda: no("b"))
    assert type(one.value) is BadInput and each_of(one.value) == (one.value,)
    with pytest.raises(BadInput) as both:
        together(lambda: no("a"), lambda: together(lambda: no("b"), lambda: no("c")), lambda: 1)
    assert [fault.where for fault in each_of(both.value)] == ["a", "b", "c"]
    assert str(both.value) == "a: a is wrong. Mend it."
    assert type(both.value.at("here")) is type(both.value)

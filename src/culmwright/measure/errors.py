"""The one family of errors: what was wrong, where, and the remedy.

Every refusal that reaches a maker is one sentence in three parts, so that it can be printed, shown on
a page or sent as JSON without being taken apart again.
"""

from __future__ import annotations

from collections.abc import Callable


class CulmwrightError(Exception):
    """Anything culmwright refuses or cannot answer, said in words.

    ``what`` is the fault, ``where`` the file, key, argument or place it sits in, ``remedy`` what to do.
    ``exit_code`` is the command's exit status.
    """

    exit_code = 2

    def __init__(self, what: str, *, where: str = "", remedy: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.remedy = remedy

    def __str__(self) -> str:
        head = f"{self.where}: {self.what}" if self.where else self.what
        sentence = f"{head}. {self.remedy}." if self.remedy else f"{head}."
        return "".join(character if character.isprintable() else " " for character in sentence)

    def at(self, where: str) -> CulmwrightError:
        """The same error seen from further out: ``where`` is put before the place it already names."""
        place = f"{where}, {self.where}" if self.where else where
        return type(self)(self.what, where=place, remedy=self.remedy)


class BadInput(CulmwrightError):
    """Something typed, written or asked for that cannot be used. Exit code 2."""


class NotThere(BadInput):
    """A file that was named is not there."""


class AnswerIsNo(CulmwrightError):
    """The question was understood and the answer is no, or there is none. Exit code 1."""

    exit_code = 1


class Several(BadInput):
    """More than one thing that cannot be used, ``each`` of them; said in one sentence it is the first."""

    def __init__(self, what: str, *, where: str = "", remedy: str = "", each: tuple[CulmwrightError, ...] = ()) -> None:
        super().__init__(what, where=where, remedy=remedy)
        self.each = each


def each_of(fault: CulmwrightError) -> tuple[CulmwrightError, ...]:
    """Everything a refusal refuses, one by one."""
    return fault.each if isinstance(fault, Several) and fault.each else (fault,)


def together(*asked: Callable[[], object]) -> None:
    """Ask all of ``asked``, and refuse at once whatever any of them refuses."""
    faults: list[CulmwrightError] = []
    for one in asked:
        try:
            one()
        except BadInput as fault:
            faults += each_of(fault)
    if len(faults) == 1:
        raise faults[0]
    if faults:
        first = faults[0]
        raise Several(first.what, where=first.where, remedy=first.remedy, each=tuple(faults))

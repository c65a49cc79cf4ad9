"""``modulus``: bend tests of a rod or of its cane, kept in the shop, and the modulus they give.

Kept as dockets of the kind below, as typed; the modulus is worked out anew each time, from the rod as it stands then.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from math import sqrt
from typing import Any, NamedTuple

from culmwright.design.rod import Rod, Stated
from culmwright.ledger.dockets import Docket, docket_log, dockets, keep_docket, withdraw_docket
from culmwright.ledger.frozen import rods
from culmwright.ledger.register import culms, strips
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.reckoning import MEASURED
from culmwright.measure.record import si
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.proof.built import Built
from culmwright.proof.drops import from_drops
from culmwright.proof.modulus import Measured, from_rate, over_culms, together
from culmwright.proof.modulus import Shop as OverCulms
from culmwright.proof.response import response_of
from culmwright.proof.sections_doubt import SectionsDoubt, sections_doubt
from culmwright.proof.strips_told import StripCane, cane_of_strips, level_of
from culmwright.proof.unlike import strips_of_culm
from culmwright.workshop.bars import Bar as Bar
from culmwright.workshop.bars import Held as Held
from culmwright.workshop.bars import Told, bar_measured, drops_read, strip_of, told_bar
from culmwright.workshop.noting import must_be_there
from culmwright.workshop.opening import Begun
from culmwright.workshop.strip_tests import Tried, by_level, culm_of, short_of, strips_unlike, torn, torn_strips

KIND = "bend test"
"""The kind of its dockets."""
COUNTED = 0.5
"""How well a count of swings catches its end [swings], even between limits (own choice)."""


@dataclass(frozen=True, slots=True)
class Modulus:
    """The modulus of a rod's cane as measured: ``value`` with its ``spread`` [Pa], and each of the ``tests`` behind it.

    The two are None where the tests are a ``contradiction``, in words. ``drawn`` is what the rod file takes;
    ``numbers`` are what the tests are called by, ``1`` or ``1 of R2`` for one of another rod; ``shop`` the cane of
    all measured culms, None below three. ``strips`` the cane of each of the rod's strips, where tests of them tell;
    how tests of strips, bars and the rod come together is told in ``workshop/strip_tests.py``.
    """

    code: str
    value: float | None = si("Pa")
    spread: float | None = si("Pa")
    drawn: float = si("Pa")
    source: str = ""
    tests: tuple[Measured, ...] = ()
    numbers: tuple[str, ...] = ()
    contradiction: str = ""
    notes: tuple[str, ...] = ()
    shop: OverCulms | None = None
    strips: tuple[StripCane, ...] = ()


def told_drops(drops: Sequence[tuple[str, str]], reading: str, tip: int = 1, bar: Bar | None = None) -> Told:
    """``drops``, (weight, drop below rest) as typed, read to ``reading``: of the finished rod or a ``bar``."""
    text: dict[str, Any] = {"of": "drop", "drops": [list(one) for one in drops], "reading": reading, "tip": tip}
    return text if bar is None else text | told_bar(bar)


def told_rate(swings: int, seconds: float, tip: int = 1) -> Told:
    """A count of ``swings`` in ``seconds`` [s] of the finished rod, held in a vice and plucked."""
    if swings < 1 or not seconds > 0:
        raise BadInput("a count has swings and seconds", remedy="Count 30 swings and stop the clock, say 30 in 18.4 s")
    return {"of": "rate", "swings": swings, "seconds": seconds, "tip": tip}


def keep_drops(
    shop: Shop,
    begun: Begun,
    drops: Sequence[tuple[str, str]],
    reading: str,
    tip: int = 1,
    bar: Bar | None = None,
    at: datetime | None = None,
    id: str | None = None,
) -> Docket:
    """Keep ``drops``, (weight, drop below rest) as typed, read to ``reading``: of the finished rod or a ``bar``."""
    return keep_test(shop, begun, told_drops(drops, reading, tip, bar), at, id)


def keep_rate(
    shop: Shop,
    begun: Begun,
    swings: int,
    seconds: float,
    tip: int = 1,
    at: datetime | None = None,
    id: str | None = None,
) -> Docket:
    """Keep a count of ``swings`` in ``seconds`` [s] of the finished rod, held in a vice and plucked."""
    return keep_test(shop, begun, told_rate(swings, seconds, tip), at, id)


def check_test(shop: Shop, begun: Begun, told: Told) -> None:
    """Refuse a bend test that cannot be worked out, or is of a culm the shop does not have."""
    culm = told.get("culm")
    labels = [one.label for one in culms(shop)]
    if culm is not None and culm not in labels:
        named = ", ".join(labels) or "none"
        raise BadInput(f"this shop has no culm {culm}", where="--culm", remedy=f"Its culms: {named}")
    strip = strip_of(told)
    if strip is not None:
        must_be_there(begun.rod, *strip)
        if culm is not None:
            raise BadInput(
                "a strip of the rod is of the rod's culm", where="--culm", remedy="Name the strip or a culm, not both"
            )
        if "height" not in told["section"]:
            raise BadInput("a strip is bent as a strip", where="--of", remedy="Give its height and apex angle")
    _measured(begun, told, {})


def keep_test(shop: Shop, begun: Begun, told: Told, at: datetime | None = None, id: str | None = None) -> Docket:
    """Keep a bend test as ``told``; what cannot be worked out is not kept."""
    check_test(shop, begun, told)
    known = {one.label: one.id for one in culms(shop)}
    culm, strip = told.get("culm"), strip_of(told)
    own = culm_of(shop, begun, strip) if strip else None
    return keep_docket(
        shop,
        KIND,
        json.dumps(told),
        id=id,
        rod=begun.revision.rod,
        section=strip[0] if strip else None,
        strip=strip[1] if strip else None,
        culm=known.get(str(culm)) if culm else own or _culm_of(shop, begun),
        at=at,
    )


def take_back(shop: Shop, begun: Begun, number: int, why: str, id: str | None = None) -> None:
    """Take a bend test of a rod back by its ``number``."""
    seqs = {at: seq for seq, at in _numbers(shop, begun.revision.rod).items()}
    numbers = own_tests(shop, begun)
    if number not in numbers:
        named = ", ".join(map(str, numbers))
        raise BadInput(
            f"there is no bend test {number} of {begun.code}",
            remedy=f"Nothing was taken back; its tests are {named}" if named else "Nothing was taken back",
        )
    withdraw_docket(shop, seqs[number], why, id=id)


def _numbers(shop: Shop, rod: int) -> dict[int, int]:
    """The number of each bend test ever kept of a ``rod``, 1, 2, … in the order kept, by its place in the ledger."""
    kept = [one.docket.seq for one in docket_log(shop, rod) if one.docket.kind == KIND and not one.undoes]
    return {seq: number for number, seq in enumerate(kept, 1)}


def own_tests(shop: Shop, begun: Begun) -> dict[int, Docket]:
    """The bend tests kept of a rod itself that stand, by number; one taken back keeps its own."""
    numbers = _numbers(shop, begun.revision.rod)
    return {numbers[one.seq]: one for one in dockets(shop, KIND, rod=begun.revision.rod)}


def _called(shop: Shop, begun: Begun, kept: Sequence[Docket]) -> list[str]:
    """What tests are called by: ``1``, or ``1 of R2`` for one of another rod."""
    numbers = {rod: _numbers(shop, rod) for rod in {one.rod for one in kept} if rod is not None}
    others = {one.rod: f" of {one.code}" for one in rods(shop) if one.rod != begun.revision.rod}
    return [f"{numbers[one.rod or 0][one.seq]}{others.get(one.rod or 0, '')}" for one in kept]


def _culm_of(shop: Shop, begun: Begun) -> int | None:
    """The culm all of a rod's strips came from, None where there are several or none is known."""
    found = {one.culm for one in strips(shop, begun.revision.rod)}
    return found.pop() if len(found) == 1 else None


def kept_tests(shop: Shop, begun: Begun) -> tuple[Docket, ...]:
    """The dockets of every bend test of a rod, then of bars of its culm; a bar of another culm says nothing of it."""
    culm = _culm_of(shop, begun)
    own = [
        one
        for one in dockets(shop, KIND, rod=begun.revision.rod)
        if one.culm == culm or json.loads(one.text).get("culm") is None
    ]
    beside = dockets(shop, KIND, culm=culm) if culm is not None else ()
    return (*own, *(one for one in beside if one not in own and json.loads(one.text)["of"] == "bar"))


def tried(shop: Shop, begun: Begun, *built: Built) -> tuple[Tried, ...]:
    """The kept tests worked out, each through the rod as ``built`` with the tip tested, where that was read."""
    kept = [(one, json.loads(one.text)) for one in kept_tests(shop, begun)]
    tips = {told["tip"] for _, told in kept if told["of"] != "bar"}
    read = {one.tip: _as_built(one) for one in built if one.tip in tips}
    numbers = _called(shop, begun, [docket for docket, _ in kept])
    return tuple(_tried(begun, docket, number, read) for (docket, _), number in zip(kept, numbers, strict=True))


def tried_strips(shop: Shop, begun: Begun) -> tuple[Tried, ...]:
    """The kept tests of single strips of the rod worked out; these do not hang on how it was built."""
    every = [one for one in kept_tests(shop, begun) if one.strip is not None and one.rod == begun.revision.rod]
    return tuple(_tried(begun, one, at, {}) for one, at in zip(every, _called(shop, begun, every), strict=True))


def _tried(begun: Begun, docket: Docket, number: str, read: Mapping[int, _Read]) -> Tried:
    try:
        return Tried(docket, number, _measured(begun, json.loads(docket.text), read))
    except (BadInput, AnswerIsNo) as fault:
        return Tried(docket, number, None, fault.what)


def left_out(tests: Sequence[Tried]) -> tuple[str, ...]:
    """Words for the tests that cannot be worked any more."""
    return tuple(
        f"bend test {one.number} cannot be worked and is left out: {one.fault}; take it back"
        for one in tests
        if one.measured is None
    )


def modulus_of(shop: Shop, begun: Begun, *built: Built) -> Stated | None:
    """The modulus of a rod's cane as measured in the shop, ready to stand in a ``Cane``; None where it was not, or
    where its tests contradict one another.
    """
    return cane_of(shop, begun, *built).modulus


class CaneTold(NamedTuple):
    """The ``modulus`` of a rod's cane as measured; None without tests, or where they are a ``contradiction``."""

    modulus: Stated | None
    contradiction: str = ""
    notes: tuple[str, ...] = ()


def cane_of(shop: Shop, begun: Begun, *built: Built) -> CaneTold:
    """What the bend tests of a rod say of its cane for a proof, with notes on what cannot be used of them."""
    every = tried(shop, begun, *built)
    found, notes = by_level(shop, begun, every), (*left_out(every), *torn_strips(begun, every))
    if not found:
        return CaneTold(None, "", notes)
    if words := torn(found, every, begun.rod.display, read=bool(built)):
        return CaneTold(None, words, (*notes, _torn_said(words)))
    one = together(found)
    return CaneTold(Stated(one.value, f"{MEASURED}: {one.how}", one.spread), "", notes)


def _torn_said(words: str) -> str:
    return (
        f"the bend tests contradict one another: {words}; one of them, or the rod as it is taken to be, is not right: "
        "no stiffness is told from them until one is taken back"
    )


def modulus(shop: Shop, begun: Begun, *built: Built) -> Modulus:
    """What the bend tests of a rod say of its cane. Raises :class:`AnswerIsNo` where there are none."""
    every = tried(shop, begun, *built)
    good = [(one.number, one.measured) for one in every if one.measured is not None]
    out = left_out(every)
    if not good:
        raise AnswerIsNo(
            "; ".join(("no bend test of this rod or its cane is kept that can be worked", *out))
            if out
            else "no bend test of this rod or its cane is kept",
            where=begun.code,
            remedy=f'Hang known weights: culmwright modulus {begun.code} --drop "1 oz = 3 in" --drop "2 oz = 6 in"',
        )
    tests = tuple(one for _, one in good)
    strips, sections = strips_unlike(shop, begun, every), [one.name for one in begun.rod.sections()]
    level, drawn = by_level(shop, begun, every), begun.rod.cane.modulus
    words = torn(level, every, begun.rod.display, read=bool(built))
    one = together(level, begun.rod.display)
    said = [_torn_said(words)] if words else one.notes
    notes = [*said, *out, *torn_strips(begun, every), *short_of(shop, begun, every)]
    doubt = sqrt(one.spread**2 + (drawn.spread or 0.0) ** 2)
    if not words and abs(one.value - drawn.value) > 2 * doubt:
        notes.append(
            "it lies farther from what the rod file takes than both leave in doubt: look to the tests, or the file"
        )
    if not built:
        notes.append(
            "the rod is taken as drawn: its finished strips are not read, so what its section adds is not counted"
        )
    of_strips = level_of(strips) if words and strips is not None else Stated(one.value, "", one.spread)
    return Modulus(
        begun.code,
        None if words else one.value,
        None if words else one.spread,
        drawn.value,
        f"{MEASURED}: {one.how}",
        tests,
        tuple(number for number, _ in good),
        words,
        tuple(notes),
        of_shop(shop),
        () if strips is None else cane_of_strips(strips, of_strips, sections),
    )


def of_shop(shop: Shop) -> OverCulms | None:
    """The cane of the shop over its measured culms, by bars; None below three."""
    by_culm: dict[int, list[Measured]] = {}
    strips: dict[int, list[Measured]] = {}
    for docket in dockets(shop, KIND):
        told = json.loads(docket.text)
        if docket.culm is not None and told["of"] == "bar":
            with suppress(BadInput, AnswerIsNo):  # one that cannot be worked says nothing
                measured = bar_measured(told)
                (by_culm if strip_of(told) is None else strips).setdefault(docket.culm, []).append(measured)
    for culm, some in strips.items():
        by_culm.setdefault(culm, []).append(strips_of_culm(some))
    try:
        return over_culms([together(one) for one in by_culm.values()])
    except AnswerIsNo:
        return None


class _Read(NamedTuple):
    """A rod that was read: what its ``sections`` leave in doubt, and what that is of the modulus a rate gives [-]."""

    sections: SectionsDoubt
    of_rate: float


def _as_built(built: Built) -> _Read:
    sections = sections_doubt(built)
    return _Read(sections, sections.of_rate(response_of(sections.beam, sections.ends, sections.three, 0.25, 0.25)))


def _measured(begun: Begun, told: Told, read: Mapping[int, _Read]) -> Measured:
    """A test worked out, through the rod as ``read``, by tip, or as drawn."""
    if told["of"] == "bar":
        return bar_measured(told, begun.rod.cane.grading)
    E, tip = begun.rod.cane.modulus.value, told["tip"]
    own = read.get(tip)
    beam = own.sections.beam if own else rod_beam(begun.rod, tip)
    if told["of"] == "rate":
        rate = told["swings"] / told["seconds"]
        spread = rate * COUNTED / sqrt(3) / told["swings"]
        return from_rate(beam, E, rate, spread, shape_share=own.of_rate if own else 0.0, of=f"rod, tip {tip}")
    loads, drops, reading = drops_read(told)
    sections = own.sections if own else None
    return from_drops(beam, E, loads, drops, reading=reading, sections=sections, of=f"rod, tip {tip}")


def as_measured(shop: Shop, begun: Begun, *built: Built) -> Rod:
    """The drawn rod with the modulus measured in the shop, for every verb downstream; as drawn where there is none."""
    found = modulus_of(shop, begun, *built)
    return begun.rod if found is None else replace(begun.rod, cane=replace(begun.rod.cane, modulus=found))

"""``modulus``: bend tests of a rod or of its cane, kept in the shop, and the modulus they give.

Kept as dockets of the kind below, as typed; the modulus is worked out anew each time, from the rod as it stands then.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from math import sqrt, tan
from typing import Any

from culmwright.design.polygon import apothem, second_moment
from culmwright.design.rod import Rod, Stated
from culmwright.ledger.dockets import Docket, dockets, keep_docket, withdraw_docket
from culmwright.ledger.register import culms, strips
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.measure.reckoning import MEASURED
from culmwright.measure.record import si
from culmwright.mechanics.beam import Beam
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.proof.built import Built
from culmwright.proof.modulus import Held as Held
from culmwright.proof.modulus import Measured, from_bar, from_drops, from_rate, over_culms, together
from culmwright.proof.modulus import Shop as OverCulms
from culmwright.proof.response import response_of
from culmwright.workshop.opening import Begun

KIND = "bend test"
"""The kind of its dockets."""
COUNTED = 0.5
"""How well a count of swings catches its end [swings], even between limits (own choice)."""


@dataclass(frozen=True, slots=True)
class Modulus:
    """The modulus of a rod's cane as measured: ``value`` with its ``spread`` [Pa], and each of the ``tests`` behind it.

    ``drawn`` is what the rod file takes; ``numbers`` are those of the tests, to take one back by; ``shop`` the cane of
    all measured culms, None below three.
    """

    code: str
    value: float = si("Pa")
    spread: float = si("Pa")
    drawn: float = si("Pa")
    source: str = ""
    tests: tuple[Measured, ...] = ()
    numbers: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()
    shop: OverCulms | None = None


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar as typed: its ``span``, its ``section`` (width and depth, or height and apex of a strip, or across and
    sides), how it is ``held``, and the label of its ``culm`` if that is not the rod's own.
    """

    span: str
    section: Mapping[str, str]
    held: Held
    culm: str | None = None


@dataclass(frozen=True, slots=True)
class Tried:
    """A kept bend test: its ``docket`` and what was ``measured``, or None and the ``fault`` that it cannot be worked
    any more.
    """

    docket: Docket
    measured: Measured | None
    fault: str = ""


Told = Mapping[str, Any]
"""A bend test as typed."""


def told_drops(drops: Sequence[tuple[str, str]], reading: str, tip: int = 1, bar: Bar | None = None) -> Told:
    """``drops``, (weight, drop below rest) as typed, read to ``reading``: of the finished rod or a ``bar``."""
    text: dict[str, Any] = {"of": "drop", "drops": [list(one) for one in drops], "reading": reading, "tip": tip}
    if bar is not None:
        text |= {"of": "bar", "span": bar.span, "section": dict(bar.section), "held": bar.held.name, "culm": bar.culm}
    return text


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
    _measured(begun, told, {})


def keep_test(shop: Shop, begun: Begun, told: Told, at: datetime | None = None, id: str | None = None) -> Docket:
    """Keep a bend test as ``told``; what cannot be worked out is not kept."""
    check_test(shop, begun, told)
    known = {one.label: one.id for one in culms(shop)}
    culm = told.get("culm")
    return keep_docket(
        shop,
        KIND,
        json.dumps(told),
        id=id,
        rod=begun.revision.rod,
        culm=known.get(str(culm)) if culm else _culm_of(shop, begun),
        at=at,
    )


def take_back(shop: Shop, begun: Begun, number: int, why: str, id: str | None = None) -> None:
    """Take a bend test of a rod or its cane back by its ``number``."""
    numbers = [one.seq for one in kept_tests(shop, begun)]
    if number not in numbers:
        named = ", ".join(map(str, numbers))
        raise BadInput(
            f"there is no bend test {number} of {begun.code}",
            remedy=f"Nothing was taken back; its tests are {named}" if named else "Nothing was taken back",
        )
    withdraw_docket(shop, number, why, id=id)


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
    found = []
    for docket, told in kept:
        try:
            found.append(Tried(docket, _measured(begun, told, read)))
        except (BadInput, AnswerIsNo) as fault:
            found.append(Tried(docket, None, fault.what))
    return tuple(found)


def tests_of(shop: Shop, begun: Begun, *built: Built) -> tuple[Measured, ...]:
    """What the kept tests measured; those that cannot be worked any more are left out."""
    return tuple(one.measured for one in tried(shop, begun, *built) if one.measured is not None)


def left_out(tests: Sequence[Tried]) -> tuple[str, ...]:
    """Words for the tests that cannot be worked any more."""
    return tuple(
        f"bend test {one.docket.seq} cannot be worked and is left out: {one.fault}; take it back"
        for one in tests
        if one.measured is None
    )


def modulus_of(shop: Shop, begun: Begun, *built: Built) -> Stated | None:
    """The modulus of a rod's cane as measured in the shop, ready to stand in a ``Cane``; None where it was not."""
    found = tests_of(shop, begun, *built)
    if not found:
        return None
    one = together(found)
    return Stated(one.value, f"{MEASURED}: {one.how}", one.spread)


def modulus(shop: Shop, begun: Begun, *built: Built) -> Modulus:
    """What the bend tests of a rod say of its cane. Raises :class:`AnswerIsNo` where there are none."""
    every = tried(shop, begun, *built)
    good = [(one.docket.seq, one.measured) for one in every if one.measured is not None]
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
    one, drawn = together(tests), begun.rod.cane.modulus
    notes = [*one.notes, *out]
    doubt = sqrt(one.spread**2 + (drawn.spread or 0.0) ** 2)
    if abs(one.value - drawn.value) > 2 * doubt:
        notes.append(
            "it lies farther from what the rod file takes than both leave in doubt: look to the tests, or the file"
        )
    if not built:
        notes.append(
            "the rod is taken as drawn: its finished strips are not read, so what its section adds is not counted"
        )
    return Modulus(
        begun.code,
        one.value,
        one.spread,
        drawn.value,
        f"{MEASURED}: {one.how}",
        tests,
        tuple(number for number, _ in good),
        tuple(notes),
        of_shop(shop),
    )


def of_shop(shop: Shop) -> OverCulms | None:
    """The cane of the shop over its measured culms, by bars; None below three."""
    by_culm: dict[int, list[Measured]] = {}
    for docket in dockets(shop, KIND):
        told = json.loads(docket.text)
        if docket.culm is not None and told["of"] == "bar":
            with suppress(BadInput, AnswerIsNo):  # one that cannot be worked says nothing
                measured = _bar(told)
                by_culm.setdefault(docket.culm, []).append(measured)
    try:
        return over_culms([together(one) for one in by_culm.values()])
    except AnswerIsNo:
        return None


def _as_built(built: Built) -> tuple[Beam, float]:
    """The beam of the rod as built, and what its section leaves in doubt of a drop's stiffness [-]."""
    import numpy as np

    from culmwright.proof.as_built import even_face, hats, rod_as_built

    beam = rod_beam(rod_as_built(built), built.tip)
    ends, three = hats(built, beam)
    answer = response_of(beam, ends, three, 0.25, 0.25)
    shares = np.repeat(answer.swing_shares() / built.faces.shape[1], built.faces.shape[1])
    slopes = 4 * shares / np.repeat(even_face(built.faces), built.faces.shape[1])
    covariance = built.covariance + np.diag(np.repeat(built.uneven, built.faces.shape[1]) ** 2)
    return beam, float(np.sqrt(slopes @ covariance @ slopes))


def _measured(begun: Begun, told: Told, read: Mapping[int, tuple[Beam, float]]) -> Measured:
    """A test worked out, through the rod as ``read`` (by tip: beam, doubt of its section) or as drawn."""
    if told["of"] == "bar":
        return _bar(told)
    E, tip = begun.rod.cane.modulus.value, told["tip"]
    beam, share = read[tip] if tip in read else (rod_beam(begun.rod, tip), 0.0)
    if told["of"] == "rate":
        rate = told["swings"] / told["seconds"]
        spread = rate * COUNTED / sqrt(3) / told["swings"]
        return from_rate(beam, E, rate, spread, shape_share=share, of=f"rod, tip {tip}")
    loads, drops, reading = _read(told)
    return from_drops(beam, E, loads, drops, reading=reading, shape_share=share, of=f"rod, tip {tip}")


def _read(told: Told) -> tuple[list[float], list[float], float]:
    """Loads [N], drops [m], and the standard uncertainty of a drop [m] read to the fineness told."""
    loads = [parse_quantity(weight, Kind.LOAD) for weight, _ in told["drops"]]
    drops = [Length.parse(drop).m for _, drop in told["drops"]]
    return loads, drops, Length.parse(told["reading"]).m / sqrt(12)


def _bar(told: Told) -> Measured:
    loads, drops, reading = _read(told)
    inertia, share = _inertia(told["section"])
    return from_bar(
        Length.parse(told["span"]).m,
        inertia,
        loads,
        drops,
        Held[told["held"]],
        reading=reading,
        inertia_share=share,
        span_doubt=SPAN_DOUBT,
        of=_bar_words(told["section"]),
    )


SPAN_DOUBT = 0.5e-3
"""How well a span is measured with a rule [m], a standard deviation (own choice)."""
SIZE_DOUBT = 1.2e-5
"""How well a bar's section is measured with a caliper [m]: even within its limit of 20 µm (DIN 862)."""


def _bar_words(section: Mapping[str, str]) -> str:
    """A bar in words, as typed: ``strip 0.2 in high, 60 deg``."""
    if "width" in section:
        return f"bar {section['width']} wide, {section['depth']} deep"
    if "height" in section:
        return f"strip {section['height']} high, {section['apex']}"
    return f"bar of {section['sides']} sides, {section['across']} across"


def _size(section: Mapping[str, str], name: str) -> float:
    """A size of a bar [m], refused unless it is above zero."""
    size = Length.parse(section[name]).m
    if size <= 0:
        raise BadInput(f'"{section[name]}" is no {name} of a bar', remedy="Give it as measured, above zero")
    return size


def _inertia(section: Mapping[str, str]) -> tuple[float, float]:
    """Second moment [m^4] of a bar's section and its relative doubt [-].

    Rectangle ``w d^3/12``; a strip lying on its enamel ``w h^3/36``, ``w = 2 h tan(alpha/2)``; a regular section.
    """
    if "width" in section:
        width, depth = (_size(section, name) for name in ("width", "depth"))
        return width * depth**3 / 12, sqrt((SIZE_DOUBT / width) ** 2 + (3 * SIZE_DOUBT / depth) ** 2)
    if "height" in section:
        height, apex = _size(section, "height"), parse_quantity(section["apex"], Kind.ANGLE)
        return 2 * height * tan(apex / 2) * height**3 / 36, 4 * SIZE_DOUBT / height
    across, sides = _size(section, "across"), int(section["sides"])
    return second_moment(sides, apothem(sides, across)), 4 * SIZE_DOUBT / across


def as_measured(shop: Shop, begun: Begun, *built: Built) -> Rod:
    """The drawn rod with the modulus measured in the shop, for every verb downstream; as drawn where there is none."""
    found = modulus_of(shop, begun, *built)
    return begun.rod if found is None else replace(begun.rod, cane=replace(begun.rod.cane, modulus=found))

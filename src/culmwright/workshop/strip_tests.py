"""The bend tests of a rod's own strips, and the rule by which tests of strips, bars and the rod make one modulus.

*The rule.* A rod's modulus is the level of its cane: weights hung on the rod and swings counted measure it as one
number for the whole. Strips bent by themselves measure two things, and each is used for its own: how strips differ
(``proof/unlike.py``), which goes into the section as built, and their mean over all places of the rod's rings, which is
*one* measurement of the level, whatever the number of strips. It is put together with the rod's own tests, each by its
doubt. The rod's tests are worked out through the section as built, so through strips that differ as tested: what they
add is the level alone. Where strips tested do not tell how strips differ, fewer than two of any section, and for bars
of no named strip, a test is a bar's like any other. Named strips of other rods of the same culm are together one
measurement of that culm's cane; so are bars of it that differ by more than measuring does.

*Contradictions.* Where what is left measures one number and is farther apart than chance makes once in a thousand, one
of the tests is wrong and no figure says which: the rod has no measured modulus then, until one is taken back. The same
strip bent twice with such a difference counts as not bent.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot

from culmwright.ledger.dockets import Docket
from culmwright.ledger.register import strips
from culmwright.ledger.shop import Shop
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.spot import Spot
from culmwright.proof.modulus import Measured, contradiction, together
from culmwright.proof.unlike import Strip, Unlike, strips_of_culm, unlike
from culmwright.workshop.bars import strip_of
from culmwright.workshop.matching import order_of
from culmwright.workshop.noting import must_be_there
from culmwright.workshop.opening import Begun

UNREAD = 0.05
"""What a section that was not read leaves in doubt of what one test of the rod gives [-]: a thou on every face sets
drop and rate of a fine rod 4 % apart (own choice)."""


@dataclass(frozen=True, slots=True)
class Tried:
    """A kept bend test: its ``docket``, the ``number`` it is called by, and what was ``measured``, or None and the
    ``fault`` that it cannot be worked any more.
    """

    docket: Docket
    number: str
    measured: Measured | None
    fault: str = ""

    @property
    def strip(self) -> Strip | None:
        """The strip it is of, section and number."""
        return strip_of(json.loads(self.docket.text))


def strip_named(begun: Begun, text: str) -> Strip:
    """The strip of a rod that ``text`` names, such as T1/S3. Raises :class:`BadInput` for one the rod does not have."""
    try:
        spot = Spot.parse(text)
    except BadInput:
        spot = Spot("")
    if spot.strip is None or not spot.section or spot.station or spot.quantity or spot.rod not in ("", begun.code):
        raise BadInput(
            f'"{text[:40]}" names no strip of {begun.code}', where="--of", remedy="Write section and strip, like T1/S3"
        )
    must_be_there(begun.rod, spot.section, spot.strip)
    return spot.section, spot.strip


def culm_of(shop: Shop, begun: Begun, strip: Strip) -> int | None:
    """The culm one of a rod's strips came from, None where that is not known."""
    known = strips(shop, begun.revision.rod)
    return next((one.culm for one in known if (one.section, one.number) == strip), None)


def strips_unlike(shop: Shop, begun: Begun, tests: Sequence[Tried]) -> Unlike | None:
    """How the cane of a rod's strips differs, as its ``tests`` have it; None where they do not tell."""
    found = {strip: some for strip, some in _by_strip(begun, tests).items() if contradiction(some) is None}
    rings = {section.name: order_of(shop, begun, section.name) for section in begun.rod.sections()}
    return unlike(found, rings)


def _by_strip(begun: Begun, tests: Sequence[Tried]) -> dict[Strip, list[Measured]]:
    """What was measured of each strip of the rod that was bent by itself."""
    found: dict[Strip, list[Measured]] = {}
    for one in tests:
        strip = one.strip
        if strip is not None and one.measured is not None and one.docket.rod == begun.revision.rod:
            found.setdefault(strip, []).append(replace(one.measured, how=f"bend test {one.number}"))
    return found


def by_level(shop: Shop, begun: Begun, tests: Sequence[Tried]) -> tuple[Measured, ...]:
    """The measurements of the level of a rod's cane [Pa] that its ``tests`` are, by the rule above."""
    found = strips_unlike(shop, begun, tests)
    spoilt = {strip for strip, some in _by_strip(begun, tests).items() if contradiction(some) is not None}
    singles, bars, elsewhere, out = list[Measured](), list[Measured](), list[Measured](), list[Measured]()
    for one in tests:
        if one.measured is None:
            continue
        ours = one.docket.rod == begun.revision.rod
        if one.strip is None and json.loads(one.docket.text)["of"] == "bar":
            bars.append(one.measured)
        elif ours and one.strip in spoilt:
            out.append(one.measured)
        elif one.strip is None or (ours and found is None):
            singles.append(one.measured)
        elif not ours:
            elsewhere.append(one.measured)
    singles += _of_bars(bars)
    if found is not None:
        singles.append(found.level)
    if elsewhere:
        singles.append(replace(strips_of_culm(elsewhere), of="strips of its culm tested elsewhere"))
    return tuple(singles or out)


def _of_bars(bars: Sequence[Measured]) -> tuple[Measured, ...]:
    """Bars as measurements of their culm's cane: one, where its pieces differ by more than measuring them does."""
    pieces: dict[str, list[Measured]] = {}
    for one in bars:
        pieces.setdefault(one.of, []).append(one)
    if len(pieces) < 2 or any(contradiction(some) for some in pieces.values()):
        return tuple(bars)
    each = [together(some) for some in pieces.values()]
    return tuple(bars) if contradiction(each) is None else (replace(strips_of_culm(each), of="bars of its culm"),)


def torn(level: Sequence[Measured], tests: Sequence[Tried], show: Display, *, read: bool) -> str:
    """How measurements of one ``level`` contradict one another, with the numbers of the ``tests``; "" where they agree.

    A level they do not tell is no figure: no mean of two that cannot both be right is nearer than either. Drop and rate
    of a rod whose strips were not ``read`` may differ for its section's sake.
    """
    of_rod = [one.measured for one in tests if json.loads(one.docket.text)["of"] != "bar"]
    loose = [
        replace(one, spread=hypot(one.spread, UNREAD * one.value)) if not read and one in of_rod else one
        for one in level
    ]
    apart = contradiction(loose)
    if apart is None:
        return ""
    return " against ".join(_named(level[loose.index(one)], tests, show) for one in apart)


def _named(one: Measured, tests: Sequence[Tried], show: Display) -> str:
    number = next((f", test {each.number}" for each in tests if each.measured is one), "")
    return f"{show.modulus(one.value)} by {one.how}{number}"


def torn_strips(begun: Begun, tests: Sequence[Tried]) -> tuple[str, ...]:
    """The strips of a rod whose own tests contradict one another, each in a sentence without its stop."""
    show = begun.rod.display
    return tuple(
        f"{section}/S{number} counts as not bent: its tests contradict one another "
        f"({' against '.join(f'{show.modulus(one.value)} by {one.how}' for one in apart)}); take one back"
        for (section, number), some in _by_strip(begun, tests).items()
        if (apart := contradiction(some)) is not None
    )


def short_of(shop: Shop, begun: Begun, tests: Sequence[Tried]) -> tuple[str, ...]:
    """What strips tested do not tell, where they are too few."""
    ours = [one for one in tests if one.strip and one.measured and one.docket.rod == begun.revision.rod]
    if not ours or strips_unlike(shop, begun, tests) is not None:
        return ()
    return (
        "one strip of a section does not tell how strips differ: its test counts as a bar's; bend two of it or more",
    )

"""What is said of a culm and its strips: one wording for terminal, page and printed sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from culmwright.bench.culm_yield import Reach, WallCheck
from culmwright.measure.display import Display, Format


def rule(show: Display) -> Format:
    """Places a rule finds: hundredths of an inch, tenths of a millimetre."""
    return show.ruled


SERVES = (
    "Which length serves which section is a rule of this program: the widest strips are found first. The butt and a "
    "middle take the first length from the butt end that holds all their strips and spares, a tip the last one that "
    "does. Where none does, spares are left out; then several lengths share. A length kept for a section gives to no "
    "other."
)


def walls_said(walls: Iterable[WallCheck], show: Display) -> Iterator[str]:
    """What the strips reach into, a sentence a culm length."""
    for one in walls:
        if one.reach is None:
            continue
        if one.reach is Reach.SOUND:
            yield f"Strips of {one.section} out of {one.length} lie {one.reach.value} all along."
        else:
            yield (
                f"Strips of {one.section} out of {one.length} reach {one.reach.value} at station "
                f"{show.station(one.station)}: {show.height(one.height)} high, the wall {show.height(one.wall or 0.0)}."
            )

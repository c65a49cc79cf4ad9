"""What to turn when strips read over or under, with the settings otherwise right."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.record import si
from culmwright.rigs.rig import new_stop, shallower
from culmwright.rigs.setting_records import Settings

THOU = 25.4e-6
MOST_OVER = 50 * THOU
"""Strips that read farther off than this [m] are not put right by a correction: the setting is wrong, or the unit."""

SPARE = 1e-8
"""Rounding of an opening [m]."""


@dataclass(frozen=True, slots=True)
class Correction:
    """Strips read ``over`` their target, under below zero: on a form every screw goes by ``turn`` and the groove by
    ``depth``, deeper above zero; on a bed the ``stop`` comes to stand anew, ``dial`` says how in its own words.
    """

    over: float = si("m")
    depth: float | None = si("m")
    turn: float | None = si("-")
    stop: float | None = si("m")
    dial: str = si("")


def correction(found: Settings, over: float) -> Correction:
    """What takes ``over`` [m] off strips: the groove ``over h_f/h`` shallower, or the stop lower by it.

    Raises :class:`AnswerIsNo` where a screw does not go so far.
    """
    if abs(over) > MOST_OVER:
        raise BadInput(
            f"no strip reads so far off: {over / THOU:.4g} thou",
            where="--over",
            remedy="Give how much it reads over its target, with its unit",
        )
    if found.stop is None:
        deeper = -shallower(over, 0.0, found.form.flank_altitude)
        opening = deeper / found.lies[0].depth_per_opening
        _must_reach(found, opening)
        return Correction(over, deeper, opening / found.screw.travel, None, "")
    stop = new_stop(found.stop, over, 0.0)
    return Correction(over, None, None, stop, "" if found.dial is None else found.dial.words(stop - found.stop))


def _must_reach(found: Settings, opening: float) -> None:
    """Refuse to move every screw by ``opening`` [m] where one then lies beyond its least or its most.

    Those under the strip count, and the next at each end; one farther off hardly moves the groove under it.
    """
    under = [one.number for one in found.adjusters if one.under_strip] or [1, len(found.adjusters)]
    short = [
        str(one.number)
        for one in found.adjusters[max(under[0] - 2, 0) : under[-1] + 1]
        if one.opening + opening < found.least - SPARE
        or (found.most is not None and one.opening + opening > found.most + SPARE)
    ]
    if short:
        way = found.ways[0] if opening > 0 else found.ways[1]
        raise AnswerIsNo(
            f"the screws cannot all {way} that far: adjuster{'s' if len(short) > 1 else ''} {', '.join(short)}",
            where=found.rig,
            remedy="Lay the section elsewhere along the rig with --at and set it anew, or use another groove or rig",
        )

"""The one plain sentence of a proof, and words for its figures: made from figures that lie beyond their spread only."""

from __future__ import annotations

from culmwright.measure.display import Display
from culmwright.proof.comparison import Compared, Proof, StationProof, Verdict

HALVES = {"tip half": "the upper half", "butt half": "the lower half"}
WORDS = {
    "tip half": ("stiffer", "softer"),
    "butt half": ("stiffer", "softer"),
    "stiffness": ("stiffer", "softer"),
    "drop": ("bends more", "bends less"),
    "rate": ("faster", "slower"),
    "greatest stress": ("higher", "lower"),
    "stress": ("higher", "lower"),
    "cane": ("heavier", "lighter"),
    "lines": ("for a heavier line", "for a lighter line"),
    "across": ("thick", "thin"),
}
ALIKE = 0.01
"""Halves that came out alike to this, of their stiffness, are told together [-]."""

ONE_OF_MANY = 3.0
"""Spreads a single station has to be off before it is named [-]: of twenty on size one is two off by chance alone."""


def word(one: Compared) -> str:
    """How a figure came out, in a word or two: ``stiffer``, ``thin``, ``no difference told``."""
    if one.verdict is Verdict.SAME:
        return str(one.verdict.value)
    return WORDS[one.name][0 if one.verdict is Verdict.MORE else 1]


def sentence(proof: Proof, show: Display) -> str:
    """What came out, in one sentence without its stop: stiffness by halves, the station most off, the line it suits.

    What does not lie beyond its spread is not said as a difference; where nothing does, that is the sentence.
    """
    parts = [part for part in (_halves(proof), _worst(proof, show), _line(proof)) if part]
    if not any(one.verdict is not Verdict.SAME for one in _all(proof)):
        doubt = max((one.high - one.low) / 2 for one in map(proof.figure, HALVES))
        return f"it came out as drawn, as far as the readings can tell: stiffness to within {doubt:.0%}"
    return "; ".join(parts)


def _all(proof: Proof) -> list[Compared]:
    told = [proof.figure(name) for name in HALVES]
    told += [one for one in proof.whole if one.name == "lines"]
    return told + [one.across for one in _off(proof)]


def _off(proof: Proof) -> list[StationProof]:
    """Stations ahead of the grip that are off by more than chance gives one of many."""
    return [
        one
        for one in proof.stations
        if one.measured and one.ahead and abs(one.across.off) > ONE_OF_MANY * one.across.spread
    ]


def _halves(proof: Proof) -> str:
    tip, butt = (proof.figure(name) for name in HALVES)
    told = [one for one in (tip, butt) if one.verdict is not Verdict.SAME]
    if len(told) == 2 and abs(tip.off - butt.off) <= ALIKE and tip.verdict is butt.verdict:
        return f"it came out {_share(tip)} all along"
    if told:
        return "it came out " + " and ".join(f"{_share(one)} in {HALVES[one.name]}" for one in told)
    return "its stiffness came out as drawn as far as the readings can tell"


def _share(one: Compared) -> str:
    return f"{abs(one.off):.0%} (± {(one.high - one.low) / 2:.0%}) {word(one)}"


def _worst(proof: Proof, show: Display) -> str:
    off = _off(proof)
    if not off:
        return "no single station stands out"
    worst = max(off, key=lambda one: (abs(one.across.off) / one.across.drawn, one.station))
    return f"station {show.station.number(worst.station)} is {_by(worst, show)}{_limit(worst)}"


def _by(one: StationProof, show: Display) -> str:
    return f"{show.small(abs(one.across.off))} {word(one.across)}"


def _limit(one: StationProof) -> str:
    return "" if one.stress_share is None else f", at {one.stress_share:.0%} of the stress limit"


def _line(proof: Proof) -> str:
    lines = next((one for one in proof.whole if one.name == "lines"), None)
    if lines is None:
        return ""
    steps = round(abs(lines.off))
    if lines.verdict is Verdict.SAME or not steps:
        return "it bends as drawn under its line"
    way = "up" if lines.off > 0 else "down"
    return f"it bends like the next line {way}" if steps == 1 else f"it bends like a rod {steps} lines {way}"


def spine_words(proof: Proof) -> str:
    """The rod's spine in a sentence without its stop."""
    spine = proof.spine
    if not spine.told:
        doubt = f"± {2 * spine.spread:.1%}"
        return f"no spine is told: any difference between its planes is lost in the doubt of the readings, {doubt}"
    return (
        f"it has a spine: {spine.size:.1%} (± {2 * spine.spread:.1%}) stiffer in the plane "
        f"{_degrees(spine.direction)} from the middle of the first strip's face towards the second than square to it; "
        f"plucked, it swings at {proof.rates[0]:.3f} and {proof.rates[1]:.3f} Hz"
    )


def _degrees(angle: float) -> str:
    return f"{angle * 57.29577951308232:.0f} deg"

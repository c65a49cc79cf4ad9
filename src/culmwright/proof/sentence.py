"""The one plain sentence of a proof, and words for its figures: made from figures that lie beyond their spread only."""

from __future__ import annotations

from culmwright.measure.display import Display
from culmwright.measure.reckoning import ROD_FILE
from culmwright.proof.comparison import Compared, Proof, StationProof, Verdict

HALVES = ("the upper half", "the lower half")
WORDS = {
    **{f"{end} {of}": ("stiffer", "softer") for end in ("tip", "butt") for of in ("half", "dimensions", "cane")},
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

MOSTLY = 2 / 3
"""What makes this much of a spine is said to make it [-] (own choice)."""
ONE_OF_MANY = 3.0
"""Spreads a single station has to be off before it is named [-]: of twenty on size one is two off by chance alone."""


def word(one: Compared) -> str:
    """How a figure came out, in a word or two: ``stiffer``, ``thin``, ``within doubt``."""
    if one.verdict is Verdict.SAME:
        return str(one.verdict.value)
    return WORDS[one.name][0 if one.verdict is Verdict.MORE else 1]


def sentence(proof: Proof, show: Display, contradiction: str = "") -> str:
    """What came out, in one sentence without its stop: what its dimensions did to its stiffness, the station most off,
    what its cane did, and the line it suits by both.

    What does not lie beyond its spread is not said as a difference; where nothing does, that is the sentence. A
    ``contradiction`` of the bend tests comes first: no stiffness is told from them then.
    """
    both, cane = _halves(proof, "half"), _halves(proof, "cane")
    size = _halves(proof, "dimensions") or both
    unread = _unread(proof)
    if contradiction:
        return (
            f"the bend tests contradict one another ({contradiction}): no stiffness is told from them until one is "
            f"taken back; with the cane the drawing takes, {_dimensions(size)}; {_worst(proof, show)}{unread}"
        )
    told = (*both, *size, *cane, *(one for one in proof.whole if one.name == "lines"))
    if not _off(proof) and all(one.verdict is Verdict.SAME for one in told):
        by = "the readings and the bend tests" if cane else "the readings"
        return (
            f"it came out as drawn, as far as {by} can tell: stiffness to within {max(map(_doubt, both)):.0%}{unread}"
        )
    parts = [_dimensions(size), _worst(proof, show)]
    if cane:
        parts.append(_cane(cane, proof, show))
    parts.append(_together(both if cane else (), _line(proof)))
    return f"{'; '.join(part for part in parts if part)}{unread}"


def _unread(proof: Proof) -> str:
    """Sections of the rod that stand as drawn for want of readings: without this the sentence would vouch for them."""
    names = [one.name for one in proof.built.sections if one.name not in proof.built.parts]
    if not names:
        return ""
    return f"; {' and '.join(names)} {'is' if len(names) == 1 else 'are'} taken as drawn, not read"


def _off(proof: Proof) -> list[StationProof]:
    """Stations ahead of the grip that are off by more than chance gives one of many."""
    return [
        one
        for one in proof.stations
        if one.measured and one.ahead and abs(one.across.off) > ONE_OF_MANY * one.across.spread
    ]


def _halves(proof: Proof, of: str) -> tuple[Compared, ...]:
    """Stiffness of the upper and the lower half, the whole of it (``half``) or what one cause made of it."""
    return tuple(one for end in ("tip", "butt") for one in proof.whole if one.name == f"{end} {of}")


def _dimensions(size: tuple[Compared, ...]) -> str:
    return f"the strips came out {_where(size) or f'as drawn (stiffness to ± {max(map(_doubt, size)):.0%})'}"


def _cane(cane: tuple[Compared, ...], proof: Proof, show: Display) -> str:
    """What the cane is to the one the drawing takes, which may be a default that nobody measured."""
    drawn = proof.built.rod.cane.modulus
    of = f"the {show.modulus(drawn.value)} the drawing {'says' if drawn.source == ROD_FILE else 'assumed (a default)'}"
    if told := _where(cane, alike=""):
        return f"its cane is {told} than {of}"
    return f"its cane is like {of}, as far as the bend tests can tell (± {max(map(_doubt, cane)):.0%})"


def _where(halves: tuple[Compared, ...], alike: str = " all along") -> str:
    """By how much halves are stiffer or softer where that is told; ``alike`` follows where they are so alike."""
    told = [(one, half) for one, half in zip(halves, HALVES, strict=True) if one.verdict is not Verdict.SAME]
    tip, butt = halves
    if len(told) == 2 and abs(tip.off - butt.off) <= ALIKE and tip.verdict is butt.verdict:
        return f"{_share(tip)}{alike}"
    return " and ".join(f"{_share(one)} in {half}" for one, half in told)


def _together(both: tuple[Compared, ...], line: str) -> str:
    """What dimensions and cane make of the rod ``both`` together; only its ``line`` where there are not two causes."""
    made = _where(both) if both else ""
    if not made:
        return f"with both, {line}" if both and line else line
    return f"dimensions and cane together make it {made}{f', and {line}' if line else ''}"


def _share(one: Compared) -> str:
    return f"{abs(one.off):.0%} (± {_doubt(one):.0%}) {word(one)}"


def _doubt(one: Compared) -> float:
    """Half of what holds 95 of 100 [-]."""
    return (one.high - one.low) / 2


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
    if lines.verdict is Verdict.SAME:
        return "it bends as drawn under its line"
    way, halves = "up" if lines.off > 0 else "down", round(2 * abs(lines.off))
    if not halves:
        return "it bends nearly as drawn under its line"
    if halves == 2:
        return f"it bends like the next line {way}"
    far = {1: "half a line", 3: "a line and a half"}.get(halves, f"{abs(lines.off):.0f} lines")
    return f"it bends like a rod {far} {way}"


def spine_words(proof: Proof) -> str:
    """The rod's spine in a sentence without its stop."""
    spine = proof.spine
    if not spine.told:
        doubt = f"± {2 * spine.spread:.1%}"
        return f"no spine is told: any difference between its planes is lost in the doubt of the readings, {doubt}"
    return (
        f"it has a spine: {spine.size:.1%} (± {2 * spine.spread:.1%}) stiffer in the plane "
        f"{_degrees(spine.direction)} from the middle of the first strip's face towards the second than square to it; "
        f"plucked, it swings at {proof.rates[0]:.3f} and {proof.rates[1]:.3f} Hz{_made_by(spine.of_cane)}"
    )


def _made_by(of_cane: float | None) -> str:
    """What makes a spine, where strips were bent by themselves: two thirds of it or more are told as all of it."""
    if of_cane is None:
        return ""
    if of_cane >= MOSTLY:
        return "; uneven cane makes it, not uneven strips"
    if of_cane <= 1 - MOSTLY:
        return "; uneven strips make it, not uneven cane"
    return "; uneven cane and uneven strips make it together"


def _degrees(angle: float) -> str:
    return f"{angle * 57.29577951308232:.0f} deg"

"""What was found about a gauge, as text for a terminal."""

from __future__ import annotations

from math import degrees

from culmwright.cli.render import table
from culmwright.measure.display import Display
from culmwright.workshop.gauging import Doubt, GaugeStudy, Tried, ZeroFound


def zero(found: ZeroFound, show: Display) -> str:
    """The zero of a block and how well it is known."""
    lines = [
        f"The block's zero is {show.height(found.zero)}, known to {show.small(found.uncertainty)} (one sigma). "
        f"In the rod file: block_zero = {show.height.number(found.zero)}"
    ]
    for name, one in (("pins", found.pins), ("master strip", found.master)):
        if one is None:
            continue
        said = f"From the {name}: {show.height(one.zero)}, to {show.small(one.uncertainty)}"
        if one.angle is not None:
            doubt = "" if one.angle_uncertainty is None else f", to {degrees(one.angle_uncertainty):.2f}"
            said += f"; they find the block's angle as {degrees(one.angle):.2f} deg{doubt}"
        if len(one.residuals) > 1:
            said += "; off the fit, in their order: " + ", ".join(show.small.number(each) for each in one.residuals)
        lines.append(f"{said}.")
    if found.root:
        lines.append(f"{found.root[0].upper()}{found.root[1:]}.")
    return "\n".join(lines)


def study(found: GaugeStudy, show: Display) -> str:
    """A gauge study: verdict first."""
    rows = [
        ("one hand reading again", show.small.number(found.repeatability)),
        ("hand to hand", show.small.number(found.reproducibility)),
        ("gauge, both together", show.small.number(found.gauge)),
        ("strip to strip", show.small.number(found.parts)),
        ("all that is seen", show.small.number(found.total)),
    ]
    unsteady = [f"hand {hand}, strip {part}" for hand, part in found.unsteady]
    lines = [
        f"{found.words[0].upper()}{found.words[1:]}.",
        f"{found.hands} hands, {found.strips} strips, {found.trials} trials.",
        "",
        table(("scatter", f"one sigma, {show.small.unit}"), rows),
    ]
    if unsteady:
        lines.append(f"Read again, their range is beyond the limit: {'; '.join(unsteady)}.")
    return "\n".join(lines)


def tried(number: int, name: str, found: Tried, show: Display) -> str:
    """A trial on a reference, by its ``number`` [-], which takes it back."""
    fine = show.fine
    off = f"{fine(abs(found.error))} {'high' if found.error > 0 else 'low'}" if found.error else "no difference"
    verdict = (
        "good"
        if found.good
        else "more than it may be: clean it, try it again, or have it put right"
        if found.off
        else f"at its limit, for its last digit leaves {fine(found.doubt)} open: try it again, or on another reference"
    )
    at, allowed = show.height(found.reference), fine(found.allowed)
    return f"Trial {number}: {name} shows {off} at {at}, allowed {allowed}: {verdict}."


def doubt(found: Doubt, show: Display, studied: bool, zeroed: bool) -> str:
    """The doubt of a reading, part by part."""
    rows = [(one.name, show.small.number(one.contribution), f"{one.share:.0%}") for one in found.parts]
    lines = [
        f"A reading may be off by {show.small(found.expanded)} either way, 95 times in 100 "
        f"(one sigma {show.small(found.combined)}, times {found.coverage:.2f}).",
        "",
        table(("cause", f"one sigma, {show.small.unit}", "share"), rows),
    ]
    if not zeroed:
        lines.append("The doubt of the block's zero is left out: give the pins or the master strip it was found with.")
    if not studied:
        lines.append("Without a study the scatter of hands is left out: give one with --file.")
    return "\n".join(lines)

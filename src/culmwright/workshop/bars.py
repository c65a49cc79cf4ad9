"""A bar of cane bent under known weights, as typed: a strip, a split bar or a short section; and its modulus."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import hypot, sqrt, tan
from typing import Any

from culmwright.design.grading import Grading
from culmwright.design.polygon import apothem, second_moment
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.mechanics.graded import Graded
from culmwright.proof.doubt import HAND
from culmwright.proof.modulus import Held as Held
from culmwright.proof.modulus import Measured, from_bar

SPAN_DOUBT = 0.5e-3
"""How well a span is measured with a rule [m], a standard deviation (own choice)."""
SIZE_DOUBT = 1.2e-5
"""How well a bar's section is measured with a caliper [m]: even within its limit of 20 µm (DIN 862)."""

Told = Mapping[str, Any]
"""A bend test as typed."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar as typed: its ``span``, its ``section`` (width and depth, or height and apex of a strip, or across and
    sides), how it is ``held``, and the label of its ``culm`` if that is not the rod's own.

    ``strip`` is the rod's own strip it is, section and number, None for any other piece of cane.
    """

    span: str
    section: Mapping[str, str]
    held: Held
    culm: str | None = None
    strip: tuple[str, int] | None = None


def told_bar(bar: Bar) -> dict[str, Any]:
    """A ``bar`` in the words of its docket."""
    told = {"of": "bar", "span": bar.span, "section": dict(bar.section), "held": bar.held.name, "culm": bar.culm}
    return told if bar.strip is None else told | {"strip": list(bar.strip)}


def strip_of(told: Told) -> tuple[str, int] | None:
    """The strip of its rod a bend test is of, None for one of anything else."""
    found = told.get("strip")
    return None if found is None else (str(found[0]), int(found[1]))


def drops_read(told: Told) -> tuple[list[float], list[float], float]:
    """Loads [N], drops [m], and the standard uncertainty of a drop [m] read to the fineness told."""
    loads = [parse_quantity(weight, Kind.LOAD) for weight, _ in told["drops"]]
    drops = [Length.parse(drop).m for _, drop in told["drops"]]
    return loads, drops, Length.parse(told["reading"]).m / sqrt(12)


def bar_measured(told: Told, grading: Grading | None = None) -> Measured:
    """The modulus [Pa] of the bar that was ``told`` of.

    Where the file has a ``grading`` it is the modulus the file would tell of such cane: a strip bends about an axis
    deeper in it than its section will, and a fine one holds stiffer cane than a stout one. A strip named has of its own
    what a hand makes of its height, too: caliper and rule are out alike for all of them.
    """
    loads, drops, reading = drops_read(told)
    inertia, share = _inertia(told["section"])
    strip = strip_of(told)
    words = _bar_words(told["section"])
    found = from_bar(
        Length.parse(told["span"]).m,
        inertia * _graded(told["section"], grading),
        loads,
        drops,
        Held[told["held"]],
        reading=reading,
        inertia_share=share,
        span_doubt=SPAN_DOUBT,
        of=words if strip is None else f"{strip[0]}/S{strip[1]}, {words}",
    )
    if strip is None:
        return found
    hand = 4 * HAND / _size(told["section"], "height") * found.value
    return replace(found, spread=hypot(found.spread, hand))


def _graded(section: Mapping[str, str], grading: Grading | None) -> float:
    """What a bar with its enamel whole bends like, to the modulus a file tells [-]; 1 for even cane, and for a bar with
    square sides, of which nobody knows how it lay in the wall.
    """
    if grading is None or "width" in section:
        return 1.0
    if "height" in section:
        one = Graded(6, _size(section, "height"), grading.wall.m, grading.ratio)
        return grading.outer * one.mean_over_outer * one.strip_over_section
    sides = int(section["sides"])
    return (
        grading.outer
        * Graded(sides, apothem(sides, _size(section, "across")), grading.wall.m, grading.ratio).mean_over_outer
    )


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

"""What is possible but odd about a rod: a slipped decimal point, the wrong unit, a ferrule that cannot sit."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, log

from culmwright.design.fittings import seat
from culmwright.design.rod import BLOCK_DEGREES, Rod
from culmwright.design.taper import Taper
from culmwright.measure.display import Display
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind

STRAY = 1.3
"""An across so many times over or under the straight line between its neighbours is asked about (own choice): 0.116
typed 0.161 is, a butt that swells by half from one station to the next is not."""
CLOSE = 0.3  # [m] an end station further than this from its neighbour may differ more from it
STEEPEST = 3.0  # times its neighbour, for an end station
STEEPEST_FAR = 9.0  # the same where the neighbour is far away
SHORT_SECTION = 0.4  # of the mean length of sections
FLATS_CUT = 0.85  # of the bare flats: a smaller bore takes the power fibres away

USUAL = {
    "culm_diameter": ("30 mm", "120 mm"),
    "glue_line": ("2 µm", "0.1 mm"),
    "finish": ("4 µm", "0.2 mm"),
    "rough_over": ("0.5 mm", "8 mm"),
    "varnish": ("8 µm", "0.2 mm"),
    "grip": ("60 mm", "800 mm"),
    "block_zero": ("-1 mm", "80 mm"),
    "split_height": ("2 mm", "20 mm"),
    "length": ("8 mm", "200 mm"),
}
"""Between what each length of a rod and its making usually lies; outside it is asked about (own choice: wide enough for
any rod, too narrow for a point slipped by a place)."""

BLOCK_OPEN = 3.0
"""A block this many degrees more open than its strips is another's (own choice): one degree open is usual."""


LIKELY = {
    Kind.MASS: (1e-7, 1e1),
    Kind.STRESS: (1e6, 1e10),
    Kind.MODULUS: (1e9, 1e12),
    Kind.DENSITY: (50.0, 2e4),
    Kind.STIFFNESS: (1e-6, 1e4),
}
"""Between what a rod's quantities lie [SI]; outside it the unit in the file is a slip, such as mPa for MPa."""


def odd_quantity(place: str, value: float, text: str, kind: Kind) -> Iterator[str]:
    """A warning about a ``value`` [SI], typed as ``text``, that no rod has."""
    low, high = LIKELY[kind]
    if not low <= value <= high:
        yield f"{place} is {text}, far too {'small' if value < low else 'large'} for {kind.one}: is its unit right?"


def odd_across(place: str, stations: tuple[Length, ...], across: tuple[Length, ...]) -> Iterator[str]:
    """Warnings about an across its neighbours contradict, each naming ``place`` in the file, value and station.

    Inside, an across :data:`STRAY` off the straight line between its neighbours, the worst of those side by side; at
    an end, one that differs from a close neighbour by more than three times; and a whole taper too thick or
    too thin for its unit.
    """
    ends = {
        end: beside
        for end, beside, next_in in _ends(len(across))
        if _end_is_odd(stations, across, end, beside, next_in)
    }
    worst: list[tuple[float, int]] = []
    for i in range(1, len(across) - 1):
        expected = Taper((stations[i - 1], stations[i + 1]), (across[i - 1], across[i + 1])).at(stations[i].m)
        off = abs(log(across[i].m / expected))
        if off <= log(STRAY) or i in ends.values():
            continue
        if worst and worst[-1][1] == i - 1:
            worst[-1] = max(worst[-1], (off, i))
        else:
            worst.append((off, i))
    for _, i in worst:
        neighbours = f"between {across[i - 1]} and {across[i + 1]}"
        yield f"{place} across is {across[i]} at station {stations[i]}, {neighbours}: is that a slip?"
    for end, beside in ends.items():
        yield f"{place} across is {across[end]} at station {stations[end]}, beside {across[beside]}: is that a slip?"
    thickest = max(across, key=lambda one: one.nanometres)
    if thickest.m > 0.04 and not worst:
        yield f"{place} across reaches {thickest}: is units set right?"
    elif thickest.m < 0.001:
        yield f"{place} across is nowhere over 1 mm: is units set right?"


def _ends(count: int) -> tuple[tuple[int, int, int], ...]:
    """Each end station with the one beside it and the next one in."""
    return ((0, 1, min(2, count - 1)), (count - 1, count - 2, max(count - 3, 0)))


def _end_is_odd(stations: tuple[Length, ...], across: tuple[Length, ...], end: int, beside: int, next_in: int) -> bool:
    """True if an end differs from a close neighbour far more than that neighbour does from the next."""
    steepest = STEEPEST if abs(stations[end].m - stations[beside].m) < CLOSE else STEEPEST_FAR
    step, inside = (abs(log(across[i].m / across[beside].m)) for i in (end, next_in))
    return step > log(steepest) and (len(across) == 2 or inside <= log(steepest))


def odd_rod(rod: Rod) -> Iterator[str]:
    """Warnings about what surrounds the taper: lengths of making, sections, ferrule sizes, the V block."""
    yield from _odd_lengths(rod)
    yield from _odd_joints(rod)
    if rod.making.apex_angle > rod.bench.block_angle + 1e-9:
        yield (
            "[bench] block_angle is sharper than the strips: they wedge on their flanks and every reading is wrong; "
            "take a block one degree open"
        )
    elif (open_by := degrees(rod.bench.block_angle - rod.making.apex_angle)) > BLOCK_OPEN:
        yield (
            f"[bench] block_angle is {degrees(rod.bench.block_angle):.4g} deg, {open_by:.2g} deg more open than the "
            f"strips: they lean in it; is it the right block? {BLOCK_DEGREES[rod.sides]} deg is usual for {rod.sides} "
            "sides"
        )


def _odd_lengths(rod: Rod) -> Iterator[str]:
    making = rod.making
    for table, key, length in (
        ("[rod]", "grip", rod.grip),
        ("[strips]", "culm_diameter", making.culm_diameter),
        ("[strips]", "glue_line", making.glue_line),
        ("[strips]", "finish", making.finish),
        ("[strips]", "rough_over", making.rough_over),
        ("[taper]", "varnish", rod.varnish),
        ("[bench]", "block_zero", rod.bench.block_zero),
        ("[bench]", "split_height", rod.bench.split_height),
        *((f"[[ferrule]] {number}", "length", one.length) for number, one in enumerate(rod.ferrules, 1)),
    ):
        if length is None or not length.nanometres:
            continue
        low, high = (Length.parse(text).m for text in USUAL[key])
        if not low <= length.m <= high:
            yield f"{table} {key} is {length}: is its unit right?"


def _odd_joints(rod: Rod) -> Iterator[str]:
    sections = rod.assembled()
    mean = rod.length.m / len(sections)
    show: Display = rod.display
    for before, after, ferrule in zip(sections, sections[1:], rod.ferrules, strict=False):
        for section in (before, after):
            if section.length < SHORT_SECTION * mean:
                yield (
                    f"[[ferrule]] station {ferrule.station} leaves section {section.name} {show.long(section.length)} "
                    "long: is its unit right?"
                )
        side = seat(rod.sides, rod.bare_apothem(after.taper.at(ferrule.station.m)), ferrule.size)
        where = f"[[ferrule]] size {ferrule.size} at {ferrule.station}"
        if side.bore < FLATS_CUT * side.flats:
            yield (
                f"{where} takes {show.small(side.flat_cut)} off every flat; {side.fitting_size} would leave them whole"
            )
        elif side.slack > 0:
            yield (
                f"{where} is {show.small(side.slack)} wider than the corners: it would be loose; "
                f"{side.fitting_size} is the smallest that leaves the flats whole"
            )

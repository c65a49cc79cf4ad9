"""Two rods, or two revisions of one, side by side: how they bend and swing, and what the difference means."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.book.behaviour_leaves import round_load
from culmwright.book.beside_leaves import BesideRod, beside_leaves
from culmwright.book.leaf import Leaf
from culmwright.book.ruler import Ruler
from culmwright.design.rod import Rod
from culmwright.measure.display import Display
from culmwright.measure.record import si
from culmwright.mechanics.rod_beam import rod_beam
from culmwright.mechanics.statics import Load, bend_surely
from culmwright.workshop.behaving import behaviour_of, tips_of
from culmwright.workshop.bending import Bend, bend
from culmwright.workshop.bouncing import Bounce, bounce
from culmwright.workshop.rod_asked import Asked

ALIKE = 0.01
"""Figures nearer than this [-] are called alike: readings and cane differ by more."""
ALIKE_WORD = "alike"
STEPS = 8
"""Loads beyond none under which the drops of both are given."""
SAME_SHARE = 0.02
"""Half-way places nearer than this, of the free length [-], are called the same."""


@dataclass(frozen=True, slots=True)
class BothDrop:
    """How far the tips of two rods come down [m] under a hanging ``load`` [N]; None where it is beyond the limit."""

    load: float = si("N")
    drop: float | None = si("m")
    other_drop: float | None = si("m")


@dataclass(frozen=True, slots=True)
class Beside:
    """Two rods under one ``load`` [N], hanging from the level rod: how each bends and swings, and ``words`` on both.

    ``drops`` are of both under rising loads, as far as one of them bears the load.
    """

    load: float = si("N")
    masses: tuple[float, ...] = si("kg")
    free_lengths: tuple[float, ...] = si("m")
    bends: tuple[Bend, ...] = ()
    bounces: tuple[Bounce, ...] = ()
    drops: tuple[BothDrop, ...] = ()
    words: tuple[str, ...] = ()
    names: tuple[str, ...] = ()


def beside(
    rod: Rod,
    other: Rod,
    load: float,
    show: Display | None = None,
    *,
    tip: int = 1,
    other_tip: int = 1,
    names: tuple[str, str] | None = None,
) -> Beside:
    """``rod`` beside ``other`` under a hanging ``load`` [N], each with one of its tips; masses are forward of the grip.

    ``show`` is how the words give figures, ``names`` what they call the two. Raises :class:`BadInput` for a load or a
    tip that cannot be; a rod for which no rest is found says so in its own result.
    """
    show = show or rod.display
    pairs = ((rod, tip), (other, other_tip))
    bends = tuple(bend(one, load, tip=number) for one, number in pairs)
    bounces = tuple(bounce(one, tip=number) for one, number in pairs)
    masses = tuple(rod_beam(one, number).mass for one, number in pairs)
    free = tuple(one.length.m - one.grip.m for one, _ in pairs)
    names = names or rod_names(rod, other, tip, other_tip)
    words = _words(names, (rod, other), bends, bounces, masses, free, show)
    return Beside(load, masses, free, bends, bounces, _drops(pairs, bends), words, names)


def rod_names(rod: Rod, other: Rod, tip: int = 1, other_tip: int = 1) -> tuple[str, str]:
    """What the two are called where their names alone would not tell them apart."""
    if rod.name != other.name:
        return rod.name, other.name
    if rod.revision != other.revision:
        return f"revision {rod.revision}", f"revision {other.revision}"
    if tip != other_tip:
        return f"the rod with tip {tip}", f"the rod with tip {other_tip}"
    return f"{rod.name} ({rod.code})", f"{other.name} ({other.code})"


def beside_of(
    rod: Rod,
    other: Rod,
    show: Display,
    ruler: Ruler,
    *,
    names: tuple[str, str] | None = None,
    tip: int | None = None,
) -> tuple[Leaf, ...]:
    """The leaves of ``rod`` beside ``other``, at the width of ``ruler``; of every tip where both have tips that differ.

    ``names`` is what they are called, where their own would not do; ``tip`` the one both are assembled with.

    The ruler is laid anew for the longer of the two. None where no rest is found for one of them.
    """
    numbers = [(tip, tip)] if tip else [(each, min(each, other.tips)) for each in tips_of(rod)]
    long = Ruler(max(rod.length.m, other.length.m), ruler.width, ruler.left, ruler.right)
    leaves: list[Leaf] = []
    for own_tip, other_tip in numbers:
        seen = (behaviour_of(rod, show, own_tip), behaviour_of(other, show, other_tip))
        if seen[0] is None or seen[1] is None:
            continue
        borne = min(len(one.shapes) for one in seen if one is not None)
        load = seen[0].shapes[borne - 1].load
        found = beside(rod, other, load, show, tip=own_tip, other_tip=other_tip, names=names)
        sides = tuple(
            BesideRod(name, one.length.m - one.grip.m, each)
            for name, one, each in zip(found.names, (rod, other), seen, strict=True)
            if each is not None
        )
        titled = f", tip T{own_tip}" if tip or len(numbers) > 1 else ""
        leaves += beside_leaves(sides[0], sides[1], borne, found.words, long, show, titled)
    return tuple(leaves)


def _drops(pairs: tuple[tuple[Rod, int], ...], bends: tuple[Bend, ...]) -> tuple[BothDrop, ...]:
    """Both under the same loads, closer where rods give most; up to the greater of their limits."""
    ends = [one.curve[-1].load if one.curve else 0.0 for one in bends]
    beams = [rod_beam(rod, tip) for rod, tip in pairs]
    found = []
    for load in (max(ends) * (i / STEPS) ** 2 for i in range(STEPS + 1)):
        drops = [
            bend_surely(beam, Load(load)).tip_drop if load <= end else None
            for beam, end in zip(beams, ends, strict=True)
        ]
        found.append(BothDrop(load, *drops))
    return tuple(found) if max(ends) else ()


def _words(
    names: tuple[str, str],
    rods: tuple[Rod, Rod],
    bends: tuple[Bend, ...],
    bounces: tuple[Bounce, ...],
    masses: tuple[float, ...],
    free: tuple[float, ...],
    show: Display,
) -> tuple[str, ...]:
    """What the figures mean to a maker, a sentence a figure."""
    a, b = names
    words = []
    if abs(free[0] - free[1]) > SAME_SHARE * max(free):
        words.append(
            f"{a} is {show.long(free[0])} from grip to tip and {b} {show.long(free[1])}: the longer one comes down "
            "farther with the same cane in it."
        )
    load = round_load(show, bends[0].load)
    first, second = bends
    if first.tip_drop is None or second.tip_drop is None:
        lost = a if first.tip_drop is None else b
        words.append(f"{lost} finds no rest under {load}: {first.reason or second.reason}.")
        return tuple(f"{one[0].upper()}{one[1:]}" for one in words)
    words.append(
        f"Under {load} the tip of {a} comes down by {show.near(first.tip_drop)} and that of {b} by "
        f"{show.near(second.tip_drop)}: {_than(first.tip_drop, second.tip_drop, names, 'gives', 'more')}."
    )
    words += _halves(names, bends, free, show)
    if (
        first.greatest_stress
        and second.greatest_stress
        and first.greatest_station is not None
        and second.greatest_station is not None
    ):
        harder = _than(first.greatest_stress, second.greatest_stress, names, "is worked", "harder")
        words.append(
            f"The cane works hardest near {show.near(first.greatest_station)} from the tip on {a}, "
            f"{show.stress(first.greatest_stress)}, and near {show.near(second.greatest_station)} on {b}, "
            f"{show.stress(second.greatest_stress)}: {harder}."
        )
    one, two = (each.modes[0].frequency for each in bounces)
    quicker = _than(one, two, names, "is", "quicker")
    hand = "" if quicker == ALIKE_WORD else " A quicker rod wants a quicker hand (common practice, no source)."
    words.append(f"Plucked in a vice {a} swings {one:.2f} times a second and {b} {two:.2f}: {quicker}.{hand}")
    words.append(
        f"Forward of the grip {a} weighs {show.mass(masses[0])} and {b} {show.mass(masses[1])}, as far as the files "
        "list what they carry."
    )
    moduli = [one.cane.modulus.value for one in rods]
    if abs(moduli[0] / moduli[1] - 1) > 1e-9:
        said = " and ".join(f"{show.modulus(one.cane.modulus.value)} ({one.cane.modulus.source})" for one in rods)
        words.append(f"Their cane is taken at two different moduli, {said}: part of the difference is that.")
    return tuple(f"{one[0].upper()}{one[1:]}" for one in words)


def _than(one: float, other: float, names: tuple[str, str], verb: str, how: str) -> str:
    """Which of two is more, by how much, or that they are alike."""
    if abs(one - other) <= ALIKE * max(one, other):
        return ALIKE_WORD
    more, less = max(one, other), min(one, other)
    return f"{names[0 if one > other else 1]} {verb} {more / less - 1:.0%} {how}"


def _halves(names: tuple[str, str], bends: tuple[Bend, ...], free: tuple[float, ...], show: Display) -> list[str]:
    halves = [one.half_station for one in bends]
    if halves[0] is None or halves[1] is None:
        return []
    share = [half / length for half, length in zip((halves[0], halves[1]), free, strict=True)]
    said = (
        f"Half of the bend lies within {show.near(halves[0])} of the tip on {names[0]} and {show.near(halves[1])} on "
    )
    if abs(share[0] - share[1]) < SAME_SHARE:
        return [f"{said}{names[1]}: that is alike."]
    nearer = 0 if share[0] < share[1] else 1
    return [
        f"{said}{names[1]}: {names[nearer]} bends more in its tip, {names[1 - nearer]} works farther down in its butt."
    ]


def called(one: Asked, other: Asked) -> tuple[str, str] | None:
    """What two ways to take one rod, or two drawings of one name, are called; None for two rods, which have names."""
    if one.rod.digest == other.rod.digest and one.way is not other.way:
        return f"the rod {one.way.called}", f"the rod {other.way.called}"
    codes = [each.begun.code if each.begun else f"{each.rod.name} in its file" for each in (one, other)]
    return (codes[0], codes[1]) if one.rod.name == other.rod.name and codes[0] != codes[1] else None

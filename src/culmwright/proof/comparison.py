"""Drawn and built side by side: every figure with its spread, and whether the two differ by more than that."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum

import numpy as np

from culmwright.design.rod import Rod, Stated
from culmwright.measure.record import si
from culmwright.mechanics.modes import first_modes
from culmwright.mechanics.rod_beam import free_length, grading_notes, rod_beam
from culmwright.proof.as_built import hats, in_plane, rod_as_built
from culmwright.proof.built import Built
from culmwright.proof.built_cane import BuiltCane, CaneAt
from culmwright.proof.measures import CAUSES, WHOLE, Yardstick, pairs
from culmwright.proof.response import figures
from culmwright.proof.section import direction
from culmwright.proof.spread import DRAWS, Progress, Spread, Spreads, spreads, told
from culmwright.proof.strips_told import StripCane, cane_notes, share_of_cane, strips_cane
from culmwright.proof.yard import yardstick

CHECKED = 24
"""Drawn rods that are also solved outright [-], to see how good the linear answer of the whole rod is."""
ASTRAY = 0.25
"""A linear answer farther off than this, of the spread it serves [-], is said."""


class Verdict(Enum):
    """How built stands to drawn once the spread is counted: told apart, and to which side, or not."""

    SAME = "within doubt"
    MORE = "more"
    LESS = "less"


@dataclass(frozen=True, slots=True)
class Compared:
    """One figure: ``drawn``, ``built``, the standard uncertainty ``spread`` of built, and where 95 % of it lie.

    ``unit`` is that of all five [SI]. ``verdict`` is more or less only where drawn lies outside ``low`` to ``high``.
    """

    name: str
    unit: str
    drawn: float = si("")
    built: float = si("")
    spread: float = si("")
    low: float = si("")
    high: float = si("")
    verdict: Verdict = Verdict.SAME

    @property
    def off(self) -> float:
        """Built less drawn, in ``unit`` [SI]."""
        return self.built - self.drawn


@dataclass(frozen=True, slots=True)
class Spine:
    """By how much a section, or a rod, is stiffer in one plane than square to it: ``size`` of its mean stiffness [-],
    with its standard uncertainty ``spread``; ``direction`` [rad] of the stiffest plane, from the middle of the first
    strip's face towards the second. ``told`` where it is more than the readings leave in doubt; ``of_cane`` how much of
    it uneven cane makes [-], None where strips are taken to be of one cane.
    """

    size: float = si("-")
    spread: float = si("-")
    direction: float = si("rad")
    told: bool = False
    of_cane: float | None = si("-", required=False)


@dataclass(frozen=True, slots=True)
class StationProof:
    """One station: ``across`` over varnish in the mean and by ``directions`` [m], ``stiffness`` to the drawn one's,
    ``stress`` of the trade's method with load factor 4, ``stress_share`` of the limit, and the ``spine`` there.

    ``measured`` is False where the section was not read and stands as drawn; ``ahead`` True forward of the grip.
    """

    section: str
    station: float = si("m")
    across: Compared = si("")
    directions: tuple[float, ...] = si("m")
    direction_spread: float = si("m")
    stiffness: Compared = si("")
    stress: Compared = si("")
    stress_share: float | None = si("-")
    spine: Spine = si("")
    measured: bool = True
    ahead: bool = True


@dataclass(frozen=True, slots=True)
class Proof:
    """A rod as built beside its drawing, with one of its tips.

    ``whole`` figures of the rod under a hanging ``load`` [N], and what dimensions and what cane make of its stiffness
    where cane was tested; ``spine`` of the rod, ``rates`` [Hz] of its stiffest and
    softest plane and their ``split`` with its spread. ``draws`` rods stand behind the spreads, and the linear answer of
    drop and rate is ``astray`` by that share of them [-]. ``strips`` the cane of each strip where some were tested.
    ``notes`` say what was taken for granted. ``rod`` is the rod as built, ready for every verb of the mechanics.
    """

    name: str
    tip: int
    rod: Rod = field(metadata={"hidden": True})
    built: Built = field(metadata={"hidden": True})
    load: float = si("N")
    stations: tuple[StationProof, ...] = si("")
    whole: tuple[Compared, ...] = si("")
    spine: Spine = si("")
    rates: tuple[float, float] = si("Hz")
    split: float = si("Hz")
    split_spread: float = si("Hz")
    modulus: float = si("Pa")
    modulus_source: str = si("")
    draws: int = si("")
    astray: float = si("-")
    notes: tuple[str, ...] = si("")
    sections: tuple[str, ...] = si("")
    strips: tuple[StripCane, ...] = ()

    def figure(self, name: str) -> Compared:
        """The figure of the whole rod of that ``name`` [SI]."""
        return next(one for one in self.whole if one.name == name)


STRESS, LINES = "greatest stress", "lines"
UNITS = {"drop": "m", "rate": "Hz", STRESS: "Pa", "cane": "kg"}


def compare(
    built: Built,
    load: float,
    modulus: Stated | None = None,
    *,
    draws: int = DRAWS,
    seed: int = 1,
    progress: Progress | None = None,
    yard: Yardstick | None = None,
) -> Proof:
    """The proof of ``built`` under a hanging ``load`` [N]; ``modulus`` [Pa] of its cane where it was measured.

    ``draws`` rods are drawn for the spreads, none for first order alone; ``progress`` hears the share done [-]. Without
    a measured modulus built and drawn are taken to be of the same cane, and its doubt, alike for both, is left out.
    """
    rod = built.rod
    yard = yard or yardstick(built, load, modulus)
    share = (modulus.spread or 0.0) / modulus.value if modulus else 0.0
    found = spreads(built, yard, share, draws, seed, progress)
    as_built = rod_as_built(built, modulus)
    causes = modulus is not None or (built.cane is not None and built.cane.found is not None)
    whole = _whole(yard, found, causes)
    spine, rates, split_spread = _spine(built, yard, found, as_built)
    astray = _astray(built, yard, found, modulus, seed) if draws else 0.0
    return Proof(
        name=rod.name,
        tip=built.tip,
        load=load,
        stations=tuple(_station(built, yard, found, j) for j in range(len(built.x))),
        whole=whole,
        spine=spine,
        rates=rates,
        split=rates[0] - rates[1],
        split_spread=split_spread,
        modulus=as_built.cane.modulus.value,
        modulus_source=as_built.cane.modulus.source,
        draws=found.draws,
        astray=astray,
        notes=(
            *built.notes,
            *_notes(rod, modulus, astray),
            *grading_notes(rod),
            *cane_notes(built),
            *_unbent(whole),
            *_turned(built),
        ),
        sections=tuple(section.name for section in built.sections if section.name in built.parts),
        rod=as_built,
        built=built,
        strips=strips_cane(built, modulus),
    )


def _compared(name: str, unit: str, drawn: float, spread: Spread, at: tuple[int, ...] | int) -> Compared:
    value, low, high, u = (float(one[at]) for one in (spread.value, spread.low, spread.high, spread.drawn))
    verdict = Verdict.SAME
    if u > 0 and not low <= drawn <= high:
        verdict = Verdict.MORE if value > drawn else Verdict.LESS
    return Compared(name, unit, drawn, value, u, low, high, verdict)


def _whole(yard: Yardstick, found: Spreads, causes: bool) -> tuple[Compared, ...]:
    """Figures of the whole rod; the causes of its stiffness where there is more than one."""
    drawn = dict(zip(WHOLE, yard.drawn_whole().tolist(), strict=True))
    order = (*WHOLE[:2], *(CAUSES if causes else ()), *(one for one in WHOLE[2:-2] if one not in CAUSES))
    return tuple(
        _compared(name, UNITS.get(name, "-"), drawn[name], found.whole, WHOLE.index(name))
        for name in order
        if (name != STRESS or drawn[name] > 0) and (name != LINES or yard.rod.line is not None)
    )


def _station(built: Built, yard: Yardstick, found: Spreads, j: int) -> StationProof:
    rod = built.rod
    section, x = built.sections[int(built.owner[j])], float(built.x[j])
    strips = pairs(rod.sides)
    limit = rod.cane.stress_limit.value if rod.cane.stress_limit else None
    values = found.nodes.value[j]
    stress = _compared("stress", "Pa", float(yard.drawn_stress[j]), found.nodes, (j, strips + 2))
    u, v = float(values[-2]), float(values[-1])
    seen, doubt = told(u, v, found.node_spine[j])
    return StationProof(
        section=section.name,
        station=x,
        across=_compared("across", "m", section.taper.at(x), found.nodes, (j, 0)),
        directions=tuple(values[1 : 1 + strips].tolist()),
        direction_spread=float(found.nodes.drawn[j, 1 : 1 + strips].mean()),
        stiffness=_compared("stiffness", "-", 1.0, found.nodes, (j, strips + 1)),
        stress=stress,
        stress_share=None if limit is None else stress.built / limit,
        spine=Spine(2 * float(np.hypot(u, v)), 2 * doubt, direction(u, v), seen),
        measured=bool(built.measured[j]),
        ahead=x <= free_length(rod) + 1e-9,
    )


def _spine(built: Built, yard: Yardstick, found: Spreads, as_built: Rod) -> tuple[Spine, tuple[float, float], float]:
    """The rod's own two planes: its unevenness by the shares of the bend, and the first rate in each."""
    u, v = float(found.whole.value[-2]), float(found.whole.value[-1])
    seen, doubt = told(u, v, found.spine)
    size, phi = float(np.hypot(u, v)), direction(u, v)
    beam = rod_beam(as_built, built.tip)
    ends = hats(built, beam)[0]
    uneven = yard.at_nodes(built.faces)
    stiff, soft = (
        first_modes(in_plane(beam, ends, uneven.u, uneven.v, phi + turn))[0].frequency for turn in (0.0, np.pi / 2)
    )
    per_size = (stiff - soft) / size if size > 1e-9 else stiff
    of_cane = share_of_cane(built, yard, found.whole.value)
    return Spine(2 * size, 2 * doubt, phi, seen, of_cane), (stiff, soft), abs(per_size) * doubt


def _astray(built: Built, yard: Yardstick, found: Spreads, modulus: Stated | None, seed: int) -> float:
    """How far the linear answer of drop and rate is from drawn rods solved outright, of their spread [-], at most."""
    faces, cane = built.draw_both(np.random.default_rng(seed + 1), CHECKED)
    line = yard.answer.line
    drawn = [replace(built, faces=one, cane=_nth(built.cane, cane, i)) for i, one in enumerate(faces)]
    beams = [rod_beam(rod_as_built(one, modulus), built.tip) for one in drawn]
    outright = np.array([figures(one, yard.answer.load, line) for one in beams])
    linear = yard.whole(faces, 1.0, cane)[:, 2:4]
    outright = np.stack([outright[:, 0], outright[:, 2] ** -0.5], axis=1)
    return float(np.max(np.sqrt(np.mean((linear - outright) ** 2, axis=0)) / found.whole.drawn[2:4]))


def _nth(cane: BuiltCane | None, drawn: CaneAt | None, i: int) -> BuiltCane | None:
    """The cane of the i-th of many rods ``drawn``."""
    if cane is None or drawn is None:
        return None
    scraped = drawn.scraped if drawn.scraped.ndim == 2 else drawn.scraped[i]
    return replace(cane, at=CaneAt(drawn.share[i], scraped))


def _unbent(whole: tuple[Compared, ...]) -> tuple[str, ...]:
    """Why no greatest stress is told, where none is."""
    if any(one.name == STRESS for one in whole):
        return ()
    return ("no greatest stress is told: the tip's end, which nothing bends, is the only station ahead of the grip",)


def _turned(built: Built) -> tuple[str, ...]:
    """How the sections are taken to stand to one another, where more than one was read."""
    if len(built.parts) < 2:
        return ()
    return (
        "the rod's spine is that of its sections put together with their first strips in line: turned otherwise at a "
        "ferrule it is another",
    )


def _notes(rod: Rod, modulus: Stated | None, astray: float) -> tuple[str, ...]:
    notes = []
    if modulus is not None:
        notes.append(
            f"the built rod is of cane of {rod.display.modulus(modulus.value)} ({modulus.source}), the drawn one of "
            f"{rod.display.modulus(rod.cane.modulus.value)}: their stiffness differs by that too"
        )
    else:
        notes.append(
            "drawn and built are taken to be of the same cane: no bend test tells its modulus, and its doubt is in "
            "neither"
        )
    if rod.making.finish.nanometres or rod.making.glue_line.nanometres:
        notes.append("what scraping took and how thick the seams are is taken from the file, in doubt by half of it")
    notes.append("glue, voids and seams count as cane and faces as flat, as they do in the drawn rod")
    if astray > ASTRAY:
        notes.append(f"the spread of drop and rate is good to {astray:.0%} of itself only: strips differ too much")
    return tuple(notes)

"""``book``: the shop book."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from os import PathLike
from pathlib import Path

from culmwright.bench.passes import THOU, PassPlan, depths_for, plan_passes
from culmwright.bench.targets import SectionTargets, StripSchedule, block_of, schedule
from culmwright.book.contents import PAPERS as PAPERS
from culmwright.book.contents import BenchSection, BookContents, Group, Paper, Seated
from culmwright.book.leaf import Leaf
from culmwright.book.rod_drawing import DrawnRod, Joint
from culmwright.book.ruler import Ruler
from culmwright.design.fittings import Guide, propose_guides, seat
from culmwright.design.polygon import apothem
from culmwright.design.rod import Rod
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.mechanics.stress import stress_check
from culmwright.workshop.behaving import behaviour_of, guides_of
from culmwright.workshop.hollowing import hollow_of
from culmwright.workshop.writing import must_be_free, write_whole

LAST_SIGN = 0x2200  # beyond the letters, marks and arrows of the font


@dataclass(frozen=True, slots=True)
class BookMade:
    """The path of a printed book, how many pages it has, and what to know about it."""

    book: str
    pages: int
    warnings: tuple[str, ...] = ()


def _no_leaves(_: Ruler) -> tuple[Leaf, ...]:
    return ()


@dataclass(frozen=True, slots=True)
class Kept:
    """What the shop holds on a rod: its ``code`` there, the ``frozen`` drawing, what was read, its log (when, what).

    ``early`` and ``late`` make the leaves of its other stages, at the width of a ruler.
    """

    code: str
    frozen: str
    bench: tuple[BenchSection, ...]
    story: tuple[tuple[str, str], ...]
    early: Callable[[Ruler], tuple[Leaf, ...]] = _no_leaves
    late: Callable[[Ruler], tuple[Leaf, ...]] = _no_leaves


def day(text: str | None) -> datetime.date:
    """A date typed as ``2026-11-24``, or today for None. Raises :class:`BadInput` for anything else."""
    if text is None:
        return datetime.date.today()
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise BadInput(f'"{text}" is not a date', where="--date", remedy="Write it like 2026-11-24") from None


def book_file(output: str | PathLike[str]) -> Path:
    """Where a book is to be written; raises :class:`BadInput` for what is no PDF, or in a folder that is not there."""
    target = Path(output)
    if target.suffix.lower() != ".pdf":
        named = f"{target.stem.lstrip('.') or 'book'}.pdf"
        raise BadInput("a book is a PDF", where=str(target), remedy=f"Name it {named}")
    with suppress(OSError):  # a name the disk refuses is told of by the writing
        must_be_free(target, replace=True)
    return target


def book(
    rod: Rod,
    output: str | PathLike[str],
    paper: Paper = PAPERS["a4"],
    show: Display | None = None,
    date: datetime.date | None = None,
    kept: Kept | None = None,
) -> BookMade:
    """Print the shop book of ``rod`` to ``output``: the same rod, paper, display and date give the same bytes.

    ``kept`` is what the shop has read on it, for a rod that stands in a ledger.

    Raises :class:`BadInput` where ``output`` cannot be written; nothing is left half-written.
    """
    from culmwright.book.press import press

    target = book_file(output)
    day_printed = date or datetime.date.today()
    content, pages = press(contents(rod, paper, show or rod.display, day_printed, kept), day_printed)
    return BookMade(str(write_whole(target, content)), pages, (*rod.warnings, *_unprintable(rod)))


def _unprintable(rod: Rod) -> tuple[str, ...]:
    """Characters the book's font has no sign for: it knows Latin, Greek and Cyrillic."""
    strange = sorted({one for one in rod.name + rod.maker + rod.wish if ord(one) > LAST_SIGN})
    return (f"the book's font has no sign for {' '.join(strange)}: an empty box stands there",) if strange else ()


def contents(rod: Rod, paper: Paper, show: Display, date: datetime.date, kept: Kept | None = None) -> BookContents:
    """The results a book of ``rod`` shows."""
    found = schedule(rod)
    groups = groups_of(rod, found)
    over = rod.bench.strip_over.m
    plans = [(group, plan) for group in groups for plan in (group.roughing, group.finishing) if plan]
    tips = range(1, rod.tips + 1) if rod.tip_tapers else (1,)
    ruler = Ruler(rod.length.m, paper.text_width)
    return BookContents(
        rod=rod,
        show=show,
        paper=paper,
        date=date.isoformat(),
        drawing=drawing_of(rod, show),
        checks=tuple(stress_check(rod, tip=tip) for tip in tips),
        schedule=found,
        groups=groups,
        strips=sum(section.strips for section in found.sections),
        strip_lengths=tuple((section.section, section.length + over) for section in found.sections),
        walked=sum(len(group.names) * (plan.distance_walked or 0.0) for group, plan in plans),
        strokes=sum(len(group.names) * len(plan.passes) * plan.strips for group, plan in plans),
        seats=_seats(rod),
        guides=rod.guides
        or tuple(
            Guide(place) for place in propose_guides(rod.length, rod.ferrules, rod.grip, metric=show.bare == "mm")
        ),
        guides_proposed=not rod.guides,
        block_errors=_block_errors(rod, found, show),
        behaviour=tuple(one for tip in tips if (one := behaviour_of(rod, show, tip))),
        guide_plan=guides_of(rod, show),
        code=kept.code if kept else rod.code,
        frozen=kept.frozen if kept else rod.code,
        bench=kept.bench if kept else (),
        story=kept.story if kept else (),
        early=(*hollow_of(rod, show, ruler), *(kept.early(ruler) if kept else ())),
        late=kept.late(ruler) if kept else (),
    )


def groups_of(rod: Rod, found: StripSchedule) -> tuple[Group, ...]:
    """Sections with the same strips, in the order of the schedule."""
    alike: dict[tuple[tuple[float, float], ...], list[SectionTargets]] = {}
    for section in found.sections:
        alike.setdefault(tuple((one.station, one.height) for one in section.stations), []).append(section)
    groups = []
    for sections in alike.values():
        most = min(sections[0].stations, key=lambda one: one.height)
        groups.append(
            Group(
                names=tuple(section.section for section in sections),
                targets=sections[0],
                roughing=_roughing(rod, sections[0]),
                finishing=_plan(rod, sections[0], most.rough_height, most.height, wet=False),
            )
        )
    return tuple(groups)


def _plan(rod: Rod, section: SectionTargets, now: float, target: float, *, wet: bool) -> PassPlan:
    """The passes of all strips of a section from ``now`` to ``target`` [m]."""
    depths = depths_for(wet=wet, metric=rod.display.bare == "mm")
    length = section.length + rod.bench.strip_over.m
    return plan_passes(now, target, rod.form, rod.bench.cutter, depths, section.strips, length)


def _roughing(rod: Rod, section: SectionTargets) -> PassPlan | None:
    """From the split strip to the roughed one, where most comes off; None without a split height."""
    split = rod.bench.split_height
    if split is None:
        return None
    most = min(section.stations, key=lambda one: one.height)
    return _plan(rod, section, split.m, most.rough_height, wet=rod.bench.wet)


def roughing_rounds(rod: Rod, section: SectionTargets) -> tuple[float, ...]:
    """Depths [m] of the rounds that rough a section, as the book plans them."""
    plan = _roughing(rod, section)
    return () if plan is None else plan.passes[:: plan.strokes_per_round]


def _seats(rod: Rod) -> tuple[Seated, ...]:
    seats = []
    for number, ferrule in enumerate(rod.ferrules):
        x = ferrule.station.m
        for tip in range(1, rod.tips + 1) if rod.tip_tapers and number == 0 else (1,):
            outer, inner = rod.assembled(tip)[number : number + 2]
            bare = [rod.bare_apothem(side.taper.at(x)) for side in (outer, inner)]
            tip_side, butt_side = (seat(rod.sides, a, ferrule.size) for a in bare)
            step = butt_side.flats - tip_side.flats
            seats.append(Seated(ferrule, outer.name, inner.name, tip_side, butt_side, step))
    return tuple(seats)


def _block_errors(rod: Rod, found: StripSchedule, show: Display) -> tuple[tuple[str, float], ...]:
    block, form = block_of(rod), rod.form
    if block.wedges(form):
        return ()
    tallest = max(one.height for section in found.sections for one in section.stations)
    small = show.small
    lean, worn, root = (
        block.lean_error(form, tallest),
        block.worn_apex_error(form, 5 * THOU),
        block.round_root_error(5 * THOU),
    )
    return (
        (f"root worn to a radius of {small(5 * THOU)}: every reading high by", root),
        (f"root relieved by a slot of {small(20 * THOU)}: every reading low by", block.relief_error(form, 20 * THOU)),
        ("strip leaning to one wall, read at its high edge: high by", lean),
        (f"strip apex rounded to {small(5 * THOU)}: low by", -worn),
    )


def drawing_of(rod: Rod, show: Display) -> DrawnRod:
    """What a drawing of ``rod`` shows, lengths [m]."""
    sections = rod.assembled()
    drawn = [(station.m, section.taper.at(station.m)) for section in sections for station in section.stations]
    return DrawnRod(
        sides=rod.sides,
        outline=tuple((x, 2 * apothem(rod.sides, across)) for x, across in drawn),
        grip=rod.grip.m,
        joints=tuple(Joint(one.station.m, one.bore, f"ferrule {one.size}/64") for one in rod.ferrules),
        guides=tuple(guide.station.m for guide in rod.guides),
        sections=tuple((x, apothem(rod.sides, across)) for x, across in drawn),
        tick=0.127 if show.bare == "in" else 0.125,
    )

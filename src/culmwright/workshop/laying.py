"""``layout``: the node layout of a rod's sections, or of one section by its length, from one or several culms."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from culmwright.bench.culm_yield import CulmYield, culm_yield
from culmwright.bench.layout_tasks import candidate, tasks
from culmwright.bench.node_zones import USUAL as USUAL
from culmwright.bench.node_zones import Margins as Margins
from culmwright.cane.culm import Culm as Culm
from culmwright.cane.culm_file import read_culm as read_culm
from culmwright.cane.layout import SectionLayout as SectionLayout
from culmwright.cane.layout import lay_out_all
from culmwright.cane.ring import ring_of
from culmwright.cane.search import News as News
from culmwright.cane.task import UNNAMED, Task, both, must_be_section
from culmwright.design.rod import Rod
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.record import si

Tell = Callable[[str, News], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class RodLayout:
    """The node layouts of a rod's ``sections``; the keys before them are those of the first one, ``section``.

    ``parted`` is how the culms serve the rod, None where a section was given by its length.
    """

    name: str
    section: str
    slides: tuple[float, ...] = si("m")
    ring: tuple[int, ...]
    least_distance: float | None = si("m")
    least_touching: float | None = si("m")
    proved: bool
    sections: tuple[SectionLayout, ...]
    parted: CulmYield | None
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def silent(section: str, news: News) -> None:
    """Tell nobody."""


def layout(
    rod: Rod,
    culms: tuple[Culm, ...],
    *,
    section: str | None = None,
    share: int = 1,
    margins: Margins = USUAL,
    trim: Length | None = None,
    tell: Tell = silent,
) -> RodLayout:
    """The node layout of every section of ``rod``, or of one ``section``, from what ``culms`` yield.

    Up to ``share`` strips may carry their nodes at one place; ``trim`` is what a strip stays longer than its section,
    as the rod file says if None. Raises :class:`AnswerIsNo` where strips are too few or too short.
    """
    _must_be_told_apart(culms)
    names = [one.name for one in rod.sections()]
    if section is not None and section not in names:
        raise BadInput(f"this rod has no section {section}", where="--section", remedy=f"Name {', '.join(names)}")
    found = culm_yield(rod, culms, trim)
    wanted = names if section is None else [section]
    for one in found.short:
        if one.section in wanted:
            raise AnswerIsNo(
                f"{one.strips} of {rod.sides} strips are missing: {one.why}",
                where=f"section {one.section}",
                remedy="See what each length yields with: culmwright culm CULM --rod ROD",
            )
    asked = [one for one in tasks(rod, found, margins, share, trim) if one.section in wanted]
    return _told(rod.name, asked, tell, found)


def layout_of_length(
    culms: tuple[Culm, ...],
    length: Length,
    *,
    strips: int = 6,
    share: int = 1,
    trim: Length | None = None,
    lengths: tuple[str, ...] = (),
    tell: Tell = silent,
) -> RodLayout:
    """The node layout of a section of this ``length``, without zones, out of ``lengths`` that offer ``strips`` each.

    Where none are named, the first that is long enough serves alone.
    """
    _must_be_told_apart(culms)
    must_be_section(strips)
    shelf = {one.name: (culm, one) for culm in culms for one in culm.lengths}
    for name in lengths:
        if name not in shelf:
            raise BadInput(f"there is no culm length {name}", where="--from", remedy=f"Name one of {', '.join(shelf)}")
    trim = Length.parse("0 m") if trim is None else trim
    long_enough = [name for name, (_, one) in shelf.items() if one.length >= length.m + trim.m - 1e-9]
    if not lengths and not long_enough:
        longest = max(one.length for _, one in shelf.values())
        raise AnswerIsNo(
            f"with its trim the section is {both(length.m + trim.m)} long, the longest length of cane {both(longest)}",
            where="culm",
            remedy="Cut the culm into longer lengths, or leave less trim",
        )
    offered = [candidate(raw) for name in (lengths or tuple(long_enough[:1])) for raw in ring_of(*shelf[name], strips)]
    task = Task(UNNAMED, round(length.nanometres), round(trim.nanometres), strips, tuple(offered), (), share)
    made = _told(culms[0].label, [task], tell, None)
    return replace(made, warnings=tuple(warning for culm in culms for warning in culm.warnings))


def _told(name: str, asked: list[Task], tell: Tell, found: CulmYield | None) -> RodLayout:
    laid = lay_out_all(asked, tell)
    first = laid[0]
    return RodLayout(
        name=name,
        section=first.section,
        slides=first.slides,
        ring=first.ring,
        least_distance=first.least_distance,
        least_touching=first.least_touching,
        proved=first.proved,
        sections=laid,
        parted=found,
        notes=found.notes if found else (),
        warnings=found.warnings if found else (),
    )


def _must_be_told_apart(culms: tuple[Culm, ...]) -> None:
    names = [one.name for culm in culms for one in culm.lengths]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise BadInput(
            f"two culm lengths are called {twice[0]}", where="culm", remedy="Give each length a name of its own"
        )

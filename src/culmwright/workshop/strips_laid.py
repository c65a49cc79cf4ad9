"""The strips at the bench and the node layout they were cut to, joined.

*The join.* The cut list of a layout is numbered round the ring, and the strip cut to its line 1 is S1 from then on, the
one cut to line 2 S2: pencilled, labelled, read and matched by that number. Spares take the numbers after. Keeping a
layout enters the strips so, each with its culm and its place round it. Where a strip was cut to another line than its
own, or a spare to one, the maker says to which line each was cut, and that is kept as a docket.

A layout is taken for what strips were cut to where it was kept before any strip of its section was planed or read, and
is of the drawing at hand. Else nobody knows: it is used only once the maker has said to which lines strips were cut. Of
a spare that nobody said that of, nothing is known, and nothing is made up.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from culmwright.cane.apart import distance
from culmwright.cane.culm_file import culm_from_text
from culmwright.cane.layout import SectionLayout
from culmwright.ledger.dockets import Docket, dockets, keep_docket
from culmwright.ledger.faults import Conflict
from culmwright.ledger.frozen import revisions
from culmwright.ledger.happenings import passes
from culmwright.ledger.readings import current
from culmwright.ledger.register import Strip, add_strip, culms, strips
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.workshop.opening import Begun

CUT_TO = "strips cut to"
"""The kind of docket that says to which line of its cut list each strip of a section was cut."""
Lines = tuple[int | None, ...]
"""For S1, S2 and so on the line of the cut list it was cut to, None where it was cut to none."""


@dataclass(frozen=True, slots=True)
class Laid:
    """A section's strips as laid out: the ``layout`` they were cut to, None where nobody knows, and their ``lines``.

    ``notes`` say what is not known.
    """

    layout: SectionLayout | None = None
    lines: Lines = ()
    notes: tuple[str, ...] = ()

    @property
    def touching(self) -> float | None:
        """The least distance [m] of nodes on touching strips that the layout keeps; None without one."""
        return self.layout.least_touching if self.layout else None

    def ring(self, numbers: Iterable[int] | None = None) -> tuple[int, ...]:
        """The strips in the ring order of the layout, of those at hand where their ``numbers`` are given; empty where
        one of its lines has no strip.
        """
        if self.layout is None:
            return ()
        every = range(1, len(self.lines) + 1)
        holds = {self.lines[one - 1]: one for one in sorted(every if numbers is None else numbers, reverse=True)}
        wanted = range(1, len(self.layout.cuts) + 1)
        return tuple(holds[line] for line in wanted) if set(wanted) <= set(holds) else ()

    def knows(self, strip: int) -> bool:
        """True if it is known where the nodes of a strip lie."""
        return self.layout is not None and strip <= len(self.lines) and self.lines[strip - 1] is not None

    def apart(self, numbers: tuple[int, ...]) -> npt.NDArray[np.float64] | None:
        """The least distance [m] between nodes of every two of the strips of these ``numbers``, infinite where it is
        not known or one has no node on the section; None where nothing is known of any.
        """
        if not any(self.knows(one) for one in numbers):
            return None
        found = np.full((len(numbers), len(numbers)), np.inf)
        for i, one in enumerate(numbers):
            for j, other in enumerate(numbers[:i]):
                if self.knows(one) and self.knows(other):
                    least = distance(self._nodes(one), self._nodes(other))
                    found[i, j] = found[j, i] = np.inf if least is None else least / 1e9
        return found

    def touching_in(self, ring: tuple[int, ...]) -> float | None:
        """The least distance [m] of nodes on touching strips in a ``ring``, of strips whose nodes are known."""
        known = [(a, b) for a, b in pairwise((*ring, ring[0])) if self.knows(a) and self.knows(b)]
        found = [distance(self._nodes(a), self._nodes(b)) for a, b in known]
        return min((one / 1e9 for one in found if one is not None), default=None)

    def _nodes(self, strip: int) -> tuple[int, ...]:
        """Places [nm] of a strip's nodes on the section."""
        line = self.lines[strip - 1]
        assert self.layout is not None and line is not None
        return tuple(round(node * 1e9) for node in self.layout.cut_list[line - 1].nodes)


def strips_laid(
    shop: Shop, begun: Begun, section: str, kept: tuple[Docket, SectionLayout] | None, said: Lines | None = None
) -> Laid:
    """The strips of a ``section`` joined to the layout ``kept`` of it; ``said`` is to which lines they were cut.

    Where nothing is ``said``, what was said before and kept counts, else the numbers of the cut list.
    """
    if kept is None:
        if said is not None:
            raise BadInput(f"no node layout of {section} is kept", where="cut to", remedy="Lay it out and keep it")
        return Laid(notes=(f"no node layout of {section} is kept: where nodes lie is not counted",))
    docket, layout = kept
    count = begun.rod.sides + begun.rod.bench.spares
    of = next(one for one in begun.rod.sections() if one.name == section)
    if abs(layout.length - of.length) > 1e-9:
        what = f"{section} was laid out to another length than it has now: where nodes lie is not counted"
        return Laid(notes=(what,))
    told = said or _said_before(shop, begun, section, docket)
    if said is not None:
        _must_be_alike(layout, said)
    if told is None:
        doubt = _doubt(shop, begun, section, docket)
        if doubt:
            return Laid(notes=(f"{doubt}: where nodes lie is not counted until you say to which line each was cut",))
    lines = told or tuple(range(1, len(layout.cuts) + 1))
    lines = (*lines, *(None for _ in range(count - len(lines))))
    unknown = [f"S{number}" for number, line in enumerate(lines, 1) if line is None]
    notes = (f"the cut list has no line for {', '.join(unknown)}: where its nodes lie is not known",)
    return Laid(layout, lines, notes if unknown else ())


def _must_be_alike(layout: SectionLayout, said: Lines) -> None:
    """Refuse a strip cut to the line of a strip out of another culm length: its nodes are not those of that line."""
    for number, line in enumerate(said, 1):
        own = layout.split_as.get(number)
        if own is None or line is None:
            continue
        of, cut = own.rpartition("/")[0], layout.cut_list[line - 1]
        if of != cut.source:
            raise BadInput(
                f"S{number} is out of {of}, and line {line} is of a strip out of {cut.source}: their nodes differ",
                where="cut to",
                remedy=f"Write - for S{number}",
            )


def _said_before(shop: Shop, begun: Begun, section: str, docket: Docket) -> Lines | None:
    """What was said of strips cut to this very layout."""
    said = [json.loads(one.text) for one in dockets(shop, CUT_TO, rod=begun.revision.rod, section=section)]
    return next((tuple(one["lines"]) for one in reversed(said) if one["layout"] == docket.seq), None)


def _doubt(shop: Shop, begun: Begun, section: str, docket: Docket) -> str:
    """Why nobody knows that strips were cut to a layout; "" where it stands to reason."""
    drawn = next(one for one in revisions(shop, begun.revision.rod) if one.id == json.loads(docket.text)["revision"])
    if drawn.id != begun.revision.id:
        return f"{section} was laid out to {begun.revision.code}.{drawn.revision}, and this is {begun.code}"
    if cut_before(shop, begun, section, docket.seq):
        return f"the layout of {section} was kept {docket.at:%Y-%m-%d}, after its strips were first planed or read"
    return ""


def cut_before(shop: Shop, begun: Begun, section: str, seq: int | None = None) -> bool:
    """True if a strip of a section was planed or read before the place ``seq`` of the shop's sequence, or at all."""
    made: list[int] = []
    for drawn in revisions(shop, begun.revision.rod):
        made += [one.seq for one in current(shop, drawn.id, section=section)]
        made += [one.seq for one in passes(shop, drawn.id, section=section)]
    return any(seq is None or one < seq for one in made)


def lines_of(begun: Begun, text: str) -> Lines | None:
    """To which line of the cut list each strip was cut, as typed: "1 2 5 4 3 6 -", in the order S1, S2 …; None for "".

    Raises :class:`BadInput` for what is no line, and unless every strip of the section is named.
    """
    typed = text.replace(",", " ").split()
    if not typed:
        return None
    sides, count = begun.rod.sides, begun.rod.sides + begun.rod.bench.spares
    remedy = f"Give {count} in the order S1, S2 …: a line of 1 to {sides} each, or - for one cut to none"
    if len(typed) != count:
        raise BadInput(f"{len(typed)} of the section's {count} strips are told", where="cut to", remedy=remedy)
    for one in typed:
        if one != "-" and not (one.isascii() and one.isdigit() and len(one) < 4 and 1 <= int(one) <= sides):
            raise BadInput(f'"{one[:20]}" is no line of the cut list', where="cut to", remedy=remedy)
    return tuple(None if one == "-" else int(one) for one in typed)


def keep_lines(
    shop: Shop,
    begun: Begun,
    section: str,
    kept: tuple[Docket, SectionLayout],
    said: Lines,
    at: datetime | None = None,
) -> None:
    """Keep to which line of the cut list each strip of a section was cut, and enter the strips so."""
    docket, layout = kept
    if _said_before(shop, begun, section, docket) == said:
        return
    old = dockets(shop, CUT_TO, rod=begun.revision.rod, section=section)
    keep_docket(
        shop,
        CUT_TO,
        json.dumps({"layout": docket.seq, "lines": list(said)}),
        rod=begun.revision.rod,
        section=section,
        at=at,
        supersedes=old[-1].seq if old else None,
        why="said anew" if old else None,
    )
    enter_strips(shop, begun, docket, layout)


def enter_strips(shop: Shop, begun: Begun, docket: Docket, layout: SectionLayout) -> None:
    """Enter the strips of a section by the numbers its cut list gives them, each with its culm and place round it.

    A number that was given to a strip before keeps that strip's label.
    """
    section, ids = layout.section, {one.label: one.id for one in culms(shop)}
    of = {name: ids.get(label) for name, label in culms_named(docket).items()}
    known: dict[int, Strip] = {one.number: one for one in strips(shop, begun.revision.rod) if one.section == section}
    for number, mark in layout.split_as.items():
        length, _, place = mark.rpartition("/")
        old = known.get(number)
        if old is not None and (old.culm, old.place) == (of.get(length), int(place)):
            continue
        with suppress(Conflict):  # a number that was another strip's stays what it is
            add_strip(
                shop,
                old.label if old else f"{begun.revision.code}/{section}/S{number}",
                begun.revision.rod,
                section,
                number,
                culm=of.get(length),
                place=int(place),
                note=old.note if old else None,
                supersedes=old.id if old else None,
                why="as the cut list has it" if old else None,
            )


def culms_named(docket: Docket) -> dict[str, str]:
    """The label of the culm each culm length of a kept layout is of."""
    found = (culm_from_text(one) for one in json.loads(docket.text)["culms"])
    return {length.name: culm.label for culm in found for length in culm.lengths}

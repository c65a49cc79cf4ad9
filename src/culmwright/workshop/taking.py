"""One reading weighed and kept, the same way for every bench: what it is judged by, what is asked first, what is kept.

Nothing here remembers anything: a bench in a terminal and one on a page put the same questions and keep the same rows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from culmwright.bench.cuts import Cutting
from culmwright.bench.guards import Beside, Held, HeldFor, Reach, astray, exchanged, far_off, other_unit, repeat
from culmwright.bench.judge import Aim, Judgement, Stage, judge
from culmwright.bench.limits import FINISH_LIMITS, ROUGH_LIMITS, Limits
from culmwright.bench.passes import THOU, depths_for
from culmwright.design.rod import Rod
from culmwright.ledger.records import Cell, Entry, Reading
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

GUARD_WITHIN = 20 * THOU  # [m] how near its target a value is once a mixed-up unit is put right
DEEPEST_PASS = 60 * THOU  # [m] more is a slip of the unit
SPARE_REACH = 40 * THOU  # [m] above a split strip's height, before a reading is thought too high to be one


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked before a reading is kept: the ``words``, whether the answer needs a reason, and the judgement
    where the question is about that. Where a reading is ``astray``, the same read again answers.
    """

    words: str
    doubt: bool
    judgement: Judgement | None = None
    astray: bool = False


@dataclass(frozen=True, slots=True)
class Yardstick:
    """What the strips of a ``rod`` are judged by at one ``stage``."""

    rod: Rod
    stage: Stage

    @property
    def limits(self) -> Limits:
        """The limits of the stage."""
        return limits_of(self.stage)

    @property
    def cutting(self) -> Cutting:
        """What strips are cut with."""
        return cutting_of(self.rod, self.stage)

    @property
    def wet(self) -> bool:
        """True if strips are read wet at this stage."""
        return self.stage is Stage.ROUGH and self.rod.bench.wet

    def judged(self, value: Length, aimed: Aim) -> Judgement:
        """The judgement of a value against its aim."""
        return judge(value.m, aimed, self.limits, self.cutting, self.rod.display)

    def reach(self, aimed: Aim) -> Reach:
        """How far from its aim a reading can be in earnest: a strip as split may stand far over."""
        split = self.rod.bench.split_height
        over = 120 * THOU if split is None else max(split.m - aimed.height, 0.0) + SPARE_REACH
        return Reach(under=20 * THOU, over=over)

    def question(
        self,
        value: Length,
        aimed: Aim,
        last: tuple[Length, float] | None = None,
        others: Iterable[Beside] = (),
    ) -> Question | None:
        """The one thing to be asked before ``value`` is kept, None if nothing.

        ``last`` is the value kept last and how long ago [s] that was, ``others`` what was read on the same strip.
        """
        show = self.rod.display
        held: Held | None = repeat(value, *last) if last else None
        held = held or other_unit(value, aimed.reading, GUARD_WITHIN, show)
        held = held or far_off(value, aimed.reading, show, self.reach(aimed))
        if held is not None:
            return Question(held.question, held.reason is not HeldFor.REPEAT)
        judgement, around = self.judged(value, aimed), tuple(others)
        held = exchanged(value, aimed, around, show)
        if held is None and judgement.needs_reason:
            return Question(f"{judgement.words}. Read again, or keep it and say why", True, judgement)
        held = held or astray(value, aimed, around, show)
        return None if held is None else Question(held.question, judgement.needs_reason, judgement, astray=True)


def beside(cell: Cell, every: Iterable[Reading], aimed: Callable[[Reading], Aim]) -> tuple[Beside, ...]:
    """What of ``every`` reading is of the strip of ``cell`` after the same pass, each with what it ``aimed`` at."""
    return tuple(
        Beside(aimed(one), one.entry.value)
        for one in every
        if one.entry.value is not None and _strip(one.entry.cell) == _strip(cell)
    )


def _strip(cell: Cell) -> tuple[object, ...]:
    return cell.rod_revision, cell.stage, cell.pass_number, cell.section, cell.strip


def entry_of(
    cell: Cell,
    value: Length,
    old: Reading | None,
    why: str,
    at: datetime,
    *,
    wet: bool,
    gauge: int | None = None,
    person: int | None = None,
    id: str | None = None,
) -> Entry:
    """The entry that keeps a ``value``: it supersedes the ``old`` reading of its cell, if there is one."""
    entry = Entry.measured(cell, value, wet=wet, gauge=gauge, person=person, at=at, id=id)
    if old is not None:
        return replace(entry, supersedes=old.seq, why=why or "read again")
    return replace(entry, why=why) if why else entry


def depth_typed(typed: str, bare: str) -> Length | None:
    """The depth of a pass as typed; None where it was left empty, since it is not known.

    Raises :class:`BadInput` for a depth no pass has.
    """
    taken = Length.parse(typed, bare) if typed.strip() else None
    if taken is not None and not 0 < taken.m <= DEEPEST_PASS:
        raise BadInput(f"{taken} is no depth of a pass", remedy="Give it like 8 thou or 0.2 mm")
    return taken


def round_words(section: str, strip: int | None, depth: Length | None, show: Display) -> str:
    """What the bench says of a round of passes put into the log."""
    over = f"every strip of {section}" if strip is None else f"{section}/S{strip}"
    return f"a round{f' of {show.small(depth.m)}' if depth is not None else ''} over {over} is in the log"


def limits_of(stage: Stage) -> Limits:
    """The limits a stage is judged by."""
    return ROUGH_LIMITS if stage is Stage.ROUGH else FINISH_LIMITS


def cutting_of(rod: Rod, stage: Stage) -> Cutting:
    """What strips of ``rod`` are cut with at a stage."""
    wet = stage is Stage.ROUGH and rod.bench.wet
    return Cutting(rod.form, rod.bench.cutter, depths_for(wet=wet, metric=rod.display.bare == "mm"))

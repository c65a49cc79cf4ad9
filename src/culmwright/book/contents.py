"""What goes into a shop book: finished results of the other rooms, put side by side."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.bench.control import ControlChart
from culmwright.bench.judge_strip import StripJudgement
from culmwright.bench.limits import Limits
from culmwright.bench.passes import PassPlan
from culmwright.bench.salvage import Way
from culmwright.bench.targets import SectionTargets, StripSchedule
from culmwright.book.leaf import Leaf
from culmwright.book.rod_drawing import DrawnRod
from culmwright.design.fittings import Ferrule, FerruleSeat, Guide
from culmwright.design.rod import Rod
from culmwright.measure.display import Display
from culmwright.mechanics.guide_plan import GuidePlan
from culmwright.mechanics.oversize import Oversize
from culmwright.mechanics.stress import StressCheck


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet: its ``name`` for the press, its width [m], the margin at each side [m], and how tall its two
    ``charts`` may be [pt]; ``roomy`` leaves more air between the rows of long tables.
    """

    name: str
    width: float
    charts: tuple[float, float]
    roomy: bool
    margin: float = 0.018

    @property
    def text_width(self) -> float:
        """Width between the margins [pt]."""
        return (self.width - 2 * self.margin) / 0.0254 * 72


PAPERS = {
    "a4": Paper("a4", 0.210, (185.0, 225.0), roomy=True),
    "letter": Paper("us-letter", 0.2159, (150.0, 190.0), roomy=False),
}


@dataclass(frozen=True, slots=True)
class Group:
    """Sections whose strips are the same, and the passes that make them."""

    names: tuple[str, ...]
    targets: SectionTargets
    roughing: PassPlan | None
    finishing: PassPlan


@dataclass(frozen=True, slots=True)
class Seated:
    """A ferrule and how it sits on both sides of its joint, sections ``outer`` and ``inner``; ``step`` between [m]."""

    ferrule: Ferrule
    outer: str
    inner: str
    tip_side: FerruleSeat
    butt_side: FerruleSeat
    step: float


@dataclass(frozen=True, slots=True)
class BenchStrip:
    """One strip as read: its judgement and, where it is under size, the ways it can go."""

    section: str
    strip: int
    judgement: StripJudgement
    ways: tuple[Way, ...]
    words: str


@dataclass(frozen=True, slots=True)
class BenchSection:
    """The strips of one section by their newest readings of a stage (after ``passes``), and their process in words."""

    section: str
    called: str
    passes: str
    limits: Limits
    strips: tuple[BenchStrip, ...]
    chart: ControlChart | None
    process: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BentOnce:
    """The rod at rest under a hanging ``load`` [N]: places from the clamp, forward and up [m], at ``s`` along it [m].

    ``angle`` [rad] above the horizontal, ``stress`` [Pa] of the outermost cane.
    """

    load: float
    x: tuple[float, ...]
    y: tuple[float, ...]
    s: tuple[float, ...]
    angle: tuple[float, ...]
    stress: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Swing:
    """One mode: its frequency [Hz] and swings a minute, and its shape over the distance from the clamp ``s`` [m]."""

    frequency: float
    per_minute: float
    s: tuple[float, ...]
    shape: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Behaviour:
    """How a rod bends and swings with tip number ``tip``: ``shapes`` under rising loads, what the last one's bend is
    shared like as (station, station, share [-]), the ``curve`` of (load [N], drop [m]) and where it meets the stress
    ``limit`` (load, station), which is ``stress_limit`` [Pa]; ``oversize`` what a little more across is worth.
    """

    tip: int
    shapes: tuple[BentOnce, ...]
    shares: tuple[tuple[float, float, float], ...]
    half_station: float | None
    curve: tuple[tuple[float, float], ...]
    limit: tuple[float, float] | None
    stress_limit: float | None
    modes: tuple[Swing, ...]
    oversize: tuple[Oversize, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BookContents:
    """Everything the press needs.

    ``checks`` and ``behaviour`` one for each different tip; ``guides_proposed`` is True where the file lists none, and
    ``guide_plan`` sets other ways beside them, None where the rod bears no line; ``block_errors`` are (what may be
    wrong, shift of the reading [m]); ``walked`` is the distance of all passes [m]. ``code`` names the rod on labels
    and ``frozen`` the very drawing; ``bench`` and the log's ``story`` (when, what) are empty for a rod nobody has
    read on yet. ``early`` leaves stand before the strips are planed, ``late`` ones after the bench.
    """

    rod: Rod
    show: Display
    paper: Paper
    date: str
    drawing: DrawnRod
    checks: tuple[StressCheck, ...]
    schedule: StripSchedule
    groups: tuple[Group, ...]
    strips: int
    strip_lengths: tuple[tuple[str, float], ...]
    walked: float
    strokes: int
    seats: tuple[Seated, ...]
    guides: tuple[Guide, ...]
    guides_proposed: bool
    block_errors: tuple[tuple[str, float], ...]
    behaviour: tuple[Behaviour, ...]
    guide_plan: GuidePlan | None
    code: str
    frozen: str
    bench: tuple[BenchSection, ...] = ()
    story: tuple[tuple[str, str], ...] = ()
    early: tuple[Leaf, ...] = ()
    late: tuple[Leaf, ...] = ()

"""Every way an under-size strip can still serve, computed, best first, with what each costs.

Geometry only, on dry heights: straight lines between the stations read. Soundness, colour and node places are
the maker's to judge; where a way moves the nodes, it says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from math import ceil, copysign

from culmwright.bench.passes import SAME
from culmwright.bench.slide import Line, fitting_slides, least_and_most, nearest
from culmwright.bench.targets import SectionTargets
from culmwright.design.strip import StripForm
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.record import si

HANDY = {"in": 0.00254, "mm": 0.001}
"""What a slide is measured to at the bench [m], by the unit shown: a tenth of an inch, a millimetre."""


class WayKind(Enum):
    """The ways a strip can go, best first."""

    STAYS = "stays"
    SLID = "slid"
    SECTION = "another section"
    ROD = "another rod"
    ACCEPTED = "accepted"
    SCRAPPED = "scrapped"


@dataclass(frozen=True, slots=True)
class Use:
    """A place a strip can serve: a ``section`` of ``rod``, the heights it needs, and the strips' form."""

    rod: str
    section: str
    target: Line
    form: StripForm

    @classmethod
    def of(cls, rod: str, section: SectionTargets, form: StripForm) -> Use:
        """The finished heights of a section's schedule, its stations counted from the section's tip end."""
        start = section.stations[0].station
        line = Line(
            tuple(one.station - start for one in section.stations),
            tuple(one.height for one in section.stations),
        )
        return cls(rod, section.section, line, form)


@dataclass(frozen=True, slots=True)
class ReadStrip:
    """A strip as read: dry heights at places from the tip end of the section it was cut for.

    ``spare_tip`` and ``spare_butt`` [m] is how far it reaches beyond that section's ends.
    """

    line: Line
    spare_tip: float
    spare_butt: float

    def __post_init__(self) -> None:
        if not (self.spare_tip >= 0 and self.spare_butt >= 0):
            raise BadInput(
                "a strip shorter than its section serves no section",
                where="strip",
                remedy="Measure its length",
            )


@dataclass(frozen=True, slots=True)
class Way:
    """One way a strip can serve, with its figures.

    ``slide`` is how far it moves towards the tip; ``left_over`` the length cut away at both ends together;
    ``most_cut`` the most cane still to come off its height; ``under`` what it stays under at the worst place;
    ``across_loss`` and ``stiffness_loss`` what that does to the rod there, the latter as a share. Figures a
    way has no use for are None.
    """

    kind: WayKind = si("")
    rod: str = si("")
    section: str = si("")
    slide: float | None = si("m")
    left_over: float | None = si("m")
    most_cut: float | None = si("m")
    under: float | None = si("m")
    across_loss: float | None = si("m")
    stiffness_loss: float | None = si("-")
    words: str = si("")
    note: str = field(default="", metadata={"unit": ""})


def ways(
    strip: ReadStrip, own: Use, others: Sequence[Use], display: Display, may_be_under: float = 0.0
) -> tuple[Way, ...]:
    """Every way ``strip`` can serve, best first: where it was meant for, ``others``, accepted as it is,
    scrapped.

    A strip serves where it is nowhere more than ``may_be_under`` [m] under the target. Among ``others`` those
    of the same rod come first, then those with the least cane to come off; strips of another form cannot
    serve.
    """
    own_way = _own(strip, own, display, may_be_under)
    if own_way is not None and own_way.kind is WayKind.STAYS:
        return (own_way,)
    found = [_other(strip, own, use, display, may_be_under) for use in others if _same_form(use, own)]
    serving = [way for way in (own_way, *found) if way is not None]
    order = list(WayKind)
    serving.sort(key=lambda way: (order.index(way.kind), way.most_cut or 0.0))
    return (*serving, _accepted(strip, own, display), _scrapped(own))


def _same_form(use: Use, own: Use) -> bool:
    return use.form.sides == own.form.sides and abs(use.form.apex_angle - own.form.apex_angle) < 1e-9


def _own(strip: ReadStrip, own: Use, display: Display, may_be_under: float) -> Way | None:
    """In its own section, slid as little as possible; None if no slide within its slack serves."""
    slides = fitting_slides(strip.line, own.target, -strip.spare_tip, strip.spare_butt, may_be_under)
    least_slide = nearest(slides, 0.0)
    if least_slide is None:
        return None
    slide = _handy(least_slide, slides, display)
    least, most = least_and_most(strip.line, own.target, slide)
    cut = f"{display.small(most)} at most to come off"
    slack = strip.spare_tip + strip.spare_butt
    if abs(slide) <= SAME:
        kind, words, note = WayKind.STAYS, f"it can stay in {own.section}: {cut}", ""
    else:
        end, there = ("tip", strip.spare_butt) if slide > 0 else ("butt", strip.spare_tip)
        words = (
            f"slid {display.station(abs(slide))} towards the {end} of {own.section}: {cut}; "
            f"it uses {display.station(abs(slide))} of the {display.station(there)} spare at the other end"
        )
        kind, note = WayKind.SLID, _note(strip, own, slide, display)
    return Way(kind, own.rod, own.section, slide, slack, most, max(-least, 0.0), None, None, words, note)


def _other(strip: ReadStrip, own: Use, use: Use, display: Display, may_be_under: float) -> Way | None:
    """In another section, as far towards its own tip end as serves; None if it is too short or too thin."""
    low = own.target.start - strip.spare_tip
    high = own.target.end + strip.spare_butt - use.target.end
    slides = fitting_slides(strip.line, use.target, low, high, may_be_under)
    if not slides:
        return None
    slide = _handy(slides[0][0], slides, display)
    least, most = least_and_most(strip.line, use.target, slide)
    left_over = high - low
    same_rod = use.rod == own.rod
    where = use.section if same_rod else f"{use.section} of {use.rod}"
    side = "up from" if slide >= 0 else "beyond"
    lies = "tip end on tip end" if abs(slide) <= SAME else f"its tip end {display.station(abs(slide))} {side} this one"
    rest = f"{display.station(left_over)} left over" if left_over > SAME else "nothing left over"
    words = f"used in {where}, {lies}: {display.small(most)} at most to come off, {rest}"
    kind = WayKind.SECTION if same_rod else WayKind.ROD
    note = _note(strip, use, slide, display)
    return Way(kind, use.rod, use.section, slide, left_over, most, max(-least, 0.0), None, None, words, note)


def _handy(slide: float, slides: Sequence[tuple[float, float]], display: Display) -> float:
    """The next slide [m] from nought that a rule shows, a tenth of an inch or a millimetre, where that serves too."""
    step = HANDY[display.bare]
    handy = copysign(ceil(abs(slide) / step - 1e-9) * step, slide)
    return handy if any(low <= handy <= high for low, high in slides) else slide


def _accepted(strip: ReadStrip, own: Use, display: Display) -> Way:
    """As it is: across flats falls by what the strip is under, stiffness by its share of the sides.

    Bending stiffness goes with the fourth power of height, one strip of n carries 1/n of it on the mean of
    all axes, so it falls by ``4 (e/h)/n`` for a strip under by e: first order, the other strips true.
    """
    bends = sorted({*own.target.places, *(p for p in strip.line.places if own.target.start < p < own.target.end)})
    under = max(own.target.at(x) - strip.line.at(x) for x in bends)
    stiffness = max(
        stiffness_loss(own.target.at(x) - strip.line.at(x), own.target.at(x), own.form.sides) for x in bends
    )
    across = display.small(under)
    words = (
        f"accepted in {own.section}: across {'flats' if own.form.sides % 2 == 0 else 'flat to corner'} "
        f"up to {across} less, and up to {100 * stiffness:.1f}% less stiff"
    )
    note = f"stiffness by 4 (under/height)/{own.form.sides}, the other strips true; its face stands lower"
    return Way(WayKind.ACCEPTED, own.rod, own.section, 0.0, None, None, under, under, stiffness, words, note)


def stiffness_loss(under: float, height: float, sides: int) -> float:
    """Share of bending stiffness [-] lost where one strip of ``height`` [m] is ``under`` [m]: ``4 (e/h)/n``.

    >>> round(stiffness_loss(0.0015, 0.150, 6), 6)
    0.006667
    """
    return 4 * under / height / sides


def _scrapped(own: Use) -> Way:
    words = f"scrapped: it costs one strip, to be split and cut again for {own.section}"
    return Way(WayKind.SCRAPPED, own.rod, own.section, None, None, None, None, None, None, words)


def _note(strip: ReadStrip, use: Use, slide: float, display: Display) -> str:
    """What to check before cutting: the nodes that move along, and places where the strip was not read."""
    said = ["its nodes move with it: check the layout"]
    ends = (use.target.start + slide, use.target.end + slide)
    beyond = [end for end in ends if not strip.line.start - SAME <= end <= strip.line.end + SAME]
    if beyond:
        places = " and ".join(display.station(end) for end in beyond)
        said.append(
            f"it was not read as far as {places} from its old tip end and is taken to go on straight: read it there"
        )
    return "; ".join(said)

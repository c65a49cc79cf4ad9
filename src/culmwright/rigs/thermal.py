"""A bed insert of another material than its bed: where its holes have gone at another temperature, and what to do.

The insert is held at one place and its holes met the bed's screws at the temperature it was made at. At another,
``error(x) = (expansion of insert - of bed) (T - T_made) |x - x_fixed|``, above zero away from the fixed end: holes have
gone too far. Expansions are bounds, so every answer is: range in, range out. Over the temperatures of a workshop they
count as constant.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from culmwright.measure.band import Band, band
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import CELSIUS
from culmwright.measure.record import si
from culmwright.rigs.expansion import Material, material
from culmwright.rigs.rig import GuidedBed, Rig

COLDEST, WARMEST = CELSIUS[1] - 30.0, CELSIUS[1] + 60.0  # [K] of a workshop
HOT_INSERT = CELSIUS[1] + 60.0
"""A warm insert above this [K] may creep or warp for good: plastics soften (common practice, no source)."""
SHORTEST, LONGEST = 0.01, 10.0  # [m]
MOST_CLEARANCE = 0.02  # [m]
MOST_SCREWS = 200


class Entry(Enum):
    """Whether a screw still goes through its hole."""

    SURE = "enters"
    PERHAPS = "may enter"
    NO = "does not enter"


@dataclass(frozen=True, slots=True)
class Joint:
    """An ``insert`` on a ``bed``, held at the place ``fixed`` along it; they met at the temperature ``made_at``.

    ``screws`` are the places of the screws, ``clearance`` how far a screw may stand off its hole's middle: half of what
    the hole is wider than the screw. None where it is not known.
    """

    insert: Material
    bed: Material
    screws: tuple[float, ...] = si("m")
    fixed: float = si("m")
    made_at: float = si("K")
    clearance: float | None = si("m")

    @property
    def far(self) -> float:
        """The longest way [m] from the fixed end to a screw."""
        return max(abs(place - self.fixed) for place in self.screws)

    @property
    def apart(self) -> Band:
        """By how much more the insert grows than the bed [1/K], at the bounds of both."""
        i, b = self.insert.expansion, self.bed.expansion
        return Band(i.low - b.top, i.top - b.low)


@dataclass(frozen=True, slots=True)
class ScrewFit:
    """One screw: its hole's ``error``, above zero away from the fixed end, and whether it enters; None if not known."""

    place: float = si("m")
    error: Band = si("m")
    entry: Entry | None = si("")


@dataclass(frozen=True, slots=True)
class ThermalFit:
    """The insert on its bed at a temperature ``now``.

    ``enters`` counts the screws that do for certain. ``bring_to`` is where the insert alone fits without force, the bed
    left as it is; ``room`` the temperatures between which every screw enters for certain with both alike, None without
    a clearance or where both grow alike.
    """

    joint: Joint
    now: float = si("K")
    screws: tuple[ScrewFit, ...] = si("")
    enters: int | None = si("-")
    bring_to: Band = si("K")
    room: Band | None = si("K")
    notes: tuple[str, ...] = ()

    @property
    def furthest(self) -> ScrewFit:
        """The screw farthest from where the insert is held."""
        return max(self.screws, key=lambda one: abs(one.place - self.joint.fixed))


def fit_at(joint: Joint, now: float) -> ThermalFit:
    """The ``joint`` at a temperature ``now`` [K] of both parts, screw by screw.

    Raises :class:`BadInput` for temperatures no workshop has and for places that are none.
    """
    _check(joint, now)
    change = now - joint.made_at
    screws = tuple(_screw(joint, place, change) for place in joint.screws)
    i, b = joint.insert.expansion, joint.bed.expansion
    bring_to = band(*(joint.made_at + bed / insert * change for bed in (b.low, b.top) for insert in (i.low, i.top)))
    steepest = max(abs(joint.apart.low), abs(joint.apart.top))
    room = None
    if joint.clearance is not None and steepest * joint.far > 0:
        reach = joint.clearance / (steepest * joint.far)
        room = Band(joint.made_at - reach, joint.made_at + reach)
    sure = None if joint.clearance is None else sum(one.entry is Entry.SURE for one in screws)
    return ThermalFit(joint, now, screws, sure, bring_to, room, _notes(joint, bring_to))


def _screw(joint: Joint, place: float, change: float) -> ScrewFit:
    arm = abs(place - joint.fixed)
    error = band(*(apart * change * arm + 0.0 for apart in (joint.apart.low, joint.apart.top)))
    if joint.clearance is None:
        return ScrewFit(place, error, None)
    least = 0.0 if error.low <= 0 <= error.top else min(abs(error.low), abs(error.top))
    most = max(abs(error.low), abs(error.top))
    close = joint.clearance * (1 + 1e-12)
    entry = Entry.SURE if most <= close else Entry.PERHAPS if least <= close else Entry.NO
    return ScrewFit(place, error, entry)


def joint_of(rig: Rig, clearance: float | None = None) -> Joint | None:
    """The insert of a guided bed on its bed, the adjusters' places its screws; None for a rig without one.

    ``clearance`` [m] as in :class:`Joint`, instead of the file's. Raises :class:`BadInput` where the file does not say
    at what temperature it was fitted.
    """
    if not isinstance(rig.moved, GuidedBed) or rig.moved.insert is None:
        return None
    insert = rig.moved.insert
    if insert.fitted is None:
        raise BadInput(
            "this rig's insert was fitted at a temperature the file does not give",
            where=rig.name,
            remedy='Add it to its [insert], such as fitted = "68 F"',
        )
    free = insert.clearance if clearance is None else clearance
    return Joint(
        material(insert.material), material(insert.bed), rig.adjusters.places, insert.fixed, insert.fitted, free
    )


def even_screws(length: float, spacing: float) -> tuple[float, ...]:
    """Screws every ``spacing`` [m] along a bed of a ``length`` [m], from 0, the last at its end."""
    count = int(length / spacing + 1e-9)
    places = [i * spacing for i in range(count + 1)]
    return tuple(places if length - places[-1] < 1e-9 else [*places, length])


def _check(joint: Joint, now: float) -> None:
    for name, temperature in (("made_at", joint.made_at), ("now", now)):
        if not COLDEST <= temperature <= WARMEST:
            shown = f"{temperature - CELSIUS[1]:.0f} °C"
            raise BadInput(
                f"{shown} is no temperature of a workshop",
                where=name,
                remedy="Give what the thermometer beside it shows",
            )
    if not 1 <= len(joint.screws) <= MOST_SCREWS:
        raise BadInput(
            f"{len(joint.screws)} screws hold no insert", where="screws", remedy=f"Give 1 to {MOST_SCREWS} places"
        )
    if not SHORTEST <= joint.far <= LONGEST:
        raise BadInput(
            f"an insert of {joint.far:g} m is on no bed", where="length", remedy="Give the length with its unit"
        )
    if joint.clearance is not None and not 0 <= joint.clearance <= MOST_CLEARANCE:
        raise BadInput(
            f"{1000 * joint.clearance:g} mm is no clearance of a screw",
            where="clearance",
            remedy="Give half of what the hole is wider than the screw",
        )


def _notes(joint: Joint, bring_to: Band) -> tuple[str, ...]:
    said = [
        f"{one.name} grows {_ppm(one.expansion)} in a million for a kelvin ({one.source})"
        for one in dict.fromkeys((joint.insert, joint.bed))
    ]
    if bring_to.top > HOT_INSERT:
        said.append("a plastic as warm as that may creep or warp for good: move the screws or the bed's warmth instead")
    return tuple(said)


def _ppm(expansion: Band) -> str:
    return Band(expansion.low * 1e6, expansion.top * 1e6).words(lambda value: f"{value:.4g}")

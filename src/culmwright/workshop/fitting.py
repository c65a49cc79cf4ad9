"""``fit``: a bed insert on its bed at another temperature than it was made at."""

from __future__ import annotations

from collections.abc import Sequence
from os import PathLike

from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.reckoning import Explanation, rungs
from culmwright.rigs.expansion import material
from culmwright.rigs.rig_file import read_rig
from culmwright.rigs.thermal import Joint, even_screws, fit_at, joint_of
from culmwright.rigs.thermal import ThermalFit as ThermalFit
from culmwright.rigs.thermal_working import fit_working

SPACES = 10  # spaces between screws where nobody says where they are


def joint(
    insert: str,
    bed: str,
    made_at: float,
    *,
    length: float | None = None,
    screws: Sequence[float] = (),
    fixed: float = 0.0,
    clearance: float | None = None,
) -> Joint:
    """An ``insert`` on a ``bed``, materials as typed, that met at ``made_at`` [K].

    Its ``screws`` [m] along the bed, or even along its ``length`` [m]; held at the place ``fixed`` [m]; ``clearance``
    [m] is half of what a hole is wider than its screw.
    """
    if not screws and length is None:
        raise BadInput("nothing says how long the insert is", where="length", remedy="Give --length or --screws")
    places = tuple(sorted(screws)) if screws else even_screws(length or 0.0, (length or 1.0) / SPACES)
    return Joint(material(insert, "insert"), material(bed, "bed"), places, fixed, made_at, clearance)


def rig_joint(rig: str | PathLike[str], clearance: float | None = None) -> Joint:
    """The insert of the bed in a rig file, on its bed; ``clearance`` [m] of its screws."""
    found = joint_of(read_rig(rig), clearance)
    if found is None:
        remedy = "Fill in [insert], or say --insert and --bed"
        raise BadInput("this rig has no bed with an insert", where=str(rig), remedy=remedy)
    return found


def rig_display(rig: str | PathLike[str]) -> Display:
    """The display of the unit a rig file is written in."""
    return read_rig(rig).display


def fit(joint: Joint, now: float) -> ThermalFit:
    """The ``joint`` at a temperature ``now`` [K], screw by screw, and what to bring it to.

    Raises :class:`BadInput` for what no workshop has.
    """
    return fit_at(joint, now)


def hole_of(found: ThermalFit, number: int) -> Explanation:
    """The working behind where the hole of a screw has gone, its ``number`` counted from the bed's tip end.

    Raises :class:`BadInput` for a screw there is not.
    """
    if not 1 <= number <= len(found.screws):
        raise BadInput(
            f"this bed has {len(found.screws)} screws", where="--screw", remedy="Count them from its tip end, from 1"
        )
    asked = fit_working(found, found.screws[number - 1])["error"]
    return Explanation(
        f"screw {number}", "error", asked.value, asked.unit, rungs(asked), (), notes=found.notes, within=asked.within
    )

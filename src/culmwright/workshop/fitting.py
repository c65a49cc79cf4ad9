"""``fit``: a bed insert on its bed at another temperature than it was made at."""

from __future__ import annotations

from collections.abc import Sequence
from os import PathLike

from culmwright.measure.errors import BadInput
from culmwright.rigs.expansion import material
from culmwright.rigs.rig_file import read_rig
from culmwright.rigs.thermal import Entry as Entry
from culmwright.rigs.thermal import Joint as Joint
from culmwright.rigs.thermal import ThermalFit as ThermalFit
from culmwright.rigs.thermal import even_screws, fit_at, joint_of

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
        raise BadInput("this rig has no bed with an insert", where=str(rig), remedy="Say it with --insert and --bed")
    return found


def fit(joint: Joint, now: float) -> ThermalFit:
    """The ``joint`` at a temperature ``now`` [K], screw by screw, and what to bring it to.

    Raises :class:`BadInput` for what no workshop has.
    """
    return fit_at(joint, now)

"""``dry``: what the air does to cane, when a bundle will be dry by its weighings, and what a strip shrinks by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from os import PathLike
from pathlib import Path

from culmwright.cane.air import Air
from culmwright.cane.drying import FEWEST, Aim, DryingFit, enough, fit_drying
from culmwright.cane.drying import BundleDrying as BundleDrying
from culmwright.cane.estimate import DryingEstimate, estimate, must_be_reached
from culmwright.cane.moisture import Settled, settle
from culmwright.cane.swelling import SATURATION, WETTEST, shrinkage, swelling
from culmwright.cane.weighing import Weighing, read_weighings
from culmwright.design.rod import default_apex
from culmwright.measure.band import Band
from culmwright.measure.errors import AnswerIsNo, BadInput, NotThere
from culmwright.measure.record import si
from culmwright.workshop.bundles import Bundle, Surroundings

LARGEST_FILE = 1_000_000  # bytes


@dataclass(frozen=True, slots=True)
class Shrinking:
    """What a strip ``height`` high loses on its way from moisture ``now`` to ``then``; ``swelling`` is now above then.

    ``swelling`` is what a wet target stands above the dry one.
    """

    height: float = si("m")
    now: float = si("-")
    then: float = si("-")
    loss: Band = si("m")
    swelling: Band = si("-")


@dataclass(frozen=True, slots=True)
class Drying:
    """Everything asked of ``dry``: where cane settles (None without air), the bundles weighed, and the estimate.

    ``estimate`` is only made where no bundle was weighed often enough.
    """

    settled: Settled | None
    target: float | None = si("-")
    bundles: tuple[BundleDrying, ...] = si("")
    estimate: DryingEstimate | None = si("")
    shrinking: Shrinking | None = si("")


def settled_in(said: Surroundings) -> Settled | None:
    """Where cane settles in what was said of its air; None where nobody said anything."""
    if said.room is None and said.humidity is None:
        if said.oven is None:
            return None
        raise BadInput(
            "an oven's humidity comes from the air of the room", where="oven", remedy="Give --room and --humidity too"
        )
    if said.room is None or said.humidity is None:
        missing, other = ("--room", "humidity") if said.room is None else ("--humidity", "temperature")
        raise BadInput(f"the room's {other} alone does not tell", where="air", remedy=f"Give {missing} too")
    air = Air(said.room, said.humidity)
    if said.oven is not None:
        if said.oven < said.room:
            raise BadInput("this oven is colder than the room", where="oven", remedy="Give the oven's temperature")
        air = air.warmed(said.oven)
    return settle(air, said.offset or 0.0)


def weighings_file(path: str | PathLike[str]) -> Bundle:
    """The weighings in a small text or CSV file, as a bundle of the file's name."""
    file = Path(path)
    try:
        with file.open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
        if len(content) > LARGEST_FILE:
            raise BadInput("this is too large for a list of weighings", where=str(file), remedy="Give one bundle's")
        text = content.decode("utf-8-sig")
    except FileNotFoundError:
        raise NotThere(
            "there is no such file, and no such rod in the shop", where=str(file), remedy="Check the name"
        ) from None
    except (OSError, UnicodeDecodeError):
        raise BadInput("this cannot be read as text", where=str(file), remedy="Give a text or CSV file") from None
    weighings = read_weighings(text, str(file))
    try:
        enough(weighings)
    except BadInput as fault:
        raise BadInput(fault.what, where=str(file), remedy=fault.remedy) from None
    return Bundle(file.stem, weighings, Surroundings())


def dry(
    said: Surroundings,
    bundles: Sequence[Bundle] = (),
    *,
    dry_mass: float | None = None,
    height: float | None = None,
    now: float = SATURATION,
    sides: int = 6,
) -> Drying:
    """What the air ``said`` does to cane and to the ``bundles``; what a bundle's own weighings say of its air counts
    where nothing is said here.

    ``dry_mass`` [kg] is the one bundle's without water; ``height`` [m] of a strip and its moisture ``now`` [-] are for
    what it shrinks by and, where nothing was weighed, how long it may take. Raises :class:`BadInput` for air that
    cannot be and :class:`AnswerIsNo` for a target this air does not reach.
    """
    if sides not in (4, 5, 6):
        raise BadInput(f"{sides} sides are not made here", where="sides", remedy="Give 4, 5 or 6")
    if dry_mass is not None and len(bundles) != 1:
        raise BadInput("a dry mass is one bundle's", where="dry mass", remedy="Name the bundle")
    if dry_mass is not None:
        _must_be_dry(dry_mass, bundles[0])
    found = settled_in(said)
    if said.target is not None and found is not None and dry_mass is None:
        must_be_reached(said.target, found)
    made = tuple(_bundle(one, said, dry_mass) for one in bundles)
    then = said.target if said.target is not None else None if found is None else found.moisture
    guess = None
    if found is not None and height is not None and said.target is not None and all(one.fit is None for one in made):
        guess = estimate(height, default_apex(sides), now, said.target, found)
    shrinking = None
    if height is not None and then is not None:
        shrinking = Shrinking(height, now, then, shrinkage(height, now, then), swelling(now, then))
    return Drying(found, said.target, made, guess, shrinking)


def _bundle(bundle: Bundle, said: Surroundings, dry_mass: float | None) -> BundleDrying:
    names = ("room", "humidity", "oven", "target", "offset")
    here = Surroundings(**{name: _either(getattr(said, name), getattr(bundle.said, name)) for name in names})
    try:
        found = settled_in(here)
    except BadInput as fault:  # what was said of its air does not go together: the weighings stand all the same
        return BundleDrying(bundle.section, bundle.weighings, None, here.target, None, fault.what)
    room = None if here.room is None or here.humidity is None else Air(here.room, here.humidity)
    aim = Aim(here.target, None if found is None else found.spread, dry_mass)
    if len(bundle.weighings) < FEWEST:
        wanted = FEWEST - len(bundle.weighings)
        reason = (
            f"weighed {_times(len(bundle.weighings))}: {'one more makes' if wanted == 1 else 'two more make'} a curve"
        )
        return BundleDrying(bundle.section, bundle.weighings, found, here.target, None, reason, room)
    if here.target is not None and found is not None and dry_mass is None and here.target <= found.moisture:
        try:
            must_be_reached(here.target, found)
        except AnswerIsNo as fault:
            return BundleDrying(bundle.section, bundle.weighings, found, here.target, None, fault.what, room)
    try:
        fit = _fit(bundle.weighings, aim)
    except AnswerIsNo as fault:
        return BundleDrying(bundle.section, bundle.weighings, found, here.target, None, fault.what, room)
    return BundleDrying(bundle.section, bundle.weighings, found, here.target, fit, room=room)


@lru_cache(maxsize=32)
def _fit(weighings: tuple[Weighing, ...], aim: Aim) -> DryingFit:
    """Every sheet of a rod asks for the same curves."""
    return fit_drying(weighings, aim)


def _must_be_dry(mass: float, bundle: Bundle) -> None:
    """Refuse a dry ``mass`` [kg] that no bundle weighed so can have: it has lost all its water then, not more."""
    least = min((one.mass for one in bundle.weighings), default=mass)
    if not least / (1 + WETTEST) <= mass <= least:
        raise BadInput(
            f"{1000 * mass:.4g} g is not what a bundle of {1000 * least:.4g} g weighs without its water",
            where="dry mass",
            remedy="Give it above zero, and no more than its lightest weighing",
        )


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _either(first: float | None, second: float | None) -> float | None:
    return second if first is None else first

"""Opening the shop and a rod in it: what is cut to is frozen first."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from culmwright.design.rod import Rod as Rod
from culmwright.design.rod_file import read_rod, read_text, rod_from_text
from culmwright.ledger.faults import Conflict as Conflict
from culmwright.ledger.faults import Damaged as Damaged
from culmwright.ledger.frozen import Revision, freeze, frozen_as, revisions, rods
from culmwright.ledger.place import shop_file as shop_file
from culmwright.ledger.shop import Shop as Shop
from culmwright.ledger.shop import open_shop, start_shop
from culmwright.measure.errors import BadInput

_NUMBER = re.compile(r"[Rr]([1-9][0-9]{0,8})(?:\.([1-9][0-9]{0,4}))?")


@dataclass(frozen=True, slots=True)
class Begun:
    """A rod of the shop as it was frozen: ``revision`` in the ledger, the ``rod`` it says, and ``notes`` on both."""

    revision: Revision
    rod: Rod
    notes: tuple[str, ...] = ()

    @property
    def code(self) -> str:
        """What the shop calls it: ``R7.2`` is rod 7 as it was frozen the second time."""
        return f"{self.revision.code}.{self.revision.revision}"


def the_shop(given: str | Path | None = None, *, start: bool = False, write: bool = True) -> Shop:
    """The shop in the file ``given``, else in ``CULMWRIGHT_SHOP``, else the person's own; made if ``start``.

    Raises :class:`BadInput` where there is none or it cannot be used.
    """
    file = shop_file(given)
    return start_shop(file) if start else open_shop(file, write=write)


def begin(shop: Shop, asked: str, moment: datetime | None = None) -> Begun:
    """The rod ``asked`` for: a rod file, frozen now if it is new here, or ``R7`` (``R7.2``: as frozen the second time).

    A file that was redrawn since is frozen anew as the rod of that name; readings stay with the revision
    they were made to, and the notes say so.
    """
    if _NUMBER.fullmatch(asked) and not Path(asked).exists():
        return find(shop, asked)
    rod = read_rod(asked)
    known = frozen_as(shop, rod.digest)
    if known:
        return _with_notes(shop, known[-1], rod)
    namesake = next((one.rod for one in rods(shop) if one.name == rod.name), None)
    frozen = freeze(shop, rod.name, read_text(asked), rod.digest, rod=namesake, moment=moment)
    return Begun(frozen, rod, (f"the drawing is frozen in this shop as {Begun(frozen, rod).code}",))


def find_drawn(shop: Shop, asked: str) -> Begun:
    """The rod of the shop ``asked`` for as on the command line: by its number, or by the name of its file."""
    if _NUMBER.fullmatch(asked):
        return find(shop, asked)
    known = frozen_as(shop, read_rod(asked).digest)
    if not known:
        raise BadInput("nothing was read on this rod yet", where=asked, remedy=f"Begin with: culmwright read {asked}")
    return _with_notes(shop, known[-1], rod_from_text(known[-1].text))


def find(shop: Shop, asked: str) -> Begun:
    """The rod of the shop ``asked`` for by its number, ``R7`` or ``R7.2``; no file of this machine is ever opened."""
    match = _NUMBER.fullmatch(asked)
    if match is None:
        raise BadInput("this is not the number of a rod", where=asked[:64], remedy="Give it like R1, or R1.2")
    codes = [one.code for one in rods(shop)]
    if f"R{match[1]}" not in codes:
        remedy = f"Its rods are {', '.join(codes)}" if codes else "Begin one with: culmwright read my-rod.toml"
        raise BadInput(f"there is no rod R{match[1]} in this shop", where=str(shop.file), remedy=remedy)
    every = revisions(shop, int(match[1]))
    if match[2] is None:
        chosen = every[-1]
    else:
        chosen = next((one for one in every if one.revision == int(match[2])), None) or _no_revision(asked, every)
    return _with_notes(shop, chosen, rod_from_text(chosen.text))


def _no_revision(asked: str, every: tuple[Revision, ...]) -> Revision:
    newest = every[-1]
    raise BadInput(
        f"R{newest.rod} has no such revision", where=asked, remedy=f"Its newest is R{newest.rod}.{newest.revision}"
    )


def _with_notes(shop: Shop, frozen: Revision, rod: Rod) -> Begun:
    newest = revisions(shop, frozen.rod)[-1]
    if newest.id == frozen.id:
        return Begun(frozen, rod)
    return Begun(frozen, rod, (f"this is {Begun(frozen, rod).code}; {Begun(newest, rod).code} exists, drawn later",))

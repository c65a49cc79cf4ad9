"""Ways on from an address that leads nowhere: the rod it names, and the page it asked for on a revision there is."""

from __future__ import annotations

import re
from urllib.parse import quote

from culmwright.ledger.frozen import revisions, rods
from culmwright.ledger.shop import Shop
from culmwright.workshop.stages import STAGES

_ROD = re.compile(r"/[Rr]([1-9][0-9]{0,8})(?:\.([1-9][0-9]{0,4}))?(?:/(.*))?")
PAGES = {
    "": "Brief",
    "taper": "Taper",
    "strips": "Strips",
    "bench": "Bench",
    "log": "Log",
    "book": "Book",
    "labels": "Labels",
    **{one.path: one.name for one in STAGES},
}
"""The pages every rod has, by their path."""
MOST = 12


def ways_on(shop: Shop, path: str) -> tuple[tuple[str, str], ...]:
    """(address, words) of what is there of the rod that ``path`` names; empty where it names none of the shop.

    A revision there is not leads to the page asked for on those there are, newest first; else to the rod's brief.
    """
    found = _ROD.fullmatch(path)
    names = {one.rod: one.name for one in rods(shop)}
    if found is None or int(found[1]) not in names:
        return ()
    rod, asked = int(found[1]), found[3] or ""
    every = revisions(shop, rod)
    missing = found[2] is not None and all(one.revision != int(found[2]) for one in every)
    code, first = f"R{rod}" if missing or found[2] is None else f"R{rod}.{found[2]}", asked.split("/")[0]
    ways = []
    if missing:
        called = PAGES.get(asked, "Page") if asked else "Brief"
        here = f"/{quote(asked)}" if asked else ""
        for one in every[: -MOST - 1 : -1]:
            ways.append((f"/{one.code}.{one.revision}{here}", f"{called} of {one.code}.{one.revision}"))
    elif first in PAGES and first:
        ways.append((f"/{code}/{first}", f"{PAGES[first]} of {code}"))
    if asked or not missing:
        ways.append((f"/{code}", f"Brief of {code} {names[rod]}"))
    return tuple(ways)

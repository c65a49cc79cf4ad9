"""What the dockets of a rod say in its log: settings, oven plans, layouts, orders, weighings, bend tests, a line each.

One way for all of them: a kind has its words here, and a kind without any is told by its name.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from culmwright.ledger.dockets import Docket, DocketLine, docket_log
from culmwright.ledger.records import Standing
from culmwright.ledger.shop import Shop
from culmwright.measure.display import Display
from culmwright.workshop.opening import Begun

Said = Mapping[str, Any]
IN_THE_EVENT = frozenset({"glue-up"})
"""Kinds that put an event into the log themselves."""
LONGEST = 200


def told_dockets(
    shop: Shop, begun: Begun, section: str | None = None, strip: int | None = None
) -> list[tuple[datetime, int, str]]:
    """When, in which place of the sequence, and what was kept of a rod, or of one ``section`` or ``strip``."""
    kept = docket_log(shop, begun.revision.rod, section=section, strip=strip)
    show = begun.rod.display
    return [(one.docket.at, one.docket.seq, _line(one, show)) for one in kept if one.docket.kind not in IN_THE_EVENT]


def _line(line: DocketLine, show: Display) -> str:
    words = told(line.docket, show)
    if line.undoes:
        return f"{words}: taken back ({line.why})"
    return words if line.standing is Standing.CURRENT else f"{words} ({line.standing.value} later)"


def told(docket: Docket, show: Display) -> str:
    """A docket in words: what was kept, of which section."""
    where = docket.section or "the rod"
    if docket.strip is not None:
        where += f"/S{docket.strip}"
    try:
        said = json.loads(docket.text)
        return WORDS[docket.kind](said, where, show)
    except (KeyError, TypeError, ValueError, IndexError):  # one that a program sent in says what it likes
        return _plainly(docket)


def _plainly(docket: Docket) -> str:
    of = f" of {docket.section}" if docket.section else ""
    text = "" if docket.text.lstrip()[:1] in ("{", "[") else f": {' '.join(docket.text.split())[:LONGEST]}"
    return f"{docket.kind}{of} kept{text}"


def _settings(said: Said, where: str, show: Display) -> str:
    groove = f", groove {said['groove']}" if said["groove"] else ""
    strips = "roughed" if said["rough"] else "finished"
    return f"{said['rig']} set for {strips} strips of {where}{groove}, its tip end at {show.station(said['tip_end'])}"


def _oven(said: Said, where: str, show: Display) -> str:
    return f"oven planned: {', then '.join(said['steps'])}"


def _layout(said: Said, where: str, show: Display) -> str:
    from culmwright.cane.culm_file import culm_from_text

    labels = [culm_from_text(text).label for text in said["culms"]]
    return f"nodes of {where} laid out, from culm{'s' if len(labels) > 1 else ''} {', '.join(labels)}"


def _order(said: Said, where: str, show: Display) -> str:
    return f"strips of {where} to be glued in the order {' '.join(str(int(one)) for one in said['ring'])}"


def _cut_to(said: Said, where: str, show: Display) -> str:
    lines = " ".join("-" if one is None else str(int(one)) for one in said["lines"])
    return f"strips of {where} said to be cut to lines {lines} of the cut list"


def _weighing(said: Said, where: str, show: Display) -> str:
    return f"bundle {where} weighed {said['mass']}"


def _bend(said: Said, where: str, show: Display) -> str:
    of = f"{where}, tip {said['tip']}" if where == "the rod" and said.get("tip") else where
    if said["of"] == "rate":
        return f"swings counted of {of}: {said['swings']} in {said['seconds']:g} s"
    return f"bend test of {of}: {', '.join(f'{weight} brings it down {drop}' for weight, drop in said['drops'])}"


def _work(kind: str) -> Callable[[Said, str, Display], str]:
    return lambda said, where, show: f"{kind}, {where}: {said['words']}"


WORDS: Mapping[str, Callable[[Said, str, Display], str]] = {
    "rig settings": _settings,
    "oven plan": _oven,
    "layout": _layout,
    "strip order": _order,
    "strips cut to": _cut_to,
    "weighing": _weighing,
    "bend test": _bend,
    **{kind: _work(kind) for kind in ("straightness", "ferrule fitted", "guide placed", "coat")},
}
"""The words of every kind of docket that is of a rod."""

"""The verbs: one function for each thing a maker asks for. They join the rooms and hold no formula."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from culmwright.workshop.bending import bend as bend
    from culmwright.workshop.bouncing import bounce as bounce
    from culmwright.workshop.checking import check as check
    from culmwright.workshop.explaining import explain as explain
    from culmwright.workshop.flattening import flatten as flatten
    from culmwright.workshop.guarding import backup as backup
    from culmwright.workshop.guarding import export as export
    from culmwright.workshop.guarding import import_ as import_
    from culmwright.workshop.guarding import restore as restore
    from culmwright.workshop.laying import layout as layout
    from culmwright.workshop.parting import culm as culm
    from culmwright.workshop.passing import passes as passes
    from culmwright.workshop.printing import book as book
    from culmwright.workshop.reading import read as read
    from culmwright.workshop.scheduling import strips as strips
    from culmwright.workshop.setting import settings as settings
    from culmwright.workshop.showing import demo as demo
    from culmwright.workshop.starting import new as new
    from culmwright.workshop.telling import log as log

_HOME = {
    "backup": "guarding",
    "bend": "bending",
    "book": "printing",
    "bounce": "bouncing",
    "check": "checking",
    "culm": "parting",
    "demo": "showing",
    "explain": "explaining",
    "export": "guarding",
    "flatten": "flattening",
    "import_": "guarding",
    "layout": "laying",
    "log": "telling",
    "new": "starting",
    "passes": "passing",
    "read": "reading",
    "restore": "guarding",
    "settings": "setting",
    "strips": "scheduling",
}


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(f"{__name__}.{_HOME[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")

"""Culms and node layouts of a shop: kept, found again as they were laid, and shown in its books."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime
from typing import Any

from culmwright.bench.culm_yield import CulmYield, culm_yield
from culmwright.bench.layout_tasks import tasks
from culmwright.bench.node_zones import Margins
from culmwright.book.culm_leaves import culm_leaf, layout_leaf
from culmwright.book.leaf import Leaf
from culmwright.book.ruler import Ruler
from culmwright.cane.culm import Culm
from culmwright.cane.culm_file import culm_from_text, read_culm_text
from culmwright.cane.layout import SectionLayout, layout_of
from culmwright.cane.search import Laid
from culmwright.cane.task import Task
from culmwright.design.rod_file import rod_from_text
from culmwright.ledger.dockets import Docket, dockets, keep_docket
from culmwright.ledger.frozen import revisions
from culmwright.ledger.register import Culm as KeptCulm
from culmwright.ledger.register import add_culm, culms
from culmwright.ledger.shop import Shop
from culmwright.measure.lengths import Length
from culmwright.workshop.laying import USUAL, RodLayout, Tell, layout, silent
from culmwright.workshop.opening import Begun
from culmwright.workshop.starting import culm_text
from culmwright.workshop.strips_laid import cut_before, enter_strips

CULM = "culm"
LAYOUT = "layout"
CHANGED = "its file was changed"
TOO_LATE = (
    "its strips were planed or read before this layout was kept: match does not take it for what they were cut to"
)


def keep_culm(shop: Shop, text: str, at: datetime | None = None) -> KeptCulm:
    """Enter the culm a file says, or what the one of its label really is; its text is kept as a docket."""
    culm = culm_from_text(text)
    old = next((one for one in culms(shop) if one.label == culm.label), None)
    middle = culm.girths[len(culm.girths) // 2].diameter
    same = old is not None and old.diameter == middle and old.length == culm.length
    kept = (
        old
        if old is not None and same
        else add_culm(
            shop,
            culm.label,
            diameter=middle,
            length=culm.length,
            note=culm.note or None,
            supersedes=old.id if old else None,
            why=CHANGED if old else None,
        )
    )
    before = [one for one in dockets(shop, CULM) if culm_from_text(one.text).label == culm.label]
    if not before or before[-1].text != text:
        keep_docket(
            shop,
            CULM,
            text,
            culm=kept.id,
            at=at,
            supersedes=before[-1].seq if before else None,
            why=CHANGED if before else None,
        )
    return kept


def keep_culm_file(shop: Shop, path: str) -> KeptCulm:
    """Enter the culm in the file at ``path``."""
    return keep_culm(shop, read_culm_text(path))


def lay_and_keep(
    shop: Shop,
    begun: Begun,
    files: tuple[str, ...],
    *,
    section: str | None = None,
    share: int = 1,
    margins: Margins = USUAL,
    trim: Length | None = None,
    tell: Tell = silent,
) -> RodLayout:
    """Lay out a rod of the shop from the culms in ``files``, and keep culms and layouts in the shop."""
    texts = tuple(read_culm_text(one) for one in files)
    return lay_texts(shop, begun, texts, section=section, share=share, margins=margins, trim=trim, tell=tell)


def lay_texts(
    shop: Shop,
    begun: Begun,
    texts: tuple[str, ...],
    *,
    section: str | None = None,
    share: int = 1,
    margins: Margins = USUAL,
    trim: Length | None = None,
    tell: Tell = silent,
    at: datetime | None = None,
) -> RodLayout:
    """Lay out a rod of the shop from culms as their files say, and keep culms and layouts in the shop.

    The strips of a section none of which was planed or read yet are entered by the numbers of its cut list.
    """
    found = layout(
        begun.rod,
        tuple(culm_from_text(one) for one in texts),
        section=section,
        share=share,
        margins=margins,
        trim=trim,
        tell=tell,
    )
    kept = [keep_culm(shop, one, at) for one in texts]
    sections = list[SectionLayout]()
    for one in found.sections:
        said = {
            "revision": begun.revision.id,
            "culms": list(texts),
            "share": share,
            "margins": _margins_said(margins),
            "trim": None if trim is None else str(trim),
            "laid": _laid_said(one),
        }
        old = _newest(shop, begun).get(one.section)
        text = json.dumps(said)
        cut = cut_before(shop, begun, one.section)
        if old is None or old.text != text:
            old = keep_docket(
                shop,
                LAYOUT,
                text,
                rod=begun.revision.rod,
                section=one.section,
                culm=kept[0].id,
                at=at,
                supersedes=old.seq if old else None,
                why="laid out anew" if old else None,
            )
            sections.append(replace(one, notes=(*one.notes, TOO_LATE)) if cut else one)
        else:
            sections.append(one)
        if not cut:
            enter_strips(shop, begun, old, one)
    return replace(found, sections=tuple(sections))


def _margins_said(margins: Margins) -> dict[str, str | None]:
    return {
        "ferrule": str(margins.ferrule),
        "tip_end": str(margins.tip_end),
        "grip_end": str(margins.grip_end),
        "guide_foot": None if margins.guide_foot is None else str(margins.guide_foot),
    }


def _margins_of(said: dict[str, str | None]) -> Margins:
    lengths = {key: None if text is None else Length.parse(text) for key, text in said.items()}
    ferrule, tip_end, grip_end = (lengths[key] for key in ("ferrule", "tip_end", "grip_end"))
    assert ferrule is not None and tip_end is not None and grip_end is not None
    return Margins(ferrule, tip_end, grip_end, lengths["guide_foot"])


def _laid_said(one: SectionLayout) -> dict[str, Any]:
    return {
        "strips": [cut.strip for cut in one.cuts],
        "slides": [round(slide / one.step) for slide in one.slides],
        "groups": [cut.group for cut in one.cuts],
        "ring": list(one.ring),
        "spread_bound": one.distance_bound,
        "touching_bound": one.touching_bound,
        "sparing": one.sparing_proved,
    }


def _newest(shop: Shop, begun: Begun) -> dict[str, Docket]:
    return {one.section: one for one in dockets(shop, LAYOUT, rod=begun.revision.rod) if one.section is not None}


def layouts_kept(shop: Shop, begun: Begun) -> tuple[SectionLayout, ...]:
    """The layout kept for each section of a rod, as it was laid, in the order of its sections."""
    newest = _newest(shop, begun)
    known: dict[str, dict[str, Task]] = {}
    found = (_revived(shop, begun, newest[one.name], known) for one in begun.rod.sections() if one.name in newest)
    return tuple(one for one in found if one is not None)


def layout_kept(shop: Shop, begun: Begun, section: str) -> tuple[Docket, SectionLayout] | None:
    """The layout kept for a ``section`` with its docket; None where there is none, or what it was laid to is gone."""
    docket = _newest(shop, begun).get(section)
    found = None if docket is None else _revived(shop, begun, docket, {})
    return None if docket is None or found is None else (docket, found)


def _revived(shop: Shop, begun: Begun, docket: Docket, known: dict[str, dict[str, Task]]) -> SectionLayout | None:
    """A kept layout reckoned again from the drawing and the culms it was laid to; None if they say otherwise now.

    ``known`` keeps what sections that were laid out together were asked.
    """
    said = json.loads(docket.text)
    drawing = next((one for one in revisions(shop, begun.revision.rod) if one.id == said["revision"]), None)
    if drawing is None:
        return None
    asked = json.dumps({key: said[key] for key in ("revision", "culms", "share", "margins", "trim")})
    if asked not in known:
        rod = begun.rod if drawing.id == begun.revision.id else rod_from_text(drawing.text)
        trim = None if said["trim"] is None else Length.parse(said["trim"])
        parted = culm_yield(rod, tuple(culm_from_text(one) for one in said["culms"]), trim)
        known[asked] = {
            one.section: one for one in tasks(rod, parted, _margins_of(said["margins"]), said["share"], trim)
        }
    task = known[asked].get(docket.section or "")
    if task is None:
        return None
    offered = {one.label: one for one in task.candidates}
    laid = said["laid"]
    if not all(label in offered for label in laid["strips"]):
        return None
    found = layout_of(task, Laid.again(task, tuple(offered[label] for label in laid["strips"]), laid))
    if drawing.id == begun.revision.id:
        return found
    note = f"this was laid out to {begun.revision.code}.{drawing.revision}: lay the section out anew"
    return replace(found, notes=(*found.notes, note))


def culms_kept(shop: Shop) -> tuple[Culm, ...]:
    """The culms whose files the shop keeps, in the order they were entered."""
    return tuple(culm_from_text(one.text) for one in dockets(shop, CULM))


def culms_of(shop: Shop, begun: Begun) -> tuple[tuple[Culm, ...], CulmYield | None]:
    """The culms a rod of the shop was laid out of, and how they serve it; none where it was not."""
    newest = _newest(shop, begun)
    texts = list(dict.fromkeys(text for one in newest.values() for text in json.loads(one.text)["culms"]))
    found = tuple(culm_from_text(one) for one in texts)
    if not found:
        return (), None
    names = [one.name for culm in found for one in culm.lengths]
    return found, culm_yield(begun.rod, found) if len(set(names)) == len(names) else None


def leaves_of(shop: Shop, begun: Begun, ruler: Ruler) -> tuple[Leaf, ...]:
    """The leaves of the culms a rod is made from and of its laid-out sections."""
    show = begun.rod.display
    found, parted = culms_of(shop, begun)
    lengths = tuple(one for culm in found for one in culm.lengths)
    leaves = [culm_leaf(one, parted, ruler, show, begun.rod) for one in found]
    leaves += [layout_leaf(one, begun.rod, ruler, show, lengths) for one in layouts_kept(shop, begun)]
    return tuple(leaves)


def state_of(shop: Shop, begun: Begun) -> str:
    """How far a rod's nodes are laid out: none, half or done; look where one is of another drawing."""
    newest = _newest(shop, begun)
    names = [one.name for one in begun.rod.sections()]
    if not newest:
        return "none"
    if any(json.loads(one.text)["revision"] != begun.revision.id for one in newest.values()):
        return "look"
    return "done" if all(name in newest for name in names) else "half"


def show_layout(shop: Shop, begun: Begun, at: datetime) -> RodLayout:
    """Put the demo shop's culm into it and lay out the demo rod from it; all of it invented."""
    return lay_texts(shop, begun, (culm_text("k12"),), at=at)

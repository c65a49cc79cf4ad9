"""Labels of a rod's strips, and what a scanned one says."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass

from culmwright.book.contents import Paper
from culmwright.book.labels import Label, label, print_labels
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput
from culmwright.measure.spot import Spot
from culmwright.workshop.noting import must_be_there
from culmwright.workshop.opening import find
from culmwright.workshop.telling import StoryLine, log

_LABEL = re.compile(r"(?P<rod>R[1-9][0-9]{0,8}(?:\.[1-9][0-9]{0,4})?)(?:/(?P<rest>.+))?", re.IGNORECASE | re.ASCII)


@dataclass(frozen=True, slots=True)
class LabelsView:
    """The labels of a rod: for each section one for the bundle, then one for each strip."""

    code: str
    name: str
    sections: tuple[tuple[str, tuple[Label, ...]], ...]


@dataclass(frozen=True, slots=True)
class LabelView:
    """What a label leads to: which strip, bundle or rod it is, how it stands, its story newest first."""

    text: str
    code: str
    rod: str
    words: str
    section: str
    strip: int | None
    states: tuple[str, ...]
    story: tuple[StoryLine, ...]


def labels_of(shop: Shop, code: str) -> LabelsView:
    """The labels of a rod of the shop."""
    begun = find(shop, code)
    number, rod = begun.revision.code, begun.rod
    count = rod.sides + rod.bench.spares
    sections = []
    for section in rod.sections():
        strips = [label(f"{number}/{section.name}/S{strip}", rod.name) for strip in range(1, count + 1)]
        sections.append((section.name, (label(f"{number}/{section.name}", f"{rod.name}, the bundle"), *strips)))
    return LabelsView(number, rod.name, tuple(sections))


def label_sheet(view: LabelsView, paper: Paper) -> bytes:
    """The labels as sheets to print."""
    every = tuple(one for _, labels in view.sections for one in labels)
    return print_labels(f"{view.code} {view.name}", every, paper, datetime.date.today())


def look_at_label(shop: Shop, text: str) -> LabelView:
    """What a scanned ``text`` names: ``R1``, ``R1/T1`` or ``R1/T1/S3``; a station behind it does no harm."""
    match = _LABEL.fullmatch(text.strip())
    if match is None:
        raise BadInput(
            f'"{text[:40]}" is no label of this shop', remedy="Scan one that was printed here, like R1/T1/S3"
        )
    begun = find(shop, match["rod"].upper())
    spot = Spot.parse(match["rest"]) if match["rest"] else None
    section, strip = (spot.section, spot.strip) if spot else (None, None)
    must_be_there(begun.rod, section, strip)
    told = log(shop, begun, section, strip)
    what = f"strip {strip} of {section}" if strip else f"the bundle of {section}" if section else "the rod"
    return LabelView(
        text=f"{begun.revision.code}{f'/{section}' if section else ''}{f'/S{strip}' if strip else ''}",
        code=begun.revision.code,
        rod=begun.rod.name,
        words=what,
        section=section or "",
        strip=strip,
        states=tuple(f"{one.judgement.sign} {one.section}/S{one.strip} {one.words}" for one in told.strips),
        story=tuple(reversed(told.lines)),
    )

"""What the forms of a drawing send: a rod's fields, the grid of its taper, a paste; and what they are refused with."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import Depends, Request, Response
from starlette.datastructures import FormData

from culmwright.book.words import sentence
from culmwright.measure.errors import BadInput, CulmwrightError, each_of
from culmwright.measure.lengths import Length
from culmwright.workshop.draft_fields import FIELDS, cell_of, field_of, label_of, on_page
from culmwright.workshop.drafting import Draft, cell_text
from culmwright.workshop.pasting import read_pasted

REMARK = "Drawn on the workbench. A bare number is a length in the unit below."
MOST_CELLS = 400


async def form_of(request: Request) -> FormData:
    """What a form sent."""
    return await request.form()


Form = Annotated[FormData, Depends(form_of)]


@dataclass(frozen=True, slots=True)
class Refused:
    """A refusal beside its ``field``: the field's ``label``, the ``cell`` of the grid or "", and the ``sentence``."""

    field: str
    label: str
    cell: str
    sentence: str

    @property
    def anchor(self) -> str:
        """Where on the page it stands."""
        return f"{(self.cell or self.field).replace(' ', '-')}-fault" if self.field else ""


class Refusals(tuple[Refused, ...]):
    """Everything a form is refused for, in the order of its fields."""

    def of(self, field: str) -> Refused | None:
        """What is refused of a field."""
        return next((one for one in self if one.field == field), None)

    def at(self, cell: str) -> Refused | None:
        """What is refused of a cell of the grid."""
        return next((one for one in self if one.cell == cell), None)


def refusals_of(fault: CulmwrightError | None) -> Refusals:
    """Everything a form is refused for, as it stands beside its fields."""
    every = () if fault is None else each_of(fault)
    return Refusals(
        Refused(field_of(one.where), label_of(one.where), cell_of(one.where), _sentence(one)) for one in every
    )


def _sentence(fault: CulmwrightError) -> str:
    """A refusal as it stands beside its field: what, and what to do; the field says where."""
    return " ".join(sentence(on_page(one)) for one in (fault.what, fault.remedy) if one)


def text_in(form: FormData, name: str) -> str:
    """A field of a form; "" where it is not there."""
    value = form.get(name)
    return value if isinstance(value, str) else ""


def _cells(form: FormData, name: str) -> list[str]:
    return [value if isinstance(value, str) else "" for value in form.getlist(name)][:MOST_CELLS]


def grid_in(form: FormData) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The filled rows of the grid, both columns equally long."""
    stations, across = _cells(form, "station"), _cells(form, "across")
    longest = max(len(stations), len(across))
    rows = [
        (a, b)
        for a, b in zip(
            stations + [""] * (longest - len(stations)), across + [""] * (longest - len(across)), strict=True
        )
        if a.strip() or b.strip()
    ]
    return tuple(a for a, _ in rows), tuple(b for _, b in rows)


def draft_in(form: FormData, base: str) -> Draft:
    """The draft a form sends; ``base`` is the file it begins from."""
    stations, across = grid_in(form)
    return Draft(
        {one.name: text_in(form, one.name) for one in FIELDS},
        text_in(form, "units") or "inch",
        stations,
        across,
        tuple(
            (text_in(form, f"ferrule{i}_station"), text_in(form, f"ferrule{i}_size"), text_in(form, f"ferrule{i}_mass"))
            for i in (1, 2)
        ),
        text_in(form, "guides"),
        base,
        tuple((text_in(form, f"proposed{i}_station"), text_in(form, f"proposed{i}_size")) for i in (1, 2)),
    )


def pasted(draft: Draft, text: str) -> tuple[Draft, tuple[str, ...]]:
    """The draft with its grid filled from a paste, and what was said about reading it."""
    if not text.strip():
        return draft, ()
    try:
        length = Length.parse(draft.get("length"), draft.display.bare) if draft.get("length") else None
    except BadInput:
        length = None
    read = read_pasted(text, draft.display, length)
    bare = draft.display.bare
    cells = [tuple(cell_text(one, bare) for one in column) for column in (read.stations, read.across)]
    return replace(draft, stations=cells[0], across=cells[1]), read.said


def download(text: str, kind: str, name: str) -> Response:
    """A text as a file to keep."""
    return Response(
        text, media_type=f"{kind}; charset=utf-8", headers={"content-disposition": f'attachment; filename="{name}"'}
    )

"""The shop's culms, rigs and gauges: looked at, entered and changed; and what the shop's rods say."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from culmwright.measure.errors import BadInput, CulmwrightError, together
from culmwright.web.access import Role
from culmwright.web.pages import desk_of
from culmwright.web.problems import status_of
from culmwright.web.render import page
from culmwright.web.rooms_examples import EXAMPLES
from culmwright.web.rooms_form import (
    ONCE,
    Field,
    Look,
    Press,
    Refusal,
    Sent,
    Slip,
    Typed,
    beside,
    filled,
    must_fit,
    refused,
)
from culmwright.web.rooms_stage import role_of, slip_of, told_of
from culmwright.workshop.culm_typed import culm_files, culm_text_of
from culmwright.workshop.gauging import Instrument, take_back, trials_told, try_gauge, unit_of
from culmwright.workshop.layouts_kept import keep_culm
from culmwright.workshop.looking_work import look_at_lessons, look_at_stores, show_of
from culmwright.workshop.opening import Shop
from culmwright.workshop.serving import enter_gauge, gauge_list
from culmwright.workshop.setting_kept import keep_rig, rig_files
from culmwright.workshop.starting import Starter

router = APIRouter(include_in_schema=False)
BACK = re.compile(r"/R[1-9][0-9]{0,8}(\.[1-9][0-9]{0,4})?/(culm|settings)")
"""Where a page of the stores may lead back to."""
UNITS = (("inch", "inches"), ("metric", "millimetres"))
GAUGE_UNITS = (("in", "inches"), ("mm", "millimetres"))
BARE = "a bare number is in the unit the gauge shows"
KINDS = tuple(
    (one.name, f"{one.value[0]}, to be within {one.error * 1e6:.0f} µm ({one.standard})") for one in Instrument
)


def culm_fields(bare: str = "in") -> tuple[Field, ...]:
    """Everything of a culm, field by field, with examples for a shop whose ``bare`` numbers are inches or mm."""
    ends = (("butt", "at the butt end"), ("middle", "in the middle"), ("tip", "at the tip end"))
    like = EXAMPLES[bare]
    return (
        Field("label", "Label", "what the culm is marked with, like K12"),
        Field(
            "units",
            "Bare numbers are",
            "anything may carry its own unit",
            Look.ONE_OF,
            UNITS,
            first="metric" if bare == "mm" else "inch",
        ),
        Field("length", "Length", f"butt end to tip end, like {like.length}"),
        *(
            Field(f"diameter_{name}", f"Diameter {words}", f"like {size}", digits=True)
            for (name, words), size in zip(ends, like.diameters, strict=True)
        ),
        *(
            Field(f"wall_{name}", f"Wall {words}", f"like {size}; all three, or none if not measured", digits=True)
            for (name, words), size in zip(ends, like.walls, strict=True)
        ),
        Field(
            "nodes",
            "Nodes, from the butt end to the middle of each ridge",
            f"one a line, or in a row with spaces: {like.nodes}",
            Look.LINES,
        ),
        Field(
            "defects",
            "Defects, one a line: from to; around; what",
            f"like {like.defect}; 205 deg to 228 deg; beetle hole. Without the degrees it goes all round",
            Look.LINES,
            rows=2,
        ),
        Field(
            "lengths",
            "How it is sawn, one length a line: name; from to; sections it is kept for",
            f"like K12-butt; {like.sawn}; B. Left empty: it is one length for any section",
            Look.LINES,
            rows=2,
        ),
        Field("mass", "Mass", f"like {like.mass}"),
        Field("moisture", "Moisture, percent of its dry mass", "as estimated, like 11", digits=True),
        Field("over", "A raw strip is wider by, for roughing", f"like {like.over}", digits=True),
        Field("wander", "and wider by, for how far a split wanders", f"like {like.wander}", digits=True),
        Field("kerf", "A saw takes between two strips", "left empty: they are split", digits=True),
        Field("note", "Note", "where it came from, when it was bought"),
    )


def file_fields(what: str, text: str) -> tuple[Field, ...]:
    """A file to choose, or its text."""
    return (
        Field("file", f"A {what} file from this device", "it is read into the field below", Look.FILE),
        Field(
            "text",
            f"or the text of a {what} file",
            "lines that begin with # are remarks",
            Look.LINES,
            rows=12,
            first=text,
        ),
    )


def culm_slips(
    files: dict[str, str], asked: str = "", start: str = "", action: str = "", bare: str = "in"
) -> tuple[Slip, ...]:
    """The slips that enter a culm."""
    text = files.get(asked) or (Starter.CULM.text if start == "culm" else "")
    keep = Press("culm", "Keep the culm", "The culm is kept.", Role.KEEP)
    here = action or "/stores"
    return (
        Slip(
            "culm",
            "Enter a culm",
            culm_fields(bare),
            (keep,),
            "A culm of a label the shop has already is changed to what is said here; what stood before is not lost.",
            action,
        ),
        Slip(
            "culmfile",
            f"Change culm {asked}" if asked in files else "Enter a culm from its file",
            file_fields("culm", text),
            (Press("culmfile", "Keep the culm", "The culm is kept.", Role.KEEP),),
            "Its label tells which culm it is.",
            action,
            see=(
                (f"{here}?start=culm#culmfile", "Begin from a commented file"),
                *((f"{here}?culm={_quoted(label)}#culmfile", f"Change {label}") for label in files if label != asked),
            ),
            open=bool(text),
        ),
    )


def _quoted(text: str) -> str:
    from urllib.parse import quote

    return quote(text, safe="")


def keep_culm_typed(shop: Shop, typed: Typed) -> None:
    """Keep a culm filled in field by field."""
    keep_culm(shop, culm_text_of({one.name: typed.text(one.name) for one in culm_fields()}))


def keep_culm_text(shop: Shop, typed: Typed) -> None:
    """Keep a culm from the text of its file."""
    _of_file("text", lambda: keep_culm(shop, typed.words("text", "Choose a file, or paste its text")))


def keep_rig_text(shop: Shop, typed: Typed) -> None:
    """Keep a rig from the text of its file."""
    _of_file("text", lambda: keep_rig(shop, typed.words("text", "Choose a file, or paste its text")))


def _of_file(field: str, work: Callable[[], object]) -> None:
    """A refusal of a file says where in it."""
    try:
        work()
    except BadInput as fault:
        inside = f"{fault.where}: " if fault.where not in ("", field) else ""
        raise BadInput(f"{inside}{fault.what}", where=field, remedy=fault.remedy) from None


def gauge_slip(names: tuple[str, ...], role: Role = Role.BENCH, bare: str = "in") -> Slip:
    """The slip that notes how a gauge showed a reference."""
    like = EXAMPLES[bare]
    return Slip(
        "try",
        "Try a gauge on a reference",
        (
            Field("gauge", "Gauge", "", Look.ONE_OF, tuple((one, one) for one in names)),
            Field("kind", "It is a", "its own certificate counts for more", Look.ONE_OF, KINDS, first=KINDS[0][0]),
            Field(
                "reference", f"Reference, {BARE}", f"like {like.reference}, a pin or block of known size", digits=True
            ),
            Field("shown", f"It showed, {BARE}", f"like {like.shown}", digits=True),
        ),
        (Press("try", "Note the trial", "The trial is noted.", role),),
        "Clean both, and let them come to the same temperature first.",
        blocked="" if names else "No gauge is entered yet: enter one with the shop's culms, rigs and gauges.",
        see=() if names else (("/stores#gauge", "Enter a gauge"),),
    )


def back_slip(trials: tuple[tuple[str, str], ...]) -> tuple[Slip, ...]:
    """The slip that takes a trial of a gauge back, where there is one."""
    slip = Slip(
        "back",
        "Take a trial of a gauge back",
        (Field("trial", "Trial", "", Look.ONE_OF, trials), Field("why", "Why", "in a few words")),
        (Press("back", "Take it back", "The trial is taken back.", Role.KEEP),),
        "It stays in the records, marked so.",
    )
    return (slip,) if trials else ()


def _take_back(shop: Shop, typed: Typed) -> None:
    why = typed.words("why", "Say why in a few words")
    with beside("trial"):
        take_back(shop, typed.whole("trial", 0), why, id=typed.id)


def try_typed(shop: Shop, typed: Typed) -> None:
    """Note a trial of a gauge; bare figures are in the unit it shows."""
    values = []
    with beside("gauge"):
        bare = unit_of(shop, typed.text("gauge"))
    asked = (("reference", "Give the size it was tried on"), ("shown", "Give what it showed"))
    together(*(partial(_given, typed, name, remedy, bare) for name, remedy in asked))
    for name, _ in asked:
        values.append(typed.length(name, bare))
    if typed.text("kind") not in Instrument.__members__:
        raise BadInput("this is no kind of gauge", where="kind", remedy="Choose one")
    reference, shown = values
    assert reference is not None and shown is not None
    with beside("gauge"):
        try_gauge(shop, typed.text("gauge"), Instrument[typed.text("kind")], reference, shown)


def _given(typed: Typed, name: str, remedy: str, bare: str) -> None:
    typed.words(name, remedy)
    typed.length(name, bare)


def slips_of(request: Request, shop: Shop | None) -> tuple[Slip, ...]:
    """The slips of the stores; without a shop yet they begin one."""
    asked = request.query_params
    files = culm_files(shop) if shop else {}
    rigs = rig_files(shop) if shop else {}
    names = tuple(one.name for one in gauge_list(shop).gauges) if shop else ()
    rig, start = asked.get("rig", ""), asked.get("start", "")
    bare = show_of(shop).bare if shop else "in"
    text = rigs.get(rig) or {"form": Starter.FORM.text, "bed": Starter.BED.text}.get(start, "")
    return (
        *culm_slips(files, asked.get("culm", ""), start, bare=bare),
        Slip(
            "rigfile",
            f"Change rig {rig}" if rig in rigs else "Enter a rig from its file",
            file_fields("rig", text),
            (Press("rigfile", "Keep the rig", "The rig is kept.", Role.KEEP),),
            "Its name tells which rig it is. Change the figures of a commented file to those of your rig as measured.",
            see=(
                ("/stores?start=form#rigfile", "Begin from a steel form"),
                ("/stores?start=bed#rigfile", "Begin from a guided bed"),
            ),
            open=bool(text),
        ),
        Slip(
            "gauge",
            "Enter a gauge",
            (
                Field("name", "Name", "what the gauge is marked with, like G1"),
                Field("unit", "It shows", "", Look.ONE_OF, GAUGE_UNITS, first=bare),
                Field("resolution", "Its smallest step", f"like {EXAMPLES[bare].step}; may be left empty", digits=True),
            ),
            (Press("gauge", "Keep the gauge", "The gauge is kept.", Role.KEEP),),
        ),
        gauge_slip(names, Role.KEEP, bare),
        *back_slip(trials_told(shop) if shop else ()),
    )


def _act(shop: Shop, typed: Typed) -> None:
    match typed.act:
        case "culm":
            keep_culm_typed(shop, typed)
        case "culmfile":
            keep_culm_text(shop, typed)
        case "rigfile":
            keep_rig_text(shop, typed)
        case "back":
            _take_back(shop, typed)
        case "gauge":
            _enter_gauge(shop, typed)
        case _:
            try_typed(shop, typed)


def _enter_gauge(shop: Shop, typed: Typed) -> None:
    unit = typed.text("unit")
    if unit not in dict(GAUGE_UNITS):
        raise BadInput("this is no unit a gauge shows", where="unit", remedy="Choose one")
    together(
        partial(typed.words, "name", "Say what the gauge is marked with"), partial(typed.length, "resolution", unit)
    )
    name = typed.text("name")
    if any(one.name == name for one in gauge_list(shop).gauges):
        raise BadInput(f"there is a gauge {name} already", where="name", remedy="Give this one a name of its own")
    enter_gauge(shop, name, unit, typed.text("resolution"))


def _page(request: Request, refusal: Refusal | None = None, status: int = 200) -> Response:
    desk = desk_of(request)
    back = request.query_params.get("back", "")
    fit = bool(BACK.fullmatch(back))

    def render(shop: Shop | None) -> Response:
        slips = slips_of(request, shop)
        return HTMLResponse(
            page(
                request,
                "stores.html",
                view=look_at_stores(shop) if shop else EMPTY,
                slips=filled(slips, role_of(request), refusal),
                may=role_of(request),
                told="" if refusal else told_of(slips, request.query_params.get("kept", "")),
                refusal=refusal,
                action=f"/stores?back={back}" if fit else "/stores",
                back=back if fit else "",
                back_words=f"Back to {back[1:].replace('/', ', ')}" if fit else "",
            ),
            status,
        )

    if not desk.begun:
        return render(None)
    with desk.shop() as shop:
        return render(shop)


EMPTY = {"culms": (), "rigs": (), "gauges": (), "checks": ()}


@router.get("/stores", response_class=HTMLResponse)
def stores_page(request: Request) -> Response:
    """The shop's culms, rigs and gauges."""
    return _page(request)


@router.post("/stores")
def keep_store(request: Request, typed: Sent) -> Response:
    """Keep a culm, a rig, a gauge or a trial of one."""
    with desk_of(request).shop(start=True) as shop:
        slip = slip_of(slips_of(request, shop), typed.act)
        try:
            must_fit(slip, typed)
            ONCE.do(typed.id, lambda: False, lambda: _act(shop, typed))
        except CulmwrightError as fault:
            status = status_of(fault, "POST") if isinstance(fault, BadInput) else 422
            return _page(request, refused(slip, typed, fault), status)
    back = request.query_params.get("back", "")
    if BACK.fullmatch(back):
        return RedirectResponse(f"{back}#sheet", 303)
    return RedirectResponse(f"/stores?kept={typed.act}#sheet", 303)


@router.get("/lessons", response_class=HTMLResponse)
def lessons_page(request: Request) -> str:
    """What the finished strips of all rods say."""
    with desk_of(request).shop() as shop:
        return page(request, "lessons.html", view=look_at_lessons(shop))

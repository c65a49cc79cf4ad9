"""Culm and nodes: a culm entered, and sections laid out from the shop's culms while the page waits a few seconds."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from culmwright.book.cautions import DUST, EDGES
from culmwright.measure.display import Display
from culmwright.measure.errors import AnswerIsNo, BadInput, CulmwrightError
from culmwright.web.access import Role
from culmwright.web.pages import desk_of
from culmwright.web.rooms_form import Field, Look, Press, Sent, Slip, Typed, must_fit
from culmwright.web.rooms_stage import Room, again, sent, shown, slip_of
from culmwright.web.rooms_stores import culm_slips, keep_culm_text, keep_culm_typed
from culmwright.workshop import layouts_kept
from culmwright.workshop.culm_typed import culm_files
from culmwright.workshop.laying import USUAL, Margins, News, Tell
from culmwright.workshop.opening import Begun, Shop, find

router = APIRouter(include_in_schema=False)
PATIENCE = 4.0
"""How long [s] a page waits for a layout before it says that it is still being worked out."""
APART = (
    ("1", "each strip's at places of its own"),
    ("2", "two strips may share a place"),
    ("3", "three strips may share a place"),
)


class Job:
    """A layout being worked out: what was typed, how it stands, and how it ends."""

    def __init__(self, code: str, typed: Typed) -> None:
        self.code = code
        self.typed = typed
        self.news: tuple[str, News] | None = None
        self.end: Future[object] = Future()

    def hear(self, section: str, news: News) -> None:
        """How the search stands."""
        self.news = (section, news)


class Laying:
    """Works out one layout at a time, beside the pages."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._hands = ThreadPoolExecutor(1, "layout")
        self._job: Job | None = None

    def start(self, code: str, typed: Typed, work: Callable[[Tell], object]) -> Job:
        """Begin a layout, or the one that was begun by the same slip. Refuses a second one meanwhile."""
        with self._lock:
            old = self._job
            if old is not None and old.typed.id == typed.id:
                return old
            if old is not None and not old.end.done():
                raise AnswerIsNo("another layout is still being worked out", remedy="Wait until it is done")
            job = self._job = Job(code, typed)
            job.end = self._hands.submit(work, job.hear)
        return job

    def of(self, id: str) -> Job | None:
        """The layout a slip began, if it is the last one."""
        job = self._job
        return job if job is not None and job.typed.id == id else None


LAYING = Laying()


def _slips(request: Request, shop: Shop, begun: Begun) -> tuple[Slip, ...]:
    files = culm_files(shop)
    bare = begun.rod.display.bare
    near = "12 mm" if bare == "mm" else "1/2 in"
    every = tuple((one, one) for one in files)
    sections = (("", "all of them"), *((one.name, f"only {one.name}") for one in begun.rod.sections()))
    lay = Slip(
        "lay",
        "Lay out the nodes",
        (
            Field("culms", "Out of these culms", "", Look.ANY_OF, every, first=_only(files)),
            Field("section", "Sections", "", Look.ONE_OF, sections),
            Field("apart", "Nodes", "how many strips may carry theirs side by side", Look.ONE_OF, APART, first="1"),
            Field(
                "guides", f"Keep nodes from guide feet by, {bare}", f"like {near}; left empty: one may lie under a foot"
            ),
        ),
        (Press("lay", "Lay it out", "The layout is kept.", Role.KEEP),),
        "A few seconds, longer for many strips. Nodes stay out of ferrules, the tip end and the grip's front as well.",
        blocked="" if files else "Enter a culm first: its nodes are what is laid out.",
        remedy="Change how the culm is sawn, keep its lengths for other sections, or add a culm",
        caution=f"{EDGES} {DUST}",
        open=bool(files) and layouts_kept.state_of(shop, begun) == "none",
    )
    asked = request.query_params
    own = culm_slips(
        files, asked.get("culm", ""), asked.get("start", ""), f"/{quote(request.path_params['code'])}/culm", bare
    )
    return (lay, *own)


def _only(files: dict[str, str]) -> str:
    return next(iter(files)) if len(files) == 1 else ""


def _culm(shop: Shop, begun: Begun, typed: Typed) -> None:
    keep_culm_typed(shop, typed)


def _culm_file(shop: Shop, begun: Begun, typed: Typed) -> None:
    keep_culm_text(shop, typed)


ROOM = Room("culm", _slips, {"culm": _culm, "culmfile": _culm_file})


@router.get("/{code}/culm", response_class=HTMLResponse)
def culm_page(request: Request, code: str) -> Response:
    """The culms of a rod and its node layout; while one is worked out, how far that is."""
    job = LAYING.of(request.query_params.get("laying", ""))
    if job is None or job.code != code:
        return shown(request, ROOM, code)
    return _answered(request, code, job)


@router.post("/{code}/culm")
def culm_sent(request: Request, code: str, typed: Sent) -> Response:
    """Enter a culm, or lay a rod's sections out."""
    if typed.act != "lay":
        return sent(request, ROOM, code, typed)
    desk = desk_of(request)
    with desk.shop() as shop:
        begun = find(shop, code)
        slip = slip_of(_slips(request, shop, begun), "lay")
        try:
            must_fit(slip, typed)
            work = _asked(shop, begun, typed)
            job = LAYING.start(code, typed, work)
        except CulmwrightError as fault:
            return again(request, ROOM, code, slip, typed, fault)
    wait([job.end], PATIENCE)
    return _answered(request, code, job)


def _asked(shop: Shop, begun: Begun, typed: Typed) -> Callable[[Tell], object]:
    """What lays the sections out of the culms chosen, and keeps that."""
    files = culm_files(shop)
    chosen = typed.many("culms")
    if not chosen or not all(one in files for one in chosen):
        raise BadInput("no culm is chosen", where="culms", remedy="Tick one or more")
    share, guides = typed.whole("apart"), typed.length("guides", begun.rod.display.bare)
    if share not in (1, 2, 3):
        raise BadInput("one, two or three strips may share a place", where="apart", remedy="Choose one")
    if guides is not None and not 0 <= guides.m < 0.1:
        raise BadInput(
            f"{guides} is no distance from a guide foot", where="guides", remedy="Give one like 1/2 in, or 12 mm"
        )
    margins = Margins(USUAL.ferrule, USUAL.tip_end, USUAL.grip_end, guides)
    names = [one.name for one in begun.rod.sections()]
    section = typed.text("section") or None
    if section is not None and section not in names:
        raise BadInput(f"this rod has no section {section}", where="section", remedy=f"Name {', '.join(names)}")
    texts = tuple(files[one] for one in chosen)
    return lambda tell: layouts_kept.lay_texts(
        shop, begun, texts, section=section, share=share, margins=margins, tell=tell
    )


def _answered(request: Request, code: str, job: Job) -> Response:
    """The page after a layout has ended, or where to look for it while it has not."""
    address = f"/{quote(code)}/culm"
    with desk_of(request).shop() as shop:
        begun = find(shop, code)
        slip = slip_of(_slips(request, shop, begun), "lay")
        show = begun.rod.display
    if job.end.done():
        try:
            job.end.result()
        except CulmwrightError as fault:
            return again(request, ROOM, code, slip, job.typed, fault)
        return RedirectResponse(f"{address}?kept=lay#sheet", 303)
    if request.method == "POST":
        return RedirectResponse(f"{address}?laying={job.typed.id}#sheet", 303)
    answer = shown(request, ROOM, code, waits=_words(job, show))
    answer.headers["refresh"] = "2"
    return answer


def _words(job: Job, show: Display) -> str:
    said = "The layout is still being worked out; this page looks again by itself."
    if job.news is None:
        return said
    section, news = job.news
    found = "" if news.found is None else f", {show.near(news.found / 1e9)} so far"
    bound = "" if news.bound is None else f", at most {show.near(news.bound / 1e9)} can be"
    return f"{said} {section}: {news.aim.value}{found}{bound}."

"""Proof: strips matched and their order kept, flats of the glued section read, the cane bent and its swings counted."""

from __future__ import annotations

from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from culmwright.book.cautions import LOADED
from culmwright.measure.errors import BadInput
from culmwright.measure.spot import Spot
from culmwright.web.access import Role
from culmwright.web.rooms_form import Field, Look, Press, Sent, Slip, Typed, beside
from culmwright.web.rooms_stage import Room, Seen, sent, shown
from culmwright.workshop.flats import keep_flats, ways_of
from culmwright.workshop.flexing import keep_drops, keep_rate, kept_tests, take_back
from culmwright.workshop.looking_work import cane_measured, in_words
from culmwright.workshop.matching import Matched, keep_order, match, order_of, words_of
from culmwright.workshop.opening import Begun, Shop

router = APIRouter(include_in_schema=False)
MOST_DROPS = 40


def _slips(request: Request, shop: Shop, begun: Begun) -> tuple[Slip, ...]:
    rod, show = begun.rod, begun.rod.display
    names = tuple((one.name, one.name) for one in rod.sections())
    rings = "; ".join(f"{one}: {' '.join(map(str, order_of(shop, begun, one)))}" for one, _ in names)
    spots = tuple(
        (str(Spot(one.name, station=place)), f"{one.name}, station {show.station(place.m)}")
        for one in rod.sections()
        for place in one.stations
    )
    ways = ways_of(rod)
    first = show.across(0.0045)
    tips = tuple((str(one), f"tip {one}") for one in range(1, rod.tips + 1)) if rod.pieces > 1 else (("1", "the rod"),)
    order = f"/{quote(request.path_params['code'])}/proof/order"
    tests = tuple((str(one.seq), f"test {one.seq}, kept {one.at:%Y-%m-%d}") for one in kept_tests(shop, begun))
    tip = Field("tip", "Assembled with", "", Look.ONE_OF, tips, first="1")
    heavy, down = ("15 g", "360 mm") if show.bare == "mm" else ("1/2 oz", "14 1/8 in")
    return (
        Slip(
            "match",
            "Match strips",
            (
                Field("section", "Section", "", Look.ONE_OF, names),
                Field("strips", "Only these strips", "like 1 2 3 5 6 7; left empty: all that were read through"),
            ),
            (
                Press("match", "Show the best order"),
                Press(
                    "keep",
                    "Glue it in the best order",
                    "The order is kept: the section is glued in it.",
                    Role.KEEP,
                    order,
                ),
            ),
            f"Strips as they stand round the ring now: {rings}.",
            remedy="Read the strips at finishing on the page Bench",
        ),
        Slip(
            "flats",
            "Read flats over a glued section",
            (
                Field("spot", "Station", "", Look.ONE_OF, spots),
                Field(
                    "values",
                    f"{_count(ways)} caliper readings over the bare section, {show.bare}",
                    f"first over face 1, then round with the strips: like {' '.join([first.split()[0]] * ways)}",
                ),
            ),
            (Press("flats", "Keep the readings", "The readings are kept."),),
            "Before varnish, glue scraped off. A station read again replaces what stood.",
        ),
        Slip(
            "bend",
            "Bend the rod under known weights",
            (
                Field("drops", "Weight = how far its tip came down, one a line", f"like {heavy} = {down}", Look.LINES),
                Field("reading", "Drops were read to", "like 1/16 in, or 1 mm"),
                tip,
            ),
            (Press("bend", "Keep the test", "The bend test is kept."),),
            "Grip held level and fast; drop from where the tip hangs without the weight. Stand clear of it.",
            caution=LOADED,
        ),
        Slip(
            "swing",
            "Count swings",
            (
                Field("swings", "Swings", "there and back is one; like 30", digits=True),
                Field("seconds", "took, seconds", "like 18.4", digits=True),
                tip,
            ),
            (Press("swing", "Keep the count", "The count is kept."),),
            "Grip held fast in padded jaws, tip plucked by a hand's width, counted from the first turn.",
            caution=LOADED,
        ),
        Slip(
            "back",
            "Take a bend test back",
            (
                Field("test", "Test", "", Look.ONE_OF, tests),
                Field("why", "Why", "in a few words"),
            ),
            (Press("back", "Take it back", "The bend test is taken back."),),
            "It stays in the records, marked so.",
            blocked="" if tests else "No bend test is kept yet.",
        ),
    )


def _count(ways: int) -> str:
    return {2: "Two", 3: "Three", 5: "Five"}.get(ways, str(ways))


def _found(shop: Shop, begun: Begun, typed: Typed) -> Matched:
    said = typed.text("strips").replace(",", " ").replace("S", " ").split()
    if not all(one.isascii() and one.isdigit() and len(one) < 4 for one in said):
        raise BadInput("these are no numbers of strips", where="strips", remedy="Write them like 1 2 3 5 6 7")
    with beside("strips"):
        return match(shop, begun, typed.text("section"), tuple(dict.fromkeys(int(one) for one in said)))


def _match(shop: Shop, begun: Begun, typed: Typed) -> Seen:
    found = _found(shop, begun, typed)
    return (in_words(f"Strips of {found.section} matched", words_of(found, begun.rod.display)),)


def _keep(shop: Shop, begun: Begun, typed: Typed) -> None:
    keep_order(shop, begun, _found(shop, begun, typed), id=typed.id)


def _flats(shop: Shop, begun: Begun, typed: Typed) -> None:
    with beside("spot"):
        spot = Spot.parse(typed.words("spot", "Choose a station"), begun.rod.display.bare)
    with beside("values"):
        keep_flats(shop, begun, spot, typed.text("values").replace(";", " ").split(), id=typed.id)


def _bend(shop: Shop, begun: Begun, typed: Typed) -> None:
    drops = []
    for number, line in enumerate(typed.text("drops").splitlines(), 1):
        weight, mark, drop = (part.strip() for part in line.partition("="))
        if not line.strip():
            continue
        if not (weight and mark and drop):
            raise BadInput(f"line {number} has no two sides", where="drops", remedy="Write it like 1/2 oz = 14 1/8 in")
        drops.append((weight, drop))
    if not 0 < len(drops) <= MOST_DROPS:
        raise BadInput("there is no drop", where="drops", remedy=f"Give 1 to {MOST_DROPS}, one a line")
    reading = typed.words("reading", "Say how finely they were read, like 1/16 in")
    typed.length("reading", begun.rod.display.bare)
    with beside("drops"):
        keep_drops(shop, begun, drops, reading, _tip(begun, typed), id=typed.id)


def _swing(shop: Shop, begun: Begun, typed: Typed) -> None:
    swings = typed.whole("swings", 0)
    if swings < 1:
        raise BadInput("a count has swings", where="swings", remedy="Count 30 and stop the clock")
    said = typed.text("seconds").removesuffix("s").strip().replace(",", ".")
    try:
        seconds = float(said)
    except ValueError:
        seconds = 0.0
    if not 0.1 <= seconds <= 3600 or not said.isascii():
        raise BadInput("this is no time it took", where="seconds", remedy="Give seconds, like 18.4")
    with beside("swings"):
        keep_rate(shop, begun, swings, seconds, _tip(begun, typed), id=typed.id)


def _back(shop: Shop, begun: Begun, typed: Typed) -> None:
    why = typed.words("why", "Say why in a few words")
    with beside("test"):
        number = typed.text("test")
        known = [str(one.seq) for one in kept_tests(shop, begun)]
        take_back(shop, begun, int(number) if number in known else 0, why, id=typed.id)


def _tip(begun: Begun, typed: Typed) -> int:
    tip = typed.whole("tip")
    if not 1 <= tip <= begun.rod.tips:
        raise BadInput(f"this rod has no tip {tip}", where="tip", remedy=f"Choose 1 to {begun.rod.tips}")
    return tip


ROOM = Room(
    "proof",
    _slips,
    {"match": _match, "keep": _keep, "flats": _flats, "bend": _bend, "swing": _swing, "back": _back},
    more=cane_measured,
)


@router.get("/{code}/proof", response_class=HTMLResponse)
def proof_page(request: Request, code: str) -> Response:
    """The rod as built beside its drawing."""
    return shown(request, ROOM, code)


@router.post("/{code}/proof")
def proof_sent(request: Request, code: str, typed: Sent) -> Response:
    """Keep flats, a bend test or a count of swings."""
    return sent(request, ROOM, code, typed)


@router.post("/{code}/proof/order")
def order_sent(request: Request, code: str, typed: Sent) -> Response:
    """Keep the best order of a section's strips."""
    return sent(request, ROOM, code, typed)

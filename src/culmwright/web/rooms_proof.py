"""Proof: strips matched and their order kept, flats of the glued section read, the cane bent and its swings counted."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from math import degrees
from urllib.parse import quote

from fastapi import Request, Response

from culmwright.book.cautions import LOADED
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput, together
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind
from culmwright.measure.spot import Spot
from culmwright.web.access import Role
from culmwright.web.rooms_form import Field, Look, Press, Sent, Slip, Typed, beside
from culmwright.web.rooms_stage import Room, Seen, routes_of, sent
from culmwright.workshop.flats import bare_across, flats_read, keep_flats, ways_of
from culmwright.workshop.flexing import Bar, Held, keep_drops, keep_rate, own_tests, take_back
from culmwright.workshop.looking_work import cane_measured, in_words, proof_lacking
from culmwright.workshop.matching import Matched, keep_order, match, order_of, words_of
from culmwright.workshop.opening import Begun, Shop
from culmwright.workshop.strip_tests import strip_named
from culmwright.workshop.strips_laid import lines_of

MOST_DROPS = 40


def _slips(request: Request, shop: Shop, begun: Begun) -> tuple[Slip, ...]:
    rod, show = begun.rod, begun.rod.display
    names = tuple((one.name, one.name) for one in rod.sections())
    rings = "; ".join(f"{one}: {' '.join(map(str, order_of(shop, begun, one)))}" for one, _ in names)
    flats, places = flats_read(shop, begun), [(one, place) for one in rod.sections() for place in one.stations]
    spots = tuple(
        (
            str(Spot(one.name, station=place)),
            f"{one.name}, station {show.station(place.m)}: {show.across(bare_across(rod, one, place))} as drawn"
            + _as_read(show, flats.get((one.name, place), ())),
        )
        for one, place in places
    )
    last = max((at for at, (one, place) in enumerate(places) if (one.name, place) in flats), default=-1)
    ways = ways_of(rod)
    first = show.across(0.0045)
    tips = tuple((str(one), f"tip {one}") for one in range(1, rod.tips + 1)) if rod.pieces > 1 else (("1", "the rod"),)
    order = f"/{quote(request.path_params['code'])}/proof/order"
    tests = tuple((str(at), f"test {at}, kept {one.at:%Y-%m-%d}") for at, one in own_tests(shop, begun).items())
    tip = Field("tip", "Assembled with", "", Look.ONE_OF, tips, first="1")
    strips = tuple(
        (f"{one.name}/S{number}", f"{one.name}, strip {number}")
        for one in rod.sections()
        for number in range(1, rod.sides + rod.bench.spares + 1)
    )
    big, little = ("250 g", "8 mm") if show.bare == "mm" else ("1/2 lb", "0.31 in")
    heavy, down = ("15 g", "360 mm") if show.bare == "mm" else ("1/2 oz", "14 1/8 in")
    every = (
        Slip(
            "match",
            "Match strips",
            (
                Field("section", "Section", "", Look.ONE_OF, names),
                Field("strips", "Only these strips", "like 1 2 3 5 6 7; left empty: all that were read through"),
                Field(
                    "apart",
                    "Nodes of touching strips lie apart at least",
                    "left empty: as far as the layout has them; 0: wherever they lie",
                    digits=True,
                ),
                Field(
                    "cut_to",
                    "Cut to other lines of the cut list",
                    "the line S1, S2 … were really cut to, like 1 2 5 4 3 6 -; - is none. Left empty: each to its own",
                ),
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
                Field("spot", "Station", "", Look.ONE_OF, spots, first=spots[(last + 1) % len(spots)][0]),
                Field(
                    "values",
                    f"{_count(ways)} caliper readings over the bare section, {show.bare}",
                    f"first over face 1, then round with the strips: like {' '.join([first.split()[0]] * ways)}",
                ),
            ),
            (Press("flats", "Keep the readings", "The readings are kept."),),
            "Before varnish, glue scraped off. A station read again replaces what stood.",
            open=request.query_params.get("kept") == "flats",
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
            "strip",
            "Bend one strip under known weights",
            (
                Field("of", "Strip", "", Look.ONE_OF, strips),
                Field("height", f"Its height where it bends, {show.bare}", f"like {first.split()[0]}"),
                Field("apex", "Its apex angle", "like 60 deg", first=f"{degrees(rod.making.apex_angle):g} deg"),
                Field("span", "Span between its supports", "like 10 in, or 250 mm"),
                Field("one_end", "Held at one end, the weight at the other", "", Look.TICK),
                Field("drops", "Weight = how far it came down, one a line", f"like {big} = {little}", Look.LINES),
                Field("reading", "Drops were read to", "like 1/64 in, or 0.5 mm"),
            ),
            (Press("strip", "Keep the test", "The bend test is kept."),),
            "On its enamel over two supports, the weight in the middle. Bend two strips of a section or more: then the "
            "proof takes each by its own cane.",
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
        ),
    )
    return every if tests else every[:-1]


def _as_read(show: Display, values: Sequence[float]) -> str:
    """What was read over a station, after what is drawn there; "" where nothing was."""
    return f"; read {' '.join(show.across.number(one) for one in values)}" if values else ""


def _count(ways: int) -> str:
    return {2: "Two", 3: "Three", 5: "Five"}.get(ways, str(ways))


def _found(shop: Shop, begun: Begun, typed: Typed) -> Matched:
    said = typed.text("strips").replace(",", " ").replace("S", " ").split()
    if not all(one.isascii() and one.isdigit() and len(one) < 4 for one in said):
        raise BadInput("these are no numbers of strips", where="strips", remedy="Write them like 1 2 3 5 6 7")
    apart = typed.length("apart", begun.rod.display.bare)
    if apart is not None and apart.nanometres < 0:
        raise BadInput("this is no distance", where="apart", remedy="Give one, or 0")
    with beside("cut_to"):
        cut_to = lines_of(begun, typed.text("cut_to"))
    try:
        return match(
            shop,
            begun,
            typed.text("section"),
            tuple(dict.fromkeys(int(one) for one in said)),
            apart=None if apart is None else apart.m,
            cut_to=cut_to,
        )
    except BadInput as fault:
        at = {"cut to": "cut_to", "apart": "apart"}.get(fault.where, "strips")
        raise BadInput(fault.what, where=at, remedy=fault.remedy) from None


def _match(shop: Shop, begun: Begun, typed: Typed) -> Seen:
    found = _found(shop, begun, typed)
    return (in_words(f"Strips of {found.section} matched", words_of(found, begun.rod.display)),)


def _keep(shop: Shop, begun: Begun, typed: Typed) -> None:
    found = _found(shop, begun, typed)
    with beside("apart"):
        keep_order(shop, begun, found, id=typed.id, cut_to=lines_of(begun, typed.text("cut_to")))


def _flats(shop: Shop, begun: Begun, typed: Typed) -> None:
    with beside("spot"):
        spot = Spot.parse(typed.words("spot", "Choose a station"), begun.rod.display.bare)
    with beside("values"):
        keep_flats(shop, begun, spot, typed.text("values").replace(";", " ").split(), id=typed.id)


def _bend(shop: Shop, begun: Begun, typed: Typed) -> None:
    together(partial(_weights, typed), partial(_read_to, begun, typed), partial(_tip, begun, typed))
    drops, reading = _weights(typed), _read_to(begun, typed)
    with beside("drops"):
        keep_drops(shop, begun, drops, reading, _tip(begun, typed), id=typed.id)


def _strip(shop: Shop, begun: Begun, typed: Typed) -> None:
    bare = begun.rod.display.bare
    together(
        partial(typed.words, "of", "Choose a strip"),
        partial(_size, typed, "height", bare),
        partial(_apex, typed),
        partial(_size, typed, "span", bare),
        partial(_weights, typed),
        partial(_read_to, begun, typed),
    )
    with beside("of"):
        strip = strip_named(begun, typed.text("of"))
    height, span, apex = _size(typed, "height", bare), _size(typed, "span", bare), _apex(typed)
    drops, reading = _weights(typed), _read_to(begun, typed)
    held = Held.ONE_END if typed.ticked("one_end") else Held.BOTH_ENDS
    with beside("drops"):
        bar = Bar(str(span), {"height": str(height), "apex": apex}, held, strip=strip)
        keep_drops(shop, begun, drops, reading, bar=bar, id=typed.id)


def _size(typed: Typed, name: str, bare: str) -> Length:
    size = typed.length(name, bare)
    if size is None or size.nanometres <= 0:
        raise BadInput(f"a strip bent has a {name}", where=name, remedy="Give it as measured, above zero")
    return size


def _apex(typed: Typed) -> str:
    apex = typed.words("apex", "Give its apex angle, like 60 deg")
    typed.quantity("apex", Kind.ANGLE)
    return apex


def _weights(typed: Typed) -> list[tuple[str, str]]:
    """Weights and drops as typed."""
    drops = []
    for number, line in enumerate(typed.text("drops").splitlines(), 1):
        weight, mark, drop = (part.strip() for part in line.partition("="))
        if not line.strip():
            continue
        if not (weight and mark and drop):
            raise BadInput(
                f"line {number} has no two sides",
                where="drops",
                remedy="Write it like 1/2 oz = 14 1/8 in, or 15 g = 360 mm",
            )
        drops.append((weight, drop))
    if not 0 < len(drops) <= MOST_DROPS:
        raise BadInput("there is no drop", where="drops", remedy=f"Give 1 to {MOST_DROPS}, one a line")
    return drops


def _read_to(begun: Begun, typed: Typed) -> str:
    """How finely drops were read, as typed."""
    reading = typed.words("reading", "Say how finely they were read, like 1/16 in, or 1 mm")
    typed.length("reading", begun.rod.display.bare)
    return reading


def _swing(shop: Shop, begun: Begun, typed: Typed) -> None:
    together(partial(_swings, typed), partial(_seconds, typed), partial(_tip, begun, typed))
    with beside("swings"):
        keep_rate(shop, begun, _swings(typed), _seconds(typed), _tip(begun, typed), id=typed.id)


def _swings(typed: Typed) -> int:
    swings = typed.whole("swings", 0)
    if swings < 1:
        raise BadInput("a count has swings", where="swings", remedy="Count 30 and stop the clock")
    return swings


def _seconds(typed: Typed) -> float:
    said = typed.text("seconds").removesuffix("s").strip().replace(",", ".")
    try:
        seconds = float(said)
    except ValueError:
        seconds = 0.0
    if not 0.1 <= seconds <= 3600 or not said.isascii():
        raise BadInput("this is no time it took", where="seconds", remedy="Give seconds, like 18.4")
    return seconds


def _back(shop: Shop, begun: Begun, typed: Typed) -> None:
    why = typed.words("why", "Say why in a few words")
    with beside("test"):
        number = typed.text("test")
        known = [str(one) for one in own_tests(shop, begun)]
        take_back(shop, begun, int(number) if number in known else 0, why, id=typed.id)


def _tip(begun: Begun, typed: Typed) -> int:
    tip = typed.whole("tip")
    if not 1 <= tip <= begun.rod.tips:
        raise BadInput(f"this rod has no tip {tip}", where="tip", remedy=f"Choose 1 to {begun.rod.tips}")
    return tip


ROOM = Room(
    "proof",
    _slips,
    {"match": _match, "keep": _keep, "flats": _flats, "bend": _bend, "strip": _strip, "swing": _swing, "back": _back},
    more=lambda shop, begun: (*proof_lacking(shop, begun), *cane_measured(shop, begun)),
)
router = routes_of(ROOM)


@router.post("/{code}/proof/order")
def order_sent(request: Request, code: str, typed: Sent) -> Response:
    """Keep the best order of a section's strips."""
    return sent(request, ROOM, code, typed)

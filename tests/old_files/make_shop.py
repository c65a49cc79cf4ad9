"""Make ``shop-0002.sqlite``, the shop of the newest released schema, with some of everything in it.

    PYTHONPATH=src python tests/old_files/make_shop.py FILE

It is run once for each schema, by the program that first wrote it; the files are kept for ever and never made anew.
Schema 0001 had no dockets. All names and figures are invented.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

from culmwright.ledger.dockets import keep_docket, withdraw_docket
from culmwright.ledger.frozen import freeze
from culmwright.ledger.happenings import add_event, add_pass
from culmwright.ledger.readings import append
from culmwright.ledger.records import Cell, Entry, EventEntry, EventKind, PassEntry
from culmwright.ledger.register import add_culm, add_gauge, add_gauge_check, add_rig, add_strip, person_named
from culmwright.ledger.shop import Shop, create_shop
from culmwright.measure.lengths import Length

DRAWING = 'culmwright = 1\r\nunits = "inch"\n\n[rod]\nname = "Quillet Water"\n# 3" stays 3"; = + - @ \' stay too\n'
START = datetime(2026, 3, 1, 8, 30, tzinfo=UTC)


def digest_of(text: str) -> str:
    return sha256(text.encode()).hexdigest()


def fill(shop: Shop) -> None:
    """Put some of everything into an empty shop: two rods, a corrected culm, undone and replaced readings."""
    tick = iter(range(10_000))

    def moment() -> datetime:
        return START + timedelta(seconds=20 * next(tick))

    def made_here() -> str:
        return f"old-shop-{next(tick):09d}"

    hand = person_named(shop, "Ann Example")
    first = freeze(shop, "Quillet Water", DRAWING, digest_of(DRAWING), plan='{"stations": 7}')
    culm = add_culm(shop, "C1", diameter=Length.parse("2 1/8 in"), note="=two rings, -0.5 turn")
    culm = add_culm(shop, "C1", diameter=Length.parse("54,2 mm"), supersedes=culm.id, why="read again with the tape")
    for number in range(1, 7):
        add_strip(shop, f"R1-T1-S{number}", first.rod, "T1", number, culm=culm.id, place=number)
    rig = add_rig(shop, "bed", "bed", "[bed]\nadjusters = 13\n")
    gauge = add_gauge(shop, "dial", "in", resolution=Length.parse("0.0005 in"))
    add_gauge_check(shop, gauge.id, Length.parse("1/4 in"), Length.parse("0.2500 in"), person=hand.id)
    soak = EventEntry(
        made_here(),
        EventKind.SOAK_STARTED,
        moment(),
        first.id,
        "T1",
        ready_at=START + timedelta(days=3),
        person=hand.id,
    )
    add_event(shop, soak)
    add_pass(
        shop,
        PassEntry(
            made_here(),
            first.id,
            "T1",
            "rough",
            1,
            True,
            moment(),
            depth=Length.parse("10 thou"),
            rig=rig.id,
            note="sharp",
        ),
    )
    for strip in range(1, 7):
        for place in ("5", "10", "15"):
            cell = Cell(first.id, "T1", Length.parse(place, "in"), "rough", 1, strip)
            value = Length.parse(f"0.2{strip}{len(place)}5 in")
            append(
                shop,
                Entry.measured(cell, value, wet=True, gauge=gauge.id, person=hand.id, id=made_here(), at=moment()),
            )
    cell = Cell(first.id, "T1", Length.parse("25 in"), "rough", 1, 1)
    one = append(shop, Entry.measured(cell, Length.parse("+25/128 in"), wet=True, id=made_here(), at=moment()))
    two = append(shop, one.again(Length.parse("5,02 mm"), "the strip had slipped", id=made_here(), at=moment()))
    append(shop, two.withdrawn("it had not", id=made_here(), at=moment()))
    other = Cell(first.id, "T1", Length.parse("25 in"), "rough", 1, 2)
    append(shop, Entry.skipped(other, "a node stands here", wet=True, id=made_here(), at=moment()))
    note = add_event(shop, EventEntry(made_here(), EventKind.NOTED, moment(), first.id, note="@noon\tsteam\r\nagain"))
    taken_back = EventEntry(
        made_here(), EventKind.NOTED, moment(), first.id, note="@noon, no steam", supersedes=note.seq, why="mistaken"
    )
    add_event(shop, taken_back)
    second = freeze(shop, "Quillet Water", DRAWING + "# drawn again\n", digest_of("drawn again"), rod=first.rod)
    glued = Cell(second.id, "B", Length.parse("60 in"), "glued", face=2)
    append(shop, Entry.measured(glued, Length.parse("0.3105 in"), wet=False, id=made_here(), at=START))
    weighed = keep_docket(shop, "weighing", '{"mass": "412 g"}', id=made_here(), rod=1, section="T1", at=START)
    again = keep_docket(
        shop,
        "weighing",
        '{"mass": "=410,5 g"}',
        id=made_here(),
        rod=1,
        section="T1",
        at=START,
        supersedes=weighed.seq,
        why="read wrong",
    )
    mistaken = keep_docket(shop, "layout", "{}", id=made_here(), culm=culm.id, rig=rig.id, at=START, person=hand.id)
    withdraw_docket(shop, mistaken.seq, "of another culm", id=made_here(), at=again.at)
    freeze(shop, "Änderung Nr. 2 · ⅜", "units = 'metric'\n", digest_of("other"))


if __name__ == "__main__":
    with create_shop(Path(sys.argv[1]).resolve()) as shop:
        fill(shop)

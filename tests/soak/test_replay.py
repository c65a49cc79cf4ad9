"""Entries sent once, twice, late and cut off: each is kept once and answered alike."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from sqlalchemy import event

from culmwright.ledger.faults import Conflict
from culmwright.ledger.readings import append, current
from culmwright.ledger.shop import open_shop
from culmwright.measure.lengths import Length


class Cut(Exception):
    """The line goes dead."""


def test_replayed_entries_are_kept_once(tell, hand_script, new_shop, depth, quick):
    chance = random.Random(11)
    file = new_shop(quick / "shop.sqlite")
    shop = open_shop(file)
    cut = {"begin": 0, "commit": 0, "answer": 0, "conflict": 0, "replay": 0}
    breaks: list[str] = []

    def at(place):
        def maybe(_):
            if breaks and breaks[0] == place:
                breaks.pop()
                raise Cut

        return maybe

    for place in ("begin", "commit"):
        event.listen(shop._engine, place, at(place))
    schedules = depth(200, 1000, 5000)
    for trial in range(schedules):
        entries = [hand_script.entry_of(trial, number) for number in range(chance.randrange(1, 6))]
        answers: dict[str, object] = {}
        waiting = [entry for entry in entries for _ in range(chance.randrange(1, 5))]
        chance.shuffle(waiting)
        while waiting:
            entry = waiting.pop()
            breaks[:] = chance.choices(([], ["begin"], ["commit"], ["answer"]), (6, 1, 2, 2))[0]
            place = breaks[0] if breaks else ""
            try:
                answer = append(shop, entry)
                if breaks == ["answer"]:
                    breaks.clear()
                    raise Cut
            except Cut:
                cut[place] += 1
                waiting.insert(chance.randrange(len(waiting) + 1), entry)  # no answer: the client tries again
                continue
            cut["replay"] += entry.id in answers
            assert answers.setdefault(entry.id, answer) == answer
            if chance.random() < 0.1:
                cut["conflict"] += 1
                with pytest.raises(Conflict):
                    append(shop, replace(entry, value=Length.parse("1 mm")))
            if chance.random() < 0.02:
                shop._engine.dispose()
        kept = [one for one in current(shop, 1) if one.entry.id.startswith(f"trial-{trial:06d}-")]
        assert {one.entry.id: one for one in kept} == answers
        assert len(kept) == len(entries)
        if trial % 100 == 99:  # reading all back gets slower with every schedule: a fresh file now and then
            shop.close()
            file = new_shop(quick / f"shop-{trial}.sqlite")
            shop = open_shop(file)
            for place in ("begin", "commit"):
                event.listen(shop._engine, place, at(place))
    shop.close()
    tell(f"{schedules} schedules: {cut}")
    assert min(cut.values()) > schedules // 20

"""The tablet's outbox under cuts: what was typed is in the shop once, in the order typed, whatever happened between.

Each schedule is a chain of accidents at random: no network, an answer lost on its way back, a server that fails, one
that is slow, one that is stopped and started anew, a page loaded again, a clock that jumps a day. A reading counts as
typed once the tablet said that it has it; one that a reload overtook may be there or not, but never twice.
"""

from __future__ import annotations

import importlib.util
import random
import shutil
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest

pytestmark = pytest.mark.needs_chromium

if "served" not in sys.modules:  # tests of other folders load it too
    _spec = importlib.util.spec_from_file_location("served", Path(__file__).parents[1] / "browser" / "served.py")
    assert _spec is not None and _spec.loader is not None
    sys.modules["served"] = importlib.util.module_from_spec(_spec)
    _spec.loader.exec_module(sys.modules["served"])
served = sys.modules["served"]

JUMP = """jump => {
  const real = Date;
  Date = class extends real {
    constructor(...given) { if (given.length) super(...given); else super(real.now() + jump); }
    static now() { return real.now() + jump; }
  };
}"""
LONG = "1,2,3,4,5,6,7"
READINGS = 3  # a schedule


class Tablet:
    """A page at the bench, and what the network does to its messages."""

    def __init__(self, browser, bench, rng):
        self.bench, self.rng = bench, rng
        self.context = browser.new_context()
        self.page = self.context.new_page()
        self.page.set_default_timeout(15_000)
        self.mode, self.faults = "sound", []
        self.page.on("pageerror", lambda fault: self.faults.append(str(fault)))
        self.page.on("requestfailed", lambda one: self.faults.append(f"{one.url[-30:]} {one.failure}"))
        self.page.route("**/api/rods/*/readings", self.met)
        self.typed, self.unsure, self.up = [], set(), True
        self.load()

    def met(self, route):
        with suppress(Exception):  # the page may be gone by now
            if self.mode == "gone":
                route.abort()
            elif self.mode == "failing":
                route.fulfill(status=500, body="{}")
            elif self.mode == "portal":
                route.fulfill(status=200, body='{"welcome": true}', content_type="application/json")
            elif self.mode == "unheard":
                route.fetch()
                route.abort()
            else:
                if self.mode == "slow":
                    time.sleep(0.05)
                route.continue_()

    def load(self):
        self.page.goto(
            self.bench.address
            + served.WALK.format(stage="rough", strips=LONG).replace("section=T1", "section=T1&section=T2&section=B")
        )
        try:
            self.page.wait_for_selector("#place:not(:empty)")
        except Exception as fault:
            state = "document.body.innerText.slice(0, 300) + ' | ' + document.querySelector('#bench')?.hidden"
            raise AssertionError(f"the page did not begin: {self.faults} {self.page.evaluate(state)}") from fault

    def reload(self):
        if not self.up:
            self.start()
        self.load()

    def stop(self):
        if self.up:
            self.bench.stop()
            self.up = False

    def start(self):
        if not self.up:
            self.bench.start()
            self.up = True

    def type(self, *, overtaken=False):
        """One reading; True once the tablet says that it has it."""
        armed = self.page.evaluate(
            "[bench.walk.spot, bench.walk.armed?.shown, bench.outbox.items.length + bench.walk.counted.size]"
        )
        spot, shown, before = armed
        if spot is None:
            return False
        text = f"{float(shown) + 0.0001 * self.rng.randrange(40):.4f}"
        self.page.evaluate(served.SEND, [text, 8, "Enter", 0])
        self.typed.append((spot, text))
        if overtaken:
            self.unsure.add(len(self.typed) - 1)
            return True
        until = time.monotonic() + 15
        while time.monotonic() < until:
            if self.page.evaluate("spot => !bench.flight && bench.walk.spot !== spot", spot):
                return True
            if self.page.evaluate("Boolean(bench.asked)"):
                self.page.keyboard.press("Enter")
            self.page.wait_for_timeout(15)
        raise AssertionError(f"the tablet never had {spot} {text}, {before}")

    def heal(self):
        self.mode = "sound"
        self.context.set_offline(False)
        self.start()
        until = time.monotonic() + 30
        while time.monotonic() < until:
            self.page.evaluate("bench.outbox.flush()")
            if self.page.evaluate("bench.outbox.items.length === 0 && !bench.flight"):
                return
            self.page.wait_for_timeout(30)
        raise AssertionError(self.page.evaluate("JSON.stringify([bench.outbox.items, bench.outbox.fault])"))


def accident(tablet, rng):
    match rng.choices(
        (
            "gone",
            "failing",
            "portal",
            "unheard",
            "slow",
            "sound",
            "offline",
            "online",
            "reload",
            "overtaken",
            "stop",
            "start",
            "clock",
        ),
        (4, 4, 1, 5, 2, 4, 3, 3, 3, 2, 1, 1, 1),
    )[0]:
        case "offline":
            tablet.context.set_offline(True)
        case "online":
            tablet.context.set_offline(False)
        case "reload":
            tablet.context.set_offline(False)
            tablet.reload()
        case "overtaken":
            tablet.context.set_offline(False)
            if not tablet.up:
                tablet.start()
            tablet.type(overtaken=True)
            tablet.load()
        case "stop":
            tablet.stop()
        case "start":
            tablet.start()
        case "clock":
            jump = rng.choice((-1, 1)) * 86_400_000
            tablet.page.evaluate(
                JUMP,
                jump,
            )
        case mode:
            tablet.mode = mode


def test_nothing_typed_is_lost_or_doubled(tmp_path, depth, tell):
    from playwright.sync_api import sync_playwright

    count, readings = depth(50, 1_000, 5_000), 0
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=served.ARGS)
        schedule = 0
        while schedule < count:  # a new rod as often as the walk of one is full
            folder = tmp_path / f"shop{schedule}"
            folder.mkdir()
            bench = served.Served(served.new_shop(folder), 0).start()
            tablet = Tablet(browser, bench, random.Random(schedule))
            for _ in range(min(40, count - schedule)):
                rng = random.Random(f"schedule {schedule}")
                tablet.rng = rng
                for _ in range(READINGS):
                    accident(tablet, rng)
                    tablet.type()
                tablet.heal()
                schedule += 1
                kept = [(spot, text) for spot, text, _ in bench.kept()]
                sure = [one for number, one in enumerate(tablet.typed) if number not in tablet.unsure]
                assert [one for one in kept if one in set(sure)] == sure, (
                    f"schedule {schedule}: order, loss or doubling"
                )
                assert len(kept) == len(set(kept)), f"schedule {schedule}: doubled"
                assert set(kept) <= set(tablet.typed), f"schedule {schedule}: never typed"
            readings += len(tablet.typed)
            tablet.context.close()
            bench.stop()
        browser.close()
    tell(f"{schedule} schedules, {readings} readings: none lost, none doubled, order kept")

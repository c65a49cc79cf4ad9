"""The page beside the rig: sizes for damp fingers and two metres, nothing clipped, light and dark; and its reader and
judge, which have to say what the workshop says.
"""

from __future__ import annotations

import random
import string

import pytest
from served import Served, new_shop

from culmwright.bench.gauge import read_typed
from culmwright.bench.guards import repeat
from culmwright.bench.judge import Stage
from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.workshop.atbench import bench_of
from culmwright.workshop.opening import find, the_shop
from culmwright.workshop.taking import Yardstick

pytestmark = pytest.mark.needs_chromium

WALK = "/R1.1/bench/read?stage={stage}&section=T1&strips=1,2,3,4,5,6,7&cut=1&unit=in"
MM = 132 / 25.4
"""CSS pixels to a millimetre on the 10-inch tablet taken for reference: 810 x 1080 of them, 132 to the inch."""
SIZES = [(320, 640), (390, 844), (800, 480), (810, 1080), (1080, 810), (1440, 900)]
BOXES = """() => [...document.querySelectorAll('a, button, input')]
  .filter(one => one.checkVisibility() && !one.matches('.past'))
  .map(one => {
    const box = one.getBoundingClientRect();
    const name = one.dataset.key ? 'key' : one.dataset.do || one.id || one.textContent;
    return [name, box.width, box.height, box.left, box.right];
  })"""
CONTRAST = """() => { const lum = c => { const [r, g, b] = c.match(/[\\d.]+/g).map(Number).map(v => v / 255)
    .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126*r + 0.7152*g + 0.0722*b };
  const paper = lum(getComputedStyle(document.body).backgroundColor);
  return ['#place', '#value', '#words', '.pad button'].map(name => {
    const style = getComputedStyle(document.querySelector(name)), ink = lum(style.color);
    const own = style.backgroundColor === 'rgba(0, 0, 0, 0)' ? paper : lum(style.backgroundColor);
    return (Math.max(ink, own) + 0.05) / (Math.min(ink, own) + 0.05);
  }) }"""
TALL = """id => {
  const style = getComputedStyle(document.getElementById(id)), pen = document.createElement('canvas').getContext('2d');
  pen.font = `${style.fontWeight} ${style.fontSize} "Sheet Sans"`;
  return pen.measureText('8').actualBoundingBoxAscent;
}"""


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """One workbench for all: nothing is kept in it here."""
    served = Served(new_shop(tmp_path_factory.mktemp("shop")), 0).start()
    yield served
    served.stop()


def opened(browser, bench, size, theme="light", stage="rough"):
    page = browser.new_context(viewport={"width": size[0], "height": size[1]}, color_scheme=theme).new_page()
    page.goto(bench.address + WALK.format(stage=stage), wait_until="load")
    page.wait_for_selector("#place:not(:empty)")
    page.evaluate("document.fonts.ready.then(() => true)")
    return page


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_every_control_can_be_hit_and_nothing_is_clipped(browser, bench, size):
    page = opened(browser, bench, size)
    tablet = size in ((810, 1080), (1080, 810))
    for panel in ("pad", "more", "looks"):
        if panel == "more":
            page.locator("[data-do=more]").click()
        if panel == "looks":
            page.locator("#sent").click()
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
        for name, width, height, left, right in page.evaluate(BOXES):
            least = 24.0 if not tablet else 20 * MM if name == "key" else 12 * MM
            assert width >= least - 0.5 or (tablet and name == "leave" and width >= 48), (panel, name, width)
            assert height >= least - 0.5, (panel, name, height)
            assert left >= -0.5 and right <= size[0] + 0.5, (panel, name)
    page.locator("#looks-close").click()
    shown = page.evaluate("['value', 'pad'].map(id => document.getElementById(id).getBoundingClientRect().bottom)")
    if size[1] >= 480 and size[0] >= 390:
        assert max(shown) <= size[1], "number and keypad are on the screen without scrolling"
    page.context.close()


def test_target_and_station_are_25_mm_tall_on_the_tablet(browser, bench):
    for size in ((810, 1080), (1080, 810)):
        page = opened(browser, bench, size)
        assert page.evaluate(TALL, "value") >= 25 * MM
        assert page.evaluate(TALL, "place") >= 25 * MM
        page.context.close()


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_numbers_stand_out_seven_to_one(browser, bench, theme):
    """7 to 1: WCAG 2.2 success criterion 1.4.6."""
    page = opened(browser, bench, (810, 1080), theme)
    assert min(page.evaluate(CONTRAST)) >= 7
    page.context.close()


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing_in_any_panel(browser, bench, theme):
    from axe_playwright_python.sync_playwright import Axe

    context = browser.new_context(viewport={"width": 820, "height": 1180}, color_scheme=theme, bypass_csp=True)
    page = context.new_page()
    page.goto(bench.address + WALK.format(stage="rough"), wait_until="load")
    page.wait_for_selector("#place:not(:empty)")
    found = {}
    for panel, act in (
        ("pad", ""),
        ("ask", "bench.wedge.said.take('0.3000')"),
        ("more", "document.querySelector('[data-do=more]').click()"),
        ("looks", "document.querySelector('#sent').click()"),
    ):
        page.evaluate(act)
        for one in Axe().run(page).response["violations"]:
            found[panel, one["id"]] = [str(node["target"]) for node in one["nodes"]]
    context.close()
    assert found == {}


def test_verdicts_differ_in_shape_without_colour(browser, bench):
    """Every verdict's icon as ink on paper: no two different ones are alike."""
    page = opened(browser, bench, (810, 1080))
    drawn = page.evaluate(
        """async () => {
          const { icon } = await import('/look/js/bench_picture.js');
          const shape = one => icon(one).innerHTML.replace(/ class="[^"]*"/g, '');
          const { verdicts } = bench.walk.data.scale;
          return Object.fromEntries(verdicts.map(one => [`${one.size} ${one.level}`, shape(one)]));
        }"""
    )
    assert len(drawn) == len(set(drawn.values())) >= 4
    page.context.close()


READ = """async ([texts, bare]) => { const { Reader, Unreadable } = await import('/look/js/reading.js');
  const reader = new Reader(bench.walk.data.grammar);
  return texts.map(text => {
    try {
      const one = reader.read(text, bare);
      return [one.exact.map(String).join('/'), reader.shown(one)];
    } catch (fault) {
      if (fault instanceof Unreadable) return null;
      throw fault;
    }
  }) }"""
PIECES = [
    "0",
    "1",
    "6",
    "12",
    ".",
    ",",
    "-",
    "+",
    " ",
    "/",
    "1/16",
    "3-1/16",
    "⅜",
    "¾",
    "in",
    "mm",
    "thou",
    "'",
    '"',
    "ft",
    "N",
    "GN01",
    "01A",
]
PIECES += [
    "<",
    "=",
    ">",
    "e",
    "E-5",
    "\t",
    "\r",
    "\x02",
    "\u2033",
    "\u2212",
    "0.0885",
    ".3620",
    "0016.2345",
    "inch",
    "µm",
    "um",
    "cm",
    "m",
    "7 ft 6",
]
SENT = [
    "GN01,+0016.2345\r\n",
    "0.3620in",
    "9,19 mm",
    "+.3620",
    "N  +12.345",
    "H12.345",
    "01A+00012.34",
    "193, mm",
    "12.",
    "6,5",
    "7 ft 6 in",
]


@pytest.mark.parametrize("bare", ["in", "mm"])
def test_the_page_reads_what_the_workshop_reads(browser, bench, bare):
    """4 000 strings put together at random from what gauges and hands send: the same length exactly, or both refuse."""
    rng = random.Random(bare)
    texts = SENT + ["".join(rng.choice(PIECES) for _ in range(rng.randint(1, 5))) for _ in range(3000)]
    texts += ["".join(rng.choice(string.printable) for _ in range(rng.randint(1, 8))) for _ in range(1000)]
    page = opened(browser, bench, (810, 1080))
    read = page.evaluate(READ, [texts, bare])
    page.context.close()
    known = 0
    for text, one in zip(texts, read, strict=True):
        try:
            length = read_typed(text, bare).length
            wanted = [f"{length.nanometres.numerator}/{length.nanometres.denominator}", str(length)]
            known += 1
        except BadInput:
            wanted = None
        assert one == wanted, repr(text)
    assert known > 300


JUDGE = """async deviations => {
  const { judge } = await import('/look/js/reading.js');
  return deviations.map(one => {
    const said = judge(one, '25', bench.walk.data);
    return ['size', 'level', 'sign', 'shape', 'sound', 'words', 'note', 'needs_reason'].map(name => said[name]);
  });
}"""


@pytest.mark.parametrize("stage", list(Stage), ids=lambda stage: stage.value)
def test_the_page_judges_in_the_workshops_words(browser, bench, stage):
    """Deviations at random and at both ends of every limit: the same verdict in the same words."""
    page = opened(browser, bench, (810, 1080), stage=stage.value)
    with the_shop(bench.file) as shop:
        rod = find(shop, "R1").rod
    _, aimed = bench_of(rod, stage)["T1/S1@25in"]
    yard = Yardstick(rod, stage)
    rng = random.Random(stage.value)
    deviations = [rng.uniform(-19, 149) * 25_400 for _ in range(1500)] + [
        rng.uniform(-12, 12) * 25_400 for _ in range(500)
    ]
    deviations += [limit * 25_400 + nudge for limit in (-10, -5, -1, -0.5, 0, 1, 5) for nudge in (-1, 0, 1)]
    said = page.evaluate(JUDGE, deviations)
    page.context.close()
    for deviation, words in zip(deviations, said, strict=True):
        value = Length.of(
            round((aimed.reading * 1e9 + deviation) * 1000), "mm"
        )  # a length in millionths of a nanometre …
        value = Length(value.nanometres / 10**9, "", "in")  # … taken back to its size
        one = yard.judged(value, aimed)
        assert words == [
            one.size.value,
            one.level.value,
            one.sign,
            one.shape,
            one.sound,
            one.words,
            one.note,
            one.needs_reason,
        ], deviation


ASK = """async values => {
  const { Reader, question } = await import('/look/js/reading.js'), walk = bench.walk.data;
  const reader = new Reader(walk.grammar);
  return values.map(([text, unit]) => {
    const said = question(reader.read(text, unit), bench.walk.armed, null, walk, reader);
    return said && [said.words, said.doubt];
  });
}"""


@pytest.mark.parametrize("stage", list(Stage), ids=lambda stage: stage.value)
def test_the_page_asks_what_the_workshop_asks(browser, bench, stage):
    page = opened(browser, bench, (810, 1080), stage=stage.value)
    with the_shop(bench.file) as shop:
        rod = find(shop, "R1").rod
    _, aimed = bench_of(rod, stage)["T1/S1@0in"]
    rng, aim = random.Random(3), aimed.reading / 0.0254
    values = [(f"{rng.uniform(-0.1, 0.8):.4f}", "in") for _ in range(400)] + [
        (f"{rng.uniform(-5, 20):.3f}", "mm") for _ in range(400)
    ]
    values += [
        (f"{aim * 25.4 + 0.01:.3f}", "in"),
        (f"{aim:.4f}", "mm"),
        (f"{aim - 0.2:.4f}", "in"),
        ("-0.001", "in"),
        (f"{aim:.4f}", "in"),
    ]
    said = page.evaluate(ASK, values)
    page.context.close()
    for (text, unit), words in zip(values, said, strict=True):
        asked = Yardstick(rod, stage).question(read_typed(text, unit).length, aimed)
        assert words == (None if asked is None else [asked.words, asked.doubt]), (text, unit)
    assert sum(one is None for one in said) > 5
    assert repeat(Length.parse("1 in"), Length.parse("1 in"), 0.7) is not None  # the page's own is tried in test_bench


DIGITS = """async ([values, of]) => {
  const { digits } = await import('/look/js/reading.js');
  return values.map(one => digits(one, of));
}"""


@pytest.mark.parametrize("show", [INCH_DISPLAY, METRIC_DISPLAY], ids=lambda show: show.name)
def test_the_page_shows_the_workshops_digits(browser, bench, show):
    from dataclasses import asdict

    from culmwright.workshop.bench_words import digits

    rng = random.Random(show.name)
    page = opened(browser, bench, (810, 1080))
    for style in (show.height, show.small, show.station):
        ties = [(n + 0.5) * 10**-style.places * style.si * 1e9 for n in range(-50, 50)]
        values = ties + [rng.uniform(-2e7, 2e7) for _ in range(500)] + [0.0]
        assert page.evaluate(DIGITS, [values, asdict(digits(style))]) == [style.number(one / 1e9) for one in values]
    page.context.close()

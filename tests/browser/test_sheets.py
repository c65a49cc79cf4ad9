"""The pages in a real browser: at phone, tablet and desk width, in light and dark, nothing clipped, nothing fetched."""

from __future__ import annotations

import socket
import threading
import time

import pytest

pytestmark = pytest.mark.needs_chromium

PAGES = [
    *("/", "/new", "/new?from=R1", "/R1#25", "/R1/taper#25", "/R1/strips", "/R1/behaviour#25", "/R1/bench", "/R1/glue"),
    *("/R1/log", "/R1/book", "/R1/T1/S3@25in:rough", "/R1/T1@25in:stress", "/R1/at/25", "/R1.1/beside/R1.2#25", "/R9"),
]


LEAST_CONTRAST = """() => {
  const lum = c => { const [r, g, b] = c.match(/[\\d.]+/g).map(Number).map(v => v / 255)
    .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126*r + 0.7152*g + 0.0722*b };
  const clear = c => /, 0\\)$/.test(c) || c === 'transparent';
  const ground = one => { while (one && clear(getComputedStyle(one).backgroundColor)) one = one.parentElement;
    return getComputedStyle(one ?? document.body).backgroundColor };
  let least = 99;
  for (const one of document.querySelectorAll('main *, header *, nav *, aside *, .ruler *')) {
    if (![...one.childNodes].some(n => n.nodeType === 3 && n.data.trim()) || one.matches(':disabled')) continue;
    const style = getComputedStyle(one), svg = one.closest('svg'), paper = lum(ground(one));
    const ink = lum(svg && one.tagName === 'text' ? style.fill : style.color);
    least = Math.min(least, (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05));
  } return least }"""
"""The least contrast of any text of a page with what lies behind it, by the formula of WCAG 2.2."""


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    import uvicorn

    from culmwright.ledger.shop import create_shop
    from culmwright.web.app import create_app, hosts_of
    from culmwright.workshop.opening import begin
    from culmwright.workshop.reading import read
    from culmwright.workshop.starting import rod_text

    folder = tmp_path_factory.mktemp("shop")
    (folder / "rod.toml").write_text(rod_text("thrimble-beck"))
    with create_shop(folder / "shop.sqlite") as shop:
        session = read(shop, begin(shop, str(folder / "rod.toml")))
        for clock in range(12):
            session.take(f"{session.armed.aim.reading / 0.0254 + 0.0004 * clock:.4f}", clock * 5.0)
        (folder / "rod.toml").write_text(rod_text("thrimble-beck").replace("0.129,", "0.127,"))
        begin(shop, str(folder / "rod.toml"))
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.bind(("127.0.0.1", 0))
    port = listener.getsockname()[1]
    config = uvicorn.Config(create_app(folder / "shop.sqlite", hosts_of(port)), log_level="error")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    until = time.monotonic() + 30
    while not server.started and time.monotonic() < until:
        time.sleep(0.05)
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join(10)
    listener.close()


@pytest.mark.parametrize(("width", "theme"), [(320, "light"), (390, "dark"), (820, "light"), (1440, "dark")])
def test_nothing_is_clipped_and_nothing_complains(browser, address, width, theme):
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=theme)
    page = context.new_page()
    said, asked = [], []
    page.on("console", lambda message: said.append(message.text))
    page.on("request", lambda request: asked.append(request.url))
    for path in PAGES:
        page.goto("about:blank")
        page.goto(address + path, wait_until="load")
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
        assert page.evaluate("document.fonts.ready.then(() => document.fonts.check('16px Sheet Sans'))"), path
    context.close()
    assert [one for one in said if "404" not in one] == []  # the page of a rod that is not there says so itself
    assert all(one.startswith((address, "data:", "about:")) for one in asked)


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_words_stand_out_from_the_paper(browser, address, theme):
    """Contrast of 4.5 to 1 at least, WCAG 2.2 success criterion 1.4.3, for every text on the sheet of a rod."""
    context = browser.new_context(viewport={"width": 1000, "height": 900}, color_scheme=theme)
    page = context.new_page()
    least = {}
    for path in ("/R1", "/R1/taper#25", "/new", "/R1/behaviour"):
        page.goto(address + path, wait_until="networkidle")
        least[path] = page.evaluate(LEAST_CONTRAST)
    context.close()
    assert {path: one for path, one in least.items() if one < 4.5} == {}


def test_a_station_leads_to_its_working_by_keyboard(browser, address):
    page = browser.new_page()
    page.goto(address + "/R1.1/strips", wait_until="load")
    page.get_by_role("link", name="0.0630", exact=True).focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/R1.1/T1@25in:height")
    assert page.locator(".big").inner_text() == "0.0630 in"
    page.get_by_role("link", name="Thrimble Beck 7 ft 6 in").click()
    page.wait_for_url("**/R1.1")
    page.close()

from __future__ import annotations

import ipaddress
import re
import shutil
from html import unescape

import pytest
from fastapi.testclient import TestClient

from culmwright.ledger.shop import create_shop
from culmwright.web.app import create_app, hosts_of
from culmwright.web.peers import Reach, Standing
from culmwright.workshop.opening import begin
from culmwright.workshop.reading import read
from culmwright.workshop.starting import rod_text

HOSTILE = "<script>alert(1)</script>'\"&{{7*7}}"


@pytest.fixture(scope="session")
def shop_file(tmp_path_factory):
    """A shop with two rods: one with a few readings, and one whose words try to be code."""
    folder = tmp_path_factory.mktemp("shop")
    good, bad = folder / "good.toml", folder / "bad.toml"
    good.write_text(rod_text("thrimble-beck"))
    text = rod_text("starter").replace('name = "My rod"', f"name = '''{HOSTILE}'''")
    bad.write_text(text.replace('# wish = "How it should fish"', f"wish = '''{HOSTILE}'''"))
    with create_shop(folder / "shop.sqlite") as shop:
        session = read(shop, begin(shop, str(good)))
        for clock in range(12):
            session.take(f"{session.armed.aim.reading / 0.0254 + 0.0004 * clock:.4f}", clock * 5.0)
        begin(shop, str(bad))
    return folder / "shop.sqlite"


@pytest.fixture(scope="session")
def app(shop_file):
    return create_app(shop_file, (*hosts_of(80), "127.0.0.1"))


@pytest.fixture
def client(app):
    return TestClient(app, base_url="http://127.0.0.1", raise_server_exceptions=False)


NETWORK = "192.168.7.0/24"
NEAR_PEER, HOST_PEER = ("192.168.7.31", 50000), ("127.0.0.1", 50000)
BENCH_HOST = "192.168.7.20:8642"


@pytest.fixture
def own_shop(shop_file, tmp_path):
    """A copy of the shop that a test may write to."""
    shutil.copyfile(shop_file, tmp_path / "shop.sqlite")
    return tmp_path / "shop.sqlite"


def reach_of(*, secure=False, names=("bench.lan",)):
    """A workbench on a network of its own, whatever networks this machine has."""
    here = Standing(ipaddress.ip_address("192.168.7.20"), ipaddress.ip_network(NETWORK))
    return Reach(8642, secure=secure, names=names, find=lambda: (here,))


@pytest.fixture
def lan(own_shop):
    """A workbench on the network."""
    return create_app(own_shop, reach=reach_of())


@pytest.fixture
def visit():
    """A browser at a workbench on the network: from where, with which right, over which scheme."""

    def browser(app, right=None, peer=NEAR_PEER, host=BENCH_HOST):
        scheme = app.state.reach.scheme
        client = TestClient(
            app, base_url=f"{scheme}://{host}", client=peer, raise_server_exceptions=False, follow_redirects=False
        )
        if right is not None:
            door = app.state.door
            code = door.admission.new_code(right)
            _, token = door.admission.pair(code.text, f"a device that may {right.value}", peer[0])
            client.cookies.set(door.cookie, token)
        return client

    return browser


def page_token(client, path="/pair"):
    """The token that the pages of a visitor carry."""
    return re.search(r'<meta name="token" content="([^"]*)">', client.get(path).text)[1]


@pytest.fixture
def token_of():
    """The token that the pages of a visitor carry."""
    return page_token


@pytest.fixture(scope="session")
def form_in():
    """What a browser would send back of a page: every input, textarea and chosen option by name."""

    def read_form(page: str) -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        for name, value in re.findall(r'<input(?![^>]*type="radio")[^>]*name="(\w+)"[^>]*value="([^"]*)"', page):
            found.setdefault(name, []).append(unescape(value))
        for name, value in re.findall(r'<input type="radio" name="(\w+)" value="(\w+)" checked', page):
            found[name] = [value]
        for name, value in re.findall(r'<textarea[^>]*name="(\w+)"[^>]*>([^<]*)</textarea>', page):
            found[name] = [unescape(value)]
        for name, options in re.findall(r'<select[^>]*name="([\w-]+)"[^>]*>(.*?)</select>', page):
            found[name] = re.findall(r'value="([\w-]+)" selected', options)
        return found

    return read_form

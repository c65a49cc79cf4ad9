from __future__ import annotations

import pytest
from fastapi.testclient import TestClient

from culmwright.ledger.shop import create_shop
from culmwright.web.app import create_app, hosts_of
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

from __future__ import annotations

import pytest

from culmwright.ledger.shop import create_shop
from culmwright.workshop.opening import begin
from culmwright.workshop.starting import rod_text


@pytest.fixture
def shop(tmp_path):
    with create_shop(tmp_path / "shop.sqlite") as opened:
        yield opened


@pytest.fixture
def rod_path(tmp_path):
    path = tmp_path / "rod.toml"
    path.write_text(rod_text("thrimble-beck"))
    return path


@pytest.fixture
def begun(shop, rod_path):
    return begin(shop, str(rod_path))

"""Shops to test on. Each is a copy of one that was made, and closed, once."""

from __future__ import annotations

import runpy
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from culmwright.ledger.frozen import Revision, freeze
from culmwright.ledger.shop import Shop, create_shop, open_shop

OLD_FILES = Path(__file__).parents[1] / "old_files"


@pytest.fixture(scope="session")
def empty_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a shop as it was made."""
    file = tmp_path_factory.mktemp("made") / "empty.sqlite"
    create_shop(file).close()
    return file


@pytest.fixture(scope="session")
def stocked_shop(empty_shop: Path) -> Path:
    """The file of a shop with some of everything in it."""
    file = empty_shop.with_name("stocked.sqlite")
    shutil.copyfile(empty_shop, file)
    with open_shop(file) as shop:
        runpy.run_path(str(OLD_FILES / "make_shop.py"))["fill"](shop)
    return file


@pytest.fixture
def shop(empty_shop: Path, tmp_path: Path) -> Iterator[Shop]:
    """An empty shop."""
    shutil.copyfile(empty_shop, tmp_path / "shop.sqlite")
    with open_shop(tmp_path / "shop.sqlite") as opened:
        yield opened


@pytest.fixture
def full_shop(stocked_shop: Path, tmp_path: Path) -> Iterator[Shop]:
    """A shop with some of everything in it."""
    shutil.copyfile(stocked_shop, tmp_path / "shop.sqlite")
    with open_shop(tmp_path / "shop.sqlite") as opened:
        yield opened


@pytest.fixture
def revision(shop: Shop) -> Revision:
    """The first frozen revision of the first rod of the shop."""
    return freeze(shop, "Quillet Water", "a rod file", "0" * 64)

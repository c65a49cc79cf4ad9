"""A shop on this machine and a browser to look at it with."""

from __future__ import annotations

import shutil

import pytest
from served import ARGS, Served, new_shop


@pytest.fixture
def bench(tmp_path):
    """A workbench with one rod on which nothing is read yet."""
    served = Served(new_shop(tmp_path), 0).start()
    yield served
    served.stop()


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=ARGS)
        yield chromium
        chromium.close()

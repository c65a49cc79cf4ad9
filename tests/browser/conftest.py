"""A shop on this machine and a browser to look at it with."""

from __future__ import annotations

import importlib.util
import shutil
import sys
from pathlib import Path

import pytest

if "served" not in sys.modules:  # tests of other folders load it too
    _spec = importlib.util.spec_from_file_location("served", Path(__file__).parent / "served.py")
    assert _spec is not None and _spec.loader is not None
    sys.modules["served"] = importlib.util.module_from_spec(_spec)
    _spec.loader.exec_module(sys.modules["served"])

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


@pytest.fixture
def page(browser):
    """A page as wide as a tablet, in which nothing may go wrong."""
    context = browser.new_context(viewport={"width": 820, "height": 1180})
    opened = context.new_page()
    opened.set_default_timeout(10_000)
    faults = []
    opened.on("pageerror", lambda fault: faults.append(str(fault)))
    yield opened
    context.close()
    assert faults == []

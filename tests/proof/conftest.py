from __future__ import annotations

import sys
from pathlib import Path

import pytest

from culmwright.design.rod_file import rod_from_text
from culmwright.workshop.starting import rod_text

sys.path.insert(0, str(Path(__file__).parent))  # simulated.py, and what one test file takes from another


@pytest.fixture(scope="session")
def thrimble():
    """The demo's main rod: six sides, two pieces."""
    return rod_from_text(rod_text("thrimble-beck"))


@pytest.fixture(scope="session", params=["thrimble-beck", "ossel-burn", "pellamere-brook"])
def each_rod(request):
    """The demo's rods: six, four and five sides."""
    return rod_from_text(rod_text(request.param))

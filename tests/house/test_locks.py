"""What the checkout promises: locks that name no host, files that name no machine, small modules."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Iterator
from fnmatch import fnmatch
from itertools import pairwise
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LOCKS = ("requirements.lock", "requirements-dev.lock", "requirements-oracles.lock")
LONGEST_MODULE = 400

PIN = re.compile(r"(?m)^([a-z0-9-]+)==(\S+)(?: ; [^\\\n]+)?(?: \\\n    --hash=sha256:[0-9a-f]{64})+$")
# Written so that this file does not find itself.
HOSTS = re.compile(r"pypi[.]org|python[h]osted[.]org|npm[j]s[.](com|org)|crates[.]io")
HOMES = re.compile(r"(?<![\w.])(/(home|Users|root|work|tmp)/\w|[A-Z]:\\+Users\\)")


def ignored(path: Path) -> bool:
    """True for what git ignores; a pattern that begins with / counts from the top."""
    patterns = [".git", *(ROOT / ".gitignore").read_text("utf-8").split()]
    return any(fnmatch(name, each) for name in (path.name, f"/{path.relative_to(ROOT)}") for each in patterns)


def files() -> Iterator[Path]:
    """Every file of the checkout that git does not ignore."""
    for folder, inner, names in os.walk(ROOT):
        inner[:] = [name for name in inner if not ignored(Path(folder) / name)]
        yield from (path for name in names if not ignored(path := Path(folder) / name))


def pins(lock: str) -> dict[str, str]:
    return dict(PIN.findall((ROOT / lock).read_text("utf-8")))


@pytest.mark.parametrize("lock", LOCKS)
def test_a_lock_is_hashed_pins_and_nothing_else(lock):
    rest = PIN.sub("", (ROOT / lock).read_text("utf-8"))
    assert rest.strip() == ""
    assert len(pins(lock)) > 10


@pytest.mark.parametrize(("small", "large"), list(pairwise(LOCKS)))
def test_each_lock_keeps_the_pins_of_the_one_before(small, large):
    assert pins(small).items() <= pins(large).items()


def test_the_lock_has_what_the_package_asks_for():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    wanted = project["project"]["dependencies"] + project["dependency-groups"]["build"]
    assert {re.split(r"[<>=~;\[ ]", each)[0] for each in wanted} <= pins("requirements.lock").keys()


def test_no_file_names_a_registry_or_a_place_on_a_machine():
    found = []
    for path in files():
        text = path.read_bytes().decode("utf-8", "ignore")
        found += [f"{path.relative_to(ROOT)}: {hit[0]}" for hit in HOSTS.finditer(text)]
        found += [f"{path.relative_to(ROOT)}: {hit[0]}" for hit in HOMES.finditer(text)]
    assert found == []


@pytest.mark.parametrize("text", ["see /" + "home/anna/rods", "C:" + r"\Users\anna", '("/' + 'work/main")'])
def test_a_place_on_a_machine_is_found(text):
    assert HOMES.search(text)


def test_modules_are_small():
    sizes = {path: len(path.read_bytes().splitlines()) for path in files() if path.is_relative_to(ROOT / "src")}
    assert {str(path): lines for path, lines in sizes.items() if lines > LONGEST_MODULE} == {}

"""Who may import whom: the rooms of the house and the doors between them.

Every import counts, those inside functions and under ``TYPE_CHECKING`` too, and so does a text that spells
one of our modules out, as ``import_module`` wants it. Only our own modules are looked at.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

SRC = Path(__file__).parents[2] / "src"
HOUSE = SRC / "culmwright"

CALCULATING = {"measure", "cane", "design", "mechanics", "rigs", "bench", "proof"}
MAY_IMPORT = {
    "measure": set(),
    "cane": {"measure"},
    "design": {"measure"},
    "mechanics": {"measure", "design"},
    "rigs": {"measure", "design"},
    "bench": {"measure", "cane", "design", "rigs"},
    "proof": {"measure", "design", "mechanics", "bench"},
    "book": CALCULATING,
    "ledger": CALCULATING,
    "workshop": CALCULATING | {"book", "ledger"},
    "web": {"workshop", "measure", "book"},
    "cli": {"workshop", "measure", "book"},
    "__init__": CALCULATING | {"workshop"},  # the front door opens what it shows only when asked
    "__main__": {"cli"},
}
OPEN_TO_ALL = "__version__"  # the one name a room may take from the package root

SPELT_OUT = re.compile(r"culmwright(\.\w+)+\.?")


def modules_named(tree: ast.Module, module: str) -> Iterator[tuple[int, str]]:
    """Line and full name of everything of ours that a module imports, ``culmwright.room.leaf.name``.

    A module run as a process of its own, ``[python, "-m", "culmwright.web"]``, is not imported.
    """
    run_apart = {id(node) for node in ast.walk(tree) if isinstance(node, ast.List) for node in _after_m(node)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            parents = module.split(".")[: -node.level] if node.level else []
            source = ".".join(parents + ([node.module] if node.module else []))
            names = [f"{source}.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and SPELT_OUT.fullmatch(node.value):
            names = [] if id(node) in run_apart else [node.value]
        else:
            continue
        for name in names:
            if name.split(".")[0] == "culmwright":
                yield node.lineno, name


def _after_m(command: ast.List) -> Iterator[ast.expr]:
    """What stands behind a ``"-m"`` in a command."""
    for flag, module in pairwise(command.elts):
        if isinstance(flag, ast.Constant) and flag.value == "-m":
            yield module


def forbidden(source: str, module: str) -> list[str]:
    """The imports that a module (``culmwright.room.leaf``, ``culmwright.room.__init__``) may not have."""
    room = module.split(".")[1]
    if room not in MAY_IMPORT:
        return [f"{module}: the house has no room {room}"]
    found = []
    for line, name in modules_named(ast.parse(source), module):
        target = name.removeprefix("culmwright").lstrip(".").split(".")[0]
        if target not in MAY_IMPORT[room] | {room, OPEN_TO_ALL}:
            found.append(f"{module}:{line}: {room} may not import {name}")
    return found


def test_a_process_of_its_own_is_no_import():
    assert forbidden('call([python, "-m", "culmwright.web"])', "culmwright.cli.serve") == []
    assert forbidden('import_module("culmwright.web")', "culmwright.cli.serve") != []
    assert forbidden('call([python, "-c", "culmwright.web"])', "culmwright.cli.serve") != []


def not_lazy(source: str) -> list[int]:
    """Lines of a package's ``__init__`` that do more than name what is there and fetch it when asked."""
    return [node.lineno for node in ast.parse(source).body if not _lazy(node)]


def _lazy(node: ast.stmt) -> bool:
    match node:
        case ast.Expr(value=ast.Constant(value=str())):
            return True
        case ast.ImportFrom(module="__future__" | "typing" | "importlib"):
            return True
        case ast.If(test=ast.Name(id="TYPE_CHECKING"), orelse=[]):
            return True
        case ast.FunctionDef(name="__getattr__" | "__dir__"):
            return True
        case ast.Assign(value=value) | ast.AnnAssign(value=value) if value is not None:
            return not any(isinstance(part, ast.Call) for part in ast.walk(value))
    return False


def module_name(path: Path) -> str:
    return ".".join(path.relative_to(SRC).with_suffix("").parts)


SOURCES = sorted(HOUSE.rglob("*.py"))


def test_there_is_a_house():
    assert len(SOURCES) > 10


@pytest.mark.parametrize("path", SOURCES, ids=module_name)
def test_every_import_goes_the_right_way(path):
    assert forbidden(path.read_text("utf-8"), module_name(path)) == []


@pytest.mark.parametrize("path", sorted(HOUSE.rglob("__init__.py")), ids=module_name)
def test_packages_are_empty_or_lazy(path):
    assert not_lazy(path.read_text("utf-8")) == []


def test_every_folder_is_a_room_with_something_in_it():
    for folder in HOUSE.iterdir():
        if folder.is_dir() and folder.name != "__pycache__":
            assert folder.name in MAY_IMPORT
            assert {path.name for path in folder.rglob("*.py")} - {"__init__.py"}, f"{folder.name} is empty"


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("design.rod", "import culmwright.cli.main"),
        ("design.rod", "from culmwright.mechanics.stress import stress"),
        ("design.rod", "from culmwright import mechanics"),
        ("design.rod", "from culmwright import read_rod"),
        ("design.rod", "import culmwright"),
        ("design.rod", "from ..mechanics import stress"),
        ("design.rod", "from .. import mechanics"),
        ("design.rod", "def f():\n    from culmwright.ledger import tables"),
        ("design.rod", "if TYPE_CHECKING:\n    from culmwright.bench.passes import Pass"),
        ("measure.lengths", "import_module('culmwright.design.rod')"),
        ("measure.lengths", "import_module(f'culmwright.workshop.{verb}')"),
        ("book.pages", "from culmwright.ledger import tables"),
        ("cli.main", "from culmwright.design.rod import Rod"),
        ("workshop.check", "from culmwright.cli import main"),
        ("rigs.__init__", "from ..bench import passes"),
        ("rigs.__init__", "from ..bench.passes import Pass"),
        ("__init__", "from culmwright.cli import main"),
        ("attic.dust", ""),
    ],
)
def test_a_forbidden_import_is_found(module, source):
    assert len(forbidden(source, f"culmwright.{module}")) == 1


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("design.rod", "from culmwright.measure.lengths import Length"),
        ("design.rod", "from culmwright import __version__"),
        ("design.rod", "from . import taper\nfrom .taper import Taper\nfrom ..measure import spot"),
        ("design.rod", "import numpy\nfrom math import pi"),
        ("design.rod", '"""culmwright.cli is not imported by being mentioned."""'),
        ("workshop.check", "from culmwright.book.pages import page"),
        ("cli.main", "import_module(f'culmwright.workshop.{verb}')"),
        ("__init__", "from culmwright.design.rod_file import read_rod"),
        ("__main__", "from culmwright.cli.main import main"),
    ],
)
def test_an_allowed_import_passes(module, source):
    assert forbidden(source, f"culmwright.{module}") == []


@pytest.mark.parametrize(
    "source",
    [
        "from culmwright.design.rod import Rod",
        "import numpy",
        "print('hello')",
        "X = compute()",
        "def helper(): pass",
        "if TYPE_CHECKING:\n    pass\nelse:\n    import numpy",
    ],
)
def test_a_package_that_is_not_lazy_is_found(source):
    assert not_lazy(source) == [1]


def test_a_lazy_package_passes():
    assert (
        not_lazy(
            '"""Doc."""\n'
            "from __future__ import annotations\n"
            "from typing import TYPE_CHECKING, Any\n"
            "__version__ = '0'\n"
            "_WHERE: dict[str, str] = {'Rod': 'culmwright.design.rod'}\n"
            "if TYPE_CHECKING:\n    from culmwright.design.rod import Rod\n"
            "def __getattr__(name: str) -> Any: ...\n"
        )
        == []
    )

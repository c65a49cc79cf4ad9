"""Units are written down: whatever takes or gives floats says ``[m]``, ``[Pa]`` or ``[-]`` in its docstring.

A class may say it beside its fields instead, or declare them with ``si("m")``.
(That everything public has a docstring at all is ruff's D1, in ``make check``.)
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[2] / "src" / "culmwright"
ROOMS = ("measure", "cane", "design", "mechanics", "rigs", "bench", "proof")

SYMBOL = r"(?:[kmµnGM]?(?:m|g|s|N|Pa|Hz|J|W|K)|rad|deg|degC|min|in|lb|oz|psi|%|1|SI|any)(?:\^-?\d)?"
UNIT = re.compile(rf"\[(?:-|{SYMBOL}(?:[ /]{SYMBOL})*)\]|\bsi\(")
DIMENSIONED = re.compile(r"\b(float|NDArray|ndarray|Array|Floats?)\b")

Documented = ast.FunctionDef | ast.ClassDef


def public(tree: ast.Module | ast.ClassDef, prefix: str = "") -> Iterator[tuple[str, Documented]]:
    """Every public function, class and method, by dotted name."""
    for node in tree.body:
        if isinstance(node, Documented) and not node.name.startswith("_"):
            yield prefix + node.name, node
            if isinstance(node, ast.ClassDef):
                yield from public(node, f"{prefix}{node.name}.")


def annotations(node: Documented) -> list[ast.expr | None]:
    """The types a function takes and gives, or those of the fields of a class."""
    if isinstance(node, ast.ClassDef):
        return [field.annotation for field in node.body if isinstance(field, ast.AnnAssign)]
    arguments = node.args
    return [
        node.returns,
        *(each.annotation for each in arguments.posonlyargs + arguments.args + arguments.kwonlyargs),
    ]


def written(source: str, node: Documented) -> str:
    """The docstring; for a class also what stands beside its fields."""
    text = ast.get_docstring(node) or ""
    if isinstance(node, ast.ClassDef):
        lines = source.splitlines()
        for field in node.body:
            if isinstance(field, ast.AnnAssign | ast.Expr):
                text += "\n" + "\n".join(lines[field.lineno - 1 : field.end_lineno])
    return text


def without_units(source: str) -> list[str]:
    """Public names with floats or arrays in their signature and no unit in their docstring."""
    return [
        f"{node.lineno}: {name}"
        for name, node in public(ast.parse(source))
        if any(DIMENSIONED.search(ast.unparse(each)) for each in annotations(node) if each)
        and not UNIT.search(written(source, node))
    ]


SOURCES = [path for room in ROOMS for path in sorted((HOUSE / room).rglob("*.py")) if path.stem != "__init__"]


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(HOUSE)))
def test_units_are_written_down(path):
    assert without_units(path.read_text("utf-8")) == []


@pytest.mark.parametrize(
    "source",
    [
        "def f(x: float) -> int:\n    'Half of it.'",
        "def f() -> tuple[float, ...]:\n    'All of [them].'",
        "def f(x: NDArray[np.float64]) -> None: pass",
        "class C:\n    'It.'\n    def f(self) -> float:\n        'Half.'",
        "class C:\n    'It.'\n    height: float",
    ],
)
def test_a_missing_unit_is_found(source):
    assert len(without_units(source)) == 1


@pytest.mark.parametrize(
    "source",
    [
        "def f(x: float) -> int:\n    'Half of x [m].'",
        "def f(x: float) -> int:\n    'Half of x [-].'",
        "def f(x: float) -> int:\n    'Half of x [kg/m^3] and [N m].'",
        "def f(x: int) -> str:\n    'No quantity.'",
        "def _f(x: float) -> float: pass",
        "class C:\n    'It.'\n    height: float  # [m]",
        "class C:\n    'It, [m].'\n    height: float",
        "class C:\n    'It.'\n    height: float = si('m')",
        "class C:\n    'It.'\n    height: float\n    'The height [m].'",
    ],
)
def test_a_unit_that_is_there_is_seen(source):
    assert without_units(source) == []

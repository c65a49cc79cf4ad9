"""The page on security says of every requirement how it stands, and every test it names exists."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "asvs.md").read_text("utf-8")
SOURCES = sorted((ROOT / "src" / "culmwright").rglob("*.py"))
SCRIPTS = sorted((ROOT / "src" / "culmwright" / "web" / "look" / "js").glob("*.js"))

# Level 1 of OWASP ASVS 5.0.0, as its table (docs_en, CSV) marks them: chapter.section, then the numbers in it.
LEVEL_1 = {
    **{"1.2": (1, 2, 3, 4, 5), "1.3": (1, 2), "1.5": (1,), "2.1": (1,), "2.2": (1, 2), "2.3": (1,), "3.2": (1, 2)},
    **{
        "3.3": (1,),
        "3.4": (1, 2),
        "3.5": (1, 2, 3),
        "4.1": (1,),
        "4.4": (1,),
        "5.2": (1, 2),
        "5.3": (1, 2),
        "6.1": (1,),
    },
    **{"6.2": (1, 2, 3, 4, 5, 6, 7, 8), "6.3": (1, 2), "6.4": (1, 2), "7.2": (1, 2, 3, 4), "7.4": (1, 2), "8.1": (1,)},
    **{
        "8.2": (1, 2),
        "8.3": (1,),
        "9.1": (1, 2, 3),
        "9.2": (1,),
        "10.4": (1, 2, 3, 4, 5),
        "11.3": (1, 2),
        "11.4": (1,),
    },
    **{
        "12.1": (1,),
        "12.2": (1, 2),
        "13.4": (1,),
        "14.2": (1,),
        "14.3": (1,),
        "15.1": (1,),
        "15.2": (1,),
        "15.3": (1,),
    },
}
WANTED = [f"{section}.{number}" for section, numbers in LEVEL_1.items() for number in numbers]
ROWS = re.findall(r"^\| (\d+\.\d+\.\d+) \| ([^|]+) \| ([^|]+) \|$", PAGE, re.MULTILINE)


def named(words):
    """The tests that a row names, as (file, function)."""
    return re.findall(r"(tests/[\w/]+\.py)::(\w+)", words)


def test_all_seventy_are_there_once_and_in_order():
    assert len(WANTED) == 70
    assert [number for number, _, _ in ROWS] == WANTED


@pytest.mark.parametrize(("number", "asked", "stands"), ROWS, ids=[row[0] for row in ROWS])
def test_every_requirement_is_answered(number, asked, stands):
    assert asked.strip()
    for file, function in named(stands):
        tree = ast.parse((ROOT / file).read_text("utf-8"))
        assert function in {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}, function
    reasons = re.findall(r"(?:not applicable|deviation)(?: on plain http)?: (\S.{10,})", stands)
    assert named(stands) or reasons or stands.strip() == "this page, below"


def test_a_row_that_names_no_test_would_be_found():
    with pytest.raises(AssertionError):
        test_every_requirement_is_answered("0.0.0", "something", "done, we think")
    with pytest.raises((AssertionError, FileNotFoundError)):
        test_every_requirement_is_answered("0.0.0", "something", "tests/house/test_asvs.py::test_gone")


def calls(tree):
    """Every call of a module, by its dotted name."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield ast.unparse(node.func), node


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.stem)
def test_nothing_is_run_or_evaluated_from_text(path):
    """No shell, no eval, no pickle; a process of our own gets its words one by one."""
    for name, node in calls(ast.parse(path.read_text("utf-8"))):
        assert name not in ("eval", "exec", "os.system", "os.popen", "pickle.load", "pickle.loads", "marshal.loads"), (
            name
        )
        assert not [one for one in node.keywords if one.arg == "shell"], name


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.stem)
def test_hashes_are_approved(path):
    """SHA-2 only (FIPS 180-4)."""
    text = path.read_text("utf-8")
    assert not re.search(r"\b(md5|sha1|crc32|adler32)\s*\(|hashlib\.new|import (md5|sha1)\b", text)


DRAWN = re.compile(r"<svg [^>]*>|made by our own templates")


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_scripts_put_text_in_as_text(path):
    """Text goes in as text; HTML only where it is a shape of our own, or a piece of a page that the server escaped."""
    text = path.read_text("utf-8")
    assert not re.search(r"\beval\(|new Function|document\.write|outerHTML|srcdoc|setTimeout\(\s*[\"'`]", text)
    for line in text.splitlines():
        assert "HTML" not in line or DRAWN.search(line), line

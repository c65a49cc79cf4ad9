"""The pages keep their word: links lead somewhere, and every command they show is one the tool has."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / name for name in ("README.md", "CHANGELOG.md", "CONTRIBUTING.md")]
PAGES += sorted((ROOT / "docs").rglob("*.md"))

FENCE = re.compile(r"^(?P<fence>```+|~~~+)(?P<kind>[^\n]*)\n(?P<body>.*?)^(?P=fence)[ \t]*$", re.MULTILINE | re.DOTALL)
CODE = re.compile(r"(`+)(?!`).+?(?<!`)\1(?!`)", re.DOTALL)
LINK = re.compile(
    r"\]\(\s*<?([^)\s>]+)>?(?:\s+\"[^\"]*\")?\s*\)"  # [text](target "title")
    r"|^\[[^\]]+\]:\s*(\S+)"  # [text]: target
    r"|\b(?:src|href)=\"([^\"]+)\"",
    re.MULTILINE,
)
HEADING = re.compile(r"^#{1,6}\s+(.+?)\s*#*$", re.MULTILINE)
ELSEWHERE = re.compile(r"[a-z][a-z+.-]*:", re.IGNORECASE)
COMMAND = re.compile(r"^\s*(?:[$>] )?(?:\S*[/\\]?python3? -m )?\S*\bculmwright(?:\.exe)? +([a-z].*)$", re.MULTILINE)
SHELLS = {"", "sh", "bash", "console", "shell", "text", "powershell", "bat"}


def links(text: str) -> list[str]:
    """The targets of the links and images of a page."""
    prose = CODE.sub("", FENCE.sub("", text))
    return [next(filter(None, found)) for found in LINK.findall(prose)]


def anchors(text: str) -> set[str]:
    """The anchors that a page's headings make: small letters, hyphens, a count behind a repeated one."""
    seen: dict[str, int] = {}
    result = set()
    for heading in HEADING.findall(FENCE.sub("", text)):
        plain = re.sub(r"!?\[([^\]]*)\]\([^)]*\)", r"\1", heading)
        slug = re.sub(r"[^\w\- ]", "", plain.lower()).replace(" ", "-")
        count = seen[slug] = seen.get(slug, -1) + 1
        result.add(f"{slug}-{count}" if count else slug)
    return result


def broken(page: Path, text: str, root: Path = ROOT) -> Iterator[str]:
    """The links of a page that lead nowhere, or out of the checkout."""
    for target in links(text):
        if ELSEWHERE.match(target):
            continue
        place, _, anchor = target.partition("#")
        file = (page.parent / place).resolve() if place else page
        there = file.is_relative_to(root) and file.exists()
        if not there or (anchor and anchor not in anchors(text if file == page else file.read_text("utf-8"))):
            yield target


def commands(text: str) -> list[list[str]]:
    """The words behind ``culmwright`` on every command line a page shows."""
    shown = [fence["body"] for fence in FENCE.finditer(text) if fence["kind"].strip().lower() in SHELLS]
    lines = COMMAND.findall("\n".join(shown).replace("\\\n", " "))
    return [line.split(" #")[0].split() for line in lines]


def unknown(words: list[str], parser: argparse.ArgumentParser) -> list[str]:
    """The verb of a command, or its options, if the tool does not have them."""
    verb, *rest = words
    (verbs,) = (each.choices for each in parser._actions if isinstance(each, argparse._SubParsersAction))
    if verb not in verbs:
        return [verb]
    options = {word.split("=")[0] for word in rest if re.match(r"--?[a-z]", word)}
    return sorted(options - verbs[verb]._option_string_actions.keys())


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_link_leads_somewhere(page):
    assert list(broken(page, page.read_text("utf-8"))) == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_command_shown_exists(page):
    from culmwright.cli.main import build_parser

    parser = build_parser()
    shown = commands(page.read_text("utf-8"))
    assert [(words, bad) for words in shown if (bad := unknown(words, parser))] == []


def test_the_readme_shows_commands():
    assert len(commands((ROOT / "README.md").read_text("utf-8"))) > 3


def test_a_broken_link_is_found(tmp_path):
    (tmp_path / "there.md").write_text("# A *fine* rod, no. 5\n# Rod\n# Rod\n", "utf-8")
    text = """
        [a](there.md) ![b](gone.png) [c](there.md#a-fine-rod-no-5) [d](there.md#nowhere)
        [e](#own) [f](there.md#rod-1)
        <img src="gone.svg"> `[code](code.md)` [out](../out.md) [web](mailto:someone)
    """
    page = tmp_path / "page.md"
    assert list(broken(page, text, tmp_path)) == [
        "gone.png",
        "there.md#nowhere",
        "#own",
        "gone.svg",
        "../out.md",
    ]


def test_a_command_the_tool_lacks_is_found():
    parser = argparse.ArgumentParser()
    parser.add_subparsers().add_parser("check").add_argument("--json")
    text = (
        "```sh\n$ .venv/bin/culmwright check rod.toml --json  # culmwright is fine\n"
        "culmwright chekc rod.toml\n"
        "python -m culmwright check \\\n    --jsno\n```\n"
        "```toml\nculmwright = 1\n```\nculmwright said\n```python\nculmwright x\n```\n"
    )
    assert [unknown(words, parser) for words in commands(text)] == [[], ["chekc"], ["--jsno"]]

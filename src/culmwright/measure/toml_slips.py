"""Slips of the pen in a TOML file, told by the line they stand in."""

from __future__ import annotations

import re

from culmwright.measure.errors import BadInput

_PLACE = re.compile(r"\(at line (\d+), column \d+\)")
_LOOKS = (
    (
        re.compile("[\u201c\u201d\u201e\u00ab\u00bb\u2018\u2019]"),
        'Use the plain quotation mark ": the curly ones are for letters',
    ),
    (re.compile(r"(?:^|[\s\[,=+-])\.[0-9]"), "Write a nought before the point: 0.124, not .124"),
    (re.compile(r"[\[,=]\s*0[0-9]"), "Write the decimal point as a point, 0.068; a comma only parts two numbers"),
    (
        re.compile(r"[0-9]\s*/\s*[0-9]|[0-9]\s*(?:ft|in|mm|thou|['\u2032\u2033])|[\u00bc-\u00be\u2150-\u215e]"),
        'Put a length with a unit or fraction in quotes: "5 1/16 in"',
    ),
)
_QUOTED = re.compile(r'"[^"]*"')
FURTHEST = 12  # lines up from where reading stopped, for a list that runs over several


def slip(text: str, fault: str, starter: str) -> BadInput:
    """The refusal of ``text`` that is not TOML, with the line that looks wrong and what to do about it.

    ``fault`` is what the TOML reader said, in whose own words the rest is left; ``starter`` the command that makes
    a file to compare with.
    """
    place = _PLACE.search(fault)
    lines = text.split("\n")
    last = min(int(place[1]), len(lines)) if place else len(lines)
    for number in range(last, max(last - FURTHEST, 0), -1):
        remedy = _remedy(lines[number - 1])
        if remedy:
            return _refusal(number, lines[number - 1], remedy)
        if number < last and "=" in lines[number - 1]:
            break
    what = _PLACE.sub("", fault).strip().rstrip(".").lower()
    return BadInput(
        f"this is not TOML at line {last}, or just above it ({what}): {_shown(lines[last - 1])}",
        remedy=f"Look for a comma, bracket or quotation mark that is missing, or compare with: {starter}",
    )


def _remedy(line: str) -> str:
    code = line.split("#")[0] if line.count('"') % 2 == 0 else line
    if code.count('"') % 2:
        return 'Close the quotation: a text begins and ends with "'
    bare = _QUOTED.sub('""', code)
    return next((remedy for looks, remedy in _LOOKS if looks.search(bare)), "")


def _refusal(number: int, line: str, remedy: str) -> BadInput:
    return BadInput(f"line {number} cannot be read: {_shown(line)}", remedy=remedy)


def _shown(line: str) -> str:
    tidy = " ".join(line.split())
    return tidy if len(tidy) <= 60 else f"{tidy[:59]}…"

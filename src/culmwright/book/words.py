"""Small pieces of wording shared by the sheets."""

from __future__ import annotations

import re
from collections.abc import Sequence

from culmwright.design.rod import Rod
from culmwright.measure.display import Display, Format

NUMBERS = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight", 9: "nine"}
FERRULE = {"ferrule": "ferrule "}
IN_FILE = re.compile(r"\[+(\w+)\]+ (\w+)")
"""A table and a key of the rod file, with which a warning or a refusal says its place."""


def unfiled(words: str) -> str:
    """Words that name a place in the rod file, as one says them who filled in a form: culm diameter."""
    return IN_FILE.sub(lambda found: f"{FERRULE.get(found[1], '')}{found[2].replace('_', ' ')}", words)


def sentence(note: str) -> str:
    """A note as a sentence; the place in the rod file that a warning begins with is said as a maker says it."""
    plain = unfiled(note)
    return f"{plain[0].upper()}{plain[1:]}{'' if plain[-1] in '.?!' else '.'}"


def unsaid(words: str, said: str) -> str:
    """The sentences of ``words`` that are not in ``said`` yet: a caution stands once on a page."""
    return " ".join(one for one in re.split(r"(?<=[.]) (?=[A-Z])", words) if one not in said)


def listed(names: Sequence[str]) -> str:
    """``T1, T2 and B``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def called(names: Sequence[str], pieces: int) -> str:
    """What a maker calls the sections of a group, on a rod in so many ``pieces``."""
    if pieces == 1:
        return "The whole rod, B"
    word = {"B": "Butt", "M": "Middle"}.get(names[0], "Tip" if len(names) == 1 else "Tips")
    return f"{word} {listed(names)}"


def low(words: str) -> str:
    """The words with a small first letter."""
    return f"{words[0].lower()}{words[1:]}"


def subtitle(rod: Rod, show: Display) -> str:
    """A rod in a line: length, sides, pieces, tips, line."""
    parts = [
        show.long(rod.length.m),
        f"{NUMBERS[rod.sides]} sides",
        f"{NUMBERS[rod.pieces]} piece{'s' if rod.pieces > 1 else ''}",
    ]
    if rod.pieces > 1:
        parts.append(f"{NUMBERS[rod.tips]} tip{'s' if rod.tips > 1 else ''}")
    if rod.line is not None:
        parts.append(f"line {rod.line}")
    return ", ".join(parts)


def signed(small: Format, value: float) -> str:
    """A small length with its sign: ``+1.2``, ``0.0``."""
    digits = small.number(value)
    return digits if digits.startswith("-") or not digits.strip("0.") else f"+{digits}"

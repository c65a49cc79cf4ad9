"""Fuzzed lengths: a length or one of our refusals, nothing else, and never another number than a second reader's.

The second reader below shares nothing with the first: it cuts a text into signs, numbers and words and adds them up
with ``decimal`` and ``unicodedata``. It is lenient, for it only ever sees what the first one took.
"""

from __future__ import annotations

import unicodedata
from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest

from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

CASES = 40_000

MICROMETRES = {
    "in": 25_400, "inch": 25_400, "inches": 25_400, "ins": 25_400, '"': 25_400, "''": 25_400,
    "ft": 304_800, "foot": 304_800, "feet": 304_800, "'": 304_800,
    "thou": Decimal("25.4"), "thousandth": Decimal("25.4"), "thousandths": Decimal("25.4"),
    "mm": 1000, "millimetre": 1000, "millimetres": 1000, "millimeter": 1000, "millimeters": 1000,
    "cm": 10_000, "centimetre": 10_000, "centimetres": 10_000, "centimeter": 10_000, "centimeters": 10_000,
    "m": 1_000_000, "metre": 1_000_000, "metres": 1_000_000, "meter": 1_000_000, "meters": 1_000_000,
    "um": 1, "µm": 1, "μm": 1, "micron": 1, "microns": 1, "micrometre": 1, "micrometres": 1, "micrometer": 1,
}  # fmt: skip
FEET = {"ft", "foot", "feet", "'"}
TYPESET = {"−": "-", "‐": "-", "‑": "-", "–": "-", "⁄": "/", "∕": "/", "′": "'", "’": "'", "″": '"', "”": '"'}


def tokens(text: str) -> list[str]:
    """Numbers, words and single signs of a text, blanks dropped."""
    found: list[str] = []
    kind = ""
    for character in text.lower():
        character = TYPESET.get(character, character)
        if character.isspace():
            kind = ""
            continue
        is_digit = character in "0123456789"
        now = "n" if is_digit or (character in ".," and kind in ("n", "")) else "w" if character.isalpha() else ""
        if character == "'" and found and found[-1] == "'":
            found[-1] = "''"
        elif now and now == kind:
            found[-1] += character
        else:
            found.append(character)
        kind = now
    return found


def simple(token: str) -> Fraction | None:
    """A decimal or a single character such as ``⅜``."""
    if len(token) == 1 and unicodedata.category(token) == "No":
        return Fraction(unicodedata.numeric(token)).limit_denominator(10)
    if token[0] in "0123456789.," and any(character.isdigit() for character in token):
        return Fraction(Decimal(token.replace(",", ".")))
    return None


def number(rest: list[str]) -> Fraction:
    """Take the numeral at the front of ``rest`` away and give its value."""
    total = Fraction(0)
    while rest:
        here = simple(rest[0])
        if here is None:
            break
        rest.pop(0)
        if rest and rest[0] == "/":
            rest.pop(0)
            below = simple(rest.pop(0))
            assert below
            return total + here / below
        total += here
        if len(rest) > 1 and rest[0] in "+-" and simple(rest[1]) is not None:
            rest.pop(0)
    return total


def second_reader(text: str, bare: str | None) -> Fraction:
    """The length in micrometres."""
    rest = [token for token in tokens(text) if token != "."]
    sign = -1 if rest[0] == "-" else 1
    if rest[0] in "+-":
        rest.pop(0)
    first = number(rest)
    word = rest.pop(0) if rest else bare
    assert word is not None
    total = first * Fraction(MICROMETRES[word])
    if rest:
        assert word in FEET
        if rest[0] in ("-", ","):
            rest.pop(0)
        total += number(rest) * Fraction(MICROMETRES["in"])
        assert rest in ([], *([word] for word, value in MICROMETRES.items() if value == MICROMETRES["in"])), rest
    return sign * total


DIGITS = ["0", "1", "3", "6", "7", "12", "16", "64", "90", "007", "25400", "0.0885", "6,5", ".5", ",25", "12.", "9,"]
SIGNS = ["-", "+", "−", "–", "/", "⁄", ".", ",", " ", "  ", "\u00a0", "\u2009", "'", '"', "''", "′", "″", "’", "”"]
VULGAR = ["½", "⅜", "¼", "⅞", "⅓", "⅒", "↉", "⅟"]
WORDS = [*MICROMETRES, "oz", "IN", "Ft", "MM", "in.", "ft.", "e3", "x", "nan", "inf", "parsec", "İn", "ſ", "К"]
ODD = ["\n", "\t", "\x00", "٣", "²", "%", "½½", "\u202e", "😀", "1_0", "0x1", "--", "//", "$"]
PLAIN = [
    "3 1/16 in",
    "7 ft 6 in",
    "7' 6\"",
    "62.5 thou",
    "9,19 mm",
    "⅜ in",
    "-3 1/16 in",
    "3-7/8",
    "1.6mm",
    "7 ft 6½ in",
]


def assembled(draw: Random) -> str:
    pieces = [
        draw.choice(draw.choices((DIGITS, SIGNS, VULGAR, WORDS, ODD), (8, 7, 2, 6, 1))[0])
        for _ in range(draw.randint(0, 7))
    ]
    return draw.choice(("", " ")).join(pieces)


def mutated(draw: Random) -> str:
    """A plain length with a few characters taken, doubled, swapped or put in."""
    text = list(draw.choice(PLAIN))
    for _ in range(draw.randint(0, 3)):
        i = draw.randrange(len(text) + 1)
        what = draw.randrange(4)
        if what == 0 and i < len(text):
            del text[i]
        elif what == 1 and i < len(text):
            text.insert(i, text[i])
        elif what == 2 and i + 1 < len(text):
            text[i], text[i + 1] = text[i + 1], text[i]
        else:
            text.insert(i, draw.choice((*DIGITS, *SIGNS, *VULGAR)))
    return "".join(text)


@pytest.mark.parametrize("maker", [assembled, mutated], ids=lambda maker: maker.__name__)
def test_a_length_or_a_refusal(maker, draw, depth, bounded):
    taken = 0
    for _ in range(CASES // 2 * depth):
        text, bare = maker(draw), draw.choice((None, "in", "mm"))
        with bounded():
            try:
                length = Length.parse(text, bare)
            except BadInput as refusal:
                assert refusal.remedy
                continue
        taken += 1
        assert length.nanometres == 1000 * second_reader(text, bare), text
        assert Length.parse(str(length)) == length, text
    assert taken > CASES // 50  # or the fuzz would be all noise


@pytest.mark.parametrize(
    ("text", "micrometres"), [("3-1/16 in", "77787.5"), ("7' 6½\"", "2298700"), ("-⅜ in", "-9525")]
)
def test_the_second_reader(text, micrometres):
    assert second_reader(text, None) == Fraction(micrometres)


@pytest.mark.parametrize("text", ["1" * 10**6, "1 " * 10**5, "'" * 10**5, "(" * 10**5, "3-1/16" * 10**5, "½" * 10**5])
def test_endless_texts_end(text, bounded):
    with bounded(), pytest.raises(BadInput):
        Length.parse(text)

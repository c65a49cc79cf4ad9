"""100 000 strings at the gauge: never another error than a refusal, and never another number than a second reader's.

The second reader shares no code with the first. It knows every string it may meet by taking it apart from the right,
character by character, with :mod:`decimal`, where the first matches from the left with a regular expression.
"""

from __future__ import annotations

import os
import random
from decimal import Decimal
from fractions import Fraction

from culmwright.bench.gauge import read_typed
from culmwright.measure.errors import BadInput

COUNT = {"commit": 100_000, "nightly": 2_000_000, "release": 20_000_000}[os.environ.get("CULMWRIGHT_SOAK", "commit")]

MICROMETRES = {  # exact, the inch being 25.4 mm (1959)
    "in": Decimal(25400),
    "inch": Decimal(25400),
    "inches": Decimal(25400),
    '"': Decimal(25400),
    "''": Decimal(25400),
    "thou": Decimal("25.4"),
    "ft": Decimal(304800),
    "'": Decimal(304800),
    "mm": Decimal(1000),
    "cm": Decimal(10000),
    "m": Decimal(1000000),
    "µm": Decimal(1),
    "um": Decimal(1),
}
VULGAR = {"⅜": Fraction(3, 8), "½": Fraction(1, 2), "¼": Fraction(1, 4)}


def second_reader(raw: str, declared: str) -> set[Fraction]:
    """Every length [nm] that ``raw`` may mean to a careful reader; empty if it means none."""
    text = raw.strip(" \x02\r\n\t")
    return {value for reading in (as_sent(text, declared), as_typed(text, declared)) for value in reading}


def as_sent(text: str, declared: str) -> set[Fraction]:
    """Prefix, sign, number, unit, mark: taken off the end one after the other."""
    if text[-1:] in "<=>":
        text = text[:-1].rstrip(" ")
    unit = declared
    for spelt in ("mm", "in", '"'):
        if text.lower().endswith(spelt):
            unit, text = spelt, text[: -len(spelt)].rstrip(" ")
            break
    cut = len(text)
    while cut and text[cut - 1] in "0123456789.,":
        cut -= 1
    found = set()
    for start in range(cut, len(text)):  # the number may begin behind a comma, or where a prefix ends in letters
        value = decimal(text[start:])
        if value is None:
            continue
        head = text[:start]
        if start > cut and (head[-1] != "," or head == ","):  # a comma parts only if something stands before it
            continue
        sign = 1
        bare = head.rstrip(" ")
        if bare[-1:] in ("+", "-"):
            sign = -1 if bare[-1] == "-" else 1
            head = bare[:-1]
        prefix = head.rstrip(" ").removesuffix(",").rstrip(" ")
        if prefix and not (prefix.isascii() and prefix.isalnum() and len(prefix) <= 6 and not prefix.isdigit()):
            continue
        if prefix and not prefix.isalpha() and bare[-1:] not in ("+", "-") and head == prefix:
            continue  # a prefix with digits has to be parted from the number
        if prefix.lower().lstrip("0123456789") in MICROMETRES:
            continue  # feet in front of inches, or a unit in front of a number
        found.add(Fraction(sign * value * MICROMETRES[unit]) * 1000)
    return found


def as_typed(text: str, declared: str) -> set[Fraction]:
    """Sign, whole number, fraction, unit; feet before inches."""
    text = text.strip(" ").lower()
    sign = 1
    if text[:1] in ("+", "-"):
        sign = -1 if text[0] == "-" else 1
        text = text[1:].strip(" ")
    for foot in ("ft", "'"):
        feet, mark, rest = text.partition(foot)
        if mark and feet.strip(" ").isdigit() and any(character.isdigit() or character in VULGAR for character in rest):
            inches = as_typed(rest.strip(" ,-"), "in")
            return {sign * (int(feet) * 304_800_000 + value) for value in inches if 0 <= value < 304_800_000}
    unit = declared
    for spelt in sorted(MICROMETRES, key=len, reverse=True):
        if text.rstrip(".").endswith(spelt):
            unit, text = spelt, text.rstrip(".").removesuffix(spelt).rstrip(" ")
            break
    value = fraction(text)
    return set() if value is None else {sign * value * Fraction(MICROMETRES[unit]) * 1000}


def fraction(text: str) -> Fraction | None:
    """A decimal, a fraction, or a whole number and a fraction."""
    if (plain := decimal(text)) is not None:
        return Fraction(plain)
    for character, part in VULGAR.items():
        if text.endswith(character):
            whole = text[:-1].strip(" +-")
            return part + int(whole) if whole.isdigit() else part if not whole else None
    top, slash, bottom = text.rpartition("/")
    if not slash or not bottom.strip(" ").isdigit() or not int(bottom):
        return None
    words = top.replace("-", " ").replace("+", " ").split()
    if not words or not all(word.isdigit() for word in words) or len(words) > 2:
        return None
    return Fraction(int(words[-1]), int(bottom)) + (int(words[0]) if len(words) == 2 else 0)


def decimal(text: str) -> Decimal | None:
    """Digits with at most one point or comma, and a digit behind it."""
    whole, mark, part = text.partition("." if "." in text else ",")
    if any(character not in "0123456789" for character in whole + part) or not whole + part or (mark and not part):
        return None
    return Decimal(f"{whole or 0}.{part or 0}")


ALPHABET = "0123456789" * 4 + "..,,++--  /<=>\"'mminthouftMINAGN01eE\x02\r\n\t⅜½−″µ\u00a0\u0660\x00;_xn\u212a\u0130ſ"


def well_formed(chance: random.Random) -> tuple[str, Fraction, str]:
    """A string as a gauge sends it, the length [nm] it was made from, and the declared unit."""
    digits = chance.choice(("", "0", "00", "0016", str(chance.randrange(400))))
    places = "".join(chance.choice("0123456789") for _ in range(chance.randrange(1, 6)))
    sent, declared = chance.choice(("mm", "in", '"', "")), chance.choice(("mm", "in"))
    sign = chance.choice(("", "+", "-"))
    mark = chance.choice(".,")
    number = Decimal(f"{digits or 0}.{places}") * (-1 if sign == "-" else 1)
    prefix = chance.choice(("", "", "GN01,", "01A+", "N", "CAL,", "H ")) if not sign or digits else ""
    if prefix.endswith("+"):
        prefix = prefix[:-1] if sign else prefix
    if prefix in ("N", "H ") and not sign:
        mark = "."  # N12,34 may be gauge N12: refused
    if prefix.endswith(",") and not digits and not sign:
        digits = "0"  # CAL,,34 is read, CAL,34 is refused
    body = f"{prefix}{sign}{digits}{mark}{places}{chance.choice(('', ' '))}{sent}{chance.choice(('', '<', '=', '>'))}"
    raw = chance.choice(("", "\x02", "\r\n", "\t")) + body + chance.choice(("", "\r", "\n", "\r\n", "\t"))
    return raw, Fraction(number) * Fraction(MICROMETRES[sent or declared]) * 1000, declared


def mangled(raw: str, chance: random.Random) -> str:
    """``raw`` with a few characters left out, doubled, exchanged or put in."""
    characters = list(raw)
    for _ in range(chance.randrange(1, 4)):
        at = chance.randrange(len(characters) + 1)
        kind = chance.randrange(4)
        if kind == 0:
            characters.insert(at, chance.choice(ALPHABET))
        elif characters and kind == 1:
            del characters[min(at, len(characters) - 1)]
        elif characters and kind == 2:
            characters[min(at, len(characters) - 1)] = chance.choice(ALPHABET)
        elif characters:
            characters.insert(at, characters[min(at, len(characters) - 1)])
    return "".join(characters)


def test_no_crash_and_no_wrong_number():
    chance = random.Random(20240607)
    accepted = refused = 0
    for _ in range(COUNT):
        kind = chance.randrange(10)
        if kind < 3:
            raw, made_from, declared = well_formed(chance)
            assert read_typed(raw, declared).length.nanometres == made_from, raw
            accepted += 1
            continue
        if kind < 8:
            raw = mangled(well_formed(chance)[0], chance)
        else:
            raw = "".join(chance.choice(ALPHABET) for _ in range(chance.randrange(14)))
        declared = chance.choice(("mm", "in"))
        try:
            length = read_typed(raw, declared).length
        except BadInput:
            refused += 1
            continue
        accepted += 1
        plain = raw.translate({0x2212: "-", 0x2033: '"', 0xA0: " "})
        assert second_reader(plain, declared) == {length.nanometres}, repr(raw)
    assert min(accepted, refused) > COUNT // 4  # both sides were really tried

"""A culm filled in field by field: the culm file it makes, and the culm files a shop keeps."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from functools import partial

from culmwright.cane.culm import Culm
from culmwright.cane.culm_file import culm_from_text
from culmwright.ledger.dockets import dockets
from culmwright.ledger.shop import Shop
from culmwright.measure.errors import BadInput, together
from culmwright.measure.lengths import Length
from culmwright.workshop.layouts_kept import CULM

PLAIN = re.compile(r"[0-9]{1,12}(?:[.,][0-9]{1,12})?")
ENDS = ("butt", "middle", "tip")
OWNERS = {"length": "length", "diameter": "diameter_butt", "wall": "wall_butt", "units": "units"}
"""The field a key of the file came from, where it is not called the same."""


def culm_text_of(typed: Mapping[str, str]) -> str:
    """The culm file that fields make: ``label``, ``units``, ``length``, ``diameter_…`` and ``wall_…`` of both ends and
    the middle, ``nodes``, ``defects``, ``lengths``, ``mass``, ``moisture``, ``note``, ``over``, ``wander``, ``kerf``.

    A line of ``defects`` is ``33.5 to 36; 205 deg to 228 deg; beetle hole``, one of ``lengths`` is ``K12-butt; 0 to
    70; B``. Raises :class:`BadInput` whose place is the field.
    """
    said = {name: text.strip() for name, text in typed.items() if text.strip()}
    _must_be_there(said)
    lines = ["culmwright = 1", f"units = {_text(said.get('units', 'inch'))}", "", "[culm]"]
    lines += [f"label = {_text(said['label'])}"]
    lines += [f"length = {_value(said['length'])}"]
    lines += [f"diameter = [{', '.join(_value(said[f'diameter_{end}']) for end in ENDS)}]"]
    if "wall_butt" in said:
        lines += [f"wall = [{', '.join(_value(said[f'wall_{end}']) for end in ENDS)}]"]
    lines += [f"nodes = [{', '.join(_value(one) for one in places(said['nodes']))}]"]
    lines += [f"{name} = {_text(said[name])}" for name in ("mass", "note") if name in said]
    if "moisture" in said:
        lines += [f"moisture = {_value(said['moisture'].removesuffix('%').strip())}"]
    for number, line in enumerate(said.get("defects", "").splitlines(), 1):
        lines += _defect(line, number)
    for number, line in enumerate(said.get("lengths", "").splitlines(), 1):
        lines += _length(line, number)
    widths = [f"{name} = {_value(said[name])}" for name in ("over", "wander", "kerf") if name in said]
    text = "\n".join([*lines, *(["", "[splitting]", *widths] if widths else []), ""])
    try:
        culm_from_text(text)
    except BadInput as fault:
        raise BadInput(fault.what, where=_owner(fault.where), remedy=_remedy(fault.remedy)) from None
    return text


WANTED = {
    "label": "what the culm is marked with",
    "length": "how long it is",
    **{f"diameter_{end}": "what it measures" for end in ENDS},
    "nodes": "where they are",
}
SIZES = ("length", *(f"{what}_{end}" for what in ("diameter", "wall") for end in ENDS), "over", "wander", "kerf")
"""Fields that are one length each."""


def _must_be_there(said: Mapping[str, str]) -> None:
    """Refuse at once whatever is still empty, and every size that cannot be read."""
    walls = {f"wall_{end}": "all three, or none" for end in ENDS}
    wanted = WANTED | (walls if any(name in said for name in walls) else {})
    bare = "mm" if said.get("units") == "metric" else "in"
    together(
        *(partial(_given, said, name, what) for name, what in wanted.items()),
        *(partial(_size, said[name], bare, name) for name in SIZES if name in said),
    )


def _size(text: str, bare: str, name: str) -> None:
    try:
        Length.parse(text, bare)
    except BadInput as fault:
        raise BadInput(fault.what, where=name, remedy=fault.remedy) from None


def places(text: str) -> tuple[str, ...]:
    """Places pasted as a list: one a line, parted by semicolons, or plain numbers with spaces between."""
    found: list[str] = []
    for part in re.split(r"[\n;]", text):
        words = [word.rstrip(",") for word in part.split()]
        if len(words) > 1 and all(PLAIN.fullmatch(word) for word in words):
            found += words
        elif part.strip(" ,\t\r"):
            found.append(part.strip(" ,\t\r"))
    return tuple(found)


def culm_files(shop: Shop) -> dict[str, str]:
    """The text of the file of every culm the shop keeps, by its label."""
    return {culm_from_text(one.text).label: one.text for one in dockets(shop, CULM)}


def culm_words(one: Culm) -> str:
    """A culm in one line."""
    show, middle = one.display, one.girths[len(one.girths) // 2]
    sizes = f"{show.long(one.length.m)} long, {middle.diameter.given} across at {show.station(middle.place.m)}"
    return f"{sizes}, {len(one.nodes)} nodes"


def _given(said: Mapping[str, str], name: str, what: str) -> str:
    if name not in said:
        raise BadInput("this is still empty", where=name, remedy=f"Say {what}")
    return said[name]


def _text(words: str) -> str:
    return json.dumps(words, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value(words: str) -> str:
    """A plain number as one, in the file's unit; anything else as a text with its own unit."""
    return words.replace(",", ".") if PLAIN.fullmatch(words) and not re.match(r"0[0-9]", words) else _text(words)


def _span(words: str, name: str, number: int) -> tuple[str, str]:
    start, mark, end = (part.strip() for part in words.partition(" to "))
    if not start or (mark and not end):
        raise BadInput(
            f'"{words.strip()[:40]}" in line {number} is no place', where=name, remedy="Write it like 0 to 70"
        )
    return start, end if mark else start


def _defect(line: str, number: int) -> list[str]:
    if not line.strip():
        return []
    where, *rest = (part.strip() for part in line.split(";", 2))
    start, end = _span(where, "defects", number)
    made = ["", "[[defect]]", f"start = {_value(start)}", f"end = {_value(end)}"]
    if rest and "deg" in rest[0]:
        made.append(f"around = [{', '.join(_text(one) for one in _span(rest.pop(0), 'defects', number))}]")
    note = "; ".join(part for part in rest if part)
    return [*made, f"note = {_text(note)}"] if note else made


def _length(line: str, number: int) -> list[str]:
    if not line.strip():
        return []
    parts = [part.strip() for part in line.split(";")]
    if not 2 <= len(parts) <= 3:
        raise BadInput(
            f"line {number} does not say a name and from where to where",
            where="lengths",
            remedy="Write it like K12-butt; 0 to 70; B",
        )
    start, end = _span(parts[1], "lengths", number)
    made = ["", "[[length]]", f"name = {_text(parts[0])}", f"start = {_value(start)}", f"end = {_value(end)}"]
    names = re.split(r"[,\s]+", parts[2]) if len(parts) == 3 and parts[2] else []
    return [*made, f"sections = [{', '.join(_text(one) for one in names if one)}]"] if names else made


def _owner(where: str) -> str:
    """The field behind a place in the file, such as ``[culm] nodes`` or ``[[length]] 2 start``."""
    if "defect" in where:
        return "defects"
    if where.startswith("[[length"):
        return "lengths"
    key = where.split()[-1] if where.split() else ""
    key = re.sub(r"\W.*", "", key)
    return OWNERS.get(key, key)


def _remedy(remedy: str) -> str:
    """A remedy that shows a line of a file, said to someone who fills in fields."""
    return "Write it like the example" if " = " in remedy or "[" in remedy else remedy

"""What can be filled in about a rod: one declaration for the form, the file and the place a refusal belongs to."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum


class Kept(Enum):
    """How the file keeps a field: as words, as a length, as a whole number, or as yes or no."""

    WORDS = "words"
    LENGTH = "length"
    WHOLE = "whole"
    YES = "yes"


@dataclass(frozen=True, slots=True)
class Field:
    """A field: its ``name`` in a form, its ``table`` and ``key`` in the file, how it is ``kept``, and its words.

    ``hint`` is an example; ``empty`` says what is taken where nothing is filled in. ``options`` are (value, words).
    """

    name: str
    table: str
    key: str
    kept: Kept
    label: str
    hint: str = ""
    empty: str = ""
    options: tuple[tuple[str, str], ...] = ()

    @property
    def metric(self) -> str:
        """The example for a rod in millimetres."""
        return METRIC.get(self.name, self.hint)

    @property
    def empty_metric(self) -> str:
        """What is taken where nothing is filled in, for a rod in millimetres."""
        return EMPTY_METRIC.get(self.name, self.empty)

    @property
    def place(self) -> str:
        """The place as a refusal of the rod file's reader names it."""
        return f"[{self.table}] {self.key}"


def _field(table: str, key: str, kept: Kept, label: str, hint: str = "", empty: str = "", options: str = "") -> Field:
    pairs = tuple((one.split("=")[0], one.split("=")[-1]) for one in options.split("|")) if options else ()
    return Field(key, table, key, kept, label, hint, empty, pairs)


KEY = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b")
"""A key of the rod file that no word of the trade looks like."""
W, L, N = Kept.WORDS, Kept.LENGTH, Kept.WHOLE

BRIEF = (
    _field("rod", "name", W, "Name", "Quillet Water 7 ft"),
    _field(
        "rod", "wish", W, "Who is it for, and how should it fish", "small streams, a quick tip", "nothing on the cover"
    ),
    _field("rod", "length", L, "Length, tip to butt end", "7 ft 6 in"),
    _field("rod", "pieces", N, "Pieces", options="1=one|2=two|3=three"),
    _field("rod", "tips", N, "Tips", options="1=one|2=two|3=three|4=four"),
    _field("rod", "sides", N, "Sides", options="6=six|5=five|4=four"),
    _field("rod", "line", N, "Line number", "5", "no line is hung in the stress check"),
    _field("rod", "grip", L, "Grip: length held fast, from the butt end", "10 in", "none: held at the very end"),
    _field("rod", "maker", W, "Maker", "", "no name on the book"),
)
CANE = (
    _field("taper", "varnish", L, "Varnish over a flat, contained in across", "0.002", "none"),
    _field("strips", "glue_line", L, "Glue in every seam", "0.0005", "none"),
    _field("strips", "finish", L, "Finishing takes off each flat", "0.001", "none"),
    _field("strips", "rough_over", L, "Roughing leaves over", "0.100", "0.100 in, common practice"),
    _field("strips", "apex_angle", W, "Apex angle your rig cuts", "60 deg", "360 deg over the sides"),
    _field("strips", "culm_diameter", L, "Diameter of the culm", "2 1/8 in", "the crown is not known"),
    _field("cane", "modulus", W, "Modulus of the cane", "30 GPa", "30 GPa, give or take 6: measure your own"),
    _field("cane", "modulus_spread", W, "Its spread", "6 GPa", "none, where you give a modulus"),
    _field("cane", "density", W, "Density of the cane", "0.668 oz/in^3", "the trade's constant, 0.668 oz/in³"),
    _field("cane", "stress_limit", W, "Stress limit", "14000 psi", "none is drawn"),
)
BENCH = (
    _field("bench", "spares", N, "Spare strips a section", "1", "none"),
    _field("bench", "strip_over", L, "Strips longer than their section by", "6 in", "nothing"),
    _field("bench", "split_height", L, "Strip height as split", "0.290", "not known: no roughing passes are planned"),
    _field("bench", "block_zero", L, "Gauge at the bottom of the V block", "0.2565", "heights are shown, not readings"),
    _field("bench", "block_angle", W, "Angle of the V block", "61 deg", "one degree open: 61, 73 or 91 deg"),
    _field(
        "bench", "cutter", W, "What cuts", options="flat=a flat iron, a flank at a time|two-edged=a two-edged cutter"
    ),
    _field("bench", "wet", Kept.YES, "Roughed wet", options="yes=yes, soaked|no=no, dry"),
)
FIELDS = (*BRIEF, *CANE, *BENCH)
METRIC = {
    "name": "Quillet Water 2.1 m",
    "length": "2300 mm",
    "grip": "250 mm",
    "varnish": "0.05",
    "glue_line": "0.013",
    "finish": "0.025",
    "rough_over": "2.5",
    "culm_diameter": "54 mm",
    "density": "1156 kg/m^3",
    "stress_limit": "97 MPa",
    "strip_over": "150 mm",
    "split_height": "7.4",
    "block_zero": "6.515",
}
"""Examples for a rod in millimetres, where they differ."""
EMPTY_METRIC = {"rough_over": "2.54 mm, common practice", "density": "the trade's constant, 1156 kg/m³"}
STATED = {"units": "inch", "pieces": "2", "tips": "2", "sides": "6", "cutter": "flat", "wet": "yes"}
"""What an empty form stands on, shown in it."""


def on_page(words: str) -> str:
    """Words about a rod file as the page says them: places and keys in it become the labels of its fields.

    >>> on_page("check [strips] culm_diameter"), on_page("[taper] across")
    ('check "Diameter of the culm"', 'across')
    """
    for one in FIELDS:
        words = words.replace(one.place, f'"{one.label}"')
    labels = {one.key: f'"{one.label}"' for one in FIELDS}
    words = KEY.sub(lambda found: labels.get(found[0], found[0]), words)
    return words.replace("[taper] ", "").replace("[taper]", "taper")


def field_of(where: str) -> str:
    """The name of the field a refusal at ``where`` belongs to; "" for the form as a whole.

    >>> field_of("[rod] length"), field_of("[[ferrule]] 2 size"), field_of("[taper] across")
    ('length', 'ferrule2_size', 'taper')
    """
    for one in FIELDS:
        if where == one.place:
            return one.name
    if where.startswith("[[ferrule]] "):
        number, _, key = where.removeprefix("[[ferrule]] ").partition(" ")
        return f"ferrule{number}_{key}"
    if where.startswith(("[taper]", "line ")):
        return "taper"
    if where == "reason":
        return where
    return "guides" if where.startswith("[guides]") else "pieces" if where == "[[ferrule]]" else ""


def label_of(where: str) -> str:
    """What the page calls the field a refusal at ``where`` belongs to; "" for the form as a whole.

    >>> label_of("[rod] length"), label_of("[[ferrule]] 2 size"), label_of("[taper] across 3")
    ('Length, tip to butt end', 'Second ferrule, size', 'Taper')
    """
    name = field_of(where)
    if name.startswith("ferrule"):
        return f"{'Second ferrule' if name[7] == '2' else 'Ferrule'}, {name[9:]}"
    known = {one.name: one.label for one in FIELDS} | {"reason": "Why it was redrawn"}
    return known.get(name, name.capitalize())


def cell_of(where: str) -> str:
    """The cell of the taper's grid that a refusal belongs to, its column and row; "" for none.

    >>> cell_of("[taper] across 3"), cell_of("[taper] across")
    ('across 3', '')
    """
    found = re.fullmatch(r"\[taper\] ((?:station|across) [0-9]+)", where)
    return found[1] if found else ""

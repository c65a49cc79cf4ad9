"""Reads a culm file's tables, one by one, into a :class:`~culmwright.cane.culm.Culm`."""

from __future__ import annotations

import json
from decimal import Decimal
from hashlib import sha256
from itertools import pairwise
from math import pi
from typing import Any

from culmwright.cane.culm import Culm, CulmLength, Defect, Girth, Splitting
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind
from culmwright.measure.toml_table import Table, document, one_each

FORMAT = 1
LONGEST_CULM = Length.parse("60 ft")
WIDEST_CULM = Length.parse("12 in")
WETTEST = 200  # [%] of its dry mass: a fresh culm holds less
ODD_SPACING = 3.0  # times the mean spacing beyond which a node may have been left out
NOTHING = Length.parse("0 m")


class CulmReader:
    """Reads one document, table by table."""

    def __init__(self, content: dict[str, Any]) -> None:
        self.content = content
        self.root, self.display = document(content, FORMAT)
        self.warnings: list[str] = []

    def culm(self) -> Culm:
        """The whole culm."""
        table = self.root.table("culm", required=True)
        assert table is not None
        label, note = table.text("label", longest=40), table.text("note", "")
        if not label.strip():
            table.refuse("label", "a culm needs a name to be found by", 'Write one, such as label = "K12"')
        length = self._positive(table, "length", LONGEST_CULM)
        girths = self._girths(table, length)
        nodes = self._nodes(table, length)
        mass = self._mass(table)
        moisture = _share(table, "moisture") if table.has("moisture") else None
        table.close()
        defects = tuple(self._defect(one, length) for one in self.root.tables("defect"))
        lengths = self._lengths(label, length)
        splitting = self._splitting(self.root.table("splitting"))
        self.root.close()
        return Culm(
            label=label,
            note=note,
            display=self.display,
            length=length,
            girths=girths,
            nodes=nodes,
            defects=defects,
            mass=mass,
            moisture=moisture,
            lengths=lengths,
            splitting=splitting,
            warnings=tuple(self.warnings),
            digest=sha256(json.dumps(self.content, default=str, sort_keys=True).encode()).hexdigest(),
        )

    def _positive(self, table: Table, key: str, most: Length) -> Length:
        length = table.length(key)
        if length.nanometres <= 0:
            table.refuse(key, f"{length} is not a length above zero", "Give it as measured, above zero")
        if length.nanometres > most.nanometres:
            table.refuse(key, f"{length} is more than any culm has", f"Check the unit: it should be at most {most}")
        return length

    def _girths(self, table: Table, length: Length) -> tuple[Girth, ...]:
        diameters = table.lengths("diameter")
        walls = table.lengths("wall") if table.has("wall") else ()
        places = table.lengths("measured_at") if table.has("measured_at") else _ends_and_middle(length, len(diameters))
        if places is None:
            table.refuse(
                "diameter",
                f"there are {len(diameters)} diameters and no places for them",
                one_each(
                    len(diameters),
                    3,
                    "Give three, butt end, middle and tip end, or add measured_at with the place of each",
                ),
            )
        if len(diameters) != len(places) or (walls and len(walls) != len(places)):
            table.refuse(
                "diameter" if len(diameters) != len(places) else "wall",
                f"there are {len(places)} places, {len(diameters)} diameters and {len(walls)} walls",
                one_each(max(len(diameters), len(walls)), len(places), "Give one of each for every place"),
            )
        self._in_order(table, "measured_at", places, length, "place")
        for i, diameter in enumerate(diameters):
            if not 0 < diameter.nanometres <= WIDEST_CULM.nanometres:
                table.refuse("diameter", f"{diameter} is no diameter of a culm", "Give it as a caliper reads it")
            if walls and not 0 < walls[i].nanometres < diameter.nanometres / 2:
                table.refuse(
                    "wall",
                    f"a wall of {walls[i]} does not fit into a culm {diameter} thick",
                    "A wall is above zero and under half the diameter",
                )
        for before, after in pairwise(diameters):
            if after.nanometres > before.nanometres:
                self.warnings.append(
                    f"the culm is {after} thick after {before} nearer its butt end: diameters are listed from there up"
                )
        return tuple(Girth(place, diameters[i], walls[i] if walls else None) for i, place in enumerate(places))

    def _in_order(self, table: Table, key: str, places: tuple[Length, ...], length: Length, word: str) -> None:
        for a, b in pairwise(places):
            if b.nanometres <= a.nanometres:
                table.refuse(key, f"{word} {b} comes after {a}", f"Put the {word}s in order from the butt end")
        for place in places:
            if not 0 <= place.nanometres <= length.nanometres:
                table.refuse(
                    key,
                    f"{word} {place} does not lie on a culm of {length}",
                    f"Measure {word}s from the butt end, up to the culm's length",
                )

    def _nodes(self, table: Table, length: Length) -> tuple[Length, ...]:
        nodes = table.lengths("nodes")
        if not nodes:
            table.refuse("nodes", "there are no nodes", "Give the place of each from the butt end, such as [9, 20, 32]")
        self._in_order(table, "nodes", nodes, length, "node")
        gaps = [b.m - a.m for a, b in pairwise(nodes)]
        for i, gap in enumerate(gaps):
            if len(gaps) > 2 and gap > ODD_SPACING * (sum(gaps) - gap) / (len(gaps) - 1):
                self.warnings.append(f"nodes {nodes[i]} and {nodes[i + 1]} stand far apart: was one left out?")
        return nodes

    def _mass(self, table: Table) -> float | None:
        if not table.has("mass"):
            return None
        mass = table.quantity("mass", Kind.MASS)
        if mass <= 0:
            table.refuse("mass", "a mass of zero or less cannot be", f"Write it like {Kind.MASS.example(table.bare)}")
        return mass

    def _defect(self, table: Table, length: Length) -> Defect:
        start, end = table.length("start"), table.length("end")
        if end.nanometres < start.nanometres:
            table.refuse("end", f"{end} comes before its start, {start}", "Give start and end from the culm's butt end")
        for key, place in (("start", start), ("end", end)):
            if not 0 <= place.nanometres <= length.nanometres:
                table.refuse(key, f"{place} does not lie on a culm of {length}", "Measure it from the butt end")
        around = None
        if table.has("around"):
            given = table.quantities("around", Kind.ANGLE)
            if len(given) != 2 or not all(0 <= angle <= 2 * pi + 1e-9 for angle in given):
                table.refuse(
                    "around",
                    "this is not where it begins and ends around the culm",
                    'Write two angles from 0 deg to 360 deg, such as ["80 deg", "100 deg"], or leave it out: all round',
                )
            around = (given[0], given[1])
        note = table.text("note", "")
        table.close()
        return Defect(start, end, around, note)

    def _lengths(self, label: str, length: Length) -> tuple[CulmLength, ...]:
        tables = self.root.tables("length")
        if not tables:
            return (CulmLength(label, NOTHING, length),)
        found: list[CulmLength] = []
        for number, table in enumerate(tables, 1):
            name = table.text("name", f"{label}-{number}", longest=40)
            start, end = table.length("start"), table.length("end")
            sections = _names(table, "sections")
            table.close()
            if end.nanometres <= start.nanometres:
                table.refuse("end", f"{end} does not come after its start, {start}", "Measure both from the butt end")
            for key, place in (("start", start), ("end", end)):
                if not 0 <= place.nanometres <= length.nanometres:
                    table.refuse(key, f"{place} does not lie on a culm of {length}", "Measure it from the butt end")
            for other in found:
                if other.name == name:
                    table.refuse("name", f"there is a length {name} already", "Give each length a name of its own")
            if found and start.nanometres < found[-1].end.nanometres:
                table.refuse(
                    "start",
                    f"{name} begins at {start}, before {found[-1].name} ends at {found[-1].end}",
                    "Put the lengths in order from the butt end, apart from each other",
                )
            found.append(CulmLength(name, start, end, sections))
        return tuple(found)

    def _splitting(self, table: Table | None) -> Splitting:
        if table is None:
            return Splitting(NOTHING, NOTHING, NOTHING, given=False)
        values = {key: table.length(key, "0 m") for key in ("kerf", "over", "wander")}
        for key, value in values.items():
            if not 0 <= value.m < 0.025:
                table.refuse(key, f"{value} is no width to allow for", "Give one from 0 to 1 in")
        table.close()
        return Splitting(values["kerf"], values["over"], values["wander"])


def _ends_and_middle(length: Length, count: int) -> tuple[Length, ...] | None:
    """The butt end, the middle and the tip end for three values; None for any other number."""
    if count != 3:
        return None
    return (NOTHING, Length(length.nanometres / 2, unit=length.unit), length)


def _share(table: Table, key: str) -> float:
    """A bare number of percent as a share [-]."""
    value = table.content[key]
    if isinstance(value, bool) or not isinstance(value, int | Decimal) or not 0 <= value <= WETTEST:
        table.refuse(
            key, "this is not a moisture in percent", f"Write a number from 0 to {WETTEST}, such as {key} = 10"
        )
    return float(value) / 100


def _names(table: Table, key: str) -> tuple[str, ...]:
    if not table.has(key):
        return ()
    value = table.content[key]
    if not isinstance(value, list) or not all(isinstance(one, str) and one.isalnum() and len(one) < 5 for one in value):
        table.refuse(key, "these are no sections of a rod", 'Write them as a list, such as ["B"] or ["T1", "T2"]')
    return tuple(value)

"""Reads a rig file's tables, one by one, into a :class:`~culmwright.rigs.rig.Rig`."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from math import degrees, radians
from typing import Any

from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind
from culmwright.measure.toml_table import Table, document, one_each
from culmwright.rigs.curve import Curve
from culmwright.rigs.depth_gauge import BallPoint, ConePoint, Point
from culmwright.rigs.expansion import material
from culmwright.rigs.rig import (
    Adjusters,
    Dial,
    DialWay,
    End,
    Groove,
    GroovedForm,
    GuidedBed,
    Insert,
    Lay,
    Rig,
    wall_words,
)
from culmwright.rigs.screw import Hands, Screw, Turning

FORMAT = 1
SHORTEST, LONGEST = Length.parse("6 in"), Length.parse("30 ft")
FINEST, COARSEST = Length.parse("0.05 mm"), Length.parse("10 mm")
"""Travel a turn [m] outside which a screw is no adjuster's."""
MOST_SCREWS = 60
GROOVE_OFF = 0.3  # [deg] a groove may be off the strips' base angle before it is said
NEAREST = Length.parse("5 mm")
MOST_TURNS = 200
WALLS = {4: (45, 90), 5: (54, 72), 6: (60, 60)}
"""Walls by sides [deg]: the enamel's and the flank's, from the horizontal; plane geometry."""


class RigReader:
    """Reads one document, table by table."""

    def __init__(self, content: dict[str, Any]) -> None:
        self.root, self.display = document(content, FORMAT)
        self.warnings: list[str] = []

    def rig(self) -> Rig:
        """The whole rig."""
        table = _there(self.root, "rig")
        name = table.text("name", "Rig", longest=60)
        length = table.length("length")
        if not SHORTEST.nanometres <= length.nanometres <= LONGEST.nanometres:
            table.refuse("length", f"{length} is no length of a rig", f"Give one from {SHORTEST} to {LONGEST}")
        table.close()
        adjusters = self._adjusters(length.m)
        form = [self._groove(one, length.m) for one in self.root.tables("groove")]
        bed = self.root.table("bed")
        if bool(form) == (bed is not None):
            self.root.refuse(
                "[[groove]]",
                "a rig has either grooves or a bed, and this file has "
                + ("both" if form else "neither" if bed is None else ""),
                "Give one [[groove]] for each groove of a form, or one [bed]",
            )
        moved = GroovedForm(self._names(form), self._point()) if bed is None else self._bed(bed, length.m)
        if bed is not None and self.root.has("depth_gauge"):
            self.root.refuse("[depth_gauge]", "a depth gauge reads grooves, not a bed", "Take it out")
        lay = self._lay(length.m)
        self.root.close()
        return Rig(name, self.display, length.m, adjusters, moved, lay, tuple(self.warnings))

    def _adjusters(self, length: float) -> Adjusters:
        table = _there(self.root, "adjusters")
        places = table.lengths("places")
        if not 2 <= len(places) <= MOST_SCREWS:
            table.refuse("places", f"{len(places)} adjusters hold no bar", f"Give 2 to {MOST_SCREWS}, from the tip end")
        for before, after in pairwise(places):
            if after.nanometres <= before.nanometres:
                table.refuse("places", f"{after} comes after {before}", "Put the adjusters in order from the tip end")
            if after.nanometres - before.nanometres < NEAREST.nanometres:
                table.refuse(
                    "places",
                    f"{before} and {after} are too near for two screws",
                    f"Give places {NEAREST} apart or more",
                )
        for place in places:
            if not 0 <= place.m <= length:
                table.refuse("places", f"{place} is not on the rig", "Count from the rig's tip end, within its length")
        least = table.length("least", "0 in").m
        most = table.length("most") if table.has("most") else None
        if most is not None and most.m <= least:
            table.refuse("most", f"{most} leaves the screws no way to go", "Give the widest they open or lift")
        neighbour = table.length("neighbour") if table.has("neighbour") else None
        if neighbour is not None and neighbour.nanometres <= 0:
            table.refuse("neighbour", f"{neighbour} lets no two screws differ", "Give a length above zero, or no line")
        found = Adjusters(
            places=tuple(place.m for place in places),
            screw=self._screw(table),
            least=least,
            most=None if most is None else most.m,
            neighbour=None if neighbour is None else neighbour.m,
            now=_turns(table, len(places)) if table.has("now") else None,
        )
        table.close()
        return found

    def _screw(self, table: Table) -> Screw:
        pitch = table.length("pitch")
        second = table.length("second_pitch") if table.has("second_pitch") else None
        hands = Hands(table.choice("hands", tuple(one.value for one in Hands), Hands.SAME.value))
        if second is None and table.has("hands"):
            table.refuse(
                "hands", "there is no second pitch for a hand to belong to", "Add second_pitch, or take it out"
            )
        for key, one in (("pitch", pitch), ("second_pitch", second)):
            if one is not None and not FINEST.nanometres <= one.nanometres <= COARSEST.nanometres:
                table.refuse(
                    key,
                    f"{one} is no pitch of an adjuster",
                    f'Write the rise of one turn, such as "1/20 in" or "1 mm", from {FINEST} to {COARSEST}',
                )
        if second is not None and hands is Hands.SAME and second == pitch:
            table.refuse("second_pitch", "two threads of one pitch and one hand move nothing", "Check both pitches")
        screw = Screw(
            pitch=pitch.m,
            second=None if second is None else second.m,
            hands=hands,
            opens=Turning(table.choice("opens", tuple(one.value for one in Turning))) if table.has("opens") else None,
            divisions=table.whole("divisions", 4, 400) if table.has("divisions") else None,
        )
        if screw.opens is None:
            self.warnings.append("[adjusters] opens is not given: which way a screw is turned is yours to know")
        return screw

    def _groove(self, table: Table, length: float) -> Groove:
        sides = table.whole("sides", 4, 6, example=6)
        walls = [radians(wall) for wall in WALLS[sides]]
        for i, key in enumerate(("enamel_wall", "flank_wall")):
            if table.has(key):
                walls[i] = table.quantity(key, Kind.ANGLE)
                if abs(walls[i] - radians(WALLS[sides][i])) > radians(5):
                    table.refuse(
                        key,
                        f"a wall of {degrees(walls[i]):.4g} deg is far from the {WALLS[sides][i]} deg of {sides} sides",
                        "Give its angle from the horizontal, the strip's enamel on enamel_wall",
                    )
        groove = Groove(
            name=table.text("name", f"{sides} sides", longest=40),
            sides=sides,
            mirrored=table.flag("mirrored", default=False),
            enamel_wall=walls[0],
            flank_wall=walls[1],
            zero=self._curve(table, length, "zero", "zero_places"),
        )
        table.close()
        if abs(degrees(groove.angle) - (90 - 180 / sides)) > GROOVE_OFF:
            self.warnings.append(
                f"{table.place}: walls of {wall_words(groove)} make a groove of {degrees(groove.angle):.4g} deg, and "
                f"strips of {sides} sides fit one of {90 - 180 / sides:g} deg"
            )
        return groove

    def _names(self, grooves: list[Groove]) -> tuple[Groove, ...]:
        """The grooves, each with a name of its own."""
        seen: set[str] = set()
        for groove in grooves:
            if groove.name in seen:
                self.root.refuse(
                    "[[groove]]",
                    f"two grooves are called {groove.name}",
                    'Give each a name of its own, such as name = "left"',
                )
            seen.add(groove.name)
        return tuple(grooves)

    def _curve(self, table: Table, length: float, key: str, places_key: str) -> Curve:
        """Depths or heights with every screw at zero: one for the whole rig, or a list at places."""
        if not table.has(key):
            self.warnings.append(f"{table.place} {key} is not given: taken as 0 all along; measure it")
            return Curve.level(0.0)
        if not isinstance(table.content[key], list):
            if table.has(places_key):
                table.refuse(
                    places_key, f"there is one {key} for several places", f"Give {key} as a list, or no places"
                )
            return Curve.level(table.length(key).m)
        values, places = table.lengths(key), table.lengths(places_key)
        if len(values) != len(places) or not values:
            remedy = one_each(len(values), len(places), "Give one for each place")
            table.refuse(key, f"there are {len(places)} places and {len(values)} values", remedy)
        for before, after in pairwise(places):
            if after.nanometres <= before.nanometres:
                table.refuse(places_key, f"{after} comes after {before}", "Put the places in order from the tip end")
        if not (places[0].m >= 0 and places[-1].m <= length):
            table.refuse(places_key, "a place is not on the rig", "Count from the rig's tip end, within its length")
        return Curve(tuple(one.m for one in places), tuple(one.m for one in values))

    def _point(self) -> Point | None:
        table = self.root.table("depth_gauge")
        if table is None:
            return None
        point: Point
        if table.choice("point", ("cone", "ball")) == "ball":
            point = BallPoint(_above_zero(table, "radius"))
        else:
            angle = table.quantity("angle", Kind.ANGLE)
            if not radians(10) <= angle <= radians(120):
                table.refuse("angle", f"{degrees(angle):.4g} deg is no point of a gauge", "Give the cone's full angle")
            flat = table.length("flat", "0 in")
            if flat.nanometres < 0:
                table.refuse("flat", f"{flat} is below zero", "Give the width of the worn flat, 0 if it is sharp")
            point = ConePoint(angle, flat.m)
        table.close()
        return point

    def _bed(self, table: Table, length: float) -> GuidedBed:
        dial = None
        if table.has("dial"):
            way = DialWay(table.choice("dial", tuple(one.value for one in DialWay)))
            dial = Dial(way, _above_zero(table, "division"))
        elif table.has("division"):
            table.refuse("division", "a division belongs to a dial", 'Add dial = "down" or dial = "up"')
        bed = GuidedBed(
            _above_zero(table, "stop"), dial, self._curve(table, length, "zero", "zero_places"), self._insert()
        )
        table.close()
        return bed

    def _insert(self) -> Insert | None:
        table = self.root.table("insert")
        if table is None:
            return None
        material, bed = (_material(table, key) for key in ("material", "bed"))
        fitted = table.quantity("fitted", Kind.TEMPERATURE) if table.has("fitted") else None
        clearance = _above_zero(table, "clearance") if table.has("clearance") else None
        insert = Insert(material, bed, table.length("fixed", "0 in").m, fitted, clearance)
        table.close()
        return insert

    def _lay(self, length: float) -> Lay | None:
        table = self.root.table("lay")
        if table is None:
            return None
        holes = table.lengths("holes")
        if not holes or any(not 0 <= hole.m <= length for hole in holes):
            table.refuse("holes", "a hole is not on the rig", "Give their places from the rig's tip end")
        end = End(table.choice("end", tuple(one.value for one in End)))
        gap = table.length("gap", "0 in")
        if gap.nanometres < 0:
            table.refuse("gap", f"{gap} is below zero", "Give how far the hole lies beyond the section's end")
        table.close()
        return Lay(tuple(hole.m for hole in holes), end, gap.m)


def _there(root: Table, key: str) -> Table:
    table = root.table(key, required=True)
    assert table is not None
    return table


def _above_zero(table: Table, key: str) -> float:
    value = table.length(key)
    if value.nanometres <= 0:
        table.refuse(key, f"{value} is not a length above zero", "Give it as measured, above zero")
    return value.m


def _material(table: Table, key: str) -> str:
    """A material by name or by its expansion, as given."""
    text = table.text(key)
    material(text, f"{table.place} {key}")
    return text


def _turns(table: Table, count: int) -> tuple[float, ...]:
    """How many turns each screw stands at."""
    given = table.content["now"]
    if not isinstance(given, list) or len(given) != count:
        table.refuse("now", f"there are {count} adjusters", "Give the turns of each from zero, such as [1.25, 1.5]")
    turns = [float(one) for one in given if isinstance(one, int | Decimal) and not isinstance(one, bool)]
    if len(turns) != count or not all(abs(turn) <= MOST_TURNS for turn in turns):
        table.refuse("now", "one of these is no number of turns", "Give plain numbers such as 1.25, opening positive")
    return tuple(turns)

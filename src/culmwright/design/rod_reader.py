"""Reads a rod file's tables, one by one, into a :class:`~culmwright.design.rod.Rod`."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from hashlib import sha256
from itertools import pairwise
from math import pi, radians
from typing import Any

from culmwright.design.fittings import Ferrule, Guide
from culmwright.design.grading import read_grading
from culmwright.design.hollow_reader import check_walls, odd_hollow, read_hollow
from culmwright.design.odd import odd_across, odd_quantity, odd_rod
from culmwright.design.polygon import apothem
from culmwright.design.rod import BLOCK_DEGREES, BenchSetup, Cane, Cutter, Making, Rod, Stated, default_apex
from culmwright.design.strip import glue_offset
from culmwright.design.taper import Taper
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.measure.reckoning import ROD_FILE
from culmwright.measure.toml_table import Table, document, one_each

FORMAT = 1
LONGEST_ROD = Length.parse("30 ft")
SHORTEST_ROD = Length.parse("1 ft")
APEX_WINDOW = radians(5)  # how far a strip's apex may stand from 360/n before it is a slip of the pen

DEFAULT_MODULUS = Stated(
    30e9, "default: between the bound of the fibre and what rod tests are said to give; measure your own cane", 6e9
)
TRADE_DENSITY = Stated(
    parse_quantity("0.668 oz/in^3", Kind.DENSITY),
    "the trade's constant, 0.668 oz/in³: Garrison & Carmichael 1977, from memory",
)
VARNISH_DENSITY = Stated(1100.0, "cured varnish, 1.1 g/cm³, from memory")


@dataclass(frozen=True)
class _Frame:
    """The skeleton of a rod that the other tables are checked against."""

    sides: int
    length: Length
    pieces: int
    tips: int
    grip: Length


class RodReader:
    """Reads one document, table by table, in the order a maker thinks of them."""

    def __init__(self, content: dict[str, Any]) -> None:
        self.content = content
        self.root, self.display = document(content, FORMAT)
        self.warnings: list[str] = []

    def rod(self) -> Rod:
        """The whole rod."""
        table = self.root.table("rod", required=True)
        assert table is not None
        frame = self._frame(table)
        name = table.text("name", "Untitled rod", longest=60)
        maker, wish = table.text("maker", "", longest=60), table.text("wish", "")
        revision = table.whole("revision", 1, 9999, 1)
        line = table.whole("line", 1, 15) if table.has("line") else None
        table.close()
        ferrules = self._ferrules(frame)
        taper, varnish, varnish_density = self._taper(frame)
        making = self._making(frame)
        tip_tapers = self._tips(frame, ferrules)
        hollow = read_hollow(self.root.table("hollow"), frame.length)
        for where, one in (("[taper]", taper), *((f"[[tip]] {i}", tip) for i, tip in enumerate(tip_tapers, 1))):
            self._check_cane_left(frame, one, varnish, making, where)
            if hollow is not None:
                check_walls(hollow, one, lambda across: apothem(frame.sides, across) - varnish.m, where)
        cane, guides, bench = self._cane(), self._guides(frame), self._bench(frame)
        self.root.close()
        rod = Rod(
            name=name,
            maker=maker,
            wish=wish,
            revision=revision,
            display=self.display,
            sides=frame.sides,
            length=frame.length,
            pieces=frame.pieces,
            tips=frame.tips,
            line=line,
            grip=frame.grip,
            taper=taper,
            tip_tapers=tip_tapers,
            varnish=varnish,
            varnish_density=varnish_density,
            cane=cane,
            ferrules=ferrules,
            guides=guides,
            making=making,
            bench=bench,
            warnings=(),
            digest=_digest(self.content),
            hollow=hollow,
        )
        return replace(rod, warnings=(*self.warnings, *odd_rod(rod), *odd_hollow(rod)))

    def _frame(self, table: Table) -> _Frame:
        sides = table.whole("sides", 4, 6, example=6)
        length = self._positive(table, "length", table.length("length"))
        if length.nanometres < SHORTEST_ROD.nanometres:
            table.refuse("length", f"{length} is shorter than any rod", "Check the unit: it should be at least 1 ft")
        if length.nanometres > LONGEST_ROD.nanometres:
            table.refuse("length", f"{length} is longer than any rod", "Check the unit: it should be at most 30 ft")
        pieces = table.whole("pieces", 1, 3, 1)
        tips = table.whole("tips", 1, 9, 1)
        if pieces == 1 and tips > 1:
            table.refuse(
                "tips", "a rod in one piece has one tip", "Write tips = 1, or give it a ferrule and pieces = 2"
            )
        grip = table.length("grip", "0 in")
        if not 0 <= grip.nanometres < length.nanometres:
            table.refuse(
                "grip", f"{grip} does not fit on a rod of {length}", "Give the clamped length from the butt end"
            )
        return _Frame(sides, length, pieces, tips, grip)

    def _positive(self, table: Table, key: str, length: Length) -> Length:
        if length.nanometres <= 0:
            table.refuse(key, f"{length} is not a length above zero", "Give it as measured, above zero")
        return length

    def _not_negative(self, table: Table, key: str) -> Length:
        length = table.length(key, "0 in")
        if length.nanometres < 0:
            table.refuse(key, f"{length} is below zero", "Write 0 or leave the key out if there is none")
        return length

    def _stations(self, table: Table) -> tuple[Length, ...]:
        stations = table.lengths("stations")
        for before, after in pairwise(stations):
            if after.nanometres <= before.nanometres:
                table.refuse(
                    "stations", f"station {after} comes after {before}", "Put the stations in order from the tip"
                )
        return stations

    def _curve(self, table: Table) -> Taper:
        stations, across = self._stations(table), table.lengths("across")
        if len(stations) < 2:
            table.refuse("stations", "a taper needs two stations or more", "Give the tip, 0, and the butt end at least")
        if len(across) != len(stations):
            table.refuse(
                "across",
                f"there are {len(stations)} stations and {len(across)} across",
                one_each(len(across), len(stations), "Give one across for each station"),
            )
        if stations[0].nanometres != 0:
            table.refuse("stations", f"the first station is {stations[0]}", "Begin at 0, the tip")
        for station, value in zip(stations, across, strict=True):
            if value.nanometres <= 0:
                table.refuse(
                    "across", f"across is {value} at station {station}", "Give the caliper's reading, above zero"
                )
        self.warnings.extend(odd_across(table.place, stations, across))
        return Taper(stations, across)

    def _warn(self, sentence: str) -> None:
        self.warnings.append(sentence)

    def _taper(self, frame: _Frame) -> tuple[Taper, Length, Stated]:
        table = self.root.table("taper", required=True)
        assert table is not None
        taper = self._curve(table)
        if taper.stations[-1] != frame.length:
            table.refuse(
                "stations",
                f"the last station is {taper.stations[-1]} on a rod of {frame.length}",
                "End at the rod's length",
            )
        varnish = self._not_negative(table, "varnish")
        density = VARNISH_DENSITY
        if table.has("varnish_density"):
            density = Stated(self._above_zero(table, "varnish_density", Kind.DENSITY), ROD_FILE)
        table.close()
        return taper, varnish, density

    def _tips(self, frame: _Frame, ferrules: tuple[Ferrule, ...]) -> tuple[Taper, ...]:
        tables = self.root.tables("tip")
        if not tables:
            return ()
        if frame.pieces == 1 or len(tables) != frame.tips:
            self.root.refuse(
                "[[tip]]",
                f"there are {len(tables)} tip tables for {frame.tips} tips",
                "Give one [[tip]] for each tip, or none",
            )
        joint = ferrules[0].station
        tapers = []
        for table in tables:
            taper = self._curve(table)
            if taper.stations[-1].nanometres < joint.nanometres:
                table.refuse(
                    "stations",
                    f"the tip ends at {taper.stations[-1]}, before its ferrule at {joint}",
                    "Go on to the ferrule",
                )
            table.close()
            tapers.append(taper)
        return tuple(tapers)

    def _check_cane_left(self, frame: _Frame, taper: Taper, varnish: Length, making: Making, where: str) -> None:
        lift = glue_offset(frame.sides, making.glue_line.m)
        for station, across in zip(taper.stations, taper.across, strict=True):
            bare = apothem(frame.sides, across.m) - varnish.m
            if bare <= 0 or bare + making.finish.m - lift <= 0:
                raise BadInput(
                    f"at station {station} nothing is left of {across} under the varnish and beside the glue",
                    where=f"{where} across",
                    remedy="Check varnish and glue_line: they are thicknesses of a few thou at most",
                )
            culm = making.culm_diameter
            if culm is not None and bare + making.finish.m > culm.m / 4:
                raise BadInput(
                    f"at station {station} a rod of {across} cannot come from a culm of {culm}",
                    where=f"{where} across",
                    remedy="Check the number's point and unit; if they are right, check [strips] culm_diameter",
                )

    def _above_zero(self, table: Table, key: str, kind: Kind) -> float:
        value = table.quantity(key, kind)
        if value <= 0:
            table.refuse(
                key, f"a {kind.word} of zero or less cannot be", f"Write it like {kind.example(self.display.bare)}"
            )
        self.warnings.extend(odd_quantity(f"{table.place} {key}", value, str(table.content[key]), kind))
        return value

    def _cane(self) -> Cane:
        table = self.root.table("cane")
        modulus, density, limit = DEFAULT_MODULUS, TRADE_DENSITY, None
        if table is None:
            return Cane(modulus, density, limit)
        if table.has("modulus"):
            spread = self._above_zero(table, "modulus_spread", Kind.MODULUS) if table.has("modulus_spread") else None
            modulus = Stated(self._above_zero(table, "modulus", Kind.MODULUS), ROD_FILE, spread)
        elif table.has("modulus_spread"):
            table.refuse(
                "modulus_spread", "there is a spread without a modulus", 'Add modulus = "30 GPa", or take it out'
            )
        if table.has("density"):
            density = Stated(self._above_zero(table, "density", Kind.DENSITY), ROD_FILE)
        if table.has("stress_limit"):
            limit = Stated(self._above_zero(table, "stress_limit", Kind.STRESS), ROD_FILE)
        grading = read_grading(table)
        table.close()
        return Cane(modulus, density, limit, grading)

    def _ferrules(self, frame: _Frame) -> tuple[Ferrule, ...]:
        tables = self.root.tables("ferrule")
        wanted = frame.pieces - 1
        if len(tables) != wanted:
            self.root.refuse(
                "[[ferrule]]",
                f"a rod in {frame.pieces} piece{'s' if frame.pieces > 1 else ''} has {wanted} "
                f"ferrule{'' if wanted == 1 else 's'} and the file lists {len(tables)}",
                "Give one [[ferrule]] with station and size for each joint" if wanted else "Take it out, or set pieces",
            )
        ferrules: list[Ferrule] = []
        for table in tables:
            station = table.length("station")
            low = ferrules[-1].station.nanometres if ferrules else 0
            if not low < station.nanometres < frame.length.nanometres:
                place = (
                    f"{station} is not on the rod"
                    if not ferrules
                    else f"{station} does not follow {ferrules[-1].station}"
                )
                table.refuse(
                    "station", place, f"Give a place between the tip and {frame.length}, from the tip, in order"
                )
            if station.nanometres > frame.length.nanometres - frame.grip.nanometres:
                self._warn(f"{table.place} station {station} lies under the grip")
            long = self._positive(table, "length", table.length("length")) if table.has("length") else None
            if long is not None and min(station.m, frame.length.m - station.m) < long.m / 2:
                table.refuse(
                    "length",
                    f"a ferrule of {long} at {station} reaches beyond the end of the rod",
                    "Half of it lies on either side of its station: check its unit",
                )
            ferrules.append(
                Ferrule(
                    station=station,
                    size=table.whole("size", 3, 64, example=13, of="64ths of an inch"),
                    mass=self._above_zero(table, "mass", Kind.MASS) if table.has("mass") else None,
                    length=long,
                    stiffness=self._above_zero(table, "stiffness", Kind.STIFFNESS) if table.has("stiffness") else None,
                )
            )
            table.close()
        return tuple(ferrules)

    def _guides(self, frame: _Frame) -> tuple[Guide, ...]:
        table = self.root.table("guides")
        if table is None:
            return ()
        stations = self._stations(table)
        for station in stations:
            if not 0 <= station.nanometres <= frame.length.nanometres - frame.grip.nanometres:
                table.refuse(
                    "stations", f"a guide at {station} is off the rod or under the grip", "Count from the tip, 0"
                )
        masses: tuple[float | None, ...] = (None,) * len(stations)
        if table.has("masses"):
            masses = table.quantities("masses", Kind.MASS)
            if len(masses) != len(stations):
                table.refuse(
                    "masses", f"there are {len(stations)} guides and {len(masses)} masses", "Give one mass a guide"
                )
            if any(mass is not None and mass < 0 for mass in masses):
                table.refuse("masses", "a mass is below zero", "Give each guide's mass, such as 0.1 g")
        table.close()
        return tuple(Guide(station, mass) for station, mass in zip(stations, masses, strict=True))

    def _making(self, frame: _Frame) -> Making:
        ideal = default_apex(frame.sides)
        table = self.root.table("strips")
        if table is None:
            nothing = Length.parse("0 in")
            keys = frozenset(("apex_angle", "rough_over"))
            return Making(ideal, nothing, nothing, Length.parse("0.100 in"), None, keys)
        apex = table.quantity("apex_angle", Kind.ANGLE) if table.has("apex_angle") else ideal
        if abs(apex - ideal) > APEX_WINDOW:
            table.refuse(
                "apex_angle",
                f"{apex * 180 / pi:.3g} deg is far from the {360 / frame.sides:g} deg of {frame.sides} sides",
                "Give the angle between a strip's two flanks, within 5 deg of it",
            )
        culm = (
            self._positive(table, "culm_diameter", table.length("culm_diameter"))
            if table.has("culm_diameter")
            else None
        )
        rough = table.length("rough_over", "0.100 in")
        if rough.nanometres < 0:
            table.refuse("rough_over", f"{rough} is below zero", "Give what roughing leaves over, usually 0.100 in")
        making = Making(
            apex_angle=apex,
            glue_line=self._not_negative(table, "glue_line"),
            finish=self._not_negative(table, "finish"),
            rough_over=rough,
            culm_diameter=culm,
            defaults=frozenset(key for key in ("apex_angle", "rough_over") if not table.has(key)),
        )
        table.close()
        return making

    def _bench(self, frame: _Frame) -> BenchSetup:
        table = self.root.table("bench") or Table({}, "[bench]", self.display.bare)
        angle = radians(BLOCK_DEGREES[frame.sides])
        if table.has("block_angle"):
            angle = table.quantity("block_angle", Kind.ANGLE)
            if not radians(30) <= angle <= radians(120):
                table.refuse(
                    "block_angle", f"{angle * 180 / pi:.3g} deg is no V block for strips", "Usually 61, 73 or 91 deg"
                )
        setup = BenchSetup(
            block_angle=angle,
            block_zero=table.length("block_zero") if table.has("block_zero") else None,
            cutter=Cutter(table.choice("cutter", tuple(c.value for c in Cutter), Cutter.FLAT.value)),
            wet=table.flag("wet", default=True),
            split_height=self._positive(table, "split_height", table.length("split_height"))
            if table.has("split_height")
            else None,
            strip_over=self._not_negative(table, "strip_over"),
            spares=table.whole("spares", 0, 24, 0),
        )
        table.close()
        return setup


def _digest(content: dict[str, Any]) -> str:
    """Fingerprint of what a rod file says: comments, order and layout do not count."""
    canonical = json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str)
    return sha256(canonical.encode()).hexdigest()

"""A rod filled in on a page: fields to the text of a rod file, and a rod file back to fields.

The file's own reader judges it; what it refuses is said beside the field it belongs to (:func:`field_of`). What a
form does not show of a file it begins from, such as tips of their own, stays as it is.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import partial
from typing import Any

from culmwright.design.fittings import guide_place, propose_guides, seat
from culmwright.design.polygon import apothem
from culmwright.design.rod import Rod
from culmwright.design.rod_file import KIND, rod_from_text
from culmwright.design.rod_text import rod_file_text
from culmwright.design.taper import Taper
from culmwright.measure.display import DISPLAYS, Display
from culmwright.measure.errors import BadInput, each_of, together
from culmwright.measure.lengths import NANOMETRES, Length
from culmwright.measure.toml_file import tables_of
from culmwright.workshop.draft_fields import FIELDS, STATED, Field, Kept

_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]{0,9})(?:[.,][0-9]{1,12})?")
STEP = {"inch": Length.parse("5 in"), "metric": Length.parse("125 mm")}
"""Distance between the stations of an empty grid."""
UNSAID = {"pieces": "1", "tips": "1", "cutter": "flat", "wet": "yes"}
"""What a rod file means where it says nothing."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A rod as it is filled in: ``fields`` by name, the taper's cells, ferrules (station, size, mass), guides a line.

    ``base`` is the text of the rod file it begins from, "" for none; ``proposed`` are the (station, size) of ferrules
    that nobody typed, "" where somebody did.
    """

    fields: Mapping[str, str]
    units: str = "inch"
    stations: tuple[str, ...] = ()
    across: tuple[str, ...] = ()
    ferrules: tuple[tuple[str, str, str], ...] = ()
    guides: str = ""
    base: str = ""
    proposed: tuple[tuple[str, str], ...] = ()

    @property
    def display(self) -> Display:
        """The formats of its units."""
        return DISPLAYS.get(self.units, DISPLAYS["inch"])

    def get(self, name: str) -> str:
        """What stands in a field."""
        return self.fields.get(name, "").strip()


@dataclass(frozen=True, slots=True)
class Drafted:
    """A draft that can be built: the ``text`` of its rod file, and the ``rod`` that file says."""

    text: str
    rod: Rod


def empty_draft() -> Draft:
    """What a maker meets first: nothing but the usual choices."""
    return Draft({key: value for key, value in STATED.items() if key != "units"}, STATED["units"])


def drafted(draft: Draft, remark: str = "") -> Drafted:
    """The rod of a draft and its file. Raises :class:`BadInput`, its place that of a field (:func:`field_of`)."""
    must_be_there(draft)
    text = rod_file_text(tables_from(draft), remark)
    return Drafted(text, rod_from_text(text))


def must_be_there(draft: Draft, *, taper: bool = True) -> None:
    """Say what is missing and what cannot be read as a maker would, not as a file would; all of it at once.

    Without ``taper`` nothing is said of that.
    """
    if draft.units not in DISPLAYS:
        raise BadInput(f'"{draft.units[:20]}" are no units of a rod', remedy="Choose inches or millimetres")
    rows = enumerate(zip(draft.stations, draft.across, strict=True), 1)
    grid = [partial(_must_be_lengths, draft, number, *row) for number, row in rows if "".join(row).strip()]
    together(
        *(partial(_must_read, draft, one) for one in FIELDS),
        *([partial(_must_have_taper, draft), *grid] if taper else ()),
        *(
            partial(_must_be_ferrule, draft, number, *one)
            for number, one in enumerate(draft.ferrules[: _joints(draft)], 1)
        ),
        *(partial(_must_be_guide, draft, line) for line in draft.guides.split("\n") if line.strip()),
    )


def _must_read(draft: Draft, one: Field) -> None:
    text = draft.get(one.name)
    if one.name == "name" and not text:
        raise BadInput("the rod has no name", where=one.place, remedy="Give it one, such as a stream's and its length")
    if one.name == "length":
        if not text:
            raise BadInput("the length is missing", where=one.place, remedy="Give it like 7 ft 6 in or 2286 mm")
        _length(draft, one.name, one.place)
    elif one.kept is Kept.LENGTH and text:
        _parsed(text, draft.display.bare, one.place)
    elif one.kept is Kept.WHOLE and text and not re.fullmatch(r"[0-9]{1,6}", text):
        raise BadInput(f'"{text[:20]}" is not a whole number', where=one.place, remedy="Write it in digits, like 5")


def _must_have_taper(draft: Draft) -> None:
    if not any(cell.strip() for cell in (*draft.stations, *draft.across)):
        raise BadInput("the taper is missing", where="[taper]", remedy="Paste it or fill in the stations")


def _must_be_lengths(draft: Draft, number: int, station: str, across: str) -> None:
    """Say which cell of a row of the grid is no length, and where it stands: the ``number`` of the row."""
    together(
        partial(_must_be_length, draft, station, "a station", f"[taper] station {number}"),
        partial(_must_be_length, draft, across, f"across at station {station}", f"[taper] across {number}"),
    )


def _must_be_length(draft: Draft, cell: str, called: str, where: str) -> None:
    try:
        Length.parse(cell, draft.display.bare)
    except BadInput as fault:
        what = f"{called}: {fault.what}" if cell.strip() else f"{called} is missing"
        raise BadInput(what, where=where, remedy=fault.remedy) from None


def _must_be_ferrule(draft: Draft, number: int, station: str, size: str, mass: str) -> None:
    """Say what cannot be read of a ferrule; what is left empty is proposed, or asked for once the rest is right."""
    where = f"[[ferrule]] {number}"
    if station.strip():
        _parsed(station, draft.display.bare, f"{where} station")
    if size.strip() and not re.fullmatch(r"[0-9]{1,3}", size.strip()):
        raise BadInput(f'"{size[:20]}" is no ferrule size', where=f"{where} size", remedy=_FERRULE_REMEDY["size"])


def _must_be_guide(draft: Draft, line: str) -> None:
    _parsed(re.split(r"[;\t]", line)[0].strip(), draft.display.bare, "[guides] stations")


def _parsed(text: str, bare: str, where: str) -> Length:
    try:
        return Length.parse(text, bare)
    except BadInput as fault:
        raise BadInput(fault.what, where=where, remedy=fault.remedy) from None


def _joints(draft: Draft) -> int:
    """How many ferrules a rod of so many pieces has; none where that is not told."""
    return max(int(draft.get("pieces")) if draft.get("pieces").isdecimal() else 1, 1) - 1


def tables_from(draft: Draft) -> dict[str, Any]:
    """The tables of the file a draft says: those of its base, with what is filled in written over them."""
    tables: dict[str, Any] = copy.deepcopy(tables_of(draft.base, KIND)) if draft.base else {"culmwright": 1}
    tables["units"] = draft.units
    for one in FIELDS:
        _write(tables.setdefault(one.table, {}), one, draft)
    if draft.get("pieces") == "1":
        tables["rod"]["tips"] = 1
    rows = [(a.strip(), b.strip()) for a, b in zip(draft.stations, draft.across, strict=True) if a.strip() or b.strip()]
    old = tables["taper"]
    tables["taper"] = {
        **old,
        "stations": _column([a for a, _ in rows], old.get("stations")),
        "across": _column([b for _, b in rows], old.get("across")),
    }
    _write_ferrules(tables, draft)
    _write_guides(tables, draft)
    return {key: value for key, value in tables.items() if value != {} or key in ("rod", "taper")}


def _write(table: dict[str, Any], one: Field, draft: Draft) -> None:
    text = " ".join(draft.get(one.name).split()) if one.kept is Kept.WORDS else draft.get(one.name)
    if one.name not in draft.fields or (draft.base and one.key not in table and text == UNSAID.get(one.name)):
        return
    if not text:
        table.pop(one.key, None)
    elif _shown(table.get(one.key)) != text:
        table[one.key] = text == "yes" if one.kept is Kept.YES else _kept(one.kept, text)


def _kept(kept: Kept, text: str) -> Any:
    """A value as the file keeps it: a plain number where it is one, else the text with its unit."""
    if kept is Kept.WHOLE and text.isdecimal():
        return int(text)
    if kept is Kept.LENGTH and _NUMBER.fullmatch(text):
        number = Decimal(text.replace(",", "."))
        return int(number) if "." not in text and "," not in text else number
    return text


def _shown(value: Any) -> str:
    """A value of a file as a field shows it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:f}" if isinstance(value, Decimal) else "" if value is None else str(value)


def _column(texts: list[str], old: Any) -> list[Any]:
    """A column of cells; a cell that says what the file said there stays as it was written."""
    known = {_shown(one): one for one in old} if isinstance(old, list) else {}
    return [known[text] if text in known else _kept(Kept.LENGTH, text) for text in texts]


def _write_ferrules(tables: dict[str, Any], draft: Draft) -> None:
    wanted = _joints(draft)
    old = tables.get("ferrule", [])
    made = []
    for number, (station, size, mass) in enumerate(draft.ferrules[:wanted]):
        table = dict(old[number]) if number < len(old) else {}
        for key, text, kept in (
            ("station", station, Kept.LENGTH),
            ("size", size, Kept.WHOLE),
            ("mass", mass, Kept.WORDS),
        ):
            where = f"[[ferrule]] {number + 1} {key}"
            if not text.strip() and key != "mass":
                raise BadInput(f"the {key} of a ferrule is missing", where=where, remedy=_FERRULE_REMEDY[key])
            if kept is Kept.WHOLE and not re.fullmatch(r"[0-9]{1,3}", text.strip()):
                raise BadInput(f'"{text[:20]}" is no ferrule size', where=where, remedy=_FERRULE_REMEDY[key])
            if not text.strip():
                table.pop(key, None)
            elif _shown(table.get(key)) != text.strip():
                table[key] = _kept(kept, text.strip())
        made.append(table)
    tables.pop("ferrule", None)
    if made:
        tables["ferrule"] = made


_FERRULE_REMEDY = {
    "station": "Give the shoulder's distance from the tip",
    "size": "Give its bore in 64ths of an inch, like 12",
}


def _write_guides(tables: dict[str, Any], draft: Draft) -> None:
    lines = [one for one in draft.guides.split("\n") if one.strip()]
    if not lines:
        tables.pop("guides", None)
        return
    pairs = [tuple(part.strip() for part in re.split(r"[;\t]", f"{line};"))[:2] for line in lines]
    table: dict[str, Any] = {"stations": _column([pair[0] for pair in pairs], tables.get("guides", {}).get("stations"))}
    masses = [pair[1] for pair in pairs]
    if any(masses):
        if not all(masses):
            raise BadInput(
                "some guides have a mass and some have none", where="[guides] masses", remedy="Give all of them or none"
            )
        table["masses"] = masses
    tables["guides"] = table


def draft_of(text: str) -> Draft:
    """The draft that a rod file's ``text`` fills in. Raises :class:`BadInput` for a file that cannot be read."""
    rod_from_text(text)
    tables = tables_of(text, KIND)
    fields = {one.name: _shown(tables.get(one.table, {}).get(one.key)) for one in FIELDS}
    given = {name: value or UNSAID.get(name, "") for name, value in fields.items()}
    guides = tables.get("guides", {})
    masses = [f"; {one}" for one in guides.get("masses", ())] or [""] * len(guides.get("stations", ()))
    return Draft(
        given,
        tables["units"],
        tuple(_shown(one) for one in tables["taper"]["stations"]),
        tuple(_shown(one) for one in tables["taper"]["across"]),
        tuple(
            (_shown(one["station"]), _shown(one["size"]), _shown(one.get("mass"))) for one in tables.get("ferrule", ())
        ),
        "\n".join(f"{_shown(one)}{mass}" for one, mass in zip(guides.get("stations", ()), masses, strict=True)),
        text,
    )


def even_stations(draft: Draft) -> Draft:
    """The draft with an empty grid: a station every 5 in (125 mm) and one at the rod's length."""
    length = _length(draft, "length", "[rod] length")
    step = STEP[draft.units]
    count = int(-(-length.nanometres // step.nanometres))
    places = [Length(step.nanometres * i) for i in range(count)]
    cells = tuple(cell_text(one, draft.display.bare) for one in (*places, length))
    return replace(draft, stations=cells, across=("",) * len(cells))


def _length(draft: Draft, name: str, where: str) -> Length:
    length = _parsed(draft.get(name), draft.display.bare, where)
    if not 0 < length.nanometres <= Length.parse("30 ft").nanometres:
        raise BadInput(f"{length} is no length of a rod", where=where, remedy="Give it like 7 ft 6 in or 2286 mm")
    return length


def cell_text(length: Length, bare: str) -> str:
    """A length as a cell shows it: a bare number of ``bare`` units where it is short, else with its own unit."""
    own = Fraction(length.nanometres, NANOMETRES[bare])
    if (own * 10**6).denominator == 1:
        return f"{Decimal((own * 10**6).numerator).scaleb(-6).normalize():f}"
    return length.given


def with_proposals(draft: Draft) -> tuple[Draft, tuple[str, ...]]:
    """The draft with its ferrules proposed where they are empty or were proposed before, and in words what is new.

    As it is where that cannot be told yet, or where its length and taper are refused: what was not accepted proposes
    nothing.
    """
    wanted = _joints(draft)
    bare = draft.display.bare
    before = (*draft.proposed, *[("", "")] * 2)
    rows = (*draft.ferrules, *[("", "", "")] * 2)[: min(wanted, 2)]
    rows = tuple(
        ("" if a.strip() == old[0] else a, "" if b.strip() == old[1] else b, c)
        for (a, b, c), old in zip(rows, before, strict=False)
    )
    plain = replace(draft, ferrules=rows, proposed=())
    try:
        length = _length(draft, "length", "")
        taper = _taper(draft)
        varnish = Length.parse(draft.get("varnish") or "0", bare)
        sides = int(draft.get("sides"))
        found, said, proposed = [], [], []
        for number, (station, size, mass) in enumerate(rows, 1):
            even = length.nanometres * number / (NANOMETRES["in"] * (wanted + 1))
            place = station.strip() or cell_text(guide_place(Fraction(even), (), metric=bare == "mm"), bare)
            across = apothem(sides, taper.at(Length.parse(place, bare).m)) - varnish.m
            bore = size.strip() or str(seat(sides, across, 1).fitting_size)
            found.append((place, bore, mass))
            own = (place if not station.strip() else "", bore if not size.strip() else "")
            proposed.append(own)
            old = before[number - 1]
            if own[0] not in ("", old[0]):
                said.append(f"ferrule at {place} {bare} is proposed: pieces of the same length")
            if own[1] not in ("", old[1]):
                said.append(f"ferrule size {bore}/64 is proposed: the smallest that leaves the flats whole")
        made = replace(draft, ferrules=tuple(found), proposed=tuple(proposed))
        _must_be_accepted(made)
    except (BadInput, ValueError):
        return plain, ()
    return made, tuple(said)


def _must_be_accepted(draft: Draft) -> None:
    """Refuse a draft whose length and taper are refused; what its ferrules are refused for is said beside them."""
    fields = {name: draft.get(name) for name in ("length", "pieces", "tips", "sides", "varnish")}
    try:
        drafted(replace(draft, fields={"name": "a rod", **fields}, guides="", base=""))
    except BadInput as fault:
        if not all(one.where.startswith("[[ferrule]]") for one in each_of(fault)):
            raise


def _taper(draft: Draft) -> Taper:
    rows = [(a, b) for a, b in zip(draft.stations, draft.across, strict=True) if a.strip() and b.strip()]
    if len(rows) < 2:
        raise BadInput("the taper is missing", where="[taper]")
    bare = draft.display.bare
    return Taper(tuple(Length.parse(a, bare) for a, _ in rows), tuple(Length.parse(b, bare) for _, b in rows))


def with_guides(draft: Draft) -> Draft:
    """The draft with usual places for its guides, a proposal. Raises :class:`BadInput` for one that is no rod yet."""
    rod = drafted(replace(draft, guides="")).rod
    places = propose_guides(rod.length, rod.ferrules, rod.grip, metric=draft.display.bare == "mm")
    return replace(draft, guides="\n".join(cell_text(one, draft.display.bare) for one in places))

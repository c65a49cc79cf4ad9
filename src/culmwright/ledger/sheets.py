"""How a table of the ledger looks as a sheet of cells, and what a cell may hold on the way back."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import gcd

from sqlalchemy import Integer, Table

from culmwright.ledger.rows import LARGEST
from culmwright.ledger.tables import CLOCKS, IN_ORDER

Value = int | str | None
ABOUT = "shop"
"""The sheet that says which schema the others are of, and what all of them together should amount to."""
FORMULA = "=+-@\t\r\n"
"""What a text must not begin with where a spreadsheet would take it for a formula."""
_WHOLE = re.compile(r"-?(0|[1-9][0-9]{0,18})")


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a sheet: its ``name`` in the ledger, whether it holds whole numbers, whether it may be blank."""

    name: str
    whole: bool
    blank: bool

    @property
    def header(self) -> str:
        """What the top row says: the name, with the unit where there is one."""
        unit = "UTC" if self.name in CLOCKS else "nm" if self.name.endswith("_num") else ""
        return f"{self.name} [{unit}]" if unit else self.name

    def value(self, cell: object) -> Value:
        """What a ``cell`` holds; ``ValueError`` with the reason, in words, if it cannot be this column's."""
        if cell is None or cell == "":
            if self.blank:
                return None
            raise ValueError("it is blank")
        if self.whole:
            return _whole(cell)
        if isinstance(cell, datetime):
            raise ValueError("a spreadsheet has turned its text into a date")
        if not isinstance(cell, str):
            raise ValueError("a spreadsheet has turned its text into a number")
        return cell.removeprefix("'")


def _whole(cell: object) -> int:
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 2**53:
        cell = int(cell)
    if isinstance(cell, str) and _WHOLE.fullmatch(cell):
        cell = int(cell)
    if not isinstance(cell, int) or isinstance(cell, bool) or abs(cell) > LARGEST:
        raise ValueError(f'"{str(cell)[:40]}" is not a whole number')
    return cell


def guarded(text: str, dangers: str) -> str:
    """``text`` with an apostrophe before it where it is empty or begins with an apostrophe or one of ``dangers``.

    >>> guarded("-0.5", FORMULA), guarded("9.19 mm", FORMULA)
    ("'-0.5", '9.19 mm')
    """
    return f"'{text}" if not text or text[0] in "'" + dangers else text


def columns_of(table: Table) -> tuple[Column, ...]:
    """The columns of a table's sheet, in the ledger's order."""
    return tuple(Column(one.name, isinstance(one.type, Integer), bool(one.nullable)) for one in table.columns)


def by_name(name: str) -> Table | None:
    """The table of the ledger with this name, or None."""
    return next((table for table in IN_ORDER if table.name == name), None)


def row_of(columns: Sequence[Column], cells: Sequence[object]) -> tuple[Value, ...]:
    """The values of one row of cells; ``ValueError`` with the column and the reason for the first that is wrong."""
    if len(cells) != len(columns):
        raise ValueError(f"it has {len(cells)} cells and the top row has {len(columns)}")
    values = []
    for column, cell in zip(columns, cells, strict=True):
        try:
            values.append(column.value(cell))
        except ValueError as fault:
            raise ValueError(f"{column.header}: {fault}") from None
    _must_be_lowest(dict(zip((column.name for column in columns), values, strict=True)))
    return tuple(values)


def _must_be_lowest(row: dict[str, Value]) -> None:
    """Refuse a ratio that is not in its lowest terms: the ledger keeps one way of writing one length."""
    for name, top in row.items():
        bottom = row.get(f"{name.removesuffix('_num')}_den")
        if name.endswith("_num") and isinstance(top, int) and isinstance(bottom, int) and gcd(top, bottom) != 1:
            raise ValueError(f"{name}: {top}/{bottom} is not in its lowest terms")


def is_top_row(columns: Sequence[Column], cells: Iterable[object]) -> bool:
    """True if ``cells`` are the headers of ``columns``."""
    return [column.header for column in columns] == list(cells)

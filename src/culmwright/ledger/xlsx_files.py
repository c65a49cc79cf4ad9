"""A shop as a workbook, one sheet a table; every text cell is marked as text, so that 1/16 stays 1/16."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import ParseError
from zipfile import BadZipFile, ZipFile
from zlib import error as ZlibError  # noqa: N812 - it is an error

from openpyxl import Workbook, load_workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.utils.exceptions import InvalidFileException

from culmwright.ledger.sheets import ABOUT, Column, Value, by_name, columns_of, guarded, is_top_row, row_of
from culmwright.measure.errors import BadInput

LONGEST_CELL, MOST_ROWS, EXACT_DIGITS = 32_767, 1_048_576, 15
"""What a sheet can hold: characters a cell, rows, and digits of a number (ECMA-376, and the makers' stated limits)."""
LARGEST_BOOK = 512 << 20
"""A workbook that unpacks to more than this [bytes] is no shop's."""
_ILLEGAL = re.compile("[\x00-\x08\x0b-\x1f\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")
_ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")
UNREADABLE = (
    BadZipFile, InvalidFileException, ParseError, ZlibError, EOFError, NotImplementedError,
    KeyError, ValueError, TypeError, AttributeError, IndexError, OverflowError,
)  # fmt: skip
"""What the spreadsheet library raises when a workbook is not one: it checks nothing beforehand."""


def _escaped(text: str) -> str:
    """``text`` with characters that XML cannot hold as ``_x000D_`` (ECMA-376 part 1, 22.9.2.19, ST_Xstring)."""
    return _ILLEGAL.sub(lambda match: f"_x{ord(match[0]):04X}_", text)


def _unescaped(text: str) -> str:
    return _ESCAPED.sub(_character, text)


def _character(match: re.Match[str]) -> str:
    code = int(match[1], 16)
    return match[0] if 0xD800 <= code <= 0xDFFF else chr(code)


Written = tuple[str, tuple[Column, ...], Iterable[Iterable[Value]]]
Read = tuple[str, list[tuple[str, tuple[Value, ...]]]]


def write_book(file: Path, said: Mapping[str, str], tables: Iterable[Written]) -> int:
    """Write the workbook and return how many rows its tables had."""
    ready = [(name, columns, _checked(name, rows)) for name, columns, rows in tables]
    book = Workbook(write_only=True)
    about = book.create_sheet(ABOUT)
    for pair in (("what", "value"), *said.items()):
        about.append([_cell(about, text) for text in pair])
    for name, columns, rows in ready:
        sheet = book.create_sheet(name)
        sheet.append([column.header for column in columns])
        for row in rows:
            sheet.append([_cell(sheet, value) for value in row])
    book.save(file)
    return sum(len(rows) for _, _, rows in ready)


def _checked(name: str, rows: Iterable[Iterable[Value]]) -> list[list[Value]]:
    """The rows as their cells will hold them; refuses what does not fit, because the library would cut it off."""
    held = [[_held(value) for value in row] for row in rows]
    if len(held) >= MOST_ROWS:
        raise BadInput(f"the table {name} has more rows than a sheet can hold", remedy="Export as CSV")
    for number, row in enumerate(held, 2):
        if any(isinstance(value, str) and len(value) > LONGEST_CELL for value in row):
            where = f"{name}, row {number}"
            raise BadInput("this text is longer than a cell can hold", where=where, remedy="Export as CSV")
    return held


def _held(value: Value) -> Value:
    if isinstance(value, int):
        return value if len(str(abs(value))) <= EXACT_DIGITS else str(value)
    return value if value is None else _escaped(guarded(value, ""))


def _cell(sheet: Any, value: Value) -> Any:
    if not isinstance(value, str):
        return value
    cell = WriteOnlyCell(sheet, value)
    cell.data_type = "s"
    cell.number_format = "@"
    return cell


def read_book(file: Path) -> tuple[dict[str, str], list[Read]]:
    """What a workbook says about itself, and every row of every table with the place it stands at."""
    try:
        with file.open("rb") as opened:
            with ZipFile(opened) as packed:
                size = sum(part.file_size for part in packed.infolist())
            if size > LARGEST_BOOK:
                raise BadInput("this workbook is too large", where=str(file), remedy="Import one exported here")
            book = load_workbook(opened, read_only=True, data_only=False)
            sheets = {sheet.title: [list(row) for row in sheet.iter_rows()] for sheet in book.worksheets}
    except UNREADABLE as fault:
        raise BadInput(
            f"this is not a workbook that can be read ({type(fault).__name__})",
            where=str(file),
            remedy="Import one that was exported here",
        ) from fault
    about = {str(row[0].value): str(row[1].value) for row in sheets.pop(ABOUT, []) if len(row) == 2}
    return about, [(name, _table(file, name, rows)) for name, rows in sheets.items()]


def _table(file: Path, name: str, rows: list[list[Any]]) -> list[tuple[str, tuple[Value, ...]]]:
    table = by_name(name)
    if table is None:
        raise BadInput(f'the ledger has no table for the sheet "{name[:40]}"', where=str(file), remedy="Take it out")
    columns = columns_of(table)
    if not rows or not is_top_row(columns, [cell.value for cell in rows[0]]):
        raise BadInput(
            f"the top row of the sheet {name} is not that of this table",
            where=str(file),
            remedy=f"It should be {', '.join(column.header for column in columns)}",
        )
    found = []
    for number, cells in enumerate(rows[1:], 2):
        if any(cell.value is not None for cell in cells):
            try:
                found.append((f"{name}, row {number}", row_of(columns, _values(cells, len(columns)))))
            except ValueError as fault:
                where = f"{file}, {name}, row {number}"
                raise BadInput(str(fault), where=where, remedy="Put right this cell") from None
    return found


def _values(cells: list[Any], width: int) -> list[object]:
    """The values of a row; blank cells at its end may be missing from the file or be there in excess."""
    values = [_value(cell) for cell in cells]
    while len(values) > width and values[-1] is None:
        values.pop()
    return values + [None] * (width - len(values))


def _value(cell: Any) -> object:
    if cell.data_type == "f":
        raise ValueError(f'"{str(cell.value)[:40]}" is a formula')
    if cell.data_type == "e":
        raise ValueError(f"{str(cell.value)[:40]} is a spreadsheet's error")
    return _unescaped(cell.value) if isinstance(cell.value, str) else cell.value

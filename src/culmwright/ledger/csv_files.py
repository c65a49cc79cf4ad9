"""A shop as a folder of CSV files, one a table: UTF-8 with its mark, so that spreadsheets read it right."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from culmwright.ledger.sheets import ABOUT, FORMULA, Column, Value, by_name, columns_of, guarded, is_top_row, row_of
from culmwright.measure.errors import BadInput

LARGEST_FILE = 256 << 20
"""A sheet larger than this [bytes] is no shop's."""
SEPARATORS = (",", ";", "\t")


def write_table(file: Path, columns: Iterable[Column], rows: Iterable[Iterable[Value]]) -> int:
    """Write one table and return how many rows it had."""
    count = 0
    with file.open("w", encoding="utf-8-sig", newline="") as sheet:
        writer = csv.writer(sheet)
        writer.writerow([column.header for column in columns])
        for row in rows:
            writer.writerow([guarded(cell, FORMULA) if isinstance(cell, str) else cell for cell in row])
            count += 1
    return count


def write_about(file: Path, said: Mapping[str, str]) -> None:
    """Write what there is to say about the tables beside it."""
    with file.open("w", encoding="utf-8-sig", newline="") as sheet:
        csv.writer(sheet).writerows([("what", "value"), *said.items()])


def read_about(folder: Path) -> dict[str, str]:
    """What the folder says about its tables."""
    rows = [row for _, row in _rows(folder / f"{ABOUT}.csv", _text(folder / f"{ABOUT}.csv"), ",")]
    return {row[0]: row[1] for row in rows if len(row) == 2}


def read_table(file: Path) -> list[tuple[str, tuple[Value, ...]]]:
    """Every row of one table with the place it stands at; refuses with the file, row, column and reason."""
    table = by_name(file.stem)
    if table is None:
        raise BadInput("the ledger has no such table", where=str(file), remedy="Import a folder that was exported here")
    columns, text = columns_of(table), _text(file)
    head = next(iter(text.splitlines()), "")
    for separator in SEPARATORS:
        if is_top_row(columns, [cell.strip('"') for cell in head.split(separator)]):
            break
    else:
        raise BadInput(
            "the top row is not that of this table",
            where=str(file),
            remedy=f"It should be {','.join(column.header for column in columns)}",
        )
    found = []
    rows = _rows(file, text, separator)
    next(rows)
    for line, cells in rows:
        if any(cells):
            try:
                found.append((f"{file.name}, line {line}", row_of(columns, cells)))
            except ValueError as fault:
                raise BadInput(str(fault), where=f"{file}, line {line}", remedy="Put right this cell") from None
    return found


def _text(file: Path) -> str:
    if not file.is_file():
        raise BadInput("this sheet is missing", where=str(file), remedy="Import a whole folder as it was exported")
    if file.stat().st_size > LARGEST_FILE:
        raise BadInput("this sheet is too large", where=str(file), remedy="Import a folder that was exported here")
    try:
        return file.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise BadInput(
            f"this is not text in UTF-8 (byte {fault.start})", where=str(file), remedy='Save it as "CSV UTF-8"'
        ) from None


def _rows(file: Path, text: str, separator: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        for row in reader:
            yield reader.line_num, row
    except csv.Error as fault:
        where = f"{file}, line {reader.line_num}"
        raise BadInput(
            f"this line cannot be read ({fault})", where=where, remedy="Put its quotation marks right"
        ) from None

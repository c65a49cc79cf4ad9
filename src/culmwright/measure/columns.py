"""A line of a small table, taken apart into its cells: as spreadsheets save it, paste it, or as it is typed."""

from __future__ import annotations

import csv
import re

from culmwright.measure.errors import BadInput

_NUMERAL = re.compile(r"[-+]?(?:[0-9]+(?:[.,][0-9]+)?|[.][0-9]+)")


def columns(line: str) -> list[str]:
    """The cells of a ``line``, parted by tabs, semicolons, commas, or by spaces where only numbers stand in it.

    A comma within a number is its decimal mark wherever anything else parts the cells, or where the cell is quoted; the
    nought before a decimal point may be left out.

    >>> columns("100;2,00;2,03"), columns("100 2,00 2,03"), columns("100, 2.00, 2.03"), columns('1,"2,03"')
    (['100', '2,00', '2,03'], ['100', '2,00', '2,03'], ['100', '2.00', '2.03'], ['1', '2,03'])
    """
    mark = next((one for one in ("\t", ";") if one in line), "")
    words = line.split()
    if not mark and len(words) > 1 and all(_NUMERAL.fullmatch(word) for word in words):
        return words
    try:
        row = next(csv.reader([line], delimiter=mark or ",", skipinitialspace=True), [])
    except csv.Error:
        raise BadInput("this line is no row of a table", remedy="Save the sheet anew as CSV") from None
    return [cell.strip() for cell in row]

"""Which display an answer is given in where no file says: the one of the units that were typed."""

from __future__ import annotations

import re
from collections.abc import Iterable

from culmwright.measure.display import INCH_DISPLAY, METRIC_DISPLAY, Display
from culmwright.measure.lengths import SPELT
from culmwright.measure.numerals import plain

_UNIT = re.compile(r"(?<=[0-9⅛⅜⅝⅞¼½¾])\.? *((?:deg(?:rees?)?\.? *)?[°º]? *[A-Za-zµ]+|\"|')")
_METRIC = frozenset({"g", "kg", "mg", "gram", "grams", "N", "mN", "Pa", "kPa", "MPa", "GPa", "K"})
_INCH = frozenset({"oz", "lb", "lbs", "grain", "grains", "psi", "ksi", "Mpsi"})
_DEGREES = re.compile(r"(?:deg(?:rees?)?\.? *)?[°º]? *(?:(c|celsius)|(f|fahrenheit))", re.IGNORECASE)
_METRIC_LENGTHS = frozenset({"mm", "cm", "m", "µm"})


def display_typed(texts: Iterable[str | None]) -> Display | None:
    """The display of the units in ``texts`` as typed: metric if any of them is, inches if only such are, None if bare.

    >>> display_typed(["7,1 mm", "4"]).name, display_typed(["1/2 in", "70 F"]).name, display_typed(["50 %", "4"])
    ('metric', 'inch', None)

    A letter that follows no number is none: columns a, b, c are not degrees.

    >>> display_typed(["station,a,b,c\\n0,0.070,0.071,0.070"]), display_typed(["5. mm"]).name
    (None, 'metric')
    """
    said = [_metric(unit) for text in texts if text for unit in _UNIT.findall(plain(text))]
    if True in said:
        return METRIC_DISPLAY
    return INCH_DISPLAY if False in said else None


def _metric(unit: str) -> bool | None:
    """True for a metric unit, False for one of the inch's kin, None for what belongs to neither."""
    length = SPELT.get(unit.strip().lower())
    if length is not None:
        return length in _METRIC_LENGTHS
    if degrees := _DEGREES.fullmatch(unit.strip()):
        return bool(degrees[1])
    return True if unit in _METRIC else False if unit in _INCH else None

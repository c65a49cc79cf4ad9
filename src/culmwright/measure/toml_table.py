"""A TOML table read key by key: each key once, with its place, and a sentence when it does not fit."""

from __future__ import annotations

from decimal import Decimal
from difflib import get_close_matches
from typing import Any, NoReturn

from culmwright.measure.display import DISPLAYS, Display
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind, parse_quantity

LARGEST_EXPONENT = 12
"""Powers of ten beyond which a bare number is no measurement."""

MOST = 400
"""Values in a list beyond which it is neither a rod's nor a culm's."""

_NAMES = {bool: "true or false", str: "a text", dict: "a table", list: "a list", int: "a number", Decimal: "a number"}


class Table:
    """One table of a file: ``place`` is how messages name it; ``bare`` the unit of a bare length.

    Read every key through a method, then call :meth:`close`, which refuses the keys nobody asked for.
    """

    def __init__(self, content: dict[str, Any], place: str, bare: str) -> None:
        self.content = content
        self.place = place
        self.bare = bare
        self._known: set[str] = set()

    def refuse(self, key: str, what: str, remedy: str) -> NoReturn:
        """Raise :class:`BadInput` about ``key`` of this table."""
        raise BadInput(what, where=f"{self.place} {key}".strip(), remedy=remedy)

    def has(self, key: str) -> bool:
        """True if the key is there; asking counts as knowing it."""
        self._known.add(key)
        return key in self.content

    def _take(self, key: str, example: str) -> Any:
        if not self.has(key):
            self.refuse(key, "this key is missing", f"Add a line such as {key} = {example}{self._instead(key)}")
        return self.content[key]

    def _instead(self, key: str) -> str:
        """A key of the file that looks like the one that is missing, as a question."""
        near = get_close_matches(key, sorted(set(self.content) - self._known), 1, 0.6)
        return f", or did you mean it where {near[0]} stands" if near else ""

    def text(self, key: str, default: str | None = None, *, longest: int = 200) -> str:
        """A short text without control characters; ``default`` where the key is absent."""
        if default is not None and not self.has(key):
            return default
        value = self._take(key, '"…"')
        if not isinstance(value, str):
            self.refuse(key, f"{_shown(value)} is {_kind(value)}, not a text", "Put it in quotes")
        if len(value) > longest or not value.isprintable():
            self.refuse(
                key, "the text is too long or holds line breaks", f"Keep it to one line of {longest} characters"
            )
        return value

    def choice(self, key: str, options: tuple[str, ...], default: str | None = None) -> str:
        """One of ``options``."""
        if default is None:
            self._take(key, f'"{options[0]}"')
        value = self.text(key, default)
        if value not in options:
            quoted = " or ".join(f'"{option}"' for option in options)
            self.refuse(key, f'"{value}" is not one of the choices', f"Write {quoted}")
        return value

    def flag(self, key: str, *, default: bool) -> bool:
        """True or false."""
        if not self.has(key):
            return default
        value = self.content[key]
        if not isinstance(value, bool):
            self.refuse(key, f"{_shown(value)} is neither true nor false", "Write true or false, without quotes")
        return value

    def whole(
        self, key: str, low: int, high: int, default: int | None = None, *, example: int | None = None, of: str = ""
    ) -> int:
        """A whole number [-] from ``low`` to ``high``, ``of`` what it counts; ``example`` is for a key missing."""
        if default is not None and not self.has(key):
            return default
        value = self._take(key, str(low if example is None else example))
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            self.refuse(
                key,
                f"{_shown(value)} is not a whole number from {low} to {high}{of and f': it counts {of}'}",
                f"Write {key} = {example}" if high > MOST * MOST else f"Write {key} = {low} … {high}",
            )
        return value

    def number(self, key: str, low: int, high: int) -> float:
        """A number [-] from ``low`` to ``high``, whole or not."""
        value = self._take(key, str(low))
        fits = isinstance(value, int | Decimal) and not isinstance(value, bool) and Decimal(value).is_finite()
        if not (fits and low <= value <= high):
            self.refuse(key, f"{_shown(value)} is not a number from {low} to {high}", f"Write {key} = {low} … {high}")
        return float(value)

    def length(self, key: str, default: str | None = None) -> Length:
        """A length: a bare number in the file's unit or a text with its own."""
        if default is not None and not self.has(key):
            return Length.parse(default)
        return self._length(key, self._take(key, '"2.29 m"' if self.bare == "mm" else '"7 ft 6 in"'))

    def _length(self, key: str, value: Any) -> Length:
        try:
            if isinstance(value, str):
                return Length.parse(value, self.bare)
            return Length.of(_number(value, self.bare), self.bare)
        except BadInput as fault:
            self.refuse(key, fault.what, fault.remedy)

    def lengths(self, key: str) -> tuple[Length, ...]:
        """A list of lengths."""
        return tuple(
            self._length(key, value)
            for value in self._list(key, "[0, 125, 250]" if self.bare == "mm" else "[0, 5, 10]")
        )

    def quantity(self, key: str, kind: Kind) -> float:
        """A quantity of ``kind`` with its unit [SI]."""
        return self._quantity(key, kind, self._take(key, f'"{kind.example(self.bare)}"'))

    def quantities(self, key: str, kind: Kind) -> tuple[float, ...]:
        """A list of quantities of ``kind`` [SI]."""
        return tuple(self._quantity(key, kind, value) for value in self._list(key, f'["{kind.example(self.bare)}"]'))

    def _quantity(self, key: str, kind: Kind, value: Any) -> float:
        try:
            return parse_quantity(_shown(value) if not isinstance(value, str) else value, kind, self.bare)
        except BadInput as fault:
            self.refuse(key, fault.what, fault.remedy)

    def _list(self, key: str, example: str) -> list[Any]:
        value = self._take(key, example)
        if not isinstance(value, list):
            self.refuse(key, f"{_shown(value)} is {_kind(value)}, not a list", f"Write {key} = {example}")
        if len(value) > MOST:
            self.refuse(key, f"{len(value)} values are more than this list takes", f"Keep it to {MOST}")
        return value

    def table(self, key: str, *, required: bool = False) -> Table | None:
        """The table ``[key]`` inside this one, or None where it is absent."""
        if not required and not self.has(key):
            return None
        value = self._take(key, "…") if key in self.content else self._missing_table(key)
        if not isinstance(value, dict):
            self.refuse(key, f"{_shown(value)} is {_kind(value)}, not a table", f"Write [{key}] on a line of its own")
        return Table(value, f"[{key}]", self.bare)

    def _missing_table(self, key: str) -> NoReturn:
        remedy = f"Add [{key}] on a line of its own with its keys below it{self._instead(key)}"
        self.refuse(f"[{key}]", "this table is missing", remedy)

    def tables(self, key: str) -> tuple[Table, ...]:
        """The tables ``[[key]]``, in the order of the file."""
        if not self.has(key):
            return ()
        value = self.content[key]
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            self.refuse(key, f"{key} is not a list of tables", f"Write [[{key}]], with two brackets, before each one")
        return tuple(Table(item, f"[[{key}]] {number}", self.bare) for number, item in enumerate(value, 1))

    def close(self) -> None:
        """Refuse the keys that were never asked for."""
        for key in self.content:
            if key not in self._known:
                near = get_close_matches(key, sorted(self._known), 1, 0.6)
                self.refuse(
                    key[:64],
                    "this key is not known here",
                    f"Did you mean {near[0]}? If not, take it out" if near else "Take it out",
                )


def one_each(given: int, wanted: int, remedy: str) -> str:
    """The ``remedy`` for a list of ``given`` values where ``wanted`` are; twice as many are decimal commas."""
    if given == 2 * wanted > 2:
        return f"{remedy}; and with a decimal point, 1.75: in a list a comma only parts two numbers"
    return remedy


def document(content: dict[str, Any], newest: int) -> tuple[Table, Display]:
    """The outermost table of a file of format ``newest`` or older, and the display of its units."""
    root = Table(content, "", "")
    version = root.whole("culmwright", 1, 10**6, example=newest)
    if version > newest:
        root.refuse(
            "culmwright",
            f"this file is of format {version}, newer than this program reads ({newest})",
            "Update culmwright",
        )
    display = DISPLAYS[root.choice("units", tuple(DISPLAYS))]
    root.bare = display.bare
    return root, display


def _number(value: Any, bare: str) -> int | Decimal:
    """A bare number of a TOML file that can be a length; ``BadInput`` otherwise, with an example beside ``bare``."""
    remedy = f'Write a number, or a text with its unit such as "{"9.19 mm" if bare == "mm" else "3 1/16 in"}"'
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        raise BadInput(f"{_shown(value)} is {_kind(value)}, not a length", remedy=remedy)
    number = Decimal(value)
    if not number.is_finite() or abs(number.adjusted()) > LARGEST_EXPONENT or len(number.as_tuple().digits) > 30:
        raise BadInput(f"{_shown(value)} is not a length", remedy=remedy)
    return value


def _shown(value: Any) -> str:
    if isinstance(value, dict | list):
        return "this"
    if isinstance(value, int) and abs(value) > 10**LARGEST_EXPONENT:
        return "a number this large"
    text = str(value).lower() if isinstance(value, bool) else f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 40 else text[:37] + "…"


def _kind(value: Any) -> str:
    return _NAMES.get(type(value), "a date or time")

"""The tables of a rod file written out as TOML, in the order a maker thinks of them."""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

ORDER = ("rod", "taper", "tip", "cane", "ferrule", "guides", "strips", "hollow", "bench")
WIDEST = 100


def rod_file_text(tables: Mapping[str, Any], remark: str = "") -> str:
    """The text of a rod file with these ``tables``: it reads back to the same, numbers digit by digit.

    >>> print(rod_file_text({"culmwright": 1, "rod": {"sides": 6, "length": "7 ft"}}))
    culmwright = 1
    <BLANKLINE>
    [rod]
    sides = 6
    length = "7 ft"
    <BLANKLINE>
    """
    lines = [f"# {line}" for line in remark.split("\n") if line]
    lines += [f"{key} = {_value(value)}" for key, value in tables.items() if not _is_table(value)]
    named = [key for key in tables if _is_table(tables[key])]
    for key in sorted(named, key=lambda name: ORDER.index(name) if name in ORDER else len(ORDER)):
        content = tables[key]
        for table in content if isinstance(content, list) else [content]:
            lines += ["", f"[[{key}]]" if isinstance(content, list) else f"[{key}]"]
            lines += [f"{name} = {_value(value)}" for name, value in table.items()]
    return "\n".join(lines) + "\n"


def _is_table(value: Any) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and bool(value) and isinstance(value[0], dict))


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, Decimal):
        return f"{value:f}" if value.is_finite() else str(value).lower().replace("infinity", "inf")
    if isinstance(value, list):
        return _list([_value(one) for one in value])
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_value(one)}" for key, one in value.items()) + " }"
    return str(value)


def _list(parts: list[str]) -> str:
    """A list on one line, or broken where it is wide."""
    lines: list[str] = [""]
    for part in parts:
        if len(lines[-1]) + len(part) > WIDEST:
            lines.append("")
        lines[-1] += f"{part}, "
    if len(lines) == 1:
        return f"[{lines[0].removesuffix(', ')}]"
    return "[\n  " + "\n  ".join(line.rstrip() for line in lines) + "\n]"

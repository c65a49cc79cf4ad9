"""Results as records: frozen dataclasses whose fields know their SI unit, and their form in JSON.

A field ``height`` in metres is the attribute ``height`` in Python and the key ``height_m`` in JSON.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import Field, field, fields, is_dataclass
from enum import Enum
from typing import Any

_SUFFIX = {
    **{"m": "_m", "kg": "_kg", "N m": "_n_m", "Pa": "_pa", "N": "_n", "rad": "_rad", "m^3": "_m3", "Hz": "_hz"},
    **{"K": "_k", "s": "_s", "1/K": "_per_k", "m^2/s": "_m2_s", "-": "", "": ""},
}


def si(unit: str, *, default: Any = None, required: bool = True) -> Any:
    """A dataclass field held in SI ``unit``; give ``required=False`` to let it default."""
    return field(metadata={"unit": unit}) if required else field(default=default, metadata={"unit": unit})


def key_of(one: Field[Any]) -> str:
    """The key of a field in JSON: its name, with the unit it is held in."""
    return f"{one.name}{_SUFFIX[one.metadata.get('unit', '')]}"


def to_json(value: Any) -> Any:
    """Plain lists, dictionaries, numbers and texts of a result; the unit becomes the key's ending.

    Raises ``ValueError`` for a number that is not finite: a result holds numbers or None, never nan.
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {
            key_of(one): to_json(getattr(value, one.name)) for one in fields(value) if not one.metadata.get("hidden")
        }
    if isinstance(value, Mapping):
        return {str(key): to_json(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [to_json(item) for item in value]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError("a result held a number that is not finite")
    if value is None or isinstance(value, bool | int | float | str):
        return value
    return str(value)

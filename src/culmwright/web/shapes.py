"""The shape of a result for the API's description, read off its own dataclass: the keys that ``--json`` has."""

from __future__ import annotations

import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, create_model

from culmwright.measure.record import key_of, to_json

PLAIN = (int, float, str, bool, type(None))


class Strict(BaseModel):
    """What a program may send: these fields, of these types, and nothing else."""

    model_config = ConfigDict(extra="forbid", strict=True)


@cache
def shape_of(kind: type) -> type[BaseModel]:
    """The shape in JSON of a frozen dataclass ``kind``."""
    hints = get_type_hints(kind)
    found: dict[str, Any] = {
        key_of(one): (_shape(hints[one.name]), ...) for one in fields(kind) if not one.metadata.get("hidden")
    }
    said = (kind.__doc__ or "").split("\n\n")[0]
    return create_model(kind.__name__, __module__=kind.__module__, __doc__=" ".join(said.split()), **found)


def _shape(hint: Any) -> Any:
    origin, args = get_origin(hint), get_args(hint)
    if hint in PLAIN or hint is Any:
        return hint
    if origin in (Union, types.UnionType):
        return _of(Union, tuple(_shape(one) for one in args))
    if origin is tuple or origin is list:
        inner = tuple(dict.fromkeys(_shape(one) for one in args if one is not Ellipsis))
        return _of(list, _of(Union, inner)) if inner else list[Any]
    if origin is not None and issubclass(origin, Mapping):
        return _of(dict, (str, _shape(args[1])))
    if isinstance(hint, type) and is_dataclass(hint):
        return shape_of(hint)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return _of(Literal, tuple(one.value for one in hint))
    return str


def _of(form: Any, inner: Any) -> Any:
    """A type of other types that are known only here."""
    return form[inner]


def answer(result: Any, status: int = 200) -> JSONResponse:
    """A result as JSON, with the keys of ``--json``; never kept on the way."""
    return JSONResponse(to_json(result), status, {"cache-control": "no-store"})

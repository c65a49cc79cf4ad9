"""Slips: small forms on the page of a stage, each a thin door to one verb; what was typed stays when it is refused."""

from __future__ import annotations

import re
import secrets
import threading
from collections import Counter, OrderedDict
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from enum import Enum
from hashlib import sha256
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import UploadFile

from culmwright.measure.errors import AnswerIsNo, BadInput, CulmwrightError, each_of
from culmwright.measure.lengths import Length
from culmwright.measure.quantities import Kind, parse_quantity
from culmwright.web.access import TOKEN_FIELD, Role

LONGEST_LINE, LONGEST_TEXT, LONGEST_FILE = 200, 20_000, 200_000  # characters
ONLY_TIME = re.compile(r"([01]?[0-9]|2[0-3])[:.]([0-5][0-9])")
WHEN = "like 08:15 for today, or 2026-11-25 08:15; left empty: now"
REMEMBERED = 500


class Look(Enum):
    """How a field is filled in: a line, several, one of some, any of some, a tick, or a file."""

    LINE = "line"
    LINES = "lines"
    ONE_OF = "one of"
    ANY_OF = "any of"
    TICK = "tick"
    FILE = "file"


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a slip: its ``label``, a ``hint`` with an example and the unit, what stands in it at first."""

    name: str
    label: str
    hint: str = ""
    look: Look = Look.LINE
    options: tuple[tuple[str, str], ...] = ()
    rows: int = 4
    first: str = ""
    digits: bool = False

    @property
    def wide(self) -> bool:
        """True for one that takes the whole width."""
        return self.look in (Look.LINES, Look.ANY_OF, Look.FILE)

    @property
    def longest(self) -> int:
        """How many characters it takes."""
        return {Look.LINES: LONGEST_FILE if self.name == "text" else LONGEST_TEXT}.get(self.look, LONGEST_LINE)


@dataclass(frozen=True, slots=True)
class Press:
    """What a button does: its ``act``, its words, what is said when it is done ("" if it only shows), who may,
    and where it sends the slip if not where the slip goes.
    """

    act: str
    words: str
    told: str = ""
    role: Role = Role.BENCH
    action: str = ""


@dataclass(frozen=True, slots=True)
class Slip:
    """A form of a stage's page: ``title``, fields, buttons; ``action`` where it is sent, its own page if "".

    ``blocked`` says why it cannot be filled in yet; ``remedy`` what to do where a verb speaks of commands; ``see``
    are links beside it, ``caution`` stands in it.
    """

    name: str
    title: str
    fields: tuple[Field, ...]
    presses: tuple[Press, ...]
    help: str = ""
    action: str = ""
    blocked: str = ""
    remedy: str = ""
    see: tuple[tuple[str, str], ...] = ()
    open: bool = False
    caution: str = ""

    @property
    def role(self) -> Role:
        """The least that makes the slip of any use."""
        return min(one.role for one in self.presses)


@dataclass(frozen=True, slots=True)
class Said:
    """One thing a slip is refused for: the ``field`` it belongs to or "", its ``label``, where it stands, in words."""

    field: str
    label: str
    anchor: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Refusal:
    """A slip that was refused: which, what was typed into it, and all that is ``said`` about it."""

    slip: str
    values: Mapping[str, tuple[str, ...]]
    said: tuple[Said, ...] = ()


@dataclass(frozen=True, slots=True)
class Filled:
    """A slip as it stands on a page, with what is in its fields, and an id that a repeat of it carries again.

    ``shared`` are labels and words of buttons that another slip of the page has too.
    """

    slip: Slip
    id: str
    values: Mapping[str, tuple[str, ...]]
    said: tuple[Said, ...] = ()
    shared: frozenset[str] = frozenset()

    def wrong(self, name: str) -> Said | None:
        """What is refused of a field."""
        return next((one for one in self.said if one.field == name), None)

    def value(self, name: str) -> str:
        """What stands in a field."""
        return self.values.get(name, ("",))[0]


class Typed:
    """What was typed into a slip; everything that cannot be read is refused with the name of its field."""

    def __init__(self, values: Mapping[str, tuple[str, ...]]) -> None:
        self.values = values

    @property
    def act(self) -> str:
        """The button that was pressed."""
        return self.text("act")

    @property
    def id(self) -> str:
        """The id of what this makes: the same slip with the same words is the same entry."""
        said = "\x1f".join("\x1e".join((name, *self.values[name])) for name in sorted(self.values))
        return sha256(said.encode("utf-8", "replace")).hexdigest()[:32]

    def text(self, name: str) -> str:
        """A field without spaces around it; "" for an empty one."""
        return self.values.get(name, ("",))[0].strip()

    def words(self, name: str, remedy: str) -> str:
        """A field that must be filled in."""
        if not (said := self.text(name)):
            raise BadInput("this is still empty", where=name, remedy=remedy)
        return said

    def many(self, name: str) -> tuple[str, ...]:
        """Every choice that was ticked."""
        return tuple(one for one in self.values.get(name, ()) if one)

    def ticked(self, name: str) -> bool:
        """True for a ticked box."""
        return bool(self.text(name))

    def quantity(self, name: str, kind: Kind) -> float | None:
        """A quantity in SI; None for an empty field."""
        said = self.text(name)
        with beside(name):
            return parse_quantity(said, kind) if said else None

    def length(self, name: str, bare: str) -> Length | None:
        """A length; None for an empty field."""
        said = self.text(name)
        with beside(name):
            return Length.parse(said, bare) if said else None

    def whole(self, name: str, usual: int = 1) -> int:
        """A whole number of at most four digits."""
        said = self.text(name)
        if said and not re.fullmatch("[0-9]{1,4}", said):
            raise BadInput(f'"{said[:40]}" is no count', where=name, remedy="Give a whole number")
        return int(said) if said else usual

    def moment(self, name: str, *, ahead: bool = False) -> datetime | None:
        """A time in the zone of this computer: only hours and minutes are today's; None for an empty field."""
        said = self.text(name)
        if not said:
            return None
        now = datetime.now(UTC).astimezone()
        if clock := ONLY_TIME.fullmatch(said):
            at = now.replace(hour=int(clock[1]), minute=int(clock[2]), second=0, microsecond=0)
        else:
            try:
                at = datetime.fromisoformat(said).astimezone()
            except (ValueError, OverflowError, OSError):
                raise BadInput(
                    f'"{said[:40]}" is not a time', where=name, remedy="Write it like 08:15, or 2026-11-25 08:15"
                ) from None
        if at > now and not ahead:
            raise BadInput(f"{said} is still to come", where=name, remedy="Give when it was, with the day if not today")
        return at


async def typed_of(request: Request) -> Typed:
    """What a slip sent; a file's text stands in its field ``text``."""
    form = await request.form()
    values: dict[str, list[str]] = {}
    for name, value in form.multi_items():
        if name == TOKEN_FIELD:
            continue
        if isinstance(value, UploadFile):
            content = await value.read(4 * LONGEST_FILE)
            if content:
                values["text"] = [content.decode("utf-8-sig", "replace").replace("\r\n", "\n")]
        elif not (name == "text" and "text" in values):
            values.setdefault(name, []).append(value.replace("\r\n", "\n"))
    return Typed({name: tuple(found) for name, found in values.items()})


Sent = Annotated[Typed, Depends(typed_of)]


@contextmanager
def beside(field: str) -> Iterator[None]:
    """Say a refusal beside ``field``."""
    try:
        yield
    except (BadInput, AnswerIsNo) as fault:
        raise type(fault)(fault.what, where=field, remedy=fault.remedy) from None


def must_fit(slip: Slip, typed: Typed) -> None:
    """Refuse what is longer than any field takes."""
    for field in slip.fields:
        if any(len(one) > field.longest for one in typed.values.get(field.name, ())):
            raise BadInput(
                f"this is longer than {field.longest} characters", where=field.name, remedy="Keep it shorter"
            )


def refused(slip: Slip, typed: Typed, fault: CulmwrightError) -> Refusal:
    """A refusal as the page shows it: beside its fields where it has any, and without the options of a command."""
    found = [_said(slip, one) for one in each_of(fault)]
    order = {one.name: number for number, one in enumerate(slip.fields)}
    return Refusal(slip.name, typed.values, tuple(sorted(found, key=lambda one: order.get(one.field, -1))))


def _said(slip: Slip, fault: CulmwrightError) -> Said:
    field = next((one for one in slip.fields if one.name == fault.where), None)
    what = fault.what if field or not fault.where or fault.where.startswith("-") else f"{fault.where}: {fault.what}"
    of_command = "culmwright " in fault.remedy or "--" in fault.remedy
    remedy = slip.remedy if of_command else fault.remedy
    sentence = f"{what[:1].upper()}{what[1:]}.{f' {remedy}.' if remedy else ''}"
    if field is None:
        return Said("", "", "", sentence)
    return Said(field.name, field.label, f"{slip.name}-{field.name}-fault", sentence)


def filled(slips: tuple[Slip, ...], least: Role, refusal: Refusal | None = None) -> tuple[Filled, ...]:
    """The slips that a visitor may use, each with a fresh id; the refused one as it was typed."""
    found, shared = [], _shared([one for one in slips if one.role <= least and not one.blocked])
    for one in slips:
        if one.role > least:
            continue
        may = replace(one, presses=tuple(press for press in one.presses if press.role <= least))
        if refusal is not None and refusal.slip == one.name:
            found.append(Filled(may, fresh_id(), refusal.values, refusal.said, shared))
        else:
            first = {field.name: (field.first,) for field in one.fields if field.first}
            found.append(Filled(may, fresh_id(), first, shared=shared))
    return tuple(found)


def _shared(slips: list[Slip]) -> frozenset[str]:
    """Labels and words of buttons that more than one slip has: alone they would not tell which."""
    said = Counter(
        word for one in slips for word in (*(one.label for one in one.fields), *(one.words for one in one.presses))
    )
    return frozenset(word for word, count in said.items() if count > 1)


def fresh_id() -> str:
    """An id for one filling-in of a slip."""
    return secrets.token_hex(16)


class Once:
    """Does what a slip asks one after the other, and what was done already not again."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._done: OrderedDict[str, None] = OrderedDict()

    def do(self, id: str, kept: Callable[[], bool], work: Callable[[], None]) -> None:
        """Do ``work`` unless it was done under this ``id``, here or as ``kept`` tells."""
        with self._lock:
            if id in self._done or kept():
                return
            work()
            self._done[id] = None
            while len(self._done) > REMEMBERED:
                self._done.popitem(last=False)


ONCE = Once()

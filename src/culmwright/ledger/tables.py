"""The tables of a shop's file as the queries see them; ``migrations`` makes them.

Nothing in any of them is ever changed or taken out: triggers refuse it. A correction is a new row that names the row
it supersedes and says why. Lengths are exact: ``_num``/``_den`` is a ratio of whole numbers [nm], beside it the text
and unit as given. Times are UTC, ``2026-03-01T09:30:00.000000Z``.
"""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, Integer, MetaData, Table, Text, UniqueConstraint

SCHEMA = 2
"""The newest schema this program knows; the file carries its own as ``user_version``."""
APPLICATION = 0x43554C4D
"""SQLite's ``application_id`` of a shop's file: the letters CULM."""

METADATA = MetaData(naming_convention={"ck": "%(table_name)s_%(constraint_name)s"})
"""Every check has a name, so that a migration that remakes a table by Alembic's batch carries it over."""

_WHEN = "[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]." + "[0-9]" * 6 + "Z"
_DIGEST = "length(digest) = 64 AND digest NOT GLOB '*[^0-9a-f]*'"
_SECTION = "(section IN ('B', 'M') OR section GLOB 'T[1-9]' OR section GLOB 'T[1-9][0-9]')"
EVENT_KINDS = (
    "revision frozen",
    "soak started",
    "soak ended",
    "drying started",
    "drying ended",
    "heated",
    "straightened",
    "bound",
    "glued",
    "glue set",
    "varnished",
    "stop set",
    "iron sharpened",
    "strip scrapped",
    "noted",
)


def _check(rule: str, name: str) -> CheckConstraint:
    return CheckConstraint(rule, name=name)


def _text(name: str, *, null: bool = False) -> Column[str]:
    return Column(name, Text, _check(f"length({name}) > 0", name), nullable=null)


def _when(name: str = "at", *, null: bool = False) -> Column[str]:
    return Column(name, Text, _check(f"{name} GLOB '{_WHEN}'", name), nullable=null)


def _count(name: str, *, null: bool = False) -> Column[int]:
    return Column(name, Integer, _check(f"{name} >= 1", name), nullable=null)


def _flag(name: str) -> Column[int]:
    return Column(name, Integer, _check(f"{name} IN (0, 1)", name), nullable=False)


def _length(name: str, *, null: bool = False) -> Iterable[Column[int] | Column[str] | CheckConstraint]:
    yield Column(f"{name}_num", Integer, nullable=null)
    yield Column(f"{name}_den", Integer, _check(f"{name}_den >= 1", f"{name}_den"), nullable=null)
    yield _text(f"{name}_text", null=null)
    yield _text(f"{name}_unit", null=null)
    if null:
        parts = " AND ".join(f"({name}_{part} IS NULL) = ({name}_num IS NULL)" for part in ("den", "text", "unit"))
        yield _check(parts, f"{name}_whole")


def _points(name: str, to: str, *, null: bool = True) -> Column[int]:
    return Column(name, Integer, ForeignKey(to), nullable=null)


def _section(*, null: bool = False) -> Column[str]:
    return Column("section", Text, _check(_SECTION, "section"), nullable=null)


def _supersedes(table: str, key: str) -> Iterable[Column[int] | Column[str] | CheckConstraint | Index]:
    yield _points("supersedes", f"{table}.{key}")
    yield _text("why", null=True)
    yield _check("supersedes IS NULL OR why IS NOT NULL", "supersedes_why")
    yield Index(f"{table}_superseded", "supersedes", unique=key == "id")


def _stream(table: str, states: tuple[str, ...]) -> Iterable[Column[int] | Column[str] | CheckConstraint | Index]:
    """What a reading, a pass and an event share: the place in the one sequence, the client's id, who and when."""
    yield Column("seq", Integer, _check("seq >= 1", "seq"), primary_key=True)
    yield Column("id", Text, _check("length(id) BETWEEN 16 AND 64", "id"), nullable=False, unique=True)
    listed = ", ".join(f"'{state}'" for state in states)
    yield Column("state", Text, _check(f"state IN ({listed})", "state"), nullable=False)
    yield _when()
    yield _points("person", "person.id")
    yield from _supersedes(table, "seq")
    yield _check("state <> 'withdrawn' OR supersedes IS NOT NULL", "withdrawn_supersedes")


PERSON = Table(
    "person",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("name", Text, _check("length(name) > 0", "name"), nullable=False, unique=True),
    _when(),
    sqlite_strict=True,
)
ROD = Table(
    "rod",
    METADATA,
    Column("number", Integer, _check("number >= 1", "number"), primary_key=True),
    _text("name"),
    _when(),
    sqlite_strict=True,
)
ROD_REVISION = Table(
    "rod_revision",
    METADATA,
    Column("id", Integer, primary_key=True),
    _points("rod", "rod.number", null=False),
    _count("revision"),
    Column("digest", Text, _check(_DIGEST, "digest"), nullable=False),
    Index("rod_revision_digest", "digest"),
    _text("text"),
    _text("plan", null=True),
    _when(),
    UniqueConstraint("rod", "revision"),
    sqlite_strict=True,
)
CULM = Table(
    "culm",
    METADATA,
    Column("id", Integer, primary_key=True),
    _text("label"),
    *_length("diameter", null=True),
    *_length("length", null=True),
    _text("note", null=True),
    _when(),
    *_supersedes("culm", "id"),
    sqlite_strict=True,
)
STRIP = Table(
    "strip",
    METADATA,
    Column("id", Integer, primary_key=True),
    _text("label"),
    _points("rod", "rod.number", null=False),
    _section(),
    _count("number"),
    _points("culm", "culm.id"),
    _count("place", null=True),
    _text("note", null=True),
    _when(),
    *_supersedes("strip", "id"),
    _check("place IS NULL OR culm IS NOT NULL", "place_culm"),
    sqlite_strict=True,
)
RIG = Table(
    "rig",
    METADATA,
    Column("id", Integer, primary_key=True),
    _text("name"),
    _text("kind"),
    _text("text"),
    _when(),
    *_supersedes("rig", "id"),
    sqlite_strict=True,
)
GAUGE = Table(
    "gauge",
    METADATA,
    Column("id", Integer, primary_key=True),
    _text("name"),
    _text("unit"),
    *_length("resolution", null=True),
    _text("note", null=True),
    _when(),
    *_supersedes("gauge", "id"),
    sqlite_strict=True,
)
GAUGE_CHECK = Table(
    "gauge_check",
    METADATA,
    Column("id", Integer, primary_key=True),
    _points("gauge", "gauge.id", null=False),
    *_length("reference"),
    *_length("shown"),
    _points("person", "person.id"),
    _when(),
    sqlite_strict=True,
)
READING = Table(
    "reading",
    METADATA,
    *_stream("reading", ("measured", "skipped", "withdrawn")),
    _points("rod_revision", "rod_revision.id", null=False),
    _section(),
    _count("strip", null=True),
    _count("face", null=True),
    *_length("station"),
    _text("stage"),
    Column("pass", Integer, _check("pass >= 0", "pass"), nullable=False),
    *_length("value", null=True),
    _points("gauge", "gauge.id"),
    _flag("wet"),
    _check("(state = 'measured') = (value_num IS NOT NULL)", "measured_value"),
    _check("state <> 'skipped' OR why IS NOT NULL", "skipped_why"),
    Index("reading_cell", "rod_revision", "section", "strip"),
    sqlite_strict=True,
)
PASS = Table(
    "pass",
    METADATA,
    *_stream("pass", ("done", "withdrawn")),
    _points("rod_revision", "rod_revision.id", null=False),
    _section(),
    _count("strip", null=True),
    _text("stage"),
    Column("number", Integer, _check("number >= 0", "number"), nullable=False),
    *_length("depth", null=True),
    *_length("stop", null=True),
    _points("rig", "rig.id"),
    _flag("wet"),
    _text("note", null=True),
    Index("pass_cell", "rod_revision", "section", "strip"),
    sqlite_strict=True,
)
EVENT = Table(
    "event",
    METADATA,
    *_stream("event", ("done", "withdrawn")),
    Column("kind", Text, _check(f"kind IN ({', '.join(repr(kind) for kind in EVENT_KINDS)})", "kind"), nullable=False),
    _points("rod_revision", "rod_revision.id"),
    _section(null=True),
    _count("strip", null=True),
    _points("culm", "culm.id"),
    _points("rig", "rig.id"),
    _when("ready_at", null=True),
    _text("note", null=True),
    _check("section IS NULL OR rod_revision IS NOT NULL", "section_of"),
    _check("strip IS NULL OR section IS NOT NULL", "strip_of"),
    Index("event_rod", "rod_revision", "section", "strip"),
    sqlite_strict=True,
)
DOCKET = Table(
    "docket",
    METADATA,
    *_stream("docket", ("done", "withdrawn")),
    _text("kind"),
    _points("rod", "rod.number"),
    _section(null=True),
    _count("strip", null=True),
    _points("culm", "culm.id"),
    _points("rig", "rig.id"),
    _text("text"),
    _check("section IS NULL OR rod IS NOT NULL", "section_of"),
    _check("strip IS NULL OR section IS NOT NULL", "strip_of"),
    Index("docket_kind", "kind", "rod"),
    sqlite_strict=True,
)

STREAMS = (READING, PASS, EVENT, DOCKET)
"""What happens at the bench, in one sequence over all of them."""
IN_ORDER = (PERSON, ROD, ROD_REVISION, CULM, STRIP, RIG, GAUGE, GAUGE_CHECK, READING, PASS, EVENT, DOCKET)
"""Every table, those that others point to first."""
CLOCKS = ("at", "ready_at")

"""Schema 0001: the shop's tables, and the triggers that keep what is written.

Revision ID: 0001
Revises: none
"""

from __future__ import annotations

from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

CLOCK = (
    "GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z'"
)
SECTION = "(section IN ('B', 'M') OR section GLOB 'T[1-9]' OR section GLOB 'T[1-9][0-9]')"
KINDS = (
    "'revision frozen', 'soak started', 'soak ended', 'drying started', 'drying ended', 'heated', "
    "'straightened', 'bound', 'glued', 'glue set', 'varnished', 'stop set', 'iron sharpened', "
    "'strip scrapped', 'noted'"
)


def length(table: str, name: str) -> str:
    """The columns of an exact length that every row has."""
    check = f"CONSTRAINT {table}_{name}"
    return (
        f"{name}_num INTEGER NOT NULL, {name}_den INTEGER NOT NULL {check}_den CHECK ({name}_den >= 1), "
        f"{name}_text TEXT NOT NULL {check}_text CHECK (length({name}_text) > 0), "
        f"{name}_unit TEXT NOT NULL {check}_unit CHECK (length({name}_unit) > 0)"
    )


def perhaps(table: str, name: str) -> str:
    """The columns of an exact length that a row may lack."""
    return length(table, name).replace(" NOT NULL", "")


def whole(table: str, name: str) -> str:
    """The check that a length is given with all its parts or not at all."""
    parts = " AND ".join(f"({name}_{part} IS NULL) = ({name}_num IS NULL)" for part in ("den", "text", "unit"))
    return f"CONSTRAINT {table}_{name}_whole CHECK ({parts})"


TABLES = (
    f"""
CREATE TABLE person (
    id INTEGER NOT NULL,
    name TEXT NOT NULL CONSTRAINT person_name CHECK (length(name) > 0),
    at TEXT NOT NULL CONSTRAINT person_at CHECK (at {CLOCK}),
    PRIMARY KEY (id),
    UNIQUE (name)
) STRICT
""",
    f"""
CREATE TABLE rod (
    number INTEGER NOT NULL CONSTRAINT rod_number CHECK (number >= 1),
    name TEXT NOT NULL CONSTRAINT rod_name CHECK (length(name) > 0),
    at TEXT NOT NULL CONSTRAINT rod_at CHECK (at {CLOCK}),
    PRIMARY KEY (number)
) STRICT
""",
    f"""
CREATE TABLE rod_revision (
    id INTEGER NOT NULL,
    rod INTEGER NOT NULL,
    revision INTEGER NOT NULL CONSTRAINT rod_revision_revision CHECK (revision >= 1),
    digest TEXT NOT NULL CONSTRAINT rod_revision_digest CHECK (length(digest) = 64 AND digest NOT GLOB '*[^0-9a-f]*'),
    text TEXT NOT NULL CONSTRAINT rod_revision_text CHECK (length(text) > 0),
    "plan" TEXT CONSTRAINT rod_revision_plan CHECK (length(plan) > 0),
    at TEXT NOT NULL CONSTRAINT rod_revision_at CHECK (at {CLOCK}),
    PRIMARY KEY (id),
    UNIQUE (rod, revision),
    FOREIGN KEY(rod) REFERENCES rod (number)
) STRICT
""",
    "CREATE INDEX rod_revision_digest ON rod_revision (digest)",
    f"""
CREATE TABLE culm (
    id INTEGER NOT NULL,
    label TEXT NOT NULL CONSTRAINT culm_label CHECK (length(label) > 0),
    {perhaps("culm", "diameter")},
    {perhaps("culm", "length")},
    note TEXT CONSTRAINT culm_note CHECK (length(note) > 0),
    at TEXT NOT NULL CONSTRAINT culm_at CHECK (at {CLOCK}),
    supersedes INTEGER,
    why TEXT CONSTRAINT culm_why CHECK (length(why) > 0),
    PRIMARY KEY (id),
    {whole("culm", "diameter")},
    {whole("culm", "length")},
    CONSTRAINT culm_supersedes_why CHECK (supersedes IS NULL OR why IS NOT NULL),
    FOREIGN KEY(supersedes) REFERENCES culm (id)
) STRICT
""",
    "CREATE UNIQUE INDEX culm_superseded ON culm (supersedes)",
    f"""
CREATE TABLE strip (
    id INTEGER NOT NULL,
    label TEXT NOT NULL CONSTRAINT strip_label CHECK (length(label) > 0),
    rod INTEGER NOT NULL,
    section TEXT NOT NULL CONSTRAINT strip_section CHECK ({SECTION}),
    number INTEGER NOT NULL CONSTRAINT strip_number CHECK (number >= 1),
    culm INTEGER,
    place INTEGER CONSTRAINT strip_place CHECK (place >= 1),
    note TEXT CONSTRAINT strip_note CHECK (length(note) > 0),
    at TEXT NOT NULL CONSTRAINT strip_at CHECK (at {CLOCK}),
    supersedes INTEGER,
    why TEXT CONSTRAINT strip_why CHECK (length(why) > 0),
    PRIMARY KEY (id),
    CONSTRAINT strip_supersedes_why CHECK (supersedes IS NULL OR why IS NOT NULL),
    CONSTRAINT strip_place_culm CHECK (place IS NULL OR culm IS NOT NULL),
    FOREIGN KEY(rod) REFERENCES rod (number),
    FOREIGN KEY(culm) REFERENCES culm (id),
    FOREIGN KEY(supersedes) REFERENCES strip (id)
) STRICT
""",
    "CREATE UNIQUE INDEX strip_superseded ON strip (supersedes)",
    f"""
CREATE TABLE rig (
    id INTEGER NOT NULL,
    name TEXT NOT NULL CONSTRAINT rig_name CHECK (length(name) > 0),
    kind TEXT NOT NULL CONSTRAINT rig_kind CHECK (length(kind) > 0),
    text TEXT NOT NULL CONSTRAINT rig_text CHECK (length(text) > 0),
    at TEXT NOT NULL CONSTRAINT rig_at CHECK (at {CLOCK}),
    supersedes INTEGER,
    why TEXT CONSTRAINT rig_why CHECK (length(why) > 0),
    PRIMARY KEY (id),
    CONSTRAINT rig_supersedes_why CHECK (supersedes IS NULL OR why IS NOT NULL),
    FOREIGN KEY(supersedes) REFERENCES rig (id)
) STRICT
""",
    "CREATE UNIQUE INDEX rig_superseded ON rig (supersedes)",
    f"""
CREATE TABLE gauge (
    id INTEGER NOT NULL,
    name TEXT NOT NULL CONSTRAINT gauge_name CHECK (length(name) > 0),
    unit TEXT NOT NULL CONSTRAINT gauge_unit CHECK (length(unit) > 0),
    {perhaps("gauge", "resolution")},
    note TEXT CONSTRAINT gauge_note CHECK (length(note) > 0),
    at TEXT NOT NULL CONSTRAINT gauge_at CHECK (at {CLOCK}),
    supersedes INTEGER,
    why TEXT CONSTRAINT gauge_why CHECK (length(why) > 0),
    PRIMARY KEY (id),
    {whole("gauge", "resolution")},
    CONSTRAINT gauge_supersedes_why CHECK (supersedes IS NULL OR why IS NOT NULL),
    FOREIGN KEY(supersedes) REFERENCES gauge (id)
) STRICT
""",
    "CREATE UNIQUE INDEX gauge_superseded ON gauge (supersedes)",
    f"""
CREATE TABLE gauge_check (
    id INTEGER NOT NULL,
    gauge INTEGER NOT NULL,
    {length("gauge_check", "reference")},
    {length("gauge_check", "shown")},
    person INTEGER,
    at TEXT NOT NULL CONSTRAINT gauge_check_at CHECK (at {CLOCK}),
    PRIMARY KEY (id),
    FOREIGN KEY(gauge) REFERENCES gauge (id),
    FOREIGN KEY(person) REFERENCES person (id)
) STRICT
""",
    f"""
CREATE TABLE reading (
    seq INTEGER NOT NULL CONSTRAINT reading_seq CHECK (seq >= 1),
    id TEXT NOT NULL CONSTRAINT reading_id CHECK (length(id) BETWEEN 16 AND 64),
    state TEXT NOT NULL CONSTRAINT reading_state CHECK (state IN ('measured', 'skipped', 'withdrawn')),
    at TEXT NOT NULL CONSTRAINT reading_at CHECK (at {CLOCK}),
    person INTEGER,
    supersedes INTEGER,
    why TEXT CONSTRAINT reading_why CHECK (length(why) > 0),
    rod_revision INTEGER NOT NULL,
    section TEXT NOT NULL CONSTRAINT reading_section CHECK ({SECTION}),
    strip INTEGER CONSTRAINT reading_strip CHECK (strip >= 1),
    face INTEGER CONSTRAINT reading_face CHECK (face >= 1),
    {length("reading", "station")},
    stage TEXT NOT NULL CONSTRAINT reading_stage CHECK (length(stage) > 0),
    pass INTEGER NOT NULL CONSTRAINT reading_pass CHECK (pass >= 0),
    {perhaps("reading", "value")},
    gauge INTEGER,
    wet INTEGER NOT NULL CONSTRAINT reading_wet CHECK (wet IN (0, 1)),
    PRIMARY KEY (seq),
    CONSTRAINT reading_supersedes_why CHECK (supersedes IS NULL OR why IS NOT NULL),
    CONSTRAINT reading_withdrawn_supersedes CHECK (state <> 'withdrawn' OR supersedes IS NOT NULL),
    {whole("reading", "value")},
    CONSTRAINT reading_measured_value CHECK ((state = 'measured') = (value_num IS NOT NULL)),
    CONSTRAINT reading_skipped_why CHECK (state <> 'skipped' OR why IS NOT NULL),
    UNIQUE (id),
    FOREIGN KEY(person) REFERENCES person (id),
    FOREIGN KEY(supersedes) REFERENCES reading (seq),
    FOREIGN KEY(rod_revision) REFERENCES rod_revision (id),
    FOREIGN KEY(gauge) REFERENCES gauge (id)
) STRICT
""",
    "CREATE INDEX reading_cell ON reading (rod_revision, section, strip)",
    "CREATE INDEX reading_superseded ON reading (supersedes)",
    f"""
CREATE TABLE pass (
    seq INTEGER NOT NULL CONSTRAINT pass_seq CHECK (seq >= 1),
    id TEXT NOT NULL CONSTRAINT pass_id CHECK (length(id) BETWEEN 16 AND 64),
    state TEXT NOT NULL CONSTRAINT pass_state CHECK (state IN ('done', 'withdrawn')),
    at TEXT NOT NULL CONSTRAINT pass_at CHECK (at {CLOCK}),
    person INTEGER,
    supersedes INTEGER,
    why TEXT CONSTRAINT pass_why CHECK (length(why) > 0),
    rod_revision INTEGER NOT NULL,
    section TEXT NOT NULL CONSTRAINT pass_section CHECK ({SECTION}),
    strip INTEGER CONSTRAINT pass_strip CHECK (strip >= 1),
    stage TEXT NOT NULL CONSTRAINT pass_stage CHECK (length(stage) > 0),
    number INTEGER NOT NULL CONSTRAINT pass_number CHECK (number >= 0),
    {perhaps("pass", "depth")},
    {perhaps("pass", "stop")},
    rig INTEGER,
    wet INTEGER NOT NULL CONSTRAINT pass_wet CHECK (wet IN (0, 1)),
    note TEXT CONSTRAINT pass_note CHECK (length(note) > 0),
    PRIMARY KEY (seq),
    CONSTRAINT pass_supersedes_why CHECK (supersedes IS NULL OR why IS NOT NULL),
    CONSTRAINT pass_withdrawn_supersedes CHECK (state <> 'withdrawn' OR supersedes IS NOT NULL),
    {whole("pass", "depth")},
    {whole("pass", "stop")},
    UNIQUE (id),
    FOREIGN KEY(person) REFERENCES person (id),
    FOREIGN KEY(supersedes) REFERENCES pass (seq),
    FOREIGN KEY(rod_revision) REFERENCES rod_revision (id),
    FOREIGN KEY(rig) REFERENCES rig (id)
) STRICT
""",
    "CREATE INDEX pass_cell ON pass (rod_revision, section, strip)",
    "CREATE INDEX pass_superseded ON pass (supersedes)",
    f"""
CREATE TABLE event (
    seq INTEGER NOT NULL CONSTRAINT event_seq CHECK (seq >= 1),
    id TEXT NOT NULL CONSTRAINT event_id CHECK (length(id) BETWEEN 16 AND 64),
    state TEXT NOT NULL CONSTRAINT event_state CHECK (state IN ('done', 'withdrawn')),
    at TEXT NOT NULL CONSTRAINT event_at CHECK (at {CLOCK}),
    person INTEGER,
    supersedes INTEGER,
    why TEXT CONSTRAINT event_why CHECK (length(why) > 0),
    kind TEXT NOT NULL CONSTRAINT event_kind CHECK (kind IN ({KINDS})),
    rod_revision INTEGER,
    section TEXT CONSTRAINT event_section CHECK ({SECTION}),
    strip INTEGER CONSTRAINT event_strip CHECK (strip >= 1),
    culm INTEGER,
    rig INTEGER,
    ready_at TEXT CONSTRAINT event_ready_at CHECK (ready_at {CLOCK}),
    note TEXT CONSTRAINT event_note CHECK (length(note) > 0),
    PRIMARY KEY (seq),
    CONSTRAINT event_supersedes_why CHECK (supersedes IS NULL OR why IS NOT NULL),
    CONSTRAINT event_withdrawn_supersedes CHECK (state <> 'withdrawn' OR supersedes IS NOT NULL),
    CONSTRAINT event_section_of CHECK (section IS NULL OR rod_revision IS NOT NULL),
    CONSTRAINT event_strip_of CHECK (strip IS NULL OR section IS NOT NULL),
    UNIQUE (id),
    FOREIGN KEY(person) REFERENCES person (id),
    FOREIGN KEY(supersedes) REFERENCES event (seq),
    FOREIGN KEY(rod_revision) REFERENCES rod_revision (id),
    FOREIGN KEY(culm) REFERENCES culm (id),
    FOREIGN KEY(rig) REFERENCES rig (id)
) STRICT
""",
    "CREATE INDEX event_rod ON event (rod_revision, section, strip)",
    "CREATE INDEX event_superseded ON event (supersedes)",
)

STREAMS = ("reading", "pass", "event")
KEPT = ("person", "rod", "rod_revision", "culm", "strip", "rig", "gauge", "gauge_check", *STREAMS)
CELL = ("rod_revision", "section", "strip", "face", "station_num", "station_den", "stage", "pass")
NEWEST = ", ".join(f"coalesce((SELECT max(seq) FROM {stream}), 0)" for stream in STREAMS)
SAME_CELL = "".join(f" AND old.{column} IS NEW.{column}" for column in CELL)


def kept(table: str) -> tuple[str, ...]:
    """The triggers that let no row of ``table`` be changed or taken out."""
    refuse = "BEGIN SELECT RAISE(ABORT, 'rows of the ledger are never changed: add one that supersedes'); END"
    return (
        f"CREATE TRIGGER {table}_unchanged BEFORE UPDATE ON {table} {refuse}",
        f"CREATE TRIGGER {table}_kept BEFORE DELETE ON {table} {refuse}",
    )


def in_sequence(stream: str) -> str:
    """The trigger that lets a row only come after all that happened before, with an id of its own."""
    return (
        f"CREATE TRIGGER {stream}_in_sequence BEFORE INSERT ON {stream} "
        f"WHEN NEW.seq <= max({NEWEST}) OR EXISTS (SELECT 1 FROM {stream} WHERE id = NEW.id) "
        f"BEGIN SELECT RAISE(ABORT, 'a new row has a new id and comes after all others'); END"
    )


def supersedes(stream: str, same: str = "") -> str:
    """The trigger that lets a row supersede only one that stands (and is of the same cell)."""
    return f"""
CREATE TRIGGER {stream}_supersedes BEFORE INSERT ON {stream}
WHEN NEW.supersedes IS NOT NULL AND NOT EXISTS (
    SELECT 1 FROM {stream} AS old
    WHERE old.seq = NEW.supersedes AND old.state <> 'withdrawn'{same} AND NOT EXISTS (
        SELECT 1 FROM {stream} AS later
        WHERE later.supersedes = old.seq AND NOT EXISTS (
            SELECT 1 FROM {stream} AS undo WHERE undo.supersedes = later.seq AND undo.state = 'withdrawn'
        )
    )
)
BEGIN SELECT RAISE(ABORT, 'only a row that stands, of the same cell, can be superseded'); END
"""


def upgrade() -> None:
    """Make the tables, then guard them."""
    for statement in TABLES:
        op.execute(statement)
    for table in KEPT:
        for statement in kept(table):
            op.execute(statement)
    for stream in STREAMS:
        op.execute(in_sequence(stream))
        op.execute(supersedes(stream, SAME_CELL if stream == "reading" else ""))

"""Schema 0002: dockets, for what a stage records that is no reading, pass or event; one sequence over all four.

Revision ID: 0002
Revises: 0001
"""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

CLOCK = (
    "GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z'"
)
SECTION = "(section IN ('B', 'M') OR section GLOB 'T[1-9]' OR section GLOB 'T[1-9][0-9]')"
DOCKET = f"""
CREATE TABLE docket (
    seq INTEGER NOT NULL CONSTRAINT docket_seq CHECK (seq >= 1),
    id TEXT NOT NULL CONSTRAINT docket_id CHECK (length(id) BETWEEN 16 AND 64),
    state TEXT NOT NULL CONSTRAINT docket_state CHECK (state IN ('done', 'withdrawn')),
    at TEXT NOT NULL CONSTRAINT docket_at CHECK (at {CLOCK}),
    person INTEGER,
    supersedes INTEGER,
    why TEXT CONSTRAINT docket_why CHECK (length(why) > 0),
    kind TEXT NOT NULL CONSTRAINT docket_kind CHECK (length(kind) > 0),
    rod INTEGER,
    section TEXT CONSTRAINT docket_section CHECK ({SECTION}),
    strip INTEGER CONSTRAINT docket_strip CHECK (strip >= 1),
    culm INTEGER,
    rig INTEGER,
    text TEXT NOT NULL CONSTRAINT docket_text CHECK (length(text) > 0),
    PRIMARY KEY (seq),
    CONSTRAINT docket_supersedes_why CHECK (supersedes IS NULL OR why IS NOT NULL),
    CONSTRAINT docket_withdrawn_supersedes CHECK (state <> 'withdrawn' OR supersedes IS NOT NULL),
    CONSTRAINT docket_section_of CHECK (section IS NULL OR rod IS NOT NULL),
    CONSTRAINT docket_strip_of CHECK (strip IS NULL OR section IS NOT NULL),
    UNIQUE (id),
    FOREIGN KEY(person) REFERENCES person (id),
    FOREIGN KEY(supersedes) REFERENCES docket (seq),
    FOREIGN KEY(rod) REFERENCES rod (number),
    FOREIGN KEY(culm) REFERENCES culm (id),
    FOREIGN KEY(rig) REFERENCES rig (id)
) STRICT
"""
STREAMS = ("reading", "pass", "event", "docket")
NEWEST = ", ".join(f"coalesce((SELECT max(seq) FROM {stream}), 0)" for stream in STREAMS)
REFUSE = "BEGIN SELECT RAISE(ABORT, 'rows of the ledger are never changed: add one that supersedes'); END"
SUPERSEDES = """
CREATE TRIGGER docket_supersedes BEFORE INSERT ON docket
WHEN NEW.supersedes IS NOT NULL AND NOT EXISTS (
    SELECT 1 FROM docket AS old
    WHERE old.seq = NEW.supersedes AND old.state <> 'withdrawn' AND old.kind = NEW.kind AND NOT EXISTS (
        SELECT 1 FROM docket AS later
        WHERE later.supersedes = old.seq AND NOT EXISTS (
            SELECT 1 FROM docket AS undo WHERE undo.supersedes = later.seq AND undo.state = 'withdrawn'
        )
    )
)
BEGIN SELECT RAISE(ABORT, 'only a docket that stands, of the same kind, can be superseded'); END
"""


def upgrade() -> None:
    """Make the table, guard it, and count its rows in the one sequence of the bench."""
    op.execute(DOCKET)
    op.execute("CREATE INDEX docket_kind ON docket (kind, rod)")
    op.execute("CREATE INDEX docket_superseded ON docket (supersedes)")
    op.execute(f"CREATE TRIGGER docket_unchanged BEFORE UPDATE ON docket {REFUSE}")
    op.execute(f"CREATE TRIGGER docket_kept BEFORE DELETE ON docket {REFUSE}")
    op.execute(SUPERSEDES)
    for stream in STREAMS:
        op.execute(f"DROP TRIGGER IF EXISTS {stream}_in_sequence")
        op.execute(
            f"CREATE TRIGGER {stream}_in_sequence BEFORE INSERT ON {stream} "
            f"WHEN NEW.seq <= max({NEWEST}) OR EXISTS (SELECT 1 FROM {stream} WHERE id = NEW.id) "
            f"BEGIN SELECT RAISE(ABORT, 'a new row has a new id and comes after all others'); END"
        )

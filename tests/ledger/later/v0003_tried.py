"""A second revision that no release has: it tries the machinery that real ones will use."""

from __future__ import annotations

import os
import signal

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add a column in place, remake a table by batch with its guards, move data; fail or die where told to."""
    step = os.environ.get("TRIED_STEP", "")
    op.add_column("culm", sa.Column("colour", sa.Text))
    _at("added", step)
    refuse = "BEGIN SELECT RAISE(ABORT, 'rows of the ledger are never changed'); END"
    with op.batch_alter_table("gauge_check", recreate="always", table_kwargs={"sqlite_strict": True}) as batch:
        batch.add_column(sa.Column("remark", sa.Text))
    _at("remade", step)
    for when in ("UPDATE", "DELETE"):
        name = {"UPDATE": "unchanged", "DELETE": "kept"}[when]
        op.execute(f"CREATE TRIGGER gauge_check_{name} BEFORE {when} ON gauge_check {refuse}")
    _at("guarded", step)
    if step == "orphan":
        op.execute("DROP TRIGGER gauge_kept")
        op.execute("DELETE FROM gauge")
    if step == "unguarded":
        op.execute("DROP TRIGGER reading_kept")


def _at(place: str, step: str) -> None:
    if step == f"fail {place}":
        raise RuntimeError(f"told to fail when {place}")
    if step == f"die {place}":
        os.kill(os.getpid(), signal.SIGKILL)

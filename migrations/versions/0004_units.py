"""What was saved as one, so that it can be taken back as one; half-typed lines by window and place.

Revision 0004.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

INSTANT = sa.DateTime(timezone=True).with_variant(sa.String(27), "sqlite")


def upgrade() -> None:
    _make_unit()
    _make_unit_change()
    _make_typed()
    if op.get_bind().dialect.name == "sqlite":
        _make_triggers()


def _make_unit() -> None:
    """One job of the program, written whole."""
    op.create_table(
        "unit",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("uid", sa.String(36), nullable=False),
        sa.Column("run_uid", sa.String(36), nullable=False),
        sa.Column("made_utc", INSTANT, nullable=False),
        sa.Column("words", sa.String(400), nullable=False),
        sa.Column("cause", sa.String(16), nullable=True),
        sa.Column("undoes_id", sa.Integer, nullable=True),
        sa.CheckConstraint(
            "cause IS NULL OR cause IN ('undo', 'redo')", name=op.f("ck_unit_cause")
        ),
        sa.ForeignKeyConstraint(["undoes_id"], ["unit.id"], name=op.f("fk_unit_undoes_id_unit")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_unit")),
        sa.UniqueConstraint("uid", name=op.f("uq_unit_uid")),
    )
    op.create_index("ix_unit_run_uid", "unit", ["run_uid"])


def _make_unit_change() -> None:
    """A row that a unit added, changed or took away, as it was and as it became."""
    op.create_table(
        "unit_change",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("unit_id", sa.Integer, nullable=False),
        sa.Column("table_name", sa.String(40), nullable=False),
        sa.Column("row_key", sa.String(80), nullable=False),
        sa.Column("before_json", sa.Text, nullable=True),
        sa.Column("after_json", sa.Text, nullable=True),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name=op.f("fk_unit_change_unit_id_unit")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_unit_change")),
    )
    op.create_index("ix_unit_change_unit_id", "unit_change", ["unit_id"])


def _make_typed() -> None:
    """Lines that are being typed or wait to be saved."""
    op.create_table(
        "typed",
        sa.Column("window", sa.String(40), nullable=False),
        sa.Column("place", sa.String(80), nullable=False),
        sa.Column("position", sa.Integer, nullable=False),
        sa.Column("text", sa.String(4000), nullable=False),
        sa.Column("updated_utc", INSTANT, nullable=False),
        sa.PrimaryKeyConstraint("window", "place", "position", name=op.f("pk_typed")),
    )


def _make_triggers() -> None:
    for table in ("unit", "unit_change"):
        for event, what in (("UPDATE", "changed"), ("DELETE", "deleted")):
            op.execute(
                f"CREATE TRIGGER {table}_never_{what} BEFORE {event} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} rows are never {what}'); END"
            )

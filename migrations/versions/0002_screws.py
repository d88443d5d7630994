"""What a star test shows beside the offset, checks of a star in focus, and adjustments.

Revision 0002. Only adds tables; written out in full and importing nothing of the program.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_ADDED = ("star_look_detail", "star_check", "adjustment")


def upgrade() -> None:
    _make_look_detail()
    _make_star_check()
    _make_adjustment()
    if op.get_bind().dialect.name == "sqlite":
        for table in _ADDED:
            _refuse(f"{table}_never_changed", "UPDATE", table, "changed")
            _refuse(f"{table}_never_deleted", "DELETE", table, "deleted")


def _refuse(trigger: str, event: str, table: str, what: str) -> None:
    op.execute(
        f"CREATE TRIGGER {trigger} BEFORE {event} ON {table} WHEN TRUE "
        f"BEGIN SELECT RAISE(ABORT, '{table} rows are never {what}'); END"
    )


def _wanted(name: str, kind: Any) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=False)


def _maybe(name: str, kind: Any) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=True)


def _check(table: str, name: str, condition: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(condition, name=op.f(f"ck_{table}_{name}"))


def _key(table: str) -> sa.PrimaryKeyConstraint:
    return sa.PrimaryKeyConstraint("entry_id", name=op.f(f"pk_{table}"))


def _points(table: str, column: str, to: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=op.f(f"fk_{table}_{column}_{to}"))


def _make_look_detail() -> None:
    """How the disc and the shadow lie in the picture, and how it was taken."""
    table = "star_look_detail"
    op.create_table(
        table,
        _wanted("entry_id", sa.Integer),
        _maybe("disc_x_px", sa.Double),
        _maybe("disc_y_px", sa.Double),
        _maybe("disc_sigma_px", sa.Double),
        _maybe("shadow_x_px", sa.Double),
        _maybe("shadow_y_px", sa.Double),
        _maybe("shadow_radius_px", sa.Double),
        _maybe("shadow_sigma_px", sa.Double),
        _maybe("picture_kind", sa.String(40)),
        _maybe("picture_width_px", sa.Integer),
        _maybe("picture_height_px", sa.Integer),
        _maybe("arcsec_per_px", sa.Double),
        _maybe("orientation", sa.String(120)),
        _maybe("defocus_mm", sa.Double),
        _maybe("exposure_s", sa.Double),
        _maybe("altitude_deg", sa.Double),
        _maybe("azimuth_deg", sa.Double),
        _maybe("pier_side", sa.String(8)),
        _maybe("star_role", sa.String(8)),
        _maybe("frames", sa.Integer),
        _check(table, "altitude", "altitude_deg BETWEEN -5 AND 90"),
        _check(table, "pier_side", "pier_side IS NULL OR pier_side IN ('east', 'west')"),
        _check(table, "scale", "arcsec_per_px > 0"),
        _check(table, "star_role", "star_role IS NULL OR star_role IN ('first', 'second')"),
        _points(table, "entry_id", "entry"),
        _key(table),
    )


def _make_star_check() -> None:
    """A star looked at in focus, or in a corner of the field."""
    table = "star_check"
    op.create_table(
        table,
        _wanted("entry_id", sa.Integer),
        _maybe("telescope_id", sa.Integer),
        _wanted("verdict", sa.String(16)),
        _maybe("position_angle_deg", sa.Double),
        _wanted("place", sa.String(40)),
        _maybe("star", sa.String(60)),
        _maybe("star_role", sa.String(8)),
        _maybe("altitude_deg", sa.Double),
        _maybe("pier_side", sa.String(8)),
        _check(table, "altitude", "altitude_deg BETWEEN -5 AND 90"),
        _check(table, "pier_side", "pier_side IS NULL OR pier_side IN ('east', 'west')"),
        _check(table, "star_role", "star_role IS NULL OR star_role IN ('first', 'second')"),
        _points(table, "entry_id", "entry"),
        _points(table, "telescope_id", "part"),
        _key(table),
    )
    op.create_index("ix_star_check_telescope", table, ["telescope_id", "entry_id"])


def _make_adjustment() -> None:
    """Something of the telescope that was set other than an outer screw of the secondary."""
    table = "adjustment"
    op.create_table(
        table,
        _wanted("entry_id", sa.Integer),
        _maybe("telescope_id", sa.Integer),
        _wanted("what", sa.String(16)),
        _wanted("place", sa.String(40)),
        _maybe("amount", sa.Double),
        _maybe("unit", sa.String(8)),
        _maybe("result", sa.String(16)),
        _check(table, "amount", "(amount IS NULL) = (unit IS NULL)"),
        _check(table, "result", "result IS NULL OR result IN ('better', 'same', 'worse')"),
        _points(table, "entry_id", "entry"),
        _points(table, "telescope_id", "part"),
        _key(table),
    )
    op.create_index("ix_adjustment_telescope", table, ["telescope_id", "entry_id"])

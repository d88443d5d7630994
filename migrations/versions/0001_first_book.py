"""The first book: every table, its limits, and the triggers that keep what happened.

Revision 0001. Written out in full and importing nothing of the program, so that it makes the same
tables whatever the program has become since.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# 27 characters ending in Z: they sort in time order and are readable in the file.
INSTANT = sa.DateTime(timezone=True).with_variant(sa.String(27), "sqlite")

_READINGS = (
    ("air_temperature_c", -60.0, 60.0),
    ("mirror_temperature_c", -60.0, 80.0),
    ("tube_temperature_c", -60.0, 80.0),
    ("sensor_temperature_c", -100.0, 80.0),
    ("humidity_percent", 0.0, 100.0),
    ("dew_point_c", -80.0, 50.0),
    ("pressure_hpa", 400.0, 1100.0),
    ("wind_m_s", 0.0, 100.0),
    ("cloud_percent", 0.0, 100.0),
    ("sky_mag_arcsec2", 5.0, 23.5),
    ("limiting_magnitude", -2.0, 9.0),
    ("seeing_pickering", 1.0, 10.0),
    ("seeing_antoniadi", 1.0, 5.0),
    ("seeing_of_five", 1.0, 5.0),
    ("transparency_of_five", 1.0, 5.0),
    ("fwhm_arcsec", 0.1, 60.0),
    ("focus_position", -10000000.0, 10000000.0),
    ("guiding_rms_arcsec", 0.0, 600.0),
    ("drift_arcsec_min", -3600.0, 3600.0),
)
_POSSIBLE = (
    "CASE quantity "
    + " ".join(
        f"WHEN '{name}' THEN number BETWEEN {low} AND {high}" for name, low, high in _READINGS
    )
    + " ELSE TRUE END"
)

# Rows that are only ever added.
_ADD_ONLY = (
    "book",
    "part_revision",
    "part_value",
    "train_revision",
    "train_part",
    "entry",
    "reading",
    "frames",
    "frame_file",
    "turn",
    "star_look",
    "upkeep",
)
# Rows that are retired or ended, never deleted.
_KEPT = ("site", "part", "screw", "train", "target", "project", "limit_set", "night", "upkeep_rule")
_NIGHT_FIXED = (
    "id",
    "uid",
    "local_date",
    "site_id",
    "time_zone",
    "train_revision_id",
    "observer",
    "started_utc",
)


def upgrade() -> None:
    _make_book()
    _make_sites()
    _make_parts()
    _make_trains()
    _make_choosing()
    _make_nights()
    _make_runs()
    _make_screws()
    _make_upkeep()
    if op.get_bind().dialect.name == "sqlite":
        _make_triggers()


def _make_triggers() -> None:
    for table in _ADD_ONLY:
        _refuse(f"{table}_never_changed", f"UPDATE ON {table}", f"{table} rows are never changed")
    for table in (*_ADD_ONLY, *_KEPT):
        _refuse(f"{table}_never_deleted", f"DELETE ON {table}", f"{table} rows are never deleted")
    changed = " OR ".join(f"NEW.{column} IS NOT OLD.{column}" for column in _NIGHT_FIXED)
    _refuse("night_only_ends", "UPDATE ON night", "only the end of a night may change", changed)


def _refuse(trigger: str, event: str, why: str, when: str = "TRUE") -> None:
    op.execute(
        f"CREATE TRIGGER {trigger} BEFORE {event} WHEN {when} "
        f"BEGIN SELECT RAISE(ABORT, '{why}'); END"
    )


def _id() -> sa.Column[Any]:
    return sa.Column("id", sa.Integer, nullable=False)


def _uid() -> sa.Column[Any]:
    return sa.Column("uid", sa.String(36), nullable=False)


def _wanted(name: str, kind: Any) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=False)


def _maybe(name: str, kind: Any) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=True)


def _check(table: str, name: str, condition: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(condition, name=op.f(f"ck_{table}_{name}"))


def _key(table: str, column: str) -> sa.PrimaryKeyConstraint:
    return sa.PrimaryKeyConstraint(column, name=op.f(f"pk_{table}"))


def _unique(table: str, *columns: str) -> sa.UniqueConstraint:
    return sa.UniqueConstraint(*columns, name=op.f(f"uq_{table}_{'_'.join(columns)}"))


def _points(table: str, column: str, to: str) -> sa.ForeignKeyConstraint:
    """No ON DELETE: a row that is pointed at stays."""
    name = op.f(f"fk_{table}_{column}_{to}")
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=name)


def _make_book() -> None:
    """Which book this is, and what was last typed and chosen."""
    op.create_table(
        "book",
        _id(),
        _uid(),
        _wanted("made_utc", INSTANT),
        _wanted("made_with", sa.String(40)),
        _key("book", "id"),
        _unique("book", "uid"),
    )
    op.create_table(
        "draft",
        _wanted("slot", sa.String(60)),
        _wanted("text", sa.String(4000)),
        _wanted("updated_utc", INSTANT),
        _key("draft", "slot"),
    )
    op.create_table(
        "choice",
        _wanted("name", sa.String(60)),
        _wanted("value", sa.String(400)),
        _wanted("updated_utc", INSTANT),
        _key("choice", "name"),
    )


def _make_sites() -> None:
    """Where one observes from."""
    op.create_table(
        "site",
        _id(),
        _uid(),
        _wanted("name", sa.String(120)),
        _wanted("latitude_deg", sa.Double),
        _wanted("longitude_deg", sa.Double),
        _wanted("elevation_m", sa.Double),
        _wanted("time_zone", sa.String(64)),
        _maybe("dark_sky_mag_arcsec2", sa.Double),
        _wanted("note", sa.String(4000)),
        _wanted("created_utc", INSTANT),
        _maybe("retired_utc", INSTANT),
        _check("site", "dark_sky", "dark_sky_mag_arcsec2 BETWEEN 5 AND 23.5"),
        _check("site", "elevation", "elevation_m BETWEEN -500 AND 9000"),
        _check("site", "latitude", "latitude_deg BETWEEN -90 AND 90"),
        _check("site", "longitude", "longitude_deg BETWEEN -180 AND 180"),
        _key("site", "id"),
        _unique("site", "name"),
        _unique("site", "uid"),
    )
    op.create_table(
        "horizon_point",
        _id(),
        _wanted("site_id", sa.Integer),
        _wanted("azimuth_deg", sa.Double),
        _wanted("altitude_deg", sa.Double),
        _check("horizon_point", "altitude", "altitude_deg BETWEEN -5 AND 90"),
        _check("horizon_point", "azimuth", "azimuth_deg >= 0 AND azimuth_deg < 360"),
        _points("horizon_point", "site_id", "site"),
        _key("horizon_point", "id"),
        _unique("horizon_point", "site_id", "azimuth_deg"),
    )


def _make_parts() -> None:
    """What the owner has, a row per revision."""
    op.create_table(
        "part",
        _id(),
        _uid(),
        _wanted("kind", sa.String(40)),
        _wanted("created_utc", INSTANT),
        _maybe("retired_utc", INSTANT),
        _key("part", "id"),
        _unique("part", "uid"),
    )
    op.create_table(
        "part_revision",
        _id(),
        _wanted("part_id", sa.Integer),
        _wanted("revision", sa.Integer),
        _wanted("name", sa.String(120)),
        _wanted("state", sa.String(16)),
        _wanted("reason", sa.String(4000)),
        _maybe("price", sa.Double),
        _wanted("note", sa.String(4000)),
        _wanted("photo_path", sa.String(1000)),
        _wanted("link", sa.String(1000)),
        _wanted("changed_utc", INSTANT),
        _wanted("change_note", sa.String(4000)),
        _check("part_revision", "state", "state IN ('owned', 'lent', 'sold', 'wished for')"),
        _check("part_revision", "price", "price >= 0"),
        _points("part_revision", "part_id", "part"),
        _key("part_revision", "id"),
        _unique("part_revision", "part_id", "revision"),
    )
    op.create_table(
        "part_value",
        _id(),
        _wanted("part_revision_id", sa.Integer),
        _wanted("quantity", sa.String(40)),
        _wanted("basis", sa.String(10)),
        _maybe("number", sa.Double),
        _maybe("word", sa.String(200)),
        _wanted("how", sa.String(400)),
        _wanted("measured_on", sa.String(10)),
        _check("part_value", "basis", "basis IN ('stated', 'measured')"),
        _check("part_value", "number_or_word", "(number IS NULL) <> (word IS NULL)"),
        _points("part_value", "part_revision_id", "part_revision"),
        _key("part_value", "id"),
        _unique("part_value", "part_revision_id", "quantity", "basis"),
    )
    op.create_table(
        "screw",
        _id(),
        _wanted("part_id", sa.Integer),
        _wanted("name", sa.String(40)),
        _wanted("clock_hour", sa.Double),
        _wanted("tighten_clockwise", sa.Boolean),
        _wanted("lock_kind", sa.String(40)),
        _maybe("retired_utc", INSTANT),
        _check("screw", "clock_hour", "clock_hour > 0 AND clock_hour <= 12"),
        _points("screw", "part_id", "part"),
        _key("screw", "id"),
        _unique("screw", "part_id", "name"),
    )


def _make_trains() -> None:
    """Parts put together, a row per revision."""
    op.create_table(
        "train",
        _id(),
        _uid(),
        _wanted("name", sa.String(120)),
        _wanted("kind", sa.String(16)),
        _wanted("created_utc", INSTANT),
        _maybe("retired_utc", INSTANT),
        _check("train", "kind", "kind IN ('camera', 'visual')"),
        _key("train", "id"),
        _unique("train", "name"),
        _unique("train", "uid"),
    )
    op.create_table(
        "train_revision",
        _id(),
        _uid(),
        _wanted("train_id", sa.Integer),
        _wanted("revision", sa.Integer),
        _wanted("made_utc", INSTANT),
        _wanted("note", sa.String(4000)),
        _points("train_revision", "train_id", "train"),
        _key("train_revision", "id"),
        _unique("train_revision", "train_id", "revision"),
        _unique("train_revision", "uid"),
    )
    op.create_table(
        "train_part",
        _id(),
        _wanted("train_revision_id", sa.Integer),
        _wanted("part_revision_id", sa.Integer),
        _wanted("position", sa.Integer),
        _wanted("carried", sa.Boolean),
        _maybe("setting_mm", sa.Double),
        _maybe("along_tube_mm", sa.Double),
        _check("train_part", "position", "position >= 0"),
        _points("train_part", "part_revision_id", "part_revision"),
        _points("train_part", "train_revision_id", "train_revision"),
        _key("train_part", "id"),
        _unique("train_part", "train_revision_id", "position"),
    )


def _make_choosing() -> None:
    """What to look at, and what was meant for a night."""
    op.create_table(
        "target",
        _id(),
        _uid(),
        _wanted("catalogue_id", sa.String(60)),
        _wanted("name", sa.String(120)),
        _wanted("kind", sa.String(40)),
        _wanted("constellation", sa.String(3)),
        _maybe("ra_deg", sa.Double),
        _maybe("dec_deg", sa.Double),
        _maybe("major_arcmin", sa.Double),
        _maybe("minor_arcmin", sa.Double),
        _maybe("position_angle_deg", sa.Double),
        _maybe("magnitude", sa.Double),
        _wanted("created_utc", INSTANT),
        _maybe("retired_utc", INSTANT),
        _check("target", "dec", "dec_deg BETWEEN -90 AND 90"),
        _check("target", "ra", "ra_deg >= 0 AND ra_deg < 360"),
        _key("target", "id"),
        _unique("target", "catalogue_id"),
        _unique("target", "uid"),
    )
    op.create_table(
        "project",
        _id(),
        _uid(),
        _wanted("target_id", sa.Integer),
        _maybe("filter_name", sa.String(40)),
        _wanted("wanted_hours", sa.Double),
        _wanted("note", sa.String(4000)),
        _wanted("created_utc", INSTANT),
        _maybe("retired_utc", INSTANT),
        _check("project", "wanted_hours", "wanted_hours > 0"),
        _points("project", "target_id", "target"),
        _key("project", "id"),
        _unique("project", "uid"),
    )
    op.create_table(
        "limit_set",
        _id(),
        _uid(),
        _wanted("name", sa.String(120)),
        _wanted("limits_json", sa.String(4000)),
        _wanted("created_utc", INSTANT),
        _maybe("retired_utc", INSTANT),
        _key("limit_set", "id"),
        _unique("limit_set", "name"),
        _unique("limit_set", "uid"),
    )
    op.create_table(
        "running_order",
        _id(),
        _uid(),
        _wanted("site_id", sa.Integer),
        _wanted("local_date", sa.Date),
        _wanted("made_utc", INSTANT),
        _points("running_order", "site_id", "site"),
        _key("running_order", "id"),
        _unique("running_order", "uid"),
    )
    op.create_table(
        "running_order_item",
        _id(),
        _wanted("running_order_id", sa.Integer),
        _wanted("position", sa.Integer),
        _wanted("target_id", sa.Integer),
        _maybe("from_utc", INSTANT),
        _maybe("to_utc", INSTANT),
        _wanted("note", sa.String(4000)),
        _points("running_order_item", "running_order_id", "running_order"),
        _points("running_order_item", "target_id", "target"),
        _key("running_order_item", "id"),
        _unique("running_order_item", "running_order_id", "position"),
    )


def _make_nights() -> None:
    """The timeline."""
    op.create_table(
        "night",
        _id(),
        _uid(),
        _wanted("local_date", sa.Date),
        _wanted("site_id", sa.Integer),
        _wanted("time_zone", sa.String(64)),
        _maybe("train_revision_id", sa.Integer),
        _wanted("observer", sa.String(120)),
        _wanted("started_utc", INSTANT),
        _maybe("ended_utc", INSTANT),
        _points("night", "site_id", "site"),
        _points("night", "train_revision_id", "train_revision"),
        _key("night", "id"),
        _unique("night", "site_id", "local_date"),
        _unique("night", "uid"),
    )
    op.create_table(
        "entry",
        _id(),
        _uid(),
        _maybe("night_id", sa.Integer),
        _wanted("happened_utc", INSTANT),
        _wanted("recorded_utc", INSTANT),
        _wanted("kind", sa.String(16)),
        _maybe("action", sa.String(16)),
        _wanted("text", sa.String(4000)),
        _maybe("target_id", sa.Integer),
        _maybe("train_revision_id", sa.Integer),
        _maybe("supersedes_id", sa.Integer),
        _maybe("cause", sa.String(16)),
        _maybe("undoes_id", sa.Integer),
        _maybe("author", sa.String(120)),
        _maybe("origin", sa.String(120)),
        _check(
            "entry", "cause", "cause IS NULL OR cause IN ('correct', 'withdraw', 'undo', 'redo')"
        ),
        _points("entry", "night_id", "night"),
        _points("entry", "supersedes_id", "entry"),
        _points("entry", "target_id", "target"),
        _points("entry", "train_revision_id", "train_revision"),
        _points("entry", "undoes_id", "entry"),
        _key("entry", "id"),
        _unique("entry", "supersedes_id"),
        _unique("entry", "uid"),
    )
    op.create_index("ix_entry_happened", "entry", ["happened_utc", "id"])
    op.create_index("ix_entry_kind_happened", "entry", ["kind", "happened_utc"])
    op.create_index("ix_entry_night_happened", "entry", ["night_id", "happened_utc", "id"])
    op.create_index("ix_entry_target", "entry", ["target_id"])
    op.create_table(
        "reading",
        _id(),
        _wanted("entry_id", sa.Integer),
        _wanted("quantity", sa.String(40)),
        _wanted("number", sa.Double),
        _check("reading", "possible", _POSSIBLE),
        _points("reading", "entry_id", "entry"),
        _key("reading", "id"),
        _unique("reading", "entry_id", "quantity"),
    )
    op.create_index("ix_reading_quantity", "reading", ["quantity", "entry_id"])


def _make_runs() -> None:
    """What was exposed."""
    op.create_table(
        "frames",
        _wanted("entry_id", sa.Integer),
        _wanted("count", sa.Integer),
        _wanted("exposure_s", sa.Double),
        _maybe("filter_name", sa.String(40)),
        _maybe("gain", sa.Double),
        _maybe("binning", sa.Integer),
        _maybe("region", sa.String(40)),
        _maybe("frames_per_second", sa.Double),
        _wanted("frame_type", sa.String(16)),
        _maybe("wanted_count", sa.Integer),
        _check("frames", "binning", "binning BETWEEN 1 AND 16"),
        _check("frames", "count", "count >= 0"),
        _check("frames", "exposure", "exposure_s >= 0 AND exposure_s <= 86400"),
        _points("frames", "entry_id", "entry"),
        _key("frames", "entry_id"),
    )
    op.create_table(
        "frame_file",
        _id(),
        _wanted("entry_id", sa.Integer),
        _wanted("identity", sa.String(64)),
        _wanted("file_name", sa.String(1000)),
        _wanted("exposed_utc", INSTANT),
        _wanted("exposure_s", sa.Double),
        _points("frame_file", "entry_id", "entry"),
        _key("frame_file", "id"),
        _unique("frame_file", "identity", "entry_id"),
    )


def _make_screws() -> None:
    """What was turned, and what the star looked like."""
    op.create_table(
        "turn",
        _wanted("entry_id", sa.Integer),
        _maybe("telescope_id", sa.Integer),
        _wanted("screw", sa.String(40)),
        _wanted("turns", sa.Double),
        _maybe("result", sa.String(16)),
        _maybe("puts_back_entry_id", sa.Integer),
        _maybe("offset_before", sa.Double),
        _maybe("offset_after", sa.Double),
        _check("turn", "result", "result IS NULL OR result IN ('better', 'same', 'worse')"),
        _check("turn", "turns", "turns <> 0 AND turns BETWEEN -2 AND 2"),
        _points("turn", "entry_id", "entry"),
        _points("turn", "puts_back_entry_id", "entry"),
        _points("turn", "telescope_id", "part"),
        _key("turn", "entry_id"),
    )
    op.create_index("ix_turn_telescope", "turn", ["telescope_id", "entry_id"])
    op.create_table(
        "star_look",
        _wanted("entry_id", sa.Integer),
        _maybe("telescope_id", sa.Integer),
        _wanted("offset_fraction", sa.Double),
        _maybe("position_angle_deg", sa.Double),
        _maybe("offset_sigma", sa.Double),
        _maybe("disc_radius_px", sa.Double),
        _maybe("quality", sa.Double),
        _wanted("way", sa.String(16)),
        _maybe("side_of_focus", sa.String(16)),
        _maybe("star", sa.String(60)),
        _maybe("picture_path", sa.String(1000)),
        _check("star_look", "way", "way IN ('eye', 'picture')"),
        _check("star_look", "offset", "offset_fraction BETWEEN 0 AND 1"),
        _points("star_look", "entry_id", "entry"),
        _points("star_look", "telescope_id", "part"),
        _key("star_look", "entry_id"),
    )
    op.create_index("ix_star_look_telescope", "star_look", ["telescope_id", "entry_id"])


def _make_upkeep() -> None:
    """Work done on the kit, and when it falls due."""
    op.create_table(
        "upkeep",
        _wanted("entry_id", sa.Integer),
        _maybe("part_id", sa.Integer),
        _maybe("part_name", sa.String(120)),
        _wanted("action", sa.String(200)),
        _maybe("cost", sa.Double),
        _maybe("minutes", sa.Double),
        _maybe("before", sa.String(4000)),
        _maybe("after", sa.String(4000)),
        _maybe("photo_path", sa.String(1000)),
        _check("upkeep", "cost", "cost >= 0"),
        _check("upkeep", "minutes", "minutes >= 0"),
        _points("upkeep", "entry_id", "entry"),
        _points("upkeep", "part_id", "part"),
        _key("upkeep", "entry_id"),
    )
    op.create_index("ix_upkeep_part", "upkeep", ["part_id", "entry_id"])
    op.create_table(
        "upkeep_rule",
        _id(),
        _uid(),
        _maybe("part_id", sa.Integer),
        _wanted("action", sa.String(200)),
        _maybe("every_nights", sa.Integer),
        _maybe("every_months", sa.Integer),
        _maybe("every_hours_of_use", sa.Double),
        _maybe("every_step_c", sa.Double),
        _wanted("after_transport", sa.Boolean),
        _wanted("created_utc", INSTANT),
        _maybe("retired_utc", INSTANT),
        _points("upkeep_rule", "part_id", "part"),
        _key("upkeep_rule", "id"),
        _unique("upkeep_rule", "uid"),
    )
    op.create_table(
        "upkeep_snooze",
        _id(),
        _wanted("upkeep_rule_id", sa.Integer),
        _wanted("said_utc", INSTANT),
        _wanted("until_utc", INSTANT),
        _points("upkeep_snooze", "upkeep_rule_id", "upkeep_rule"),
        _key("upkeep_snooze", "id"),
    )

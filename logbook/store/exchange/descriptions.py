"""An export described for a stranger: what tables and columns hold, in which unit, by what rule.

Kinds, keys, conditions and what may be empty are taken from the models. What a name does not show
by itself is described here; a column is looked up with its table first (`turn.turns`).
"""

from sqlalchemy import CheckConstraint, Column, Table

from logbook.records.entries import ENTRY_KINDS, READING_RANGES
from logbook.store.tables.models import Base
from logbook.store.tables.values import kind_word

HOW = (
    "book.json holds every row of every table; it is what an import reads. Each table names its "
    "columns once, then gives one list of values a row; null is what is not known.",
    "tables/NAME.csv holds the same for a spreadsheet: UTF-8, commas, one header line. What is not "
    "known is an empty cell, as is an empty text. A text that a spreadsheet would take for a "
    "formula begins with an apostrophe there: where a text begins with one, take it away.",
    "frames.ecsv holds the runs of frames that stand as one table with units (ECSV 1.0).",
    "Instants are ISO 8601 in UTC, dates the local date of an evening, angles in degrees. A unit "
    "is the end of a column's name: _mm, _c (degrees Celsius), _px.",
    "A row of the table entry is never changed: one that corrects it, takes it back or undoes that "
    "names it in supersedes_id. Entries that no other entry names there, and whose kind is not "
    "withdrawn, are what stands. Details of an entry have its number in entry_id.",
    "Parts and trains are a row for each revision; a night and an entry name the revision in use.",
)

_UNITS = {
    "mag_arcsec2": "magnitudes per square arcsecond",
    "arcsec_min": "arcseconds per minute",
    "arcsec_per_px": "arcseconds per pixel",
    "m_s": "metres per second",
    "per_second": "per second",
    "percent": "percent",
    "fraction": "of the radius of the star's disc",
    "arcmin": "arcminutes",
    "arcsec": "arcseconds",
    "minutes": "minutes",
    "deg": "degrees",
    "hpa": "hectopascals",
    "hours": "hours",
    "mm": "millimetres",
    "um": "micrometres",
    "kg": "kilograms",
    "px": "pixels",
    "s": "seconds",
    "m": "metres",
    "c": "degrees Celsius",
}

_TABLES = {
    "site": "A place to observe from.",
    "horizon_point": "A point of a site's skyline; between points it runs straight.",
    "train": "An optical train through all its life; its parts stand in its revisions.",
    "running_order_item": "An object of a running order.",
    "upkeep_snooze": "A rule for upkeep that was put off.",
    "frames": "A run of frames, or what was exposed of it.",
    "star_look": "A defocused star looked at: how far the shadow sits off the middle of its disc.",
    "upkeep": "Work that was done on a part.",
}

_COLUMNS = {
    "uid": "the row's name in any book (UUID)",
    "name": "what the owner calls it",
    "note": "in the owner's words",
    "kind": "which kind it is",
    "created_utc": "when it came into the book",
    "retired_utc": "since when it is no longer used; empty while it is",
    "made_utc": "when it was made",
    "made_with": "the program that made the book",
    "updated_utc": "when it was last written",
    "time_zone": "IANA name",
    "local_date": "of the evening",
    "ra_deg": "right ascension, ICRS",
    "dec_deg": "declination, ICRS",
    "latitude_deg": "north positive, WGS 84",
    "longitude_deg": "east positive, WGS 84",
    "elevation_m": "above sea level",
    "azimuth_deg": "from north through east",
    "altitude_deg": "above the horizon",
    "position": "place in the order",
    "revision": "counts up from 1",
    "filter_name": "as the owner names the filter",
    "exposure_s": "of one frame",
    "pier_side": "side of the mount's pier",
    "star": "which star it was",
    "star_role": "the star's part in a pair of tests",
    "result": "what came of it",
    "photo_path": "file of a photograph; one without a folder lies beside the book",
    "picture_path": "file of the picture; one without a folder lies beside the book",
    "quantity": "what was measured; the unit is the end of its name",
    "number": "the value, in the unit that the quantity's name ends in",
    "action": "what was begun, ended or done",
    "price": "in the owner's money",
    "cost": "in the owner's money",
    "text": "word for word as it was typed",
    "orientation": "a mark; looks with the same one had the camera at one angle",
    "place": "where, as typed",
    "magnitude": "brightness",
    "constellation": "IAU abbreviation",
    "quality": "of the measurement, 0 to 1",
    "frames": "pictures averaged",
    "position_angle_deg": (
        "in a picture from +x toward +row; by eye clockwise from 3 o'clock; of an object from "
        "north through east"
    ),
    "book.id": "always 1",
    "choice.name": "what was chosen",
    "choice.value": "what it was set to",
    "former_name.name": "what the train or the site was called",
    "former_name.until_utc": "when it was renamed",
    "draft.slot": "the place it is typed in",
    "draft.text": "what is typed so far",
    "typed.window": "which window of the program, by a word of its own",
    "typed.place": "the field or form that it is typed in",
    "typed.text": "a line as far as it is typed, or one that waits to be saved; one that Enter was "
    "pressed on begins with ⏎ and that instant",
    "unit.run_uid": "which start of the program wrote it (UUID)",
    "unit.words": "what was saved, in words",
    "unit.cause": "whether it takes another unit back (undo) or does it again (redo)",
    "unit.undoes_id": "the unit that it takes back or does again",
    "unit_change.table_name": "the table of the row",
    "unit_change.row_key": "the row's key in that table",
    "unit_change.before_json": "the row as it was, as a JSON object; empty if it was added",
    "unit_change.after_json": (
        "the row as it became, as a JSON object; empty if it was deleted, or if it is a row that "
        "is only ever added and still holds it"
    ),
    "limit_set.limits_json": "the limits, as a JSON object",
    "target.catalogue_id": "name in the catalogue",
    "target.major_arcmin": "long axis",
    "target.minor_arcmin": "short axis",
    "project.wanted_hours": "to be exposed in all",
    "screw.clock_hour": "where it sits, seen from the front, as the hour of a clock",
    "screw.tighten_clockwise": "which way tightens it",
    "screw.lock_kind": "plain, push-pull or locked",
    "part_revision.state": "owned, wanted ...",
    "part_revision.reason": "why it is in that state",
    "part_revision.link": "where more is said of it",
    "part_revision.changed_utc": "from when on it stood so",
    "part_revision.change_note": "why it was changed",
    "part_value.basis": "whether it was stated by others or measured",
    "part_value.word": "the value, where it is no number",
    "part_value.how": "how it was measured",
    "part_value.measured_on": "date",
    "train_part.carried": "whether it rides along out of the light path",
    "train_part.setting_mm": "how far it is drawn out",
    "train_part.along_tube_mm": "its centre of mass from the tube's back plate, skyward positive",
    "running_order_item.from_utc": "planned start",
    "running_order_item.to_utc": "planned end",
    "upkeep_rule.every_nights": "due after so many nights",
    "upkeep_rule.every_months": "due after so many months",
    "upkeep_rule.every_hours_of_use": "due after so many hours of nights with the part",
    "upkeep_rule.every_step_c": "due after the air changed by so much",
    "upkeep_rule.after_transport": "due after each transport",
    "upkeep_snooze.said_utc": "when it was put off",
    "upkeep_snooze.until_utc": "until when",
    "night.observer": "who observed",
    "night.started_utc": "begin",
    "night.ended_utc": "end; empty while it goes on",
    "entry.happened_utc": "when it happened",
    "entry.recorded_utc": "when it was written, by the computer's clock",
    "entry.cause": "why it takes another entry's place",
    "entry.undoes_id": "the step that an undo or redo goes back on",
    "entry.supersedes_id": "the entry whose place it takes",
    "entry.night_id": "empty for what happened by day",
    "entry.author": "who wrote it, for a shared book",
    "entry.origin": "which machine it was written on, for a shared book",
    "frames.count": "frames taken",
    "frames.wanted_count": "frames planned",
    "frames.gain": "as the camera counts it",
    "frames.binning": "pixels joined each way",
    "frames.region": "of the sensor, columns x rows in px",
    "frames.frame_type": "light, dark, flat or bias",
    "frame_file.identity": "fingerprint of the file's header",
    "frame_file.file_name": "name on disk when it was found",
    "frame_file.exposed_utc": "start of the exposure",
    "turn.screw": "the screw's name",
    "turn.turns": "whole turns; tightening positive",
    "turn.offset_before": "shadow off the middle before, in radii of the disc",
    "turn.offset_after": "shadow off the middle after, in radii of the disc",
    "turn.puts_back_entry_id": "the turn that it takes back",
    "star_look.offset_fraction": "shadow off the middle",
    "star_look.offset_sigma": "standard error of it along each axis, in radii of the disc",
    "star_look.way": "by eye, or measured in a picture",
    "star_look.side_of_focus": "inside or outside of focus",
    "star_look_detail.picture_kind": "form of the picture's file",
    "star_look_detail.defocus_mm": "how far out of focus",
    "star_check.verdict": "how the star looked",
    "adjustment.what": "what was set",
    "adjustment.amount": "inward, tightening and clockwise positive",
    "adjustment.unit": "of the amount",
    "upkeep.part_name": "the part as typed, known or not",
    "upkeep.minutes": "how long it took",
    "upkeep.before": "how it was before, in words",
    "upkeep.after": "how it was afterwards, in words",
}


def described(table: Table) -> dict[str, object]:
    """What a table is, its key, its columns and the conditions every row meets."""
    told: dict[str, object] = {
        "what": _meaning(table),
        "key": [column.name for column in table.primary_key.columns],
        "columns": [_column(table, column) for column in table.columns],
    }
    conditions = sorted(
        " ".join(str(each.sqltext).split())
        for each in table.constraints
        if isinstance(each, CheckConstraint)
    )
    if conditions:
        told["conditions_sql"] = conditions
    if table.name == "entry":
        told["kinds"] = sorted(ENTRY_KINDS)
    if table.name == "reading":
        told["quantities"] = {name: _quantity(name) for name in sorted(READING_RANGES)}
    return told


def _quantity(name: str) -> dict[str, object]:
    low, high = READING_RANGES[name]
    unit = unit_of(name)
    return {"from": low, "to": high} | ({"unit": unit} if unit else {})


def _meaning(table: Table) -> str:
    """The first sentences of the table's own description in the program."""
    if table.name in _TABLES:
        return _TABLES[table.name]
    for mapper in Base.registry.mappers:
        if mapper.local_table is table:
            words = (mapper.class_.__doc__ or "").strip().split("\n\n")[0]
            return " ".join(words.split())
    return ""


def _column(table: Table, column: Column[object]) -> dict[str, object]:
    told: dict[str, object] = {
        "name": column.name,
        "holds": kind_word(column),
        "may_be_empty": bool(column.nullable),
    }
    what = _COLUMNS.get(f"{table.name}.{column.name}") or _COLUMNS.get(column.name)
    points_to = sorted(key.target_fullname for key in column.foreign_keys)
    unit = unit_of(column.name)
    if what:
        told["what"] = what
    if unit:
        told["unit"] = unit
    if points_to:
        told["points_to"] = points_to
    return told


def unit_of(name: str) -> str:
    """The unit that a name ends in, in words; "" for a name without one."""
    return next(
        (words for end, words in _UNITS.items() if name == end or name.endswith(f"_{end}")), ""
    )

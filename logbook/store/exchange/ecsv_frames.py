"""The runs of frames of a book as one ECSV table, to compute with elsewhere."""

import os
from pathlib import Path
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from logbook.frames.ecsv import EcsvColumn, write_ecsv
from logbook.store.file import files
from logbook.store.tables.former_names import filter_column
from logbook.store.tables.models import (
    EntryRow,
    FramesRow,
    NightRow,
    SiteRow,
    TargetRow,
    TrainRevisionRow,
    TrainRow,
)
from logbook.store.tables.values import kind_of, plain
from logbook.store.timeline.night_sums import is_current

FRAMES_FILE = "frames.ecsv"

# What is read, the column's name, its unit for astropy, and what it means.
_COLUMNS = (
    (NightRow.local_date, "night", "", "local date of the evening"),
    (EntryRow.happened_utc, "logged_utc", "", "when the run was logged, UTC"),
    (SiteRow.name, "site", "", "where it was taken"),
    (TrainRow.name, "train", "", "the optical train in use"),
    (TargetRow.name, "object", "", "what it shows"),
    (TargetRow.ra_deg, "ra_deg", "deg", "right ascension, ICRS"),
    (TargetRow.dec_deg, "dec_deg", "deg", "declination, ICRS"),
    (FramesRow.frame_type, "frame_type", "", "light, dark, flat or bias"),
    (FramesRow.filter_name, "filter", "", "what the filter is called today"),
    (FramesRow.count, "count", "", "frames taken"),
    (FramesRow.exposure_s, "exposure_s", "s", "of each frame"),
    (FramesRow.gain, "gain", "", "as the camera counts it"),
    (FramesRow.binning, "binning", "", "pixels joined each way"),
    (FramesRow.region, "region", "", "of the sensor, px"),
    (FramesRow.frames_per_second, "frames_per_second", "1 / s", "of a film"),
)


def write_frames_table(session: Session, folder: Path) -> int:
    """Write every run of frames that stands, oldest first; how many. Raises OSError."""
    rows = session.execute(_runs(session)).all()
    columns = [
        EcsvColumn(name, kind_of(column), [plain(row[place]) for row in rows], unit, what)
        for place, (column, name, unit, what) in enumerate(_COLUMNS)
    ]
    with files.temporary_beside(folder / FRAMES_FILE, mode=files.SHARED) as part:
        write_ecsv(part, columns, "Runs of frames")
        os.replace(part, folder / FRAMES_FILE)
    return len(rows)


def _runs(session: Session) -> Select[Any]:
    columns: list[Any] = [
        filter_column(session) if column is FramesRow.filter_name else column
        for column, *_ in _COLUMNS
    ]
    return (
        select(*columns)
        .select_from(EntryRow)
        .join(FramesRow, FramesRow.entry_id == EntryRow.id)
        .join(NightRow, NightRow.id == EntryRow.night_id, isouter=True)
        .join(SiteRow, SiteRow.id == NightRow.site_id, isouter=True)
        .join(TargetRow, TargetRow.id == EntryRow.target_id, isouter=True)
        .join(TrainRevisionRow, TrainRevisionRow.id == EntryRow.train_revision_id, isouter=True)
        .join(TrainRow, TrainRow.id == TrainRevisionRow.train_id, isouter=True)
        .where(is_current())
        .order_by(EntryRow.happened_utc, EntryRow.id)
    )

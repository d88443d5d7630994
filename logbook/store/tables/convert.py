"""Rows of the tables turned into records, and records into rows."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields
from typing import Any

from sqlalchemy.orm import object_session

from logbook.kit.parts.part import Part, Placement, Train, Value
from logbook.records.entries import (
    Adjustment,
    EntryRecord,
    Frames,
    LookDetail,
    NewEntry,
    PartRecord,
    Screw,
    SiteRecord,
    StarCheck,
    StarLook,
    TargetCopy,
    TrainRecord,
    Turn,
    UpkeepDone,
)
from logbook.sky.night.site import Site
from logbook.store.tables import models
from logbook.store.tables.former_names import part_names


def site_of(row: models.SiteRow) -> Site:
    return Site(
        name=row.name,
        latitude_deg=row.latitude_deg,
        longitude_deg=row.longitude_deg,
        elevation_m=row.elevation_m,
        time_zone=row.time_zone,
        horizon=tuple((point.azimuth_deg, point.altitude_deg) for point in row.horizon),
        dark_sky_mag_arcsec2=row.dark_sky_mag_arcsec2,
    )


def site_record(row: models.SiteRow) -> SiteRecord:
    return SiteRecord(row.id, row.uid, site_of(row))


def part_of(row: models.PartRevisionRow, name: str | None = None) -> Part:
    """A part as it was at a revision; `name` is what it is called today, if that is wanted."""
    return Part(
        name=row.name if name is None else name,
        kind=row.part.kind,
        values=tuple(
            Value(each.quantity, each.basis, each.number, each.word, each.how, each.measured_on)
            for each in row.values
        ),
        state=row.state,
        note=row.note,
        reason=row.reason,
        price=row.price,
        photo_path=row.photo_path,
        link=row.link,
    )


def value_rows(part: Part) -> list[models.PartValueRow]:
    return [
        models.PartValueRow(
            quantity=each.quantity,
            basis=each.basis,
            number=each.number,
            word=each.word,
            how=each.how,
            measured_on=each.measured_on,
        )
        for each in part.values
    ]


def part_record(row: models.PartRevisionRow) -> PartRecord:
    return PartRecord(
        id=row.part_id,
        uid=row.part.uid,
        revision_id=row.id,
        revision=row.revision,
        part=part_of(row),
        changed_utc=row.changed_utc,
        why=row.change_note,
        retired=row.part.retired_utc is not None,
    )


def train_record(row: models.TrainRevisionRow) -> TrainRecord:
    """A train at one of its revisions, its parts as they were then and under today's names."""
    session = object_session(row)
    today = {} if session is None else part_names(session)

    def part_in(place: models.TrainPartRow) -> Part:
        return part_of(place.part_revision, today.get(place.part_revision.part_id))

    places = sorted(row.parts, key=lambda place: (place.carried, place.position))
    return TrainRecord(
        id=row.train_id,
        uid=row.train.uid,
        revision_id=row.id,
        revision=row.revision,
        train=Train(
            name=row.train.name,
            kind=row.train.kind,
            parts=tuple(part_in(each) for each in places if not each.carried),
            carried=tuple(part_in(each) for each in places if each.carried),
            placements=tuple(_placements(places, today)),
        ),
        part_ids=tuple(each.part_revision.part_id for each in places if not each.carried),
        carried_ids=tuple(each.part_revision.part_id for each in places if each.carried),
        made_utc=row.made_utc,
        note=row.note,
        retired=row.train.retired_utc is not None,
    )


def _placements(
    places: Iterable[models.TrainPartRow], today: Mapping[int, str]
) -> Iterator[Placement]:
    """Where parts are set, of those whose setting or place is known."""
    for each in places:
        if each.setting_mm is not None or each.along_tube_mm is not None:
            part = each.part_revision
            yield Placement(today.get(part.part_id, part.name), each.setting_mm, each.along_tube_mm)


def screw_of(row: models.ScrewRow) -> Screw:
    return Screw(row.name, row.clock_hour, row.tighten_clockwise, row.lock_kind)


def entry_record(row: models.EntryRow, train_name: str | None, *, corrected: bool) -> EntryRecord:
    return EntryRecord(
        id=row.id,
        uid=row.uid,
        night_id=row.night_id,
        recorded_utc=row.recorded_utc,
        content=content_of(row, train_name),
        supersedes_id=row.supersedes_id,
        cause=row.cause,
        train_revision_id=row.train_revision_id,
        corrected=corrected,
    )


def content_of(row: models.EntryRow, train_name: str | None) -> NewEntry:
    return NewEntry(
        kind=row.kind,
        happened_utc=row.happened_utc,
        text=row.text,
        action=row.action,
        target=None if row.target is None else target_of(row.target),
        readings=tuple((each.quantity, each.number) for each in row.readings),
        frames=None if row.frames is None else _frames_of(row.frames),
        turn=None if row.turn is None else _turn_of(row.turn),
        look=None if row.look is None else _look_of(row.look, row.look_detail),
        check=None if row.check is None else StarCheck(**_same_names(row.check, StarCheck)),
        adjustment=None if row.adjustment is None else _adjustment_of(row.adjustment),
        upkeep=None if row.upkeep is None else _upkeep_of(row.upkeep),
        train_name=train_name,
    )


def target_of(row: models.TargetRow) -> TargetCopy:
    return TargetCopy(**_same_names(row, TargetCopy))


def target_row(target: TargetCopy) -> models.TargetRow:
    return models.TargetRow(**_same_names(target, TargetCopy))


def _frames_of(row: models.FramesRow) -> Frames:
    return Frames(**_same_names(row, Frames))


def frames_row(frames: Frames | None) -> models.FramesRow | None:
    return None if frames is None else models.FramesRow(**_same_names(frames, Frames))


def _turn_of(row: models.TurnRow) -> Turn:
    return Turn(**_same_names(row, Turn))


def turn_row(turn: Turn | None, telescope_id: int | None) -> models.TurnRow | None:
    if turn is None:
        return None
    return models.TurnRow(telescope_id=telescope_id, **_same_names(turn, Turn))


def _look_of(row: models.StarLookRow, detail: models.StarLookDetailRow | None) -> StarLook:
    seen = None if detail is None else LookDetail(**_same_names(detail, LookDetail))
    return StarLook(**_same_names(row, StarLook, besides="detail"), detail=seen)


def look_row(look: StarLook | None, telescope_id: int | None) -> models.StarLookRow | None:
    if look is None:
        return None
    same = _same_names(look, StarLook, besides="detail")
    return models.StarLookRow(telescope_id=telescope_id, **same)


def look_detail_row(look: StarLook | None) -> models.StarLookDetailRow | None:
    if look is None or look.detail is None:
        return None
    return models.StarLookDetailRow(**_same_names(look.detail, LookDetail))


def check_row(check: StarCheck | None, telescope_id: int | None) -> models.StarCheckRow | None:
    if check is None:
        return None
    return models.StarCheckRow(telescope_id=telescope_id, **_same_names(check, StarCheck))


def _adjustment_of(row: models.AdjustmentRow) -> Adjustment:
    return Adjustment(**_same_names(row, Adjustment))


def adjustment_row(
    adjustment: Adjustment | None, telescope_id: int | None
) -> models.AdjustmentRow | None:
    if adjustment is None:
        return None
    same = _same_names(adjustment, Adjustment)
    return models.AdjustmentRow(telescope_id=telescope_id, **same)


def _upkeep_of(row: models.UpkeepRow) -> UpkeepDone:
    return UpkeepDone(**_same_names(row, UpkeepDone))


def upkeep_row(upkeep: UpkeepDone | None, part_id: int | None) -> models.UpkeepRow | None:
    if upkeep is None:
        return None
    return models.UpkeepRow(part_id=part_id, **_same_names(upkeep, UpkeepDone))


def _same_names(source: object, record: type, *, besides: str = "") -> dict[str, Any]:
    """What a record and its row share: columns and fields bear the same names."""
    names = (each.name for each in fields(record) if each.name != besides)
    return {name: getattr(source, name) for name in names}

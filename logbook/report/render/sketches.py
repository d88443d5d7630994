"""What pages draw of what the book knows: framings, star tests, photographs."""

from collections.abc import Sequence

from logbook.entryline.format import spell
from logbook.records.entries import EntryRecord, LookDetail, StarLook, TargetCopy, TrainRecord
from logbook.report.render.document import FramingSketch, Photo, StarPicture, StarSketch
from logbook.sky.framing.field_of_view import view_of
from logbook.startest.result import Circle

_MOST_PHOTOS = 8


def framing_of(target: TargetCopy, record: TrainRecord | None) -> FramingSketch | None:
    """How an object sits in a train's field; None where the train's numbers do not say."""
    field = view_of(None if record is None else record.train)
    if field is None:
        return None
    major, minor = target.major_arcmin, target.minor_arcmin
    return FramingSketch(
        target.name,
        field.name,
        field.field_deg,
        None if major is None else major / 60.0,
        None if minor is None else minor / 60.0,
        target.position_angle_deg,
        _frame_angle_deg(target, field.field_deg),
    )


def _frame_angle_deg(target: TargetCopy, field_deg: tuple[float, float]) -> float:
    """The angle that choosing suggests too, as the smaller turn from upright."""
    from logbook.sky.framing.mosaic import Angles

    thing = Angles.thing(
        id=target.catalogue_id,
        kind=target.kind,
        name=target.name,
        constellation=target.constellation,
        ra_deg=target.ra_deg or 0.0,
        dec_deg=target.dec_deg or 0.0,
        major_arcmin=target.major_arcmin,
        minor_arcmin=target.minor_arcmin,
        position_angle_deg=target.position_angle_deg,
        magnitude=target.magnitude,
        magnitude_band=None,
        surface_brightness_mag_arcsec2=None,
        aliases=(),
    )
    angle = Angles.camera_angle(thing, field_deg).angle_deg or 0.0
    return angle - 180.0 if angle > 90.0 else angle


def star_sketches(entries: Sequence[EntryRecord], most: int = 3) -> list[StarSketch]:
    """The newest star tests, drawn."""
    looks = [(each, each.content.look) for each in entries if each.content.look is not None]
    return [
        StarSketch(
            f"{each.content.happened_utc:%Y-%m-%d %H:%M} UTC",
            look.offset_fraction,
            look.position_angle_deg,
            _picture(look),
        )
        for each, look in looks[-most:]
    ]


def _picture(look: StarLook) -> StarPicture | None:
    if not look.picture_path:
        return None
    seen = look.detail or LookDetail()
    disc = _circle(seen.disc_x_px, seen.disc_y_px, look.disc_radius_px)
    shadow = _circle(seen.shadow_x_px, seen.shadow_y_px, seen.shadow_radius_px)
    size = None
    if seen.picture_width_px and seen.picture_height_px:
        size = seen.picture_width_px, seen.picture_height_px
    return StarPicture(look.picture_path, disc, shadow, size)


def _circle(x_px: float | None, y_px: float | None, radius_px: float | None) -> Circle | None:
    if x_px is None or y_px is None or radius_px is None:
        return None
    return Circle(x_px, y_px, radius_px)


def photos(entries: Sequence[EntryRecord]) -> list[Photo]:
    """The newest photographs of work that was done."""
    found = [
        Photo(f"{each.content.happened_utc:%Y-%m-%d}: {spell(each.content)}", path)
        for each in entries
        if (done := each.content.upkeep) is not None and (path := done.photo_path)
    ]
    return found[-_MOST_PHOTOS:]

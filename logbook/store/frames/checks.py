"""Where what frames say of themselves disagrees with their train, or with the timeline."""

import math
from collections.abc import Sequence
from datetime import timedelta, tzinfo

from logbook.entryline.format import spell_frames
from logbook.frames.header import Frame
from logbook.frames.runs import Run
from logbook.kit.optics.formulas import ARCSEC_PER_RADIAN
from logbook.kit.train.light import TrainLight
from logbook.kit.train.light_cone import Sensor
from logbook.records.entries import EntryRecord, Frames
from logbook.sky.night.clock import local_hhmm
from logbook.store.frames.entry import FROM_DISK
from logbook.text import fold

_PIXEL_SHARE = 0.02  # sizes are stated to two or three digits
_LENGTH_SHARE = 0.05  # a reducer's spacing and the focus change it by some percent
_SIZE_SHARE = 0.02  # some cameras save a few more rows than they name
_FULL_FRAME_SHARE = 0.97
_LOGGED_WITHIN = timedelta(hours=1)


def disagreements(frame: Frame, sheet: TrainLight) -> tuple[str, ...]:
    """What is not as the train has it, each in words with both numbers."""
    through_telescope = frame.frame_type in ("light", "flat")
    found = [_focal_length(frame, sheet), _scale(frame, sheet)] if through_telescope else []
    if sheet.sensor is not None:
        found += [_pixel(frame, sheet.sensor), _size(frame, sheet.sensor)]
    return tuple(words for words in found if words)


def region_of(frame: Frame, sheet: TrainLight | None) -> str | None:
    """`640x480` if only a part of the sensor was read out; None if all of it, or if unknown."""
    if sheet is None or sheet.sensor is None:
        return None
    binning = frame.binning or 1
    across = (
        frame.width_px * binning / sheet.sensor.width_px,
        frame.height_px * binning / sheet.sensor.height_px,
    )
    if max(across) > 1.0 + _SIZE_SHARE or min(across) >= _FULL_FRAME_SHARE:
        return None
    return f"{frame.width_px}x{frame.height_px}"


def field_radius_deg(frame: Frame, sheet: TrainLight | None) -> float:
    """From the middle of a frame to its corner; half a degree if it is not known."""
    by_train = sheet.image_scale_arcsec_px if sheet else None
    scale = frame.scale_arcsec_px or _by_header(frame) or by_train
    if not scale:
        return 0.5
    across_px = math.hypot(frame.width_px, frame.height_px)
    return min(max(scale * across_px / 7200.0, 0.05), 10.0)


def written_by_hand(run: Run, timeline: Sequence[EntryRecord], zone: tzinfo) -> str:
    """Frames of the same kind that the user logged at about that time, and may be the same."""
    for record in timeline:
        entry = record.content
        if entry.frames is None or FROM_DISK in entry.text or not _alike(run, entry.frames):
            continue
        if run.begins_utc - _LOGGED_WITHIN <= entry.happened_utc <= run.ends_utc + _LOGGED_WITHIN:
            at = local_hhmm(entry.happened_utc, zone)
            said = spell_frames(entry.frames)
            return f"{said} logged by hand at {at} may be the same frames: withdraw one of both"
    return ""


def _alike(run: Run, frames: Frames) -> bool:
    return (
        frames.frame_type == run.first.frame_type
        and _close(run.exposure_s, frames.exposure_s, _SIZE_SHARE)
        and fold(frames.filter_name or "") in ("", fold(run.first.filter_name or ""))
    )


def _by_header(frame: Frame) -> float | None:
    """Image scale from pixel and focal length as the header has them."""
    if frame.pixel_um is None or frame.focal_length_mm is None:
        return None
    return ARCSEC_PER_RADIAN / 1000.0 * frame.pixel_um / frame.focal_length_mm


def _focal_length(frame: Frame, sheet: TrainLight) -> str:
    said, known = frame.focal_length_mm, sheet.effective_focal_length_mm
    if said is None or known is None or _close(said, known, _LENGTH_SHARE):
        return ""
    return f"focal length: {said:.5g} mm in the frames, {known:.5g} mm by the train"


def _scale(frame: Frame, sheet: TrainLight) -> str:
    said, known = frame.scale_arcsec_px, sheet.image_scale_arcsec_px
    if said is None or known is None:
        return ""
    known *= frame.binning or 1
    if _close(said, known, _LENGTH_SHARE):
        return ""
    return f"image scale: {said:.3g}″/px in the frames, {known:.3g}″/px by the train"


def _pixel(frame: Frame, sensor: Sensor) -> str:
    """A header may have the size of one pixel or of the binned one."""
    said, binning = frame.pixel_um, frame.binning or 1
    if said is None:
        return ""
    if any(
        _close(said, each, _PIXEL_SHARE) for each in (sensor.pixel_um, sensor.pixel_um * binning)
    ):
        return ""
    return f"pixel: {said:.4g} µm in the frames, {sensor.pixel_um:.4g} µm by the train's camera"


def _size(frame: Frame, sensor: Sensor) -> str:
    binning = frame.binning or 1
    width, height = frame.width_px * binning, frame.height_px * binning
    most = 1.0 + _SIZE_SHARE
    if width <= sensor.width_px * most and height <= sensor.height_px * most:
        return ""
    binned = f" binned {binning}" if binning > 1 else ""
    return (
        f"size: {frame.width_px} x {frame.height_px} px{binned} in the frames, more than the "
        f"train's camera has ({sensor.width_px} x {sensor.height_px})"
    )


def _close(one: float, other: float, share: float) -> bool:
    return abs(one - other) <= share * other

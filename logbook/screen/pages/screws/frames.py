"""Pictures of the defocused star: measured in a worker, averaged, saved as one look."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from logbook.entryline.format import clock_words
from logbook.records.entries import LookDetail, NewEntry, StarLook, TargetCopy
from logbook.screen.services.services import Desk
from logbook.screen.services.star_place import altitude_azimuth_deg
from logbook.screen.widgets.picture_view import Shown
from logbook.startest.picture.averaging import Averaged, average
from logbook.startest.picture.defocus import defocus
from logbook.startest.result import Facts, StarMeasure
from logbook.text import clean

LONGEST_PATH = 1000


@dataclass(frozen=True, slots=True)
class Frame:
    """One picture as measured, with a small drawing of it and the circles found."""

    path: Path
    measure: StarMeasure
    shown: Shown | None


@dataclass(frozen=True, slots=True)
class About:
    """What no picture says: which star it is and which side of focus."""

    star: str = ""
    side: str = ""
    role: str = "first"  # or second
    pier: str = ""  # east, west


def of_this_night(desk: Desk, role: str) -> str:
    """What the draft of a look is about: the night, the telescope and the star's role."""
    night = desk.view.night.id if desk.view.night else ""
    return f"{night} {desk.telescope_id or ''} {role}"


def good_of(frames: list[Frame]) -> list[StarMeasure]:
    return [each.measure for each in frames if each.measure.ok]


def measure_words(measure: StarMeasure) -> str:
    """`0.121 ± 0.012 toward 4:30 o'clock, good` or why the picture was refused."""
    if not measure.ok or measure.offset_fraction is None:
        return f"refused, {measure.refusal}: {measure.reason}"
    said = f"{measure.offset_fraction:.3f}"
    if measure.offset_sigma is not None:
        said += f" ± {measure.offset_sigma:.3f}"
    if measure.position_angle_deg is not None:
        said += f" toward {clock_words(measure.position_angle_deg)}"
        said += f" ({measure.position_angle_deg:.0f}°)"
    return f"{said}, {measure.quality_words} ({measure.quality:.2f})"


def average_words(averaged: Averaged) -> str:
    """`average of 3: 0.118 ± 0.006 toward 4:30 o'clock`."""
    said = f"average of {averaged.used}: {averaged.offset_fraction:.3f}"
    said += f" ± {averaged.offset_sigma:.3f}"
    if averaged.position_angle_deg is not None:
        said += f" toward {clock_words(averaged.position_angle_deg)}"
    return said


def focal_ratio(desk: Desk, facts: Facts | None) -> float | None:
    """Of the telescope in use, else as the picture's file says."""
    focal_mm = _of_telescope(desk, "focal_length_mm") or (facts.focal_length_mm if facts else None)
    aperture_mm = _of_telescope(desk, "aperture_mm") or (facts.aperture_mm if facts else None)
    return focal_mm / aperture_mm if focal_mm and aperture_mm else None


def arcsec_per_px(desk: Desk, facts: Facts | None) -> float | None:
    """Scale of a picture by the telescope and the pixel; None where one is missing."""
    focal_mm, pixel = _of_telescope(desk, "focal_length_mm"), pixel_um(desk, facts)
    return 206.264806 * pixel / focal_mm if focal_mm and pixel else None


def _of_telescope(desk: Desk, quantity: str) -> float | None:
    telescope = desk.view.telescope
    return telescope.part.number(quantity) if telescope else None


def pixel_um(desk: Desk, facts: Facts | None) -> float | None:
    """As the picture's file says (binned), else of the camera in use."""
    if facts is not None and facts.pixel_um:
        return facts.pixel_um
    train, parts = desk.view.train, desk.view.parts
    used = [each.part for each in parts if train is not None and each.id in train.part_ids]
    return next((each.number("pixel_um") for each in used if each.kind == "camera"), None)


def defocus_words(desk: Desk, measure: StarMeasure) -> str:
    """How far out of focus and whether that is right; what is missing to say so."""
    if measure.disc is None:
        return ""
    ratio, pixel = focal_ratio(desk, measure.facts), pixel_um(desk, measure.facts)
    if ratio is None or pixel is None:
        return "defocus not known: the telescope's focal length or the camera's pixel is missing"
    return defocus(measure.disc.radius_px, pixel, ratio).words


def look_entry(desk: Desk, frames: list[Frame], about: About) -> NewEntry:
    """The pictures of one setting as one look. Raises BadInput when none can be used."""
    averaged = average(good_of(frames))
    good = [each for each in frames if each.measure.ok]
    last = good[-1]
    star = clean(about.star or _named(last), longest=60) or None
    look = StarLook(
        round(min(1.0, averaged.offset_fraction), 4),
        averaged.position_angle_deg,
        round(averaged.offset_sigma, 4),
        averaged.radius_px,
        sum(each.measure.quality for each in good) / len(good),
        way="picture",
        side_of_focus=about.side or None,
        star=star,
        picture_path=clean(str(last.path), longest=LONGEST_PATH),
        detail=_with_place(desk, star, _detail(desk, last.measure, len(good), about)),
    )
    names = clean(", ".join(each.path.name for each in good), longest=300)
    return NewEntry("star", desk.clock(), f"star measured in {names}", look=look)


def eye_entry(desk: Desk, look: StarLook, about: About) -> NewEntry:
    """A look by eye, with what is known of the star and the side of the pier."""
    detail = LookDetail(star_role=about.role, pier_side=about.pier or None)
    look = replace(look, detail=_with_place(desk, look.star, detail))
    return NewEntry("star", desk.clock(), look_line(look), look=look)


def look_line(look: StarLook) -> str:
    """A look by eye as it would be typed on the entry line."""
    line = "shadow centred"
    if look.position_angle_deg is not None:
        line = f"shadow {look.offset_fraction:.3g} toward {clock_words(look.position_angle_deg)}"
    if look.side_of_focus:
        line += f" {look.side_of_focus} focus"
    return f"{line} on {look.star}" if look.star else line


def _named(frame: Frame) -> str:
    return frame.measure.facts.object_name if frame.measure.facts else ""


def _detail(desk: Desk, measure: StarMeasure, count: int, about: About) -> LookDetail:
    facts, disc, shadow = measure.facts, measure.disc, measure.shadow
    kind = facts.form.split(" ", 1)[0] if facts else None
    detail = LookDetail(
        picture_kind=kind,
        orientation=_orientation(desk, kind),
        star_role=about.role,
        pier_side=about.pier or None,
        frames=count,
    )
    if facts is not None:
        detail = replace(
            detail,
            picture_width_px=facts.width_px,
            picture_height_px=facts.height_px,
            exposure_s=facts.exposure_s,
        )
    if disc is not None and shadow is not None:
        detail = replace(
            detail,
            disc_x_px=disc.x_px,
            disc_y_px=disc.y_px,
            shadow_x_px=shadow.x_px,
            shadow_y_px=shadow.y_px,
            shadow_radius_px=shadow.radius_px,
        )
    return _with_scale(desk, measure, detail)


def _orientation(desk: Desk, kind: str | None) -> str:
    """Pictures of one train and one kind of file lie alike until the camera is turned."""
    train = desk.view.train.train.name if desk.view.train else ""
    return clean(f"{train} {kind or ''}", longest=60)


def _with_scale(desk: Desk, measure: StarMeasure, detail: LookDetail) -> LookDetail:
    ratio, pixel = focal_ratio(desk, measure.facts), pixel_um(desk, measure.facts)
    detail = replace(detail, arcsec_per_px=arcsec_per_px(desk, measure.facts))
    if ratio is None or pixel is None or measure.disc is None:
        return detail
    out = defocus(measure.disc.radius_px, pixel, ratio)
    return replace(detail, defocus_mm=round(out.distance_mm, 3))


def _with_place(desk: Desk, star: str | None, detail: LookDetail) -> LookDetail:
    """How high the star stands, if it is known by name."""
    known = desk.sky.find(star) if star else None
    site = desk.view.site
    if known is None or site is None or not _is_fixed(known):
        return detail
    assert known.ra_deg is not None
    assert known.dec_deg is not None
    altitude_deg, azimuth_deg = altitude_azimuth_deg(
        known.ra_deg, known.dec_deg, site.site.latitude_deg, site.site.longitude_deg, desk.clock()
    )
    return replace(detail, altitude_deg=round(altitude_deg, 1), azimuth_deg=round(azimuth_deg, 1))


def _is_fixed(known: TargetCopy) -> bool:
    return known.ra_deg is not None and known.dec_deg is not None

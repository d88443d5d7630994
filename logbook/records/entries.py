"""What goes into and comes out of a book, as plain frozen values.

Nothing here imports the database, so the screen may use these before the book is open.
Instants are aware datetimes; the book keeps them in UTC.
"""

from dataclasses import dataclass
from datetime import date, datetime

from logbook.kit.parts.part import Part, Train
from logbook.sky.night.site import Site

ENTRY_KINDS = (
    "setup",  # setting up, polar alignment, opening the tube
    "conditions",  # seeing, transparency, cloud, wind as judged
    "reading",  # a number read off an instrument
    "object",  # an object run starts or stops
    "frames",  # frames taken
    "focus",  # focused, with position and temperature if given
    "star",  # a star test: where the shadow sits in the disc
    "check",  # a star looked at in focus, or in a corner of the field
    "turn",  # one screw turned
    "adjust",  # tilt plate, focuser, camera, primary ... set otherwise
    "kit",  # the train in use was changed
    "meridian",  # crossed the meridian
    "guiding",  # drift or guiding as measured
    "note",
    "trouble",
    "break",  # a pause starts or ends
    "upkeep",  # work on the kit
    "transport",  # the telescope was moved, knocked or dropped
    "withdrawn",  # takes the place of an entry that was withdrawn
)

TURN_RESULTS = ("better", "same", "worse")
LATEST_TURNS = 200  # of the screws: as many as a screen or the entry line needs to know
LOCK_KINDS = ("", "push-pull", "locked")  # "": a plain screw
PIER_SIDES = ("east", "west")  # where the tube is, not where it looks
STAR_ROLES = ("first", "second")
CHECK_VERDICTS = ("round", "uneven", "flared", "long", "double")
ADJUSTED = ("tilt plate", "focuser", "camera", "primary", "secondary", "spacing")
ADJUST_UNITS = ("turn", "mm", "deg")
TRAIN_KINDS = ("camera", "visual")
PART_STATES = ("owned", "lent", "sold", "wished for")

# What a reading may be of: unit in the name, and what is physically possible.
READING_RANGES: dict[str, tuple[float, float]] = {
    "air_temperature_c": (-60.0, 60.0),
    "mirror_temperature_c": (-60.0, 80.0),
    "tube_temperature_c": (-60.0, 80.0),
    "sensor_temperature_c": (-100.0, 80.0),
    "humidity_percent": (0.0, 100.0),
    "dew_point_c": (-80.0, 50.0),
    "pressure_hpa": (400.0, 1100.0),
    "wind_m_s": (0.0, 100.0),
    "cloud_percent": (0.0, 100.0),
    "sky_mag_arcsec2": (5.0, 23.5),
    "limiting_magnitude": (-2.0, 9.0),
    "seeing_pickering": (1.0, 10.0),  # W. H. Pickering: 1 worst, 10 best
    "seeing_antoniadi": (1.0, 5.0),  # E. M. Antoniadi: 1 best, 5 worst
    "seeing_of_five": (1.0, 5.0),  # the user's own five steps: 1 worst, 5 best
    "transparency_of_five": (1.0, 5.0),  # 1 worst, 5 best
    "fwhm_arcsec": (0.1, 60.0),
    "focus_position": (-1e7, 1e7),  # steps or millimetres, as this focuser counts
    "guiding_rms_arcsec": (0.0, 600.0),
    "drift_arcsec_min": (-3600.0, 3600.0),
}


@dataclass(frozen=True, slots=True)
class TargetCopy:
    """An object as the catalogue had it when it was first used; later rebuilds change nothing."""

    catalogue_id: str
    name: str
    kind: str
    ra_deg: float | None  # None for what moves: the Moon and planets
    dec_deg: float | None
    constellation: str = ""
    major_arcmin: float | None = None
    minor_arcmin: float | None = None
    position_angle_deg: float | None = None
    magnitude: float | None = None


@dataclass(frozen=True, slots=True)
class Frames:
    """Frames taken: what was exposed, how often and how."""

    count: int
    exposure_s: float
    filter_name: str | None = None
    gain: float | None = None
    binning: int | None = None
    region: str | None = None
    frames_per_second: float | None = None
    frame_type: str = "light"  # light, dark, flat, bias
    wanted_count: int | None = None


@dataclass(frozen=True, slots=True)
class Turn:
    """One turn of one outer secondary screw; tightening is positive."""

    screw: str
    turns: float
    result: str | None = None  # one of TURN_RESULTS, None while not yet looked at
    puts_back_entry_id: int | None = None
    offset_before: float | None = None  # shadow offset as a fraction of the disc radius
    offset_after: float | None = None


@dataclass(frozen=True, slots=True)
class LookDetail:
    """How the disc and the shadow lie in the picture, and how it was taken.

    Pixels as in the whole picture, column and row, centres at integers. `orientation` is a mark:
    looks that bear the same one had the camera at one angle, in one train and kind of file.
    """

    disc_x_px: float | None = None
    disc_y_px: float | None = None
    disc_sigma_px: float | None = None
    shadow_x_px: float | None = None
    shadow_y_px: float | None = None
    shadow_radius_px: float | None = None
    shadow_sigma_px: float | None = None
    picture_kind: str | None = None
    picture_width_px: int | None = None
    picture_height_px: int | None = None
    arcsec_per_px: float | None = None
    orientation: str | None = None
    defocus_mm: float | None = None
    exposure_s: float | None = None
    altitude_deg: float | None = None
    azimuth_deg: float | None = None
    pier_side: str | None = None  # one of PIER_SIDES
    star_role: str | None = None  # one of STAR_ROLES
    frames: int | None = None  # averaged


@dataclass(frozen=True, slots=True)
class StarLook:
    """Where the shadow sat in the defocused disc of a star.

    `position_angle_deg` runs 0..360 from +x toward +row of the picture as stored; for a look by
    eye it is the clock direction from 3 o'clock, clockwise.
    """

    offset_fraction: float
    position_angle_deg: float | None = None
    offset_sigma: float | None = None
    disc_radius_px: float | None = None
    quality: float | None = None
    way: str = "eye"  # eye, picture
    side_of_focus: str | None = None  # inside, outside
    star: str | None = None
    picture_path: str | None = None
    detail: LookDetail | None = None


@dataclass(frozen=True, slots=True)
class StarCheck:
    """A star looked at in focus, or in a corner of the field; the angle says where it flares."""

    verdict: str  # one of CHECK_VERDICTS
    position_angle_deg: float | None = None
    place: str = "in focus"
    star: str | None = None
    star_role: str | None = None
    altitude_deg: float | None = None
    pier_side: str | None = None


@dataclass(frozen=True, slots=True)
class Adjustment:
    """Something of the telescope that was set other than an outer screw of the secondary."""

    what: str  # one of ADJUSTED
    place: str = ""  # a screw or a direction, as typed
    amount: float | None = None  # inward, tightening, clockwise positive
    unit: str | None = None  # one of ADJUST_UNITS
    result: str | None = None  # one of TURN_RESULTS


@dataclass(frozen=True, slots=True)
class UpkeepDone:
    """Work done on a part."""

    action: str
    part_name: str | None = None
    cost: float | None = None
    minutes: float | None = None
    before: str | None = None
    after: str | None = None
    photo_path: str | None = None


@dataclass(frozen=True, slots=True)
class NewEntry:
    """An entry to be saved. `text` is what the user typed, word for word."""

    kind: str
    happened_utc: datetime
    text: str
    action: str | None = None  # start or stop, for objects and breaks
    target: TargetCopy | None = None
    readings: tuple[tuple[str, float], ...] = ()  # (quantity, number), see READING_RANGES
    frames: Frames | None = None
    turn: Turn | None = None
    look: StarLook | None = None
    check: StarCheck | None = None
    adjustment: Adjustment | None = None
    upkeep: UpkeepDone | None = None
    train_name: str | None = None  # for kind "kit": the train now in use


@dataclass(frozen=True, slots=True)
class EntryRecord:
    """An entry as the book holds it."""

    id: int
    uid: str
    night_id: int | None
    recorded_utc: datetime
    content: NewEntry
    supersedes_id: int | None = None
    cause: str | None = None  # correct, withdraw, undo, redo; None for a first writing
    train_revision_id: int | None = None
    corrected: bool = False  # what it says was put in the place of something else


@dataclass(frozen=True, slots=True)
class SiteRecord:
    id: int
    uid: str
    site: Site


@dataclass(frozen=True, slots=True)
class PartRecord:
    id: int
    uid: str
    revision_id: int
    revision: int
    part: Part
    changed_utc: datetime
    why: str = ""  # it was changed, as the user reported
    retired: bool = False


@dataclass(frozen=True, slots=True)
class TrainRecord:
    """A train as one of its revisions stands, newest unless asked otherwise."""

    id: int
    uid: str
    revision_id: int
    revision: int
    train: Train
    part_ids: tuple[int, ...]
    made_utc: datetime
    note: str = ""
    retired: bool = False
    carried_ids: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Screw:
    """An outer adjusting screw of the secondary, as the user calls it.

    `clock_hour` is where it sits seen from the front of the tube, 12 at the top. The centre screw
    is never one of these: it sets the distance between the mirrors.
    """

    name: str
    clock_hour: float
    tighten_clockwise: bool = True
    lock_kind: str = ""  # one of LOCK_KINDS


@dataclass(frozen=True, slots=True)
class ScrewSum:
    """Running sum of one screw on one telescope since the first logged turn."""

    screw: str
    turns: float
    count: int


@dataclass(frozen=True, slots=True)
class NightRecord:
    id: int
    uid: str
    local_date: date  # of the evening
    site: Site
    site_id: int
    train: TrainRecord | None  # the revision in use when the night began
    observer: str
    started_utc: datetime
    ended_utc: datetime | None

    @property
    def time_zone(self) -> str:
        """IANA name of the site's zone."""
        return self.site.time_zone


@dataclass(frozen=True, slots=True)
class OpenNight:
    """Of the night in progress what a line needs to know."""

    id: int
    local_date: date
    time_zone: str


@dataclass(frozen=True, slots=True)
class NightSummary:
    """One line of the list of nights."""

    night: NightRecord
    entries: int
    frames: int
    exposure_s: float
    objects: tuple[str, ...]
    turns: int

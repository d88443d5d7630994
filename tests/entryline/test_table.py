"""The entry line as a table: what is typed, and what it must mean.

Invented lines; conversions by definition (mile 1609.344 m, knot 1852 m/h, inch of mercury
33.8639 hPa, °F = 1.8 °C + 32) and Beaufort's v = 0.836 B^1.5 m/s (WMO-No. 8).
"""

import pytest

from logbook.entryline.understand import understand
from logbook.records.check_entry import checked_entry
from logbook.records.entries import NewEntry
from tests.entryline.lines import AROUND, M31, M81

MEASURES: tuple[tuple[str, str, dict[str, float]], ...] = (
    ("seeing 3/5", "conditions", {"seeing_of_five": 3}),
    ("seeing 3", "conditions", {"seeing_of_five": 3}),
    ("Seeing: 3 of 5", "conditions", {"seeing_of_five": 3}),
    ("seeing 3-4/5", "conditions", {"seeing_of_five": 3.5}),
    ("seeing 3.5", "conditions", {"seeing_of_five": 3.5}),
    ("seeing pickering 6", "conditions", {"seeing_pickering": 6}),
    ("seeing p6", "conditions", {"seeing_pickering": 6}),
    ("seeing 7/10", "conditions", {"seeing_pickering": 7}),
    ("seeing 6 pickering", "conditions", {"seeing_pickering": 6}),
    ("seeing antoniadi III", "conditions", {"seeing_antoniadi": 3}),
    ("seeing antoniadi 2", "conditions", {"seeing_antoniadi": 2}),
    ("seeing antoniadi i", "conditions", {"seeing_antoniadi": 1}),
    ("seeing IV", "conditions", {"seeing_antoniadi": 4}),
    ('seeing 2.1"', "conditions", {"fwhm_arcsec": 2.1}),
    ("seeing 2,1″", "conditions", {"fwhm_arcsec": 2.1}),
    ("seeing 2.1 arcsec", "conditions", {"fwhm_arcsec": 2.1}),
    ("seeing v good", "conditions", {}),
    ("seeing poor and boiling", "conditions", {}),
    ("sieing 3/5", "conditions", {"seeing_of_five": 3}),
    ("seing 3", "conditions", {"seeing_of_five": 3}),
    ("SEEING 3", "conditions", {"seeing_of_five": 3}),
    ("seeing 3/5 and steady", "conditions", {"seeing_of_five": 3}),
    ("transparency 4/5", "conditions", {"transparency_of_five": 4}),
    ("transp 4", "conditions", {"transparency_of_five": 4}),
    ("transparancy 4", "conditions", {"transparency_of_five": 4}),
    ("cloud 20%", "conditions", {"cloud_percent": 20}),
    ("cloud 20", "conditions", {"cloud_percent": 20}),
    ("cloud 2/8", "conditions", {"cloud_percent": 25}),
    ("clouds 3 oktas", "conditions", {"cloud_percent": 37.5}),
    ("cloud", "conditions", {}),
    ("cloud none", "conditions", {"cloud_percent": 0}),
    ("clear", "conditions", {"cloud_percent": 0}),
    ("clear; Milky Way to the horizon", "conditions", {"cloud_percent": 0}),
    ("overcast", "conditions", {"cloud_percent": 100}),
    ("sky clear", "conditions", {"cloud_percent": 0}),
    ("wind 3 m/s", "conditions", {"wind_m_s": 3}),
    ("wind 3", "conditions", {"wind_m_s": 3}),
    ("wind 12 km/h", "conditions", {"wind_m_s": 3.33}),
    ("wind 8 mph", "conditions", {"wind_m_s": 3.58}),
    ("wind 6 knots", "conditions", {"wind_m_s": 3.09}),
    ("wind force 3", "conditions", {"wind_m_s": 4.3}),
    ("wind calm", "conditions", {"wind_m_s": 0}),
    ("wind picking up", "conditions", {}),
    ("wimd 3 m/s NW", "conditions", {"wind_m_s": 3}),
    ("dew", "conditions", {}),
    ("dew on the finder", "conditions", {}),
    ("dew point 3.2", "conditions", {"dew_point_c": 3.2}),
    ("dewpoint -1", "conditions", {"dew_point_c": -1}),
    (
        "seeing 3/5 transparency 4/5 cloud 20% wind 3 m/s air 4.2 humidity 81",
        "conditions",
        {"seeing_of_five": 3, "transparency_of_five": 4, "cloud_percent": 20, "wind_m_s": 3,
         "air_temperature_c": 4.2, "humidity_percent": 81},
    ),
    ("air 4.2", "reading", {"air_temperature_c": 4.2}),
    ("air 4,2", "reading", {"air_temperature_c": 4.2}),
    ("air 4.2C", "reading", {"air_temperature_c": 4.2}),
    ("air 4.2 °C", "reading", {"air_temperature_c": 4.2}),
    ("air temp 4.2", "reading", {"air_temperature_c": 4.2}),
    ("air -4.2", "reading", {"air_temperature_c": -4.2}),
    ("air −4.2", "reading", {"air_temperature_c": -4.2}),
    ("air 39F", "reading", {"air_temperature_c": 3.89}),
    ("air 39 °F", "reading", {"air_temperature_c": 3.89}),
    ("temprature 4.2", "reading", {"air_temperature_c": 4.2}),
    ("temp 4.2", "reading", {"air_temperature_c": 4.2}),
    ("air 4.2 mirror 7.9", "reading", {"air_temperature_c": 4.2, "mirror_temperature_c": 7.9}),
    ("air 4.2, miror 7.9", "reading", {"air_temperature_c": 4.2, "mirror_temperature_c": 7.9}),
    ("air 4.2 and mirror 46F", "reading",
     {"air_temperature_c": 4.2, "mirror_temperature_c": 7.78}),
    ("mirror 7.9 tube 5.1 sensor -10", "reading",
     {"mirror_temperature_c": 7.9, "tube_temperature_c": 5.1, "sensor_temperature_c": -10}),
    ("humidity 81", "reading", {"humidity_percent": 81}),
    ("humidty 81 %", "reading", {"humidity_percent": 81}),
    ("pressure 1003", "reading", {"pressure_hpa": 1003}),
    ("pressure 29.6 inHg", "reading", {"pressure_hpa": 1002.4}),
    ("sky 21.2", "reading", {"sky_mag_arcsec2": 21.2}),
    ("sky brightness 21.2 mag/arcsec2", "reading", {"sky_mag_arcsec2": 21.2}),
    ("limit 5.8", "reading", {"limiting_magnitude": 5.8}),
    ("limiting magnitude 5.8", "reading", {"limiting_magnitude": 5.8}),
    ('fwhm 2.3"', "reading", {"fwhm_arcsec": 2.3}),
    ("focus 12345", "focus", {"focus_position": 12345}),
    ("focus at 12345", "focus", {"focus_position": 12345}),
    ("focus 12.34 mm", "focus", {"focus_position": 12.34}),
    ("focus 12345 at 4.2C", "focus", {"focus_position": 12345, "air_temperature_c": 4.2}),
    ("focus 12345 at 39F", "focus", {"focus_position": 12345, "air_temperature_c": 3.89}),
    ("refocused 12345 tube 4.2", "focus", {"focus_position": 12345, "tube_temperature_c": 4.2}),
    ("focus 12345 Ha", "focus", {"focus_position": 12345}),
    ("focus", "focus", {}),
    ("focus is off tonight", "focus", {}),
    ('guiding 0.8"', "guiding", {"guiding_rms_arcsec": 0.8}),
    ("guiding 0.8 rms", "guiding", {"guiding_rms_arcsec": 0.8}),
    ("guiding lost the star", "guiding", {}),
    ('drift 3"/min', "guiding", {"drift_arcsec_min": 3}),
    ("drift 3 arcsec per minute", "guiding", {"drift_arcsec_min": 3}),
    ('drift 0.05"/s', "guiding", {"drift_arcsec_min": 3}),
)  # fmt: skip

FRAMES: tuple[tuple[str, dict[str, object]], ...] = (
    ("20 x 180s Ha", {"count": 20, "exposure_s": 180, "filter_name": "Ha"}),
    ("20x180 Ha gain 100 bin 2",
     {"count": 20, "exposure_s": 180, "filter_name": "Ha", "gain": 100, "binning": 2}),
    ("20 × 180 s Hα", {"count": 20, "exposure_s": 180, "filter_name": "Ha"}),
    ("20 * 180s h-alpha", {"count": 20, "exposure_s": 180, "filter_name": "Ha"}),
    ("180s x 20 oiii", {"count": 20, "exposure_s": 180, "filter_name": "OIII"}),
    ("20 x 3 min L", {"count": 20, "exposure_s": 180, "filter_name": "L"}),
    ("20 x 3m o3", {"count": 20, "exposure_s": 180, "filter_name": "OIII"}),
    ('20 x 180" lum', {"count": 20, "exposure_s": 180, "filter_name": "L"}),
    ("frames 20 x 180s", {"count": 20, "exposure_s": 180, "filter_name": None}),
    ("frames 20 of 180s Ha", {"count": 20, "exposure_s": 180, "filter_name": "Ha"}),
    ("20/30 x 180s Ha", {"count": 20, "wanted_count": 30, "exposure_s": 180}),
    ("0/30 x 180s", {"count": 0, "wanted_count": 30, "exposure_s": 180}),
    ("start 30 x 180s Ha", {"count": 0, "wanted_count": 30, "filter_name": "Ha"}),
    ("started 2000 x 8ms", {"count": 0, "wanted_count": 2000, "exposure_s": 0.008}),
    ("20 of 30 x 180s Ha", {"count": 20, "wanted_count": 30, "exposure_s": 180}),
    ("darks 10 x 180s", {"count": 10, "exposure_s": 180, "frame_type": "dark"}),
    ("10 x 180s darks", {"count": 10, "exposure_s": 180, "frame_type": "dark"}),
    ("flats 25 x 2s Ha", {"count": 25, "exposure_s": 2, "frame_type": "flat"}),
    ("bias 50", {"count": 50, "exposure_s": 0, "frame_type": "bias"}),
    ("2000 x 1/500s", {"count": 2000, "exposure_s": 0.002}),
    ("3000 x 8 ms 60 fps region 640x480",
     {"count": 3000, "exposure_s": 0.008, "frames_per_second": 60, "region": "640x480"}),
    ("60 fps for 90 s at 8 ms", {"count": 5400, "exposure_s": 0.008, "frames_per_second": 60}),
    ("60 fps for 2 min", {"count": 7200, "exposure_s": 0.016667}),
    ("20 x 180s filter UHC", {"count": 20, "filter_name": "UHC"}),
    ("20 x 180s OIIII", {"count": 20, "filter_name": "OIII"}),
    ("20 x 180s Ha; thin cloud at the end", {"count": 20, "filter_name": "Ha"}),
    ("20 x 180s bin 2x2", {"count": 20, "binning": 2}),
    ("frmaes 20 x 180s", {"count": 20, "exposure_s": 180}),
    ("10 more", {"count": 10, "exposure_s": 180, "filter_name": "Ha", "gain": 100}),
    ("again", {"count": 20, "exposure_s": 180, "filter_name": "Ha"}),
    ("again 15", {"count": 15, "exposure_s": 180, "filter_name": "Ha"}),
    ("frames 12", {"count": 12, "exposure_s": 180, "filter_name": "Ha"}),
)  # fmt: skip

TURNS: tuple[tuple[str, str, float, str | None], ...] = (
    ("turn A tighten 1/8", "A", 0.125, None),
    ("turn a tighten 1/8", "A", 0.125, None),
    ("turn A tighten ⅛ better", "A", 0.125, "better"),
    ("turn B loosen 1/16 better", "B", -0.0625, "better"),
    ("turn B loosen a sixteenth, worse", "B", -0.0625, "worse"),
    ("turn A in 1/8 of a turn same", "A", 0.125, "same"),
    ("turn A out 5 min", "A", -5 / 60, None),
    ("turn A out 5 minutes of clock", "A", -5 / 60, None),
    ("turn C in 20 deg", "C", 20 / 360, None),
    ("turn C in 20°", "C", 20 / 360, None),
    ("turn a a quarter in", "A", 0.25, None),
    ("turn A three sixteenths tighten", "A", 0.1875, None),
    ("turn A tighten 0.1", "A", 0.1, None),
    ("turn A clockwise 1/8", "A", 0.125, None),
    ("turn C clockwise 1/8", "C", -0.125, None),  # this one tightens the other way
    ("turn A anticlockwise half", "A", -0.5, None),
    ("turn A +1/8", "A", 0.125, None),
    ("turn A -0.1", "A", -0.1, None),
    ("tighten A 1/8", "A", 0.125, None),
    ("loosen the screw B by an eighth", "B", -0.125, None),
    ("screw A in 1/8", "A", 0.125, None),
    ("trun A tighten 1/8", "A", 0.125, None),
    ("turn A tighten 1 turn", "A", 1.0, None),
    ("turn A tighten 1/8 from 0.25 to 0.12 better", "A", 0.125, "better"),
)

LOOKS: tuple[tuple[str, float, float | None], ...] = (
    ("shadow toward 4 o'clock, a quarter", 0.25, 30),
    ("shadow towards 4 o’clock, a quarter", 0.25, 30),
    ("shadow 0.12 at 4 o'clock", 0.12, 30),
    ("shadow 0.12 toward 4", 0.12, 30),
    ("shadow 12% toward 4:30", 0.12, 45),
    ("shadow 0.12 at half past four", 0.12, 45),
    ("shadow 1/8 at 12 o'clock", 0.125, 270),
    ("shadow an eighth toward the top", 0.125, 270),
    ("shadow 0.1 upper left", 0.1, 225),
    ("shadow 0.1 toward 3 o'clock", 0.1, 0),
    ("shadow 0.1 toward 9 oclock", 0.1, 180),
    ("shadow centred", 0, None),
    ("shadow centered on Vega", 0, None),
    ("star test on Vega: 0.3 toward 8:30 o'clock", 0.3, 165),
    ("shadow 0.25 of the radius toward 4 o'clock, outside focus", 0.25, 30),
    ("shadow 0.12 ± 0.02 at 4 o'clock", 0.12, 30),
    ("shadw 0.12 at 4 o'clock", 0.12, 30),
)

OTHERS: tuple[tuple[str, str, str | None], ...] = (
    ("start m31", "object", "start"),
    ("Start M 31", "object", "start"),
    ("object andromeda", "object", "start"),
    ("strat m31", "object", "start"),
    ("start moon", "object", "start"),
    ("stop", "object", "stop"),
    ("stop m31", "object", "stop"),
    ("end; cloud", "object", "stop"),
    ("meridian", "meridian", None),
    ("meridian flip", "meridian", None),
    ("kit native", "kit", None),
    ("kit reduced", "kit", None),
    ("kit redced", "kit", None),
    ("kit train wide", "kit", None),
    ("train native", "kit", None),
    ("note cold feet", "note", None),
    ("Note: cold feet", "note", None),
    ("an owl on the dome", "note", None),
    ("2 owls on the dome", "note", None),
    ("string of satellites", "note", None),
    ("park the mount", "note", None),
    ("better than yesterday", "note", None),
    ("put the kettle on", "note", None),
    ("back focus measured again", "note", None),
    ("again some cloud", "note", None),
    ("Ω is a fine letter", "note", None),
    ("trouble cable caught on the weight bar", "trouble", None),
    ("truble cable caught", "trouble", None),
    ("break", "break", "start"),
    ("pause for tea", "break", "start"),
    ("back", "break", "stop"),
    ("upkeep Two-inch focuser: cleaned and greased, 25 min, cost 4.50", "upkeep", None),
    ("upkeep long: washed", "upkeep", None),
    ("upkeep swept the shed", "upkeep", None),
    ("transport home from the moor", "transport", None),
    ("knocked the tube", "transport", None),
    ("setup level and polar aligned", "setup", None),
    ("set up on the grass", "setup", None),
    ("polar aligned", "setup", None),
)

PROBLEMS: tuple[tuple[str, str], ...] = (
    ("seeing", "1 to 5"),
    ("seeing 7", "of what"),
    ("seeing 9/5", "not possible"),
    ("seeing 3/7", "steps"),
    ("seeing antoniadi 7", "not possible"),
    ("transparency 9", "five steps"),
    ("cloud 120%", "not possible"),
    ("cloud 9/8", "not possible"),
    ("cloud 1/0", "no"),
    ("wind 300 m/s", "not possible"),
    ("wind force 17", "not possible"),
    ("air", "°C"),
    ("air 99", "not possible"),
    ("air 4x", "unit"),
    ("air 4.2 air 5", "twice"),
    ("air 4.2 foo 7.9", "7.9"),
    ("air 4.2 7.9", "7.9"),
    ("humidity 181", "not possible"),
    ("humidity", "per cent"),
    ("sky 6.1", "limit 6.1"),
    ("sky 31", "not possible"),
    ("drift 3", "arcseconds a minute"),
    ("focus 12,345", "two ways"),
    ("focus 99999999999", "not possible"),
    ("start", "start m31"),
    ("start m99", "no object"),
    ("start sun", "Never point"),
    ("m31", "start m31"),
    ("stop m99", "no object"),
    ("20 x 0s", "longer than nothing"),
    ("20 x 20 x 20s", "twice"),
    ("2000 x 180s L", "more than a night"),
    ("0 x 180s", "not possible"),
    ("2.5 x 180s", "whole"),
    ("20 x 180s XX", "filters"),
    ("20 x 180s Ha OIII", "Two filters"),
    ("20 x 180s bin 99", "not possible"),
    ("60 fps", "How many"),
    ("60 fps for 90 s at 100 ms", "no more than"),
    ("darks 10", "How long"),
    ("frames", "How many"),
    ("10s x 20s", "number of frames"),
    ("turn", "Which screw"),
    ("turn A", "Which way"),
    ("turn A tighten", "How much"),
    ("turn A 1/8", "Which way"),
    ("turn A tighten 5", "of what"),
    ("turn A tighten 2 turns", "too much"),
    ("turn A tighten 5/4", "too much"),
    ("turn A tighten 0.0", "no turn"),
    ("turn A tighten loosen 1/8", "tighten or loosen"),
    ("turn A tighten 1/8 1/16", "Two amounts"),
    ("turn D tighten 1/8", "no screw D"),
    ("turn centre tighten 1/8", "distance between the mirrors"),
    ("turn the middle screw in 1/8", "distance between the mirrors"),
    ("loosen center 1/8", "distance between the mirrors"),
    ("turn A tighten 1/0", "not a number"),
    ("put back", "no turn"),
    ("better", "than what"),
    ("shadow", "How far"),
    ("shadow 0.12", "which hour"),
    ("shadow toward 4 o'clock", "How far"),
    ("shadow 0.12 at 14 o'clock", "1 to 12"),
    ("shadow 1.5 at 4 o'clock", "outside the disc"),
    ("shadow 0.1 at 4 o'clock at 5 o'clock", "Two directions"),
    ("kit", "Which train"),
    ("kit long lens", "no train"),
    ("note", "what about"),
    ("upkeep", "What was done"),
    ("at 22:15", "What happened"),
    ("10 min ago", "What happened"),
    ("at 25:70 seeing 3", "not a time"),
    ("at 22:5 seeing 3", "not a time"),
    ("at 10:15 seeing 3", "still to come"),
    ("at 13:15 pm seeing 3", "not a time"),
    ("12 h ago seeing 3", "before this night"),
    ("99 h ago seeing 3", "within this night"),
)


def entry_of(typed: str) -> NewEntry:
    understood = understand(typed, AROUND)
    assert understood.problem is None, understood.problem
    assert understood.entry is not None
    assert understood.said
    assert checked_entry(understood.entry) == understood.entry, "the book keeps it as understood"
    return understood.entry


def test_the_table_is_as_long_as_promised() -> None:
    assert len(MEASURES) + len(FRAMES) + len(TURNS) + len(LOOKS) + len(OTHERS) >= 150
    assert len(PROBLEMS) >= 60


@pytest.mark.parametrize(("typed", "kind", "readings"), MEASURES)
def test_conditions_and_readings(typed: str, kind: str, readings: dict[str, float]) -> None:
    entry = entry_of(typed)
    assert entry.kind == kind
    assert dict(entry.readings) == pytest.approx(readings, abs=0.006)


@pytest.mark.parametrize(("typed", "fields"), FRAMES)
def test_frames(typed: str, fields: dict[str, object]) -> None:
    entry = entry_of(typed)
    assert entry.kind == "frames"
    assert entry.frames is not None
    for name, value in fields.items():
        assert getattr(entry.frames, name) == value, name
    light = entry.frames.frame_type == "light"
    assert entry.target == (M81 if light else None), "light frames are of what runs"


@pytest.mark.parametrize(("typed", "screw", "turns", "result"), TURNS)
def test_turns(typed: str, screw: str, turns: float, result: str | None) -> None:
    entry = entry_of(typed)
    assert entry.kind == "turn"
    assert entry.turn is not None
    assert (entry.turn.screw, entry.turn.result) == (screw, result)
    assert entry.turn.turns == pytest.approx(turns, abs=1e-5)


@pytest.mark.parametrize(("typed", "offset", "angle_deg"), LOOKS)
def test_star_tests(typed: str, offset: float, angle_deg: float | None) -> None:
    entry = entry_of(typed)
    assert entry.kind == "star"
    assert entry.look is not None
    assert entry.look.offset_fraction == pytest.approx(offset)
    assert entry.look.position_angle_deg == pytest.approx(angle_deg)


@pytest.mark.parametrize(("typed", "kind", "action"), OTHERS)
def test_everything_else(typed: str, kind: str, action: str | None) -> None:
    entry = entry_of(typed)
    assert (entry.kind, entry.action) == (kind, action)


@pytest.mark.parametrize(("typed", "words"), PROBLEMS)
def test_what_cannot_be_is_refused_with_what_to_do(typed: str, words: str) -> None:
    understood = understand(typed, AROUND)
    assert understood.entry is None
    assert understood.problem is not None
    assert words in understood.problem


def test_details_of_a_line_are_all_kept() -> None:
    look = entry_of("shadow 0.12 ± 0.02 at 4 o'clock on Vega, outside focus").look
    assert look is not None
    assert (look.offset_sigma, look.star, look.side_of_focus) == (0.02, "Vega", "outside")
    turn = entry_of("turn A tighten 1/8 from 0.25 to 0.12 better").turn
    assert turn is not None
    assert (turn.offset_before, turn.offset_after) == (0.25, 0.12)
    done = entry_of("upkeep focuser: greased, 25 min, cost 4.50; before dry, after smooth").upkeep
    assert done is not None
    assert (done.part_name, done.minutes, done.cost) == ("Two-inch focuser", 25.0, 4.5)
    assert (done.before, done.after) == ("dry", "smooth")
    assert entry_of("start m31").target == M31
    assert entry_of("meridian").target == M81
    assert entry_of("kit wide").train_name == "wide field"
    moon = entry_of("start the Moon").target
    assert moon is not None
    assert (moon.name, moon.ra_deg) == ("Moon", None)

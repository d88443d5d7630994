"""`logbook train`: the sheet at 80 columns, its JSON, two trains, and the ring finder."""

import json
from pathlib import Path

import pytest

from logbook import cli
from logbook.commands.train_cmd import train_json
from logbook.kit.parts.part import MEASURED, Part, Placement, Train
from logbook.kit.train.rows import side_by_side
from logbook.kit.train.sheet import sheet
from logbook.report.words.train_words import pair_lines, rings_for_focus, train_lines
from logbook.store.opening import open_book
from tests.kit.made import CAMERA, FOCUSER, REDUCER, TUBE, part, ring

KEYS = [
    "name", "kind", "aperture_mm", "effective_focal_length_mm", "focal_ratio",
    "obstruction_by_diameter", "image_scale_arcsec_px", "field_deg", "sensor", "mass_kg",
    "back_focus_mm", "parts",
]  # fmt: skip
EYEPIECE = part("Low", "eyepiece", focal_length_mm=25, field_stop_mm=27.4, mass_kg=0.3)
RAIL = part("Rail", "dovetail", width_mm=75, length_mm=300, mass_kg=0.9)
SADDLE = part("Saddle", "saddle", width_mm=76)
NATIVE = Train("native", "camera", (TUBE, FOCUSER, ring(40), CAMERA))


@pytest.fixture
def path(book_path: Path) -> Path:
    """A book with three trains: native, reduced and one for the eye."""
    with open_book(book_path) as book:
        parts = (TUBE, FOCUSER, ring(40), ring(25), REDUCER, CAMERA, EYEPIECE, RAIL, SADDLE)
        ids = {each.name: book.kit.add_part(each).id for each in parts}
        for name, kind, held in (
            ("native", "camera", ("Long tube", "Focuser", "Ring 40", "Night camera")),
            ("reduced", "camera", ("Long tube", "Focuser", "Reducer", "Night camera")),
            ("eye", "visual", ("Long tube", "Focuser", "Low")),
        ):
            carried = (ids["Rail"], ids["Saddle"])
            book.kit.add_train(name, kind, tuple(ids[each] for each in held), carried)
    return book_path


def told(path: Path, capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert cli.main(["train", *arguments, "--book", str(path)]) == 0
    return capsys.readouterr().out


def text_of(train: Train) -> str:
    return "\n".join(line.plain for line in train_lines(sheet(train)))


def test_json_keys_are_as_agreed(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one = json.loads(told(path, capsys, "native", "--json"))
    assert list(one) == KEYS
    assert list(one["sensor"]) == ["pixel_um", "width_px", "height_px"]
    assert list(one["back_focus_mm"]) == ["wanted", "reached"]
    assert one["effective_focal_length_mm"] == 1624.0
    assert one["back_focus_mm"] == {"wanted": 160.0, "reached": 137.5}
    assert one["parts"][0] == {"name": "Long tube", "kind": "telescope", "carried": False}
    assert one["parts"][-1] == {"name": "Saddle", "kind": "saddle", "carried": True}
    every = json.loads(told(path, capsys, "--json"))
    assert [each["name"] for each in every] == ["eye", "native", "reduced"]
    assert [list(each) for each in every] == [KEYS] * 3
    assert [each["kind"] for each in every] == ["visual", "camera", "camera"]


def test_what_is_not_known_is_null_and_said() -> None:
    known = sheet(Train("eye", "visual", (TUBE.without("focal_length_mm", "stated"),)))
    plain = train_json(known)
    assert plain["effective_focal_length_mm"] is None
    assert plain["field_deg"] is None
    assert plain["sensor"] is None
    said = [line.plain for line in train_lines(known)]
    assert said[said.index("not known") + 1] == "  the focal length of Long tube"
    assert "  an eyepiece" in said


def test_every_train_fits_80_columns(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shown = told(path, capsys)
    assert max(len(line) for line in shown.splitlines()) <= 80
    for heading in ("light", "picture", "eyepieces", "sharpness", "reaching focus", "joints",
                    "carrying", "cold and dew", "cautions"):  # fmt: skip
        assert f"\n{heading}\n" in shown


def test_the_sheet_says_its_numbers(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Worked numbers of the train, each checked against its source in the kit's tests."""
    shown = " ".join(told(path, capsys, "native").split())
    for words in (
        "focal length 1624 mm", "focal ratio f/8.00", "image scale 0.478″/px",
        "obstruction 33.0 % by diameter; 10.9 % of the area and the light, 0.13 mag",
        "sampling over 4.2 px across a star", "binned 2×2 fits 0.96″/px",
        "Rayleigh 0.68″", "Dawes 0.57″", "contrast at a quarter 54 % 69 % unobstructed",
        "zone, quarter wave 141 µm 70 finest steps", "focus drift −77.9 µm/K",
        "reached 137.5 mm 22.5 mm missing", "in focus drawn out 22.5 of 40 mm",
        "Focuser → Ring 40 mates M54x0.75",
        "rings for 42.50 mm behind Focuser", "40.00 mm −2.50 mm Ring 40",
        "never point it at or near the Sun",
    ):  # fmt: skip
        assert words in shown


def test_the_seeing_is_chosen(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "sampling              fits" in told(path, capsys, "native", "--seeing", "1.2")
    assert "sampling              over" in told(path, capsys, "native", "--seeing", "3.5")


def test_two_trains_side_by_side(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shown = told(path, capsys, "native", "--against", "reduced")
    assert max(len(line) for line in shown.splitlines()) <= 80
    lines = {line[2:24].strip(): line for line in shown.splitlines()}
    assert lines["focal length"].split() == ["≠", "focal", "length", "1624", "mm", "1529", "mm"]
    assert lines["aperture"].startswith("  "), "what is alike has no mark"


def test_rings_for_a_length_in_inches(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """1 1/2 in = 38.1 mm exactly."""
    shown = told(path, capsys, "native", "--rings", "1 1/2 in").splitlines()
    assert shown[0] == "rings for 38.10 mm behind Focuser"
    assert shown[1].split() == ["40.00", "mm", "+1.90", "mm", "Ring", "40"]


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["Nothing"], 3, "eye, native, reduced"),
        (["native", "--against", "Nothing"], 3, "Nothing"),
        (["--against", "native"], 2, "say which train"),
        (["--rings", "40"], 2, "say which train"),
        (["native", "--rings", "-4"], 2, "cannot be"),
        (["native", "--rings", "long"], 2, "is no number"),
        (["native", "--seeing", "0"], 2, "0.1 to 30"),
        (["native", "--seeing", "nan"], 2, "0.1 to 30"),
    ],
)
def test_what_cannot_be_is_refused_with_words(
    path: Path,
    arguments: list[str],
    code: int,
    words: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert cli.main(["train", *arguments, "--book", str(path)]) == code
    said = capsys.readouterr()
    assert said.out == ""
    assert words in said.err


def test_an_empty_book_has_no_trains(book_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert told(book_path, capsys) == ""
    assert json.loads(told(book_path, capsys, "--json")) == []


def test_what_was_measured_otherwise_is_listed() -> None:
    tube = TUBE.with_number("mass_kg", 9.05, basis=MEASURED)
    shown = text_of(Train("native", "camera", (tube, FOCUSER, CAMERA)))
    assert "  Long tube, mass: 9.05 kg, −0.35 kg (−3.7 %)" in shown


def test_long_names_stay_within_the_columns() -> None:
    long = Part("A very long name of a ring that was bought in a hurry " * 2, "extension ring")
    train = Train("t" * 100, "camera", (TUBE, FOCUSER, long, REDUCER, CAMERA), (RAIL,))
    assert max(len(line) for line in text_of(train).splitlines()[1:]) <= 80
    one, other = sheet(train), sheet(NATIVE)
    pairs = [line.plain for line in pair_lines(one, other, side_by_side(one, other))]
    assert max(len(line) for line in pairs) <= 80


def test_a_joint_that_does_not_mate_names_what_would_fix_it() -> None:
    small = CAMERA.with_word("sky_side_thread", "M42x0.75 female")
    step = part(
        "Step ring", "adapter", optical_length_mm=4, sky_side_thread="M54x0.75 male",
        eye_side_thread="M42x0.75 male",
    )  # fmt: skip
    made = sheet(Train("native", "camera", (TUBE, FOCUSER, small)), shelf=[step])
    shown = " ".join(" ".join(line.plain for line in train_lines(made)).split())
    assert "Focuser → Night camera: does not mate" in shown
    assert "Step ring between them would fit (4.0 mm longer)" in shown


def test_rings_are_for_a_camera_and_say_what_is_missing() -> None:
    bare = Train("bare", "camera", (part("Tube", "telescope"), CAMERA))
    assert "back focus" in " ".join(line.plain for line in rings_for_focus(bare, ()))
    eye = Train("eye", "visual", (TUBE, FOCUSER, EYEPIECE))
    assert list(rings_for_focus(eye, ())) == []


def test_a_balance_off_the_saddle_is_said() -> None:
    train = Train(
        "native", "camera", (TUBE, FOCUSER, CAMERA), (RAIL, SADDLE),
        (Placement("Saddle", along_tube_mm=400.0),),
    )  # fmt: skip
    assert "back-heavy" in text_of(train)

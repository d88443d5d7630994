"""`logbook measure` as a user runs it: keys, order, refusals, drawings, the field of a frame."""

import json
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from logbook import cli
from tests.startest.pictures import Recipe, picture, truth

KEYS = [
    "file",
    "ok",
    "reason",
    "disc",
    "shadow",
    "offset_fraction",
    "offset_sigma",
    "position_angle_deg",
    "quality",
]
RECIPE = Recipe(seed=7, coma_waves=(0.5, 0.3), seeing_arcsec=1.0, plateau_e=5000.0)
Say = Callable[..., str]


@lru_cache(maxsize=1)
def pixels() -> NDArray[np.uint16]:
    return picture(RECIPE).astype(np.uint16)


@pytest.fixture
def star(tmp_path: Path) -> Path:
    path = tmp_path / "star.png"
    Image.fromarray(pixels()).save(path)
    return path


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str]) -> Say:
    def run(*arguments: object) -> str:
        assert cli.main(["measure", *map(str, arguments)]) == 0
        return capsys.readouterr().out

    return run


def test_json_has_the_agreed_keys_and_right_numbers(star: Path, say: Say) -> None:
    (item,) = json.loads(say(star, "--json"))
    true = truth(RECIPE)
    assert list(item) == KEYS
    assert item["file"] == "star.png"
    assert item["ok"] is True
    assert item["reason"] == ""
    assert list(item["disc"]) == list(item["shadow"]) == ["x_px", "y_px", "radius_px"]
    assert item["offset_fraction"] == pytest.approx(np.hypot(*true.offset), abs=0.012)
    angle = np.degrees(np.arctan2(true.offset[1], true.offset[0])) % 360.0
    assert item["position_angle_deg"] == pytest.approx(angle, abs=8.0)
    assert 0.0 < item["offset_sigma"] < 0.03
    assert 0.0 < item["quality"] <= 1.0


def test_every_picture_has_an_item_in_order_also_what_cannot_be_read(
    star: Path, say: Say, tmp_path: Path
) -> None:
    (tmp_path / "note.txt").write_text("cloudy")
    items = json.loads(say(tmp_path / "none.png", star, tmp_path / "note.txt", tmp_path, "--json"))
    assert [item["file"] for item in items] == ["none.png", "star.png", "note.txt", tmp_path.name]
    assert [item["ok"] for item in items] == [False, True, False, False]
    for item in (items[0], items[2], items[3]):
        assert list(item) == KEYS
        assert item["reason"]
        assert item["disc"] is None
        assert item["offset_fraction"] is None
        assert item["quality"] == 0.0


def test_the_text_says_offset_certainty_quality_and_the_mean(star: Path, say: Say) -> None:
    said = say(star, star, star.parent / "none.png")
    assert "of the disc's radius toward" in said
    assert "quality" in said
    assert "refused: none.png is not there" in said
    assert "2 of 3 measured" in said
    assert "if of one setting" in said


def test_a_file_name_cannot_speak_to_the_terminal(say: Say, tmp_path: Path) -> None:
    said = say(tmp_path / "\x1b]0;gotcha\x07[bold]x.png")
    assert "\x1b" not in said
    assert "[bold]x.png" in said


def test_the_drawing_is_written_beside_nothing_else(star: Path, say: Say, tmp_path: Path) -> None:
    folder = tmp_path / "drawn" / "tonight"
    say(star, tmp_path / "none.png", "--overlay", folder)
    assert [each.name for each in folder.iterdir()] == ["star.png-measured.png"]


def test_a_folder_for_drawings_that_cannot_be_is_refused(
    star: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["measure", str(star), "--overlay", str(star)]) == 5
    assert "folder" in capsys.readouterr().err


def focused() -> NDArray[np.uint16]:
    """A field of forty round stars, wider toward the right."""
    dice = np.random.default_rng(5)
    light = dice.normal(300.0, 6.0, (400, 600))
    y, x = np.indices(light.shape)
    for _ in range(40):
        at_x, at_y = dice.uniform(20, 580), dice.uniform(20, 380)
        sigma = 1.5 + 0.3 * at_x / 600
        square = (x - at_x) ** 2 + (y - at_y) ** 2
        light += 4000.0 * np.exp(-square / (2 * sigma**2))
    return light.astype(np.uint16)


def test_the_field_of_a_focused_frame(say: Say, tmp_path: Path) -> None:
    Image.fromarray(focused()).save(tmp_path / "field.png")
    said = say(tmp_path / "field.png", "--field", "--scale", "0.8")
    assert "″" in said
    assert "wider toward the right" in said
    items = json.loads(say(tmp_path / "field.png", tmp_path / "none.fits", "--field", "--json"))
    assert items[0]["one_sided_px"]["size"] > 0.2
    assert len(items[0]["zones"]) == 9
    assert items[1]["ok"] is False
    assert "not there" in items[1]["reason"]


def test_a_scale_that_cannot_be_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Image.fromarray(focused()).save(tmp_path / "field.png")
    assert cli.main(["measure", str(tmp_path / "field.png"), "--field", "--scale", "-1"]) == 2
    assert "scale" in capsys.readouterr().err
    assert cli.main(["measure", str(tmp_path / "field.png"), "--scale", "1"]) == 2
    assert "--field" in capsys.readouterr().err

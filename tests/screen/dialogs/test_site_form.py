"""A site's horizon: typed as pairs or read from a file, drawn, and corrected later."""

from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.errors import BadInput
from logbook.screen.dialogs.horizon_drawing import horizon_lines
from logbook.screen.dialogs.site_form import EditSite, NewSite, horizon_text, read_typed_horizon
from logbook.sky.night.site import Site
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import build_book, opened

TREES = ((0.0, 12.0), (90.0, 25.0), (180.0, 8.0), (270.0, 15.0))


@pytest.mark.parametrize(
    "typed", ["0 12, 90 25, 180 8, 270 15", "0 12; 90 25; 270 15; 180 8", "0 12,90 25,180 8,270 15"]
)
def test_a_horizon_is_typed_as_pairs(typed: str) -> None:
    assert read_typed_horizon(typed) == TREES
    assert read_typed_horizon(horizon_text(TREES)) == TREES


def test_a_horizon_is_read_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "trees.csv"
    path.write_text("# behind the house\nazimuth,altitude\n0,12\n90,25\n180,8\n270,15\n", "utf-8")
    assert read_typed_horizon(str(path)) == TREES
    assert read_typed_horizon(f"'{path}'") == TREES


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("0,12\n0,13\n", "two altitudes at azimuth 0"),
        ("0,12\n90,120\n", "90"),
        ("0,12\nninety,13\n", "line 2"),
        ("0,12\n", "one point only"),
        ("", "no horizon in it"),
    ],
)
def test_a_file_that_is_no_horizon_says_where(words: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(words, "utf-8")
    with pytest.raises(BadInput, match=said):
        read_typed_horizon(str(path))


def test_what_is_no_file_or_no_text_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no such file"):
        read_typed_horizon(str(tmp_path / "none.csv"))
    with pytest.raises(BadInput, match="no such file"):
        read_typed_horizon(f"{tmp_path}/")
    picture = tmp_path / "picture.csv"
    picture.write_bytes(b"\xff\xd8\xff\xe0" * 10)
    with pytest.raises(BadInput, match="cannot be read"):
        read_typed_horizon(str(picture))


def test_the_drawing_stands_highest_where_the_trees_do() -> None:
    lines = horizon_lines(((0.0, 0.0), (80.0, 0.0), (90.0, 40.0), (100.0, 0.0)), 64, 6)
    assert lines[0].startswith("45°")
    top = next(column for column, sign in enumerate(lines[1]) if sign > "⠀")
    assert lines[-1].index("E") == pytest.approx(top, abs=2)
    assert lines[-1].split() == ["N", "E", "S", "W", "N"]


async def test_the_horizon_of_a_known_site_is_corrected(tmp_path: Path) -> None:
    clock = Clock(EVENING)
    path = build_book(tmp_path / "logbook.db", clock)
    csv = tmp_path / "trees.csv"
    csv.write_text("0,12\n90,25\n180,8\n270,15\n", "utf-8")
    async with opened(path, clock, "choose") as screen:
        before = screen.book.sites.all()[0]
        await screen.press("h")
        form = screen.app.screen
        assert isinstance(form, EditSite)
        assert screen.app.focused is not None
        assert screen.app.focused.id == "field-horizon"
        form.query_one("#field-horizon", Input).value = str(tmp_path / "none.csv")
        await screen.press("ctrl+o")
        assert "no such file" in " ".join(screen.words(".sheet").split())
        form.query_one("#field-horizon", Input).value = str(csv)
        await screen.settle()
        assert "horizon of 4 points" in screen.words("#said-horizon")
        assert "30°" in screen.words("#site-horizon")
        await screen.press("ctrl+o")
        after = screen.book.sites.all()[0]
        assert after.site.horizon == TREES
        assert after.id == before.id
        assert (after.site.latitude_deg, after.site.longitude_deg) == (48.2, 16.3)
        assert "horizon of 4 points" in screen.said


async def test_a_new_site_may_have_a_typed_horizon(tmp_path: Path) -> None:
    clock = Clock(EVENING)
    path = build_book(tmp_path / "logbook.db", clock)
    async with opened(path, clock, "choose") as screen:
        await screen.press("n")
        form = screen.app.screen
        assert isinstance(form, NewSite)
        for name, value in {
            "name": "Kopje",
            "where": "34 S 20 E",
            "elevation": "300",
            "zone": "Africa/Johannesburg",
            "horizon": "0 12, 90 25, 180 8, 270 15",
            "sky": "21.4",
        }.items():
            form.query_one(f"#field-{name}", Input).value = value
        await screen.press("ctrl+o")
        kept = screen.book.sites.named("Kopje").site
        wanted = Site("Kopje", -34.0, 20.0, 300.0, "Africa/Johannesburg", TREES, 21.4)
        assert kept == wanted

"""Tab completes paths as a shell does."""

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from logbook.screen.widgets.path_line import complete_path, real_path


def test_one_name_is_completed_and_several_as_far_as_they_agree(tmp_path: Path) -> None:
    for name in ("star-1.fits", "star-2.fits", "moon.png"):
        (tmp_path / name).touch()
    assert complete_path(f"{tmp_path}/m") == (f"{tmp_path}/moon.png", 1)
    assert complete_path(f"{tmp_path}/s") == (f"{tmp_path}/star-", 2)
    assert complete_path(f"{tmp_path}/x") == (f"{tmp_path}/x", 0)


def test_a_folder_ends_in_a_slash_and_hidden_names_wait_for_their_dot(tmp_path: Path) -> None:
    (tmp_path / "session one").mkdir()
    (tmp_path / ".hidden").touch()
    assert complete_path(f"{tmp_path}/") == (f"{tmp_path}/session one/", 1)
    assert complete_path(f"{tmp_path}/.h") == (f"{tmp_path}/.hidden", 1)


def test_where_a_folder_is_wanted_files_are_passed_over(tmp_path: Path) -> None:
    (tmp_path / "tonight").mkdir()
    (tmp_path / "tonight.txt").touch()
    assert complete_path(f"{tmp_path}/t", folders_only=True) == (f"{tmp_path}/tonight/", 1)


def test_home_may_be_a_tilde() -> None:
    assert real_path("~/pictures") == Path.home() / "pictures"


@given(st.text(max_size=30))
def test_no_text_breaks_it(typed: str) -> None:
    completed, count = complete_path(f"/nowhere-at-all/{typed}")
    assert (completed, count) == (f"/nowhere-at-all/{typed}", 0)

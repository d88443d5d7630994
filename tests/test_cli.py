"""The commands as a user types them: what they answer, and what they refuse in which words."""

import argparse
import hashlib
import json
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest

from logbook import cli
from logbook.sky.night.site import Site
from logbook.store.demo.demo import fresh_demo
from logbook.store.file.book_state import APPLICATION_ID
from logbook.store.opening import make_book, open_book
from tests.books import night_in_progress

Run = Callable[..., int]


@pytest.fixture(scope="module")
def demo_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return fresh_demo(tmp_path_factory.mktemp("demo"))


def digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else "nothing there"


def test_tonight_as_json_has_the_agreed_keys(
    demo_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["tonight", "--book", str(demo_path), "--date", "2026-11-09", "--json"]
    assert cli.main([*arguments, "--limit", "5"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert list(found) == ["site", "train", "night", "suggestions"]
    assert set(found["site"]) == {
        "name",
        "latitude_deg",
        "longitude_deg",
        "elevation_m",
        "time_zone",
    }
    assert set(found["train"]) == {"name", "focal_length_mm", "image_scale_arcsec_px", "field_deg"}
    assert set(found["night"]) == {
        "sunset",
        "sunrise",
        "dark_from",
        "dark_to",
        "moon_illumination",
        "moon_rise",
        "moon_set",
    }
    assert len(found["suggestions"]) == 5
    first = found["suggestions"][0]
    assert set(first) == {
        "object",
        "name",
        "ra_deg",
        "dec_deg",
        "hours",
        "from",
        "to",
        "max_altitude_deg",
        "transit",
        "moon_separation_min_deg",
        "frame_fill",
        "score",
        "reasons",
    }
    begin, end = (datetime.fromisoformat(first[key]) for key in ("from", "to"))
    assert begin < end
    assert first["from"].endswith("Z")
    assert first["reasons"]


def test_a_summer_night_in_the_far_north_says_null_not_a_wrong_time(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = make_book(tmp_path / "north.db")
    with open_book(path) as book:
        book.sites.add(Site("Skerry", 69.6, 18.9, 5.0, "Europe/Oslo"))
    arguments = ["tonight", "--book", str(path), "--date", "2026-06-21", "--json"]
    assert cli.main(arguments) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["train"] is None
    assert [found["night"][key] for key in ("sunset", "sunrise", "dark_from", "dark_to")] == [
        None,
        None,
        None,
        None,
    ]
    assert cli.main(["tonight", "--book", str(path), "--date", "2026-06-21"]) == 0
    assert "does not set" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["tonight", "--site", "Nowhere"], 3, "Nowhere"),
        (["tonight", "--train", "Nothing"], 3, "Nothing"),
        (["tonight", "--date", "2026-02-30"], 2, "not a day of the calendar"),
        (["tonight", "--date", "soon"], 2, "YYYY-MM-DD"),
        (["tonight", "--date", "9999-01-01"], 2, "out of reach"),
        (["tonight", "--min-altitude", "120"], 2, "0 to 90"),
        (["tonight", "--min-altitude", "nan"], 2, "0 to 90"),
        (["tonight", "--limit", "0"], 2, "1 or more"),
        (["night", "2019-01-01"], 3, "2019-01-01"),
        (["night", "yesterdayish"], 2, "YYYY-MM-DD"),
        (["train", "[/x]"], 3, "[/x]"),
        (["add", "seeing", "3/5"], 2, "F10"),
    ],
)
def test_what_cannot_be_is_refused_with_words_and_changes_nothing(
    demo_path: Path,
    arguments: list[str],
    code: int,
    words: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    before = digest(demo_path)
    assert cli.main([*arguments, "--book", str(demo_path)]) == code
    said = capsys.readouterr()
    assert said.out == ""
    assert words in said.err
    assert said.err.count("\n") == 1
    assert digest(demo_path) == before


def _text_file(path: Path) -> None:
    path.write_text("Dear diary", encoding="utf-8")


def _other_database(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE song (title TEXT)")


def _newer_book(path: Path) -> None:
    make_book(path)
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()


def _cut_short(path: Path) -> None:
    make_book(path)
    _shorten(path)


def _shorten(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:5000])


def _missing(path: Path) -> None:
    assert not path.exists()


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (_text_file, "not a book"),
        (_other_database, "another program"),
        (_newer_book, "newer"),
        (_cut_short, "damaged"),
        (_missing, "no book"),
    ],
)
def test_a_file_that_is_no_book_is_refused_and_left_alone(
    make: Callable[[Path], None], words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "some.db"
    make(path)
    before = digest(path)
    assert cli.main(["nights", "--book", str(path)]) == 4
    assert words in capsys.readouterr().err
    assert digest(path) == before


def test_a_book_is_never_made_over_another_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "diary.txt"
    _text_file(path)
    assert cli.main(["begin", "--book", str(path)]) != 0
    assert path.read_text(encoding="utf-8") == "Dear diary"
    assert capsys.readouterr().err


def test_where_prints_the_book_that_option_and_variable_choose(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("LOGBOOK_BOOK", str(tmp_path / "from variable.db"))
    assert cli.main(["where"]) == 0
    assert capsys.readouterr().out.strip() == str(tmp_path / "from variable.db")
    assert cli.main(["where", "--book", str(tmp_path / "from option.db")]) == 0
    assert capsys.readouterr().out.strip() == str(tmp_path / "from option.db")
    assert list(tmp_path.iterdir()) == [], "asking where made a file"


def test_an_empty_book_says_what_to_do_first(
    book_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["nights", "--book", str(book_path)]) == 0
    assert "F10" in capsys.readouterr().err
    assert cli.main(["tonight", "--book", str(book_path)]) == 3
    assert "no site yet" in capsys.readouterr().err


def test_a_line_from_the_shell_is_kept_in_the_night_in_progress(
    book_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_book(book_path) as book:
        night_in_progress(book)
    assert cli.main(["add", "--book", str(book_path), "air", "4.2", "mirror", "7.9"]) == 0
    assert capsys.readouterr().out.startswith("Kept: air 4.2 °C, mirror 7.9 °C")
    assert cli.main(["night", "--book", str(book_path)]) == 0
    assert "mirror 7.9 °C" in capsys.readouterr().out


def _without_guard(path: Path) -> None:
    with closing(sqlite3.connect(path)) as book, book:
        book.execute("DROP TRIGGER entry_never_changed")


def _pointing_nowhere(path: Path) -> None:
    with closing(sqlite3.connect(path)) as book, book:
        book.execute("INSERT INTO reading (entry_id, quantity, number) VALUES (99, 'x', 1)")


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (_without_guard, "is damaged (the guard entry_never_changed is missing"),
        (_pointing_nowhere, "is damaged (a row of reading (number 1) points at a entry"),
        (_shorten, "is damaged"),
    ],
)
def test_a_line_is_not_saved_in_a_damaged_book_but_given_back(
    spoil: Callable[[Path], None],
    words: str,
    book_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    spoil(book_path)
    before = digest(book_path)
    assert cli.main(["add", "--book", str(book_path), "note", "cold hands"]) == 4
    said = capsys.readouterr()
    assert said.out == ""
    assert words in said.err
    assert said.err.endswith(" Not saved: note cold hands\n")
    assert digest(book_path) == before


def test_a_night_is_read_back_with_its_sums(
    demo_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["night", "2026-11-21", "--book", str(demo_path)]) == 0
    said = capsys.readouterr().out
    assert "Night of Saturday 21 November 2026" in said
    assert "32 frames, 2 h 40 min exposed" in said
    assert cli.main(["night", "2026-11-21", "--book", str(demo_path), "--as", "text"]) == 0
    assert capsys.readouterr().out == said  # one page, shown in one way


def test_markup_in_a_note_is_printed_as_it_was_typed(
    book_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_book(book_path) as book:
        night_in_progress(book, "[bold]Skerry")
    cli.main(["add", "--book", str(book_path), "note", "[/x] [red]hot[/red] \x1b[31m"])
    capsys.readouterr()
    assert cli.main(["night", "--book", str(book_path)]) == 0
    said = capsys.readouterr().out
    assert "[/x] [red]hot[/red]" in said
    assert "[bold]Skerry" in said
    assert "\x1b" not in said


def options_of(parser: argparse.ArgumentParser) -> dict[str, argparse.Action]:
    """Every option that says something, by each of its names."""
    return {
        name: action
        for action in parser._actions
        for name in action.option_strings
        if action.dest not in ("help", "version")
    }


def commands_of(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    (found,) = (each for each in parser._actions if isinstance(each, argparse._SubParsersAction))
    return dict(found.choices)


def in_two_places() -> list[tuple[str, str]]:
    """Each command with each option that it has and the program without a command has too."""
    top = cli.parser()
    return [
        (name, option)
        for name, command in commands_of(top).items()
        for option in options_of(command)
        if option in options_of(top)
    ]


def words_needed(command: argparse.ArgumentParser) -> list[str]:
    """What has to stand after a command so that it is understood."""
    needed = [each for each in command._actions if not each.option_strings]
    return ["2026" for each in needed for _ in range(_least(each.nargs))]


def _least(nargs: int | str | None) -> int:
    return nargs if isinstance(nargs, int) else {"?": 0, "*": 0}.get(nargs or "", 1)


@pytest.mark.parametrize(("command", "option"), in_two_places())
def test_an_option_counts_before_and_after_the_command(command: str, option: str) -> None:
    top = cli.parser()
    action = options_of(top)[option]
    given = [option] if action.nargs == 0 else [option, "here"]
    line = [command, *words_needed(commands_of(top)[command])]
    before = getattr(top.parse_args([*given, *line]), action.dest)
    after = getattr(top.parse_args([*line, *given]), action.dest)
    assert before == after == (True if action.nargs == 0 else "here")
    assert getattr(top.parse_args(line), action.dest) == action.default
    if action.nargs != 0:  # the nearer one counts
        assert getattr(top.parse_args([option, "there", *line, *given]), action.dest) == "here"


def test_options_of_a_command_share_no_place_with_another_of_the_program() -> None:
    assert ("demo", "--red") in in_two_places()
    top = cli.parser()
    for name, command in commands_of(top).items():
        for option, action in options_of(command).items():
            shared = [each for each in options_of(top).values() if each.dest == action.dest]
            assert all(option in each.option_strings for each in shared), (name, option)


@pytest.mark.parametrize(
    "arguments",
    [["nights", "--demo"], ["tonight", "--demo", "--json"], ["where", "--demo"], ["demo"]],
)
def test_a_book_and_the_demo_season_exclude_each_other(
    arguments: list[str], book_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = digest(book_path)
    assert cli.main(["--book", str(book_path), *arguments]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "give one of them" in said.err
    assert digest(book_path) == before


def test_a_read_only_book_is_read_and_keeps_nothing(
    book_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The answer of the file system is stood in for: permissions do not bind root."""
    with open_book(book_path) as book:
        night_in_progress(book)
    monkeypatch.setattr("logbook.store.file.sqlite.is_writable", lambda _: False)
    before = digest(book_path)
    assert cli.main(["nights", "--book", str(book_path)]) == 0
    assert "Skerry" in capsys.readouterr().out
    assert cli.main(["add", "--book", str(book_path), "note", "cold hands"]) == 5
    said = capsys.readouterr()
    assert said.out == ""
    assert str(book_path) in said.err
    assert digest(book_path) == before


def test_no_book_is_made_where_there_can_be_no_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "diary.txt"
    _text_file(file)
    assert cli.main(["begin", "--book", str(file / "book.db")]) == 5
    assert "No book was made" in capsys.readouterr().err
    assert [each.name for each in tmp_path.iterdir()] == ["diary.txt"]


def test_looking_at_the_demo_season_leaves_no_copy_behind(
    demo_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setattr("logbook.store.demo.demo._built", lambda _: demo_path)
    assert cli.main(["nights", "--demo"]) == 0
    assert cli.main(["night", "2019-01-01", "--demo"]) == 3
    assert list(tmp_path.iterdir()) == []


def test_find_offers_what_was_meant(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["find", "horsehed"]) == 0
    assert "Horsehead Nebula" in capsys.readouterr().out.splitlines()[0]
    assert cli.main(["find", "qqqqqqqq"]) == 3
    assert capsys.readouterr().err


def test_a_reader_that_goes_away_is_no_error(demo_path: Path) -> None:
    command = f"{sys.executable} -m logbook nights --book '{demo_path}' | head -1"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=True)
    assert done.stdout.count("\n") == 1
    assert done.stderr == ""


def test_what_was_not_foreseen_is_one_line_and_a_file(
    demo_path: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("broken on purpose")

    monkeypatch.setattr("logbook.report.terminal.print_nights", broken)
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    assert cli.main(["nights", "--book", str(demo_path)]) == 1
    said = capsys.readouterr().err
    assert "Traceback" not in said
    assert said.count("\n") == 1
    (log,) = tmp_path.rglob("crash-*.txt")
    assert "broken on purpose" in log.read_text(encoding="utf-8")


def test_a_book_is_written_out_and_made_again(
    demo_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, new = str(tmp_path / "out"), tmp_path / "new.db"
    assert cli.main(["export", out, "--book", str(demo_path)]) == 0
    assert cli.main(["import", out, "--book", str(new)]) == 0
    assert cli.main(["check", "--book", str(new)]) == 0
    assert "is sound" in capsys.readouterr().out
    assert cli.main(["import", out, "--book", str(new)]) == 4
    assert "left as it is" in capsys.readouterr().err


def test_going_back_to_a_copy_from_the_shell(
    demo_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = Path(shutil.copyfile(demo_path, tmp_path / "season.db"))
    assert cli.main(["restore", "--book", str(book)]) == 0
    assert "no copies" in capsys.readouterr().err
    assert cli.main(["backup", "--book", str(book)]) == 0
    copy = capsys.readouterr().out.strip()
    book.write_bytes(b"lost")
    assert cli.main(["check", "--book", str(book)]) == 4
    assert cli.main(["restore", "--book", str(book)]) == 0
    assert "32 nights" in capsys.readouterr().out
    assert cli.main(["restore", copy, "--book", str(book)]) == 0
    assert cli.main(["check", "--book", str(book)]) == 0


def test_there_is_nothing_to_copy_without_a_book(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["backup", "--book", str(tmp_path / "none.db")]) == 4
    assert "no book" in capsys.readouterr().err


def test_a_line_from_the_shell_is_added_to_a_night_that_is_over(
    demo_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    to_night = ["add", "--book", str(demo_path), "--night", "2026-11-21"]
    assert cli.main([*to_night, "at", "22:20", "seeing", "1/5"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("Added to the night of 2026-11-21: seeing 1 of 5")
    assert cli.main(["night", "2026-11-21", "--book", str(demo_path)]) == 0
    assert "22:20 seeing 1 of 5" in " ".join(capsys.readouterr().out.split()).replace("21:20 ", "")


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        (["seeing", "1/5"], 2, "Say when in that night"),
        (["at", "13:00", "air", "12"], 2, "before that night began"),
    ],
)
def test_a_line_at_no_time_of_that_night_is_refused_by_the_shell(
    demo_path: Path,
    line: list[str],
    code: int,
    words: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    to_night = ["add", "--book", str(demo_path), "--night", "2026-11-21"]
    assert cli.main([*to_night, *line]) == code
    assert words in capsys.readouterr().err


@pytest.mark.parametrize("empty", ["", " "])
def test_an_empty_date_of_a_night_is_refused(
    demo_path: Path, empty: str, capsys: pytest.CaptureFixture[str]
) -> None:
    add = ["add", "--book", str(demo_path), "--night", empty, "at 22:00 note x"]
    assert cli.main(add) == 2
    assert "no date was typed" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [
        ["begin", "--book", ""],
        ["--book", "", "where"],
        ["add", "--book", " ", "note x"],
        ["backup", ""],
        ["restore", ""],
        ["export", ""],
        ["import", ""],
    ],
)
def test_an_empty_name_of_a_file_means_no_file(
    arguments: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a script hands over a variable that was never set; it must not mean the usual book."""
    monkeypatch.setenv("LOGBOOK_BOOK", str(tmp_path / "usual.db"))
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as refused:
        cli.main(arguments)
    assert refused.value.code == 2
    assert list(tmp_path.iterdir()) == []

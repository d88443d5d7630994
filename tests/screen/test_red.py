"""The red night view lets nothing but red out, on every page, sheet and size."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.color import Color, ColorType
from rich.segment import Segment
from rich.style import Style
from textual.color import Color as TextualColor

from logbook.screen.app import LogbookApp
from logbook.screen.keys import PAGES
from logbook.screen.pages.past_search import SearchSheet
from logbook.screen.red import RedFilter, red_style
from logbook.store.opening import open_book
from logbook.store.peek import peek_choice
from logbook.store.upkeep import UpkeepRule
from tests.screen.book_on_screen import begin_night, build_book, opened
from tests.screen.star_pictures import star_picture
from tests.screen.terminal import Terminal, quiet_environment
from tests.store.clock import Clock

channel = st.integers(0, 255)
colors = st.builds(Color.from_rgb, channel, channel, channel)


def only_red(color: Color | None) -> bool:
    """Whether a colour that reached the terminal is red or black."""
    if color is None or color.type is ColorType.DEFAULT:
        return False
    _, green, blue = color.get_truecolor()
    return green == 0 and blue == 0


def contrast_on_black(color: Color) -> float:
    """Source: W3C WCAG 2.1, relative luminance and contrast ratio; for a colour of red only."""
    red = color.get_truecolor().red / 255
    linear = red / 12.92 if red <= 0.04045 else ((red + 0.055) / 1.055) ** 2.4
    return (0.2126 * linear + 0.05) / 0.05


@given(colors, colors, st.booleans(), st.booleans())
def test_whatever_the_colours_only_red_is_left(
    text: Color, ground: Color, bold: bool, reverse: bool
) -> None:
    style = red_style(Style(color=text, bgcolor=ground, bold=bold, reverse=reverse))
    assert only_red(style.color)
    assert only_red(style.bgcolor)
    assert (style.bold, style.reverse) == (bold, reverse)


@pytest.mark.parametrize("style", [None, Style(), Style(color="default", bgcolor="default")])
def test_a_cell_with_no_colour_of_its_own_gets_red_too(style: Style | None) -> None:
    (segment,) = RedFilter().apply([Segment("x", style)], TextualColor(0, 0, 0))
    assert segment.style is not None
    assert only_red(segment.style.color)
    assert only_red(segment.style.bgcolor)


@given(colors)
def test_text_stays_bright_enough_to_read_on_the_night_ground(text: Color) -> None:
    style = red_style(Style(color=text, bgcolor=Color.from_rgb(18, 18, 18)))
    assert style.color is not None
    assert contrast_on_black(style.color) > 2.8


def colours_on_screen(app: LogbookApp) -> set[tuple[str, Color | None]]:
    """Every colour of text and ground that is on the screen now, with an example of its text."""
    found: set[tuple[str, Color | None]] = set()
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            style = segment.style or Style.null()
            found |= {(segment.text[:20], style.color), (segment.text[:20], style.bgcolor)}
    return found


def leaks(app: LogbookApp) -> list[tuple[str, Color | None]]:
    """What is not red: colours, and emoji, which a terminal draws in colours of their own."""
    return [
        (text, color)
        for text, color in colours_on_screen(app)
        if not only_red(color) or any(character >= "\U0001f000" for character in text)
    ]


SHEETS = ("f1", "f9", "f10", "ctrl+p")
UPKEEP_SHEETS = ("d", "o", "n", "e", "x", "h", "a", "w")
KIT_SHEETS = ("n", "c", "e", "w", "s", "r", "b", "h", "o", "x", "f", "a")


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (120, 40)])
async def test_every_page_and_sheet_is_red_at_every_size(
    size: tuple[int, int], tmp_path: Path
) -> None:
    path = build_book(tmp_path / "logbook.db", Clock())
    with open_book(path, clock=Clock()) as book:
        book.upkeep.add(UpkeepRule("mirror rinse", "Long Tube", after_transport=True))
    async with opened(path, Clock(), "choose", size) as screen:
        assert leaks(screen.app), "the day view should have other colours, or this test is blind"
        await screen.press("f7")
        for page in PAGES:
            screen.app.action_turn_to(page)
            await screen.settle()
            assert leaks(screen.app) == [], page
        for sheet in SHEETS:
            await screen.press(sheet)
            assert len(screen.app.screen_stack) > 1, sheet
            assert leaks(screen.app) == [], sheet
            await screen.press("escape")
        for page, keys in (("kit", KIT_SHEETS), ("upkeep", UPKEEP_SHEETS)):
            screen.app.action_turn_to(page)
            await screen.settle()
            for key in keys:
                await screen.press(key)
                assert len(screen.app.screen_stack) > 1, key
                assert leaks(screen.app) == [], key
                await screen.press("escape")
        screen.app.push_screen(SearchSheet(screen.app.desk))
        for typed in (("s", "m", "a"), ("z", "z"), ("tab",), ("enter",)):
            await screen.press(*typed)
            await screen.settle()
            assert leaks(screen.app) == [], typed
        await screen.press("escape", "escape")
        await screen.press("f7")
        assert leaks(screen.app), "F7 should bring the day view back"


SCREW_SHEETS = ("a", "l", "m", "z", "o", "h", "v", "n", "f")


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (120, 40)])
async def test_every_sheet_of_the_screws_is_red_at_every_size(
    size: tuple[int, int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    star_picture(tmp_path / "star.png")
    path = build_book(tmp_path / "logbook.db", Clock())
    begin_night(path, Clock())
    async with opened(path, Clock(), "screws", size) as screen:
        await screen.press("f7")
        await screen.press("m", *"star.png", "enter")
        assert "▀" in screen.words("#measure-picture")
        assert leaks(screen.app) == []
        await screen.press("enter", "d")
        assert leaks(screen.app) == [], "large letters"
        await screen.press("d")
        for sheet in SCREW_SHEETS:
            await screen.press(sheet)
            assert len(screen.app.screen_stack) > 1, sheet
            assert leaks(screen.app) == [], sheet
            await screen.press("escape")


async def test_a_view_once_chosen_is_there_at_the_next_start(tmp_path: Path) -> None:
    path = build_book(tmp_path / "logbook.db", Clock())
    assert peek_choice(path, "view") is None
    async with opened(path, Clock(), "night") as screen:
        await screen.press("f7")
    assert peek_choice(path, "view") == "red"


SGR = re.compile(rb"\x1b\[([0-9;]*)m")


def colours_sent(raw: bytes) -> set[tuple[int, ...]]:
    """Every colour set by SGR sequences, as RGB, in 24-bit, 256 and 16 colours.

    Source: ECMA-48 (SGR) and the colour table of xterm's ctlseqs document.
    """
    found: set[tuple[int, ...]] = set()
    for match in SGR.finditer(raw):
        codes = [int(code) if code else 0 for code in match.group(1).split(b";")]
        while codes:
            code = codes.pop(0)
            if code in (38, 48) and codes and codes[0] == 2:
                found.add((codes[1], codes[2], codes[3]))
                del codes[:4]
            elif code in (38, 48) and codes and codes[0] == 5:
                found.add(tuple(Color.from_ansi(codes[1]).get_truecolor()))
                del codes[:2]
            elif 30 <= code <= 37 or 40 <= code <= 47:
                found.add(tuple(Color.from_ansi(code % 10).get_truecolor()))
            elif 90 <= code <= 97 or 100 <= code <= 107:
                found.add(tuple(Color.from_ansi(8 + code % 10).get_truecolor()))
    return found


@pytest.mark.parametrize(
    ("term", "colorterm"), [("xterm-256color", "truecolor"), ("xterm-256color", ""), ("xterm", "")]
)
def test_the_real_terminal_gets_red_only_from_the_first_byte(
    term: str, colorterm: str, tmp_path: Path
) -> None:
    path = build_book(tmp_path / "logbook.db", Clock())
    environment = quiet_environment(tmp_path, TERM=term, COLORTERM=colorterm)
    arguments = ["-m", "logbook", "--book", str(path), "--red"]
    with Terminal(arguments, environment=environment) as terminal:
        terminal.wait_for("Mill Hill")
        terminal.press("\x1bOS")  # F4
        terminal.wait_for("Long Tube")
        sent = colours_sent(bytes(terminal.raw))
    assert sent, "no colour was seen at all"
    assert {rgb for rgb in sent if rgb[1] or rgb[2]} == set()


def test_even_a_crash_says_its_one_line_in_red(tmp_path: Path) -> None:
    path = build_book(tmp_path / "logbook.db", Clock())
    environment = quiet_environment(tmp_path)
    code = (
        "import sys\n"
        "import logbook.screen.app as app\n"
        "app.LogbookApp.action_undo = lambda self: 1 / 0\n"
        "from logbook.cli import main\n"
        f"sys.exit(main(['--book', {str(path)!r}, '--red']))\n"
    )
    with Terminal(["-c", code], environment=environment) as terminal:
        terminal.wait_for("Mill Hill")
        terminal.press("\x1b[19~")  # F8
        terminal.wait_for("The program had to stop")
        sent = colours_sent(bytes(terminal.raw))
        assert "Traceback" not in terminal.text
        assert list((tmp_path / "state").rglob("crash-*.txt"))
    assert {rgb for rgb in sent if rgb[1] or rgb[2]} <= {(205, 0, 0), (128, 0, 0), (0, 0, 0)}

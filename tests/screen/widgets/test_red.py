"""The red night view lets nothing but red out, on every page, sheet and size."""

from collections.abc import Callable
from pathlib import Path
from shutil import which

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.color import Color, ColorType
from rich.segment import Segment
from rich.style import Style
from textual.color import Color as TextualColor

from logbook.screen.app.app import LogbookApp
from logbook.screen.pages.past.search import SearchSheet
from logbook.screen.widgets.keys import PAGES
from logbook.screen.widgets.red import RedFilter, plain_red_style, red_of, red_style
from logbook.store.file.peek import peek_choice
from logbook.store.opening import open_book
from logbook.store.upkeep.rules import UpkeepRule
from tests.clock import Clock
from tests.screen.book_on_screen import begin_night, build_book, opened
from tests.screen.colours import codes_sent, colours_sent
from tests.screen.star_pictures import star_picture
from tests.screen.terminal import Terminal, inside_tmux, quiet_environment

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


ESCAPE, F1, F2, F3, F4, F5 = "\x1b", "\x1bOP", "\x1bOQ", "\x1bOR", "\x1bOS", "\x1b[15~"
F6, F9, F10, CTRL_G, CTRL_N, CTRL_P = "\x1b[17~", "\x1b[20~", "\x1b[21~", "\x07", "\x0e", "\x10"
PAGES_AND_SHEETS = (  # the keys, and words that are only there
    (F2, "anything: above 30°"),
    (F1, "Keys, on every page"),
    (ESCAPE, "anything: above 30°"),
    (F3, "was left open"),
    (F4, "Look at a defocused star first"),
    ("l", "Look: put the shadow"),
    (ESCAPE, "Look at a defocused star first"),
    ("m", "Measure a picture"),
    ("star.png\r", "▀▀▀▀"),
    (ESCAPE, "Look at a defocused star first"),
    (F5, "train Short train"),
    ("n", "A part you have"),
    (ESCAPE, "train Short train"),
    (F6, "1 night, newest first"),
    ("/", "no entries yet"),
    (ESCAPE, "1 night, newest first"),
    (CTRL_N, "No rules yet"),
    ("a", "Upkeep of everything"),
    (ESCAPE, "No rules yet"),
    (F9, "What happened?"),
    (ESCAPE, "No rules yet"),
    (F10, "End the night"),
    (ESCAPE, "No rules yet"),
    (CTRL_P, "Letters find an action"),
    (ESCAPE, "No rules yet"),
    (CTRL_G, "Nothing runs."),
    (ESCAPE, "No rules yet"),
)


def _turned_to(words: str, gone: str) -> Callable[[str], bool]:
    return lambda text: words in text and not (gone and gone in text)


def walk(terminal: Terminal) -> None:
    """Through every kind of page and sheet, and assert that only red was ever drawn."""
    terminal.wait_for("Mill Hill")
    gone = ""
    for keys, words in PAGES_AND_SHEETS:
        terminal.press(keys)
        terminal.wait_for(_turned_to(words, gone if keys == ESCAPE else ""))
        gone = words
        assert terminal.screen.not_red == set(), (keys, words)
    sent = colours_sent(bytes(terminal.raw))
    assert len(sent) > 1, "no colour was seen at all"
    assert {rgb for rgb in sent if rgb[1] or rgb[2]} == set()


def left_open(folder: Path) -> list[str]:
    """A book with a night in it, a picture of a star beside it; how to begin in red on it."""
    path = build_book(folder / "logbook.db", Clock())
    begin_night(path, Clock())
    star_picture(folder / "star.png")
    start = f"import os; os.chdir({str(folder)!r}); from logbook.cli import main; "
    return ["-c", start + f"main(['--red', '--book', {str(path)!r}])"]


@pytest.mark.parametrize("colorterm", ["truecolor", ""])
def test_the_real_terminal_gets_red_only_from_the_first_byte_on_every_page(
    colorterm: str, tmp_path: Path
) -> None:
    environment = quiet_environment(tmp_path, COLORTERM=colorterm)
    with Terminal(left_open(tmp_path), environment=environment) as terminal:
        walk(terminal)


@pytest.mark.skipif(which("tmux") is None, reason="tmux is not installed")
def test_in_a_multiplexer_over_256_colours_no_red_becomes_a_grey(tmp_path: Path) -> None:
    """The program is promised all colours, the terminal outside has 256."""
    environment = quiet_environment(tmp_path, COLORTERM="truecolor", LANG="C.UTF-8")
    with inside_tmux(left_open(tmp_path), environment) as terminal:
        walk(terminal)


def test_sixteen_colours_get_plain_red_alone(tmp_path: Path) -> None:
    """Bold, dim, italic and underline are other colours there. Source: console_codes(4), Linux."""
    environment = quiet_environment(tmp_path, TERM="linux", COLORTERM="")
    with Terminal(left_open(tmp_path), environment=environment) as terminal:
        walk(terminal)
        assert codes_sent(bytes(terminal.raw)) <= {0, 7, 30, 31, 40, 41}


@given(colors, colors)
def test_no_level_leaves_that_a_multiplexer_makes_a_grey(text: Color, ground: Color) -> None:
    """Source of the levels: tmux 3.3a, colour.c, colour_find_rgb (nearest of cube and greys)."""
    style = red_style(Style(color=text, bgcolor=ground))
    for color in (style.color, style.bgcolor):
        assert color is not None
        assert color.get_truecolor().red not in range(0x0C, 0x35)


@given(st.integers(0, 255), st.booleans())
def test_a_pictures_tones_keep_to_the_levels_that_arrive(grey: int, plain: bool) -> None:
    tone = RedFilter(plain=plain).tone(grey)
    assert only_red(tone)
    assert tone.get_truecolor().red not in range(0x0C, 0x35)
    assert not plain or tone.type is ColorType.STANDARD


@given(st.floats(0, 255))
def test_every_red_that_is_asked_for_becomes_the_nearest_that_arrives(level: float) -> None:
    found = red_of(level).get_truecolor().red
    assert found not in range(0x0C, 0x35)
    assert abs(found - level) <= (0x35 - 0x0B) / 2 + 0x0B


def test_what_is_chosen_stands_out_of_the_page_in_every_kind_of_red() -> None:
    page, chosen = Style(bgcolor="#121212"), Style(color="#ddedf9", bgcolor="#0178d4")
    for turned in (red_style, plain_red_style):
        assert turned(page).bgcolor != turned(chosen).bgcolor


def test_the_demo_season_opens_in_red_where_the_option_stands_before_it(tmp_path: Path) -> None:
    environment = quiet_environment(tmp_path, TMPDIR=str(tmp_path))
    arguments = ["-m", "logbook", "--red", "demo"]
    with Terminal(arguments, environment=environment) as terminal:
        terminal.wait_for("objects, ")
        assert terminal.screen.not_red == set()
        sent = colours_sent(bytes(terminal.raw))
    assert len(sent) > 1
    assert {rgb for rgb in sent if rgb[1] or rgb[2]} == set()


def test_even_a_crash_says_its_one_line_in_red(tmp_path: Path) -> None:
    path = build_book(tmp_path / "logbook.db", Clock())
    environment = quiet_environment(tmp_path)
    code = (
        "import sys\n"
        "from logbook.screen.app.actions import ACTIONS\n"
        "ACTIONS['undo'] = lambda parts: 1 / 0\n"
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

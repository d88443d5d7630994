"""Draw the README's pictures anew: `python -m tests.screen.pictures` (needs a chromium).

The demo season is opened at a fixed moment; each page is drawn by the program itself.
"""

import asyncio
import re
import shutil
import subprocess
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from logbook.screen.app.app import LogbookApp
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.services import Desk
from logbook.screen.services.sky import RealSky

FOLDER = Path(__file__).with_name("pictures")
MOMENT = datetime(2026, 12, 8, 20, 40, tzinfo=UTC)
LINES = (
    "start m81",
    "seeing 3/5 transparency 4/5",
    "air 3.1 mirror 6.4 humidity 82",
    "8/20 x 180s L",
)
# A night is begun, and a look by eye is saved.
SCREWS_KEYS = ("f10", "ctrl+o", "f4", "l", "right", "right", "right", "up", "enter")
SCENES = (  # name, page, columns and rows, keys, red
    ("choose", "choose", (120, 40), ("down",), False),
    ("night", "night", (80, 24), ("f10", "ctrl+o"), False),
    ("screws", "screws", (80, 24), SCREWS_KEYS, False),
    ("kit", "kit", (80, 24), (), False),
    ("past", "past", (80, 24), ("enter",), False),
    ("compare", "past", (120, 40), ("g",), False),
    ("search", "past", (80, 24), ("slash", *"shadow"), False),
    ("upkeep", "upkeep", (80, 24), (), False),
    ("red", "choose", (80, 24), (), True),
)


async def draw(page: str, size: tuple[int, int], keys: tuple[str, ...], red: bool) -> str:
    """One page as SVG."""
    folder = Path(tempfile.mkdtemp())
    source = BookSource(folder, demo=True, clock=lambda: MOMENT)
    app = LogbookApp(source, Desk(RealSky(), clock=source.clock), red=red)
    async with app.run_test(size=size) as pilot:
        while app.desk.tonight is None:
            await pilot.pause(0.1)
        app.action_turn_to(page)
        await pilot.pause(0.5)
        for key in keys:
            await pilot.press(key)
            await pilot.pause(0.7)
        if page == "night":
            for line in LINES:
                app.query_one("#entry-bar").enter(line)  # type: ignore[attr-defined]
                await pilot.pause(0.4)
        await pilot.pause(0.7)
        return app.export_screenshot(title="logbook")


def without_fetching(svg: str) -> str:
    """The picture without fonts from the network and without a window's buttons."""
    svg = re.sub(r"<circle[^>]*/>", "", svg)
    svg = re.sub(r"@font-face\s*\{.*?\}", "", svg, flags=re.DOTALL)
    return re.sub(r"font-family: [^;]*;", "font-family: DejaVu Sans Mono, monospace;", svg)


def to_png(svg: str, path: Path) -> None:
    """Let a browser draw it."""
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is None:
        raise SystemExit("a chromium is needed to draw the pictures")
    box = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert box is not None
    width, height = (round(float(each)) for each in box.groups())
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder) / "page.html"
        page.write_text(
            f'<meta charset="utf-8"><body style="margin:0;background:#111">{svg}</body>',
            encoding="utf-8",
        )
        command = [
            browser,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--hide-scrollbars",
            f"--user-data-dir={folder}/profile",
            f"--window-size={width},{height}",
            f"--screenshot={path}",
            page.as_uri(),
        ]
        subprocess.run(command, check=True, capture_output=True)


def main() -> None:
    """Draw every scene."""
    FOLDER.mkdir(exist_ok=True)
    for name, page, size, keys, red in SCENES:
        svg = asyncio.run(draw(page, size, keys, red))
        to_png(without_fetching(svg), FOLDER / f"{name}.png")
        print(FOLDER.name, name)


if __name__ == "__main__":
    main()

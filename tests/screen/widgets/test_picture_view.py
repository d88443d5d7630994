"""A picture in half blocks keeps its greys, and at night its reds."""

import pytest
from rich.color import Color
from rich.segment import Segment
from textual.app import App, ComposeResult

from logbook.screen.widgets.picture_view import PictureView, Shown
from logbook.screen.widgets.red import RedFilter
from tests.screen.quiet import settled

RAMP = Shown(16, 2, bytes(range(0, 256, 16)) * 2)


class OnePicture(App[None]):
    """Shows a picture and nothing else."""

    CSS = "PictureView { width: 20; height: 3; }"

    def __init__(self, shown: Shown, *, red: bool) -> None:
        super().__init__()
        self._shown = shown
        self._red = red

    def compose(self) -> ComposeResult:
        yield PictureView(id="picture")

    def on_mount(self) -> None:
        self.query_one(PictureView).show(self._shown)

    def get_line_filters(self):  # type: ignore[no-untyped-def]
        filters = list(super().get_line_filters())
        return [*filters, RedFilter()] if self._red else filters


async def colours(shown: Shown, *, red: bool) -> list[list[tuple[Color, Color]]]:
    """(upper, lower) colour of every cell drawn, row by row."""
    app = OnePicture(shown, red=red)
    async with app.run_test(size=(30, 6)):
        await settled(app)
        view = app.query_one(PictureView)
        strips = app.screen._compositor.render_strips()[: view.size.height]
        return [_cells(strip.crop(0, view.size.width)._segments) for strip in strips]


def _cells(segments: list[Segment]) -> list[tuple[Color, Color]]:
    cells = []
    for segment in segments:
        assert segment.style is not None
        assert segment.style.color is not None
        assert segment.style.bgcolor is not None
        cells += [(segment.style.color, segment.style.bgcolor)] * len(segment.text)
    return cells


def test_a_ring_is_seen_on_bright_and_on_dark() -> None:
    dark = Shown(21, 21, bytes(21 * 21), ((10.0, 10.0, 8.0),))
    bright = Shown(21, 21, bytes([255]) * 21 * 21, ((10.0, 10.0, 8.0),))
    assert dark.levels()[10][18] == 255
    assert bright.levels()[10][18] == 0
    assert dark.levels()[10][10] == 255  # a cross at its centre


def test_a_circle_may_lie_partly_outside_the_picture() -> None:
    levels = Shown(5, 5, bytes(25), ((0.0, 0.0, 4.0),)).levels()
    assert (len(levels), len(levels[0])) == (5, 5)
    assert levels[4][0] == 255


@pytest.mark.parametrize("red", [False, True])
async def test_sixteen_levels_stay_sixteen_levels(red: bool) -> None:
    rows = await colours(RAMP, red=red)
    levels = [cell[0].get_truecolor().red for cell in rows[0][:16]]
    assert levels == sorted(set(levels))
    assert len(levels) == 16


async def test_in_the_red_view_only_red_leaves_the_picture() -> None:
    for row in await colours(RAMP, red=True):
        for color in (each for cell in row for each in cell):
            assert color.get_truecolor().green == color.get_truecolor().blue == 0

"""Text, Markdown and JSON: hostile words are harmless, and what is known is in them."""

import json
import re
from collections.abc import Iterator
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from logbook.report.registry import PAGES, PageData, render_page
from logbook.report.render.document import Paper, Section, Table
from logbook.report.render.json_ import json_text
from logbook.report.render.keys import PageKey
from logbook.report.render.mark import MARK
from logbook.report.render.markdown import escaped, markdown
from logbook.report.render.text import text_lines
from logbook.text import clean
from tests.report.hostile import FORMULA, HEADING, LINK, SCRIPT, every_page, hostile_book

KINDS = tuple(PAGES)


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, PageData]]:
    with hostile_book(tmp_path_factory.mktemp("hostile") / "book.db") as book:
        yield every_page(book)


@pytest.mark.parametrize("kind", KINDS)
def test_markdown_makes_no_html_no_link_and_no_mark_of_what_was_written(
    pages: dict[str, PageData], kind: str
) -> None:
    """Read by a CommonMark parser with HTML let through and tables on."""
    parser = MarkdownIt("commonmark", {"html": True}).enable("table")
    tokens = parser.parse(markdown(render_page(pages[kind])))
    inner = [each for token in tokens for each in token.children or ()]
    kinds = {each.type for each in (*tokens, *inner)}
    assert not kinds & {"html_block", "html_inline", "link_open", "image", "code_inline", "fence"}
    headings = [after.content for each, after in pairwise(tokens) if each.type == "heading_open"]
    assert HEADING.removeprefix("# ") not in headings


def test_markdown_keeps_every_sign_that_was_written(pages: dict[str, PageData]) -> None:
    parser = MarkdownIt("commonmark", {"html": True}).enable("table")
    tokens = parser.parse(markdown(render_page(pages["night"])))
    told = "\n".join(
        "".join(each.content for each in token.children or ()) for token in tokens if token.children
    )
    for words in (SCRIPT, LINK, FORMULA, HEADING):
        assert words in told


@pytest.mark.parametrize("kind", KINDS)
def test_a_table_of_markdown_has_as_many_cells_as_columns(
    pages: dict[str, PageData], kind: str
) -> None:
    parser = MarkdownIt("commonmark").enable("table")
    tokens = parser.parse(markdown(render_page(pages[kind])))
    rows = "".join(
        {"th_open": "h", "td_open": "d", "tr_close": "/", "table_open": "T"}.get(each.type, "")
        for each in tokens
    )
    for table in rows.split("T")[1:]:
        counts = {len(row) for row in table.strip("/").split("/")}
        assert len(counts) == 1


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("width", [60, 80, 120])
def test_text_fits_the_terminal_and_holds_no_control_character(
    pages: dict[str, PageData], kind: str, width: int
) -> None:
    paper = render_page(pages[kind])
    commands = {f"  {each.command}" for each in paper.links}
    for line in text_lines(paper, width):
        assert not re.search("[\x00-\x1f\x7f\u202a-\u202e]", line.plain)
        assert line.plain in commands or line.cell_len <= width


def test_text_is_bold_or_plain_and_never_coloured(pages: dict[str, PageData]) -> None:
    for data in pages.values():
        for line in text_lines(render_page(data)):
            for style in (line.style, *(span.style for span in line.spans)):
                assert getattr(style, "color", None) is None
                assert "red" not in str(style)


@pytest.mark.parametrize("kind", KINDS)
def test_json_is_json_and_says_who_wrote_it(pages: dict[str, PageData], kind: str) -> None:
    found = json.loads(json_text(pages[kind]))
    assert found["written_by"] == MARK
    assert len(found) > 2


def test_json_holds_the_numbers_of_a_comparison(pages: dict[str, PageData]) -> None:
    found = json.loads(json_text(pages["compare"]))
    assert found["outcome"]["verdict"] == "worse"
    assert found["then"]["numbers"]["fwhm_arcsec"]["mean"] == 2.0
    assert found["now"]["numbers"]["fwhm_arcsec"]["mean"] == 3.1
    assert found["then"]["night"]["local_date"] == "2025-11-14"
    topics = [each["topic"] for each in found["differences"]]
    assert {"star test", "screws", "upkeep", "transport"} <= set(topics)


UNITS = "s|c|m|px|deg|arcmin|arcsec|arcsec2|hours|seconds"
# What has no unit, or that of what stands above it.
BARE_NAMES = """
airmass binning count filters frames gain high horizon id illumination light_frames low mean
moon_up night_id nights number objects offset_fraction part_ids position readings revision
revision_id screws seeing_of_ten site_id train_id train_revision train_revision_id turns weight year
"""
BARE = set(BARE_NAMES.split())


def numbers_of(told: object, name: str = "") -> set[str]:
    """The names under which numbers stand."""
    if isinstance(told, dict):
        return set().union(*(numbers_of(each, key) for key, each in told.items()))
    if isinstance(told, list):
        return set().union(*(numbers_of(each, name) for each in told))
    return {name} if isinstance(told, int | float) and not isinstance(told, bool) else set()


@pytest.mark.parametrize("kind", ["night", "compare", "object", "year"])
def test_the_names_in_json_say_their_units_and_how_they_are_read(
    pages: dict[str, PageData], kind: str
) -> None:
    found = json.loads(json_text(pages[kind]))
    assert "Units are the end of a name" in found["how_to_read"]
    told = {name for name in numbers_of(found) if not re.search(rf"(^|_)({UNITS})$", name)}
    assert told <= BARE, told - BARE


def test_markdown_says_the_command_of_each_page_it_leads_to(pages: dict[str, PageData]) -> None:
    told = "".join(
        each.content
        for token in MarkdownIt("commonmark").parse(markdown(render_page(pages["year"])))
        for each in token.children or ()
    )
    assert "logbook night 2025-11-14" in told
    assert "logbook trends" in told


CELLS = st.text(st.sampled_from("|\\`*_<>&[]()#~!$ \nab:/@.1-+=\"'"), max_size=30)


@given(st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=4))
def test_any_cell_stays_one_cell_and_reads_as_it_was_written(rows: list[tuple[str, str]]) -> None:
    table = Table("", ("one", "two"), tuple(rows))
    page = markdown(Paper(PageKey("year", "2025"), "T", (Section("", (table,)),)))
    tokens = MarkdownIt("commonmark", {"html": True}).enable("table").parse(page)
    cells = [
        after.content if not after.children else "".join(each.content for each in after.children)
        for each, after in pairwise(tokens)
        if each.type == "td_open"
    ]
    assert cells == [clean(cell) for row in rows for cell in row]


@pytest.mark.parametrize(
    "words",
    [
        "# a heading",
        "- a list",
        "1. a list",
        "2) a list",
        "=== a rule",
        "> said",
        "    code",
        "a <b>bold</b> &lt; & word",
        "*a* _b_ `c` ~~d~~ [e](f) ![g](h) | i \\ j",
        "0.60″ of 2026-11-07 (not a list)",
    ],
)
def test_a_line_of_markdown_reads_as_it_was_written(words: str) -> None:
    """As a paragraph, as an item and in a table."""
    parser = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    for before in ("", "- ", "| a |\n| --- |\n| "):
        tokens = parser.parse(f"{before}{escaped(words)}")
        inner = [child for token in tokens for child in token.children or ()]
        last = [token for token in tokens if token.children][-1]
        assert {each.type for each in inner} <= {"text", "text_special"}
        assert "".join(each.content for each in last.children or ()).strip(" |") == words.strip()
        assert not any(each.type in ("heading_open", "code_block", "html_block") for each in tokens)

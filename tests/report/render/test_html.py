"""HTML pages: hostile words stay words, the page reads well for everyone, a browser agrees."""

import base64
import hashlib
import io
import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from xml.etree.ElementTree import Element

import axe_core_python
import html5lib
import pytest
from PIL import Image

from logbook.report.registry import PAGES, PageData, render_page
from logbook.report.render.document import Paper
from logbook.report.render.html import DARK, LIGHT, html_page
from tests.report.hostile import HOSTILE, PHOTO_FILE, STAR_FILE, every_page, hostile_book

KINDS = tuple(PAGES)
ELEMENTS = (
    "html|head|meta|title|style|body|main|h1|h2|section|p|strong|dl|dt|dd|ul|ol|li|div|table|caption|"
    "thead|tbody|tr|th|td|figure|figcaption|footer|nav|code|"
    "svg|desc|line|text|rect|polyline|circle|ellipse|path|g|img|image"
)
PICTURE = "data:image/(png|jpeg);base64,[A-Za-z0-9+/=]+"


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory, folder: Path) -> Iterator[dict[str, PageData]]:
    with hostile_book(tmp_path_factory.mktemp("hostile") / "book.db") as book:
        (book.path.parent / PHOTO_FILE).rename(folder / PHOTO_FILE)
        (book.path.parent / STAR_FILE).rename(folder / STAR_FILE)
        yield every_page(book)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the book's pictures lie."""
    return tmp_path_factory.mktemp("pictures")


@pytest.fixture(scope="module")
def written(pages: dict[str, PageData], folder: Path) -> dict[str, str]:
    return {kind: html_page(render_page(data), folder) for kind, data in pages.items()}


def parsed(html: str) -> Element:
    """The page as the HTML standard reads it; any error of parsing is an error here."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    root: Element = parser.parse(html)
    return root


def name_of(element: Element) -> str:
    return str(element.tag).rpartition("}")[2]


def words_of(element: Element) -> str:
    return "".join(element.itertext())


@pytest.mark.parametrize("kind", KINDS)
def test_hostile_words_stay_words(written: dict[str, str], kind: str) -> None:
    """Nothing but the page's own elements and harmless attributes is in it."""
    root = parsed(written[kind])
    for element in root.iter():
        if not isinstance(element.tag, str):
            pytest.fail("a comment is in the page")
        assert re.fullmatch(ELEMENTS, name_of(element))
        for attribute in element.attrib:
            assert not attribute.startswith("on")
            assert attribute not in ("style", "srcdoc", "formaction", "action", "srcset")
        address = element.attrib.get("href") or element.attrib.get("src")
        assert (address is not None) == (name_of(element) in ("img", "image"))
        assert address is None or re.fullmatch(PICTURE, address)


def test_what_was_written_is_read_word_for_word(written: dict[str, str]) -> None:
    told = words_of(parsed(written["night"]))
    for words in HOSTILE:
        if "\u202e" not in words:
            assert words in told
    assert "caught gnp.exe in the act" in told


@pytest.mark.parametrize("kind", KINDS)
def test_no_character_turns_the_text_around(written: dict[str, str], kind: str) -> None:
    """Source: Unicode 16, UAX 9, the explicit directional formatting characters."""
    assert not re.search("[\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c]", written[kind])


@pytest.mark.parametrize("kind", KINDS)
def test_the_policy_lets_nothing_in(written: dict[str, str], kind: str) -> None:
    """Source: W3C Content Security Policy Level 3: hashes of inline styles, default-src."""
    root = parsed(written[kind])
    (policy,) = (
        each.attrib["content"]
        for each in root.iter("meta")
        if each.attrib.get("http-equiv") == "Content-Security-Policy"
    )
    (style,) = root.iter("style")
    digest = base64.b64encode(hashlib.sha256((style.text or "").encode()).digest()).decode()
    assert "default-src 'none'" in policy
    assert f"style-src 'sha256-{digest}'" in policy
    assert "script-src" not in policy
    assert "unsafe" not in policy
    assert "url(" not in (style.text or "")
    assert "@import" not in (style.text or "")


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_is_built_so_that_a_screen_reader_can_follow_it(
    written: dict[str, str], kind: str
) -> None:
    """Source: WCAG 2.2, criteria 1.1.1, 1.3.1, 2.4.2, 2.4.6, 3.1.1 and 4.1.2."""
    root = parsed(written[kind])
    assert root.attrib["lang"] == "en"
    assert words_of(next(root.iter("title"))).strip()
    levels = [int(name_of(each)[1]) for each in root.iter() if name_of(each) in ("h1", "h2")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert len(list(root.iter("main"))) == 1
    ids = [each.attrib["id"] for each in root.iter() if "id" in each.attrib]
    assert len(ids) == len(set(ids))
    for table in root.iter("table"):
        heads = list(table.iter("th"))
        assert heads
        assert all(each.attrib.get("scope") in ("col", "row") for each in heads)
        assert all(words_of(each) for each in heads)
    for drawing in (each for each in root.iter() if name_of(each) == "svg"):
        assert drawing.attrib["role"] == "img"
        for label in drawing.attrib["aria-labelledby"].split():
            (told,) = (each for each in drawing.iter() if each.attrib.get("id") == label)
            assert words_of(told).strip()


def luminance(colour: str) -> float:
    """Relative luminance. Source: WCAG 2.2, definitions."""
    channels = (int(colour[place : place + 2], 16) / 255.0 for place in (1, 3, 5))
    red, green, blue = (
        each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Source: WCAG 2.2, definitions, contrast ratio."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("palette", [LIGHT, DARK, {**LIGHT, "paper": "#ffffff"}])
def test_words_and_lines_stand_out_by_day_by_night_and_on_paper(palette: dict[str, str]) -> None:
    """Source: WCAG 2.2, 1.4.3 (4.5 : 1 for words) and 1.4.11 (3 : 1 for drawings)."""
    for name in ("ink", "quiet", "one", "two"):
        assert contrast(palette[name], palette["paper"]) >= 4.5
    assert contrast(palette["line"], palette["paper"]) >= 3.0


def test_it_is_made_for_dark_for_light_and_for_paper(written: dict[str, str]) -> None:
    (style,) = parsed(written["year"]).iter("style")
    said = style.text or ""
    assert "@media (prefers-color-scheme:dark)" in said
    assert "@media print" in said
    assert "color-scheme:light dark" in said


def test_pages_are_drawn_where_there_is_something_to_draw(written: dict[str, str]) -> None:
    for kind, least in (("night", 3), ("object", 2), ("year", 1), ("trends", 4), ("train", 2)):
        drawn = [each for each in parsed(written[kind]).iter() if name_of(each) == "svg"]
        assert len(drawn) >= least, kind


def test_pictures_are_in_the_page_or_said_to_be_gone(written: dict[str, str]) -> None:
    root = parsed(written["night"])
    (image,) = (each for each in root.iter() if name_of(each) == "image")
    rings = [each for each in root.iter() if each.attrib.get("class", "").startswith("ring")]
    assert image.attrib["href"].startswith("data:image/png;base64,")
    assert [each.attrib["class"] for each in rings] == ["ring", "ring of-shadow"]
    (photo,) = root.iter("img")
    assert photo.attrib["alt"].startswith("Photograph: ")
    told = words_of(root)
    assert "(drawn: " in told
    assert told.count("no picture: ") == 2
    assert "zero is no ordinary file" in told


def test_notes_that_a_photograph_carries_stay_out(written: dict[str, str]) -> None:
    """A camera writes where a picture was taken; a hostile one writes anything."""
    for photo in parsed(written["part"]).iter("img"):
        held = base64.b64decode(photo.attrib["src"].partition(",")[2])
        assert b"script" not in held
        with Image.open(io.BytesIO(held)) as shown:
            assert not shown.getexif()


LOOK = """
<script>%s</script>
<script>
axe.run(document, {resultTypes: ["violations"]}).then(found => {
  const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  const flat = [...document.querySelectorAll("svg, img")].filter(
    each => each.getBoundingClientRect().height < 20).length;
  const said = {faults: found.violations.map(each => each.id + ": " + each.nodes[0].html),
    passes: found.passes.length, wide: wide, flat: flat,
    paper: getComputedStyle(document.body).backgroundColor,
    drawings: document.querySelectorAll("svg").length,
    broken: [...document.images].filter(each => !each.naturalWidth).length};
  document.documentElement.innerHTML = "<pre id=said></pre>";
  document.getElementById("said").textContent = JSON.stringify(said);
});
</script>
"""
# How a page is looked at: what the browser is told, what is changed, the colour of the paper then.
WAYS = {
    "light": ("--blink-settings=preferredColorScheme=1", "", "rgb(253, 252, 248)"),
    "dark": ("--blink-settings=preferredColorScheme=0", "", "rgb(20, 19, 15)"),
    "printed": ("--blink-settings=preferredColorScheme=0", "@media print", "rgb(255, 255, 255)"),
}


def look_at(html: str, browser: str, folder: Path, way: str) -> dict[str, object]:
    """What a real browser and axe-core say of a page 500 px wide.

    The page's own policy would rightly keep the looking script out, so it is taken off for this.
    """
    option, always, _ = WAYS[way]
    axe = Path(axe_core_python.__file__).with_name("axe.min.js").read_text("utf-8")
    open_to_look = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", html)
    if always:
        open_to_look = open_to_look.replace(always, "@media all")
    page = folder / "page.html"
    page.write_text(open_to_look.replace("</body>", f"{LOOK % axe}</body>"), encoding="utf-8")
    command = [
        browser,
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        option,
        f"--user-data-dir={folder}/profile",
        "--window-size=500,900",
        "--virtual-time-budget=20000",
        "--dump-dom",
        page.as_uri(),
    ]
    done = subprocess.run(command, check=True, capture_output=True, text=True, timeout=120)
    root = html5lib.parse(done.stdout, namespaceHTMLElements=False)
    said = next(each for each in root.iter("pre") if each.attrib.get("id") == "said")
    found: dict[str, object] = json.loads(words_of(said))
    return found


def papers_in_one(pages: dict[str, PageData]) -> Paper:
    """The sections of every kind of page under one title, to be looked at together."""
    papers = [render_page(data) for data in pages.values()]
    sections = tuple(each for paper in papers for each in paper.sections)
    return Paper(papers[0].key, "Every page", sections, papers[0].links)


@pytest.mark.parametrize("way", WAYS)
def test_where_a_browser_is_found_it_draws_the_pages_and_axe_core_finds_no_fault(
    pages: dict[str, PageData], folder: Path, tmp_path: Path, way: str
) -> None:
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is None:
        return
    said = look_at(html_page(papers_in_one(pages), folder), browser, tmp_path, way)
    assert said["faults"] == []
    assert said["flat"] == 0
    assert said["broken"] == 0
    assert said["paper"] == WAYS[way][2]
    assert said["wide"] == 0 or way == "printed", "the page is wider than a narrow window"
    assert isinstance(said["drawings"], int)
    assert said["drawings"] > 10


def test_where_a_browser_is_found_it_prints_the_pages(
    pages: dict[str, PageData], folder: Path, tmp_path: Path
) -> None:
    """Under the page's own policy: nothing that it needs is blocked by it."""
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is None:
        return
    (tmp_path / "page.html").write_text(html_page(papers_in_one(pages), folder), "utf-8")
    command = [
        browser,
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        f"--user-data-dir={tmp_path}/profile",
        "--no-pdf-header-footer",
        f"--print-to-pdf={tmp_path}/page.pdf",
        (tmp_path / "page.html").as_uri(),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    printed = (tmp_path / "page.pdf").read_bytes()
    assert printed.startswith(b"%PDF-")
    sheets = len(re.findall(rb"/Type ?/Page\b", printed))
    assert 3 < sheets < 40
    # The star's and the photograph's.
    assert len(re.findall(rb"/Subtype ?/Image\b", printed)) >= 2

"""A page as one HTML file that needs nothing else: no script, no fetching, drawings inside."""

import base64
import hashlib
import re
from html import escape
from pathlib import Path

from logbook.report.render.document import (
    Block,
    Facts,
    FramingSketch,
    Listing,
    Paper,
    Photo,
    Plot,
    Section,
    StarSketch,
    Table,
    Words,
)
from logbook.report.render.mark import MARK
from logbook.report.render.pictures import NoPicture, photograph, star_picture
from logbook.report.render.svg_plot import plot_svg
from logbook.report.render.svg_sketches import framing_svg, star_picture_svg, star_svg
from logbook.report.render.text import star_words
from logbook.text import clean

# Colours of light and dark, each pair at least 4.5 : 1 (WCAG 2.2, 1.4.3); lines at least 3 : 1.
LIGHT = {
    "paper": "#fdfcf8",
    "ink": "#1c1b19",
    "quiet": "#57534c",
    "line": "#8a857a",
    "one": "#8a3b12",
    "two": "#1f5673",
}
DARK = {
    "paper": "#14130f",
    "ink": "#ece8de",
    "quiet": "#b4aea0",
    "line": "#7d776a",
    "one": "#f0a070",
    "two": "#8fc3e0",
}


_SHORT = 12  # rows of a table that is not broken between two sheets of paper
_DATE = re.compile(r"\d{4}-\d\d-\d\d")


def _palette(colours: dict[str, str]) -> str:
    return "".join(f"--{name}:{value};" for name, value in colours.items())


STYLE = (
    f":root{{color-scheme:light dark;{_palette(LIGHT)}}}"
    f"@media (prefers-color-scheme:dark){{:root{{{_palette(DARK)}}}}}"
    """
*{box-sizing:border-box}
body{margin:0 auto;max-width:46rem;padding:1.5rem 1rem 3rem;
background:var(--paper);color:var(--ink);
font:1rem/1.5 Georgia,"Times New Roman",serif;overflow-wrap:break-word}
h1{font-size:1.6rem;line-height:1.25;margin:0 0 1rem}
h2{font-size:1.15rem;margin:2rem 0 .5rem;border-bottom:1px solid var(--line)}
p{margin:.5rem 0}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.15rem 1rem;margin:.5rem 0}
dt{color:var(--quiet)}
dd{margin:0}
ul,ol{margin:.5rem 0;padding-left:1.5rem}
.wide{overflow-x:auto;margin:.75rem 0}
table{border-collapse:collapse;font-size:.92rem;min-width:60%}
caption{text-align:left;color:var(--quiet);padding:.25rem 0}
th,td{text-align:left;vertical-align:top;padding:.2rem .75rem .2rem 0;
border-bottom:1px solid var(--line)}
.n{text-align:right;font-variant-numeric:tabular-nums}
.d,th.n{white-space:nowrap}
:focus-visible{outline:2px solid var(--two);outline-offset:2px}
figure{margin:1rem 0}
figcaption{color:var(--quiet);font-size:.92rem;margin-top:.25rem}
figcaption strong{color:var(--ink);font-weight:normal}
svg,img{max-width:100%;height:auto}
img{display:block;max-height:32rem;width:auto;border:1px solid var(--line)}
svg text{font:12px Georgia,serif;fill:var(--quiet)}
.grid{stroke:var(--line);stroke-width:.5}
.series{fill:none;stroke-width:1.8}
.series.s0{stroke:var(--one)}.series.s1{stroke:var(--two);stroke-dasharray:5 3}
.dot.s0{fill:var(--one)}.dot.s1{fill:var(--two)}
.bar{fill:var(--two)}
.frame{fill:none;stroke:var(--ink);stroke-width:1.5;stroke-dasharray:7 4}
.object{fill:none;stroke:var(--one);stroke-width:2}
.axis{fill:none;stroke:var(--quiet);stroke-width:1.2}
.disc{fill:#f3e9c8;stroke:var(--line)}.shadow{fill:#1c1b19}
.under{fill:none;stroke:#000000;stroke-width:4;opacity:.6}
.ring{fill:none;stroke:#ffd27a;stroke-width:1.8}.of-shadow{stroke-dasharray:6 4}
.star{display:inline-block;width:13rem;margin-right:1.25rem;vertical-align:top}
footer{margin-top:2.5rem;color:var(--quiet);font-size:.85rem}
code{font-family:ui-monospace,"DejaVu Sans Mono",monospace;font-size:.9em}
@media print{:root{"""
    + _palette(LIGHT)
    + """--paper:#ffffff}body{max-width:none;padding:0;font-size:10.5pt}
h2,caption{break-after:avoid}figure,tr,dl,li,.short{break-inside:avoid}
thead{display:table-header-group}body{orphans:1;widows:1}p,li{orphans:2;widows:2}
img{max-height:85mm}h2{margin-top:1.4rem}figure{margin:.6rem 0}
.wide{overflow:visible}nav{display:none}@page{margin:18mm}}
"""
)


def html_page(paper: Paper, folder: Path | None = None) -> str:
    """The whole page. Text of the book is only ever text in it.

    folder -- of the book: pictures that are named without a folder lie there.
    """
    body = "".join(_section(each, f"s{place}", folder) for place, each in enumerate(paper.sections))
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_policy()}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta name="generator" content="{MARK}">\n'
        f"<title>{_text(paper.title)}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n"
        f'<main>\n<h1 dir="auto">{_text(paper.title)}</h1>\n{body}</main>\n{_read_on(paper)}'
        f"<footer>Written by the observing logbook.</footer>\n</body>\n</html>\n"
    )


def _policy() -> str:
    """Nothing may be fetched, run or sent; only this page's own style counts."""
    digest = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
    return (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


def _text(words: str) -> str:
    return escape(clean(words))


def _section(section: Section, name: str, folder: Path | None) -> str:
    blocks = "".join(
        f"{_block(block, f'{name}-{place}', folder)}\n"
        for place, block in enumerate(section.blocks)
    )
    if not section.title:
        return blocks
    return f'<section><h2 id="{name}" dir="auto">{_text(section.title)}</h2>\n{blocks}</section>\n'


def _block(block: Block, name: str, folder: Path | None) -> str:
    if isinstance(block, Words):
        words = _text(block.text)
        return f'<p dir="auto">{f"<strong>{words}</strong>" if block.strong else words}</p>'
    if isinstance(block, Facts):
        rows = "".join(
            f'<dt dir="auto">{_text(label)}</dt><dd dir="auto">{_text(value)}</dd>'
            for label, value in block.rows
        )
        return f"<dl>{rows}</dl>"
    if isinstance(block, Listing):
        tag = "ol" if block.ordered else "ul"
        items = "".join(f'<li dir="auto">{_text(item)}</li>' for item in block.items)
        return f"<{tag}>{items}</{tag}>"
    if isinstance(block, Table):
        return _table(block)
    if isinstance(block, StarSketch):
        return _star(block, name, folder)
    if isinstance(block, Photo):
        return _photo(block, folder)
    if isinstance(block, FramingSketch):
        return _figure(framing_svg(block, name), _text(block.told))
    return _plot(block, name)


def _plot(block: Plot, name: str) -> str:
    unit = f" ({block.unit})" if block.unit else ""
    said = f"<strong>{_text(block.title + unit)}</strong>: {_text(block.told)}"
    return _figure(plot_svg(block, name), said)


def _figure(drawn: str, said: str, kind: str = "") -> str:
    attribute = f' class="{kind}"' if kind else ""
    return f'<figure{attribute}>{drawn}<figcaption dir="auto">{said}</figcaption></figure>'


def _star(star: StarSketch, name: str, folder: Path | None) -> str:
    """The picture with its circles, where it still lies there; else the drawn disc with a word."""
    words = star_words(star)
    if star.picture is None:
        return _figure(star_svg(star, name), _text(words), "star")
    try:
        shown = star_picture(star.picture, folder)
    except NoPicture as error:
        return _figure(star_svg(star, name), _text(f"{words} (drawn: {error})"), "star")
    return _figure(star_picture_svg(star, shown, name), _text(words), "star")


def _photo(photo: Photo, folder: Path | None) -> str:
    try:
        shown = photograph(photo.path, folder)
    except NoPicture as error:
        return f'<p dir="auto">{_text(f"{photo.caption} (no picture: {error})")}</p>'
    size = f'width="{shown.width_px}" height="{shown.height_px}"'
    image = f'<img src="{shown.address}" {size} alt="{_text(f"Photograph: {photo.caption}")}">'
    return _figure(image, _text(photo.caption))


def _table(table: Table) -> str:
    caption = f'<caption dir="auto">{_text(table.caption)}</caption>' if table.caption else ""
    heads = "".join(
        f'<th scope="col"{_kind(table, place, name)}>{_text(name) or "&nbsp;"}</th>'
        for place, name in enumerate(table.columns)
    )
    rows = "".join(f"<tr>{_cells(table, row)}</tr>\n" for row in table.rows)
    # A table wider than a narrow screen is moved sideways by keys too, so it can be reached by Tab.
    label = _text(table.caption or ", ".join(table.columns))
    kind = "wide short" if len(table.rows) <= _SHORT else "wide"
    return (
        f'<div class="{kind}" role="group" tabindex="0" aria-label="{label}"><table>{caption}'
        f"<thead><tr>{heads}</tr></thead>\n<tbody>{rows}</tbody></table></div>"
    )


def _cells(table: Table, row: tuple[str, ...]) -> str:
    first, *rest = row
    cells = f'<th scope="row"{_kind(table, 0, first)} dir="auto">{_text(first) or "–"}</th>'
    return cells + "".join(
        f'<td{_kind(table, place, cell)} dir="auto">{_text(cell)}</td>'
        for place, cell in enumerate(rest, start=1)
    )


def _kind(table: Table, place: int, cell: str) -> str:
    """Numbers stand to the right; dates are not broken in two."""
    if place in table.numbers:
        return ' class="n"'
    return ' class="d"' if _DATE.fullmatch(cell) else ""


def _read_on(paper: Paper) -> str:
    if not paper.links:
        return ""
    items = "".join(
        f'<li dir="auto">{_text(each.words)}: <code>{_text(each.command)}</code></li>'
        for each in paper.links
    )
    return f'<nav aria-label="Read on"><h2>Read on</h2><ul>{items}</ul></nav>\n'

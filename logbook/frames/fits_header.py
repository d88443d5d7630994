"""The header of a picture in a FITS file: read within bounds, never its pixels.

Source: FITS Standard 4.0 (IAU FITS Working Group 2018), sections 3 (blocks), 4.1 and 4.2 (cards),
10.1 (compressed pictures). What real files get wrong is read as far as it makes sense.
"""

import io
import math
import os
import re
import stat
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from logbook.errors import BadInput
from logbook.text import clean

BLOCK_BYTES = 2880
CARD_BYTES = 80
MOST_BLOCKS = 400  # of one header: 14,400 cards, ten times what a full one has
MOST_HEADERS = 20
_MOST_PACKED_BYTES = 1_000_000  # of a gzip file that are looked at
_LONGEST_TEXT = 4000
_OPEN_FLAGS = os.O_RDONLY
for _name in ("O_NONBLOCK", "O_CLOEXEC", "O_NOCTTY", "O_BINARY"):  # not every system has all
    _OPEN_FLAGS |= getattr(os, _name, 0)

_VALUE = re.compile(r"\s*(?:'((?:[^']|'')*)'|([^/]*))\s*(?:/(.*))?", re.DOTALL)
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[EDed][+-]?\d{1,3})?", re.ASCII)

Value = str | float | bool


@dataclass(frozen=True, slots=True)
class Card:
    """One line of a header. Its `text` is clean: it holds nothing a terminal would obey."""

    value: Value
    comment: str = ""

    @property
    def text(self) -> str:
        """The value as one line of clean text."""
        if not isinstance(self.value, str):
            return f"{self.value:g}"
        if self.value.isascii() and self.value.isprintable():  # as nearly all are
            return " ".join(self.value.split())
        return clean(self.value)

    @property
    def number(self) -> float | None:
        """The number it holds, also if written as text; None if it holds none."""
        if isinstance(self.value, str):
            return _number(self.value.strip())
        return None if isinstance(self.value, bool) else self.value


Header = Mapping[str, Card]  # by keyword


class _CardsOnDemand(Mapping[str, Card]):
    """Cards that are read when they are asked for: a frame needs twenty of a hundred."""

    def __init__(self, raw: dict[str, list[bytes]]) -> None:
        self.raw = raw
        self._read: dict[str, Card] = {}

    def __getitem__(self, keyword: str) -> Card:
        if keyword not in self._read:
            self._read[keyword] = _card(self.raw[keyword])
        return self._read[keyword]

    def __iter__(self) -> Iterator[str]:
        return iter(self.raw)

    def __len__(self) -> int:
        return len(self.raw)

    def __contains__(self, keyword: object) -> bool:
        return keyword in self.raw


def read_header(path: Path) -> Header:
    """The header of the first picture in a file, with the cards that only the first header has.

    The file is opened for reading only and closed at once. Raises BadInput with the reason if it
    is no FITS file, is cut off or has no picture, and OSError if it cannot be read.
    """
    with _opened(path) as file:
        return _first_picture(file, os.fstat(file.fileno()).st_size)


def _opened(path: Path) -> BinaryIO:
    """A plain file, open. A pipe, a device or a folder is not opened: it may wait, or do things."""
    if not stat.S_ISREG(path.stat().st_mode):
        raise BadInput("it is not a plain file")
    return os.fdopen(os.open(path, _OPEN_FLAGS), "rb", buffering=0)


def _first_picture(file: BinaryIO, size: int) -> Header:
    start = file.read(2)
    file.seek(0)
    if start == b"\x1f\x8b":
        return _picture_in(_unpacked(file), None)
    return _picture_in(file, size)


def _unpacked(file: BinaryIO) -> BinaryIO:
    """The beginning of a gzip file; never more than the longest header."""
    try:
        unpacking = zlib.decompressobj(wbits=31)
        packed = file.read(_MOST_PACKED_BYTES)
        return io.BytesIO(unpacking.decompress(packed, MOST_BLOCKS * BLOCK_BYTES))
    except zlib.error as error:
        raise BadInput("its compression is damaged") from error


def _picture_in(file: BinaryIO, size: int | None) -> Header:
    """size -- of the whole file, to see whether the picture is all there; None if not known."""
    first: dict[str, list[bytes]] = {}
    offset = 0
    for number in range(MOST_HEADERS):
        header, length = _read_one(file, is_first=number == 0)
        offset += length
        data = _data_bytes(header)
        if _is_picture(header):
            if size is not None and size < offset + data:
                raise BadInput(
                    "it is cut off, or still being written: the picture is not all there"
                )
            return _CardsOnDemand(first | header.raw)
        first = first or header.raw
        offset += -(-data // BLOCK_BYTES) * BLOCK_BYTES
        if size is not None and offset >= size:
            break
        file.seek(offset)
    raise BadInput("there is no picture in it")


def _read_one(file: BinaryIO, *, is_first: bool) -> tuple[_CardsOnDemand, int]:
    """One header and how many bytes it takes up."""
    cards: list[bytes] = []
    for number in range(1, MOST_BLOCKS + 1):
        block = file.read(BLOCK_BYTES)
        if number == 1 and not block.startswith(b"SIMPLE  =" if is_first else b"XTENSION="):
            raise BadInput("it is not a FITS file" if is_first else "there is no picture in it")
        if len(block) < BLOCK_BYTES:
            raise BadInput("it is cut off, or still being written: its header has no end")
        found = [block[at : at + CARD_BYTES] for at in range(0, BLOCK_BYTES, CARD_BYTES)]
        if b"END" in block:
            ends = [card[:8].rstrip() for card in found]
            if b"END" in ends:
                cards += found[: ends.index(b"END")]
                return _CardsOnDemand(_by_keyword(cards)), number * BLOCK_BYTES
        cards += found
    raise BadInput(f"its header goes on for more than {MOST_BLOCKS * BLOCK_BYTES / 1e6:.1f} MB")


def _by_keyword(cards: list[bytes]) -> dict[str, list[bytes]]:
    """Cards by keyword, each with those it goes on in; of two with one keyword the first counts."""
    raw: dict[str, list[bytes]] = {}
    last: list[bytes] = []
    for card in cards:
        keyword = card[:8].rstrip().decode("latin-1").upper()
        if keyword == "CONTINUE":
            last.append(card[8:])
        elif card[8:9] == b"=":
            last = [card[9:]]
            raw.setdefault(keyword, last)
    return raw


def _card(parts: list[bytes]) -> Card:
    """One card; long text goes on in the next as long as it ends in &."""
    value, comment = _split(_decoded(parts[0]))
    for part in parts[1:]:
        more, _ = _split(_decoded(part))
        if not (isinstance(value, str) and isinstance(more, str) and value.endswith("&")):
            break
        value = (value.removesuffix("&") + more)[:_LONGEST_TEXT]
    return Card(value, comment)


def _decoded(card: bytes) -> str:
    """The standard has ASCII; what programs write beside it is most often UTF-8 or Latin-1."""
    try:
        return card.decode("utf-8")
    except UnicodeDecodeError:
        return card.decode("latin-1")


def _split(text: str) -> tuple[Value, str]:
    match = _VALUE.match(text)
    if match is None:
        return "", ""
    quoted, bare, comment = match.groups()
    comment = comment or ""
    if quoted is not None:
        return quoted.replace("''", "'").rstrip(), comment
    word = (bare or "").strip()
    if word in ("T", "F"):
        return word == "T", comment
    number = _number(word)
    return (word.strip("' ") if number is None else number), comment


def _number(text: str) -> float | None:
    if len(text) > CARD_BYTES or not _NUMBER.fullmatch(text):
        return None
    number = float(text.upper().replace("D", "E"))
    return number if math.isfinite(number) else None


def whole(header: Header, keyword: str, default: int) -> int:
    """The whole number of a keyword; the default where there is none or it has a fraction."""
    card = header.get(keyword)
    number = card.number if card else None
    return default if number is None or not number.is_integer() else int(number)


def _is_picture(header: Header) -> bool:
    if "XTENSION" in header and header["XTENSION"].text not in ("IMAGE", "BINTABLE"):
        return False
    if header.get("XTENSION", Card("")).text == "BINTABLE":
        return header.get("ZIMAGE", Card(False)).value is True and min(picture_size(header)) > 0
    return whole(header, "NAXIS", 0) >= 2 and min(picture_size(header)) > 0


def picture_size(header: Header) -> tuple[int, int]:
    """Width and height in pixels; of a compressed picture as it was before."""
    first = "ZNAXIS" if header.get("ZIMAGE", Card(False)).value is True else "NAXIS"
    return whole(header, f"{first}1", 0), whole(header, f"{first}2", 0)


def _data_bytes(header: Header) -> int:
    """Source: FITS Standard 4.0, eq. 2: |BITPIX| x GCOUNT x (PCOUNT + NAXIS1 x ... NAXISm)."""
    axes = whole(header, "NAXIS", 0)
    if not 0 < axes <= 999:
        return 0
    lengths = [whole(header, f"NAXIS{axis}", 0) for axis in range(1, axes + 1)]
    groups, parameters = whole(header, "GCOUNT", 1), whole(header, "PCOUNT", 0)
    bits = abs(whole(header, "BITPIX", 8)) * groups * (parameters + math.prod(lengths))
    if bits < 0:
        raise BadInput("its header says that its data are less than nothing")
    return bits // 8

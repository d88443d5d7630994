"""Text from people and files is data: these clean it before it is saved or shown."""

import unicodedata

_UNSAFE_CATEGORIES = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
_FORMAT_ALLOWED = {"\u200d"}  # joins emoji; harmless and expected in notes
BETWEEN_LINES = " ; "


def printable(text: str) -> str:
    """Return `text` as it is, but for control, escape and direction-changing characters."""
    return "".join(
        character
        for character in text
        if character in _FORMAT_ALLOWED or unicodedata.category(character) not in _UNSAFE_CATEGORIES
    )


def did_not_arrive_whole(text: str) -> bool:
    """Whether a letter in it came in another encoding: what stands for it says nothing.

    U+FFFD stands for a byte of the terminal that is no UTF-8, a surrogate for one of an argument.
    """
    return any(each == "\N{REPLACEMENT CHARACTER}" or "\ud800" <= each <= "\udfff" for each in text)


NOT_WHOLE = "a letter did not arrive whole: write another"


def clean(text: str, *, longest: int = 4000) -> str:
    """Return `text` as one line without control, escape or direction-changing characters.

    Tabs and line ends become single spaces; the result is NFC, stripped and at most
    `longest` characters long.
    """
    spaced = "".join(" " if character in "\t\n\r\v\f" else character for character in text)
    return unicodedata.normalize("NFC", " ".join(printable(spaced).split()))[:longest]


def as_one_line(*lines: str) -> str:
    """Lines that are not saved yet as one: each later one is a remark of the one before."""
    return BETWEEN_LINES.join(each for each in lines if each.strip())


def fold(text: str) -> str:
    """Return `text` for comparing: lower case, without accents, single spaces."""
    decomposed = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(character for character in decomposed if not unicodedata.combining(character))
    return " ".join(bare.split())

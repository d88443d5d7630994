"""The keys of one page, once: bindings, help, palette and the page's own line of keys read this."""

from collections.abc import Awaitable, Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from textual.binding import Binding

H = TypeVar("H")  # what a page holds, and its keys change


def asks_nothing(held: object) -> str:
    """For a key that writes nothing."""
    del held
    return ""


@dataclass(frozen=True, slots=True)
class PageKey(Generic[H]):
    """A key that works on one page.

    keys -- as the library names them, alternatives divided by commas.
    meaning -- one sentence, for the palette.
    footer -- key and word as the page's own line of keys shows them, "" for none.
    asks -- what is asked before the key writes, "" where it writes nothing.
    """

    keys: str
    meaning: str
    do: Callable[[H], object | Awaitable[object]]
    footer: str = ""
    asks: Callable[[H], str] = asks_nothing

    def binding(self) -> Binding:
        return Binding(self.keys, f"press_key('{self.keys}')", tooltip=self.meaning, show=False)


class KeyRow(Generic[H]):
    """One line of the help, with its keys; none where a list of the page has the key."""

    def __init__(self, shown: str, help: str, *keys: PageKey[H], footer: str = "") -> None:  # noqa: A002
        self.shown = shown
        self.help = help
        self.keys = keys
        self.footer = footer


KeyTable = Sequence[KeyRow[Any]]


def bindings_of(rows: KeyTable) -> list[Any]:
    """The bindings of a page, for its class."""
    return [key.binding() for row in rows for key in row.keys]


def key_named(rows: KeyTable, keys: str) -> PageKey[Any]:
    """The key with these names. Raises LookupError."""
    return {key.keys: key for row in rows for key in row.keys}[keys]


def question_of(rows: KeyTable, key: str, held: object) -> str:
    """What is asked before one key writes; "" for one that writes nothing or isn't here."""
    found = (each for row in rows for each in row.keys if key in each.keys.split(","))
    return next((each.asks(held) for each in found), "")


def footer_words(rows: KeyTable, shown: Iterable[str], between: str) -> str:
    """The page's line of keys: these keys, or rows as the help shows them, in this order."""
    words = {row.shown: row.footer for row in rows}
    words |= {key.keys: key.footer for row in rows for key in row.keys if key.footer}
    return between.join(words[each] for each in shown)

"""The real program goes through what opens over its pages; each closing key comes twice at once."""

from collections.abc import Iterator

import pytest

from tests.screen.keys_sent import ENTER, ESCAPE, F1, F2, F4, F5, F6, F9, TAB, ctrl
from tests.screen.terminal import Terminal, quiet_environment

FORM, PICK, TEXT = "Enter: next, and keep", "Enter takes it", "↑ ↓ scroll"
UPKEEP, FAR = ctrl("n"), ctrl("g")

# The keys that open it, words on it, the keys that close it.
MODALS: tuple[tuple[tuple[str, ...], str, tuple[str, ...]], ...] = (
    ((F2, "c"), "60 nights", (ESCAPE, "q", ENTER)),
    ((F2, "r"), "Running order of", (ESCAPE, "q")),
    ((F2, "o"), "p project", (ESCAPE, "q", ENTER)),
    ((F2, "L"), "Sets of limits", (ESCAPE, "q")),
    ((F2, "L", "n"), "Keep these limits", (ESCAPE,)),
    ((F2, "b"), "What else the night", (ESCAPE, "q")),
    ((F2, "x"), "A star for the star", (ESCAPE, "q")),
    ((F2, "p"), "Projects: hours", (ESCAPE, "q")),
    ((F2, "w"), TEXT, (ESCAPE, "q", ENTER, F1)),
    ((F2, "n"), FORM, (ESCAPE,)),
    ((F2, F1), TEXT, (ESCAPE, "q", ENTER, F1)),
    ((F2, F9), "What happened?", (ESCAPE,)),
    ((F2, FAR), "back to the page", (ESCAPE, "q", FAR)),
    ((F4, "o"), "A round picture shows no coma", (ESCAPE, "o")),
    ((F5, "n"), FORM, (ESCAPE,)),
    ((F5, "b"), PICK, (ESCAPE,)),
    ((F6, "e"), "Entries of the night", (ESCAPE, "q")),
    ((F6, "e", "d"), "Withdraw from the night", (ESCAPE,)),
    ((F6, "/", TAB), "Narrow the search", (ESCAPE, TAB)),
    ((F6, "o"), PICK, (ESCAPE,)),
    ((UPKEEP, "d"), FORM, (ESCAPE,)),
    ((UPKEEP, "h"), "p part", (ESCAPE, "q")),
    ((UPKEEP, "w"), "Wishes, and small", (ESCAPE, "q")),
    ((UPKEEP, "o"), PICK, (ESCAPE,)),
)


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Terminal]:
    home = tmp_path_factory.mktemp("home")
    with Terminal(["-m", "logbook", "demo"], environment=quiet_environment(home)) as it:
        it.wait_for("Ottermoss")
        it.wait_for(lambda text: "°" in "".join(text.splitlines()[5:8]))
        yield it


def to_the_page(it: Terminal) -> None:
    """Out of all that is open, with an empty line, which the last key shows to be so."""
    for key in (*ESCAPE * 4, ctrl("t"), ctrl("u")):
        it.press(key)
        for _ in range(2):
            assert it.read(0.05), "the program ended"
    it.press("zz")
    it.wait_for("▸ zz")
    it.press(ctrl("u"))
    it.wait_for(lambda text: "▸ zz" not in text)


@pytest.mark.parametrize("opened", MODALS, ids=lambda each: repr("".join(each[0])))
def test_its_closing_key_twice_in_one_write_closes_it_and_not_the_program(
    program: Terminal, opened: tuple[tuple[str, ...], str, tuple[str, ...]]
) -> None:
    keys, words, closing = opened
    for each in closing:
        to_the_page(program)
        for key in keys:
            program.press(key)
        program.wait_for(words)
        program.press(each * 2)
        program.wait_for(lambda text: words not in text)
    to_the_page(program)

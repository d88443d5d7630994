"""What an Enter must have seen: a line that came into view by itself, and what was cut off one."""

from math import inf

from textual._time import get_time

from logbook.screen.services.line_queue import MOST_WAITING

LONGEST_TYPED = 2000  # characters
BOUNCE_S = 0.5  # an Enter that comes sooner was meant for what was there before


class Unseen:
    """Holds back an Enter that came before what it would log could be read."""

    def __init__(self) -> None:
        self.not_taken = ""  # of what was typed or pasted, in words
        self._cut = 0  # characters of the line that found no room
        self._cut_was_said = False  # when Enter was pressed on it
        self._shown_at_s = -inf  # when the line came into view with what nobody typed just now

    def comes_into_view(self) -> None:
        """The line has the keys again, or a text by itself: an Enter must have seen it."""
        self._shown_at_s = get_time()

    def is_seen(self) -> None:
        """A key went to the line."""
        self._shown_at_s = -inf

    def came_too_soon(self, entered_s: float) -> bool:
        return entered_s < self._shown_at_s + BOUNCE_S

    def says_cut(self) -> bool:
        """Whether the line was cut and that is said only now; the next Enter logs what stands."""
        if not self._cut or self._cut_was_said:
            return False
        self._cut_was_said = True
        self.not_taken = f"{self.not_taken} Enter again logs what stands."
        self.comes_into_view()
        return True

    def note_cut(self, cut: int, left_out: int = 0) -> None:
        """So many characters of the line found no space, and so many pasted lines."""
        self._cut, self._cut_was_said = cut, False
        self.not_taken = _not_taken_words(cut, left_out)

    def note_letter(self) -> None:
        """One more character found no space."""
        self.note_cut(self._cut + 1)

    def is_emptied(self) -> None:
        """The line is empty: what is typed from now on is whole."""
        self._cut = 0


def that_fits(line: str, room: int) -> str:
    """The beginning of a line, up to a whole word, so that no number is cut short."""
    if len(line) <= room:
        return line
    return line[: room + 1].rpartition(" ")[0] or line[:room]


def _not_taken_words(cut: int, left_out: int) -> str:
    """What of a paste found no space."""
    words = []
    if cut:
        words.append(
            f"{cut:,} character{'' if cut == 1 else 's'} not taken: a line takes {LONGEST_TYPED:,}."
        )
    if left_out:
        words.append(f"{left_out:,} pasted lines not taken: {MOST_WAITING} may wait.")
    return " ".join(words)

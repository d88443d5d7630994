"""Letters that follow each other at once, where the first was a key of the page.

Only what comes next shows whether that letter was meant as a key, or as the beginning of a line by
someone who believed to be on the entry line. So it is remembered while letters go on.
"""

FOLLOWS_S = 2.0  # a letter that comes later has nothing to do with the one before it


class TypedRun:
    """The letters so far; "" while no run goes on."""

    def __init__(self) -> None:
        self.text = ""
        self._last_s = 0.0

    def add(self, sign: str, at_s: float, *, may_begin: bool) -> None:
        """Another letter, typed at a time on the monotonic clock.

        may_begin -- whether it goes to a page: elsewhere no run begins, it only goes on.
        """
        if self.text and at_s - self._last_s <= FOLLOWS_S:
            self.text += sign
        else:
            self.text = sign if may_begin else ""
        self._last_s = at_s

    def end(self) -> None:
        self.text = ""

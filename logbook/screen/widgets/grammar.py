"""The grammar of the entry line, for what is on the first frame: it is imported after that."""


class Grammar:
    """What a typed line means, and whether a text is the beginning of one.

    Made where a line is read: the first time imports what is heavy.
    """

    def __init__(self) -> None:
        from logbook.entryline import understand
        from logbook.screen.services import understand_line

        self.begins_line = understand.begins_line
        self.nearly_begins_line = understand.nearly_begins_line
        self.read_line = understand_line.read_line
        self.read_since = understand_line.read_since
        self.words_before_enter = understand_line.words_before_enter

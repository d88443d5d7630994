"""Tables on a narrow terminal: whole where they fit, else row by row."""

from logbook.report.render.document import Section, Table
from logbook.report.render.text import section_lines

COLUMNS = ("object", "from, to", "frames", "exposed", "airmass")
ROW = ("Long Nebula", "21:30–00:44", "32", "2.7 h", "")
SECTION = Section("", (Table("Objects", COLUMNS, (ROW,), (2, 3, 4)),))


def test_a_table_that_fits_keeps_its_columns() -> None:
    head, rule, row = (line.plain for line in section_lines(SECTION, 60)[1:])
    assert head.split() == ["object", "from,", "to", "frames", "exposed", "airmass"]
    assert set(rule) == {"─"}
    assert row.split() == ["Long", "Nebula", "21:30–00:44", "32", "2.7", "h"]


def test_a_table_too_wide_is_told_row_by_row() -> None:
    lines = [line.plain for line in section_lines(SECTION, 36)]
    assert lines == [
        "Objects",
        "Long Nebula",
        "  from, to 21:30–00:44 · frames 32 ·",
        "  exposed 2.7 h",
    ]

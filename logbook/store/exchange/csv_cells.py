"""Cells that a spreadsheet shows and never runs."""

_FORMULA_SIGNS = ("=", "+", "-", "@", "'", "＝", "＋", "－", "＠")
_CELL_ENDS = ("\t", "\r", "\n")


def harmless(cell: object) -> object:
    """A cell for a CSV file: text that a spreadsheet would run gets an apostrophe before it.

    Text that begins with an apostrophe gets one too, so that `as_written` loses nothing. Numbers
    stay. Source: OWASP, CSV Injection, for the signs that begin a formula.
    """
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if not isinstance(cell, str):
        return cell
    if cell.startswith(_CELL_ENDS) or cell.lstrip().startswith(_FORMULA_SIGNS):
        return f"'{cell}"
    return cell


def as_written(cell: str) -> str:
    """The text that `harmless` made a cell of."""
    return cell.removeprefix("'")

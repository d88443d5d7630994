"""Cells that a spreadsheet shows and never runs."""

_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "'")


def harmless(cell: object) -> object:
    """A cell for a CSV file: text that a spreadsheet would run gets an apostrophe before it.

    Text that begins with an apostrophe gets one too, so that the first is never lost. Numbers stay.
    Source: OWASP, CSV Injection, for the signs that begin a formula.
    """
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, str) and cell.lstrip().startswith(_FORMULA_SIGNS):
        return f"'{cell}"
    return cell

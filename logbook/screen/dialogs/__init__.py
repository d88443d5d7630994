"""Forms and sheets that lie over a page.

A form is fields as data (`field.py`), which stand on the screen as its `FieldRows`
(`field_rows.py`); a form of two columns brings rows of its own. A `Field` has no default for its
help and its example, which F1 shows; `check` reports what is wrong beside it, `together` what the
fields cannot be together or what is doubted (`Remark`: Tab takes what is proposed). What is
doubted, or still as it was left, is asked about (y, never the key that asked). Names that `Form`
uses itself are not free in its subclasses.

What is typed is a draft (`typed_draft.py`) under `form:<class>:<about>`, where `about` holds ids,
as names change; the transaction that saves the form empties it (`FormDrafts`). The first form,
which has no book yet, saves its draft in a file beside the book's place. Whatever else is typed or
set has a draft too: a sheet is a `DraftedSheet` (`sheet_draft.py`), another line has a
`TypedDraft`; a test lists every `Input` of the screen, and only searches have none.

`paper_sheet.py` shows any `PageKey`: loaded and laid out in a worker (`paper_lines.py`), drawn row
by row (`widgets/rows_view.py`), with the trail that Escape goes back along. A table too wide for
its place is shown row by row. `learned_sheet.py` draws what a night's readings teach.
"""

"""The terminal program: app, pages, dialogs, widgets, and the services below them.

Threads: workers touch no widget, they post messages; handlers own the state. The screen writes in
one place, `services/run_job.py`: a job runs inside one unit on the book's writer thread. A job that
calculates is `Prepared`: it does so before other programs are locked out; what follows it outside
the book, such as a copy, runs beside the writer, and its failure never means that what is saved is
not. After a job the screen reads what its unit touched (`services/book_snapshot.py`); what another
program wrote is noticed once a second (`PRAGMA data_version`).

`desk.drafts` (a `DraftKeeper`) holds the half-typed lines of every place of this window, forms too;
what it cannot write it tries again, shows so beside the line, and never goes before an entry.
`services/clock_watch.py` compares the clock with one that nobody can set, and notices that the
laptop slept.
"""

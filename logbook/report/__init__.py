"""Pages of looking back, sheets and plans, as text, Markdown, JSON and HTML.

Nothing here writes in a book. A page is loaded by its `PageKey` as frozen data and then rendered;
`registry.py` knows them all and `write_page.py` prints one or writes it to a file. What is counted
over many nights is counted by `logbook.store.history`. `tests.bench_past` prints what each page
costs.
"""

"""The tests: they mirror `logbook/`, and `books.py` has the fixtures of books for all of them.

Property tests draw the same examples every time (`conftest.py`, profile `fixed`);
`tests.draw_anew` draws new ones (profile `long`) over the packages that were changed. What it finds
becomes an `@example`. What takes over 2 s is marked `slow`.

Screen tests open a small book with `screen/book_on_screen.py`, a clock that stands still and, where
it does not matter, no sky. `screen/terminal.py` runs the real program in a pseudo-terminal (or,
where it is installed, in tmux: a dark red must not become a grey there).
`python -m tests.screen.pictures` draws the README's pictures anew.
"""

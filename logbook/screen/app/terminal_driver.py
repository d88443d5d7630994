"""The terminal's driver, which a stray byte cannot end.

A letter from a terminal of another encoding, or noise on a line, is a byte that is no UTF-8. It
becomes the replacement character, as text, and what was typed around it is read as always.
"""

import os
import selectors
from codecs import getincrementaldecoder
from contextlib import suppress

from textual._parser import ParseError
from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver

_BYTES_AT_ONCE = 4096
_WAIT_S = 0.1  # how long a lone Escape may still become the beginning of a longer key


class TerminalDriver(LinuxDriver):
    """Textual's driver of the pinned release, with its own reading of bytes."""

    def _run_input_thread(self) -> None:
        """Read keys; a fault ends the program as any other does: with words, a log and code 1."""
        try:
            self.run_input_thread()
        except Exception as error:
            self._app.call_later(self._app._handle_exception, error)

    def run_input_thread(self) -> None:
        parser = XTermParser(self._debug)
        decode = getincrementaldecoder("utf-8")(errors="replace").decode
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                if selector.select(_WAIT_S):
                    text = decode(os.read(self.fileno, _BYTES_AT_ONCE))
                    for message in parser.feed(text) if text else ():
                        self.process_message(message)
                for message in parser.tick():
                    self.process_message(message)
        with suppress(EOFError, ParseError):
            list(parser.feed(""))

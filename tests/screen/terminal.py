"""The real program in a real (pseudo) terminal, read through a terminal emulator."""

import fcntl
import os
import pty
import select
import shlex
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from types import TracebackType

import pyte

from tests.screen.colours import Watched

# For a shared, noisy machine; nothing is timed by it.
PATIENCE_S = float(os.environ.get("PATIENCE_S", "60"))


class Terminal:
    """A program (Python, unless another is named) in a terminal of `columns` x `rows`."""

    def __init__(
        self,
        arguments: list[str],
        *,
        environment: Mapping[str, str],
        columns: int = 80,
        rows: int = 24,
        program: str = sys.executable,
    ) -> None:
        self.screen = Watched(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        self.raw = bytearray()
        self.pid, self._fd = pty.fork()
        if self.pid == 0:
            for ending in (signal.SIGHUP, signal.SIGINT, signal.SIGTERM):
                signal.signal(ending, signal.SIG_DFL)  # a test run may have been told to ignore it
            os.execvpe(program, [program, *arguments], dict(environment))
        size = struct.pack("HHHH", rows, columns, 0, 0)
        fcntl.ioctl(self._fd, termios.TIOCSWINSZ, size)

    def read(self, wait_s: float = 0.05) -> bool:
        """Take in what the program drew; False once it has gone."""
        ready, _, _ = select.select([self._fd], [], [], wait_s)
        if not ready:
            return True
        try:
            data = os.read(self._fd, 65536)
        except OSError:
            return False
        self.raw += data
        self._stream.feed(data)
        return bool(data)

    @property
    def text(self) -> str:
        return "\n".join(line.rstrip() for line in self.screen.display)

    def wait_for(self, seen: str | Callable[[str], bool]) -> str:
        """Read until the words are on the screen; fails with the screen if they never are."""
        ends = time.monotonic() + PATIENCE_S
        matches = seen if callable(seen) else lambda text: seen in text
        while not matches(self.text):
            alive = self.read()
            if not alive or time.monotonic() > ends:
                raise AssertionError(f"{seen!r} was never on the screen:\n{self.text}")
        return self.text

    def press(self, text: str) -> None:
        """Type; all of it in one write."""
        self.send(text.encode())

    def send(self, data: bytes) -> None:
        os.write(self._fd, data)

    def kill(self, how: signal.Signals = signal.SIGKILL) -> None:
        """End the program and wait until it is gone."""
        os.kill(self.pid, how)
        while self.read():
            pass
        os.waitpid(self.pid, 0)
        os.close(self._fd)

    def __enter__(self) -> "Terminal":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        try:
            self.kill()
        except (ProcessLookupError, ChildProcessError, OSError):
            return


@contextmanager
def inside_tmux(arguments: list[str], environment: Mapping[str, str]) -> Iterator[Terminal]:
    """Python in a tmux of its own, whose outer terminal is read: what tmux makes of the colours."""
    with TemporaryDirectory(dir="/tmp") as folder:  # a socket's path must be short
        settings, server = Path(folder, "conf"), ["-S", f"{folder}/socket"]
        settings.write_text("set -g status off\nset -g default-terminal tmux-256color\n")
        run = shlex.join([sys.executable, *arguments])
        all_arguments = [*server, "-f", str(settings), "new-session", run]
        try:
            with Terminal(all_arguments, environment=environment, program="tmux") as terminal:
                yield terminal
        finally:
            subprocess.run(["tmux", *server, "kill-server"], check=False, capture_output=True)


def quiet_environment(home: Path, **more: str) -> dict[str, str]:
    """An environment whose home is `home`, with a plain truecolor terminal."""
    kept = {name: os.environ[name] for name in ("PATH", "LANG", "PYTHONPATH") if name in os.environ}
    return {
        **kept,
        "HOME": str(home),
        "XDG_DATA_HOME": str(home / "data"),
        "XDG_CACHE_HOME": str(home / "cache"),
        "XDG_STATE_HOME": str(home / "state"),
        "TERM": "xterm-256color",
        "COLORTERM": "truecolor",
        **more,
    }

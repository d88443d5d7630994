"""A worker's failure is never swallowed: its details go to a file, its words to the line."""

import re

from textual.message_pump import MessagePump
from textual.worker import Worker, WorkerState

from logbook.crash_log import write_crash_log
from logbook.screen.services.messages import JobFailed

_AFTER_TRYING = re.compile(r"Not \w+: ")


def reason(refusal: str) -> str:
    """Why something is refused, without the words for after it was tried (`Not saved: `)."""
    return refusal[found.end() :] if (found := _AFTER_TRYING.match(refusal)) else refusal


class TellsFailures(MessagePump):
    """For whatever starts workers; Textual sends a worker's state only to where it was started."""

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Say what failed and where the details are."""
        error = event.worker.error
        if event.state is not WorkerState.ERROR or error is None:
            return
        log = write_crash_log(error)
        where = f" Details: {log}" if log else ""
        words = f"Something failed ({type(error).__name__}); what was kept is kept.{where}"
        self.app.post_message(JobFailed(words))

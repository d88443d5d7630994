"""A line that is not saved yet, and in its draft when Enter was first pressed on it."""

import re
from dataclasses import dataclass
from datetime import datetime

_ENTERED = re.compile(r"⏎(\S+) (.*)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class WaitingLine:
    """A line, and when Enter was first pressed on it: that is when it happened, unless it says so.

    at_utc -- None if Enter was not pressed on it yet.
    """

    text: str = ""
    at_utc: datetime | None = None

    @property
    def draft(self) -> str:
        """The line as it is put among the drafts."""
        return self.text if self.at_utc is None else f"⏎{self.at_utc.isoformat()} {self.text}"


def read_draft_line(draft: str) -> WaitingLine:
    """The line of a draft; what bears no mark of an Enter is all typed."""
    found = _ENTERED.fullmatch(draft)
    try:
        at_utc = datetime.fromisoformat(found[1]) if found else None
    except ValueError:
        at_utc = None
    if found is None or at_utc is None or at_utc.utcoffset() is None:
        return WaitingLine(draft)
    return WaitingLine(found[2], at_utc)

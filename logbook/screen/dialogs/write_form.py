"""Where a page of looking back is to be written."""

from dataclasses import dataclass
from pathlib import Path

from logbook.errors import BadInput
from logbook.report.write_page import form_of, target_of
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form

_FORMS = {"text": "plain text", "markdown": "Markdown", "json": "JSON", "html": "a page of HTML"}


@dataclass(frozen=True, slots=True)
class WriteWish:
    """A file that may be written; `typed` is its name as typed."""

    target: Path
    typed: str


class WriteForm(Form[WriteWish]):
    """Asks for a file. One that is no report is only written over when asked to."""

    KEEP_WORDS = "Enter: next, and write at the end   ctrl+o: write   Escape: leave"

    def __init__(self, proposed: str) -> None:
        fields = (
            Field(
                "file",
                "file",
                proposed,
                "a name ending in .txt .md .json .html",
                check=_told,
                help="The file to write. The end of its name says in which form.",
                example="~/m31.html",
            ),
            Field(
                "over",
                "write over",
                "",
                "yes, if it may be",
                required=False,
                check=_yes,
                help="Whether a file of that name may be written over.",
                example="yes",
            ),
        )
        super().__init__("Write the page to a file", fields, about=proposed)

    def answer(self, values: dict[str, str]) -> WriteWish:
        target = target_of(values["file"], replace=bool(values["over"]))
        return WriteWish(target, values["file"])


def _told(typed: str) -> str:
    target = Path(typed).expanduser().absolute()
    return f"{_FORMS[form_of(target)]}, in {target.parent}"


def _yes(typed: str) -> str:
    if typed.casefold() not in ("y", "yes"):
        raise BadInput("yes, or nothing")
    return "whatever stands there is written over"

"""What the Kit page asks the book to do with whole trains and parts."""

from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.records.entries import PartRecord, TrainRecord
from logbook.records.names import ALL_FREE, TakenNames
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.services.run_job import Job

if TYPE_CHECKING:
    from logbook.store.book import Book


def retire(record: TrainRecord | PartRecord) -> Job:
    """Out of every list from now on."""
    record_id = record.id

    def job(book: "Book") -> str:
        if isinstance(record, TrainRecord):
            book.kit.retire_train(record_id)
        else:
            book.kit.retire_part(record_id)
        return f"Kept: {name_of(record)} is retired. f lists what is, and x brings it back."

    return job


def bring_back(record: TrainRecord | PartRecord) -> Job:
    record_id = record.id

    def job(book: "Book") -> str:
        if isinstance(record, TrainRecord):
            book.kit.bring_back_train(record_id)
        else:
            book.kit.bring_back_part(record_id)
        return f"Kept: {name_of(record)} is back."

    return job


def name_of(record: TrainRecord | PartRecord) -> str:
    return record.train.name if isinstance(record, TrainRecord) else record.part.name


def rename(record: TrainRecord | PartRecord, name: str) -> Job:
    """Another name, on the pages of old nights too."""
    record_id, old = record.id, name_of(record)

    def job(book: "Book") -> str:
        if isinstance(record, TrainRecord):
            book.kit.rename_train(record_id, name)
        else:
            book.kit.rename_part(record_id, name)
        return f"Saved: {old} is called {name} now. A search finds both names."

    return job


class Rename(Form[Job]):
    """What a train or a part is called from now on."""

    def __init__(self, record: TrainRecord | PartRecord, taken: TakenNames) -> None:
        """taken -- names of the others of its sort."""
        self._record = record
        super().__init__(
            f"Another name for {name_of(record)}",
            [
                Field(
                    "name",
                    "Name",
                    name_of(record),
                    check=taken.refuse,
                    help="What it is called from now on, on the pages of old nights too.",
                    example="Native f/8",
                )
            ],
            "Past nights show the new name; the old one still finds it.",
            about=f"{'train' if isinstance(record, TrainRecord) else 'part'} {record.id}",
        )

    def answer(self, values: dict[str, str]) -> Job:
        if values["name"] == name_of(self._record):
            raise BadInput("nothing is different: another name, or Escape")
        return rename(self._record, values["name"])


class CopyTrain(Form[Job]):
    """A second train of the same parts under another name."""

    def __init__(self, record: TrainRecord, taken: TakenNames = ALL_FREE) -> None:
        self._record = record
        super().__init__(
            f"A copy of {record.train.name}",
            [
                Field(
                    "name",
                    "Name",
                    hint="what you call it",
                    check=taken.refuse,
                    help="Your name for the copy; no other train may have it.",
                    example=f"{record.train.name} 2",
                )
            ],
            "The same parts, set as they are; e changes it after that.",
            about=f"{record.id}",
        )

    def answer(self, values: dict[str, str]) -> Job:
        train_id, name = self._record.id, values["name"]

        def job(book: "Book") -> str:
            book.kit.clone_train(train_id, name)
            return f"Kept: train {name}. e changes it."

        return job

"""What the Kit page asks the book to do with whole trains and parts."""

from typing import TYPE_CHECKING

from logbook.screen.form import Field, Form
from logbook.screen.jobs import Job
from logbook.store.records import PartRecord, TrainRecord

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


class CopyTrain(Form[Job]):
    """A second train of the same parts under another name."""

    def __init__(self, record: TrainRecord) -> None:
        self._record = record
        super().__init__(
            f"A copy of {record.train.name}",
            [
                Field(
                    "name",
                    "Name",
                    hint="what you call it",
                    help="Your name for the copy; no other train may have it.",
                    example=f"{record.train.name} 2",
                )
            ],
            "The same parts, set as they are; e changes it after that.",
        )

    def answer(self, values: dict[str, str]) -> Job:
        train_id, name = self._record.id, values["name"]

        def job(book: "Book") -> str:
            book.kit.clone_train(train_id, name)
            return f"Kept: train {name}. e changes it."

        return job

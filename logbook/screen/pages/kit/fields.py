"""Fields that several forms of the kit ask alike."""

from collections.abc import Callable

from logbook.records.entries import TRAIN_KINDS
from logbook.screen.dialogs.field import Field
from logbook.screen.services.services import Desk
from logbook.screen.services.typed_values import meant


def train_fields(desk: Desk, name: str, kind: str) -> list[Field]:
    """What a new train is called, and what it ends in."""
    return [
        Field(
            "name",
            "Name",
            name,
            hint="what you call it",
            check=desk.taken_names("train").refuse,
            help="Your name for the train; no other train may have it.",
            example="Long tube, reduced",
        ),
        Field(
            "kind",
            "Camera or visual",
            kind,
            check=train_kind,
            help="Whether the train ends in a camera or at the eye.",
            example="camera",
        ),
    ]


def train_kind(typed: str) -> str:
    return meant(typed, TRAIN_KINDS, "one of")


def value_fields(
    labels: tuple[str, ...],
    which: Callable[[str], str],
    said: Callable[[str], str],
    used_for: str,
) -> list[Field]:
    """Which value of a part, and what it is.

    which, said -- the checks of both. used_for -- help on the value.
    """
    return [
        Field(
            "what",
            "What",
            labels[0] if len(labels) == 1 else "",
            hint="its beginning",
            check=which,
            help="Which value, or how its name begins.",
            example=labels[0],
        ),
        Field(
            "value",
            "Value",
            hint="203, 8 in, 2.5 lb",
            check=said,
            help=used_for,
            example="203, 8 in, 2 lb 5 oz",
        ),
    ]

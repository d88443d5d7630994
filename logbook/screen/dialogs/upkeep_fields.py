"""What is asked of upkeep that was done, wherever it is asked."""

from logbook.screen.dialogs.field import Field

DONE_FIELDS = (
    Field(
        "part",
        "Part",
        hint="its name, or empty",
        required=False,
        help="The part that was worked on: its name, or how the name begins.",
        example="long tube",
    ),
    Field(
        "action",
        "What was done",
        hint="in your words",
        help="The work in your words; with a rule's words it counts for the rule.",
        example="mirror rinsed",
    ),
    Field(
        "minutes",
        "Time taken",
        hint="25, 1 h 20 min",
        required=False,
        help="How long it took. A bare number is minutes.",
        example="25, or 1 h 20 min",
    ),
    Field(
        "cost",
        "Cost",
        hint="4.50",
        required=False,
        help="What it cost, a number without a currency.",
        example="4.50",
    ),
    Field(
        "before",
        "Before",
        hint="how it was",
        required=False,
        help="How it was before the work.",
        example="two specks near the edge",
    ),
    Field(
        "after",
        "After",
        hint="how it is now",
        required=False,
        help="How it is after the work.",
        example="clean, one scratch left",
    ),
    Field(
        "photo",
        "Photo",
        hint="path of a file",
        required=False,
        help="The path of a picture, saved as text; the file stays where it is.",
        example="~/photos/mirror.jpg",
    ),
)

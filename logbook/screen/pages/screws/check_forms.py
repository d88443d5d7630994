"""Forms for what is checked and adjusted besides the screws."""

from logbook.errors import BadInput
from logbook.records.entries import ADJUST_UNITS, ADJUSTED, Adjustment, NewEntry, StarCheck
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.pages.screws.frames import About
from logbook.screen.services.jobs import keep_entry
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.text import clean, fold

VERDICTS = {
    "round": "round and even: nothing left to see",
    "uneven": "the rings brighter on one side",
    "flared": "flared to one side: coma is left",
    "long": "drawn out; across at the other side of focus: astigmatism",
    "double": "two images: pinched, or the air",
}


class InFocus(Form[Job]):
    """What a star looks like in focus at high power."""

    def __init__(self, desk: Desk, about: About) -> None:
        self._desk, self._about = desk, about
        super().__init__(
            "The star in focus",
            [
                Field(
                    "verdict",
                    "Looks",
                    "",
                    ", ".join(VERDICTS),
                    check=_said_verdict,
                    help="; ".join(f"{word}: {said}" for word, said in VERDICTS.items()),
                    example="round",
                ),
                Field(
                    "hour",
                    "Toward",
                    "",
                    "an hour, if one-sided",
                    required=False,
                    check=_hour,
                    help="The side it is brighter or drawn out on, as an hour of a clock, 12 up.",
                    example="4",
                ),
                Field(
                    "star",
                    "Star",
                    about.star,
                    "which star",
                    required=False,
                    help="Which star you looked at.",
                    example="Vega",
                ),
                Field(
                    "where",
                    "Where",
                    "in focus",
                    "in focus, a corner …",
                    help="Where in the field, and whether in focus.",
                    example="upper left corner",
                ),
            ],
            about=f"{desk.telescope_id}",
        )

    def answer(self, values: dict[str, str]) -> Job:
        verdict = one_of(values["verdict"], tuple(VERDICTS))
        hour = values["hour"]
        angle_deg = (float(hour) - 3.0) * 30.0 % 360.0 if hour else None
        check = StarCheck(
            verdict,
            angle_deg,
            clean(values["where"], longest=40),
            clean(values["star"], longest=60) or None,
            self._about.role,
            pier_side=self._about.pier or None,
        )
        toward = f" toward {hour} o'clock" if hour else ""
        star = f" on {check.star}" if check.star else ""
        text = f"check {check.place}: {verdict}{toward}{star}"
        entry = NewEntry("check", self._desk.clock(), text, check=check)
        return keep_entry(entry, text)


class OtherAdjustment(Form[Job]):
    """A tilt plate, the focuser or another part was adjusted."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        super().__init__(
            "Adjusted",
            [
                Field(
                    "what",
                    "What",
                    "tilt plate",
                    ", ".join(ADJUSTED),
                    check=_said_what,
                    help=f"What was adjusted: {', '.join(ADJUSTED)}.",
                    example="tilt plate",
                ),
                Field(
                    "place",
                    "Where",
                    "",
                    "4 o'clock, a screw's name",
                    required=False,
                    help="Where on it: an hour of a clock, or a screw's name.",
                    example="4 o'clock",
                ),
                Field(
                    "amount",
                    "Amount",
                    "",
                    "tightened is +",
                    required=False,
                    check=_amount,
                    help="By how much; tightened or inward is +, loosened or outward is -.",
                    example="-0.25",
                ),
                Field(
                    "unit",
                    "Unit",
                    "turn",
                    ", ".join(ADJUST_UNITS),
                    check=_said_unit,
                    help=f"What the amount counts: {', '.join(ADJUST_UNITS)}.",
                    example="turn",
                ),
            ],
            "Tube level and a hand under whatever could come free before it is loosened.",
            about=f"{desk.telescope_id}",
        )

    def answer(self, values: dict[str, str]) -> Job:
        what = one_of(values["what"], ADJUSTED)
        amount = _number(values["amount"]) if values["amount"] else None
        unit = one_of(values["unit"], ADJUST_UNITS)
        place = clean(values["place"], longest=60)
        made = Adjustment(what, place, amount, unit if amount is not None else None)
        by = f" by {amount:+g} {unit}" if amount is not None else ""
        text = f"adjust {what}{' at ' + place if place else ''}{by}"
        entry = NewEntry("adjust", self._desk.clock(), text, adjustment=made)
        return keep_entry(entry, text)


def one_of(typed: str, words: tuple[str, ...]) -> str:
    """The word that was begun. Raises BadInput with all of them."""
    found = [each for each in words if each.startswith(fold(typed))]
    if len(found) != 1 or not typed:
        raise BadInput(", ".join(words))
    return found[0]


def _said_verdict(typed: str) -> str:
    return VERDICTS[one_of(typed, tuple(VERDICTS))]


def _said_what(typed: str) -> str:
    return one_of(typed, ADJUSTED)


def _said_unit(typed: str) -> str:
    return one_of(typed, ADJUST_UNITS)


def _number(typed: str) -> float:
    try:
        value = float(typed)
    except ValueError:
        raise BadInput("a number, as 0.25 or -1.5") from None
    if not -1000.0 <= value <= 1000.0:
        raise BadInput("a number between -1000 and 1000")
    return value


def _amount(typed: str) -> str:
    return f"{_number(typed):+g}"


def _hour(typed: str) -> str:
    hour = _number(typed)
    if not 0.0 < hour <= 12.99:
        raise BadInput("an hour from 1 to 12, 12 at the top")
    return f"toward {hour:g} o'clock"

"""What the sheets of kit reckon with: seeing, the mount's share, how warm the tube comes out."""

from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.kit.train.sheet import Assumed
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.services.run_job import Job

if TYPE_CHECKING:
    from logbook.store.book import Book

_CHOICE = "kit reckons with"


def read_assumed(book: "Book | None") -> Assumed:
    """What was chosen last; the usual values where nothing was."""
    kept = book.choices.get(_CHOICE) if book is not None else None
    try:
        seeing, wave, share, warm = (float(each) for each in (kept or "").split())
        return Assumed(seeing, wave, share, warm)
    except ValueError:
        return Assumed()


def keep_assumed(assumed: Assumed) -> Job:
    """Remember it in the book."""
    numbers = (
        assumed.seeing_arcsec,
        assumed.wavelength_um,
        assumed.payload_share,
        assumed.cool_from_k,
    )

    def job(book: "Book") -> str:
        book.choices.put(_CHOICE, " ".join(f"{number:g}" for number in numbers))
        return "Kept: what the sheets reckon with."

    return job


class ReckonWith(Form[Assumed]):
    """What the numbers of every train assume."""

    def __init__(self, now: Assumed) -> None:
        share = f"{now.payload_share * 100:g}"
        super().__init__(
            "What the sheets reckon with",
            [
                Field(
                    "seeing",
                    "Seeing",
                    f"{now.seeing_arcsec:g}",
                    "″ across",
                    check=_seeing,
                    help="How wide a star is at half its height through your usual air, in arcsec.",
                    example="2.5",
                ),
                Field(
                    "wave",
                    "Light",
                    f"{now.wavelength_um:g}",
                    "µm",
                    check=_wave,
                    help="The wavelength that resolution and depth of focus are given for, in µm.",
                    example="0.55",
                ),
                Field(
                    "share",
                    "Share of payload",
                    share,
                    "% for imaging",
                    check=_share,
                    help="How much of the mount's stated payload you load for photographs, in %.",
                    example="50",
                ),
                Field(
                    "warm",
                    "Comes out warmer by",
                    f"{now.cool_from_k:g}",
                    "K",
                    check=_warm,
                    help="How much warmer than the air the telescope is when it is carried out.",
                    example="10",
                ),
            ],
            "Half the stated payload for imaging is common practice, no source.",
        )

    def answer(self, values: dict[str, str]) -> Assumed:
        return Assumed(
            seeing_arcsec=_between(values["seeing"], "the seeing", 0.1, 20.0),
            wavelength_um=_between(values["wave"], "the light", 0.3, 1.1),
            payload_share=_between(values["share"], "the share", 5.0, 100.0) / 100.0,
            cool_from_k=_between(values["warm"], "the step", 0.6, 60.0),
        )


def _between(typed: str, what: str, low: float, high: float) -> float:
    try:
        number = float(typed.rstrip(' ″"%Kkµumin').replace(",", "."))
    except ValueError:
        raise BadInput(f"{what} needs a number") from None
    if not low <= number <= high:
        raise BadInput(f"{what} is {low:g} to {high:g}")
    return number


def _seeing(typed: str) -> str:
    return f"{_between(typed, 'the seeing', 0.1, 20.0):g}″ across at half height"


def _wave(typed: str) -> str:
    return f"{_between(typed, 'the light', 0.3, 1.1) * 1000:.0f} nm"


def _share(typed: str) -> str:
    return f"{_between(typed, 'the share', 5.0, 100.0):g} % of what the mount carries"


def _warm(typed: str) -> str:
    return f"{_between(typed, 'the step', 0.6, 60.0):g} K warmer than the air"

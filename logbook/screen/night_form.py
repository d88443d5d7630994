"""Starting and ending a night: what was used last is proposed, Enter takes it."""

from datetime import datetime

from logbook.errors import BadInput
from logbook.screen import night_flow
from logbook.screen.desk import Desk, duration_words
from logbook.screen.form import Field, Form
from logbook.screen.pages.night import sum_words
from logbook.store.running import running_object


def _one_of(names: tuple[str, ...], typed: str, what: str) -> str:
    """The name meant: exact, or the only one that begins so. Raises BadInput naming them all."""
    folded = typed.casefold()
    exact = [name for name in names if name.casefold() == folded]
    found = exact or [name for name in names if name.casefold().startswith(folded)]
    if len(found) != 1:
        raise BadInput(f"{what}: one of {', '.join(names) or 'none yet'}")
    return found[0]


class StartNight(Form[night_flow.Job]):
    """F10, Enter: the night begins with last time's site, train and observer."""

    KEEP_WORDS = "Enter or ctrl+o: start the night   ↑ ↓: fields   Escape: leave"

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        view = desk.view
        self._sites = {each.site.name: each.id for each in view.sites}
        self._trains = {each.train.name: each.id for each in view.trains}
        fields = [
            Field(
                "site",
                "Site",
                view.site.site.name if view.site else "",
                check=lambda typed: _one_of(tuple(self._sites), typed, "site"),
            ),
            Field(
                "train",
                "Train",
                view.train.train.name if view.train else "",
                hint="may stay empty",
                required=False,
                check=lambda typed: _one_of(tuple(self._trains), typed, "train"),
            ),
            Field("observer", "Observer", view.observer, hint="may stay empty", required=False),
        ]
        super().__init__(
            "Start the night", fields, f"It begins now, {desk.clock_words(desk.clock())}."
        )

    def _first_to_fill(self) -> Field:
        """The last one: all is proposed, so one Enter starts."""
        empty = (each for each in self.fields if each.required and not each.value)
        return next(empty, self.fields[-1])

    def answer(self, values: dict[str, str]) -> night_flow.Job:
        site = _one_of(tuple(self._sites), values["site"], "site")
        train_id = None
        if values["train"]:
            train_id = self._trains[_one_of(tuple(self._trains), values["train"], "train")]
        at = self._desk.clock()
        return night_flow.start_night(self._sites[site], train_id, values["observer"], at)


class EndNight(Form[night_flow.Job]):
    """Shows the night's sums and what is still open, asks for a last word, ends it."""

    KEEP_WORDS = "Enter or ctrl+o: end the night   Escape: go on observing"

    def __init__(self, desk: Desk) -> None:
        night = desk.view.night
        assert night is not None
        self._night_id, self._desk = night.id, desk
        lasted = duration_words(self._ends_at() - night.started_utc)
        running = running_object(desk.view.timeline)
        still_open = f" {running.name} still runs: it ends with the night." if running else ""
        intro = f"{lasted}: {sum_words(desk.view.timeline).plain or 'no entries yet'}.{still_open}"
        word = Field("word", "A last word", hint="may stay empty", required=False)
        super().__init__("End the night", [word], intro)

    def answer(self, values: dict[str, str]) -> night_flow.Job:
        return night_flow.end_night(self._night_id, self._ends_at(), values["word"])

    def _ends_at(self) -> datetime:
        """Now; a night that was left open ended with its last entry."""
        night, timeline = self._desk.view.night, self._desk.view.timeline
        assert night is not None
        if not self._desk.night_is_past:
            return self._desk.clock()
        return timeline[-1].content.happened_utc if timeline else night.started_utc

"""What a site, a part and a screw must be before they are saved.

A site and a part have rules in their own packages; here is what the book adds to them.
"""

from collections.abc import Iterable
from dataclasses import replace

from logbook.errors import BadInput
from logbook.kit.parts.check import Fault, check_part
from logbook.kit.parts.part import Part, Placement, Value
from logbook.records import checks
from logbook.records.check_entry import refuse_centre_screw, refuse_no_hour
from logbook.records.entries import LOCK_KINDS, PART_STATES, Screw
from logbook.sky.night import site as place
from logbook.sky.night.site import Site
from logbook.text import fold

NAME_LENGTH = 120
NOTE_LENGTH = 4000
_LONGEST_TUBE_MM = 20000.0


def checked_site(site: Site) -> Site:
    """A site as it will be saved. Raises BadInput."""
    name = checks.line(site.name, "the site's name", NAME_LENGTH, wanted=True)
    return place.checked_site(replace(site, name=name))


def checked_part(part: Part) -> Part:
    """A part as it will be saved. Raises BadInput with everything that is wrong with it."""
    checked = replace(
        part,
        name=checks.line(part.name, "the part's name", NAME_LENGTH, wanted=True),
        values=tuple(_value(each, part.kind) for each in part.values),
        state=checks.one_of(part.state, "the state", PART_STATES),
        note=checks.line(part.note, "the note", NOTE_LENGTH),
        reason=checks.line(part.reason, "the reason", NOTE_LENGTH),
        photo_path=checks.line(part.photo_path, "the photo's path", 1000),
        link=checks.line(part.link, "the link", 1000),
    )
    faults = check_part(checked)
    if faults:
        said = (f"{fault.label(checked.kind)}: {fault.words}" for fault in faults)
        raise BadInput(f"{checked.name}, {'; '.join(said)}")
    return checked


def _value(value: Value, kind: str) -> Value:
    if (value.number is None) == (value.word is None):
        what = Fault(value.quantity, "").label(kind)
        raise BadInput(f"{what} is either a number or words")
    return replace(
        value,
        word=checks.maybe_line(value.word, Fault(value.quantity, "").label(kind), 200),
        how=checks.line(value.how, "how it was measured", 400),
    )


def checked_screws(screws: tuple[Screw, ...]) -> tuple[Screw, ...]:
    """Screws as they will be saved. Raises BadInput, for the centre screw with the reason."""
    names: set[str] = set()
    kept: list[Screw] = []
    for screw in screws:
        refuse_centre_screw(screw.name)
        refuse_no_hour(screw.clock_hour)
        name = checks.line(screw.name, "the screw's name", 40, wanted=True)
        if fold(name) in names:
            raise BadInput(f"two screws are called {name}")
        names.add(fold(name))
        hour = checks.number(screw.clock_hour, "the hour", 0.0, 12.0, "o'clock")
        lock_kind = checks.one_of(screw.lock_kind, "how the screw is held", LOCK_KINDS)
        kept.append(Screw(name, hour, bool(screw.tighten_clockwise), lock_kind))
    return tuple(kept)


def checked_placements(placements: Iterable[Placement]) -> tuple[Placement, ...]:
    """Where parts are set, as it will be saved. Raises BadInput."""
    long_mm = _LONGEST_TUBE_MM
    return tuple(
        Placement(
            each.part,
            checks.maybe_number(each.setting_mm, "how far it is drawn out", 0.0, 1000.0, "mm"),
            checks.maybe_number(
                each.along_tube_mm, "the place along the tube", -long_mm, long_mm, "mm"
            ),
        )
        for each in placements
    )

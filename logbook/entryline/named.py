"""Lines about a named thing: objects and trains; and lines that are mostly words."""

import re
from dataclasses import replace

from logbook.entryline import frames as line_frames
from logbook.entryline.context import Line, NotThis, Parsed, Unclear, today_of
from logbook.entryline.tokens import nearest
from logbook.records.entries import TargetCopy
from logbook.text import fold

_FLAGS = re.IGNORECASE
_LONGEST_NAME = 80
# What moves has no place in a catalogue; it is known by name alone.
_MOVING = {
    "moon": "moon",
    **dict.fromkeys(
        ("mercury", "venus", "mars", "jupiter", "saturn", "uranus", "neptune"), "planet"
    ),
}
_SUN = (
    "The Sun is no object of this book. Never point a telescope or its finder at or near it "
    "without a full-aperture filter in front of each."
)


# Plain talk of other things that start and end.
_NO_OBJECT = re.compile(
    r"(?:of|guiding|guider|cooling|dithering|capture|capturing|imaging|exposing|exposure|behind"
    r"|rising|setting|low|high|twilight|darkness)\b",
    _FLAGS,
)
_DOING = re.compile(r"(?:imaging|exposing|shooting|observing|capturing|with|on)\s+", _FLAGS)
_WHY = re.compile(r"(?:for|by|because|due\s+to|early|now|here)\b", _FLAGS)


def started(line: Line) -> Parsed:
    """`start m31`; `start 30 x 180s Ha` begins a run of frames, of which none is through yet.

    Raises Unclear for an object that the catalogue does not have, NotThis for what is none.
    """
    if line_frames.looks_like_frames(line.rest):
        return _frames_begun(line)
    name = line.rest.strip(" .,:")
    if not name:
        raise Unclear("Start what? start m31.")
    if fold(name) in ("sun", "the sun"):
        raise Unclear(_SUN)
    name = _DOING.sub("", name, count=1)
    if _NO_OBJECT.match(name):
        raise NotThis
    target = _target(line, name)
    remarks: tuple[str, ...] = ()
    running = line.around.running
    if running is not None and running.catalogue_id != target.catalogue_id:
        remarks = (f"{running.name} was running and ends here",)
    return Parsed(replace(line.entry("object"), action="start", target=target), remarks)


def _frames_begun(line: Line) -> Parsed:
    parsed = line_frames.frames(line)
    frames = parsed.entry.frames
    assert frames is not None
    begun = replace(frames, count=0, wanted_count=frames.wanted_count or frames.count)
    return replace(parsed, entry=replace(parsed.entry, frames=begun))


def moving_target(name: str) -> TargetCopy | None:
    """The Moon or a planet of that name."""
    moving = fold(name).removeprefix("the ")
    if moving not in _MOVING:
        return None
    return TargetCopy(moving.capitalize(), moving.capitalize(), _MOVING[moving], None, None)


def _target(line: Line, name: str) -> TargetCopy:
    """The object of that name. Raises Unclear with names that are near."""
    target = moving_target(name) or line.around.find_object(name[:_LONGEST_NAME])
    if target is None:
        raise Unclear(f"There is no object {name[:40]}.{_near(line, name)}")
    return target


def _near(line: Line, name: str) -> str:
    near = line.around.complete_object(name[:_LONGEST_NAME])[:3]
    return f" Did you mean {', '.join(near)}?" if near else " Tab completes a name begun."


def stopped(line: Line) -> Parsed:
    """`stop`, `stop m31`. Raises Unclear if nothing is running, NotThis for what is no object."""
    name = line.rest.strip(" .,:!")
    entry = replace(line.entry("object"), action="stop", target=line.around.running)
    if fold(name) in ("night", "the night", "session"):
        raise Unclear("F10 ends the night. To say that what runs has ended: stop.")
    if _NO_OBJECT.match(name):
        raise NotThis
    if not name or _WHY.match(name):
        if line.around.running is None:
            raise Unclear("Nothing is running. Name what ended, as in stop m31.")
        return Parsed(entry, (f"in words: {name[:40]}",) if name else ())
    return Parsed(replace(entry, target=_target(line, name)))


def crossed_meridian(line: Line) -> Parsed:
    """`meridian`: the object that runs has crossed it."""
    return Parsed(replace(line.entry("meridian"), target=line.around.running))


def kit_changed(line: Line) -> Parsed:
    """`kit NAME`. Raises Unclear for a train that is not there."""
    name = re.sub(r"^(?:train|now|to)\b[\s:]*", "", line.rest.strip(" .,:"), flags=_FLAGS)
    if not name:
        raise Unclear(f"Which train? {_listed(line.around.trains, 'kit and its name')}.")
    remarks: list[str] = []
    known = named(name, line.around.trains, remarks, line.around.renamed)
    if known is None and line.around.trains:
        raise Unclear(f"There is no train {name[:40]}: {_listed(line.around.trains, '')}.")
    return Parsed(
        replace(line.entry("kit"), train_name=known or name[:120].strip()), tuple(remarks)
    )


def _listed(names: tuple[str, ...], otherwise: str) -> str:
    return ", ".join(names)[:160] or otherwise


def named(
    name: str,
    known: tuple[str, ...],
    remarks: list[str],
    former: tuple[tuple[str, str], ...] = (),
) -> str | None:
    """The one known name meant: whole, one of before, begun, a word of it, or misspelt."""
    wanted = fold(name)
    folded = {fold(each): each for each in known}
    if wanted in folded:
        return folded[wanted]
    now = today_of(name, known, remarks, former)
    if now is not None:
        return now
    begun = [each for each in folded if each.startswith(wanted)]
    within = begun or [each for each in folded if wanted in each.split()]
    if len(within) == 1:
        return folded[within[0]]
    near = nearest(wanted, tuple(folded))
    if near is None or within:
        return None
    remarks.append(f"read {name} as {folded[near]}")
    return folded[near]


_PLAIN_KINDS = {"note": "note", "trouble": "trouble", "transport": "transport", "setup": "setup"}


def plain_words(line: Line) -> Parsed:
    """Notes, troubles, setting up, transport: the words are the entry. Raises Unclear for none."""
    if line.word in ("note", "trouble") and not line.raw_rest.strip(" :;"):
        raise Unclear(f"{line.word}: what about? Write it after the word.")
    return Parsed(line.entry(_PLAIN_KINDS[line.word]))


def paused(line: Line) -> Parsed:
    """`break`: a pause begins."""
    return Parsed(replace(line.entry("break"), action="start"))


_BACK = re.compile(
    r"\s*(?:$|[,.!(]|(?:at|again|now|from|to|here|on|after|with|outside|home|and)\b)", _FLAGS
)


def resumed(line: Line) -> Parsed:
    """`back`: the pause ends. Raises NotThis for plain talk, such as `back pain`."""
    if not _BACK.match(line.rest):  # back focus, back pain, back in 10 min
        raise NotThis
    return Parsed(replace(line.entry("break"), action="stop"))

"""The words of the Choose page: what to know of the night, each object in a row, and why."""

from typing import TYPE_CHECKING

from rich.text import Text

from logbook.screen.pages.choose.night import no_sky_words
from logbook.screen.services.services import Desk
from logbook.sky.limits.limits_parser import limits_text

if TYPE_CHECKING:
    from logbook.sky.limits.limits import Limits
    from logbook.sky.night.night import Night
    from logbook.sky.ranking.suggestions import Factor, Suggestion
    from logbook.sky.ranking.tonight import Tonight

_BAR = 10
_SHORT_BAR = 8
_SHORTEST_BAR = 4
_BESIDE_BAR = 18  # a factor's name, number and air
_WINDOW = "from – to"
# label and width: with a cell of air on each side they fit 80 columns
_COLUMNS = (
    ("Object", 24),
    ("hours", 5),
    (_WINDOW, 11),
    ("alt", 3),
    ("Moon", 5),
    ("fill", 5),
    ("score", 5),
)


def pick_question(desk: Desk, object_id: str, name: str) -> str:
    """What is asked before an object is put into the running order, or taken out of it."""
    order = desk.view.running_order(desk.chosen_date)
    planned = {each.target.catalogue_id for each in order.items} if order else set()
    if object_id in planned:
        return f"take {name} out of the running order"
    return f"put {name} into the running order"


def columns(*, narrow: bool) -> list[tuple[str, int]]:
    """On a narrow screen the name is shorter and the window's clock times are left out."""
    if not narrow:
        return list(_COLUMNS)
    shorter = [("Object", 18), *_COLUMNS[1:]]
    return [each for each in shorter if each[0] != _WINDOW]


def cells(desk: Desk, each: "Suggestion", picked: dict[str, int], *, narrow: bool) -> list[Text]:
    """One row of the list; `picked` has places in the running order by object."""
    moon = f"{each.moon_separation_min_deg:.0f}°" if each.moon_up_part else "down"
    fill = "size?" if each.major_arcmin is None else "–"
    if each.frame_fill is not None:
        fill = f"{each.frame_fill * 100:.0f}%"
    window = f"{desk.event_words(each.from_utc)}–{desk.event_words(each.to_utc)}"
    place = picked.get(each.object_id)
    mark = f"▸{place} " if place else ""
    return [
        Text(short(mark + each.name, 18 if narrow else 24), style="bold"),
        Text(f"{each.hours:.1f}", justify="right"),
        *([] if narrow else [Text(window)]),
        Text(f"{each.max_altitude_deg:.0f}°", justify="right"),
        Text(moon, justify="right"),
        Text(fill, justify="right"),
        Text(f"{each.score:.2f}", justify="right"),
    ]


def place_words(ra_deg: float, dec_deg: float) -> str:
    """A place in the sky to a tenth of a minute of time and a minute of arc: `00 42.7 +41°16′`."""
    tenths = round(ra_deg / 15.0 * 600.0) % 14400
    minutes = round(abs(dec_deg) * 60.0)
    sign = "−" if dec_deg < 0 else "+"
    hours, rest = divmod(tenths, 600)
    return f"{hours:02d} {rest / 10:04.1f} {sign}{minutes // 60:02d}°{minutes % 60:02d}′"


def short(words: str, longest: int) -> str:
    """Words cut to a length, with a sign that they are."""
    return words if len(words) <= longest else f"{words[: longest - 1]}…"


def head_words(desk: Desk, *, narrow: bool) -> Text:
    """Train, field, the night, the honest word on it, and the limits.

    A narrow screen has no room for the field and the hours without the Moon.
    """
    view, tonight = desk.view, desk.tonight
    if view.site is None:
        return Text(no_sky_words(desk))
    head = Text().append(view.train.train.name if view.train else "no train", style="bold")
    if tonight is None:
        head.append(f"  {no_sky_words(desk)}")
        return head
    if tonight.field is not None and not narrow:
        width, height = tonight.field.field_deg
        head.append(f"  {width:.2f}° × {height:.2f}°")
    dark = _dark_words(desk, tonight.night, narrow=narrow)
    head.append(f"  {_date_words(desk)}  {dark}")
    if tonight.words:
        head.append(f"\n{' '.join(tonight.words)}", style="bold")
    head.append(f"\n{limits_words(desk, tonight)}")
    return head


def limits_words(desk: Desk, tonight: "Tonight") -> str:
    """The limits that the list was made within, and how many objects are."""
    limits = tonight.ranking.limits
    number = len(tonight.ranking.rows)
    counted = f"{number} object{'' if number == 1 else 's'}"
    same = (each.name for each in desk.view.limit_sets if each.limits == limits)
    name = next((f"{name}: " for name in same), "")
    return f"{counted}, {name}{limit_words(limits)}"


def limit_words(limits: "Limits") -> str:
    """What every set has, in words, and the rest as it may be typed."""
    usual = (
        f"above {limits.min_altitude_deg:.0f}°, {limits.min_moon_separation_deg:.0f}° from a "
        f"risen Moon, {limits.min_hours:g} h or more"
    )
    said = ("above ", "moon ", " h")
    rest = [part for part in limits_text(limits).split(", ") if not _is_said(part, said)]
    return ", ".join([usual, *(part for part in rest if part)])


def _is_said(part: str, said: tuple[str, ...]) -> bool:
    return part.startswith(said[:2]) or part.endswith(said[2])


def _date_words(desk: Desk) -> str:
    words = f"{desk.chosen_date:%a %d %b}"
    return f"night of {words}" if desk.looked_at is not None else words


def _dark_words(desk: Desk, night: "Night", *, narrow: bool) -> str:
    if night.dark is None:
        return "no full darkness"
    start, end = desk.event_words(night.dark.start), desk.event_words(night.dark.end)
    if narrow:
        return f"dark {start}–{end}"
    moonless = night.moonless_hours
    return f"dark {start}–{end}, {f'{moonless:.1f} h' if moonless else 'none of it'} moonless"


def object_words(found: "Suggestion") -> Text:
    """Name, number, kind, constellation, size; what is not known is named."""
    words = Text().append(found.name, style="bold")
    number = "" if found.object_id == found.name else f" ({found.object_id})"
    size = "size unknown"
    if found.major_arcmin is not None:
        minor = f" × {found.minor_arcmin:g}" if found.minor_arcmin else ""
        size = f"{found.major_arcmin:g}{minor}′"
    words.append(f"{number}, {found.kind}, {found.constellation}, {size}")
    more = [each for each in found.unknown if each != size]
    words.append("".join(f", {each}" for each in more))
    return words


def why_words(found: "Suggestion") -> Text:
    """The object in a line, then each factor of its score as a bar with its reason."""
    words = object_words(found)
    for factor in found.factors:
        words.append(f"\n{_bar(factor, _BAR)} {factor.words}")
    return words


def why_short(found: "Suggestion", width: int) -> Text:
    """The same in few rows: the bars side by side, then the reasons, the weakest factor first."""
    words = object_words(found)
    length = _SHORT_BAR if width >= 3 * (_SHORT_BAR + _BESIDE_BAR) else _SHORTEST_BAR
    beside = max(1, (width + 2) // (length + _BESIDE_BAR))
    for place, factor in enumerate(found.factors):
        words.append("\n" if place % beside == 0 else "")
        words.append(f"{_bar(factor, length)}  ")
    worst = sorted(found.factors, key=lambda factor: factor.value)
    words.append("\n" + "; ".join(factor.words for factor in worst))
    return words


def _bar(factor: "Factor", length: int) -> str:
    full = round(factor.value * length)
    return f"{factor.name:10} {'■' * full + '·' * (length - full)} {factor.value:.2f}"

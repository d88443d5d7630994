"""What can hurt someone in work on the kit, found by the words that name the work.

Common practice, no source: the usual cautions, in short. They defer to practice, local rules and
the manual of the part.
"""

import re

from logbook.text import fold

_MIRROR = (
    "A mirror can come loose: tube level, cloth under it, a hand under the cell before anything "
    "is loosened further. The centre screw holds the mirrors' distance and the secondary itself."
)
_GLASS = (
    "Blow dust off first; nothing is rubbed dry. When unsure leave it: a little dust costs none."
)
_MAINS = (
    "Mains: pull the plug first. In the open low voltage at the mount, a residual-current device, "
    "your local rules; what is fixed is for a licensed electrician."
)
_BATTERY = (
    "Batteries: no metal across the poles, never charge one that is frozen, swollen or hot; old "
    "ones go where your local rules say."
)
_SOLVENT = (
    "Solvents burn and their vapour harms: fresh air, no flame or heater near, gloves, goggles; "
    "try a hidden spot first, as they take paint, glue and coatings."
)
_LIFTING = (
    "Heavy: two lift it. Counterweights on first, off last; hold the tube before a clamp is opened."
)
_SUN = "By day: cover the tube and the finder, and never point them at or near the Sun."

_BY_WORDS: tuple[tuple[str, str], ...] = (
    (r"mirror|primary|secondary|spider|cell\b|grub screw|collimat|re-?seat", _MIRROR),
    (r"mirror|lens|corrector|filters?\b|window|eyepiece|coating", _GLASS),
    (r"mains\b|plug|power suppl|fuse|wiring|heater|socket strip|extension lead", _MAINS),
    (r"batter|accumulator|power pack|charg", _BATTERY),
    (
        r"solvent|alcohol|acetone|isopropyl|petrol|white spirit|methylated|degreas|grease|greasing"
        r"|regreas|contact cleaner|thinner",
        _SOLVENT,
    ),
    (r"mount\b|pier\b|tripod|counterweight|weight\b|saddle|dovetail|lift|rail\b", _LIFTING),
    (r"polar scope|finder\b|guide telescope|align", _SUN),
)


def upkeep_cautions(action: str, part_name: str | None = None) -> tuple[str, ...]:
    """The cautions that the words of a piece of work call for; none for most work."""
    words = fold(f"{part_name or ''} {action}")
    return tuple(caution for pattern, caution in _BY_WORDS if re.search(rf"\b(?:{pattern})", words))

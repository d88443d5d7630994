"""What can hurt someone or something with this train, in words."""

from collections.abc import Iterable, Sequence

from logbook.kit.parts.part import Train
from logbook.kit.parts.threads import NO_MATE
from logbook.kit.train.balance import BALANCED_WITHIN_MM, Balance
from logbook.kit.train.joints import Joint
from logbook.kit.train.payload import Payload

HEAVY_KG = 20.0  # from where two should lift; own proposal after common practice, 20 to 25 kg

SUN = "never point it at or near the Sun without a filter made for its full aperture"


def cautions(
    train: Train,
    joints: Sequence[Joint],
    mass_kg: float | None,
    load: Payload | None,
    balance: Balance | None,
) -> tuple[str, ...]:
    """The most urgent first; the Sun is always among them."""
    return (
        *(f"{each.above} → {each.below}: {each.why}" for each in joints if each.verdict == NO_MATE),
        *_weight(train, mass_kg, load),
        *_balance(balance),
        *_saddle(train),
        SUN,
    )


def _weight(train: Train, mass_kg: float | None, load: Payload | None) -> Iterable[str]:
    if load is not None and load.spare_kg < 0:
        yield f"{-load.spare_kg:.1f} kg more than the mount should carry"
    if mass_kg is not None and mass_kg > HEAVY_KG:
        yield f"{mass_kg:.0f} kg: lift it with two"
    mount = train.rides("mount")
    mount_kg = mount.possible("mass_kg") if mount else None
    if mount is not None and mount_kg is not None and mount_kg > HEAVY_KG:
        yield f"{mount.name} weighs {mount_kg:.0f} kg: lift it with two"
    if mount is not None and train.rides("counterweight") is not None:
        yield "counterweights go on before the tube and come off after it"


def _balance(balance: Balance | None) -> Iterable[str]:
    off_mm = balance.off_mm if balance else None
    if off_mm is None or abs(off_mm) <= BALANCED_WITHIN_MM:
        return
    heavy = "front" if off_mm > 0 else "back"
    yield f"{heavy}-heavy: hold the tube before a clamp is opened"


def _saddle(train: Train) -> Iterable[str]:
    rail, saddle = train.rides("dovetail"), train.rides("saddle")
    if rail is None or saddle is None:
        return
    rail_mm, saddle_mm = rail.possible("width_mm"), saddle.possible("width_mm")
    if rail_mm is not None and saddle_mm is not None and rail_mm > saddle_mm + 1.5:
        yield f"{rail.name} ({rail_mm:g} mm) is wider than {saddle.name} takes ({saddle_mm:g} mm)"

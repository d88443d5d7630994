"""What a mount should carry."""

from dataclasses import dataclass

IMAGING_SHARE = 0.5  # of what the maker states; common practice for long exposures, no source


@dataclass(frozen=True, slots=True)
class Payload:
    """spare_kg is negative where the train is too heavy."""

    mass_kg: float
    payload_kg: float
    share: float
    allowed_kg: float
    spare_kg: float
    words: str


def payload(mass_kg: float, payload_kg: float, share: float = IMAGING_SHARE) -> Payload:
    """The train's mass against a share of what the mount is stated to carry.

    share -- more than 0, at most 1. Raises ValueError.
    """
    if not (mass_kg >= 0 and payload_kg > 0 and 0 < share <= 1):
        raise ValueError(f"no such load: {mass_kg} kg on {payload_kg} kg, share {share}")
    allowed_kg = payload_kg * share
    spare_kg = allowed_kg - mass_kg
    words = f"of {payload_kg:g} kg: "
    if share < 1:
        words = f"{share * 100:.0f} % {words[:-2]} (common practice): {allowed_kg:.1f} kg, "
    words += f"{spare_kg:.1f} kg to spare" if spare_kg >= 0 else f"{-spare_kg:.1f} kg too heavy"
    return Payload(mass_kg, payload_kg, share, allowed_kg, spare_kg, words)

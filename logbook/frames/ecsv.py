"""Tables as ECSV, the text format of astropy that stores units and meanings with the numbers.

Source: Astropy Proposal for Enhancement 6, Enhanced Character Separated Values (2013, version 1.0).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from astropy.table import MaskedColumn, Table


@dataclass(frozen=True, slots=True)
class EcsvColumn:
    """A column: values of one kind, None where there is none. `unit` is an astropy unit, or ""."""

    name: str
    kind: type  # str, int, float or bool
    values: Sequence[str | int | float | None]
    unit: str = ""
    what: str = ""


def write_ecsv(path: Path, columns: Sequence[EcsvColumn], title: str) -> None:
    """Write the columns as one table, in place of a file of that name. Raises OSError."""
    table = Table([_column(each) for each in columns], meta={"title": title})
    table.write(path, format="ascii.ecsv", overwrite=True)


def _column(column: EcsvColumn) -> MaskedColumn:
    return MaskedColumn(
        [column.kind() if value is None else value for value in column.values],
        name=column.name,
        mask=[value is None for value in column.values],
        dtype=column.kind,
        unit=column.unit or None,
        description=column.what or None,
    )

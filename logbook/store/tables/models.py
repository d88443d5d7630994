"""The tables of a book, all of them.

Two rules shape them. What happened (`timeline`) is only ever added. What the user has
(`kit`) is a row per revision.
"""

from logbook.store.tables.base import Base, BookRow, ChoiceRow, DraftRow, TypedRow
from logbook.store.tables.choosing import (
    LimitSetRow,
    ProjectRow,
    RunningOrderItemRow,
    RunningOrderRow,
    TargetRow,
)
from logbook.store.tables.kit import (
    FormerNameRow,
    HorizonPointRow,
    PartRevisionRow,
    PartRow,
    PartValueRow,
    ScrewRow,
    SiteRow,
    TrainPartRow,
    TrainRevisionRow,
    TrainRow,
    UpkeepRuleRow,
    UpkeepSnoozeRow,
)
from logbook.store.tables.star_tests import AdjustmentRow, StarCheckRow, StarLookDetailRow
from logbook.store.tables.timeline import (
    EntryRow,
    FrameFileRow,
    FramesRow,
    NightRow,
    ReadingRow,
    StarLookRow,
    TurnRow,
    UpkeepRow,
)
from logbook.store.tables.units import UnitChangeRow, UnitRow

__all__ = [
    "AdjustmentRow",
    "Base",
    "BookRow",
    "ChoiceRow",
    "DraftRow",
    "EntryRow",
    "FormerNameRow",
    "FrameFileRow",
    "FramesRow",
    "HorizonPointRow",
    "LimitSetRow",
    "NightRow",
    "PartRevisionRow",
    "PartRow",
    "PartValueRow",
    "ProjectRow",
    "ReadingRow",
    "RunningOrderItemRow",
    "RunningOrderRow",
    "ScrewRow",
    "SiteRow",
    "StarCheckRow",
    "StarLookDetailRow",
    "StarLookRow",
    "TargetRow",
    "TrainPartRow",
    "TrainRevisionRow",
    "TrainRow",
    "TurnRow",
    "TypedRow",
    "UnitChangeRow",
    "UnitRow",
    "UpkeepRow",
    "UpkeepRuleRow",
    "UpkeepSnoozeRow",
]

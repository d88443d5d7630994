"""The tables of a book, all of them.

Two rules shape them. What happened (`model_timeline`) is only ever added. What the owner has
(`model_kit`) is a row per revision.
"""

from logbook.store.model_base import (
    Base,
    BookRow,
    ChoiceRow,
    DraftRow,
    TypedRow,
)
from logbook.store.model_choosing import (
    LimitSetRow,
    ProjectRow,
    RunningOrderItemRow,
    RunningOrderRow,
    TargetRow,
)
from logbook.store.model_kit import (
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
from logbook.store.model_startest import AdjustmentRow, StarCheckRow, StarLookDetailRow
from logbook.store.model_timeline import (
    EntryRow,
    FrameFileRow,
    FramesRow,
    NightRow,
    ReadingRow,
    StarLookRow,
    TurnRow,
    UpkeepRow,
)
from logbook.store.model_units import UnitChangeRow, UnitRow

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

"""The table of record types, read from the classes once."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from underboard.core.records.done import Crop, CropEvent, Culture, Treatment, Trial
from underboard.core.records.ground import Member, Place, Plot, Station
from underboard.core.records.observed import (
    Damage,
    Evening,
    Note,
    Photo,
    Round,
    SlugCount,
    SoilSample,
    Temperature,
    TrapCatch,
)
from underboard.core.records.spec import Record, RecordType, describe
from underboard.core.records.warned import Learned, Warning_, WarningReply, Watch

_CLASSES: tuple[type[Record], ...] = (
    Plot,
    Place,
    Station,
    Member,
    Round,
    SlugCount,
    TrapCatch,
    SoilSample,
    Temperature,
    Evening,
    Damage,
    Note,
    Photo,
    Crop,
    CropEvent,
    Treatment,
    Culture,
    Trial,
    Watch,
    Warning_,
    WarningReply,
    Learned,
)

RECORD_TYPES: Mapping[str, RecordType] = MappingProxyType(
    {found.name: found for found in (describe(cls) for cls in _CLASSES)}
)

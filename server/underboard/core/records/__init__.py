"""Records: what people write down. One frozen dataclass per type, one `Field` per field.

`RECORD_TYPES` lists the types, `check_set` says what is wrong with a set of fields, `read_record` makes the
dataclass of a stored body. To add a field, add a line to the class: checks, JSON Schemas and the phone's
types follow from it. To add a type, add its class to `_CLASSES`.
"""

from __future__ import annotations

from underboard.core.records.check import Fault, check_set
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
from underboard.core.records.reading import read_record
from underboard.core.records.registry import RECORD_TYPES
from underboard.core.records.spec import Field, Kind, Quantity, Record, RecordType
from underboard.core.records.warned import Warning_, WarningReply, Watch

__all__ = [
    "RECORD_TYPES",
    "Crop",
    "CropEvent",
    "Culture",
    "Damage",
    "Evening",
    "Fault",
    "Field",
    "Kind",
    "Member",
    "Note",
    "Photo",
    "Place",
    "Plot",
    "Quantity",
    "Record",
    "RecordType",
    "Round",
    "SlugCount",
    "SoilSample",
    "Station",
    "Temperature",
    "TrapCatch",
    "Treatment",
    "Trial",
    "WarningReply",
    "Warning_",
    "Watch",
    "check_set",
    "read_record",
]

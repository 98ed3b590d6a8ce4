"""The files of a Darwin Core archive: which terms each table has, meta.xml that says so, eml.xml that says whose."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from underboard.exchange.holding import COARSE_DEG, Holding

Row = dict[str, str]
DWC: Final = "http://rs.tdwg.org/dwc/terms/"
TEXT: Final = "http://rs.tdwg.org/dwc/text/"
EML: Final = "https://eml.ecoinformatics.org/eml-2.2.0"
_CONTROL: Final = re.compile(r"[\x00-\x1f\x7f\u2028\u2029]+")


@dataclass(frozen=True)
class Table:
    """One file: its name, what a row is, and its terms. The first term is the id of the event."""

    file: str
    row_type: str
    terms: tuple[str, ...]


EVENT: Final = Table(
    "event.txt",
    f"{DWC}Event",
    (
        "eventID", "parentEventID", "eventType", "eventDate", "samplingProtocol", "sampleSizeValue",
        "sampleSizeUnit", "samplingEffort", "locationID", "decimalLatitude", "decimalLongitude", "geodeticDatum",
        "coordinateUncertaintyInMeters", "coordinatePrecision", "dataGeneralizations", "informationWithheld",
        "datasetName", "eventRemarks",
    ),
)  # fmt: skip
OCCURRENCE: Final = Table(
    "occurrence.txt",
    f"{DWC}Occurrence",
    (
        "eventID", "occurrenceID", "basisOfRecord", "occurrenceStatus", "individualCount", "organismQuantity",
        "organismQuantityType", "scientificName", "taxonRank", "kingdom", "vernacularName", "lifeStage",
        "verbatimIdentification", "occurrenceRemarks",
    ),
)  # fmt: skip
FACT: Final = Table(
    "measurementorfact.txt",
    f"{DWC}MeasurementOrFact",
    ("eventID", "measurementID", "measurementType", "measurementValue", "measurementUnit"),
)
TABLES: Final = (EVENT, OCCURRENCE, FACT)


def table_text(table: Table, rows: Iterable[Row]) -> str:
    """Return a table separated by tabs, which no value holds: breaks and control characters become blanks."""
    lines = ["\t".join(table.terms)]
    lines += ["\t".join(_flat(row.get(term, "")) for term in table.terms) for row in rows]
    return "\n".join(lines) + "\n"


def _flat(text: str) -> str:
    return text.strip() if text.isprintable() else _CONTROL.sub(" ", text).strip()


def meta_xml() -> str:
    """Return the descriptor: the core, its extensions, and the public address of each column's term."""
    root = ET.Element("archive", {"xmlns": TEXT, "metadata": "eml.xml"})
    for table in TABLES:
        part = ET.SubElement(
            root,
            "core" if table is EVENT else "extension",
            {
                "encoding": "UTF-8", "fieldsTerminatedBy": "\\t", "linesTerminatedBy": "\\n",
                "fieldsEnclosedBy": "", "ignoreHeaderLines": "1", "rowType": table.row_type,
            },
        )  # fmt: skip
        ET.SubElement(ET.SubElement(part, "files"), "location").text = table.file
        ET.SubElement(part, "id" if table is EVENT else "coreid", {"index": "0"})
        for index, term in enumerate(table.terms):
            if index or table is EVENT:
                ET.SubElement(part, "field", {"index": str(index), "term": f"{DWC}{term}"})
    return _text(root)


def eml_xml(holding: Holding, events: Sequence[Row], made_at: datetime) -> str:
    """Return the metadata as EML 2.2.0: title, whose it is, when, where, how. No person is named."""
    plot = holding.plot
    root = ET.Element(
        "eml:eml",
        {
            "xmlns:eml": EML,
            "packageId": f"{holding.plot_id}/{made_at:%Y%m%dT%H%M%SZ}",
            "system": "underboard",
        },
    )
    dataset = ET.SubElement(root, "dataset")
    invented = "Invented plot, nothing was measured: " if plot.get("invented") else ""
    name = _flat(str(plot.get("name") or "a plot"))
    _leaf(dataset, "title", f"{invented}slugs and wireworms on {name}")
    for role in ("creator", "metadataProvider"):
        _leaf(ET.SubElement(dataset, role), "organizationName", f"The grower of {name}")
    _leaf(dataset, "pubDate", made_at.date().isoformat())
    _leaf(dataset, "language", "en")
    _leaf(
        ET.SubElement(dataset, "abstract"),
        "para",
        "Counts of slugs under refuge boards and of soil animals in bait traps on a plot where food is grown. "
        "Boards and traps that were looked at and held none are absences; those that could not be looked at are "
        "events without occurrences.",
    )
    _leaf(ET.SubElement(dataset, "intellectualRights"), "para", "No licence was given: ask the grower.")
    _coverage(dataset, holding, sorted(row["eventDate"] for row in events if row.get("eventDate")))
    _leaf(ET.SubElement(dataset, "contact"), "organizationName", f"The grower of {name}")
    step = ET.SubElement(ET.SubElement(ET.SubElement(dataset, "methods"), "methodStep"), "description")
    _leaf(step, "para", "Boards are turned on a walk at dawn; traps are lifted after about 10 to 14 days.")
    return _text(root)


def _coverage(dataset: ET.Element, holding: Holding, dates: Sequence[str]) -> None:
    spot = holding.spot()
    if spot is None and not dates:
        return
    coverage = ET.SubElement(dataset, "coverage")
    if spot is not None:
        half = COARSE_DEG / 2 if spot.blurred else 0.0
        place = ET.SubElement(coverage, "geographicCoverage")
        _leaf(place, "geographicDescription", "Rounded to 0.01 degree." if spot.blurred else "The plot.")
        box = ET.SubElement(place, "boundingCoordinates")
        _leaf(box, "westBoundingCoordinate", f"{spot.longitude - half:.6f}")
        _leaf(box, "eastBoundingCoordinate", f"{spot.longitude + half:.6f}")
        _leaf(box, "northBoundingCoordinate", f"{spot.latitude + half:.6f}")
        _leaf(box, "southBoundingCoordinate", f"{spot.latitude - half:.6f}")
    if dates:
        days = ET.SubElement(ET.SubElement(coverage, "temporalCoverage"), "rangeOfDates")
        _leaf(ET.SubElement(days, "beginDate"), "calendarDate", dates[0][:10])
        _leaf(ET.SubElement(days, "endDate"), "calendarDate", dates[-1].rsplit("/", 1)[-1][:10])


def _leaf(parent: ET.Element, name: str, text: str) -> None:
    ET.SubElement(parent, name).text = text


def _text(root: ET.Element) -> str:
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"

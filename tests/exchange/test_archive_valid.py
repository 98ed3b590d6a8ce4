"""The Darwin Core archive before those who keep its standards: the schema of its descriptor, and a checker of EML.

`meta.xml` is held to the XML schema of the Darwin Core Text Guide itself. EML's schemas are under the GPL and so are
not copied here: `metapype` (Environmental Data Initiative, Apache 2.0) has the rules of EML 2.2.0 as the repositories
that take such documents apply them.
"""

from __future__ import annotations

import io
import warnings
import zipfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from tests.exchange.made_plots import MadePlot
from tests.exchange.test_standards_out import holding
from underboard.exchange.holding import Holding
from underboard.exchange.out.darwin_core import darwin_core

with warnings.catch_warnings():
    warnings.simplefilter("ignore", DeprecationWarning)  # it reads its own version in an old way
    from metapype.eml import validate
    from metapype.model.metapype_io import from_xml

SCHEMA = Path(__file__).parents[2] / "fixtures/outside/tdwg_dwc_text.xsd"
NOW = datetime(2026, 11, 26, 10, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def of_the_text_guide() -> etree.XMLSchema:
    tree = etree.parse(SCHEMA)
    for one in tree.findall("{*}import"):  # addresses of two schemas of which it uses nothing
        tree.getroot().remove(one)
    return etree.XMLSchema(tree)


def files(plot: Holding) -> tuple[bytes, str]:
    with zipfile.ZipFile(io.BytesIO(darwin_core(plot, NOW))) as archive:
        return archive.read("meta.xml"), archive.read("eml.xml").decode()


def faults_of(eml: str) -> list[Any]:
    said: list[Any] = []
    validate.tree(from_xml(eml), said)
    return [(kind, words) for kind, words, *_ in said]


def plots() -> list[Any]:
    """One by hand, one without place and days, one told exactly, and some made up with hostile words."""
    made = [MadePlot(seed, size=60) for seed in (5, 6)]
    return [
        pytest.param(holding(), id="by hand"),
        pytest.param(Holding("01890000-0000-7000-8000-000000000000", []), id="empty"),
        pytest.param(holding(exact_location=True, invented=True), id="exact"),
        *(pytest.param(Holding(one.plot_id, one.records), id=f"made {n}") for n, one in enumerate(made)),
    ]


@pytest.mark.parametrize("plot", plots())
def test_descriptor_and_metadata_are_valid(plot: Holding, of_the_text_guide: etree.XMLSchema) -> None:
    meta, eml = files(plot)
    of_the_text_guide.assertValid(etree.fromstring(meta))
    assert faults_of(eml) == []


def test_both_checkers_do_refuse(of_the_text_guide: etree.XMLSchema) -> None:
    meta, eml = files(holding())
    assert not of_the_text_guide.validate(etree.fromstring(meta.replace(b"coreid", b"id")))
    assert not of_the_text_guide.validate(etree.fromstring(meta.replace(b" rowType=", b" sort=")))
    assert faults_of(eml.replace("pubDate", "published"))
    assert faults_of(eml.replace("<title>", "<para>").replace("</title>", "</para>"))
    assert faults_of(eml.replace(">51.475000<", ">951.475<"))

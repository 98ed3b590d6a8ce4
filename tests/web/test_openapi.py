"""The OpenAPI document, read by somebody else's JSON Schema validator (jsonschema, draft 2020-12)."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from flask import Flask
from jsonschema import Draft202012Validator

from underboard.core.records import RECORD_TYPES
from underboard.exchange.demo import scenario_ops
from underboard.web.schemas.records import class_name

ON_SQLITE = pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
pytestmark = ON_SQLITE  # the document does not depend on the database


@pytest.fixture
def document(app: Flask) -> dict[str, Any]:
    found: dict[str, Any] = app.test_client().get("/api/v1/openapi.json").get_json()
    return found


def validator(document: dict[str, Any], name: str) -> Draft202012Validator:
    return Draft202012Validator(
        {"$ref": f"#/components/schemas/{name}", "components": document["components"]}
    )


def test_every_schema_is_a_json_schema_and_every_reference_leads_somewhere(document: dict[str, Any]) -> None:
    schemas = document["components"]["schemas"]
    for name, schema in schemas.items():
        assert re.fullmatch(r"[A-Za-z0-9._-]+", name)
        Draft202012Validator.check_schema(schema)
    for group, name in re.findall(r"#/components/(\w+)/([^'\"]+)", str(document)):
        assert name in document["components"][group]


def test_every_record_of_the_demo_fits_its_schema(document: dict[str, Any]) -> None:
    plot = "01890000-0000-7000-8000-000000000001"
    devices = [f"01890000-0000-7000-8000-00000000001{n}" for n in range(3)]
    checked = set()
    for _, op in scenario_ops(plot, devices, date(2026, 11, 25), 1):
        if op["kind"] == "put" and op["base_rev"] == 0 and "type" in op:
            validator(document, class_name(op["type"])).validate(op["set"])
            checked.add(op["type"])
    assert {"plot", "place", "station", "round", "slug_count", "trap_catch", "temperature"} <= checked


@pytest.mark.parametrize(
    ("type_name", "set_"),
    [
        ("slug_count", {"count": 10_000}),
        ("slug_count", {"count": 1.5}),
        ("slug_count", {"state": "forgotten"}),
        ("slug_count", {"photos": [{"sha256": "xyz"}]}),
        ("temperature", {"current": {"value": 4, "unit": "cubits"}}),
        ("temperature", {"current": {"unit": "degC"}}),
        ("evening", {"humidity_percent": 101}),
        ("station", {"place_id": "bed 1"}),
    ],
)
def test_a_wrong_value_does_not_fit(document: dict[str, Any], type_name: str, set_: dict[str, Any]) -> None:
    wrong = list(validator(document, class_name(type_name)).iter_errors(set_))
    assert [error for error in wrong if error.path and error.path[0] == next(iter(set_))]


def test_required_fields_are_those_that_push_asks_for(document: dict[str, Any]) -> None:
    for name, record in RECORD_TYPES.items():
        schema = document["components"]["schemas"][class_name(name)]
        assert sorted(schema.get("required", [])) == sorted(record.required)


def test_every_path_says_what_it_answers_and_who_may_ask_without_pairing(document: dict[str, Any]) -> None:
    open_to_all = set()
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            if method == "parameters":
                continue
            assert operation["summary"] and operation["responses"], (path, method)
            if operation.get("security") == []:
                open_to_all.add(path)
    assert open_to_all == {"/api/v1/hello", "/api/v1/pair"}
    default = document["components"]["responses"]["DEFAULT_ERROR"]["content"]
    assert list(default) == ["application/problem+json"]

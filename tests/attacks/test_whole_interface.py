"""Every address of the interface with made-up requests, good and bad: schemathesis reads our own OpenAPI document.

No answer may be a server fault, none may have another shape, status or media type than the document says, and what the
document forbids may not be taken. Ids of the plot are put in, so that requests get past the first "not found".
ATTACK_EXAMPLES says how many a kind; `tests/attacks/run` asks for more than CI has time for.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi import checks

from tests.attacks.household import Household, household
from underboard.web.request_log import set_up_log

# Not among them: that all which the document allows be taken. It says nothing of push services that may be called, of
# rules there are, of cursors that this server gave out and of halves of characters; their refusal is tested elsewhere.
CHECKS: Final = [
    not_a_server_error,
    checks.status_code_conformance,
    checks.content_type_conformance,
    checks.response_headers_conformance,
    checks.response_schema_conformance,
    checks.negative_data_rejection,
]
EXAMPLES: Final = int(os.environ.get("ATTACK_EXAMPLES", "0"))
IN_CI: Final = 10
SLOW: Final = {"POST /api/v1/sync/push": 4}
"""Fewer of what takes long to make up."""


@pytest.fixture(scope="module")
def opened(
    tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path
) -> Iterator[tuple[Household, Any]]:
    set_up_log("critical")
    with household(tmp_path_factory.mktemp("interface"), migrated_sqlite) as house:
        yield house, schemathesis.openapi.from_wsgi("/api/v1/openapi.json", house.app)


LABELS: Final = (
    "GET /api/v1/hello", "POST /api/v1/pair", "GET /api/v1/me", "POST /api/v1/codes", "GET /api/v1/devices",
    "DELETE /api/v1/devices/{device_id}", "POST /api/v1/sync/push", "GET /api/v1/sync/pull",
    "HEAD /api/v1/plots/{plot_id}/blobs/{sha256}", "GET /api/v1/plots/{plot_id}/blobs/{sha256}",
    "PUT /api/v1/plots/{plot_id}/blobs/{sha256}", "GET /api/v1/plots/{plot_id}/blobs/{sha256}/small",
    "POST /api/v1/plots/{plot_id}/readings", "GET /api/v1/plots/{plot_id}/findings/slugs",
    "GET /api/v1/plots/{plot_id}/findings/warnings", "GET /api/v1/plots/{plot_id}/records/{record_id}/history",
    "GET /api/v1/plots/{plot_id}/records/removed", "GET /api/v1/channels", "PUT /api/v1/channels/push",
    "DELETE /api/v1/channels/push", "POST /api/v1/channels/email", "DELETE /api/v1/channels/email/{target_id}",
    "POST /api/v1/channels/calendar", "DELETE /api/v1/channels/calendar",
    "POST /api/v1/channels/{channel}/{target_id}/trial", "GET /api/v1/plots/{plot_id}/export/{form}",
    "GET /api/v1/plots/{plot_id}/report/{kind}",
    "GET /api/v1/plots/{plot_id}/imports", "POST /api/v1/plots/{plot_id}/imports",
    "POST /api/v1/plots/{plot_id}/imports/preview", "DELETE /api/v1/plots/{plot_id}/imports/{import_id}",
)  # fmt: skip


def test_every_address_of_the_document_is_attacked(opened: tuple[Household, Any]) -> None:
    assert sorted(found.ok().label for found in opened[1].get_all_operations()) == sorted(LABELS)


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE], ids=["good", "bad"])
@pytest.mark.parametrize("label", LABELS)
def test_no_request_breaks_the_server_or_its_word(
    opened: tuple[Household, Any], label: str, mode: GenerationMode
) -> None:
    house, schema = opened
    (operation,) = [one.ok() for one in schema.get_all_operations() if one.ok().label == label]
    if mode is GenerationMode.NEGATIVE and not _takes_anything(operation):
        return  # there is no wrong way to ask it

    @settings(
        max_examples=EXAMPLES or SLOW.get(label, IN_CI),
        deadline=None,
        suppress_health_check=list(HealthCheck),
        phases=[Phase.generate, Phase.shrink],
        derandomize=not EXAMPLES,
        database=None,
    )
    @given(case=operation.as_strategy(generation_mode=mode))
    def attack(case: Any) -> None:
        if mode is GenerationMode.POSITIVE:
            _aim(case, house)
        headers = {**house.headers["owner"], "Accept-Encoding": "identity"}
        case.validate_response(case.call(headers=headers), checks=CHECKS)

    attack()


def _takes_anything(operation: Any) -> bool:
    return bool(operation.body or operation.query or operation.path_parameters)


def _aim(case: Any, house: Household) -> None:
    """Put the plot's own ids where a made-up one would lead to nothing."""
    for name, value in (("plot_id", house.plot_id), ("record_id", house.note_id), ("sha256", house.sha256)):
        if name in case.path_parameters:
            case.path_parameters[name] = value
    if case.query and "plot" in case.query:
        case.query["plot"] = house.plot_id
    if isinstance(case.body, dict) and "ops" in case.body:
        case.body["plot"] = house.plot_id

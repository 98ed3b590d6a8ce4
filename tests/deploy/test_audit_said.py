"""The audit says "none known" only when it was answered. Answers are in the tools' own formats, shortened."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from deploy.audit_said import NONE_KNOWN, NOT_ASKED, SOME_KNOWN, judge

CLEAN = {"name": "flask", "version": "3.1.3", "vulns": []}
SKIPPED = {
    "name": "numpy",
    "skip_reason": "Dependency not found on PyPI and could not be audited: numpy (2.4.6)",
}
# the example of pip-audit's README
HOLED = {
    "name": "flask",
    "version": "0.5",
    "vulns": [{"id": "PYSEC-2019-179", "fix_versions": ["1.0"], "description": "…"}],
}
NPM = {"auditReportVersion": 2, "metadata": {"dependencies": {"total": 416}}}
NPM_HOLE = {"minimist": {"name": "minimist", "severity": "critical", "range": "<0.2.4"}}


@pytest.mark.parametrize(
    ("tool", "told", "code", "words"),
    [
        ("pip", {"dependencies": [CLEAN], "fixes": []}, NONE_KNOWN, "No known hole in 1 packages."),
        ("pip", {"dependencies": [CLEAN, SKIPPED]}, NOT_ASKED, "NOT ASKED about 1 of 2: numpy."),
        ("pip", {"dependencies": [SKIPPED]}, NOT_ASKED, "NOT ASKED"),
        ("pip", {"dependencies": [HOLED, SKIPPED]}, SOME_KNOWN, "flask 0.5: PYSEC-2019-179, mended in 1.0"),
        ("pip", None, NOT_ASKED, "NOT ASKED"),
        ("npm", {**NPM, "vulnerabilities": {}}, NONE_KNOWN, "No known hole in 416 packages."),
        ("npm", {**NPM, "vulnerabilities": NPM_HOLE}, SOME_KNOWN, "minimist <0.2.4: critical"),
        (
            "npm",
            {"message": "405 Method Not Allowed", "error": {"summary": ""}},
            NOT_ASKED,
            "405 Method Not Allowed",
        ),
        ("npm", None, NOT_ASKED, "nothing came"),
    ],
)
def test_what_an_answer_means(tmp_path: Path, tool: str, told: object, code: int, words: str) -> None:
    file = tmp_path / "told.json"
    file.write_text(json.dumps(told) if told is not None else "")
    found, lines = judge(tool, file)
    assert found == code and words in "\n".join(lines)


def test_no_file_is_no_answer(tmp_path: Path) -> None:
    assert judge("pip", tmp_path / "none.json")[0] == NOT_ASKED

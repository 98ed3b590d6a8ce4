"""The help at /help: what is served, how long it may be kept, what it may do, and that no path leads out of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from underboard.config import Settings
from underboard.store import db
from underboard.web.app import create_app

INDEX = "<!doctype html><title>Underboard</title>"


def _built(folder: Path) -> None:
    for name in ("assets/javascripts", "assets/inline", "calculations"):
        (folder / name).mkdir(parents=True)
    (folder / "index.html").write_text(INDEX)
    (folder / "calculations" / "frost.html").write_text(INDEX)
    (folder / "assets" / "javascripts" / "bundle.a5f9d56c.min.js").write_text("1;")
    (folder / "assets" / "inline" / "0123456789ab.js").write_text("2;")
    (folder / "assets" / "plain.js").write_text("3;")
    (folder / ".built-from").write_text("a sum")
    (folder.parent / "secret.html").write_text("not for everybody")


@pytest.fixture(scope="module", params=[True, False], ids=["built", "not built"])
def caller(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[bool, FlaskClient]]:
    """No page of the help asks the database, so it stays empty."""
    root = tmp_path_factory.mktemp("help")
    if request.param:
        _built(root / "help")
    settings = Settings(data=root / "data", rate_limits=False, log_level="error")
    app = create_app(settings, help_folder=root / "help", client_folder=root / "no client")
    yield request.param, app.test_client()
    with app.app_context():
        db.engine.dispose()


def test_the_help_is_read_by_everybody_or_says_how_to_build_it(caller: tuple[bool, FlaskClient]) -> None:
    built, client = caller
    bare = client.get("/help")
    assert (bare.status_code, bare.headers["Location"]) == (308, "/help/")
    answer = client.get("/help/")
    if built:
        assert (answer.status_code, answer.text) == (200, INDEX)
        assert client.get("/help/calculations/frost.html").text == INDEX
        assert client.get("/help/gone.html").get_json()["detail"].endswith("begin at /help.")
    else:
        assert answer.status_code == 404
        assert "python -m deploy.build_help" in answer.get_json()["detail"]


def test_it_may_run_nothing_but_its_own_files(caller: tuple[bool, FlaskClient]) -> None:
    built, client = caller
    answer = client.get("/help/")
    policy = dict(part.strip().split(" ", 1) for part in answer.headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'none'" and policy["frame-ancestors"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    # Only here: the app itself keeps its trusted types.
    assert ("require-trusted-types-for" in policy) is not built
    assert "require-trusted-types-for" in client.get("/helpless").headers["Content-Security-Policy"]


def test_only_what_changes_its_name_is_kept_for_ever(caller: tuple[bool, FlaskClient]) -> None:
    built, client = caller
    if not built:
        assert client.get("/help/assets/plain.js").status_code == 404
        return
    for path, kept in (
        ("", "no-cache"),
        ("calculations/frost.html", "no-cache"),
        ("assets/plain.js", "no-cache"),
        ("assets/javascripts/bundle.a5f9d56c.min.js", "immutable"),
        ("assets/inline/0123456789ab.js", "immutable"),
    ):
        assert kept in client.get(f"/help/{path}").headers["Cache-Control"], path
    tag = client.get("/help/").headers["ETag"]
    assert client.get("/help/", headers={"If-None-Match": tag}).status_code == 304


@pytest.mark.parametrize(
    "path",
    [
        "../secret.html",
        "..%2fsecret.html",
        "%2e%2e/secret.html",
        "calculations/../../secret.html",
        "calculations/%2e%2e/%2e%2e/secret.html",
        "..\\secret.html",
        "/etc/passwd",
        "%2fetc%2fpasswd",
        ".built-from",
        "./.built-from",
        "calculations",
        "index.html%00.js",
    ],
)
def test_no_path_leads_out_of_it(caller: tuple[bool, FlaskClient], path: str) -> None:
    answer = caller[1].get(f"/help/{path}")
    assert answer.status_code in (308, 400, 404), answer.text
    assert "not for everybody" not in answer.text and "a sum" not in answer.text

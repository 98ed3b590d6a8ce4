"""Write the page of the interface from the server's own OpenAPI document: `python -m deploy.docs.addresses`."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

PAGE: Final = Path(__file__).with_name("pages") / "api.md"
METHODS: Final = ("get", "head", "put", "post", "delete")

HEAD: Final = Path(__file__).with_name("interface_head.md")


def document() -> dict[str, Any]:
    """The OpenAPI document of an app on an empty folder."""
    from underboard.config import Settings
    from underboard.store import migrate_to_head
    from underboard.web.app import create_app

    with TemporaryDirectory() as folder:
        settings = Settings(data=Path(folder), rate_limits=False, log_level="error")
        migrate_to_head(settings.database)
        app = create_app(settings)
        told: dict[str, Any] = app.test_client().get("/api/v1/openapi.json").get_json()
    return told


def page(told: dict[str, Any]) -> str:
    """The page: a table for each subject, one line for each method of each address."""
    by_subject: dict[str, list[str]] = {}
    for path, methods in told["paths"].items():
        for method in METHODS:
            if method not in methods:
                continue
            about = methods[method]
            says = (about.get("summary") or about.get("description") or "").strip().split("\n\n")[0]
            says = " ".join(says.split()).replace("|", "\\|")
            subject = (about.get("tags") or ["other"])[0]
            by_subject.setdefault(subject, []).append(f"| `{method.upper()}` | `{path}` | {says} |")
    lines = [HEAD.read_text(encoding="utf-8")]
    for subject, rows in by_subject.items():
        heading = subject.replace("_", " ").capitalize()
        lines += [f"## {heading}", "", "| method | address | does |", "|---|---|---|", *rows, ""]
    return "\n".join(lines).rstrip() + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(document()), encoding="utf-8")
    print(PAGE)

"""The help at /help: pages built from deploy/docs into the package, for everybody who reaches the server."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from flask import Blueprint, Response, current_app, redirect
from werkzeug.wrappers import Response as AnyResponse

from underboard.web.client_files import ClientFiles, answer_with
from underboard.web.problems import Problem

HELP_FOLDER: Final = Path(__file__).parents[1] / "help"
help_pages = Blueprint("help_pages", __name__)

# As the app's own, but for two things that the theme of the pages needs: its menus and search write HTML that they made
# themselves, which trusted types would refuse, and the signs in its style sheet are data: pictures. No script and no
# style stands inside a page. What the pages show is written by us; nothing that people recorded comes near them.
POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "worker-src 'self'; form-action 'self'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'"
)
_HASHED: Final = re.compile(r"assets/.*\.[0-9a-f]{8}\.min\.(?:js|css)|assets/inline/[0-9a-f]{12}\.js")


@help_pages.get("/help")
def start() -> AnyResponse:
    """Links between the pages are relative: they need the slash."""
    return redirect("/help/", 308)


@help_pages.get("/help/")
@help_pages.get("/help/<path:name>")
def page(name: str = "index.html") -> Response:
    """One page or picture of the help."""
    files: ClientFiles = current_app.extensions["underboard_help"]
    file = files.find(name)
    if file is None:
        if files.find("index.html") is None:
            raise Problem(
                "not-found", "The help is not built yet: run deploy/run, or python -m deploy.build_help."
            )
        raise Problem("not-found", "There is no such page in the help: begin at /help.")
    answer = answer_with(file, name, for_ever=_HASHED.fullmatch(name) is not None)
    answer.headers["Content-Security-Policy"] = POLICY
    return answer

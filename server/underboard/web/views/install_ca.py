"""How a phone comes to trust this household: the authority to install, its fingerprint, and drawn steps.

Read-only and for everybody on the network, over plain http too: a phone that does not trust us yet has no other way
in. What makes that safe is the fingerprint, which is compared with the one that the server's own screen shows.
"""

from __future__ import annotations

from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from flask import Blueprint, Response, render_template, request

from underboard.certificates.authority import fingerprint
from underboard.certificates.bounds import Bounds
from underboard.certificates.profile import MEDIA_TYPE as PROFILE_TYPE
from underboard.certificates.profile import profile_of
from underboard.web.install_words import SYSTEMS, WORDS
from underboard.web.problems import Problem
from underboard.web.services import services

PAGES = Path(__file__).parents[1] / "pages"
install_ca = Blueprint("install_ca", __name__, template_folder=str(PAGES))
DER_TYPE = "application/x-x509-ca-cert"


@install_ca.get("/install-ca")
def page() -> Response:
    """The page; also what plain http from another machine shows in place of the app."""
    return explain()


@install_ca.get("/install-ca.css")
def style() -> Response:
    """How the page looks; the content security policy allows no style inside it."""
    return Response((PAGES / "install_ca.css").read_bytes(), content_type="text/css; charset=utf-8")


@install_ca.get("/install-ca/underboard-ca.crt")
def authority() -> Response:
    """The authority as most systems take it."""
    return _download(_root().public_bytes(Encoding.DER), DER_TYPE, "underboard-ca.crt")


@install_ca.get("/install-ca/underboard-ca.pem")
def authority_as_text() -> Response:
    """The authority as programs take it."""
    return _download(_root().public_bytes(Encoding.PEM), "application/x-pem-file", "underboard-ca.pem")


@install_ca.get("/install-ca/underboard-ca.mobileconfig")
def profile() -> Response:
    """The authority as an iPhone takes it."""
    return _download(profile_of(_root()), PROFILE_TYPE, "underboard-ca.mobileconfig")


def explain() -> Response:
    """The page in the language of whoever asks, with the steps of their own system opened."""
    language = request.accept_languages.best_match(list(WORDS)) or "en"
    root = services().keeper.root()
    answer = Response(
        render_template(
            "install_ca.html",
            language=language,
            words=WORDS[language],
            systems=SYSTEMS[language],
            theirs=_system_of(request.headers.get("User-Agent", "")),
            plain=not request.is_secure,
            addresses=services().https_addresses(),
            fingerprint=fingerprint(root).split(":") if root is not None else None,
            good_for=_good_for(root) if root is not None else [],
        )
    )
    answer.headers["Cache-Control"] = "no-store"
    answer.vary.add("Accept-Language")
    return answer


def _root() -> x509.Certificate:
    root = services().keeper.root()
    if root is None:
        raise Problem("not-found", "This server has no authority of its own: there is nothing to install.")
    return root


def _download(data: bytes, kind: str, name: str) -> Response:
    answer = Response(data, content_type=kind)
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _good_for(root: x509.Certificate) -> list[str]:
    bounds = Bounds.of(root)
    return [*bounds.names, *(str(network) for network in bounds.networks)]


def _system_of(agent: str) -> str:
    """Which steps to open first; a guess, all others stand below."""
    for mark, system in (
        ("iPhone", "ios"), ("iPad", "ios"), ("Android", "android"), ("Windows", "windows"),
        ("Macintosh", "macos"), ("Linux", "linux"),
    ):  # fmt: skip
        if mark in agent:
            return system
    return "android"

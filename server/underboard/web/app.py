"""The app factory: the one place that knows which parts make up the server."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from flask import Flask
from werkzeug.middleware.proxy_fix import ProxyFix

from underboard import __version__
from underboard.config import Settings
from underboard.data_folder import prepare_data_folder, server_id
from underboard.store import init_database
from underboard.store.blobs import BlobStore
from underboard.store.shelves import shelf_of
from underboard.web.api import start_api
from underboard.web.auth import register_auth
from underboard.web.client_files import CLIENT_FOLDER, ClientFiles, PagePath, client_files
from underboard.web.packing import register_packing
from underboard.web.plain_http import register_plain_http
from underboard.web.problems import register_problems
from underboard.web.request_log import register_request_log
from underboard.web.security import register_headers
from underboard.web.services import EXTENSION, Services, Together, utc_now
from underboard.web.views.help_pages import HELP_FOLDER, help_pages

MAX_BODY = 16 * 1024 * 1024


def create_app(
    settings: Settings,
    *,
    now: Callable[[], datetime] = utc_now,
    client_folder: Path = CLIENT_FOLDER,
    help_folder: Path = HELP_FOLDER,
    https: bool = False,
    together: Together | None = None,
) -> Flask:
    """Make the server's app on a database that is already at its newest step.

    Parameters
    ----------
    settings
        From `config.load_settings`.
    now
        The clock; tests hand in their own.
    client_folder
        Where the built pages lie.
    help_folder
        Where the built help lies.
    https
        Whether this server answers by https too. Then plain http is for this machine, and for the pages that
        explain how to come in.
    together
        What this worker shares with the server's others; None: it is alone.
    """
    prepare_data_folder(settings)
    app = Flask("underboard", static_folder=None)
    app.config.update(
        SQLALCHEMY_DATABASE_URI=settings.database,
        UNDERBOARD_HIGH_WATER=settings.high_water,
        MAX_CONTENT_LENGTH=MAX_BODY,
        # what people wrote stays out of the log even when the database complains about it
        SQLALCHEMY_ENGINE_OPTIONS={"hide_parameters": True},
    )
    init_database(app)
    app.extensions[EXTENSION] = Services(
        settings, server_id(settings), _photos(settings), now, https=https, together=together or Together()
    )
    app.extensions["underboard_client"] = ClientFiles(client_folder)
    app.extensions["underboard_help"] = ClientFiles(help_folder)
    # after_request runs in the reverse order of registering: pack last, log the very end.
    register_request_log(app)
    register_packing(app)
    register_headers(app)
    register_plain_http(app)
    register_auth(app)
    register_problems(app)
    _register_views(app)
    if settings.trusted_proxies:
        hops = settings.trusted_proxies
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=hops, x_proto=hops, x_host=hops)  # type: ignore[method-assign]
    return app


def _photos(settings: Settings) -> BlobStore:
    return BlobStore(shelf_of(settings), settings.blob_quota_mb * 1024 * 1024)


def _register_views(app: Flask) -> None:
    from underboard.web.views import (
        blobs,
        channels,
        devices,
        export,
        findings,
        health,
        hello,
        history,
        imports,
        install_ca,
        open_doors,
        pair,
        readings,
        report,
        sync,
    )

    api = start_api(app, __version__)
    for subject in (
        hello,
        pair,
        devices,
        sync,
        blobs,
        readings,
        findings,
        channels,
        history,
        export,
        imports,
        report,
    ):
        api.register_blueprint(subject.subject)
    app.register_blueprint(health.health)
    app.register_blueprint(open_doors.open_doors)
    app.register_blueprint(install_ca.install_ca)
    app.register_blueprint(help_pages)
    app.url_map.converters["page"] = PagePath
    app.register_blueprint(client_files)

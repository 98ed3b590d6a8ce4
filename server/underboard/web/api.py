"""The edge to flask-smorest: one subject a blueprint, bodies read by our bounded reader, errors as problems.

flask-smorest ships no types; the few untyped lines of the package are here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import wraps
from typing import Any, Final, NoReturn, TypeVar, cast

from flask import Flask, Request
from flask_smorest import Api, Blueprint
from marshmallow import Schema, ValidationError
from webargs.flaskparser import FlaskParser

from underboard.core.records import RECORD_TYPES
from underboard.web.auth import require
from underboard.web.bodies import read_json
from underboard.web.problems import MEDIA_TYPE, Problem
from underboard.web.roles import Act
from underboard.web.schemas.answers import ProblemSchema
from underboard.web.schemas.records import class_name, record_schema

View = TypeVar("View", bound=Callable[..., Any])
PREFIX: Final = "/api/v1"


class BoundedParser(FlaskParser):
    """Reads JSON through `bodies`, and turns faults into 422 problems with JSON pointers."""

    def load_json(self, req: Request, schema: Schema) -> Any:
        return read_json(req)

    def handle_error(self, error: ValidationError, *args: Any, **kwargs: Any) -> NoReturn:
        messages = error.messages_dict if isinstance(error.messages, dict) else {"json": error.messages}
        places = {"json": "", "query": "?", "path": ""}
        faults = [
            {"pointer": places.get(str(place), "") + pointer, "detail": detail}
            for place, inner in messages.items()
            for pointer, detail in flat_faults(inner)
        ]
        raise Problem("validation", "Some values can't be taken: see errors.", errors=faults)


class Subject(Blueprint):  # type: ignore[misc]  # flask-smorest has no types
    """A blueprint with typed decorators."""

    ARGUMENTS_PARSER = BoundedParser()

    def __init__(self, name: str, import_name: str, description: str) -> None:
        super().__init__(name, import_name, url_prefix=PREFIX, description=description)

    def route(self, rule: str, **options: Any) -> Callable[[View], View]:
        return cast(Callable[[View], View], super().route(rule, **options))

    def arguments(
        self, schema: type[Schema], *, act: Act | None = None, **options: Any
    ) -> Callable[[View], View]:
        """Load arguments by `schema`; with `act`, only after it is known that the caller may do that."""
        # One for all requests: to make one takes longer than it needs to read an address.
        read_by = schema() if options.get("location") == "query" else schema
        parse = super().arguments(read_by, **options)

        def decorate(view: View) -> View:
            parsed = parse(view)

            @wraps(parsed)
            def guarded(*words: Any, **named: Any) -> Any:
                if act is not None:
                    require(act, named.get("plot_id"))
                return parsed(*words, **named)

            return cast(View, guarded)

        return decorate

    def response(self, status: int, schema: Any = None, **options: Any) -> Callable[[View], View]:
        return cast(Callable[[View], View], super().response(status, schema, **options))

    def alt_response(self, status: int, *, description: str) -> Callable[[View], View]:
        return cast(
            Callable[[View], View],
            super().alt_response(
                status, schema=ProblemSchema, content_type=MEDIA_TYPE, description=description
            ),
        )

    def also(self, status: int, schema: type[Schema], *, description: str) -> Callable[[View], View]:
        """Another status by which it says yes."""
        return cast(
            Callable[[View], View], super().alt_response(status, schema=schema, description=description)
        )

    def body(self, schema: type[Schema], description: str = "") -> Callable[[View], View]:
        """Say in the documentation what the body holds, for views that read it themselves."""
        content = {"application/json": {"schema": schema}}
        return self.doc(requestBody={"required": True, "description": description, "content": content})

    @staticmethod
    def doc(**facts: Any) -> Callable[[View], View]:
        return cast(Callable[[View], View], Blueprint.doc(**facts))


class DocumentedApi(Api):  # type: ignore[misc]  # flask-smorest has no types
    """The OpenAPI document; errors are left to `problems`."""

    ERROR_SCHEMA = ProblemSchema

    def _register_responses(self) -> None:
        """Say that errors come as problem documents; flask-smorest has one media type for everything."""
        self.DEFAULT_RESPONSE_CONTENT_TYPE = MEDIA_TYPE
        super()._register_responses()
        del self.DEFAULT_RESPONSE_CONTENT_TYPE  # back to that of the class

    def _register_error_handlers(self) -> None:
        """Nothing: `register_problems` answers for all errors."""


def start_api(app: Flask, version: str) -> DocumentedApi:
    """Attach the OpenAPI 3.1 document to `app`, served at /api/v1/openapi.json."""
    app.config.update(
        API_TITLE="Underboard",
        API_VERSION=version,
        OPENAPI_VERSION="3.1.0",
        OPENAPI_URL_PREFIX=PREFIX,
        OPENAPI_JSON_PATH="openapi.json",
        API_SPEC_OPTIONS={
            "info": {"description": "Sync and findings of an Underboard server.", "license": {"name": "MIT"}},
            "security": [{"device_cookie": []}, {"device_token": []}],
        },
    )
    api = DocumentedApi(app)
    schemes = api.spec.components
    schemes.security_scheme("device_cookie", {"type": "apiKey", "in": "cookie", "name": "__Host-dev"})
    schemes.security_scheme("device_token", {"type": "http", "scheme": "bearer"})
    # Push takes any type in `set`, so that no view names these; the document holds one schema of each.
    for name in RECORD_TYPES:
        api.spec.components.schema(class_name(name), schema=record_schema(name))
    return api


def flat_faults(messages: Any, pointer: str = "") -> Iterator[tuple[str, str]]:
    """Marshmallow's nested messages as (JSON pointer, sentence) pairs."""
    if isinstance(messages, Mapping):
        for key, inner in messages.items():
            step = "" if key == "_schema" else "/" + str(key).replace("~", "~0").replace("/", "~1")
            yield from flat_faults(inner, pointer + step)
    elif isinstance(messages, list | tuple):
        for inner in messages:
            yield from flat_faults(inner, pointer)
    else:
        yield pointer, str(messages)

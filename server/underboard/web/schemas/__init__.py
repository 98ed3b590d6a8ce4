"""marshmallow schemas: what goes over the wire, for the OpenAPI document and the phone's types.

`records` makes one schema for each record type from the specs in `underboard.core.records`; `sync`,
`answers` and `readings` say what is round them. The core's own check decides about pushed records, because
it is faster; a test proves that schema and check agree.
"""

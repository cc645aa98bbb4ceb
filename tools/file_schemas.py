"""JSON Schemas (2020-12) of the files that programs write and others receive.

What people write by hand is described by the models that read it. These files are read by strict
code of their own, which checks hashes and signatures no schema can express: a schema says which
members there are and what they hold. A test holds each against real files and against slips.
"""

from __future__ import annotations

from typing import Any

Schema = dict[str, Any]

BASE64_32 = {"type": "string", "pattern": "^[A-Za-z0-9+/]{43}=$"}
BASE64 = {"type": "string", "pattern": "^[A-Za-z0-9+/]*={0,2}$"}
SHA256 = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
UUID7 = {
    "type": "string",
    "pattern": "^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$",
}
TIME = {
    "type": "string",
    "pattern": (r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,9})?(Z|[+-]\d{2}:\d{2})$"),
}
PLACE = {"type": "integer", "minimum": 0}
NAME = {"type": "string", "minLength": 1, "maxLength": 200}
VERSION = {"const": 1}


def closed(required: Schema, optional: Schema | None = None) -> Schema:
    """Return an object with these members and no other."""
    return {
        "type": "object",
        "additionalProperties": False,
        "required": list(required),
        "properties": {**required, **(optional or {})},
    }


ENTRY = closed(
    {
        "version": VERSION,
        "id": UUID7,
        "kind": {"type": "string", "pattern": "^[a-z][a-z0-9_]{0,63}$"},
        "job": {"anyOf": [NAME, {"type": "null"}]},
        "job_seq": {"anyOf": [PLACE, {"type": "null"}]},
        "device": closed({"id": NAME, "time": TIME}),
        "recorded": TIME,
        "body": {"type": "object"},
    }
)
ROW = closed(
    {
        "index": PLACE,
        "entry": ENTRY,
        "proof": {"type": "array", "maxItems": 64, "items": BASE64_32},
    }
)
ROWS = {"type": "array", "minItems": 1, "items": ROW}
CHECKPOINT = {"type": "string", "maxLength": 2000, "pattern": "^[^\n]+\n\\d{1,16}\n"}

RECORD = closed(
    {
        "format": {"const": "clampwright-record"},
        "version": VERSION,
        "origin": {"type": "string", "minLength": 1, "maxLength": 120},
        "job": NAME,
        "key": BASE64_32,
        "checkpoint": CHECKPOINT,
        "entries": ROWS,
    }
)
HANDOVER = closed(
    {
        "format": {"const": "clampwright-handover"},
        "version": VERSION,
        "key": BASE64_32,
        "checkpoint": CHECKPOINT,
        "entries": ROWS,
        "files": {"type": "array", "items": closed({"sha256": SHA256, "data": BASE64})},
    }
)
EXCHANGE = closed(
    {
        "format": {"const": "clampwright-entries"},
        "version": VERSION,
        "device": NAME,
        "made": TIME,
        "entries": {
            "type": "array",
            "items": closed(
                {
                    "job": NAME,
                    "way": {"type": "string", "pattern": "^[a-z][a-z-]{0,39}$"},
                    "id": UUID7,
                    "counter": PLACE,
                    "made": TIME,
                    "content": {"type": "object"},
                },
                {
                    "plan": {"type": "string"},
                    "person": {"type": "string"},
                    "session": {"type": "string"},
                    "sha256": SHA256,
                },
            ),
        },
    }
)

FIELD = {
    **closed(
        {},
        {
            "field": {"type": "integer", "minimum": 1},
            "after": {"type": "string", "minLength": 1},
            "unit": {"type": "string"},
            "sign": {"enum": [1, -1]},
        },
    ),
    "oneOf": [{"required": ["field"]}, {"required": ["after"]}],
}
ROLES = ("time", "torque", "angle", "rate")
LINES = {
    "type": "object",
    "oneOf": [
        {
            "additionalProperties": False,
            "required": ["torque"],
            "properties": {
                **{role: {"$ref": "#/$defs/Field"} for role in ROLES},
                "separator": {"type": "string"},
                "begins": {"type": "string"},
                "rate_hz": {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1_000_000},
            },
            "allOf": [
                {"oneOf": [{"required": ["angle"]}, {"required": ["rate"]}]},
                {"oneOf": [{"required": ["time"]}, {"required": ["rate_hz"]}]},
            ],
        },
        closed({"kind": {"type": "string", "pattern": "^[a-z][a-z0-9-]{0,39}$"}}),
    ],
    "$defs": {"Field": FIELD},
}

WRITTEN: dict[str, tuple[Schema, str, str]] = {
    "record.schema.json": (RECORD, "Clampwright record", "record-format.md"),
    "entry.schema.json": (ENTRY, "Clampwright log entry", "record-format.md"),
    "handover.schema.json": (HANDOVER, "Clampwright handover file", "handover-file.md"),
    "exchange-file.schema.json": (EXCHANGE, "Clampwright exchange file", "exchange-file.md"),
    "line-mapping.schema.json": (LINES, "Clampwright mapping of lines", "trace-file.md"),
}
"""Each with its title, and the page that tells the rules no schema can express."""

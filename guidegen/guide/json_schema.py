"""Small pieces of JSON Schema, for what other programs read."""

from __future__ import annotations

from typing import Any

Schema = dict[str, Any]


def closed(keys: dict[str, Schema], optional: tuple[str, ...] = ()) -> Schema:
    """An object with these keys and no others."""
    return {
        "type": "object",
        "properties": keys,
        "required": [key for key in keys if key not in optional],
        "additionalProperties": False,
    }


def text(description: str, **more: Any) -> Schema:
    """A text."""
    return {"type": "string", "description": description, **more}


def number(description: str, **more: Any) -> Schema:
    """A number."""
    return {"type": "number", "description": description, **more}


def flag(description: str) -> Schema:
    """Yes or no."""
    return {"type": "boolean", "description": description}


def listed(description: str, items: Schema) -> Schema:
    """A list of things of one sort."""
    return {"type": "array", "description": description, "items": items}


def mapped(description: str, values: Schema) -> Schema:
    """Things of one sort by name."""
    return {"type": "object", "description": description, "additionalProperties": values}


def or_null(schema: Schema) -> Schema:
    """What may be missing."""
    description = schema.pop("description", "")
    return {"description": description, "anyOf": [schema, {"type": "null"}]}

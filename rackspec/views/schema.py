"""Schemas of documents we write: in: a name, out: its JSON Schema (draft 2020-12), and documents held against it."""

from __future__ import annotations

import json
import os
from typing import Any

FOLDER = os.path.join(os.path.dirname(os.path.abspath(__file__)), "schemas")


def schema_names() -> list[str]:
    """The schemas there are."""
    return sorted(name.removesuffix(".schema.json") for name in os.listdir(FOLDER) if name.endswith(".schema.json"))


def schema_text(name: str) -> str:
    """A schema as text. Raises KeyError for a name that is none."""
    if name not in schema_names():
        raise KeyError(name)
    with open(os.path.join(FOLDER, name + ".schema.json"), encoding="utf-8") as file:
        return file.read()


def checked(name: str, document: Any) -> Any:
    """The document, if it is as its schema says. Raises jsonschema.ValidationError: that would be a fault of ours."""
    from jsonschema import Draft202012Validator

    Draft202012Validator(json.loads(schema_text(name))).validate(document)
    return document

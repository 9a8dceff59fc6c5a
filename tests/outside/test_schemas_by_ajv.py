"""Our schemas and documents go in; ajv (npm, MIT) and jsonschema (PyPI, MIT) must agree on them.

Two implementations of JSON Schema draft 2020-12 in two languages: what passes both is not what one lets through.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from rackspec.views.schema import schema_names, schema_text
from tests.outside.machine import Outputs
from tests.outside.readers import ajv

SPOILT: dict[str, Callable[[dict[str, Any]], Any]] = {
    "another version": lambda d: d.update(format_version="2.0"),
    "a key that there is not": lambda d: d["findings"][0].update(colour="red"),
    "a key is missing": lambda d: d["findings"][0].pop("remedy"),
    "no such severity": lambda d: d["findings"][0].update(severity="fatal"),
    "a line before the first": lambda d: d["findings"][0].update(line=0),
    "half a file": lambda d: d["summary"].update(files=1.5),
    "a text for a number": lambda d: d["racks"][0]["rows"][0].update(free_hp="20"),
}
"""Documents that no validator may pass."""


@pytest.mark.parametrize("name", schema_names())
def test_each_schema_is_one_for_ajv(name: str) -> None:
    """In its strict mode: no keyword that it does not know, no type that is left open."""
    assert ajv(json.loads(schema_text(name)), {}) == {}


def test_documents_pass_both(all_outputs: dict[str, Outputs]) -> None:
    """The findings of the demo, of all examples, of hostile specs and of a clean one."""
    schema = json.loads(schema_text("findings"))
    documents = {name: seen.json for name, seen in all_outputs.items()}
    assert ajv(schema, documents) == {name: [] for name in documents}
    for name, document in documents.items():
        assert [error.message for error in Draft202012Validator(schema).iter_errors(document)] == [], name


def test_spoilt_documents_pass_neither(all_outputs: dict[str, Outputs]) -> None:
    """Both do look."""
    schema = json.loads(schema_text("findings"))
    documents = {}
    for name, spoil in SPOILT.items():
        documents[name] = copy.deepcopy(all_outputs["demo"].json)
        spoil(documents[name])
    told = ajv(schema, documents)
    for name, document in documents.items():
        assert told[name], name
        assert not Draft202012Validator(schema).is_valid(document), name

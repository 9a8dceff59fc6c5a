"""Documents of whole runs go in; other people's validators must pass them, and their numbers may never flatter.

Sources: JSON Schema draft 2020-12 (https://json-schema.org/draft/2020-12); jsonschema-rs 0.61.0 (MIT), a validator
written in another language than the one that the program itself uses, with its own copy of the meta-schema.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import jsonschema_rs
import pytest

from rackspec.language.units import HP
from rackspec.views.schema import schema_names, schema_text
from tests.outside.through_the_program import ROOT, measure, run, run_process

MILLIONTH = Fraction(1, 1_000_000)


def numbers(document: Any) -> Iterator[Fraction]:
    """All numbers of a document."""
    if isinstance(document, Fraction):
        yield document
    elif isinstance(document, dict):
        for value in document.values():
            yield from numbers(value)
    elif isinstance(document, list):
        for value in document:
            yield from numbers(value)


@pytest.mark.parametrize("name", schema_names())
def test_schemas_are_schemas(name: str) -> None:
    """Each schema is one by the meta-schema of 2020-12, names it, and is what ``export --schema`` prints."""
    schema = json.loads(schema_text(name))
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema_rs.meta.validate(schema)
    command = [sys.executable, "-m", "rackspec", "export", "--schema", name]
    printed = subprocess.run(command, cwd=ROOT, capture_output=True, check=True, encoding="utf-8").stdout
    assert json.loads(printed) == schema


def test_the_shared_specs(tmp_path: Path) -> None:
    """The document of specs/ by jsonschema-rs; and it has all keys that its readers were promised."""
    seen = run_process(ROOT, "specs", tmp_path / "specs.json")
    validator = jsonschema_rs.validator_for(json.loads(schema_text("findings")))
    validator.validate(seen.document)
    assert seen.document["racks"]
    assert seen.document["closest"]
    assert all((number * 10**6).denominator == 1 for number in numbers(seen.exact))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("format_version",), "2.0"),
        (("summary", "errors"), -1),
        (("summary", "files"), 1.5),
        (("racks", 0, "rows", 0, "free_hp"), "20"),
        (("racks", 0, "colour"), "red"),
        (("findings", 0, "severity"), "fatal"),
        (("findings", 0, "line"), 0),
        (("findings", 0, "column"), None),
    ],
)
def test_the_schema_is_strict(tmp_path: Path, path: tuple[str | int, ...], value: Any) -> None:
    """A document with one value spoilt does not pass: a schema that lets all through proves nothing."""
    spec = "rack tray {\n    row top {\n        length 8HP\n        at 0HP blank 9HP\n    }\n}\n"
    document = run(tmp_path, spec).document
    validator = jsonschema_rs.validator_for(json.loads(schema_text("findings")))
    validator.validate(document)
    inner: Any = document
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = value
    assert not validator.is_valid(document)


@pytest.mark.parametrize(
    ("length", "width"),
    [
        ("84HP", "1/3in"),
        ("16 1/7in", "1/3in"),
        ("16 1/3in", "2 2/7in"),
        ("426.7mm", "100/7mm"),
        ("84HP", "60HP"),
        ("1/3in", "1/7in"),
        ("1/3000000in", "1/7000000in"),
    ],
)
def test_lengths_never_flatter(tmp_path: Path, length: str, width: str) -> None:
    """What is taken is rounded up, what is free down, by less than a millionth of a HP, against exact fractions."""
    spec = f"rack tray {{\n    row top {{\n        length {length}\n        at 0HP blank {width}\n    }}\n}}\n"
    seen = run(tmp_path, spec)
    (row,) = seen.exact["racks"][0]["rows"]
    has, takes = measure(length).value / HP, measure(width).value / HP
    assert 0 <= has - row["length_hp"] < MILLIONTH
    assert 0 <= row["used_hp"] - takes < MILLIONTH
    assert 0 <= has - takes - row["free_hp"] < MILLIONTH
    assert 0 <= max(has - takes, Fraction(0)) - row["longest_free_run_hp"] < MILLIONTH
    (margin,) = [item for item in seen.exact["closest"] if item["what"].endswith("width")]
    assert margin["unit"] == "HP"
    assert 0 <= margin["value"] - takes < MILLIONTH
    assert 0 <= has - margin["limit"] < MILLIONTH
    assert 0 <= has - takes - margin["margin"] < MILLIONTH
    assert all((number * 10**6).denominator == 1 for number in numbers(seen.exact))


def test_an_overfull_row_does_not_flatter(tmp_path: Path) -> None:
    """What is missing is rounded away from zero: a row of 1/3 in cannot hold 3/7 in."""
    seen = run(tmp_path, "rack tray {\n    row top {\n        length 1/3in\n        at 0HP blank 3/7in\n    }\n}\n")
    (row,) = seen.exact["racks"][0]["rows"]
    missing = (measure("1/3in").value - measure("3/7in").value) / HP
    assert 0 <= missing - row["free_hp"] < MILLIONTH
    assert row["longest_free_run_hp"] == 0


@pytest.mark.parametrize(
    ("length", "width"), [("99999999999.9999999HP", "3.0000001HP"), ("123456789012345678.7mm", "1/3in")]
)
def test_absurd_lengths_do_not_flatter_either(tmp_path: Path, length: str, width: str) -> None:
    """Where a float has no six places left, it is still rounded to the bad side."""
    spec = f"rack tray {{\n    row top {{\n        length {length}\n        at 0HP blank {width}\n    }}\n}}\n"
    seen = run(tmp_path, spec)
    (row,) = seen.exact["racks"][0]["rows"]
    has, takes = measure(length).value / HP, measure(width).value / HP
    assert row["length_hp"] <= has
    assert row["used_hp"] >= takes
    assert row["free_hp"] <= has - takes


@pytest.mark.parametrize(
    ("drawn", "given", "low", "high"),
    [
        ("100/3mA", "1000/7mA", "100/3mA", "100/3mA"),
        ("1/3A", "1 1/7A", "1/3A", "1/3A"),
        ("100/3mA..200/3mA", "1A", "100/3mA", "200/3mA"),
        ("200/7mA +-1/3mA", "1A", "200/7mA minus 1/3mA", "200/7mA plus 1/3mA"),
        ("2/3A", "1/3A", "2/3A", "2/3A"),
    ],
)
def test_currents_never_flatter(tmp_path: Path, drawn: str, given: str, low: str, high: str) -> None:
    """What is drawn is rounded up, what is given and left down, by less than a millionth of a mA."""
    spec = (
        f"module organ {{\n    width 8HP\n    draws {drawn} on +12V\n}}\n"
        f"supply brick {{\n    gives {given} on +12V\n}}\n"
        "rack tray {\n    row top {\n        length 84HP\n        power from brick\n        at 0HP organ\n    }\n}\n"
    )
    seen = run(tmp_path, spec)
    (line,) = seen.exact["racks"][0]["power"]
    draws = (measure(low).value + measure(high).value) / 2
    gives = measure(given).value
    assert 0 <= line["nominal_ma"] - draws < MILLIONTH
    assert 0 <= line["worst_ma"] - measure(high).value < MILLIONTH
    assert 0 <= gives - line["rated_ma"] < MILLIONTH
    (margin,) = [item for item in seen.exact["closest"] if item["unit"] == "mA"]
    assert 0 <= gives - draws - margin["margin"] < MILLIONTH
    assert all((number * 10**6).denominator == 1 for number in numbers(seen.exact))


@pytest.mark.parametrize(("depth", "behind"), [("100/7mm", "200/3mm"), ("1 1/3in", "2 1/7in"), ("200/3mm", "100/7mm")])
def test_depths_never_flatter(tmp_path: Path, depth: str, behind: str) -> None:
    """The room behind a panel is rounded down, what it needs up, by less than a millionth of a mm."""
    spec = (
        f"module organ {{\n    width 8HP\n    depth {depth}\n    plug 1/3mm\n    draws nothing\n}}\n"
        "rack tray {\n    row top {\n        length 84HP\n"
        f"        behind {behind}\n        at 0HP organ\n    }}\n}}\n"
    )
    seen = run(tmp_path, spec)
    margins = [item for item in seen.exact["closest"] if item["unit"] == "mm"]
    assert margins
    room = measure(behind).value
    needs = [measure(depth).value, measure(f"{depth} plus 1/3mm").value]
    for margin in margins:
        assert 0 <= room - margin["limit"] < MILLIONTH
        near = [need for need in needs if 0 <= margin["value"] - need < MILLIONTH]
        assert len(near) == 1
        assert 0 <= room - near[0] - margin["margin"] < MILLIONTH

"""A result goes in; the documents of all kinds must be as they were approved (``expected/``, ``pytest --refresh``)."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from rackspec.cli.inspect import KINDS as KINDS_OF_INSPECT
from rackspec.pipeline import Result
from rackspec.views.documents import KINDS, document_of

EXPECTED = Path(__file__).resolve().parent / "expected"
ENDINGS = {"json": "json", "sarif": "sarif", "junit": "xml", "annotations": "txt", "markdown": "md"}

SPEC = """\
module saw "saw 🎛" {
    width   12HP
    depth   50mm
    draws   400mA on +12V
    draws   0mA on -12V
    header  10-pin keyed
}
module thud {
    width   8HP
    depth   30mm guessed
    draws   30mA on +12V
    draws   0mA on -12V
    header  10-pin keyed
}
supply slim {
    width   4HP
    depth   20mm
    gives   0.9A on +12V
    gives   0.9A on -12V
    input   adapter 15V 3A
    headers 4
}
rack loft "🎛 & friends" {
    row top {
        length  84HP
        behind  45mm
        at 0HP  slim
        at 4HP  saw as one
        at 14HP saw as two
        at 40HP thud
    }
    waive no-room-behind on one because "no lid yet, | 100 %" until 2027-03-01
    waive row-overfull on top because "it was too short"
}
"""
"""A finding of each severity, one of several places, one that is waived."""


def test_inspect_writes_what_there_is() -> None:
    """The command line knows the kinds without reading their files."""
    assert tuple(KINDS) == KINDS_OF_INSPECT == tuple(ENDINGS)


@pytest.mark.parametrize("kind", KINDS)
def test_documents_are_as_they_were_approved(
    kind: str, inspect_files: Callable[..., Result], golden: Callable[[Path, str], None], tmp_path: Path
) -> None:
    """The whole document; of SARIF the results without the numbers of their rules, because those stand in RULES.md."""
    result = inspect_files({"loft 1.rackspec": SPEC, "clean.rackspec": ""})
    text = document_of(kind, result, "error", str(tmp_path))
    if kind == "sarif":
        results = json.loads(text)["runs"][0]["results"]
        for found in results:
            assert found.pop("ruleIndex") >= 0
        text = json.dumps(results, ensure_ascii=False, indent=2) + "\n"
    golden(EXPECTED / f"loft.{ENDINGS[kind]}", text)


def test_no_document_is_left_over() -> None:
    """Each approved document belongs to a kind."""
    assert {path.name for path in EXPECTED.glob("loft.*")} == {f"loft.{ending}" for ending in ENDINGS.values()}


@pytest.mark.parametrize("kind", KINDS)
def test_same_result_same_bytes(kind: str, inspect_files: Callable[..., Result], tmp_path: Path) -> None:
    """Whatever the folder and the order of the files."""
    first = document_of(
        kind, inspect_files({"a.rackspec": SPEC, "b.rackspec": "modul x {\n}\n"}), "note", str(tmp_path)
    )
    second = document_of(kind, inspect_files({}, "b.rackspec", "a.rackspec"), "note", str(tmp_path))
    assert first == second
    assert str(tmp_path) not in first

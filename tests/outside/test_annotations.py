"""Annotation lines go in; they are what the service's own toolkit writes, and read back they say what JSON says.

Sources: @actions/core (npm, MIT), which writes such lines for actions; the escapes and limits as its service documents
them ("Workflow commands for GitHub Actions": ten annotations of each kind a step are shown).
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from rackspec.findings import SEVERITIES, Finding, Place, Source
from rackspec.views.annotations import annotation
from rackspec.views.positions import LineTable
from rackspec.views.text import visible
from tests.cli.running import rackspec, write
from tests.cli.specs import CLEAN, ERROR, NOTE
from tests.outside.machine import DAY, Outputs
from tests.outside.readers import toolkit_lines

LINE = re.compile(r"::(error|warning|notice) (.*?)::(.*)")
ESCAPES = (("%0D", "\r"), ("%0A", "\n"), ("%3A", ":"), ("%2C", ","), ("%25", "%"))
CONTROL = re.compile(r"[\x00-\x09\x0b\x0c\x0e-\x1f\x7f-\x9f]")
KIND = {"error": "error", "warning": "warning", "note": "notice"}


def unescaped(text: str, of_property: bool) -> str:
    """What an escaped text means; ``:`` and ``,`` are escaped in properties only."""
    for escape, character in ESCAPES:
        if of_property or character not in ":,":
            text = text.replace(escape, character)
    return text


def read(document: str) -> list[tuple[str, dict[str, str], str]]:
    """Lines as the service reads them: kind, properties, message."""
    told = []
    for line in document.splitlines():
        match = LINE.fullmatch(line)
        assert match is not None, line
        pairs = [pair.split("=", 1) for pair in match[2].split(",")]
        properties = {name: unescaped(value, True) for name, value in pairs}
        assert len(properties) == len(pairs)
        told.append((match[1], properties, unescaped(match[3], False)))
    return told


def expected(seen: Outputs) -> list[tuple[dict[str, Any], str]]:
    """The findings that are told, in their order, and the message of each."""
    told = sorted((f for f in seen.findings if not f["waived"]), key=lambda f: SEVERITIES.index(f["severity"]))
    lines = []
    for finding in told:
        parts = [("sum", finding["sum"]), ("remedy", finding["remedy"]), ("rests on", finding["rests_on"])]
        below = [f"{label}: {visible(text)}" for label, text in parts if text]
        lines.append((finding, "\n".join([visible(finding["message"]), *below])))
    return lines


def test_what_the_lines_say(seen: Outputs) -> None:
    """Each finding that is not waived: where, which rule, the message, the sum and the remedy; errors first."""
    assert seen.annotations.count("\n") == len(expected(seen))
    for (kind, properties, message), (finding, text) in zip(read(seen.annotations), expected(seen), strict=True):
        assert (kind, message) == (KIND[finding["severity"]], text)
        assert properties["title"] == finding["rule"]
        assert properties["file"] == CONTROL.sub(lambda found: visible(found[0]), finding["file"])
        assert (properties["line"], properties["endLine"]) == (str(finding["line"]), str(finding["end_line"]))
        if finding["line"] == finding["end_line"]:
            assert properties["col"] == str(finding["column"])
            empty = finding["column"] == finding["end_column"]
            assert properties.get("endColumn") == (None if empty else str(finding["end_column"]))
        else:
            assert not properties.keys() & {"col", "endColumn"}


def test_lines_are_those_of_the_toolkit(all_outputs: dict[str, Outputs]) -> None:
    """Byte for byte what @actions/core writes for the same values."""
    for seen in all_outputs.values():
        given = []
        for finding, text in expected(seen):
            properties = {
                "title": finding["rule"],
                "file": CONTROL.sub(lambda found: visible(found[0]), finding["file"]),
                "startLine": finding["line"],
                "endLine": finding["end_line"],
            }
            if finding["line"] == finding["end_line"]:
                properties["startColumn"] = finding["column"]
                if finding["end_column"] > finding["column"]:
                    properties["endColumn"] = finding["end_column"]
            given.append({"kind": KIND[finding["severity"]], "message": text, "properties": properties})
        assert toolkit_lines(given) == seen.annotations


def test_hostile_texts_stay_texts(all_outputs: dict[str, Outputs]) -> None:
    """No text ends a line, a property or a command, and none moves the cursor of a terminal."""
    document = all_outputs["hostile"].annotations
    assert all(line.startswith("::error ") for line in document.splitlines())
    assert not CONTROL.search(document)
    assert "%250A%2525::error::x" in document  # what looks like an escape is none
    assert "file=%3A%3Aerror file=x%2Cline=2%3A%3Aline%0Abreak" in document


def test_errors_come_first(all_outputs: dict[str, Outputs]) -> None:
    """Only ten of each kind are shown: the order is by severity, else as in the text."""
    kinds = [kind for kind, _, _ in read(all_outputs["examples"].annotations)]
    assert kinds == sorted(kinds, key=["error", "warning", "notice"].index)
    assert set(kinds) == {"error", "warning", "notice"}


def test_a_place_of_several_lines_has_no_columns() -> None:
    """The service takes columns only within one line."""
    source = Source("a.rackspec", "one\ntwo\nthree\n")
    finding = Finding("some-rule", "error", "a message", Place(source, 1, 9))
    assert annotation(finding, LineTable()) == "::error title=some-rule,file=a.rackspec,line=1,endLine=3::a message"


def test_nothing_to_tell(tmp_path: Path) -> None:
    """A clean spec gives no line, and standard output stays empty."""
    write(tmp_path, {"tray.rackspec": CLEAN})
    run = rackspec(tmp_path, "inspect", *DAY, "--write", "annotations=-")
    assert (run.code, run.out) == (0, "")


@pytest.mark.parametrize(("spec", "kind"), [(ERROR, "error"), (NOTE, "notice")])
def test_only_lines_on_standard_output(tmp_path: Path, spec: str, kind: str) -> None:
    """The text for people goes to standard error."""
    write(tmp_path, {"tray.rackspec": spec})
    run = rackspec(tmp_path, "inspect", *DAY, "--write", "annotations=-")
    assert [each[0] for each in read(run.out)] == [kind]
    assert "1 file, 1 rack" in run.err

"""SARIF documents go in; other people's readers must take them, and see what the JSON document says.

Sources: OASIS SARIF 2.1.0 with its JSON Schema as the SARIF Multitool ships it (npm, MIT), read by jsonschema and by
ajv; the rules "Sarif" and "Gh" (what a code-scanning service asks for) of that tool; sarif-tools (PyPI, MIT).
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
from jsonschema import Draft202012Validator

from rackspec.rules.registry import load_rules
from rackspec.views.text import visible
from tests.cli.running import write
from tests.outside.machine import AWKWARD_FOLDER, AWKWARD_NAME, HOSTILE, Outputs, hostile, outputs
from tests.outside.readers import ajv, multitool, sarif_schema, sarif_tools
from tests.outside.sarif_faults import faults, text_of

NO_HOME = {"SARIF2005"}
"""What the tool misses and there is none of: ``informationUri``, a page of the project on the web. Where it does not
even say that, it could not read the document; it exits with 0 then too."""


def test_nothing_is_wrong(seen: Outputs) -> None:
    """By our own checks: places, URIs, fingerprints, suppressions, no clock and no absolute path."""
    assert faults(seen.sarif, seen) == []


def test_each_result_tells_of_a_file(all_outputs: dict[str, Outputs]) -> None:
    """The checks of places are about texts: each URI leads back to the file, whatever it is called."""
    for name, seen in all_outputs.items():
        uris = {r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for r in seen.results}
        unread = {uri for uri in uris if text_of(seen.folder, uri) is None}
        assert unread == ({"bytes.rackspec"} if name == "hostile" else set())


def test_all_rules_are_there(seen: Outputs) -> None:
    """Each rule with its page, whether it found something or not."""
    rules = {rule["id"]: rule for rule in seen.sarif["runs"][0]["tool"]["driver"]["rules"]}
    assert list(rules) == list(load_rules())
    for name, rule in load_rules().items():
        assert rules[name]["defaultConfiguration"] == {"level": rule.severity}
        assert "Why:" in rules[name]["help"]["text"]
        assert "```rackspec" in rules[name]["help"]["markdown"] or "Example" in rules[name]["help"]["markdown"]


def test_a_waiver_is_a_suppression(all_outputs: dict[str, Outputs]) -> None:
    """With its reason and its last day."""
    waived = [
        (r, f) for r, f in zip(all_outputs["demo"].results, all_outputs["demo"].findings, strict=True) if f["waived"]
    ]
    assert len(waived) == 2
    for result, finding in waived:
        (suppression,) = result["suppressions"]
        until = finding["waived"]["until"]
        assert suppression["justification"] == f"{finding['waived']['reason']} (until {until})"


def test_the_schema_of_oasis(all_outputs: dict[str, Outputs]) -> None:
    """By two validators."""
    validator = Draft202012Validator(sarif_schema())
    documents = {name: seen.sarif for name, seen in all_outputs.items()}
    for name, document in documents.items():
        assert [error.message for error in validator.iter_errors(document)] == [], name
    assert ajv(sarif_schema(), documents, strict=False) == {name: [] for name in documents}


def test_the_multitool(all_outputs: dict[str, Outputs], tmp_path: Path) -> None:
    """Neither an error nor a warning but the one about the page that there is not."""
    told = multitool(tmp_path, {name: seen.sarif_text for name, seen in all_outputs.items()})
    assert told == dict.fromkeys(all_outputs, NO_HOME)


def test_sarif_tools(seen: Outputs, tmp_path: Path) -> None:
    """It lists the same findings: severity, rule, file, line, and a text that begins with the message."""
    issues = sorted(
        (i.severity, i.rule, unquote(i.file), i.line, i.text) for i in sarif_tools(tmp_path, seen.sarif_text)
    )
    findings = sorted((f["severity"], f["rule"], f["file"], f["line"], visible(f["message"])) for f in seen.findings)
    assert [issue[:4] for issue in issues] == [finding[:4] for finding in findings]
    for issue, finding in zip(issues, findings, strict=True):
        message = finding[4].replace("{0}", "{{0}}").replace("](", "] (")
        assert issue[4].startswith(f"{message}. ")


def first(document: dict[str, Any]) -> Any:
    """The first result of a document."""
    return document["runs"][0]["results"][0]


def physical(document: dict[str, Any]) -> Any:
    """Where it is."""
    return first(document)["locations"][0]["physicalLocation"]


def second_key_as_first(document: dict[str, Any]) -> None:
    """Two results with one fingerprint."""
    results = document["runs"][0]["results"]
    results[1]["partialFingerprints"] = dict(results[0]["partialFingerprints"])


def widened(document: dict[str, Any]) -> None:
    """Columns in code points where units of UTF-16 are said."""
    for result in document["runs"][0]["results"]:
        region = result["locations"][0]["physicalLocation"]["region"]
        if region["startColumn"] == 33:
            region["startColumn"] -= 1
            region["endColumn"] -= 1


PLANTED: dict[str, tuple[Callable[[dict[str, Any]], Any], str]] = {
    "a rule that there is not": (lambda d: first(d).update(ruleIndex=999), "ours tool"),
    "another rule": (lambda d: first(d).update(ruleIndex=0), "ours"),
    "no message": (lambda d: first(d).update(message={}), "ours schema tool"),
    "no such level": (lambda d: first(d).update(level="severe"), "ours schema tool"),
    "no location": (lambda d: first(d).update(locations=[]), "ours tool"),
    "two locations": (lambda d: first(d).update(locations=first(d)["locations"] * 2), "ours"),
    "an absolute path": (lambda d: physical(d)["artifactLocation"].update(uri="/tmp/a.rackspec"), "ours tool"),
    "an absolute URI": (lambda d: physical(d)["artifactLocation"].update(uri="file:///tmp/a.rackspec"), "ours"),
    "an URI with spaces": (lambda d: physical(d)["artifactLocation"].update(uri="a b.rackspec"), "ours tool"),
    "no end": (lambda d: physical(d)["region"].pop("endColumn"), "ours"),
    "an end before the start": (lambda d: physical(d)["region"].update(endColumn=0), "ours schema tool"),
    "the wrong columns": (widened, "ours"),
    "no columnKind": (lambda d: d["runs"][0].pop("columnKind"), "ours"),
    "no fingerprint": (lambda d: first(d).pop("partialFingerprints"), "ours"),
    "one fingerprint twice": (second_key_as_first, "ours"),
    "a clock time": (lambda d: d["runs"][0]["invocations"][0].update(startTimeUtc="2026-11-25T10:00:00Z"), "ours"),
    "no rules": (lambda d: d["runs"][0]["tool"]["driver"].update(rules=[]), "ours tool"),
    "a rule without page": (lambda d: d["runs"][0]["tool"]["driver"]["rules"][0].pop("help"), "ours tool"),
    "a key that there is not": (lambda d: first(d).update(remedy="saw it off"), "schema tool"),
}
"""Faults, how to make each, and who sees it: our own checks, the schema, the tool."""


def spoilt(seen: Outputs, name: str) -> dict[str, Any]:
    """A document with one fault."""
    document: dict[str, Any] = copy.deepcopy(seen.sarif)
    PLANTED[name][0](document)
    assert document != seen.sarif
    return document


@pytest.mark.parametrize("name", sorted(PLANTED))
def test_our_checks_see_planted_faults(all_outputs: dict[str, Outputs], name: str) -> None:
    """A check that cannot fail proves nothing: one fault in a good document, and it is told."""
    seen = all_outputs["hostile"]
    assert (faults(spoilt(seen, name), seen) != []) == ("ours" in PLANTED[name][1].split())


@pytest.mark.slow
def test_readers_see_planted_faults(all_outputs: dict[str, Outputs], tmp_path: Path) -> None:
    """What the schema and the tool see of them: they do look, and our own checks are needed beside them."""
    seen = all_outputs["hostile"]
    validator = Draft202012Validator(sarif_schema())
    told = multitool(tmp_path, {name: json.dumps(spoilt(seen, name)) for name in PLANTED})
    caught = {}
    for name in PLANTED:
        by_schema = not validator.is_valid(spoilt(seen, name))
        caught[name] = {"schema"} if by_schema else set()
        if told[name] != NO_HOME:
            caught[name].add("tool")
    assert caught == {name: set(readers.split()) - {"ours"} for name, (_, readers) in PLANTED.items()}
    assert all(readers for _, readers in PLANTED.values())


def uris(seen: Outputs) -> list[str]:
    """The URIs of all results."""
    return [result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for result in seen.results]


def test_a_file_outside_of_the_folder(tmp_path: Path) -> None:
    """Near or far away, it is named from the current folder on, and never by its whole path."""
    here = tmp_path / "one" / "two" / "three" / "four" / "five"
    here.mkdir(parents=True)
    write(tmp_path, {"one/two/three/four/near é.rackspec": "modul x {\n}\n", "far.rackspec": "modul x {\n}\n"})
    seen = outputs(here, "../near é.rackspec", str(tmp_path / "far.rackspec"))
    assert sorted(uris(seen)) == ["../../../../../far.rackspec", "../near%20%C3%A9.rackspec"]
    assert str(tmp_path) not in seen.sarif_text
    assert all((here / unquote(uri)).is_file() for uri in uris(seen))
    # JSON names a file that is far away by its whole path, as the text does; places and levels are the same
    assert faults(seen.sarif, seen) == []


@pytest.mark.parametrize(("named", "uri"), [("", "-"), ("shelf b.rackspec", "shelf%20b.rackspec")])
def test_standard_input(tmp_path: Path, named: str, uri: str) -> None:
    """It is ``-``, or the file that it stands for."""
    seen = outputs(tmp_path, "-", *(["--named", named] if named else []), stdin="modul 🎛 {\n}\n".encode())
    assert set(uris(seen)) == {uri}
    assert faults(seen.sarif, seen) == []


@pytest.mark.parametrize(("paths", "successful"), [(("a.rackspec",), True), (("a.rackspec", "gone"), False)])
def test_a_path_that_cannot_be_read(tmp_path: Path, paths: tuple[str, ...], successful: bool) -> None:
    """The document says that it is not the whole of it; what was found stands there all the same."""
    write(tmp_path, {"a.rackspec": "modul x {\n}\n"})
    seen = outputs(tmp_path, *paths)
    assert seen.sarif["runs"][0]["invocations"] == [{"executionSuccessful": successful}]
    assert len(seen.results) == 1
    assert faults(seen.sarif, seen) == []


def test_same_bytes_elsewhere(tmp_path: Path) -> None:
    """Two folders with the same files give the same document."""
    texts = []
    for name in ("a", "b/deep er/x"):
        hostile_folder = tmp_path / name
        hostile_folder.mkdir(parents=True)
        hostile(hostile_folder)
        texts.append(outputs(hostile_folder, ".").sarif_text)
    assert texts[0] == texts[1]
    assert HOSTILE.keys() >= {f"{AWKWARD_FOLDER}/{AWKWARD_NAME}"}


def keys(seen: Outputs) -> dict[tuple[str, str], str]:
    """Fingerprints by rule and message."""
    return {
        (f["rule"], f["message"]): r["partialFingerprints"]["rackspecFinding/v1"]
        for r, f in zip(seen.results, seen.findings, strict=True)
    }


def test_fingerprints_stay_when_lines_move(all_outputs: dict[str, Outputs], tmp_path: Path) -> None:
    """Lines put before everything move every finding, and change no fingerprint."""
    before = all_outputs["examples"]
    for path in sorted(before.folder.rglob("*.rackspec")):
        target = tmp_path / path.relative_to(before.folder)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text("# moved\n\n\n" + path.read_text("utf-8"), "utf-8")
    for path in before.folder.rglob(".git"):
        (tmp_path / path.relative_to(before.folder)).mkdir(exist_ok=True)
    after = outputs(tmp_path, ".")
    assert len(after.findings) == len(before.findings) > 100
    assert {f["line"] - 3 for f in after.findings} == {f["line"] for f in before.findings}
    assert [r["partialFingerprints"] for r in after.results] == [r["partialFingerprints"] for r in before.results]
    assert faults(after.sarif, after) == []

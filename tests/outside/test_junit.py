"""JUnit documents go in; junitparser (PyPI, Apache-2.0) must see in them what the JSON document says."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from junitparser import Attr, Error, Failure, JUnitXml, Skipped, TestCase, TestSuite

from rackspec.findings import SEVERITIES
from rackspec.views.text import visible
from tests.cli.running import rackspec, write
from tests.cli.specs import BROKEN, CLEAN, ERROR, NOTE, WARNING
from tests.outside.machine import DAY, HOSTILE, Outputs

SPECS = {"error": ERROR, "warning": WARNING, "note": NOTE, "clean": CLEAN}


class Case(TestCase):  # type: ignore[misc]
    """A case with where it is, which services read and junitparser does not know."""

    file = Attr("file")
    line = Attr("line")


def suites_of(document: str) -> dict[str, TestSuite]:
    """The suites of a document, by name, as junitparser reads it."""
    suites = list(JUnitXml.fromstring(document.encode()))
    assert len({suite.name for suite in suites}) == len(suites)
    return {suite.name: suite for suite in suites}


def kind(case: TestCase) -> str:
    """What came of a case."""
    if not case.result:
        return "passed"
    (result,) = case.result
    return {Failure: "failed", Skipped: "skipped", Error: "error"}[type(result)]


def expected(finding: dict[str, Any], level: str) -> str:
    """What should come of the case of a finding."""
    if finding["waived"]:
        return "skipped"
    failing = SEVERITIES[: SEVERITIES.index(level) + 1] if level != "never" else ()
    return "failed" if finding["severity"] in failing else "passed"


def test_each_finding_is_a_case(seen: Outputs) -> None:
    """Suites are files, cases are findings, in the order and with the messages of the JSON document."""
    suites = suites_of(seen.junit)
    cases = [case for suite in suites.values() for case in suite if case.name != "nothing is wrong"]
    by_file = sorted(seen.findings, key=lambda f: list(suites).index(visible(f["file"])))
    assert len(cases) == len(seen.findings)
    for case, finding in zip(cases, by_file, strict=True):
        text = f"{finding['rule']}: {visible(finding['message'])}"
        assert case.name == text or re.fullmatch(re.escape(text) + r" \(\d+\)", case.name)
        where = Case.fromelem(case._elem)
        assert where.file == case.classname == visible(finding["file"])
        assert where.line == str(finding["line"])
        assert kind(case) == expected(finding, "error")
        if kind(case) == "failed":
            assert (case.result[0].type, case.result[0].message) == (finding["severity"], visible(finding["message"]))
        if kind(case) == "skipped":
            assert case.result[0].message.startswith(f"waived: {visible(finding['waived']['reason'])}")
        text = case.system_out if kind(case) == "passed" else case.result[0].text
        assert text.split("\n")[0] in seen.text.split("\n")
        assert visible(finding["remedy"]) in text


def test_each_file_is_a_suite(seen: Outputs) -> None:
    """Each file that was inspected; one in which nothing was found has one case that passes."""
    files = [visible(str(path.relative_to(seen.folder))) for path in seen.folder.rglob("*.rackspec")]
    suites = suites_of(seen.junit)
    assert sorted(suites) == sorted(files)
    found = {visible(finding["file"]) for finding in seen.findings}
    for name, suite in suites.items():
        if name not in found:
            assert [(case.name, kind(case)) for case in suite] == [("nothing is wrong", "passed")]


def test_the_numbers_are_right(seen: Outputs) -> None:
    """Those that the document tells of suites and of all are what there is in it; junitparser counts anew."""
    document = JUnitXml.fromstring(seen.junit.encode())
    kinds: Counter[str] = Counter()
    for suite in document:
        of_suite = Counter(kind(case) for case in suite)
        told = (suite.tests, suite.failures, suite.errors, suite.skipped)
        assert told == (of_suite.total(), of_suite["failed"], of_suite["error"], of_suite["skipped"])
        kinds += of_suite
    told = (document.tests, document.failures, document.errors, document.skipped)
    assert told == (kinds.total(), kinds["failed"], kinds["error"], kinds["skipped"])
    assert (kinds["failed"] > 0) == (seen.code == 1)


def test_names_of_cases_are_unique(seen: Outputs) -> None:
    """Services tell cases apart by suite and name."""
    for suite in suites_of(seen.junit).values():
        names = [case.name for case in suite]
        assert len(set(names)) == len(names)


def test_no_clock_and_no_forbidden_character(seen: Outputs) -> None:
    """XML 1.0, section 2.2: no control characters but tab and ends of lines; and neither time nor host."""
    assert not re.search("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]", seen.junit)
    for element in ElementTree.fromstring(seen.junit).iter():
        assert not set(element.keys()) & {"time", "timestamp", "hostname"}


def test_hostile_names_come_back(all_outputs: dict[str, Outputs]) -> None:
    """What is markup in XML is read back as it was; what XML cannot hold is shown as it is called."""
    seen = all_outputs["hostile"]
    assert {visible(name) for name in HOSTILE} - {"bytes.rackspec"} < suites_of(seen.junit).keys()
    texts = [
        result.message for case in suites_of(seen.junit)[visible(seen.findings[5]["file"])] for result in case.result
    ]
    assert any("]]> <img src=x> &amp; %0A" in text for text in texts)
    assert any("<U+202E>" in text for text in texts)


@pytest.mark.parametrize("level", [*SEVERITIES, "never"])
@pytest.mark.parametrize("name", sorted(SPECS))
def test_what_fails_is_what_the_exit_code_says(tmp_path: Path, name: str, level: str) -> None:
    """Whatever the failing level is: cases fail exactly where the run does."""
    write(tmp_path, {"tray.rackspec": SPECS[name]})
    run = rackspec(tmp_path, "inspect", *DAY, "--fail-at", level, "--write", "junit=-")
    (suite,) = suites_of(run.out).values()
    assert suite.failures == run.code
    assert suite.tests == 1


def test_the_level_of_the_house(tmp_path: Path) -> None:
    """It counts where the command line says nothing."""
    write(tmp_path, {"tray.rackspec": NOTE, "house.rackspec": "house {\n    fail-at note\n}\n"})
    run = rackspec(tmp_path, "inspect", *DAY, "--write", "junit=-")
    assert run.code == 1
    assert suites_of(run.out)["tray.rackspec"].failures == 1
    assert suites_of(run.out)["house.rackspec"].failures == 0


def test_a_path_that_cannot_be_read_is_an_error(tmp_path: Path) -> None:
    """A service that reads only the document learns of exit code 2 too."""
    write(tmp_path, {"tray.rackspec": CLEAN})
    run = rackspec(tmp_path, "inspect", "tray.rackspec", "gone", *DAY, "--write", "junit=-")
    assert run.code == 2
    suites = suites_of(run.out)
    assert list(suites) == ["tray.rackspec", "paths that could not be read"]
    (case,) = suites["paths that could not be read"]
    assert (kind(case), case.name) == ("error", "gone: there is no such file or folder")
    assert JUnitXml.fromstring(run.raw_out).errors == 1


def test_a_file_that_was_only_used_has_a_suite_where_something_is_found(tmp_path: Path) -> None:
    """What is found in a library stands under its own name, also if nobody named it."""
    module, rack = BROKEN.split("rack tray")
    write(tmp_path, {".git/x": "", "tray.rackspec": f'use "parts.rackspec"\nrack tray{rack}', "parts.rackspec": module})
    run = rackspec(tmp_path, "inspect", "tray.rackspec", *DAY, "--write", "junit=-")
    suites = suites_of(run.out)
    assert list(suites) == ["tray.rackspec", "parts.rackspec"]
    assert [kind(case) for case in suites["parts.rackspec"]] == ["failed"]


def test_a_broken_document_is_not_taken() -> None:
    """The reader does look: what a careless writer would write does not pass it."""
    for broken in (
        "<testsuites><testsuite name='a \x01'/></testsuites>",
        "<testsuites><testsuite name='<b>'/></testsuites>",
    ):
        with pytest.raises(Exception, match=r"PCDATA|invalid|not well-formed|not allowed"):
            JUnitXml.fromstring(broken.encode())

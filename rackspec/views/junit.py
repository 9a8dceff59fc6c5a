"""Findings as JUnit XML: in: a result and the failing level, out: the document as text.

What CI services show as tests. A suite is a file that was inspected, a case is a finding; a file without findings has
one case that passes. What fails is what makes the exit code 1: a finding at or above the failing level. Milder ones
pass with their text, waived ones are skipped with their reason, and a path that could not be read is an error. XML 1.0
forbids most control characters; they are shown as they are called, as in the text for people.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from rackspec.findings import Finding
from rackspec.pipeline import Result
from rackspec.views.failing import is_failing
from rackspec.views.positions import LineTable
from rackspec.views.text import finding_lines, plain, visible

CLEAN = "nothing is wrong"
UNREADABLE = "paths that could not be read"


def case(suite: Element, name: str, times: Counter[str]) -> Element:
    """One more case of a suite. Readers tell cases apart by their names, so that an equal one gets a number."""
    times[name] += 1
    unique = name if times[name] == 1 else f"{name} ({times[name]})"
    return SubElement(suite, "testcase", name=unique, classname=suite.get("name", ""))


def add_finding(found: Element, finding: Finding, level: str, table: LineTable) -> None:
    """A finding in its case, with its whole text."""
    found.set("file", visible(finding.place.source.name))
    found.set("line", str(table.position(finding.place.source, finding.place.start).line))
    text = "\n".join(finding_lines(finding, table, plain))
    if finding.waiver is not None:
        until = f" (until {finding.waiver.until})" if finding.waiver.until else ""
        SubElement(found, "skipped", message=visible(f"waived: {finding.waiver.reason}{until}")).text = text
    elif is_failing(finding, level):
        SubElement(found, "failure", type=finding.severity, message=visible(finding.message)).text = text
    else:
        SubElement(found, "system-out").text = text


def add_suite(suites: Element, name: str, findings: Sequence[Finding], level: str, table: LineTable) -> None:
    """A file and what was found in it."""
    suite = SubElement(suites, "testsuite", name=visible(name))
    times: Counter[str] = Counter()
    for finding in findings:
        add_finding(case(suite, f"{finding.rule}: {visible(finding.message)}", times), finding, level, table)
    if not findings:
        case(suite, CLEAN, times)
    tally(suite)


def add_unreadable(suites: Element, failed: Sequence[str]) -> None:
    """The paths that could not be read."""
    suite = SubElement(suites, "testsuite", name=UNREADABLE)
    times: Counter[str] = Counter()
    for reason in failed:
        SubElement(case(suite, visible(reason), times), "error", type="unreadable", message=visible(reason))
    tally(suite)


def tally(suite: Element) -> None:
    """How many cases of a suite, or of all suites, there are of each kind."""
    suite.set("tests", str(len(list(suite.iter("testcase")))))
    for key, tag in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
        suite.set(key, str(len(list(suite.iter(tag)))))


def junit(result: Result, level: str) -> str:
    """The document as text: the files that were named first, then others in which something was found."""
    table = LineTable()
    by_file: dict[str, list[Finding]] = {name: [] for name in result.names}
    for finding in result.findings:
        by_file.setdefault(finding.place.source.name, []).append(finding)
    suites = Element("testsuites", name="rackspec inspect")
    for name, findings in by_file.items():
        add_suite(suites, name, findings, level, table)
    if result.failed:
        add_unreadable(suites, result.failed)
    tally(suites)
    indent(suites)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{tostring(suites, encoding="unicode")}\n'

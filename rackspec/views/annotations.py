"""Findings as annotation lines of CI services: in: a result, out: ``::error file=…,line=…::message`` lines.

Services show ten of each kind, so that errors come first. Waived findings are left out. A column is told only where a
place is within one line; it counts code points, as in the text.
"""

from __future__ import annotations

import re

from rackspec.findings import NOTE, SEVERITIES, Finding
from rackspec.pipeline import Result
from rackspec.views.positions import LineTable
from rackspec.views.text import visible

CONTROL = re.compile(r"[\x00-\x09\x0b\x0c\x0e-\x1f\x7f-\x9f]")
"""What could do something to a terminal that shows the lines. Ends of lines are escaped, and read back."""


def data(text: str) -> str:
    """A text in which nothing is taken for the end of a line."""
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def value(text: str) -> str:
    """The value of a property, in which nothing is taken for the end of it."""
    return data(text).replace(":", "%3A").replace(",", "%2C")


def shown_text(finding: Finding) -> str:
    """What is shown: the message, and below it the sum and the remedy."""
    lines = [visible(finding.message)]
    for label, text in (("sum", finding.sum), ("remedy", finding.remedy), ("rests on", finding.rests_on)):
        if text:
            lines.append(f"{label}: {visible(text)}")
    return "\n".join(lines)


def properties(finding: Finding, table: LineTable) -> dict[str, str]:
    """Where a finding is, and its title."""
    start, end = table.span(finding.place)
    file = CONTROL.sub(lambda found: visible(found[0]), finding.place.source.name)
    found = {"title": finding.rule, "file": file, "line": str(start.line)}
    if end.line != start.line:
        found["endLine"] = str(end.line)
        return found
    found["endLine"] = str(start.line)
    found["col"] = str(start.column)
    if end.column > start.column:
        found["endColumn"] = str(end.column)
    return found


def annotation(finding: Finding, table: LineTable) -> str:
    """A finding as one line."""
    kind = "notice" if finding.severity == NOTE else finding.severity
    told = ",".join(f"{name}={value(text)}" for name, text in properties(finding, table).items())
    return f"::{kind} {told}::{data(shown_text(finding))}"


def annotation_lines(result: Result) -> str:
    """All lines, the worst first, else in the order of the findings."""
    table = LineTable()
    counted = [finding for finding in result.findings if finding.waiver is None]
    counted.sort(key=lambda finding: SEVERITIES.index(finding.severity))
    return "".join(annotation(finding, table) + "\n" for finding in counted)

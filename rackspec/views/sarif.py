"""Findings as SARIF 2.1.0 (OASIS): in: a result and the folder its names are relative to, out: the document as text.

What code-scanning services and editors read. No absolute path and no time stands in it, so that the same files give the
same bytes anywhere; columns are units of UTF-16, as these readers count.
"""

from __future__ import annotations

import json
import os
import re
from typing import Any
from urllib.parse import quote

from rackspec import __version__
from rackspec.findings import Finding, Place
from rackspec.pipeline import Result
from rackspec.rules.registry import Rule, load_rules
from rackspec.views.fingerprint import VERSION, fingerprints
from rackspec.views.pages import page_markdown, page_of, page_text
from rackspec.views.positions import LineTable
from rackspec.views.text import visible

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
FINGERPRINT = f"rackspecFinding/{VERSION}"
PLACEHOLDER = re.compile(r"\{([0-9]+)\}")
"""Readers put the arguments of a message in the place of these; ours have none."""


def uri(name: str, folder: str) -> str:
    """The name of a file as a relative reference (RFC 3986): also a file far outside of the current folder."""
    if os.path.isabs(name):
        name = os.path.relpath(name, folder).replace(os.sep, "/")
    return quote(name, safe="/")


def message_text(text: str) -> str:
    """A visible text in which no reader of SARIF sees a placeholder or a link.

    SARIF 3.11.5 wants all braces doubled; the readers that were tried show them as they stand, so that others stay.
    """
    return PLACEHOLDER.sub(r"{{\1}}", visible(text)).replace("](", "] (")


def sentence(text: str) -> str:
    """A text that begins with a capital and ends with a full stop."""
    return f"{text[0].upper()}{text[1:]}." if text else ""


def whole_message(finding: Finding) -> str:
    """The message as its first sentence, which is all that some readers show; then the sum and the remedy."""
    parts = [f"{finding.message}."]
    for label, text in (("Sum", finding.sum), ("Remedy", finding.remedy), ("Rests on", finding.rests_on)):
        if text:
            parts.append(f"{label}: {text}.")
    return message_text(" ".join(parts))


def descriptor(rule: Rule) -> dict[str, Any]:
    """A rule, with its page."""
    page = page_of(rule)
    return {
        "id": rule.id,
        "shortDescription": {"text": message_text(sentence(page.summary.rstrip(".")))},
        "fullDescription": {"text": message_text(page.why)},
        "help": {"text": page_text(rule), "markdown": "\n".join(page_markdown(rule)).rstrip("\n") + "\n"},
        "defaultConfiguration": {"level": rule.severity},
        "properties": {"tags": [rule.subject]},
    }


def location(place: Place, table: LineTable, folder: str) -> dict[str, Any]:
    """Where a place is."""
    start, end = table.utf16_span(place)
    return {
        "physicalLocation": {
            "artifactLocation": {"uri": uri(place.source.name, folder)},
            "region": {
                "startLine": start.line,
                "startColumn": start.column,
                "endLine": end.line,
                "endColumn": end.column,
            },
        }
    }


def related(finding: Finding, table: LineTable, folder: str) -> list[dict[str, Any]]:
    """The other places of a finding, each with what is to be seen there."""
    found = []
    for number, place in enumerate(finding.others):
        label = place.label or "this belongs to it"
        found.append({"id": number, **location(place, table, folder), "message": {"text": message_text(label)}})
    return found


def suppressions(finding: Finding) -> list[dict[str, Any]]:
    """The waiver of a finding: a line of the spec, so ``inSource``."""
    if finding.waiver is None:
        return []
    until = f" (until {finding.waiver.until})" if finding.waiver.until else ""
    return [{"kind": "inSource", "status": "accepted", "justification": visible(finding.waiver.reason + until)}]


def record(finding: Finding, key: str, index: int, table: LineTable, folder: str) -> dict[str, Any]:
    """A finding. SARIF's levels are called as our severities are."""
    others = related(finding, table, folder)
    return {
        "ruleId": finding.rule,
        "ruleIndex": index,
        "level": finding.severity,
        "message": {"text": whole_message(finding)},
        "locations": [location(finding.place, table, folder)],
        **({"relatedLocations": others} if others else {}),
        "partialFingerprints": {FINGERPRINT: key},
        "suppressions": suppressions(finding),
    }


def document(result: Result, folder: str) -> dict[str, Any]:
    """The whole log: one run, with all rules, whether they found something or not."""
    rules = load_rules()
    indexes = {name: number for number, name in enumerate(rules)}
    table = LineTable()
    keys = fingerprints(result.findings)
    return {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {
                    "driver": {
                        "name": "rackspec",
                        "version": __version__,
                        "language": "en",
                        "rules": [descriptor(rule) for rule in rules.values()],
                    }
                },
                "invocations": [{"executionSuccessful": not result.failed}],
                "columnKind": "utf16CodeUnits",
                "results": [
                    record(finding, key, indexes[finding.rule], table, folder)
                    for finding, key in zip(result.findings, keys, strict=True)
                ],
            }
        ],
    }


def sarif(result: Result, folder: str) -> str:
    """The document as text."""
    return json.dumps(document(result, folder), ensure_ascii=False, indent=2) + "\n"

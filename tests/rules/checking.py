"""Shared by the direct tests of rules: in: a text, out: what a whole run says of it, by rule."""

from __future__ import annotations

from datetime import date

from rackspec.findings import Finding
from rackspec.pipeline import Request, Result, inspect
from tests.conftest import TODAY


def look_at(text: str, today: date = TODAY) -> Result:
    """Inspect a text that stands alone: in the top folder, where no house is."""
    return inspect(Request(("-",), "/", today, text.encode()))


def told(text: str, rule: str) -> list[Finding]:
    """The findings of one rule."""
    return [finding for finding in look_at(text).findings if finding.rule == rule]


def severities(text: str, *rules: str) -> list[tuple[str, str]]:
    """Rule and severity of all findings, or of those of some rules."""
    found = look_at(text).findings
    return [(finding.rule, finding.severity) for finding in found if not rules or finding.rule in rules]


def not_known(text: str) -> set[tuple[str, str]]:
    """What is not known: the thing and the fact."""
    return {(item.thing, item.fact) for seen in look_at(text).racks for item in seen.not_known}


def margins(text: str) -> dict[str, str]:
    """What is left, by what it is left of; in base units, exact."""
    return {margin.what: str(margin.margin) for seen in look_at(text).racks for margin in seen.margins}

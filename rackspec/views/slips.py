"""Findings alone as text, where there is no result around them: in: findings, out: lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rackspec.findings import Finding
from rackspec.views.positions import LineTable
from rackspec.views.text import Painter, finding_lines, plain


def slip_lines(findings: Iterable[Finding], paint: Painter = plain) -> Iterator[str]:
    """Each finding whole, with an empty line behind it."""
    table = LineTable()
    for finding in findings:
        yield from finding_lines(finding, table, paint)
        yield ""

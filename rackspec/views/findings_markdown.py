"""Findings as a short page of GitHub Flavored Markdown: in: a result and the failing level, out: the page as text.

For the job page of a CI service, or a comment of a review, which take less than 65,536 characters: the verdict, a table
of the findings, the worst first, and what was waived. What finds no room is counted. Names and texts of a spec are
escaped, or set as code where a service would see a mention, an issue, a picture or an address in them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from rackspec.findings import ERROR, NOTE, SEVERITIES, WARNING, Finding
from rackspec.pipeline import Result
from rackspec.views.document import escaped
from rackspec.views.failing import NEVER, fails
from rackspec.views.positions import LineTable, utf16_units
from rackspec.views.text import counted, summary_line, visible

MOST = 59_000
"""Units of UTF-16 of the tables; what stands around them takes less than a thousand more."""
WIDEST = 400
"""Characters of a cell."""
TAKEN_FOR_MORE = re.compile(r"[@#$!]|://|www\.|:[\w+-]+:", re.IGNORECASE)
"""Mentions, issues, formulas, pictures, addresses and small pictures by name: code is safe from all of them."""

WHAT_FAILS = {
    ERROR: "Errors make it fail.",
    WARNING: "Errors and warnings make it fail.",
    NOTE: "Every finding makes it fail.",
    NEVER: "No finding makes it fail.",
}


def code(text: str) -> str:
    """A visible text as code, also in a table."""
    if "\\|" in text:  # no reader agrees with another one on what that is between backticks in a table
        return f"<code>{''.join(c if c.isalnum() or c == ' ' else f'&#{ord(c)};' for c in text)}</code>"
    fence = "`" * (1 + max((len(run) for run in re.findall("`+", text)), default=0))
    space = " " if text[:1] in ("`", " ") or text[-1:] in ("`", " ") else ""
    return f"{fence}{space}{text}{space}{fence}".replace("|", "\\|")


def cell(text: str, as_code: bool = False) -> str:
    """A text as a cell of a table."""
    text = visible(text)
    if len(text) > WIDEST:
        text = text[: WIDEST - 1] + "…"
    return code(text) if as_code or TAKEN_FOR_MORE.search(text) else escaped(text)


def fitting(rows: Sequence[str], room: int) -> tuple[list[str], int]:
    """As many rows as there is room for, and the room that is left."""
    kept = []
    for row in rows:
        size = utf16_units(row) + 1
        if size > room:
            break
        kept.append(row)
        room -= size
    return kept, room


def table(head: str, rows: Sequence[str], room: int, of_what: str) -> tuple[list[str], int]:
    """The lines of a table, with a line about those rows that find no room, and the room that is left."""
    if not rows:
        return [], room
    kept, room = fitting(rows, room)
    lines = [head, "|" + "---|" * (head.count("|") - 1), *kept, ""] if kept else []
    if len(kept) < len(rows):
        lines += [f"… and {len(rows) - len(kept)} more {of_what}: they stand in the text of the run.", ""]
    return lines, room


def row(*cells: str) -> str:
    """A row of a table."""
    return f"| {' | '.join(cells)} |"


def place(finding: Finding, lines: LineTable) -> str:
    """Where a finding is."""
    position = lines.position(finding.place.source, finding.place.start)
    return cell(f"{finding.place.source.name}:{position.line}:{position.column}", as_code=True)


def finding_row(finding: Finding, lines: LineTable) -> str:
    """A finding in the table."""
    remedy = cell(finding.remedy)
    return row(finding.severity, place(finding, lines), cell(finding.message), remedy, cell(finding.rule, as_code=True))


def waived_row(finding: Finding, lines: LineTable) -> str:
    """A waived finding in its table."""
    assert finding.waiver is not None
    until = finding.waiver.until or "no end"
    return row(place(finding, lines), cell(finding.message), cell(finding.waiver.reason), until)


def verdict(result: Result, level: str) -> list[str]:
    """The first lines: what came of it."""
    if result.failed:
        word = f"incomplete: {counted(len(result.failed), 'path')} could not be read"
    else:
        word = "failed" if fails(result, level) else "passed"
    return [f"## Rack inspection {word}", "", f"{summary_line(result)}. {WHAT_FAILS[level]}", ""]


def findings_markdown(result: Result, level: str) -> str:
    """The page."""
    lines = LineTable()
    told = [finding for finding in result.findings if finding.waiver is None]
    told.sort(key=lambda finding: SEVERITIES.index(finding.severity))
    waived = [finding for finding in result.findings if finding.waiver is not None]
    page = verdict(result, level)
    room = MOST
    more, room = table(row("not read"), [row(cell(reason, as_code=True)) for reason in result.failed], room, "paths")
    page += more
    head = row("", "place", "what is wrong", "what to do", "rule")
    more, room = table(head, [finding_row(finding, lines) for finding in told], room, "findings")
    page += more
    head = row("waived", "what is accepted", "why", "until")
    more, room = table(head, [waived_row(finding, lines) for finding in waived], room, "waived findings")
    page += more
    if told:
        page += ["What is behind a rule: `rackspec explain RULE`", ""]
    return "\n".join(page).rstrip("\n") + "\n"

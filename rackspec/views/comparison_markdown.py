"""A comparison as a comment of a review (GitHub Flavored Markdown): in: a comparison, out: the page as text.

Its first line is a mark by which a bot finds the comment that it wrote, to write it anew. Services take comments of
less than 65,536 characters: what finds no room is counted. Verdict, consequences and new findings come first and are
kept longest. Names and texts are escaped, and nothing is said by colour.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rackspec.comparison.record import GONE, NEW, OTHERWISE, Comparison, RackFigures
from rackspec.findings import SEVERITIES
from rackspec.views.comparison_figures import fact_lines, figure_lines
from rackspec.views.comparison_groups import groups_of
from rackspec.views.comparison_text import not_understood_lines, otherwise_text
from rackspec.views.comparison_verdict import verdict
from rackspec.views.findings_markdown import cell, fitting, place, row, table
from rackspec.views.positions import LineTable
from rackspec.views.text import counted

MARK = "<!-- rackspec compare -->"
"""The first line."""
MOST = 55_000
"""Units of UTF-16 of tables and lists; what stands around them takes less than a thousand more."""
FOLDED = 12
"""A list of more changes than this is folded away."""


def comparison_markdown(comparison: Comparison) -> str:
    """The page."""
    page = [MARK, "", "## rackspec compare", "", f"**{cell(verdict(comparison))}**", ""]
    page += [f"{cell(line)}  " for line in not_understood_lines(comparison)]
    room = MOST
    for maker in (_figures, _new_findings, _other_findings, _changes, _gone_findings):
        lines, room = maker(comparison, room)
        if lines:
            page += lines if not page[-1] else ["", *lines]
    return "\n".join(page).rstrip("\n") + "\n"


Made = tuple[list[str], int]
"""Lines, and the room that is left."""


def _figures(comparison: Comparison, room: int) -> Made:
    """What the change comes to."""
    rows = [line for rack in comparison.racks for line in _rack_rows(rack)]
    head = row("rack", "of", "number", "old → new", "step", "")
    lines, room = table(head, rows, room, "numbers")
    return (["### What it comes to", "", *lines] if lines else []), room


def _rack_rows(rack: RackFigures) -> Iterator[str]:
    """The numbers of a rack as rows of a table."""
    name = cell(rack.name)
    for line in figure_lines(rack):
        yield row(name, cell(line.of), cell(line.what), cell(line.values), cell(line.step), _mark(line.mark))
        name = ""
    for label, text in fact_lines(rack):
        yield row(name, label, cell(text), "", "", "")
        name = ""


def _mark(mark: str) -> str:
    """Whether a number is better or worse."""
    return f"**{mark}**" if mark == "worse" else mark


def _new_findings(comparison: Comparison, room: int) -> Made:
    """Findings that are new, the worst first."""
    places = LineTable()
    new = [change.shown for change in comparison.of_status(NEW)]
    new.sort(key=lambda finding: (finding.waiver is not None, SEVERITIES.index(finding.severity)))
    rows = [
        row(
            finding.severity + (", waived" if finding.waiver is not None else ""),
            place(finding, places),
            cell(finding.message),
            cell(finding.remedy),
            cell(finding.rule, as_code=True),
        )
        for finding in new
    ]
    head = row("", "place", "what is wrong", "what to do", "rule")
    lines, room = table(head, rows, room, "new findings")
    return (["### New findings", "", *lines] if lines else []), room


def _other_findings(comparison: Comparison, room: int) -> Made:
    """Findings that count otherwise."""
    rows = [
        row(cell(otherwise_text(change)), cell(change.shown.message), cell(change.shown.rule, as_code=True))
        for change in comparison.of_status(OTHERWISE)
    ]
    lines, room = table(row("", "finding", "rule"), rows, room, "findings with another severity or waiver")
    return (["### Findings with another severity or waiver", "", *lines] if lines else []), room


def _changes(comparison: Comparison, room: int) -> Made:
    """What changed, thing by thing, folded away if it is long."""
    lines: list[str] = []
    for group in groups_of(comparison.changes):
        note = f" ({cell(group.note)})" if group.note else ""
        lines.append(f"- **{cell(group.heading)}**{note}")
        for told in group.lines:
            label = f"**{told.label}** " if told.loud else f"{told.label} " if told.label else ""
            text = "; ".join((told.text, *told.more))
            lines.append(f"  - {label}{cell(text)}")
    if not lines:
        return [], room
    kept, room = fitting(lines, room)
    if len(kept) < len(lines):
        kept.append(f"- … and {len(lines) - len(kept)} more lines: they stand in the text of the run")
    return folded("What changed", len(comparison.changes), "change", kept), room


def folded(heading: str, number: int, word: str, lines: Sequence[str]) -> list[str]:
    """A list under its heading; a long one can be unfolded."""
    if number <= FOLDED:
        return [f"### {heading}", "", *lines, ""]
    return [
        f"### {heading}",
        "",
        f"<details><summary>{counted(number, word)}</summary>",
        "",
        *lines,
        "",
        "</details>",
        "",
    ]


def _gone_findings(comparison: Comparison, room: int) -> Made:
    """Findings that are gone."""
    gone = [change.shown for change in comparison.of_status(GONE)]
    lines = [f"- {finding.severity}: {cell(finding.message)} ({cell(finding.rule, as_code=True)})" for finding in gone]
    if not lines:
        return [], room
    kept, room = fitting(lines, room)
    if len(kept) < len(lines):
        kept.append(f"- … and {len(lines) - len(kept)} more")
    return folded("Findings that are gone", len(gone), "finding", kept), room

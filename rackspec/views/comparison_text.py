"""A comparison as text for a terminal: in: a comparison, out: lines: verdict, consequences, changes, findings."""

from __future__ import annotations

from collections.abc import Iterator

from rackspec.comparison.record import (
    ADDED,
    GONE,
    NEW,
    OTHERWISE,
    REMOVED,
    RENAMED,
    Comparison,
    FindingChange,
    RackFigures,
)
from rackspec.findings import Finding, Waiver
from rackspec.views.comparison_figures import FigureLine, fact_lines, figure_lines
from rackspec.views.comparison_groups import Group, groups_of
from rackspec.views.comparison_verdict import OTHERWISE_WORDS, verdict
from rackspec.views.positions import LineTable
from rackspec.views.text import LABEL, Painter, counted, finding_lines, plain, visible, wide


def comparison_lines(comparison: Comparison, paint: Painter = plain) -> Iterator[str]:
    """The whole comparison. The first line is the verdict, and stands alone."""
    yield paint("heading", visible(verdict(comparison)))
    yield from (visible(line) for line in not_understood_lines(comparison))
    racks = [lines for rack in comparison.racks if (lines := list(_rack_lines(rack, paint)))]
    if racks:
        yield from ("", paint("heading", "what it comes to"))
        for lines in racks:
            yield from ("", *lines)
    if comparison.changes:
        yield from ("", paint("heading", "what changed"))
        for group in groups_of(comparison.changes):
            yield from ("", *_group_lines(group, paint))
    yield from _finding_lines(comparison, paint)


def not_understood_lines(comparison: Comparison) -> Iterator[str]:
    """How many lines of the sides could not be compared."""
    old, new = comparison.not_understood
    if comparison.pair is not None:
        old = 0
    for number, side in ((old, "the old side"), (new, "the new side" if comparison.pair is None else "the files")):
        if number:
            verb, says = ("was", "it says") if number == 1 else ("were", "they say")
            yield f"{counted(number, 'line')} of {side} {verb} not understood; what {says} may be missing here"


def _rack_lines(rack: RackFigures, paint: Painter) -> Iterator[str]:
    """What a rack comes to."""
    lines = figure_lines(rack)
    facts = list(fact_lines(rack))
    if not lines and not facts:
        return
    yield rack_heading(rack, paint)
    names = max([LABEL, *(wide(line.of) + 2 for line in lines), *(len(label) + 2 for label, _ in facts)])
    whats = max((wide(line.what) for line in lines), default=0) + 2
    values = max((wide(line.values) for line in lines), default=0) + 2
    steps = max((wide(line.step) for line in lines), default=0) + 2
    before = ""
    for line in lines:
        of = line.of if line.of != before else ""
        before = line.of
        yield _figure_line(line._replace(of=of), (names, whats, values, steps), paint)
    for label, text in facts:
        yield f"    {paint('label', f'{label:<{names}}')}{visible(text)}"


def _figure_line(line: FigureLine, widths: tuple[int, int, int, int], paint: Painter) -> str:
    """One number; whether it is for the better is said in words, and colour only underlines it."""
    of, what, values, step = (
        visible(text) + " " * (width - wide(visible(text))) for text, width in zip(line[:4], widths, strict=True)
    )
    mark = paint("warning" if line.mark == "worse" else "label", line.mark)
    return f"    {paint('label', of)}{what}{values}{step}{mark}".rstrip()


def rack_heading(rack: RackFigures, paint: Painter) -> str:
    """Name, title and file of a rack, and what became of it."""
    title = f'  "{visible(rack.title)}"' if rack.title else ""
    became = {ADDED: "  (new)", REMOVED: "  (gone)", RENAMED: f"  (it was '{rack.was}')"}.get(rack.action, "")
    return paint("heading", f"rack {visible(rack.name)}{title}") + f"{became}   {visible(rack.file)}"


def _group_lines(group: Group, paint: Painter) -> Iterator[str]:
    """The changes of a rack, or of a thing of the library."""
    note = f"   {visible(group.note)}" if group.note else ""
    yield paint("heading", visible(group.heading)) + note
    labels = any(told.label for told in group.lines)
    for told in group.lines:
        label = f"{told.label:<{LABEL}}" if labels else ""
        painted = paint("warning", label) if told.loud else paint("label", label)
        yield f"    {painted}{visible(told.text)}"
        yield from (f"    {' ' * LABEL}{visible(line)}" for line in told.more)


def _finding_lines(comparison: Comparison, paint: Painter) -> Iterator[str]:
    """Findings: the new ones whole, the others a line each."""
    table = LineTable()
    new, otherwise, gone = (comparison.of_status(status) for status in (NEW, OTHERWISE, GONE))
    if new:
        yield from ("", paint("heading", f"{counted(len(new), 'finding')} {'is' if len(new) == 1 else 'are'} new"))
        for change in new:
            yield from ("", *finding_lines(change.shown, table, paint))
    if otherwise:
        verb = OTHERWISE_WORDS[len(otherwise) > 1]
        yield from ("", paint("heading", f"{counted(len(otherwise), 'finding')} {verb}"), "")
        yield from (_one_line(change.shown, otherwise_text(change), paint) for change in otherwise)
    if gone:
        verb = "is" if len(gone) == 1 else "are"
        yield from ("", paint("heading", f"{counted(len(gone), 'finding')} {verb} gone"), "")
        yield from (_one_line(change.shown, "", paint) for change in gone)


def _one_line(finding: Finding, became: str, paint: Painter) -> str:
    """A finding in one line."""
    waived = " (waived)" if finding.waiver is not None and not became else ""
    label = f"{finding.severity:<{LABEL}}"
    tail = f": {became}" if became else ""
    return f"    {paint(finding.severity, label)}{visible(finding.message + waived + tail)}  ({finding.rule})"


def otherwise_text(change: FindingChange) -> str:
    """What became of a finding that is there on both sides."""
    old, new = change.old, change.new
    assert old is not None and new is not None
    parts = []
    if old.severity != new.severity:
        parts.append(f"{new.severity} now, {old.severity} before")
    if old.waiver != new.waiver:
        if new.waiver is None:
            parts.append("waived no longer")
        elif old.waiver is None:
            parts.append(f"waived now{_until(new.waiver)}: {new.waiver.reason}")
        else:
            parts.append(f"its waiver is another one now{_until(new.waiver)}: {new.waiver.reason}")
    return ", ".join(parts)


def _until(waiver: Waiver) -> str:
    """The last day of a waiver."""
    return f" until {waiver.until}" if waiver.until else ""

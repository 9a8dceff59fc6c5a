"""Results as text for a terminal: in: a result, out: lines. One GNU-style line for each finding, then labelled lines.

``file:line:column: severity: message``, columns in code points; what follows is indented, so that editors that look for
such lines see one line a finding.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator

from rackspec.findings import ERROR, NOTE, WARNING, Finding, Place
from rackspec.language.currencies import sum_text
from rackspec.language.quantity import show, show_hp
from rackspec.physics.margin import Margin
from rackspec.pipeline import Result
from rackspec.rules.registry import NotKnown
from rackspec.summary import PowerLine, RackSummary, RowLine
from rackspec.views.positions import LineTable

LABEL = 10
"""Width of the column of labels."""
WIDEST = 120
"""Characters of an excerpt that are shown."""
LONGEST = 2_000
"""Characters of a line in which a comment is looked for."""
MOST_CLOSEST = 5
COMMENT = r'((?:[^"#]|"[^"]*")*)#'

Painter = Callable[[str, str], str]
"""Gives a text in the colour of its role (``error``, ``label``, ``code``, ``heading``), or as it is."""


def plain(_role: str, text: str) -> str:
    """No colour."""
    return text


def visible(text: str) -> str:
    """A text in which nothing can be hidden: control characters are shown as they are called."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else " " if c == "\t" else f"<U+{ord(c):04X}>" for c in text)


def labelled(label: str, text: str, paint: Painter) -> str:
    """One line below a finding."""
    return f"    {paint('label', f'{label:<{LABEL}}')}{visible(text)}".rstrip()


def excerpt(place: Place, table: LineTable, paint: Painter) -> str:
    """The line of a place, with what is to be seen there."""
    return paint("code", raw_excerpt(place, table))


def raw_excerpt(place: Place, table: LineTable) -> str:
    """The line of a place without its comment, shortened if it is long."""
    position = table.position(place.source, place.start)
    line = table.line_text(place.source, position.line)
    if len(line) <= LONGEST:
        comment = re.match(COMMENT, line)
        if comment is not None and comment.end(1) >= position.column:
            line = comment[1]
    lead = "…" if position.column > WIDEST else ""
    start = position.column - WIDEST // 2 if lead else 0
    text = lead + visible(line[start : start + 2 * WIDEST].strip())
    return text if len(text) <= WIDEST else text[: WIDEST - 1] + "…"


def wide(text: str) -> int:
    """Columns that a text takes on a terminal."""
    return sum(2 if unicodedata.east_asian_width(c) in "WF" else 0 if unicodedata.combining(c) else 1 for c in text)


def finding_lines(finding: Finding, table: LineTable, paint: Painter) -> Iterator[str]:
    """A finding, whole."""
    position = table.position(finding.place.source, finding.place.start)
    waived = " (waived)" if finding.waiver else ""
    name = visible(finding.place.source.name)
    if name.startswith((":", "#")):
        name = f"./{name}"  # at the start of a line a CI service could take it for a command
    head = f"{name}:{position.line}:{position.column}:"
    message = paint("heading", visible(finding.message) + waived)
    yield f"{head} {paint(finding.severity, finding.severity + ':')} {message}"
    places = [finding.place, *finding.others]
    rows = []
    for place in places:
        line = table.position(place.source, place.start).line
        where = f"line {line}"
        label = place.label
        if place.source is not finding.place.source:
            label = f"{label}, in {place.source.name}" if label else f"in {place.source.name}"
        rows.append((where, excerpt(place, table, paint), wide(raw_excerpt(place, table)), label))
    column = min(max((width for _, _, width, label in rows), default=0), 60)
    for where, text, width, label in rows:
        if not text and not label:
            continue
        gap = " " * max(2, column - width + 2) if label else ""
        yield f"    {paint('label', f'{where:<{LABEL}}')}{text}{gap}{paint('label', visible(label))}".rstrip()
    for label, text in (
        ("sum", finding.sum),
        ("remedy", finding.remedy),
        ("rests on", finding.rests_on),
        ("waived", _waived(finding)),
        ("rule", finding.rule),
    ):
        if text:
            yield labelled(label, text, paint)


def findings_lines(findings: Iterable[Finding], paint: Painter = plain) -> Iterator[str]:
    """Findings, whole, with an empty line behind each."""
    table = LineTable()
    for finding in findings:
        yield from finding_lines(finding, table, paint)
        yield ""


def _waived(finding: Finding) -> str:
    if finding.waiver is None:
        return ""
    until = f" (until {finding.waiver.until})" if finding.waiver.until else ""
    return finding.waiver.reason + until


def amount(margin: Margin, value: str) -> str:
    """A number of a margin in its unit: widths in HP, depths in mm, currents in mA."""
    number = {"value": margin.value, "limit": margin.limit, "margin": margin.margin}[value]
    if margin.unit == "mm" and margin.what.endswith("width"):
        return show_hp(number)
    if margin.unit not in ("mm", "mA"):
        return sum_text(number, margin.unit, left=value != "value")
    return show(number, "length" if margin.unit == "mm" else "current")


def left_over(margin: Margin) -> str:
    """What is left of a margin, or what is too much."""
    if margin.margin >= 0:
        return f"{amount(margin, 'margin')} left"
    return f"{amount(margin._replace(value=margin.limit, limit=margin.value), 'margin')} too much"


def row_text(row: RowLine) -> str:
    """What a row holds."""
    if row.length is None:
        return "length not known yet"
    if row.free < 0:
        return f"{show_hp(row.length)} long, {show_hp(row.used)} to hold: {show_hp(-row.free)} too much"
    least = "at least " if row.unknown else ""
    most = "at most " if row.unknown else ""
    text = f"{show_hp(row.length)} long, {least}{show_hp(row.used)} taken, {most}{show_hp(row.free)} free"
    if row.free > 0:
        longest = f"{show_hp(row.longest)} in one run" if row.longest < row.free else "in one run"
        text += f", {longest}"
    return text


def power_text(line: PowerLine) -> str:
    """What is drawn on a voltage."""
    at_least = "at least " if line.at_least else ""
    worst = f" ({show(line.worst, 'current')} at the worst)" if line.worst != line.nominal else ""
    rated = f" of {show(line.rated, 'current')}" if line.rated is not None else ", which it does not give"
    return f"{show(line.voltage, 'voltage'):<6}{at_least}{show(line.nominal, 'current')}{worst}{rated}"


def rack_lines(rack: RackSummary, paint: Painter) -> Iterator[str]:
    """A rack at a glance: rows, power, closest calls, what is not known, what is not checked."""
    title = f'  "{visible(rack.title)}"' if rack.title else ""
    yield paint("heading", f"rack {rack.name}{title}") + f"   {visible(rack.file)}"
    lines = [(f"row {row.name}", row_text(row)) for row in rack.rows]
    for wish in rack.wishes:
        each = show_hp(wish.width) if wish.width is not None else "width not known yet"
        lines.append((f"wish {wish.name}", each if wish.pieces == 1 else f"{wish.pieces} of {each}"))
    before = ""
    for line in rack.power:
        lines.append((line.supply if line.supply != before else "", power_text(line)))
        before = line.supply
    column = max([LABEL, *(len(label) + 2 for label, _ in lines)])
    for label, text in lines:
        yield f"    {paint('label', f'{label:<{column}}')}{visible(text)}".rstrip()
    if rack.stage:
        yield f"    {'':<{column}}(all of this at stage '{rack.stage}')"
    if rack.margins:
        yield "    " + paint("heading", "closest calls")
        for margin in rack.margins[:MOST_CLOSEST]:
            what = margin.what.removeprefix(rack.name + "/")
            least = " at least" if what.endswith(" at least") else ""
            numbers = f"{amount(margin, 'value')} of {amount(margin, 'limit')}, {left_over(margin)}"
            yield f"        {visible(what.removesuffix(least))}:{least} {numbers}  ({visible(margin.rests_on)})"
    if rack.not_known:
        yield "    " + paint("heading", "not known yet")
        for names, fact, how in together(rack.not_known, rack.name):
            yield f"        {fact}: {visible(names)}. {how[0].upper()}{how[1:]}"
    if rack.not_checked:
        yield "    " + paint("heading", "not checked yet") + f"  {listed(rack.not_checked)}"


def listed(words: tuple[str, ...]) -> str:
    """Words, each once with how often it stands there."""
    counts: dict[str, int] = {}
    for word in words:
        counts[word] = counts.get(word, 0) + 1
    return ", ".join(f"{word} ({count})" if count > 1 else word for word, count in counts.items())


def together(items: tuple[NotKnown, ...], rack: str) -> list[tuple[str, str, str]]:
    """Unknown facts as (names, fact, how to come by it); the same fact of several things is asked for once."""
    grouped: dict[tuple[str, str], list[str]] = {}
    for item in items:
        grouped.setdefault((item.fact, item.how), []).append(item.thing.removeprefix(rack + "/"))
    return [(", ".join(names), fact, how) for (fact, how), names in grouped.items()]


def result_lines(result: Result, paint: Painter = plain) -> Iterator[str]:
    """A whole result: findings, racks, and the sum of it."""
    yield from findings_lines(result.findings, paint)
    for rack in result.summaries:
        yield from rack_lines(rack, paint)
        if rack.accepted:
            from rackspec.views.waivers import waiver_lines  # only specs with waivers need it

            yield from waiver_lines(rack, paint, visible)
        yield ""
    if result.not_checked:
        yield paint("heading", "not checked yet in the library") + f"  {listed(result.not_checked)}"
        yield ""
    yield summary_line(result)


def counted(count: int, word: str) -> str:
    """``1 error``, ``2 errors``."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def summary_line(result: Result) -> str:
    """Files, racks and findings in one line."""
    counts = dict.fromkeys((ERROR, WARNING, NOTE), 0)
    for finding in result.findings:
        if finding.waiver is None:
            counts[finding.severity] += 1
    waived = sum(finding.waiver is not None for finding in result.findings)
    parts = [counted(counts[severity], severity) for severity in (ERROR, WARNING, NOTE)]
    tail = f", {waived} waived" if waived else ""
    return f"{counted(result.files, 'file')}, {counted(len(result.summaries), 'rack')}: {', '.join(parts)}{tail}"

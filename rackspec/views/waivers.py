"""What is accepted in a rack, as text: in: an inspected rack and all findings, out: waivers that accept something."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rackspec.findings import Finding, Waiver
from rackspec.model.rack import Rack, WaiverLine
from rackspec.pipeline import Inspected


def accepted(rack: Rack, findings: tuple[Finding, ...]) -> list[tuple[WaiverLine, int]]:
    """The waivers of a rack that are in force, in the order they stand, each with how many findings it accepts."""
    found = []
    for line in rack.waivers:
        held = Waiver(line.reason, line.until.isoformat() if line.until else "")
        full = rack.full(line.on) if line.on else ""
        count = sum(
            finding.waiver == held
            and finding.rule == line.rule
            and finding.place.source is line.place.source
            and (not full or full in finding.names)
            for finding in findings
        )
        if count:
            found.append((line, count))
    return found


def waiver_lines(
    seen: Inspected, findings: tuple[Finding, ...], paint: Callable[[str, str], str], visible: Callable[[str], str]
) -> Iterator[str]:
    """``waived``, then a line a waiver: rule, thing, last day, reason. Nothing where nothing is waived."""
    lines = accepted(seen.rack, findings)
    if not lines:
        return
    yield "    " + paint("heading", "waived")
    for line, count in lines:
        on = line.on or "the whole rack"
        until = f" until {line.until.isoformat()}" if line.until else ", for ever"
        times = f" ({count} findings)" if count > 1 else ""
        yield f"        {visible(line.rule)} on {visible(on)}{until}{times}: {visible(line.reason)}"

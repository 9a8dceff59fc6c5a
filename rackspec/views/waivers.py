"""What is accepted in a rack, as text: in: its summary, out: lines about the waivers that accept something."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rackspec.summary import RackSummary


def waiver_lines(
    summary: RackSummary, paint: Callable[[str, str], str], visible: Callable[[str], str]
) -> Iterator[str]:
    """``waived``, then a line a waiver: rule, thing, last day, reason. Nothing where nothing is waived."""
    if not summary.accepted:
        return
    yield "    " + paint("heading", "waived")
    for line in summary.accepted:
        on = line.on or "the whole rack"
        until = f" until {line.until}" if line.until else ", for ever"
        times = f" ({line.pieces} findings)" if line.pieces > 1 else ""
        yield f"        {visible(line.rule)} on {visible(on)}{until}{times}: {visible(line.reason)}"

"""Findings of two sides: in: the findings of two results, out: those that are new, gone, or count otherwise.

A finding is its rule and the names of the things concerned, and a voltage, because a supply has a finding for each of
its voltages. What is called otherwise on the new side is the same thing. Only a finding that names nothing is known by
what it says.
"""

from __future__ import annotations

import re
from collections.abc import Hashable, Sequence
from typing import NamedTuple

from rackspec.comparison.keys import fingerprint, numbered
from rackspec.comparison.pairs import pair_up
from rackspec.comparison.record import GONE, NEW, OTHERWISE, FindingChange
from rackspec.comparison.renames import SAME, Renames
from rackspec.findings import Finding

VOLTAGE = re.compile(r"[+-][0-9]+(?:\.[0-9]+)?V\b")
LINE = re.compile(r"\b(lines?) [0-9]+\b")


class Entry(NamedTuple):
    """A finding of a side: what it is, and what it says, in the words of the new side."""

    finding: Finding
    identity: Hashable
    message: str


def entry(finding: Finding, renames: Renames) -> Entry:
    """A finding with its identity."""
    message = finding.message
    for source in {place.source.name for place in (finding.place, *finding.others)}:
        message = message.replace(source, "…")  # a file is called otherwise in another folder
    message = LINE.sub(r"\1", renames.in_text(message))
    if finding.names:
        names = tuple(sorted(renames.of(name) for name in finding.names))
        return Entry(finding, (finding.rule, names, tuple(VOLTAGE.findall(finding.message))), message)
    return Entry(finding, (finding.rule, message), message)


def finding_changes(old: Sequence[Finding], new: Sequence[Finding], renames: Renames) -> list[FindingChange]:
    """What became of findings, as the sides have them in order."""
    pairs, gone, added = pair_up(
        [entry(finding, renames) for finding in old],
        [entry(finding, SAME) for finding in new],
        lambda item: (item.identity, item.message, item.finding.severity, item.finding.waiver),
        lambda item: (item.identity, item.message),
        lambda item: (item.identity, item.finding.severity, item.finding.waiver),
        lambda item: item.identity,
    )
    changes = [
        *(FindingChange(NEW, None, item.finding, rack_of(item.finding, SAME), _key(NEW, item)) for item in added),
        *(FindingChange(GONE, item.finding, None, rack_of(item.finding, renames), _key(GONE, item)) for item in gone),
    ]
    for one, other in pairs:
        if (one.finding.severity, one.finding.waiver) != (other.finding.severity, other.finding.waiver):
            rack = rack_of(other.finding, SAME)
            changes.append(FindingChange(OTHERWISE, one.finding, other.finding, rack, _key(OTHERWISE, other)))
    order = {NEW: 0, OTHERWISE: 1, GONE: 2}

    def place(change: FindingChange) -> tuple[int, str, int, str, str]:
        shown = change.shown
        return (order[change.status], shown.place.source.name, shown.place.start, shown.rule, shown.message)

    return numbered(sorted(changes, key=place))


def rack_of(finding: Finding, renames: Renames) -> str:
    """The rack that a finding is about, on the new side; empty where it names none."""
    racks = [name.partition("/")[0] for name in finding.names if "/" in name]
    return renames.of(racks[0]).removeprefix("?") if racks else ""


def _key(status: str, item: Entry) -> str:
    finding = item.finding
    return fingerprint(status, item.identity, item.message, finding.severity, tuple(finding.waiver or ()))

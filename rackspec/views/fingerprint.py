"""Fingerprints: in: findings in order, out: a key for each that stays the same while lines move and numbers change.

Services that keep findings from one run to the next tell by it what is new and what has gone. A rule and the names of
the things concerned are what a finding is about; a supply has a finding for each of its voltages, so that a voltage of
the message counts too. A finding about no named thing is known by its file and its message, less numbers of lines.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from hashlib import sha256

from rackspec.findings import Finding

VERSION = "v1"
"""Rises when other facts go into the key: until then a service takes up where it was."""

VOLTAGE = re.compile(r"[+-][0-9]+(?:\.[0-9]+)?V\b")
LINE = re.compile(r"\b(line|lines) [0-9]+\b")


def about(finding: Finding) -> tuple[str, ...]:
    """What a finding is about; two findings of a run may be about the same."""
    if finding.names:
        return (finding.rule, *sorted(finding.names), *VOLTAGE.findall(finding.message))
    return (finding.rule, finding.place.source.name, LINE.sub(r"\1", finding.message))


def fingerprints(findings: Sequence[Finding]) -> list[str]:
    """The key of each finding, unique in the run.

    Those about the same are numbered by their messages, then by where they stand: the first keeps its key when another
    one comes.
    """
    order = sorted(
        range(len(findings)),
        key=lambda n: (findings[n].message, findings[n].place.source.name, findings[n].place.start),
    )
    times: dict[tuple[str, ...], int] = {}
    keys = [""] * len(findings)
    for number in order:
        parts = about(findings[number])
        times[parts] = times.get(parts, 0) + 1
        text = "\n".join((VERSION, *parts, str(times[parts])))
        keys[number] = sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:32]
    return keys

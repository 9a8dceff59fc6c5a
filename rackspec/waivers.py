"""Waivers and flags: in: findings, a rack's waivers, the house's flags, out: the findings as they count.

A waiver accepts a finding of one rule on one thing, for a reason, until a day. One that accepts nothing, or whose day
has passed, is a finding itself.
"""

from __future__ import annotations

from datetime import date

from rackspec.findings import ERROR, WARNING, Finding, Place, Waiver
from rackspec.language.suggest import nearest
from rackspec.model.house import House
from rackspec.model.rack import Rack, WaiverLine
from rackspec.rules.registry import PLANNED, Rule


def unknown_rule(name: str, place: Place, rules: dict[str, Rule]) -> Finding:
    """A rule that is named and does not exist."""
    near = nearest(name, rules)
    remedy = "write " + " or ".join(f"'{other}'" for other in near) if near else "see the list: rackspec explain rules"
    return Finding("unknown-name", ERROR, f"no rule is called '{name}'", place, remedy=remedy)


def accepts(waiver: WaiverLine, rack: Rack, finding: Finding) -> bool:
    """Whether a waiver speaks of a finding of its rack."""
    if waiver.rule != finding.rule or not waiver.reason.strip():
        return False
    return not waiver.on or rack.full(waiver.on) in finding.names


def in_force(waiver: WaiverLine, today: date) -> bool:
    """Whether a waiver still counts; its last day is one on which it does."""
    return waiver.until is None or today <= waiver.until


def is_there(rack: Rack, name: str) -> bool:
    """Whether a waiver is held on something. A name that nothing has is told as such, and that is all."""
    names = {panel.name for panel in rack.panels()} | {row.name for row in rack.rows} | {bus.name for bus in rack.buses}
    names |= {wish.name for wish in rack.wishes} | {stage.name for stage in rack.stages}
    return not name or name in names


def apply_waivers(
    rack: Rack, findings: list[Finding], rules: dict[str, Rule], today: date, sound: bool
) -> list[Finding]:
    """The findings of a rack with its waivers on them, and findings about waivers that are stale.

    As long as some line was not understood (not ``sound``) no waiver is called stale: what it accepts may be hidden.
    """
    told: list[Finding] = []
    used: set[WaiverLine] = set()
    for finding in findings:
        accepting = [line for line in rack.waivers if accepts(line, rack, finding)]
        used.update(accepting)
        waiver = next((line for line in accepting if in_force(line, today)), None)
        if waiver is not None:
            until = waiver.until.isoformat() if waiver.until else ""
            finding = finding._replace(waiver=Waiver(waiver.reason, until))
        told.append(finding)
    for waiver in rack.waivers:
        names = (rack.full(waiver.on or rack.name),)
        if waiver.rule in PLANNED - rules.keys():
            continue
        if waiver.rule not in rules:
            if waiver.rule != "because":  # then the rule itself was left out, and that is told
                told.append(unknown_rule(waiver.rule, waiver.place, rules))
        elif rules[waiver.rule].look is None:
            message = f"nothing is waived by this: {waiver.rule} is about reading and names, and cannot be accepted"
            remedy = "mend what it is about, and delete this line"
            told.append(Finding("waiver-stale", WARNING, message, waiver.place, remedy=remedy, names=names))
        elif not waiver.reason.strip():
            if sound:  # else the line itself was not understood, and that is told
                remedy = "say why it is accepted, in a few words"
                message = f"the waiver of {waiver.rule} gives no reason: its text is empty"
                told.append(Finding("fact-missing", ERROR, message, waiver.place, remedy=remedy, names=names))
        elif not in_force(waiver, today):
            assert waiver.until is not None
            message = f"the waiver of {waiver.rule} ended on {waiver.until.isoformat()}"
            remedy = "mend what it accepted and delete it, or set a later day"
            told.append(Finding("waiver-stale", WARNING, message, waiver.place, remedy=remedy, names=names))
        elif waiver not in used and sound and is_there(rack, waiver.on):
            on = f" on '{waiver.on}'" if waiver.on else ""
            message = f"nothing is waived by this: no finding {waiver.rule}{on} is left"
            told.append(Finding("waiver-stale", WARNING, message, waiver.place, remedy="delete this line", names=names))
    return told


def apply_flags(findings: list[Finding], house: House, rules: dict[str, Rule]) -> list[Finding]:
    """The findings with the severities that the house gives them."""
    flagged = [
        finding._replace(severity=house.flags[finding.rule][0]) if finding.rule in house.flags else finding
        for finding in findings
    ]
    for name, (_, place) in house.flags.items():
        if name not in rules and name not in PLANNED:
            flagged.append(unknown_rule(name, place, rules))
    return flagged

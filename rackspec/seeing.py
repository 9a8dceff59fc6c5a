"""One rack and all rules: in: a linked rack and its house, out: findings with waivers on them, margins, a summary."""

from datetime import date
from typing import NamedTuple

from rackspec.findings import Finding
from rackspec.model.house import House
from rackspec.model.rack import Later, Rack
from rackspec.physics.margin import Margin
from rackspec.rules.registry import Look, NotKnown, Rule
from rackspec.summary import RackSummary, summarise
from rackspec.waivers import apply_waivers


class Inspected(NamedTuple):
    """A rack, what is in force for it, and what was seen of it besides findings."""

    rack: Rack
    house: House
    margins: tuple[Margin, ...]
    not_known: tuple[NotKnown, ...]
    later: tuple[Later, ...]


class Sight(NamedTuple):
    """What a rack says in the end: findings with waivers on them, what was seen besides, and its summary."""

    findings: list[Finding]
    inspected: Inspected
    summary: RackSummary


def see(rack: Rack, house: House, rules: dict[str, Rule], today: date, sound: bool) -> Sight:
    """A rack with its waivers. ``sound``: every line of the run was understood."""
    found, inspected = inspect_rack(rack, house, rules, today)
    findings = apply_waivers(rack, found, rules, today, sound)
    summary = summarise(rack, house, findings, inspected.margins, inspected.not_known, inspected.later)
    return Sight(findings, inspected, summary)


def inspect_rack(
    rack: Rack, house: House, rules: dict[str, Rule], today: date | None = None
) -> tuple[list[Finding], Inspected]:
    """What all rules see of one rack, on a day; without one nothing is old."""
    findings: list[Finding] = []
    margins: list[Margin] = []
    not_known: list[NotKnown] = []
    look = Look(rack, house, {}, today)
    for rule in rules.values():
        if rule.look is None:
            continue
        for seen in rule.look(look):
            if isinstance(seen, Finding):
                findings.append(seen)
            elif isinstance(seen, Margin):
                margins.append(seen)
            else:
                not_known.append(seen)
    margins.sort(key=lambda margin: (margin.share, margin.what))
    return findings, Inspected(rack, house, tuple(margins), tuple(by_weight(not_known)), rack.later)


def by_weight(not_known: list[NotKnown]) -> list[NotKnown]:
    """Each unknown fact once, those first on which most hangs."""
    weight: dict[tuple[str, str], int] = {}
    first: dict[tuple[str, str], NotKnown] = {}
    for item in not_known:
        key = (item.thing, item.fact)
        weight[key] = weight.get(key, 0) + 1
        first.setdefault(key, item)
    return sorted(first.values(), key=lambda item: (-weight[item.thing, item.fact], item.thing, item.fact))

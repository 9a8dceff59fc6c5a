"""A rack in numbers: in: a linked rack and what was seen of it, out: the summary that people and machines are shown.

A summary holds plain values only, no part of the model, so that it can be kept from one run to the next.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Finding, Waiver
from rackspec.model.house import House
from rackspec.model.rack import Later, Rack, WaiverLine
from rackspec.physics.currents import load_on
from rackspec.physics.margin import Margin
from rackspec.rules.loads import consumers_at
from rackspec.rules.registry import Look, NotKnown
from rackspec.rules.stages import runs_at, taken_at


class RowLine(NamedTuple):
    """A row at the last stage (mm): length (None: not known), taken, free, longest run; whether a width is unknown."""

    name: str
    length: Fraction | None
    used: Fraction
    free: Fraction
    longest: Fraction
    unknown: bool


class WishLine(NamedTuple):
    """Something wanted: how many, and how wide one is (mm; None: not known)."""

    name: str
    pieces: int
    width: Fraction | None


class PowerLine(NamedTuple):
    """A supply's voltage at the last stage: V, and mA drawn (nominal, worst) and rated (None: not known)."""

    supply: str
    voltage: Fraction
    nominal: Fraction
    worst: Fraction
    rated: Fraction | None
    at_least: bool


class Accepted(NamedTuple):
    """A waiver that is in force: rule, thing (empty: the whole rack), last day (ISO, or empty), reason, and how many
    findings it accepts."""

    rule: str
    on: str
    until: str
    reason: str
    pieces: int


class RackSummary(NamedTuple):
    """A rack at a glance, all plans included. ``stage`` is the name of its last stage (empty: it has none);
    ``not_checked`` the words of lines that no rule looks at yet, each as often as it stands there."""

    name: str
    title: str
    file: str
    stage: str
    rows: tuple[RowLine, ...]
    wishes: tuple[WishLine, ...]
    power: tuple[PowerLine, ...]
    margins: tuple[Margin, ...]
    not_known: tuple[NotKnown, ...]
    not_checked: tuple[str, ...]
    accepted: tuple[Accepted, ...]


def row_lines(rack: Rack) -> list[RowLine]:
    """All rows of a rack."""
    stage = len(rack.stages) - 1
    lines = []
    for row in rack.rows:
        length = row.length
        taken = taken_at(row, stage)
        runs = [end - start for start, end in runs_at(row, stage)]
        free = length.value - taken.nominal if length is not None else Fraction(0)
        unknown = bool(taken.unknown) or row.spoiled
        lines.append(
            RowLine(
                row.name, length.value if length else None, taken.nominal, free, max(runs, default=Fraction(0)), unknown
            )
        )
    return lines


def power_lines(rack: Rack, house: House) -> list[PowerLine]:
    """All voltages of all supplies of a rack that are given or drawn on."""
    look = Look(rack, house, {})
    stage = len(rack.stages) - 1
    lines = []
    for feed in rack.feeds:
        consumers = consumers_at(look, feed, stage)
        rated = {give.voltage: give.current.value for give in feed.supply.gives}
        drawn = {voltage for consumer in consumers for voltage in consumer.draws or ()}
        for voltage in sorted({*rated, *drawn}, reverse=True):
            load = load_on(voltage, consumers, house)
            if voltage not in rated and not load.nominal and not load.at_least:
                continue
            lines.append(PowerLine(feed.name, voltage, load.nominal, load.worst, rated.get(voltage), load.at_least))
    return lines


def accepted(rack: Rack, findings: list[Finding]) -> list[Accepted]:
    """The waivers of a rack that are in force, in the order they stand, each with how many findings it accepts."""
    found = []
    for line in rack.waivers:
        until = line.until.isoformat() if line.until else ""
        pieces = sum(
            finding.waiver == Waiver(line.reason, until) and _speaks(line, rack, finding) for finding in findings
        )
        if pieces:
            found.append(Accepted(line.rule, line.on, until, line.reason, pieces))
    return found


def _speaks(line: WaiverLine, rack: Rack, finding: Finding) -> bool:
    """Whether a waiver is about a finding of its rack."""
    same = finding.rule == line.rule and finding.place.source is line.place.source
    return same and (not line.on or rack.full(line.on) in finding.names)


def summarise(
    rack: Rack,
    house: House,
    findings: list[Finding],
    margins: tuple[Margin, ...],
    not_known: tuple[NotKnown, ...],
    later: tuple[Later, ...],
) -> RackSummary:
    """The summary of a rack, with what its rules saw."""
    return RackSummary(
        name=rack.name,
        title=rack.title,
        file=rack.file.name,
        stage=rack.stages[-1].name,
        rows=tuple(row_lines(rack)),
        wishes=tuple(
            WishLine(wish.name, wish.pieces, wish.width.value if wish.width is not None else None)
            for wish in rack.wishes
        ),
        power=tuple(power_lines(rack, house)),
        margins=margins,
        not_known=not_known,
        not_checked=tuple(line.word for line in later),
        accepted=tuple(accepted(rack, findings)),
    )

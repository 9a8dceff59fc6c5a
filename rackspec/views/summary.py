"""A rack in numbers: in: an inspected rack, out: its rows and supplies at the last stage, all plans included."""

from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.currents import load_on
from rackspec.pipeline import Inspected
from rackspec.rules.loads import consumers_at
from rackspec.rules.registry import Look
from rackspec.rules.stages import runs_at, taken_at


class RowLine(NamedTuple):
    """A row at the last stage (mm): length (None: not known), taken, free, longest run; whether a width is unknown."""

    name: str
    length: Fraction | None
    used: Fraction
    free: Fraction
    longest: Fraction
    unknown: bool


class PowerLine(NamedTuple):
    """A supply's voltage at the last stage: V, and mA drawn (nominal, worst) and rated (None: not known)."""

    supply: str
    voltage: Fraction
    nominal: Fraction
    worst: Fraction
    rated: Fraction | None
    at_least: bool


def row_lines(seen: Inspected) -> list[RowLine]:
    """All rows of a rack."""
    stage = len(seen.rack.stages) - 1
    lines = []
    for row in seen.rack.rows:
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


def power_lines(seen: Inspected) -> list[PowerLine]:
    """All voltages of all supplies of a rack that are given or drawn on."""
    look = Look(seen.rack, seen.house, {})
    stage = len(seen.rack.stages) - 1
    lines = []
    for feed in seen.rack.feeds:
        consumers = consumers_at(look, feed, stage)
        rated = {give.voltage: give.current.value for give in feed.supply.gives}
        drawn = {voltage for consumer in consumers for voltage in consumer.draws or ()}
        for voltage in sorted({*rated, *drawn}, reverse=True):
            load = load_on(voltage, consumers, seen.house)
            if voltage not in rated and not load.nominal and not load.at_least:
                continue
            lines.append(PowerLine(feed.name, voltage, load.nominal, load.worst, rated.get(voltage), load.at_least))
    return lines

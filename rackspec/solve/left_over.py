"""What is left when a part is in a rack: in: a rack with it, out: depth, current, headers, screws and money in numbers.

The functions of the rules are used, so that an answer here is never another one than a finding would give.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from rackspec.model.house import House
from rackspec.model.known import Known
from rackspec.model.rack import Feed, Panel, Rack, Row
from rackspec.physics.currents import Load, load_on, usable
from rackspec.physics.threads import Screw
from rackspec.rules.choices import Chosen
from rackspec.rules.chosen import chosen_one
from rackspec.rules.depth import deep_panels, plug_of
from rackspec.rules.headers import pins_there
from rackspec.rules.loads import consumers_at, fed_panels
from rackspec.rules.money import budget_of, in_currency, items_of
from rackspec.rules.registry import Look
from rackspec.rules.screws import lengths, pieces_of, screw_of, serving, stack_of, wrong_threads


class DepthLeft(NamedTuple):
    """A part behind a row: its depth (a band where nobody wrote one), its plug, the room, in mm (None: not known)."""

    row: Row
    depth: Known | None
    plug: Known | None
    room: Known | None

    @property
    def nominal(self) -> Fraction:
        """What it takes."""
        return sum((value.value for value in (self.depth, self.plug) if value is not None), Fraction(0))

    @property
    def worst(self) -> Fraction:
        """What it takes at the worst."""
        return sum((value.high for value in (self.depth, self.plug) if value is not None), Fraction(0))


class PowerLeft(NamedTuple):
    """A voltage (V) of a feed with the part on it, at the stage at which most is drawn; currents in mA.

    ``rated`` is None where the feed does not give that voltage; ``usable`` is what the house lets be used of it.
    """

    feed: Feed
    voltage: Fraction
    load: Load
    rated: Known | None
    usable: Fraction
    stage: int


class HeadersLeft(NamedTuple):
    """Power headers of a feed: how many there are (None: not known), how many are taken, and how many more may be.

    ``pins``: of how many pins they are, where that is known.
    """

    feed: Feed
    have: int | None
    taken: int
    maybe: int
    pins: int | None


class ScrewsLeft(NamedTuple):
    """The screws of a part on the rails of a row: what it is put on with, and whether that serves (None: not known).

    ``length`` is the shortest standard length that serves, in mm; ``lacking`` says what has to be known first.
    """

    chosen: Chosen | None
    pieces: int
    screw: Screw | None
    of_row: bool
    serves: bool | None
    length: int | None
    lacking: str


class MoneyLeft(NamedTuple):
    """A budget at a stage: what it is, what is to be spent with the part in it; ``least``: some prices are missing."""

    stage: int
    budget: Fraction
    currency: str
    total: Fraction
    least: bool


def depth_left(rack: Rack, house: House, panel: Panel) -> DepthLeft:
    """How deep a panel is, against the room behind its row."""
    look = Look(rack, house, {})
    row = next(row for row in rack.rows if panel in row.panels)
    plug = plug_of(look, panel)
    for _, other, depth, room in deep_panels(look):
        if other is panel:
            return DepthLeft(row, depth, plug, room)
    return DepthLeft(row, panel.part.depth if panel.part is not None else None, plug, row.behind)


def power_left(rack: Rack, house: House, panel: Panel) -> list[PowerLeft]:
    """The voltages of the feeds that a panel's row hangs on, or of a supply's own feed."""
    look = Look(rack, house, {})
    spare = house.limit("spare current").value
    stated = (panel.part.draws or ()) if panel.part is not None else ()
    draws = {draw.voltage for draw in stated if draw.current.high}
    stages = range(panel.since, len(rack.stages))
    found = []
    for feed in rack.feeds:
        if feed.panel is not panel and not any(panel in row.panels for row in feed.rows):
            continue
        given = {give.voltage: give.current for give in feed.supply.gives}
        for voltage in sorted({*given, *draws}, reverse=True):
            loads = [(load_on(voltage, consumers_at(look, feed, stage), house), stage) for stage in stages]
            load, stage = max(loads, key=lambda pair: (pair[0].nominal, pair[0].worst))
            rated = given.get(voltage)
            may = usable(rated.value, spare) if rated is not None else Fraction(0)
            found.append(PowerLeft(feed, voltage, load, rated, may, stage))
    return found


def headers_left(rack: Rack, panel: Panel) -> list[HeadersLeft]:
    """The power headers of the feeds that a panel's row hangs on, at the stage at which most are taken."""
    found = []
    for feed in rack.feeds:
        if not any(panel in row.panels for row in feed.rows):
            continue
        counts = [bus.headers for bus in feed.buses] if feed.buses else [feed.supply.headers]
        have = None if any(count is None for count in counts) else sum(count or 0 for count in counts)
        taken = maybe = 0
        for stage in range(panel.since, len(rack.stages)):
            parts = [other.part for other in fed_panels(feed, stage) if other.part is not None]
            sure, open_ = sum(bool(part.draws) for part in parts), sum(part.draws is None for part in parts)
            if sure + open_ > taken + maybe:
                taken, maybe = sure, open_
        pins = pins_there(feed)
        found.append(HeadersLeft(feed, have, taken, maybe, pins[0] if pins else None))
    return found


def choice_of(look: Look, row: Row) -> Chosen | None:
    """The choice of rails that the rules speak of: the first one that does, else the first."""
    return chosen_one(look, row)


def screws_left(rack: Rack, house: House, panel: Panel) -> ScrewsLeft:
    """Which screws a panel is put on with."""
    look = Look(rack, house, {})
    row = next(row for row in rack.rows if panel in row.panels)
    chosen, pieces = choice_of(look, row), pieces_of(panel)
    if chosen is None:
        return ScrewsLeft(None, pieces, None, False, None, None, "the rails of the row")
    screw = screw_of(chosen, panel)
    of_row = bool(row.screws)
    if chosen.insert is None or chosen.thread is None:
        return ScrewsLeft(chosen, pieces, screw, of_row, None, None, "what the screws go into")
    alone = chosen._replace(row=row._replace(panels=(panel,)))
    stack = stack_of(look, chosen, panel)
    if stack is None:
        serves = False if any(wrong_threads(look, alone)) else None
        lacking = f"the recess of '{chosen.rail.name}'" if chosen.rail is not None else "the rails of the row"
        return ScrewsLeft(chosen, pieces, screw, of_row, serves, None, lacking)
    wrong = any(wrong_threads(look, alone)) or any(lengths(look, alone))
    return ScrewsLeft(chosen, pieces, screw, of_row, None if screw is None else not wrong, serving(chosen, stack), "")


def money_left(rack: Rack, house: House) -> list[MoneyLeft]:
    """Each budget of a rack, and what is to be spent of it."""
    look = Look(rack, house, {})
    items = items_of(rack)
    found = []
    for stage in range(len(rack.stages)):
        budget = budget_of(rack, stage)
        if budget is None:
            continue
        costs = [in_currency(look, item, budget[1]) for item in items if item.stage == stage]
        total = sum((cost for cost in costs if cost is not None), Fraction(0))
        found.append(MoneyLeft(stage, budget[0], budget[1], total, None in costs))
    return found

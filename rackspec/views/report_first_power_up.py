"""The sheet for the first power-up: in: a rack, out: steps at the bench in order, values to expect, boxes to tick."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.language.quantity import show_hp
from rackspec.model.rack import Feed, Panel
from rackspec.physics.adapter import needed_input
from rackspec.physics.currents import Consumer, load_on
from rackspec.rules.loads import by_voltage, fed_panels
from rackspec.views.document import Block, Heading, Paragraph, Points, Table
from rackspec.views.power_up_supply import CAUTIONS, before, no_modules
from rackspec.views.reported import Reported, milliamps, open_findings, stage_word, unsettled, volts, whole_up

STOP = Fraction(6, 5)
"""Where to stop, as a share of the worst sum: meters differ, and modules draw more at their start (common practice)."""

NOT_FURTHER = (
    "Do not go on to modules: until somebody says what the supply gives, no reading can be held against anything."
)
NO_INPUT = (
    "Nothing is known about an adapter in front of this supply, so there is no current at which to stop. Go on "
    "only with a bench supply whose current is limited in the place of the adapter, or write the adapter down "
    "first ('input adapter 15V 3A')."
)
ONE_MORE = (
    "For each line: adapter out; plug in this module, beside those that have passed; look at the stripe at "
    "both ends; adapter in; read; tick. 'Adds' is what this module alone should add, 'adapter' what the "
    "adapter should give now, with I0 from step 1. Above 'stop above' unplug at once: that is every value at "
    "its bad end and a fifth more (common practice, no source). Unplug as well when a module adds twice what "
    "it should, or when a voltage at a free header leaves its range."
)
ONE_MORE_ON_MAINS = (
    "For each line: switch off as you were shown, and wait until the lamps are dark; plug in this module, "
    "beside those that have passed; look at the stripe at both ends; switch on; read the voltages at a free "
    "header; tick. What it takes from mains is not measured. When a voltage leaves its range, switch off at once."
)


class Step(NamedTuple):
    """What modules draw from the adapter beyond the supply itself, in mA, and what is not known of it."""

    nominal: Fraction
    worst: Fraction
    at_least: bool
    open_end: bool


def first_power_up(reported: Reported) -> Iterator[Block]:
    """The whole sheet."""
    rack = reported.seen.rack
    yield Heading(2, "First power-up")
    yield Paragraph(
        "Read it to the end before you begin. Values are worked out from what is written down, not measured on "
        "your rack."
    )
    yield Points(CAUTIONS)
    yield from open_findings(reported, ("power",))
    if unsettled(reported, ("power",)):
        yield Paragraph(
            "DO NOT SWITCH ON before the errors above are settled: with them this sheet cannot keep you from damage."
        )
    if not rack.feeds:
        yield Paragraph(
            "No supply is known in this rack: there is nothing to switch on yet. Write down what feeds the rows."
        )
    for row in rack.unfed:
        yield Paragraph(f"Row {row.name}: nobody says what feeds it. Leave it unplugged until that is written down.")
    for feed in rack.feeds:
        yield Heading(3, f"Supply {feed.name}")
        yield from before(feed)
        yield from no_modules(feed)
        if not feed.supply.gives:
            yield Paragraph(NOT_FURTHER)
            continue
        yield from one_by_one(reported, feed)
        yield from together(reported, feed)


def order_of(feed: Feed, stage: int) -> list[Panel]:
    """The modules of a stage in the order in which they are plugged in: by stage, by row, from left to right."""
    return sorted(
        fed_panels(feed, stage),
        key=lambda panel: (
            panel.since,
            [row.name for row in feed.rows].index(panel.row),
            panel.start is None,
            panel.start or 0,
        ),
    )


def step(reported: Reported, feed: Feed, panels: list[Panel]) -> Step | None:
    """What some modules add at the adapter; None where input or efficiency cannot be told."""
    given = feed.supply.input
    efficiency = feed.supply.efficiency or reported.seen.house.limit("assume efficiency").as_known(feed.supply.place)
    if given is None or given.voltage is None or not given.voltage.low or efficiency.low <= 0:
        return None
    consumers = [
        Consumer(panel.name, by_voltage(panel.part.draws), panel.width.value if panel.width is not None else None, 1)
        for panel in panels
        if panel.part is not None
    ]
    nominal = worst = Fraction(0)
    at_least = open_end = False
    for give in feed.supply.gives:
        load = load_on(give.voltage, consumers, reported.seen.house)
        nominal += abs(give.voltage) * load.nominal / 1000
        worst += abs(give.voltage) * load.worst / 1000
        at_least = at_least or load.at_least
        open_end = open_end or any(one.name in load.unknown and one.width is None for one in consumers)
    need = needed_input(nominal, efficiency.value, given.voltage.value)
    most = needed_input(worst, efficiency.low, given.voltage.low)
    return Step(need, most, at_least, open_end)


def one_by_one(reported: Reported, feed: Feed) -> Iterator[Block]:
    """One module after the other, those of later stages when they come."""
    yield Heading(4, "Step 2: one module at a time")
    given = feed.supply.input
    on_mains = given is not None and given.kind == "mains"
    yield Paragraph(ONE_MORE_ON_MAINS if on_mains else ONE_MORE)
    if not on_mains and (given is None or given.voltage is None or given.current is None):
        yield Paragraph(NO_INPUT)
    number = 0
    for stage in reported.stages:
        there = order_of(feed, stage)
        new = [panel for panel in there if panel.since == stage]
        if not new:
            continue
        if stage:
            yield Paragraph(f"From {stage_word(reported, stage)}, when what came before still runs:")
        plugged = [panel for panel in there if panel.since < stage]
        rows: list[tuple[str, ...]] = []
        quiet = []
        gone = [panel.name for panel in order_of(feed, stage - 1) if not panel.there(stage)] if stage else []
        if gone:
            yield Paragraph(f"Taken out first: {', '.join(gone)}.")
        for panel in new:
            assert panel.part is not None
            if panel.part.draws == ():
                quiet.append(panel.name)
                continue
            number += 1
            plugged = [*plugged, panel]
            expected, most = expected_text(step(reported, feed, plugged), feed)
            adds = adds_text(step(reported, feed, [panel]))
            where = f"{panel.row} {show_hp(panel.start)}" if panel.start is not None else panel.row
            rows.append((f"[ ] {number}", panel.name, where, header_text(panel), adds, expected, most, "______"))
        if rows:
            head = ("", "module", "at", "header", "adds", "adapter", "stop above", "read")
            yield Table(head, tuple(rows))
        if quiet:
            yield Paragraph(f"Draw nothing from this supply, no ribbon: {', '.join(quiet)}.")


def expected_text(here: Step | None, feed: Feed) -> tuple[str, str]:
    """What the adapter should give, and where to stop."""
    if here is None:
        return "not known", "not known"
    least = "at least " if here.at_least else ""
    expected = f"{least}I0 + {milliamps(whole_up(here.nominal))}"
    stop = here.worst * STOP
    most = "not known" if here.open_end else f"I0 + {milliamps(whole_up(stop))}"
    given = feed.supply.input
    if given is not None and given.current is not None and stop > given.current.low:
        most = milliamps(given.current.low)
    return expected, most


def header_text(panel: Panel) -> str:
    """The header of a module with its warning."""
    header = panel.part.header if panel.part is not None else None
    if header is None:
        return "not known: TREAT AS UNKEYED"
    if header.keyed is True and header.evidence.level != "guessed":
        return f"{header.pins}-pin keyed"
    if header.keyed is True:
        return f"{header.pins}-pin, keyed only by guess: TREAT AS UNKEYED"
    return f"{header.pins}-pin UNKEYED" if header.keyed is False else f"{header.pins}-pin: TREAT AS UNKEYED"


def adds_text(here: Step | None) -> str:
    """What a module adds at the adapter."""
    if here is None or (here.at_least and not here.nominal):
        return "not known"
    return ("at least " if here.at_least else "") + milliamps(whole_up(here.nominal))


def together(reported: Reported, feed: Feed) -> Iterator[Block]:
    """Everything at once; nothing where no module is known to hang on this supply."""
    if not any(fed_panels(feed, stage) for stage in reported.stages):
        return
    yield Heading(4, "Step 3: all together")
    rows = []
    for stage in reported.stages:
        expected, most = expected_text(step(reported, feed, fed_panels(feed, stage)), feed)
        rows.append((f"from {stage_word(reported, stage)}", expected, most, "______"))
    yield Table(("when", "adapter", "stop above", "read"), tuple(rows))
    given = feed.supply.input
    points = [
        "All modules plugged in, power on: the reading is as above.",
        *(
            f"At the header furthest from the supply: {volts(give.voltage)} within 5% again: ______"
            for give in feed.supply.gives
        ),
        (
            "After 15 minutes: the same readings, nothing smells, nothing is too warm to leave a finger on "
            "(adapter in its own case only)."
        ),
        "What you read goes into the spec as 'measured', with the day: the next sheet is the better for it.",
    ]
    if given is not None and given.current is not None:
        points.insert(1, f"It is never above what the adapter is rated for: {milliamps(given.current.value)}.")
    yield Points(tuple(points), boxes=True)

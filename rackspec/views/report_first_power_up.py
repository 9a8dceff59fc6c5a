"""The sheet for the first power-up: in: a rack, out: what to do at the bench in order, values to expect, boxes to tick."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR
from rackspec.language.quantity import show_hp
from rackspec.model.rack import Feed, Panel
from rackspec.physics.adapter import needed_input
from rackspec.physics.currents import Consumer, load_on
from rackspec.rules.loads import by_voltage, fed_panels
from rackspec.rules.registry import load_rules
from rackspec.views.document import Block, Drawing, Heading, Paragraph, Points, Table
from rackspec.views.reported import Reported, milliamps, open_findings, stage_word, volts, whole_up

WITHIN = Fraction(5)
"""Per cent that a voltage may be off before it is looked into (common practice, no source)."""
IDLE = Fraction(150)
"""mA; a supply without any load takes 30 to 150 mA from its adapter (common practice, no source)."""
STOP = Fraction(6, 5)
"""What a reading may be above the worst sum: meters differ, and modules draw a fifth more when they start (common practice,
no source)."""
MOST_HEADERS = 40
"""Headers of one bus that get a line each."""

CAUTIONS = (
    "Mains is work for people licensed for it, under the local code. Nothing on this sheet is done on the "
    "mains side of an "
    "adapter or supply; a supply with mains inside is released by them before this sheet begins.",
    "A ribbon plugged in the wrong way round destroys modules. Look twice, at both ends, before each switch-on.",
    "Unplug the adapter before each step that connects or disconnects anything, and wait until the lamps of "
    "the supply are dark.",
    "One hand for the probe, the other off the metal; no rings or chains; do not let the probe slip between "
    "two pins.",
    "At a smell, smoke, a hot part, a hum or a value outside of this sheet: unplug the adapter first, think "
    "afterwards.",
    "You need a meter, this sheet and a pencil. A bench supply whose current can be limited, in the place of "
    "the adapter, is the "
    "kinder start if there is one: set it to the adapter's voltage and its limit to 'stop above' of the line "
    "you are at.",
)
PIN_NOTE = (
    "Which pin carries what is common practice, no source: look at the marks on your own boards and at their "
    "papers, and where "
    "they differ, they are right and this sheet is not. Without marks, the meter decides."
)
TEN = (
    "10 pins, seen from above          16 pins, seen from above",
    "",
    "stripe >  [ -12V ][ -12V ]        stripe >  [ -12V ][ -12V ]",
    "          [ ground][ground]                 [ ground][ground]",
    "          [ ground][ground]                 [ ground][ground]",
    "          [ ground][ground]                 [ ground][ground]",
    "          [ +12V ][ +12V ]                  [ +12V ][ +12V ]",
    "                                            [  +5V ][  +5V ]",
    "                                            [ control lines ]",
    "                                            [ control lines ]",
)


class Step(NamedTuple):
    """What all modules up to here draw from the adapter beyond the supply itself, in mA, and what is not known of it."""

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
    if unsettled(reported):
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
        yield from one_by_one(reported, feed)
        yield from together(reported, feed)


def unsettled(reported: Reported) -> bool:
    """Whether an error about power is open."""
    rules = load_rules()
    return any(
        finding.severity == ERROR
        and finding.waiver is None
        and finding.rule in rules
        and rules[finding.rule].subject == "power"
        for finding in reported.findings
    )


def before(feed: Feed) -> Iterator[Block]:
    """What is looked at without power."""
    given = feed.supply.input
    yield Heading(4, "Step 0: without power")
    points = [
        "The adapter is unplugged; every module is unplugged from its ribbon or its header.",
        "Busses and their leads: the stripe at the -12V mark at both ends, no strand sticking out, no screw or "
        "washer underneath.",
        *(
            f"Meter on continuity, one probe on ground, the other on {volts(give.voltage)}: it does not beep, "
            "or only for a moment."
            for give in feed.supply.gives
        ),
    ]
    if given is not None and given.kind == "mains":
        points.insert(
            0,
            "STOP: this supply is fed from mains. Somebody licensed has built, tested and released it: name, "
            "day ______",
        )
    elif given is not None and given.voltage is not None and given.current is not None:
        points.append(
            f"The adapter alone, meter on its plug: {volts(given.voltage.value).lstrip('+')} or a little more, "
            "with the polarity that is "
            "marked at the supply's socket (AC and without polarity only if both labels say AC): ______"
        )
    else:
        points.append(
            "What feeds this supply is not written down: find its label, voltage, current and polarity first: ______"
        )
    yield Points(tuple(points), boxes=True)


def no_modules(feed: Feed) -> Iterator[Block]:
    """Voltages at every header, with no module connected."""
    yield Heading(4, "Step 1: the supply and its busses, no module")
    if not feed.supply.gives:
        yield Paragraph("What this supply gives is not written down: read its label before you go on.")
        return
    yield Paragraph(PIN_NOTE)
    yield Drawing(TEN)
    given = feed.supply.input
    first = ["Plug in the adapter. Nothing smells, hums or gets hot within a minute."]
    if given is None or given.kind == "adapter":
        first.append(
            "What the adapter gives now, a meter in its lead: I0 = ______ mA. 30mA to 150mA are usual (common "
            "practice, no source); "
            f"above {milliamps(IDLE)} stop and find out why."
        )
    yield Points(tuple(first), boxes=True)
    rows = []
    for give in feed.supply.gives:
        low, high = sorted((give.voltage * (100 - WITHIN) / 100, give.voltage * (100 + WITHIN) / 100), key=abs)
        where = (
            "at the striped end"
            if give.voltage < 0
            else "next to ground, at the other end"
            if give.voltage == 12
            else "see the board"
        )
        if give.voltage == 5:
            where = "next to +12V, 16 pins only"
        rows.append(
            (
                volts(give.voltage),
                "ground, in the middle",
                where,
                f"{volts(low)} to {volts(high)}",
                milliamps(give.current.value),
            )
        )
    yield Paragraph(
        "What the meter shows, black probe on ground, within 5% (common practice, no source). A wrong sign is "
        "a wrong pin: stop."
    )
    yield Table(("voltage", "black probe", "red probe", "shows", "rated"), tuple(rows), frozenset((4,)))
    names = [(bus.name, bus.headers, bus.header_pins) for bus in feed.buses]
    lines = []
    for name, number, pins in names or [(feed.name, feed.supply.headers, feed.supply.header_pins)]:
        boxes = ["-" if give.voltage == 5 and pins == 10 else "[ ] ______" for give in feed.supply.gives]
        if number is None or number > MOST_HEADERS:
            lines.append((f"{name}, each header", *boxes))
            continue
        lines += [(f"{name}, header {index + 1}", *boxes) for index in range(number)]
    yield Paragraph("Every header, every voltage. Then unplug the adapter.")
    yield Table(("at", *(volts(give.voltage) for give in feed.supply.gives)), tuple(lines))


def order_of(feed: Feed, stage: int) -> list[Panel]:
    """The modules of a stage in the order in which they are plugged in: by row, from left to right; those first known come first."""
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
    yield Paragraph(
        "For each line: adapter out; plug in this module, beside those that have passed; look at the stripe at "
        "both ends; adapter "
        "in; read; tick. 'Adds' is what this module alone should add, 'adapter' what the adapter should give "
        "now, with I0 from "
        "step 1. Above 'stop above' unplug at once: that is every value at its bad end and a fifth more "
        "(common practice, no "
        "source). Unplug as well when a module adds twice what it should, or when a voltage at a free header "
        "leaves its range."
    )
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
    """Everything at once."""
    yield Heading(4, "Step 3: all together")
    rows = []
    for stage in reported.stages:
        expected, most = expected_text(step(reported, feed, fed_panels(feed, stage)), feed)
        rows.append((f"from {stage_word(reported, stage)}", expected, most, "______"))
    yield Table(("when", "adapter", "stop above", "read"), tuple(rows))
    given = feed.supply.input
    points = [
        "All modules plugged in, adapter in: the reading is as above.",
        *(
            f"At the header furthest from the supply: {volts(give.voltage)} within 5% again: ______"
            for give in feed.supply.gives
        ),
        "After 15 minutes: the same readings, nothing smells, nothing is too warm to leave a finger on "
        "(adapter in its own case only).",
        "What you read goes into the spec as 'measured', with the day: the next sheet is the better for it.",
    ]
    if given is not None and given.current is not None:
        points.insert(1, f"It is never above what the adapter is rated for: {milliamps(given.current.value)}.")
    yield Points(tuple(points), boxes=True)

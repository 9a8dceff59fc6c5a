"""The sheet about power: in: a rack, out: for each supply its currents by stage, who draws, headers, adapter."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.language.quantity import plain_number, show_hp
from rackspec.language.units import HP
from rackspec.model.house import House
from rackspec.model.known import TRUST, Known
from rackspec.model.rack import Feed
from rackspec.physics.adapter import needed_input
from rackspec.physics.currents import LEAST_BAND, Consumer, Load, load_on, usable
from rackspec.rules.adapter import output_of
from rackspec.rules.loads import by_voltage, consumers_at, fed_panels
from rackspec.views.document import Block, Heading, Paragraph, Table
from rackspec.views.report_measure import measure
from rackspec.views.reported import (
    POWER_CAUTION,
    Reported,
    how_known,
    milliamps,
    open_findings,
    origin,
    share,
    stage_word,
    tenths_up,
    there_word,
    volts,
    whole_up,
)


class Listed(NamedTuple):
    """What draws: its name, when it is there, what it draws by voltage (None: not known), width (mm), how many."""

    name: str
    there: str
    draws: dict[Fraction, Known] | None
    width: Fraction | None
    pieces: int


def power(reported: Reported) -> Iterator[Block]:
    """The whole sheet."""
    rack = reported.seen.rack
    yield Heading(2, "Power")
    yield Paragraph(POWER_CAUTION)
    yield from open_findings(reported, ("power",))
    if not rack.feeds:
        yield Paragraph("No supply feeds this rack, as far as is written down: nothing can be said about power.")
    for row in rack.unfed:
        yield Paragraph(f"Row {row.name}: nobody says what feeds it; what it draws is in none of these sums.")
    for feed in rack.feeds:
        yield Heading(3, f"Supply {feed.name}")
        yield Paragraph(feed_text(feed))
        yield from currents(reported, feed)
        yield from consumers(reported, feed)
        yield from headers(reported, feed)
        yield from adapter(reported, feed)
    yield from measure(reported, "power")


def feed_text(feed: Feed) -> str:
    """What a supply is, where it stands and what hangs on it."""
    where = "It stands in no row."
    if feed.panel is not None:
        at = f" at {show_hp(feed.panel.start)}" if feed.panel.start is not None else ""
        where = f"It stands in row {feed.panel.row}{at}."
    rows = ", ".join(row.name for row in feed.rows) or "none"
    over = f" over {', '.join(bus.name for bus in feed.buses)}" if feed.buses else ""
    assumed = " Rows that name no source are taken to hang on it, because there is no other." if feed.assumed else ""
    return f"{where} Rows fed from it{over}: {rows}.{assumed}"


def voltages_of(reported: Reported, feed: Feed) -> list[Fraction]:
    """All voltages that a supply gives or that are drawn from it, from the highest down."""
    drawn = {
        voltage
        for stage in reported.stages
        for one in consumers_at(reported.look, feed, stage)
        for voltage in one.draws or ()
    }
    return sorted({*(give.voltage for give in feed.supply.gives), *drawn}, reverse=True)


def worst_lacks(load: Load, consumers_there: list[Consumer]) -> bool:
    """Whether even the worst sum lacks something: a consumer without a draw and without a width."""
    return any(one.name in load.unknown and one.width is None for one in consumers_there)


def currents(reported: Reported, feed: Feed) -> Iterator[Block]:
    """Currents by stage and voltage against rating and limit."""
    look = reported.look
    spare = look.house.limit("spare current")
    rated = {give.voltage: give.current for give in feed.supply.gives}
    rows = []
    for stage in reported.stages:
        there = consumers_at(look, feed, stage)
        for voltage in voltages_of(reported, feed):
            load = load_on(voltage, there, look.house)
            least = "at least " if load.at_least else ""
            worst = ("at least " if worst_lacks(load, there) else "") + milliamps(load.worst)
            have = rated.get(voltage)
            if have is None and not load.worst and not load.at_least:
                continue
            left, to_limit = "", ""
            if have is not None:
                most = "at most " if load.at_least else ""
                left = most + milliamps(have.value - load.nominal)
                limit = usable(have.low, spare.value)
                to_limit = ("at most " if worst_lacks(load, there) else "") + milliamps(limit - load.worst)
            rows.append(
                (
                    f"from {stage_word(reported, stage)}",
                    volts(voltage),
                    least + milliamps(load.nominal),
                    worst,
                    milliamps(have.value) if have is not None else "not given",
                    left,
                    to_limit,
                )
            )
    if not rows:
        yield Paragraph("Nobody says what it gives, and nothing is known to be drawn from it.")
        return
    yield Paragraph(
        f"Limit: {spare.quantity.text} of each rating is to stay spare ({spare.origin}). 'To the limit' is what "
        "is left to it at the worst; below zero the limit is broken. What nobody stated counts at the worst "
        "only, with a band of common practice."
    )
    head = ("when", "voltage", "drawn", "at the worst", "rated", "left", "to the limit")
    yield Table(head, tuple(rows), frozenset((2, 3, 4, 5, 6)))


def all_drawing(reported: Reported, feed: Feed) -> list[Listed]:
    """Everything that ever draws from a feed, wishes included where the rack has this feed only."""
    found = []
    for row in feed.rows:
        for panel in row.panels:
            if panel.what != "module" or panel.part is None or (panel.part.draws is None and panel.part.spoiled):
                continue
            width = panel.width.value if panel.width is not None else None
            there = there_word(reported, panel.since, panel.until)
            found.append(Listed(panel.name, there, by_voltage(panel.part.draws), width, 1))
    if len(reported.seen.rack.feeds) == 1:
        for wish in reported.seen.rack.wishes:
            if wish.draws is None and wish.spoiled:
                continue
            width = wish.width.value if wish.width is not None else None
            there = f"wished, {there_word(reported, wish.since, None)}"
            found.append(Listed(wish.name, there, by_voltage(wish.draws), width, wish.pieces))
    return found


def power_of(one: Listed) -> Fraction:
    """What something draws in mW, as far as is known."""
    return (
        sum((abs(voltage) * current.value for voltage, current in (one.draws or {}).items()), Fraction(0)) * one.pieces
    )


def band_text(one: Listed, voltage: Fraction, house: House) -> str:
    """What common practice says about a draw that nobody stated."""
    limit = house.limits.get(f"assume draws {volts(voltage)}")
    if limit is None:
        return "-"
    if one.width is None:
        return "not known"
    most = max(limit.quantity.high * one.width / HP, LEAST_BAND)
    return f"not known (to {milliamps(most)})"


def consumers(reported: Reported, feed: Feed) -> Iterator[Block]:
    """Who draws what, the largest first."""
    drawing = sorted(all_drawing(reported, feed), key=lambda one: -power_of(one))
    voltages = voltages_of(reported, feed)
    rows, quiet = [], []
    for one in drawing:
        if one.draws == {}:
            quiet.append(one.name)
            continue
        cells = []
        for voltage in voltages:
            current = (one.draws or {}).get(voltage)
            cells.append(
                milliamps(current.value) if current is not None else band_text(one, voltage, reported.seen.house)
            )
        levels = sorted(
            {current.evidence.level for current in (one.draws or {}).values()}, key=lambda level: TRUST[level]
        )
        least = (
            ""
            if one.draws is not None and all(v in one.draws or cells[n] == "-" for n, v in enumerate(voltages))
            else "at least "
        )
        power_text = least + plain_number(tenths_up(power_of(one) / 1000)) + "W" if one.draws else "not known"
        name = one.name if one.pieces == 1 else f"{one.name} (each of {one.pieces})"
        rows.append((name, *cells, power_text, " and ".join(levels) or "not known", one.there))
    if rows:
        yield Paragraph("Who draws from it, the largest first; power is that of all pieces together:")
        head = ("consumer", *(volts(voltage) for voltage in voltages), "power", "how known", "there")
        yield Table(head, tuple(rows), frozenset(range(1, len(voltages) + 2)))
    if quiet:
        yield Paragraph(f"Draw nothing from it: {', '.join(quiet)}.")


def headers(reported: Reported, feed: Feed) -> Iterator[Block]:
    """Power headers needed and there, by stage."""
    counts = [bus.headers for bus in feed.buses] if feed.buses else [feed.supply.headers]
    have = None if any(number is None for number in counts) else sum(number for number in counts if number is not None)
    rows = []
    for stage in reported.stages:
        panels = [panel.part for panel in fed_panels(feed, stage) if panel.part is not None]
        sure = sum(bool(part.draws) for part in panels)
        maybe = sum(part.draws is None for part in panels)
        left = "not known" if have is None else str(have - sure - maybe)
        rows.append(
            (
                f"from {stage_word(reported, stage)}",
                str(sure),
                str(maybe),
                "not known" if have is None else str(have),
                left,
            )
        )
    whose = ", ".join(bus.name for bus in feed.buses) or "the supply itself"
    yield Paragraph(f"Power headers, on {whose}; a wish counts when it is placed:")
    yield Table(("when", "needed", "perhaps", "there", "left"), tuple(rows), frozenset((1, 2, 3, 4)))


def watts(value: Fraction) -> str:
    """A power, rounded up to a tenth."""
    return plain_number(tenths_up(value)) + "W"


def adapter(reported: Reported, feed: Feed) -> Iterator[Block]:
    """What the supply takes from its adapter, by stage."""
    given = feed.supply.input
    if given is not None and given.kind == "mains":
        yield Paragraph(
            "It is fed from mains, inside the rack. What it takes in is not worked out here: mains wiring is "
            "built, tested and released by people licensed for it, under the local code."
        )
        return
    if given is None or given.voltage is None or given.current is None or not given.voltage.low:
        yield Paragraph("What feeds it is not known yet, so nothing can be said about its adapter.")
        return
    efficiency = feed.supply.efficiency or reported.seen.house.limit("assume efficiency").as_known(feed.supply.place)
    if efficiency.low <= 0:
        return
    rows = []
    for stage in reported.stages:
        nominal, worst = output_of(reported.look, feed, stage)
        need = needed_input(nominal, efficiency.value, given.voltage.value)
        most = needed_input(worst, efficiency.low, given.voltage.low)
        loads = [
            load_on(give.voltage, consumers_at(reported.look, feed, stage), reported.seen.house)
            for give in feed.supply.gives
        ]
        least, left = ("at least ", "at most ") if any(load.at_least for load in loads) else ("", "")
        rows.append(
            (
                f"from {stage_word(reported, stage)}",
                least + watts(nominal),
                least + watts(nominal * 100 / efficiency.value),
                least + milliamps(whole_up(need)),
                milliamps(whole_up(most)),
                left + milliamps(given.current.value - whole_up(need)),
            )
        )
    how = (
        f"{how_known(efficiency)}"
        if feed.supply.efficiency is not None
        else f"{share(efficiency.low)}..{share(efficiency.high)}, assumed"
    )
    yield Paragraph(
        f"Adapter: {volts(given.voltage.value)} {milliamps(given.current.value)} ({origin(given.current)}); "
        f"efficiency {how}. Power in is power out divided by efficiency; what the supply takes without load "
        "comes on top."
    )
    yield Table(
        ("when", "gives", "takes in", "at the input", "at the worst", "left"), tuple(rows), frozenset((1, 2, 3, 4, 5))
    )

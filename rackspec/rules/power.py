"""Power: in: a rack, out: findings about what is drawn, what can be given, and headers.

All of this is the low-voltage side. Where mains comes near, the finding says so and defers to licensed practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import ERROR, WARNING, Finding
from rackspec.language.quantity import show
from rackspec.model.known import rests_on
from rackspec.model.parts import Draw
from rackspec.model.rack import Bus, Feed, Row
from rackspec.physics.currents import Load, usable
from rackspec.physics.margin import Margin
from rackspec.rules.loads import fed_panels, load_at, worst_stage
from rackspec.rules.registry import Look, NotKnown, Seen, milder, rule, steps_for

METER = "look in the maker's sheet, or measure with a meter in the supply lead"


def milliamps(value: Fraction) -> str:
    """A current."""
    return show(value, "current")


def volts(value: Fraction) -> str:
    """A voltage."""
    return show(value, "voltage")


def terms_of(load: Load) -> str:
    """The largest draws of a load as a sum."""
    ordered = sorted(load.terms, key=lambda term: -term[1])
    parts = [milliamps(current) for _, current in ordered[:6]]
    if len(ordered) > 6:
        parts.append(
            f"{milliamps(sum((current for _, current in ordered[6:]), Fraction(0)))} of {len(ordered) - 6} more"
        )
    return " + ".join(parts) or milliamps(Fraction(0))


def largest(load: Load) -> str:
    """The consumer that draws most."""
    return max(load.terms, key=lambda term: term[1])[0] if load.terms else ""


def _inputs(look: Look, load: Load, give: Draw, feed: Feed) -> str:
    text = rests_on("currents", [*load.known, give.current])
    if feed.assumed:
        text += f"; '{feed.name}' taken to feed all rows, being the only one"
    unfed_names = {panel.name for row in look.rack.unfed for panel in row.panels}
    unfed = tuple(name for name in load.unknown if name in unfed_names)
    unstated = tuple(name for name in load.unknown if name not in unfed_names)
    if unstated:
        text += f"; nobody stated the draw of {_listed(unstated)}"
    if unfed:
        text += f"; nobody said what feeds {_listed(unfed)}"
    return text


def _listed(names: tuple[str, ...]) -> str:
    quoted = [f"'{name}'" for name in names[:3]]
    if len(names) > 3:
        quoted.append(f"{len(names) - 3} more")
    return ", ".join(quoted)


@rule("error", "power")
def supply_overloaded(look: Look) -> Iterator[Seen]:
    """More current is drawn on a voltage than the supply is rated for.

    *Why*: the supply gets hot, its voltage sags or it shuts down, often only when the last module is switched on.

    *Bad*:

        module organ {
            width 20HP
            draws 700mA on +12V
        }
        supply brick {
            gives 0.5A on +12V
        }
        rack tray {
            row top {
                length 84HP
                power from brick
                at 0HP organ
            }
        }

    *Good*:

        module organ {
            width 20HP
            draws 300mA on +12V
        }
        supply brick {
            gives 0.5A on +12V
        }
        rack tray {
            row top {
                length 84HP
                power from brick
                at 0HP organ
            }
        }

    *Source*: Kirchhoff's current law. Draws that nobody stated count in the worst case only, with a band of common
    practice for each HP of panel.
    """
    yield from _unknown_power(look)
    for feed in look.rack.feeds:
        for give in feed.supply.gives:

            def overload(load: Load, give: Draw = give) -> tuple[bool, bool]:
                return load.nominal > give.current.value, load.worst > give.current.low

            found = worst_stage(look, feed, give.voltage, overload)
            if found is None:
                continue
            load, stage, nominal = found
            total, rated = (load.nominal, give.current.value) if nominal else (load.worst, give.current.low)
            over = total - rated
            guessed = load.nominal - load.guessed <= rated if nominal else bool(load.unknown or load.guessed)
            worst = "" if nominal else " at the worst"
            when = f" {look.rack.stage_name(stage)}" if stage else ""
            known_sum = f"{terms_of(load)} = {milliamps(load.nominal)}, and " if len(load.terms) > 1 else ""
            worst_sum = f"known {milliamps(load.nominal)}, at the worst {milliamps(load.worst)}, and "
            sum_text = known_sum if nominal else worst_sum
            yield Finding(
                "supply-overloaded",
                milder(ERROR, steps_for(nominal, guessed)),
                f"'{feed.name}' is overloaded on {volts(give.voltage)} by {milliamps(over)}{when}{worst}",
                feed.place,
                others=(
                    give.current.place.labelled(f"gives {milliamps(give.current.value)} on {volts(give.voltage)}"),
                ),
                sum=f"{sum_text}{milliamps(total)} - {milliamps(rated)} = {milliamps(over)}",
                remedy=_unload(look, feed, load, give, over, not nominal and bool(load.unknown)),
                rests_on=_inputs(look, load, give, feed),
                names=(look.rack.full(feed.name),),
            )


def _unload(look: Look, feed: Feed, load: Load, give: Draw, over: Fraction, measure: bool) -> str:
    """What to measure first, or what to take off: the smallest consumer that is enough, or how much has to go."""
    for other in look.rack.feeds:
        if other is feed:
            continue
        for there in other.supply.gives:
            if there.voltage == give.voltage:
                return f"feed one of its rows from '{other.name}', or take off {milliamps(over)}"
    if measure:
        draws = "draws" if len(load.unknown) == 1 else "draw"
        return (
            f"measure what {_listed(load.unknown)} {draws}, and write it down ('draws 40mA on {volts(give.voltage)}')"
        )
    enough = sorted((term for term in load.terms if term[1] >= over), key=lambda term: term[1])
    if enough:
        return f"take '{enough[0][0]}' ({milliamps(enough[0][1])}) off it, or choose a stronger supply"
    return f"take {milliamps(over)} off it, or choose a stronger supply"


def _unknown_power(look: Look) -> Iterator[Seen]:
    """What is not known about draws and ratings."""
    last = len(look.rack.stages) - 1
    for source in look.rack.feeds:
        if not source.supply.gives and not source.supply.spoiled:
            how = "look on its label or in its data sheet ('gives 1.2A on +12V')"
            yield NotKnown(look.rack.full(source.name), "what it gives", how, source.supply.place)
        elif source.supply.headers is None and not source.buses and source.rows:
            yield NotKnown(look.rack.full(source.name), "number of headers", "count them", source.supply.place)
    if len(look.rack.feeds) > 1:
        for wish in look.rack.wishes:
            if wish.draws != () and not wish.spoiled:
                how = "give it a place in a row when it is known; until then its draw counts nowhere"
                yield NotKnown(look.rack.full(wish.name), "which supply will feed it", how, wish.place)
    for row in look.rack.unfed:
        how = "name the bus or supply ('power from …')"
        for _ in (panel for panel in row.panels if panel.part and panel.part.draws != ()):  # so many checks hang on it
            yield NotKnown(look.rack.full(row.name), "what feeds the row", how, row.place)
    fed = {id(panel): feed for feed in look.rack.feeds for panel in fed_panels(feed, last)}
    for panel in look.rack.panels():
        part = panel.part
        if panel.what != "module" or part is None or part.spoiled:
            continue
        feed = fed.get(id(panel))
        if part.draws is None:
            for _ in range(2 if feed else 1):  # more hangs on it where a supply is held against it
                yield NotKnown(look.rack.full(panel.name), "current", METER, part.place)
        elif part.draws and feed is not None:
            stated = {draw.voltage for draw in part.draws}
            for give in feed.supply.gives:
                if give.voltage not in stated and f"assume draws {volts(give.voltage)}" in look.house.limits:
                    how = f"{METER}; if it draws nothing there, write 'draws 0mA on {volts(give.voltage)}'"
                    yield NotKnown(look.rack.full(panel.name), f"current on {volts(give.voltage)}", how, part.place)


@rule("warning", "power")
def spare_too_thin(look: Look) -> Iterator[Seen]:
    """Less current is left on a voltage than the house wants to keep spare.

    *Why*: modules draw more when they start and when they are warm, and the next module is always bought. 20 % of 1.2 A
    leaves 0.96 A to use.

    *Bad*:

        module organ {
            width 20HP
            draws 450mA on +12V
        }
        supply brick {
            gives 0.5A on +12V
        }
        rack tray {
            row top {
                length 84HP
                power from brick
                at 0HP organ
            }
        }

    *Good*:

        module organ {
            width 20HP
            draws 400mA on +12V
        }
        supply brick {
            gives 0.5A on +12V
        }
        rack tray {
            row top {
                length 84HP
                power from brick
                at 0HP organ
            }
        }

    *Source*: common practice, no source; ``spare current`` of the house sets it, without a house it is 20 %.
    """
    spare = look.house.limit("spare current")
    for feed in look.rack.feeds:
        for give in feed.supply.gives:
            limit = usable(give.current.value, spare.value)
            last = len(look.rack.stages) - 1
            load = worst_load(look, feed, give.voltage, last)
            if load.terms or load.unknown:
                what = f"{look.rack.full(feed.name)}: {volts(give.voltage)}" + (" at least" if load.at_least else "")
                yield Margin(what, load.nominal, give.current.value, "mA", _inputs(look, load, give, feed))

            def thin(load: Load, give: Draw = give, limit: Fraction = limit) -> tuple[bool, bool]:
                rated = give.current
                if load.nominal > rated.value or load.worst > rated.low:
                    return load.nominal > limit and load.nominal <= rated.value and load.worst <= rated.low, False
                return load.nominal > limit, load.worst > usable(rated.low, spare.value)

            found = worst_stage(look, feed, give.voltage, thin)
            if found is None:
                continue
            load, stage, nominal = found
            total, rated = (load.nominal, give.current.value) if nominal else (load.worst, give.current.low)
            left = rated - total
            share = spare.quantity.text
            worst = "" if nominal else " at the worst"
            when = f" {look.rack.stage_name(stage)}" if stage else ""
            keep = rated - usable(rated, spare.value)
            guessed = load.nominal - load.guessed <= limit if nominal else bool(load.unknown or load.guessed)
            yield Finding(
                "spare-too-thin",
                milder(WARNING, steps_for(nominal, guessed)),
                (
                    f"'{feed.name}' has {milliamps(left)} left on {volts(give.voltage)}{when}{worst}; "
                    f"{milliamps(keep)} ({share}) should stay spare"
                ),
                feed.place,
                others=(
                    give.current.place.labelled(f"gives {milliamps(give.current.value)} on {volts(give.voltage)}"),
                ),
                sum=(
                    f"{milliamps(rated)} - {milliamps(total)} = {milliamps(left)}, "
                    f"and {share} of {milliamps(rated)} is {milliamps(keep)}"
                ),
                remedy=_unload(look, feed, load, give, keep - left, not nominal and bool(load.unknown)),
                rests_on=_inputs(look, load, give, feed) + f"; spare current from {spare.origin}",
                names=(look.rack.full(feed.name),),
            )


def worst_load(look: Look, feed: Feed, voltage: Fraction, stage: int) -> Load:
    """The load of a feed on one voltage at a stage."""
    return load_at(look, feed, stage, voltage)


@rule("error", "power")
def voltage_missing(look: Look) -> Iterator[Seen]:
    """A module draws on a voltage that its supply does not give.

    *Why*: the module stays dark, or a part of it does; often it is the +5 V of a digital module.

    *Bad*:

        module sampler {
            width 12HP
            draws 90mA on +5V
        }
        supply brick {
            gives 1A on +12V
            gives 1A on -12V
        }
        rack tray {
            row top {
                length 84HP
                power from brick
                at 0HP sampler
            }
        }

    *Good*:

        module sampler {
            width 12HP
            draws 90mA on +5V
        }
        supply brick {
            gives 1A on +12V
            gives 1A on -12V
            gives 0.5A on +5V
        }
        rack tray {
            row top {
                length 84HP
                power from brick
                at 0HP sampler
            }
        }

    *Source*: arithmetic on what maker and supply state.
    """
    for feed in look.rack.feeds:
        if not feed.supply.gives or feed.supply.spoiled:
            continue
        given = {give.voltage for give in feed.supply.gives}
        for row in feed.rows:
            for panel in row.panels:
                if panel.part is None or panel.what != "module":
                    continue
                for draw in panel.part.draws or ():
                    if draw.voltage in given or draw.current.high == 0:
                        continue
                    yield Finding(
                        "voltage-missing",
                        ERROR,
                        f"'{panel.name}' draws {draw.current.quantity.text} on {volts(draw.voltage)}, "
                        f"which '{feed.name}' does not give",
                        panel.place,
                        others=(
                            draw.current.place.labelled("drawn here"),
                            feed.supply.place.labelled(
                                f"gives {', '.join(volts(v) for v in sorted(given, reverse=True))}"
                            ),
                        ),
                        remedy=_other_source(look, feed, draw.voltage),
                        rests_on=rests_on("current", [draw.current]),
                        names=(look.rack.full(panel.name), look.rack.full(feed.name)),
                    )


def _other_source(look: Look, feed: Feed, voltage: Fraction) -> str:
    for other in look.rack.feeds:
        if other is not feed and any(give.voltage == voltage for give in other.supply.gives):
            return f"put it into a row that '{other.name}' feeds, which gives {volts(voltage)}"
    return f"choose a supply that gives {volts(voltage)}, or an adapter for it beside the supply"


@rule("error", "power")
def headers_short(look: Look) -> Iterator[Seen]:
    """More modules need a power header than there are.

    *Why*: the last module stays without power until another bus is bought, and a cable that is split by hand is a
    common cause of a module plugged in the wrong way round.

    *Bad*:

        module osc {
            width 8HP
            draws 30mA on +12V
        }
        supply brick {
            gives 1A on +12V
            headers 1
        }
        rack tray {
            row top {
                length 84HP
                power from brick
                at 0HP osc as one
                next osc as two
            }
        }

    *Good*:

        module osc {
            width 8HP
            draws 30mA on +12V
        }
        supply brick {
            gives 1A on +12V
            headers 2
        }
        rack tray {
            row top {
                length 84HP
                power from brick
                at 0HP osc as one
                next osc as two
            }
        }

    *Source*: counting; one module takes one header.
    """
    for feed, buses, rows in _sockets(look):
        counts = [bus.headers for bus in buses] if buses else [feed.supply.headers]
        if any(count is None for count in counts):
            for bus in buses:
                if bus.headers is None and not bus.spoiled:
                    yield NotKnown(
                        look.rack.full(bus.name), "number of headers", "count them ('headers 12')", bus.place
                    )
            continue
        have = sum(count for count in counts if count is not None)
        for stage in range(len(look.rack.stages)):
            here = fed_panels(feed._replace(rows=rows), stage)
            sure = [panel for panel in here if panel.part is not None and panel.part.draws]
            maybe = [panel for panel in here if panel.part is not None and panel.part.draws is None]
            if len(sure) + len(maybe) <= have:
                continue
            nominal = len(sure) > have
            need = len(sure) if nominal else len(sure) + len(maybe)
            when = f" {look.rack.stage_name(stage)}" if stage else ""
            where = f"bus '{buses[0].name}'" if len(buses) == 1 else f"'{feed.name}'"
            worst = (
                ""
                if nominal
                else f", if {_listed(tuple(panel.name for panel in maybe))} need{'s' if len(maybe) == 1 else ''} one"
            )
            place = buses[0].place if buses else feed.place
            yield Finding(
                "headers-short",
                milder(ERROR, steps_for(nominal, False)),
                (
                    f"{where} has {have} power header{'s' if have != 1 else ''} "
                    f"for {need} module{'s' if need != 1 else ''}{when}{worst}"
                ),
                place,
                others=tuple(
                    panel.place.labelled("the first without one") for panel in (sure + maybe)[have : have + 1]
                ),
                sum=f"{need} - {have} = {need - have}",
                remedy=f"add a bus with {need - have} more header{'s' if need - have != 1 else ''}, or a longer one",
                rests_on="headers and draws as written",
                names=(look.rack.full(buses[0].name if buses else feed.name),),
            )
            break


def _sockets(look: Look) -> Iterator[tuple[Feed, tuple[Bus, ...], tuple[Row, ...]]]:
    """Headers and the rows that are plugged into them: each bus with its rows, and a supply with those on it directly.

    Where a row does not say which bus it hangs on, all busses of its supply count together.
    """
    for feed in look.rack.feeds:
        named = {bus.name for bus in feed.buses}
        if not feed.buses or any(not row.power for row in feed.rows):
            yield feed, feed.buses, feed.rows
            continue
        for bus in feed.buses:
            yield feed, (bus,), tuple(row for row in feed.rows if row.power == bus.name)
        direct = tuple(row for row in feed.rows if row.power not in named)
        if direct:
            yield feed, (), direct


@rule("warning", "power")
def mains_inside(look: Look) -> Iterator[Seen]:
    """A supply that is fed from mains stands inside the rack.

    *Why*: mains voltage kills. Wiring it needs earthing, strain relief, a fuse and covers that this program does not
    check; a supply fed by an adapter keeps mains outside of the case.

    *Bad*:

        supply brick {
            width 10HP
            gives 1A on +12V
            input mains
        }
        rack tray {
            row top {
                length 84HP
                at 0HP brick
            }
        }

    *Good*:

        supply brick {
            width 10HP
            gives 1A on +12V
            input adapter 15V 2A
        }
        rack tray {
            row top {
                length 84HP
                at 0HP brick
            }
        }

    *Source*: common practice, no source; local codes and licensed practice decide.
    """
    for feed in look.rack.feeds:
        given = feed.supply.input
        if given is None or given.kind != "mains":
            continue
        yield Finding(
            "mains-inside",
            WARNING,
            f"'{feed.name}' brings mains voltage into the rack, and mains can kill",
            feed.place,
            others=(given.place.labelled("fed from mains"),),
            remedy=(
                "choose a supply fed by an adapter, or have the mains side built and tested by somebody licensed for it"
            ),
            rests_on="its input as written; local codes and licensed practice decide",
            names=(look.rack.full(feed.name),),
        )

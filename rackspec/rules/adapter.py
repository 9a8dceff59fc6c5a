"""The adapter in front of a supply: in: a rack, out: findings about adapters that cannot feed what hangs on them.

An adapter is bought whole, with its mains side closed. Opening it is work for people licensed for it.
"""

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import ERROR, Finding
from rackspec.language.quantity import plain_number, show
from rackspec.model.known import rests_on
from rackspec.model.rack import Feed
from rackspec.physics.adapter import needed_input
from rackspec.physics.margin import Margin
from rackspec.rules.power import worst_load
from rackspec.rules.registry import Look, NotKnown, Seen, milder, rule, steps_for


def watts(value: Fraction) -> str:
    """A power."""
    return plain_number(value) + "W"


def output_of(look: Look, feed: Feed, stage: int) -> tuple[Fraction, Fraction]:
    """What a supply gives at a stage in watts: nominal and at the worst."""
    nominal = worst = Fraction(0)
    for give in feed.supply.gives:
        load = worst_load(look, feed, give.voltage, stage)
        nominal += abs(give.voltage) * load.nominal / 1000
        worst += abs(give.voltage) * load.worst / 1000
    return nominal, worst


@rule("error", "power")
def adapter_too_small(look: Look) -> Iterator[Seen]:
    """The adapter cannot give what the supply needs for what hangs on it.

    *Why*: an adapter that is asked for too much gets hot or switches off, at the worst moment. A supply takes in more
    than it gives on: what is lost in between is its efficiency.

    *Bad*:

        module organ {
            width 20HP
            draws 800mA on +12V
            draws 0mA on -12V
        }
        supply brick {
            gives 1.2A on +12V
            gives 1.2A on -12V
            input adapter 15V 0.7A
            efficiency 80%
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
            draws 800mA on +12V
            draws 0mA on -12V
        }
        supply brick {
            gives 1.2A on +12V
            gives 1.2A on -12V
            input adapter 15V 2A
            efficiency 80%
        }
        rack tray {
            row top {
                length 84HP
                power from brick
                at 0HP organ
            }
        }

    *Source*: power in = power out / efficiency; an efficiency that nobody stated is taken as 70 to 88 % (common
    practice, no source).
    """
    for feed in look.rack.feeds:
        given = feed.supply.input
        if given is None or given.kind != "adapter" or given.voltage is None or given.current is None:
            if given is None and not feed.supply.spoiled and feed.rows:
                how = "look at the label of its adapter ('input adapter 15V 3A')"
                yield NotKnown(look.rack.full(feed.name), "what feeds it", how, feed.supply.place)
            continue
        efficiency = feed.supply.efficiency or look.house.limit("assume efficiency").as_known(feed.supply.place)
        last = len(look.rack.stages) - 1
        rated = given.current.value
        inputs = [given.voltage, given.current, efficiency]
        for stage in range(last + 1):
            out_nominal, out_worst = output_of(look, feed, stage)
            if not given.voltage.value or not efficiency.low:
                break
            nominal = needed_input(out_nominal, efficiency.value, given.voltage.value)
            worst = needed_input(out_worst, efficiency.low, given.voltage.low)
            if nominal <= rated and worst <= given.current.low:
                if stage == last and out_nominal:
                    used, have = (worst, given.current.low) if efficiency.is_guess else (nominal, rated)
                    what = f"{look.rack.full(feed.name)}: adapter"
                    what += ", efficiency assumed" if feed.supply.efficiency is None else ""
                    yield Margin(what, used, have, "mA", rests_on("adapter", inputs))
                continue
            is_nominal = nominal > rated
            need, have = (nominal, rated) if is_nominal else (worst, given.current.low)
            out, share = (out_nominal, efficiency.value) if is_nominal else (out_worst, efficiency.low)
            when = f" {look.rack.stage_name(stage)}" if stage else ""
            at_worst = "" if is_nominal else " at the worst"
            need = tenth_up(need)
            short = show(need - have, "current")
            yield Finding(
                "adapter-too-small",
                milder(ERROR, steps_for(is_nominal, efficiency.is_guess)),
                f"the adapter of '{feed.name}' is {short} too small{when}{at_worst}",
                feed.place,
                others=(given.place.labelled(f"{show(given.voltage.value, 'voltage')} {show(rated, 'current')}"),),
                sum=(
                    f"{watts(out)} out at {plain_number(share)}% need {watts(out * 100 / share)} in, at "
                    f"{show(given.voltage.value, 'voltage')} {show(need, 'current')}, "
                    f"and it gives {show(have, 'current')}"
                ),
                remedy=f"get an adapter of {show(given.voltage.value, 'voltage')} and at least {_round_up(need)}",
                rests_on=rests_on("adapter and efficiency", inputs),
                names=(look.rack.full(feed.name),),
            )
            break


def tenth_up(need: Fraction) -> Fraction:
    """A current in mA, rounded up to a tenth."""
    tenths = need * 10
    return Fraction(-(-tenths.numerator // tenths.denominator), 10)


def _round_up(need: Fraction) -> str:
    """A current in amperes, rounded up to the next half."""
    halves = -(-(need / 500).numerator // (need / 500).denominator)
    return show(Fraction(halves * 500), "current")

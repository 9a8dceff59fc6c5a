"""Power headers: in: a rack, out: findings about plugs that do not belong together or may go in the wrong way round.

A ribbon plugged in the wrong way round destroys modules: every finding here carries that caution.
"""

from collections.abc import Iterator

from rackspec.findings import NOTE, WARNING, Finding, Place
from rackspec.model.rack import Feed
from rackspec.rules.loads import fed_panels
from rackspec.rules.registry import Look, NotKnown, Seen, rule

CAUTION = "check polarity with a meter before the first switch-on, without modules"


@rule("warning", "power")
def header_mismatch(look: Look) -> Iterator[Seen]:
    """A module's header and the header it is plugged into do not belong together.

    *Why*: a header of 10 pins carries +12 V, -12 V and ground; one of 16 pins carries +5 V as well. With the wrong
    ribbon a voltage is missing, or sits on the wrong pin.

    *Bad*:

        module sampler {
            width 12HP
            draws 90mA on +12V
            draws 0mA on -12V
            draws 60mA on +5V
            header 10-pin keyed
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

    *Good*:

        module sampler {
            width 12HP
            draws 90mA on +12V
            draws 0mA on -12V
            draws 60mA on +5V
            header 16-pin keyed
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

    *Source*: common practice, no source: 10 pins carry +12 V, -12 V and ground, 16 pins +5 V as well.
    """
    for feed in look.rack.feeds:
        there = pins_there(feed)
        for row in feed.rows:
            for panel in row.panels:
                part = panel.part
                if panel.what != "module" or part is None or part.header is None or part.spoiled:
                    continue
                names = (look.rack.full(panel.name),)
                five = [draw for draw in part.draws or () if draw.voltage == 5 and draw.current.high > 0]
                if five and part.header.pins == 10:
                    yield Finding(
                        "header-mismatch",
                        WARNING,
                        (
                            f"'{panel.name}' draws {five[0].current.quantity.text} on +5V, "
                            "which its 10-pin header does not carry"
                        ),
                        panel.place,
                        others=(part.header.place.labelled("its header"), five[0].current.place.labelled("drawn here")),
                        sum="10 pins carry +12V, -12V and ground; +5V comes on a header of 16 pins",
                        remedy=f"look at its header again: 16 pins, or no +5V; {CAUTION}",
                        rests_on=f"header {part.header.evidence.level}; pins by common practice",
                        names=names,
                    )
                elif there is not None and part.header.pins != there[0]:
                    yield Finding(
                        "header-mismatch",
                        WARNING,
                        (
                            f"'{panel.name}' has a header of {part.header.pins} pins, "
                            f"'{there[1]}' has headers of {there[0]}"
                        ),
                        panel.place,
                        others=(
                            part.header.place.labelled("its header"),
                            there[2].labelled("the headers it is plugged into"),
                        ),
                        sum=f"{part.header.pins} pins are not {there[0]}",
                        remedy=f"get a ribbon made from {there[0]} to {part.header.pins} pins; {CAUTION}",
                        rests_on=f"header {part.header.evidence.level}",
                        names=names,
                    )


def pins_there(feed: Feed) -> tuple[int, str, Place] | None:
    """The pins of the headers that a feed's modules are plugged into, whose they are, and where that stands."""
    known = {(bus.header_pins, bus.name, bus.place) for bus in feed.buses if bus.header_pins is not None}
    if feed.buses:
        pins = {pins for pins, _, _ in known}
        if len(pins) != 1 or len(known) != len(feed.buses):
            return None
        found = min(known, key=lambda item: item[1])
        return (found[0] or 0, found[1], found[2])
    if feed.supply.header_pins is None:
        return None
    return (feed.supply.header_pins, feed.name, feed.place)


@rule("warning", "power")
def header_unkeyed(look: Look) -> Iterator[Seen]:
    """A power header can be plugged in the wrong way round.

    *Why*: nothing but care keeps the ribbon from being turned, and turned it destroys the module, sometimes its
    neighbours too. A header of which nobody says that it is keyed counts as unkeyed, one step milder.

    *Bad*:

        module osc {
            width 8HP
            draws 30mA on +12V
            draws 30mA on -12V
            header 10-pin unkeyed
        }
        supply brick {
            gives 1A on +12V
            gives 1A on -12V
        }
        rack tray {
            row top {
                length 84HP
                power from brick
                at 0HP osc
            }
        }

    *Good*:

        module osc {
            width 8HP
            draws 30mA on +12V
            draws 30mA on -12V
            header 10-pin keyed
        }
        supply brick {
            gives 1A on +12V
            gives 1A on -12V
        }
        rack tray {
            row top {
                length 84HP
                power from brick
                at 0HP osc
            }
        }

    *Source*: common practice, no source. A guess never turns this off.
    """
    last = len(look.rack.stages) - 1
    for panel in look.rack.panels():
        part = panel.part
        if panel.what != "module" or part is None or part.spoiled or part.draws == ():
            continue
        header = part.header
        if header is None:
            if any(panel in fed_panels(feed, last) for feed in look.rack.feeds):
                how = "look at it: how many pins, and whether the plug goes in one way only ('header 10-pin keyed')"
                yield NotKnown(look.rack.full(panel.name), "its power header", how, part.place)
            continue
        guessed = header.keyed is True and header.evidence.level == "guessed"
        if header.keyed is True and not guessed:
            continue
        sure = header.keyed is False
        yield Finding(
            "header-unkeyed",
            WARNING if sure else NOTE,
            f"the power header of '{panel.name}' is not keyed"
            if sure
            else f"nobody says that the power header of '{panel.name}' is keyed: treat it as unkeyed",
            panel.place,
            others=(header.place.labelled("its header"),),
            remedy=f"mark the ribbon's stripe side on header and plug, and {CAUTION}",
            rests_on=f"header {header.evidence.level}",
            names=(look.rack.full(panel.name),),
        )

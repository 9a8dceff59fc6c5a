"""The supply before the first module: in: a supply and its busses, out: cautions, what to look at, voltages."""

from collections.abc import Iterator
from fractions import Fraction

from rackspec.model.rack import Feed
from rackspec.views.document import Block, Drawing, Heading, Paragraph, Points, Table
from rackspec.views.reported import milliamps, volts

WITHIN = Fraction(5)
"""Per cent that a voltage may be off before it is looked into (common practice, no source)."""
IDLE = Fraction(150)
"""mA; a supply without any load takes 30 to 150 mA from its adapter (common practice, no source)."""
PROBE = {
    Fraction(12): "beside ground, far from the stripe",
    Fraction(5): "beside +12V, on 16 pins only",
    Fraction(-12): "at the striped end",
}
"""Where a voltage is found on a header (common practice, no source)."""
MOST_HEADERS = 40
"""Headers of one bus that get a line each."""

CAUTIONS = (
    (
        "Mains is work for people licensed for it, under the local code. Nothing on this sheet is done on the "
        "mains side of an adapter or supply; a supply with mains inside is released by them before this sheet "
        "begins."
    ),
    "A ribbon plugged in the wrong way round destroys modules. Look twice, at both ends, before each switch-on.",
    (
        "Unplug the adapter before each step that connects or disconnects anything, and wait until the lamps "
        "of the supply are dark."
    ),
    (
        "One hand for the probe, the other off the metal; no rings or chains; do not let the probe slip "
        "between two pins."
    ),
    (
        "At a smell, smoke, a hot part, a hum or a value outside of this sheet: unplug the adapter first, "
        "think afterwards."
    ),
    (
        "You need a meter, this sheet and a pencil. A bench supply whose current can be limited, in the place "
        "of the adapter, is the kinder start if there is one: set it to the adapter's voltage and its limit to "
        "'stop above' of the line you are at."
    ),
)
PIN_NOTE = (
    "Which pin carries what is common practice, no source: look at the marks on your own boards and at their "
    "papers, and where they differ, they are right and this sheet is not. Without marks, the meter decides."
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


def before(feed: Feed) -> Iterator[Block]:
    """What is looked at without power."""
    given = feed.supply.input
    yield Heading(4, "Step 0: without power")
    points = [
        "The power is off, the adapter unplugged; every module is unplugged from its ribbon or its header.",
        (
            "Busses and their leads: the stripe at the -12V mark at both ends, no strand sticking out, no "
            "screw or washer underneath."
        ),
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
            "with the polarity that is marked at the supply's socket (AC and without polarity only if both "
            "labels say AC): ______"
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
        yield Paragraph(
            "What this supply gives is not written down: read its label, and write it down ('gives 1.2A on +12V')."
        )
        return
    yield Paragraph(PIN_NOTE)
    yield Drawing(TEN)
    given = feed.supply.input
    first = ["Plug in the adapter. Nothing smells, hums or gets hot within a minute."]
    if given is not None and given.kind == "mains":
        first = ["Switch on as whoever released it has shown you. Nothing smells, hums or gets hot within a minute."]
    else:
        first.append(
            "What the adapter gives now, a meter in its lead: I0 = ______ mA. 30mA to 150mA are usual (common "
            f"practice, no source); above {milliamps(IDLE)} stop and find out why."
        )
    yield Points(tuple(first), boxes=True)
    rows = []
    for give in feed.supply.gives:
        low, high = sorted((give.voltage * (100 - WITHIN) / 100, give.voltage * (100 + WITHIN) / 100), key=abs)
        where = PROBE.get(give.voltage, "see the marks on the board")
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
    yield Paragraph("Every header, every voltage. Then power off: adapter out, or switched off as shown.")
    yield Table(("at", *(volts(give.voltage) for give in feed.supply.gives)), tuple(lines))

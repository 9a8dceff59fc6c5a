"""House rules and limits: in: the ``house`` block, out: every limit in force, with its value and where it comes from.

Nearest first: the house's line, else the program's own, which is common practice unless a source is named. Nothing that
decides stays hidden: a limit is shown with its origin wherever it decided something.
"""

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from rackspec.findings import SEVERITIES, Place
from rackspec.language.bound import STATED, Block, Evidence
from rackspec.language.quantity import Money, Quantity, exactly, show
from rackspec.model.known import PRACTICE, Known


class Limit(NamedTuple):
    """A limit or band in force: its quantity, where it comes from, the place of the house's line (None: our own)."""

    name: str
    quantity: Quantity
    origin: str
    place: Place | None

    @property
    def value(self) -> Fraction:
        """Nominal value in base units."""
        return self.quantity.value

    def as_known(self, place: Place) -> Known:
        """The band in the place of a value that nobody wrote."""
        return Known(self.quantity, Evidence(PRACTICE, self.origin), place)


def band(low: int, nominal: int, high: int, dimension: str) -> Quantity:
    """A band in base units."""
    text = f"{show(Fraction(low), dimension)}..{show(Fraction(high), dimension)}"
    return Quantity(dimension, Fraction(nominal), Fraction(low), Fraction(high), text)


def plain_count(value: int) -> Quantity:
    """A bare number as a limit."""
    return Quantity("count", Fraction(value), Fraction(value), Fraction(value), str(value))


OWN = {
    "spare current": exactly(Fraction(20), "share"),
    "spare depth": exactly(Fraction(0), "length"),
    "turns least": plain_count(1),
    "turns good": plain_count(3),
    "holes least": plain_count(1),
    "holes good": plain_count(2),
    "edge least": plain_count(1),
    "edge good": plain_count(2),
    "give rails": exactly(Fraction(1), "length"),
    "give sides": exactly(Fraction(2), "length"),
    "give drilling": exactly(Fraction(1, 2), "length"),
    "assume strip-slack": Quantity("length", Fraction(3, 10), Fraction(0), Fraction(3, 5), "0mm..0.6mm"),
    "assume nut-slack": Quantity("length", Fraction(2, 5), Fraction(1, 5), Fraction(1), "0.2mm..1mm"),
    "assume play": Quantity("length", Fraction(1, 2), Fraction(1, 5), Fraction(3, 2), "0.2mm..1.5mm"),
    "old price": plain_count(180),
    "old rate": plain_count(90),
    "assume guess": exactly(Fraction(50), "share"),
    "assume price": exactly(Fraction(10), "share"),
    "assume plug": band(8, 15, 20, "length"),
    "assume depth": band(25, 35, 45, "length"),
    "assume thickness": Quantity("length", Fraction(2), Fraction(3, 2), Fraction(2), "1.5mm..2mm"),
    "assume thread": Quantity("length", Fraction(9, 5), Fraction(8, 5), Fraction(3), "1.6mm..3mm"),
    "assume efficiency": band(70, 75, 88, "share"),
    "assume draws +12V": band(2, 4, 8, "current"),
    "assume draws -12V": band(1, 3, 6, "current"),
}
"""The program's own limits; all of them common practice, no source. Currents are mA for each HP of panel."""

MEANING = {
    "spare current": "share of a supply's rating that stays free",
    "spare depth": "room that stays free behind a module",
    "turns least": "turns of thread without which a screw holds nothing",
    "turns good": "turns of thread that a screw should find",
    "holes least": "diameters between two holes, without which the drill slips over",
    "holes good": "diameters that should be between two holes",
    "edge least": "diameters from a hole to the edge, without which it breaks out",
    "edge good": "diameters that should be from a hole to the edge",
    "give rails": "how far rails can be pushed apart in their end holes",
    "give sides": "how far end screws may pull the side pieces together",
    "give drilling": "how far a hole may be off the mark it was drilled by",
    "assume strip-slack": "whole travel of a strip across its rail",
    "assume nut-slack": "whole travel of a nut across its rail",
    "assume play": "whole travel of a strip along its rail",
    "old price": "days after which a price is old",
    "old rate": "days after which a rate of exchange is old",
    "assume guess": "how far a guess may be off",
    "assume price": "how far an old price may be off",
    "assume plug": "plug and cable behind a module",
    "assume depth": "depth of a module",
    "assume thickness": "thickness of a metal panel",
    "assume thread": "length of thread in an insert",
    "assume efficiency": "share of its input that a supply gives on",
    "assume draws +12V": "current on +12 V, for each HP of panel",
    "assume draws -12V": "current on -12 V, for each HP of panel",
}
"""What each limit says."""


class House(NamedTuple):
    """What holds for every rack of a root."""

    limits: Mapping[str, Limit]
    flags: Mapping[str, tuple[str, Place]]
    fail_at: str
    currency: str
    rates: Mapping[str, Fraction]
    place: Place | None
    lines: Mapping[str, Place] = MappingProxyType({})
    """Where its other lines stand: ``fail-at``, ``currency``, and ``rate EUR`` for each rate."""
    rated: Mapping[str, Evidence] = MappingProxyType({})
    """How each rate is known, by currency."""

    def limit(self, name: str) -> Limit:
        """The limit in force under a name of OWN."""
        return self.limits[name]


NO_HOUSE = House(
    MappingProxyType({name: Limit(name, quantity, "common practice", None) for name, quantity in OWN.items()}),
    MappingProxyType({}),
    "",
    "",
    MappingProxyType({}),
    None,
)


BANDS = tuple(dict.fromkeys(name.split()[1] for name in OWN if name.split()[0] in ("spare", "assume", "give")))
"""The words behind ``spare``, ``assume`` and ``give``."""


def volts(value: Fraction) -> str:
    """A voltage as part of a limit's name."""
    return show(value, "voltage")


def make_house(block: Block | None) -> House:
    """The house out of its block; without one, the program's own limits."""
    if block is None:
        return NO_HOUSE
    limits = dict(NO_HOUSE.limits)
    for word in ("spare", "assume", "give"):
        for fact in block.all(word):
            for key in BANDS:
                value = fact.bound.values.get(key)
                if value is None or not isinstance(value.data, Quantity):
                    continue
                on = fact.bound.values.get("on")
                name = f"{word} {key}" + (f" {volts(on.data.value)}" if on is not None and on.data is not None else "")
                limits[name] = Limit(name, value.data, "the house", fact.place(key))
    for word in ("turns", "holes", "edge", "old"):
        for fact in block.all(word):
            name = f"{word} {fact.bound.flags[0] if fact.bound.flags else ''}"
            value = fact.bound.values.get("count")
            if value is not None and value.data is not None:
                limits[name] = Limit(name, plain_count(int(value.data)), "the house", fact.place("count"))
    flags = {
        fact.text("flag"): (fact.bound.flags[-1], fact.place("flag"))
        for fact in block.all("flag")
        if fact.bound.flags and fact.bound.flags[-1] in SEVERITIES and fact.text("flag")
    }
    fail_at = [fact.bound.flags[0] for fact in block.all("fail-at") if fact.bound.flags]
    currency = [fact.text("currency") for fact in block.all("currency")]
    return House(
        MappingProxyType(limits),
        MappingProxyType(flags),
        fail_at[0] if fail_at else "",
        currency[0] if currency else "",
        MappingProxyType(make_rates(block)),
        block.header.place("") if block.header else None,
        MappingProxyType(places_of(block)),
        MappingProxyType(rate_evidence(block)),
    )


def places_of(block: Block) -> dict[str, Place]:
    """Where the lines of a house stand that give no limit and no flag."""
    places = {word: fact.place("") for word in ("fail-at", "currency") for fact in block.all(word)[:1]}
    for fact in block.all("rate"):
        money = fact.bound.values.get("rate")
        if money is not None and isinstance(money.data, Money):
            places[f"rate {money.data.currency}"] = fact.place("")
    return places


def rate_evidence(block: Block) -> dict[str, Evidence]:
    """How each rate is known, by the currency that it is for."""
    found = {}
    for fact in block.all("rate"):
        money = fact.bound.values.get("rate")
        if money is not None and isinstance(money.data, Money):
            found[money.data.currency] = fact.bound.evidence or Evidence(STATED)
    return found


def make_rates(block: Block) -> dict[str, Fraction]:
    """What one of each other currency is worth in the house's; a rate between two others is left out."""
    rates: dict[str, Fraction] = {}
    own = next((fact.text("currency") for fact in block.all("currency")), "")
    for fact in block.all("rate"):
        one, other = fact.bound.values.get("rate"), fact.bound.values.get("is")
        if one is None or other is None or not isinstance(one.data, Money) or not isinstance(other.data, Money):
            continue
        if one.data.value and own in ("", other.data.currency):
            rates[one.data.currency] = other.data.value / one.data.value
    return rates

"""Sellers and what they offer: in: the layers of a seller, out: frozen records of offers, shipping and days.

A thing is known by its designation: the name of a part, or what every shop calls it (``M3x8``, ``M4 washer``,
``blank 6HP``). A price that nobody wrote is not there at all.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.bound import Evidence, Fact
from rackspec.language.quantity import Money, Quantity, show_hp
from rackspec.model.known import TRUST, KnownMoney, evidence_of, known
from rackspec.model.layers import Layers

EACH, PAIR, PACK = "each", "pair", "pack"
OF_A_THREAD = ("washer", "nut")
"""Things that are called by their thread."""


class Offer(NamedTuple):
    """A line of a seller: ``price`` for one unit of ``pieces`` pieces (``form``: each, pair or pack) of a thing.

    It holds when at least ``least`` units are ordered, for all of them. ``stock``: units there are (None: not said).
    """

    part: str
    price: KnownMoney
    form: str
    pieces: int
    least: int
    stock: int | None
    place: Place


class Step(NamedTuple):
    """What something costs from some size on: a sum of goods in the seller's money, mm, or g."""

    start: Fraction
    price: KnownMoney


class Days(NamedTuple):
    """How many days a parcel takes, at least and at most."""

    least: int
    most: int
    place: Place


class Seller(NamedTuple):
    """A shop or a person that sells.

    ``fetched``: one goes there, nothing is sent. ``ships``: what a parcel costs, by the sum of goods in it, the lowest
    step first; none: nobody wrote it. ``free``: from which sum of goods that is nothing. ``smallest``: the least sum
    that is sent. ``longer`` and ``heavier``: what comes on top for the longest piece (mm) and the mass (g) of a parcel,
    the lowest step first; the highest one that is exceeded counts alone.
    """

    name: str
    title: str
    place: Place
    fetched: bool
    ships: tuple[Step, ...]
    free: KnownMoney | None
    smallest: KnownMoney | None
    longer: tuple[Step, ...]
    heavier: tuple[Step, ...]
    days: Days | None
    offers: tuple[Offer, ...]
    spoiled: bool

    @property
    def currency(self) -> str:
        """The money that it reckons in: that of its shipping, else of its first offer; empty without either."""
        said = [step.price for step in self.ships] + [offer.price for offer in self.offers]
        return said[0].money.currency if said else ""


def designation(fact: Fact, key: str = "part") -> str:
    """What the thing of a line is called: ``ribbon-10``, ``M3x8``, ``M4 washer``, ``blank 6HP``; empty where the line
    was not understood."""
    value = fact.bound.values.get(key)
    if value is None:
        return ""
    if isinstance(value.data, Quantity):
        return f"blank {show_hp(value.data.value)}"
    if value.kind == "screw" and "x" not in value.text:
        kind = next((flag for flag in fact.bound.flags if flag in OF_A_THREAD), "")
        return f"{value.text} {kind}" if kind else ""
    return str(value.text)


def named_part(fact: Fact, key: str = "part") -> str:
    """The name of the part of a line, where it is one that the library has to know; else nothing."""
    value = fact.bound.values.get(key)
    return str(value.text) if value is not None and value.kind == "name" else ""


def whole_number(fact: Fact, key: str) -> int | None:
    """The whole number under a key."""
    value = fact.bound.values.get(key)
    return int(value.data) if value is not None and value.kind == "number" and value.data is not None else None


def money_in(fact: Fact, key: str, basis: Evidence) -> KnownMoney | None:
    """The sum of money under a key."""
    value = fact.bound.values.get(key)
    if value is None or not isinstance(value.data, Money):
        return None
    return KnownMoney(value.data, evidence_of(fact, basis), fact.place(key))


def make_offer(fact: Fact, basis: Evidence) -> Offer | None:
    """A line ``sells``; None where it was not understood."""
    part, price = designation(fact), money_in(fact, "at", basis)
    if not part or price is None or fact.bound.spoiled:
        return None
    pack = whole_number(fact, "pack")
    form = PAIR if PAIR in fact.bound.flags else PACK if pack is not None else EACH
    pieces = 2 if form == PAIR else max(1, pack or 1)
    least = whole_number(fact, "from")
    return Offer(part, price, form, pieces, max(1, least or 1), whole_number(fact, "stock"), fact.place("part"))


def steps_of(layers: Layers, word: str) -> tuple[Step, ...]:
    """The steps of ``longer`` or ``heavier``, the lowest first."""
    found = []
    for fact, basis in layers.keyed(word, word) or ():
        size, price = known(fact, word, basis), money_in(fact, "adds", basis)
        if size is not None and price is not None:
            found.append(Step(size.value, price))
    return tuple(sorted(found, key=lambda step: step.start))


def ships_of(layers: Layers) -> tuple[bool, tuple[Step, ...]]:
    """Whether things are fetched, and what a parcel costs, the lowest step first."""
    facts = layers.many("ships")
    if any("nothing" in fact.bound.flags for fact, _ in facts):
        return True, ()
    found: dict[Fraction, Step] = {}
    for fact, basis in facts:
        price, start = money_in(fact, "ships", basis), fact.bound.values.get("from")
        if price is None:
            continue
        step = Step(start.data.value if start is not None and start.data else Fraction(0), price)
        earlier = found.get(step.start)
        if earlier is None or TRUST[price.evidence.level] < TRUST[earlier.price.evidence.level]:
            found[step.start] = step
    return False, tuple(found[start] for start in sorted(found))


def days_of(layers: Layers) -> Days | None:
    """How many days a parcel takes."""
    found = layers.one("days")
    least = whole_number(found[0], "days") if found is not None else None
    if found is None or least is None:
        return None
    most = whole_number(found[0], "most")
    return Days(min(least, most if most is not None else least), max(least, most or 0), found[0].place("days"))


def money_from(layers: Layers, word: str, key: str = "") -> KnownMoney | None:
    """The sum of money of a word."""
    found = layers.one(word)
    return money_in(found[0], key or word, found[1]) if found is not None else None


def make_seller(name: str, title: str, layers: Layers) -> Seller:
    """A seller out of its layers."""
    fetched, ships = ships_of(layers)
    offers = [make_offer(fact, basis) for fact, basis in layers.many("sells")]
    return Seller(
        name=name,
        title=title,
        place=layers.place(),
        fetched=fetched,
        ships=ships,
        free=money_from(layers, "free", "from"),
        smallest=money_from(layers, "least"),
        longer=steps_of(layers, "longer"),
        heavier=steps_of(layers, "heavier"),
        days=days_of(layers),
        offers=tuple(offer for offer in offers if offer is not None),
        spoiled=layers.spoiled,
    )

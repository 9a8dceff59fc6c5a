"""Where needs meet offers: in: what is to be bought and the sellers a rack knows, out: a basket of plain numbers.

What cannot be had is taken out of the basket and told with its reason; the rest can be had. All sums are in one
currency. ``Shop`` keeps for each position of the basket what stands behind it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.model.known import Known, KnownMoney
from rackspec.model.rack import Rack
from rackspec.model.sellers import Offer, Seller, Step
from rackspec.model.wares import opened
from rackspec.physics.basket import Basket, Lot, Post, Tier
from rackspec.rules.exchange import rate
from rackspec.rules.needs import WISH, Need
from rackspec.rules.registry import Look

NOTHING = Fraction(0)
NO_PRICES: Mapping[Place, Fraction] = {}
UNSETTLED = ("not known", "no standard")
"""What the designation of a thing holds while nobody can say which one it is."""


class Lacking(NamedTuple):
    """So many pieces of a need that cannot be had from the sellers that are asked, and why.

    ``reason``: ``unsold`` (nobody here sells it), ``stock`` (there are too few), ``without`` (only a seller that is
    left out has it), ``rate`` (only in a money without a rate), ``unsettled`` (which one is not known yet), ``wish``
    (it is no part yet).
    """

    need: Need
    pieces: int
    reason: str
    why: str


class Shop(NamedTuple):
    """A basket with what stands behind its positions: sellers of posts, needs, and of each lot its lines, the fewest
    units first. ``remarks``: what was not known and how it was counted."""

    currency: str
    sellers: tuple[Seller, ...]
    needs: tuple[Need, ...]
    lots: tuple[tuple[Offer, ...], ...]
    basket: Basket
    lacking: tuple[Lacking, ...]
    remarks: tuple[str, ...]


def shop_of(
    look: Look,
    needs: Sequence[Need],
    pieces: Sequence[int],
    currency: str,
    *,
    without: frozenset[str] = frozenset(),
    most_parcels: int | None = None,
    prices: Mapping[Place, Fraction] = NO_PRICES,
    stages: Iterable[int] | None = None,
) -> Shop:
    """The basket for so many pieces of each need.

    ``without``: names of sellers that are not asked. ``prices``: what a line costs instead, by its place, in its own
    money. ``stages``: for which stages is bought (goods ordered anyway count for these); None for all.
    """
    wanted = [(need, many) for need, many in zip(needs, pieces, strict=True) if many > 0]
    counter = Counter(look, currency, [need for need, _ in wanted], prices)
    lots: list[tuple[Seller, tuple[Offer, ...], Lot]] = []
    for seller in look.rack.sellers:
        if seller.name not in without and rate(look.house, seller.currency, currency) is not None:
            lots += [(seller, lines, lot) for lines, lot in counter.lots_of(seller)]
    kept, amounts, lacking = [], [], []
    for position, (need, many) in enumerate(wanted):
        there = most_of(position, [lot for _, _, lot in lots])
        got = many if there is None else min(many, there)
        if got < many:
            lacking.append(lacking_of(look, counter, need, many - got, there or 0, without))
        if got:
            kept.append(position)
            amounts.append(got)
    place = {position: number for number, position in enumerate(kept)}
    sellers = [seller for seller in look.rack.sellers if any(one is seller for one, _, _ in lots)]
    numbers = {seller.name: number for number, seller in enumerate(sellers)}
    basket_lots, lines_of = [], []
    for seller, lines, lot in lots:
        gives = tuple((place[position], many) for position, many in lot.gives if position in place)
        if gives:
            basket_lots.append(lot._replace(seller=numbers[seller.name], gives=gives))
            lines_of.append(lines)
    posts = tuple(post_of(look, seller, currency, stages) for seller in sellers)
    return Shop(
        currency,
        tuple(sellers),
        tuple(wanted[position][0] for position in kept),
        tuple(lines_of),
        Basket(tuple(amounts), tuple(basket_lots), posts, most_parcels),
        tuple(lacking),
        tuple(counter.remarks + unsaid_shipping(sellers)),
    )


class Counter:
    """Turns lines of sellers into lots for given needs; remembers what it had to leave open."""

    def __init__(self, look: Look, currency: str, needs: list[Need], prices: Mapping[Place, Fraction]) -> None:
        self.look = look
        self.currency = currency
        self.prices = prices
        self.remarks: list[str] = []
        self.serving: dict[str, list[int]] = {}
        for position, need in enumerate(needs):
            for part in need.serves:
                self.serving.setdefault(part, []).append(position)
        self.wares = {ware.name: ware for ware in look.rack.wares}
        self.masses = masses_of(look.rack)

    def lots_of(self, seller: Seller) -> list[tuple[tuple[Offer, ...], Lot]]:
        """The lots of a seller that give something that is needed, each with its lines."""
        grouped: dict[tuple[str, int], list[Offer]] = {}
        for offer in seller.offers:
            grouped.setdefault((offer.part, offer.pieces), []).append(offer)
        found = []
        for (part, unit), offers in grouped.items():
            ways = self.gives(part, unit)
            if not ways:
                continue
            lines: dict[int, Offer] = {}
            for offer in offers:
                lines.setdefault(offer.least, offer)  # a line said twice is an error of its own
            priced = [(offer, self.price(offer)) for _, offer in sorted(lines.items())]
            tiers = tuple(Tier(offer.least, price) for offer, price in priced if price is not None)
            stocks = [offer.stock for offer in offers if offer.stock is not None]
            stock = min(stocks) if stocks else None
            if not tiers or (stock is not None and stock < tiers[0].least):
                continue
            length, mass = self.size(seller, part, unit)
            kept = tuple(offer for offer, price in priced if price is not None)
            found += [(kept, Lot(0, gives, tiers, stock, length, mass)) for gives in ways]
        return found

    def gives(self, part: str, unit: int) -> list[tuple[tuple[int, int], ...]]:
        """What a unit of a thing may give of the needs: itself, for each need that it would do for; else what is in it,
        where it is a kit."""
        if part in self.serving:
            return [((position, unit),) for position in self.serving[part]]
        found: dict[int, int] = {}
        for name, many in opened(self.wares, {part: unit}, self.serving).items():
            if name in self.serving:
                position = self.serving[name][0]
                found[position] = found.get(position, 0) + many
        inside = tuple(sorted((position, many) for position, many in found.items() if many))
        return [inside] if inside else []

    def serves_with(self, offer: Offer, serves: frozenset[str]) -> bool:
        """Whether an offer gives a need that some things would serve."""
        wanted = {position for part in serves for position in self.serving.get(part, ())}
        return any(position in wanted for gives in self.gives(offer.part, offer.pieces) for position, _ in gives)

    def price(self, offer: Offer) -> Fraction | None:
        """What a unit of a line costs, in the currency of the basket."""
        value = self.prices.get(offer.place, offer.price.money.value)
        worth = rate(self.look.house, offer.price.money.currency, self.currency)
        return value * worth if worth is not None else None

    def size(self, seller: Seller, part: str, unit: int) -> tuple[Fraction, Fraction]:
        """How long the longest piece of a unit is, and what it weighs; where a seller asks and nobody wrote it, that is
        remarked and counted as nothing."""
        length, mass, unsure = NOTHING, NOTHING, False
        for name, many in opened(self.wares, {part: unit}).items():
            ware = self.wares.get(name)
            if ware is not None and ware.part is not None and ware.part.holds:
                continue
            if ware is not None and ware.length is not None:
                length = max(length, ware.length.high)
            weighs = self.masses.get(name)
            if weighs is None:
                unsure = True
            else:
                mass += weighs.high * many
        if unsure and seller.heavier:
            self.remarks.append(f"what '{part}' weighs is not known: shipping from '{seller.name}' may cost more")
        return length, mass


def masses_of(rack: Rack) -> dict[str, Known]:
    """What things weigh (g), by designation, as far as it is written."""
    found = {ware.name: ware.bought.mass for ware in rack.wares if ware.bought.mass is not None}
    for panel in rack.panels():
        if panel.part is not None and panel.part.bought.mass is not None:
            found.setdefault(panel.part.name, panel.part.bought.mass)
    return found


def most_of(position: int, lots: Sequence[Lot]) -> int | None:
    """How many pieces of a need there are with all sellers together; None: as many as wanted."""
    total = 0
    for lot in lots:
        each = dict(lot.gives).get(position, 0)
        if each and lot.stock is None:
            return None
        total += each * (lot.stock or 0)
    return total


def lacking_of(look: Look, counter: Counter, need: Need, pieces: int, there: int, without: frozenset[str]) -> Lacking:
    """Why so many pieces cannot be had."""
    if WISH in need.kinds:
        return Lacking(need, pieces, "wish", "it is a wish: no part is chosen yet")
    if any(word in need.part for word in UNSETTLED):
        return Lacking(need, pieces, "unsettled", "which one is not known yet: 'rackspec inspect' says what to measure")
    if there:
        return Lacking(need, pieces, "stock", f"all sellers that are asked have {there} together")
    serves = frozenset(need.serves)
    left_out, no_rate = [], []
    for seller in look.rack.sellers:
        sold = any(counter.serves_with(offer, serves) for offer in seller.offers)
        if sold and seller.name in without:
            left_out.append(seller.name)
        elif sold and rate(look.house, seller.currency, counter.currency) is None:
            no_rate.append(seller.name)
        elif sold and all(offer.stock == 0 for offer in seller.offers if counter.serves_with(offer, serves)):
            return Lacking(need, pieces, "stock", f"'{seller.name}' has none left")
        elif sold:
            return Lacking(need, pieces, "stock", f"'{seller.name}' has fewer than it sells at a time")
    if no_rate:
        return Lacking(need, pieces, "rate", f"sold by {quoted(no_rate)} only, in a money without a stated rate")
    if left_out:
        return Lacking(need, pieces, "without", f"sold by {quoted(left_out)} only, which is left out")
    return Lacking(need, pieces, "unsold", "nobody here sells it")


def quoted(names: Sequence[str]) -> str:
    """Names in a sentence."""
    return " and ".join(f"'{name}'" for name in names)


def unsaid_shipping(sellers: Iterable[Seller]) -> list[str]:
    """Sellers of whom nobody wrote what a parcel costs."""
    return [
        f"what a parcel from '{seller.name}' costs is not written: it is not in these sums"
        for seller in sellers
        if not seller.fetched and not seller.ships and not seller.spoiled
    ]


def post_of(look: Look, seller: Seller, currency: str, stages: Iterable[int] | None) -> Post:
    """What it costs to get things from a seller, in the currency of the basket; its rate is known."""
    worth = rate(look.house, seller.currency, currency) or Fraction(1)

    def sum_of(money: KnownMoney) -> Fraction:
        here = rate(look.house, money.money.currency, currency)
        return money.money.value * (here if here is not None else worth)

    def by_size(steps: tuple[Step, ...]) -> tuple[tuple[Fraction, Fraction], ...]:
        return tuple((step.start, sum_of(step.price)) for step in steps)

    wanted = None if stages is None else set(stages)
    anyway = sum(
        (
            sum_of(purse.money)
            for purse in look.rack.anyway
            if purse.seller == seller.name and (wanted is None or purse.stage in wanted)
        ),
        NOTHING,
    )
    return Post(
        steps=tuple((step.start * worth, sum_of(step.price)) for step in seller.ships),
        free=sum_of(seller.free) if seller.free is not None and not seller.fetched else None,
        smallest=sum_of(seller.smallest) if seller.smallest is not None else NOTHING,
        longer=by_size(seller.longer),
        heavier=by_size(seller.heavier),
        anyway=anyway,
        parcel=not seller.fetched,
    )

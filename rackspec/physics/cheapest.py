"""The cheapest order: in: a basket, out: the order that costs least with everything that is paid for parcels, proved.

Exact, by branch and bound. First it is settled how many of each kit are bought, then for each seller whether it sends,
and within which range of sums (``physics/parcel_ranges.py``). What is not settled yet is bounded by sharing out fees
(``physics/fee_shares.py``); where all is settled, ``physics/settled_parcels.py`` finds the units. The open ends wait in
order of their bounds, so that the lowest of them holds for whatever has not been looked at.

How far it gets was measured on random baskets of everyday shape: each seller sells three things of five, prices lie
within 20 %, parcels at one price, most of them free from some sum on. 10 needs from 5 sellers: 59 of 60 are proved,
half of them within 15 ms. 20 from 8: five of six. 40 from 12: three of four, the others within 0.3 % of the bound.
100 from 30: none. Giving up takes about one to two seconds.
"""

from fractions import Fraction
from heapq import heappop, heappush
from typing import NamedTuple

from rackspec.physics.basket import NOTHING, Basket, Found, Landed, landed
from rackspec.physics.covers import GivenUp, Work
from rackspec.physics.first_order import cheapest_lots, first_orders
from rackspec.physics.open_sellers import Bounded, Sellers, States
from rackspec.physics.order_numbers import SHARES, Whole, terms_of, whole_of
from rackspec.physics.put_together import Units
from rackspec.physics.settled_parcels import Open, Settled

EFFORT = 8_000_000
"""Elementary steps until a search is given up: one or two seconds."""
ENUMERATED, GIVEN_UP = "enumerated", "given up"


class Node(NamedTuple):
    """A part of all orders: units of the first kits, what is left to choose, and what is decided of its sellers."""

    kits: tuple[int, ...]
    sellers: Sellers
    states: States
    bounded: Bounded
    open: Open | None = None


def cheapest(basket: Basket, effort: int = EFFORT, at_most: Fraction | None = None) -> Found:
    """The cheapest order of a basket.

    ``effort``: steps after which the search is given up: the best order so far is told with a bound that is true.
    ``at_most``: only an order that costs no more is wanted. Where there is none, the order is None, it is proved, the
    bound is ``at_most``, and ``impossible`` stays False: dearer ones were not looked for.
    """
    return Search(basket, effort, at_most).found()


def bound_of(basket: Basket) -> Fraction:
    """A sum that no order is cheaper than, quickly; 0 where no order can be made."""
    whole = whole_of(basket)
    if not whole.small:
        return Fraction(-whole.saved, whole.scale)
    sellers = Sellers(terms_of(whole, ()), Work(None))
    states = sellers.start()
    bounded = sellers.bounded(states) if states is not None else None
    return Fraction(-(-bounded.least // SHARES), whole.scale) if bounded is not None else NOTHING


class Search:
    """One search. ``best``: the cheapest order so far; ``limit``: only what costs less is of use."""

    def __init__(self, basket: Basket, effort: int, at_most: Fraction | None) -> None:
        self.basket = basket
        self.whole: Whole = whole_of(basket)
        self.effort = effort
        self.work = Work(None)
        self.at_most = at_most
        self.limit = self.whole.huge // SHARES
        if at_most is not None:
            self.limit = min(self.limit, int(at_most * self.whole.scale // 1) + 1)
        self.best: Landed | None = None
        self.waiting: list[tuple[int, int, Node]] = []
        self.met = 0

    def found(self) -> Found:
        """Search until it is proved, or the steps are used up."""
        if not self.whole.small:
            return self.unsearched()
        self.meet((), -self.whole.saved * SHARES)
        self.work.left = self.effort
        least = -self.whole.saved * SHARES
        try:
            while self.waiting:
                least, _, node = heappop(self.waiting)
                if -(-least // SHARES) >= self.limit:
                    break
                self.split(node, least)
        except GivenUp:
            return self.given_up(least)
        if self.best is not None:
            return Found(self.best, self.best.cost, True, False, ENUMERATED)
        if self.at_most is not None:
            return Found(None, self.at_most, True, False, ENUMERATED)
        return Found(None, NOTHING, True, True, ENUMERATED)

    def given_up(self, least: int) -> Found:
        """The best order so far, and the bound of all that was not looked at."""
        bound = Fraction(-(-least // SHARES), self.whole.scale)
        if self.best is not None:
            return Found(self.best, min(bound, self.best.cost), False, False, GIVEN_UP)
        return Found(None, bound if self.at_most is None else min(bound, self.at_most), False, False, GIVEN_UP)

    def unsearched(self) -> Found:
        """Needs of so many pieces that even their tables would take too long: what each is cheapest by itself."""
        self.offer((), cheapest_lots(self.whole))
        return self.given_up(-self.whole.saved * SHARES)

    def meet(self, kits: tuple[int, ...], least: int) -> None:
        """Put a part of all orders with the first kits settled among the open ends."""
        sellers = Sellers(terms_of(self.whole, kits), self.work)
        states = sellers.start()
        bounded = sellers.bounded(states) if states is not None else None
        if states is None or bounded is None:
            return
        if len(kits) == len(self.whole.kits):
            for units in first_orders(sellers.terms, self.work):
                self.offer(kits, units)
        self.wait(Node(kits, sellers, states, bounded), least)

    def wait(self, node: Node, least: int) -> None:
        """Keep an open end, if it can hold an order that is of use. ``least``: a bound that is known already."""
        least = max(least, node.bounded.least)
        if -(-least // SHARES) < self.limit:
            self.met += 1
            heappush(self.waiting, (least, self.met, node))

    def split(self, node: Node, least: int) -> None:
        """Settle one thing more: a kit, a seller; where all is settled, search a part of what is left."""
        if len(node.kits) < len(self.whole.kits):
            kit = self.whole.lots[self.whole.kits[len(node.kits)]]
            settled = sum(node.sellers.terms.goods)
            for units in range(kit.most + 1):
                price = kit.price(units)
                if price is not None and settled + price < self.limit + self.whole.saved:
                    self.meet((*node.kits, units), least)
            return
        seller = node.sellers.branch(node.states, node.bounded)
        if seller >= 0:
            for states, bounded in node.sellers.children(node.states, seller):
                self.wait(Node(node.kits, node.sellers, states, bounded), least)
            return
        left = self.search(node)
        if left is not None:
            self.wait(node._replace(open=left), max(least, left.least))

    def search(self, node: Node) -> Open | None:
        """Search where all is settled; what is left of it."""

        def offer(units: Units) -> None:
            self.offer(node.kits, units)

        if node.open is not None:
            return node.open.search(self.limit, offer)
        ranges = [state.ranges[0] if state.ranges else None for state in node.states]
        credits = [state.credit for state in node.states]
        return Settled(node.sellers.terms, ranges, self.work).look(credits, offer)

    def offer(self, kits: tuple[int, ...], units: Units) -> None:
        """Take an order where it is one, and costs less than the best so far."""
        order = [0] * len(self.basket.lots)
        for lot, many in (*units.items(), *zip(self.whole.kits, kits, strict=False)):
            order[lot] = many
        self.work.spend(4 * len(order))
        made = landed(self.basket, order)
        if made is not None and made.cost * self.whole.scale < self.limit:
            self.best = made
            self.limit = int(made.cost * self.whole.scale)

"""Sellers that may or may not send: in: what is left to choose and what is decided, out: what an order costs at least.

Each seller has a state: whether it may send nothing, and the ranges of sums in which it may send. A part of all orders
is a state for each seller; it is split by settling one more of them.
"""

from collections.abc import Sequence
from typing import NamedTuple

from rackspec.physics.covers import Work, seller_tables
from rackspec.physics.fee_shares import Valued, share_fees, valued
from rackspec.physics.order_numbers import SHARES, Terms
from rackspec.physics.parcel_ranges import Range

CREDITS = (0, 8, 24, 64)
"""Credits that are tried where goods have to reach a sum, in parts of ``SHARES``."""
HIGHEST_CREDIT = 208
"""Below ``SHARES``, so that goods nobody wants never cost nothing."""


class State(NamedTuple):
    """A seller: whether it may send nothing, and the ranges in which it may send. ``credit``: what goods from there
    are credited with, in parts of ``SHARES``."""

    closed: bool
    ranges: tuple[Range, ...]
    credit: int

    @property
    def settled(self) -> bool:
        """Whether there is nothing left to choose."""
        return len(self.ranges) + self.closed == 1


class Bounded(NamedTuple):
    """What each order of a node costs at least, times ``SHARES``, and for each seller how much of its fee no need has
    paid, and what goods would come from there without fees."""

    least: int
    unpaid: list[int]
    goods: list[int]


States = tuple[State, ...]
Looked = tuple[Valued, int, int]
"""A need: what it takes out of fees; the seller that has it cheapest by itself (-1: none), and what it costs there."""


class Sellers:
    """The sellers that what is left can come from. Needs are looked at once for each set of credits."""

    def __init__(self, terms: Terms, work: Work) -> None:
        self.terms, self.work = terms, work
        self.known: dict[tuple[int, tuple[int | None, ...]], Looked] = {}
        self.of_group = [sorted({choice.seller for choice in group.choices}) for group in terms.groups]

    def start(self) -> States | None:
        """Nothing decided; None where no order can be made at all."""
        terms = self.terms
        selling = {seller for some in self.of_group for seller in some}
        states = []
        for seller, ranges in enumerate(terms.ranges):
            there = terms.goods[seller], terms.mass[seller], terms.length[seller]
            able = tuple(
                one
                for one in ranges
                if all(
                    span[1] is None or number < span[1]
                    for span, number in zip((one.goods, one.mass, one.length), there, strict=True)
                )
            )
            used = terms.used[seller]
            states.append(State(not used, able if used or seller in selling else (), 0))
        plain = self.narrowed(states)
        bounded = self.bounded(plain) if plain is not None else None
        if plain is None or bounded is None:
            return None
        credited = tuple(
            state._replace(credit=self.good_credit(seller, state, bounded.goods[seller]))
            for seller, state in enumerate(plain)
        )
        again = self.bounded(credited)
        return credited if again is not None and again.least > bounded.least else plain

    def good_credit(self, seller: int, state: State, goods: int) -> int:
        """The credit that gives the highest bound if so many goods came from there."""
        ranges = state.ranges
        tried = {0}
        for one in ranges:
            for other in ranges:
                if one.fee > other.fee and one.goods[0] < other.goods[0]:
                    credit = (one.fee - other.fee) * SHARES // (other.goods[0] - one.goods[0])
                    tried |= {min(HIGHEST_CREDIT, credit), min(HIGHEST_CREDIT, credit + 1)}
        return max(sorted(tried), key=lambda credit: self.fee(seller, ranges, credit) - credit * goods) if ranges else 0

    def fee(self, seller: int, ranges: Sequence[Range], credit: int) -> int:
        """What a parcel costs at least, times ``SHARES``, beside the credit for the goods in it."""
        there = self.terms.goods[seller]
        return min(one.fee * SHARES + credit * max(0, one.goods[0] - there) for one in ranges)

    def narrowed(self, states: Sequence[State]) -> States | None:
        """States without what the number of parcels rules out; None where nothing is left."""
        found = tuple(states)
        if any(not state.closed and not state.ranges for state in found):
            return None
        if self.terms.most_parcels is None:
            return found
        sure = sum(not state.closed and self.terms.counted[seller] for seller, state in enumerate(found))
        if sure > self.terms.most_parcels:
            return None
        if sure == self.terms.most_parcels:
            found = tuple(
                State(True, (), 0) if state.closed and self.terms.counted[seller] else state
                for seller, state in enumerate(found)
            )
        return found

    def bounded(self, states: States) -> Bounded | None:
        """What each order with these states costs at least; None where there is none."""
        base = sum(self.terms.goods) * SHARES
        fees = [0] * len(states)
        for seller, state in enumerate(states):
            if state.ranges:
                fee = self.fee(seller, state.ranges, state.credit)
                sure = fee if not state.closed else min(0, fee)  # a parcel that comes anyway may get cheaper
                base += sure
                fees[seller] = fee - sure
        needs, goods = [], [0] * len(states)
        for place in range(len(self.of_group)):
            looked = self.looked(place, states)
            if looked is None:
                return None
            needs.append(looked[0])
            if looked[1] >= 0:
                goods[looked[1]] += looked[2]
        worth, unpaid = share_fees(needs, fees, self.work)
        return Bounded(base + worth, unpaid, goods)

    def looked(self, place: int, states: States) -> Looked | None:
        """What a need takes out of fees; None where it cannot be had."""
        group = self.terms.groups[place]
        credits = {seller: states[seller].credit if states[seller].ranges else None for seller in self.of_group[place]}
        key = place, tuple(credits.values())
        found = self.known.get(key)
        if found is None:
            best, alone = seller_tables(group, credits, self.terms.huge, self.work)
            cheapest, cost = -1, 0
            for seller, table in alone.items():
                each = table[-1] // (SHARES - (credits[seller] or 0))
                if table[-1] < self.terms.huge and (cheapest < 0 or each < cost):
                    cheapest, cost = seller, each
            found = valued(group.need, best, alone), cheapest, cost
            self.known[key] = found
        return found if found[0].least < self.terms.huge else None

    def branch(self, states: States, bounded: Bounded) -> int:
        """The seller to settle next; -1 where all are."""
        open_ones = [seller for seller, state in enumerate(states) if not state.settled]

        def weight(seller: int) -> tuple[bool, int, int]:
            return bounded.goods[seller] > 0, bounded.unpaid[seller], bounded.goods[seller]

        return max(open_ones, key=weight) if open_ones else -1

    def children(self, states: States, seller: int) -> list[tuple[States, Bounded]]:
        """The states with one seller settled in each way that is left."""
        state, found = states[seller], []
        ways = [[State(True, (), 0)]] if state.closed else []
        for one in state.ranges:
            lacking = one.goods[0] > self.terms.goods[seller]
            ways.append(
                [State(False, (one,), credit) for credit in (sorted({*CREDITS, state.credit}) if lacking else (0,))]
            )
        for tried in ways:
            best: tuple[States, Bounded] | None = None
            for new in tried:
                narrowed = self.narrowed([*states[:seller], new, *states[seller + 1 :]])
                bounded = self.bounded(narrowed) if narrowed is not None else None
                if narrowed is None or bounded is None:
                    break
                if best is None or bounded.least > best[1].least:
                    best = narrowed, bounded
            if best is not None:
                found.append(best)
        return found

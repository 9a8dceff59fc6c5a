"""The cheapest order as another programme: in: a basket in whole cents, out: what the cheapest order costs.

Written from the textbook side, and sharing nothing with ours: a binary for each lot *and each number of units of it*
(what that many cost together is looked up, so breaks, stocks and least numbers are no rows at all), and shipping by the
sum of goods and by mass as the multiple choice model of K. L. Croxton, B. Gendron and T. L. Magnanti, "A comparison of
mixed-integer programming models for nonconvex piecewise linear cost minimization problems", Management Science 49
(2003): a binary and a flow for each piece, both ends of the piece written down.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from rackspec.physics.basket import Basket, Post, price_of

CENT = Fraction(1, 100)
SPARE = 12
"""Units beyond all need, and beyond the last break, that are offered."""


def most_wanted(basket: Basket, position: int) -> int:
    """How many units of a lot are offered."""
    lot = basket.lots[position]
    enough = max(-(-basket.needs[need] // each) for need, each in lot.gives)
    most = max(enough, lot.tiers[-1].least) + SPARE
    return most if lot.stock is None else min(most, lot.stock)


def parcel_price(post: Post, worth: Fraction) -> Fraction:
    """What a parcel of a worth costs, without its size."""
    if post.free is not None and worth >= post.free:
        return Fraction(0)
    price = Fraction(0)
    for start, step in post.steps:
        if worth >= start:
            price = step
    return price


class Model:
    """Columns, costs and rows, in cents and grams."""

    def __init__(self) -> None:
        self.costs: list[float] = []
        self.tops: list[float] = []
        self.whole: list[int] = []
        self.rows: list[tuple[dict[int, float], float, float]] = []

    def column(self, cost: float, top: float, whole: bool = True) -> int:
        """A new column from 0."""
        self.costs.append(cost)
        self.tops.append(top)
        self.whole.append(int(whole))
        return len(self.costs) - 1

    def row(self, terms: dict[int, float], low: float = -np.inf, high: float = np.inf) -> None:
        """A new row."""
        self.rows.append((terms, low, high))

    def pieces(self, opened: int, flow: dict[int, float], pieces: list[tuple[float, float, float]]) -> None:
        """A cost of (least, most, cost) by what flows: one piece is chosen where it is open, and all flow is in it."""
        total = {column: -each for column, each in flow.items()}
        chosen: dict[int, float] = {opened: -1.0}
        for least, most, cost in pieces:
            binary, part = self.column(cost, 1.0), self.column(0.0, most, whole=False)
            self.row({part: 1.0, binary: -least}, low=0.0)
            self.row({part: 1.0, binary: -most}, high=0.0)
            total[part] = 1.0
            chosen[binary] = 1.0
        self.row(total, 0.0, 0.0)
        self.row(chosen, 0.0, 0.0)

    def solve(self) -> Any:
        """What scipy says."""
        data, indices, starts = [], [], [0]
        for terms, _, _ in self.rows:
            data += terms.values()
            indices += terms.keys()
            starts.append(len(indices))
        matrix = csr_array((data, indices, starts), shape=(len(self.rows), len(self.costs)))
        limits = LinearConstraint(matrix, [row[1] for row in self.rows], [row[2] for row in self.rows])
        return milp(
            self.costs,
            integrality=self.whole,
            bounds=Bounds(0, self.tops),
            constraints=limits,
            options={"mip_rel_gap": 0.0, "time_limit": 120},
        )


def cents(value: Fraction) -> float:
    """A sum in cents, which has to be whole."""
    assert (value / CENT).denominator == 1
    return float(value / CENT)


def by_pieces(starts: list[Fraction], most: Fraction) -> list[tuple[Fraction, Fraction]]:
    """The pieces of a line that is cut at some places, up to ``most``; each ends one before the next."""
    cuts = [Fraction(0), *sorted({start for start in starts if 0 < start <= most}), most + 1]
    return [(low, high - 1) for low, high in pairwise(cuts)]


def model_of(basket: Basket) -> Model:
    """The model of a basket."""
    model = Model()
    covers: list[dict[int, float]] = [{} for _ in basket.needs]
    parcels: dict[int, float] = {}
    for number, post in enumerate(basket.posts):
        positions = [at for at, lot in enumerate(basket.lots) if lot.seller == number]
        opened = model.column(0.0, 1.0)
        if post.parcel and not post.anyway:
            parcels[opened] = 1.0
        worth, mass, chosen = {opened: cents(post.anyway)}, {}, {}
        for at in positions:
            lot, ways = basket.lots[at], {}
            for units in range(1, most_wanted(basket, at) + 1):
                price = price_of(lot, units)
                if price is None:
                    continue
                column = model.column(cents(price), 1.0)
                ways[column] = 1.0
                worth[column] = cents(price)
                mass[column] = float(lot.mass * units)
                for need, each in lot.gives:
                    covers[need][column] = float(each * units)
            model.row({**ways, opened: -1.0}, high=0.0)
            chosen[at] = ways
        add_shipping(model, post, opened, worth)
        add_longest(model, basket, post, opened, chosen)
        add_mass(model, post, opened, mass)
    for need, terms in enumerate(covers):
        model.row(terms, low=float(basket.needs[need]))
    if basket.most_parcels is not None:
        model.row(parcels, high=float(basket.most_parcels))
    return model


def add_shipping(model: Model, post: Post, opened: int, worth: dict[int, float]) -> None:
    """What the parcel costs by its worth, less what it costs anyway."""
    most = Fraction(int(sum(worth.values())))
    starts = [start / CENT for start, _ in post.steps] + ([post.free / CENT] if post.free is not None else [])
    anyway = parcel_price(post, post.anyway) if post.anyway else Fraction(0)
    smallest = post.smallest / CENT
    pieces = [
        (float(max(low, smallest)), float(high), cents(parcel_price(post, low * CENT) - anyway))
        for low, high in by_pieces(starts, most)
        if high >= smallest
    ]
    model.pieces(opened, worth, pieces)


def add_longest(model: Model, basket: Basket, post: Post, opened: int, chosen: dict[int, dict[int, float]]) -> None:
    """What the longest piece adds: one step is chosen, nothing longer comes, and something that long does."""
    if not post.longer:
        return
    steps = [(Fraction(-1), Fraction(0)), *post.longer]
    binaries = [model.column(cents(price), 1.0) for _, price in steps]
    model.row({**dict.fromkeys(binaries, 1.0), opened: -1.0}, 0.0, 0.0)
    there: list[dict[int, float]] = [{} for _ in steps]
    for at, ways in chosen.items():
        level = max(number for number, (start, _) in enumerate(steps) if basket.lots[at].length > start)
        there[level].update(ways)
        model.row({**ways, **dict.fromkeys(binaries[level:], -1.0)}, high=0.0)
    for binary, ways in zip(binaries[1:], there[1:], strict=True):
        model.row({**ways, binary: -1.0}, low=0.0)


def add_mass(model: Model, post: Post, opened: int, mass: dict[int, float]) -> None:
    """What the mass adds; whole grams."""
    if not post.heavier:
        return
    most = Fraction(int(sum(mass.values())))
    pieces = []
    for low, high in by_pieces([start + 1 for start, _ in post.heavier], most):
        price = max(((start, price) for start, price in post.heavier if low > start), default=(0, Fraction(0)))[1]
        pieces.append((float(low), float(high), cents(price)))
    model.pieces(opened, mass, pieces)

"""The cheapest order: in: baskets as shops have them, out: our time beside that of others, and what it saves.

Enumeration is the core install, the solver the extra ``order``. scipy gets the same programme ready made, and for the
smaller baskets a textbook formulation of it; all have to come to the same sum. What is bought item by item, each thing
where it is cheapest by itself, is told as how much dearer it lands.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from importlib.metadata import version
from random import Random
from statistics import median
from time import perf_counter
from typing import TypeVar

from rackspec.physics.basket import Basket, Landed, landed, price_of
from rackspec.physics.cheapest import cheapest
from tests.solve.baskets import shops

Told = Callable[[str, float, str, bool | None, str], None]
Given = TypeVar("Given")
SIZES = {(10, 5): 5, (40, 12): 3, (100, 30): 1}
"""How many baskets of a size: needs and sellers."""
TEXTBOOK = 40
"""Up to how many needs the textbook formulation is solved as well."""
LIMIT = 60.0
"""Seconds."""


def timed(run: Callable[[], Given]) -> tuple[float, Given]:
    """How many seconds something takes, and what it gives."""
    start = perf_counter()
    given = run()
    return perf_counter() - start, given


def item_by_item(basket: Basket) -> Landed | None:
    """Each need from where it is cheapest by itself, without a look at shipping."""
    units = [0] * len(basket.lots)
    for need, pieces in enumerate(basket.needs):
        ways = []
        for at, lot in enumerate(basket.lots):
            many = -(-pieces // each) if (each := dict(lot.gives).get(need)) else 0
            many = max(many, lot.tiers[0].least)
            price = price_of(lot, many)
            if each and price is not None:
                ways.append((price, at, many))
        if not ways:
            return None
        _, at, many = min(ways)
        units[at] = max(units[at], many)
    return landed(basket, units)


def same_by_scipy(basket: Basket) -> float:
    """What the cheapest order costs by scipy, from our own programme."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    from rackspec.solve.programme import programme_of

    programme = programme_of(basket)
    entries = [(line, column, float(each)) for line, row in enumerate(programme.rows) for column, each in row.terms]
    lines, columns, values = zip(*entries, strict=True)
    matrix = csr_array((values, (lines, columns)), shape=(len(programme.rows), len(programme.costs)))
    lows = [float("-inf") if row.low is None else float(row.low) for row in programme.rows]
    highs = [float("inf") if row.high is None else float(row.high) for row in programme.rows]
    found = milp(
        [float(cost) for cost in programme.costs],
        integrality=[1] * len(programme.costs),
        bounds=Bounds(0, [float(top) for top in programme.tops]),
        constraints=LinearConstraint(matrix, lows, highs),
        options={"mip_rel_gap": 0.0, "time_limit": LIMIT},
    )
    return float(found.fun) / float(programme.scale)


def textbook_by_scipy(basket: Basket) -> float:
    """What it costs by scipy, from the formulation that the tests hold against ours."""
    from tests.outside.landed_milp import model_of

    return float(model_of(basket).solve().fun) / 100


def orders(told: Told) -> None:
    """All sizes, each by all ways in turn."""
    try:
        import highspy  # noqa: F401
        import scipy  # noqa: F401
    except ImportError as missing:
        print(f"the cheapest order: {missing.name} is not installed: not compared")
        return
    from rackspec.solve.by_solver import solve

    solve(shops(Random(0), 3, 2))  # importing it does not count
    named = f"highspy {version('highspy')}"
    for (needs, sellers), baskets in SIZES.items():
        print(f"the cheapest order of {needs} things from {sellers} shops: {baskets} baskets, {named}")
        size(told, [shops(Random(seed), needs, sellers) for seed in range(baskets)], needs <= TEXTBOOK)


def size(told: Told, baskets: list[Basket], textbook: bool) -> None:
    """Baskets of one size."""
    from rackspec.solve.by_solver import solve

    seconds: dict[str, list[float]] = {"enumeration": [], "solver": [], "same": [], "textbook": []}
    enumerated = proved = 0
    dearer = []
    for basket in baskets:
        took, by_hand = timed(partial(cheapest, basket))
        seconds["enumeration"].append(took)
        took, found = timed(partial(solve, basket, LIMIT))
        seconds["solver"].append(took)
        enumerated += by_hand.proved
        proved += found.proved
        if found.order is None:
            raise SystemExit("no order was found")
        cost = float(found.order.cost)
        ways: dict[str, Callable[[Basket], float]] = {"same": same_by_scipy}
        if textbook:
            ways["textbook"] = textbook_by_scipy
        for name, way in ways.items():
            took, theirs = timed(partial(way, basket))
            seconds[name].append(took)
            if found.proved and abs(theirs - cost) > 0.005:
                raise SystemExit(f"{name}: scipy finds {theirs:.2f}, we find {cost:.2f}")
        simple = item_by_item(basket)
        if simple is not None:
            dearer.append(float(simple.cost) / cost)
    medians = {name: median(times) for name, times in seconds.items() if times}
    figures = f"proved: {enumerated} of {len(baskets)} by enumeration, {proved} by the solver"
    told("enumeration / solver", medians["enumeration"] / medians["solver"], "", None, figures)
    figures = ", ".join(f"{name} {time * 1000:.0f} ms" for name, time in medians.items())
    told("scipy, the same programme / solver", medians["same"] / medians["solver"], "", None, figures)
    if textbook:
        told("scipy, a textbook formulation / solver", medians["textbook"] / medians["solver"], "", None, "")
    if dearer:
        low, high = (min(dearer) - 1) * 100, (max(dearer) - 1) * 100
        told("bought item by item / cheapest order", median(dearer), "", None, f"{low:.0f} % to {high:.0f} % dearer")

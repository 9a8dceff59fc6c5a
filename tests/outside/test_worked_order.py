"""The worked order of grammar/BUYING.md, found again by a general-purpose solver and by hand, without the program.

The price list below is typed from the page once more, and what each rail system entails is written out. The solver is
``scipy.optimize.milp`` (mixed-integer programming by HiGHS) with the textbook's fixed-charge model: a whole number of
units for each line, and a yes or no for each parcel. The page's totals must be the least ones, and those of its tables.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from typing import NamedTuple

import numpy
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from tests.buying_tables import PAGE, PAGE_TABLES, cents

BIG = 1000
"""More units than anybody orders here."""


class Line(NamedTuple):
    """A line of an order page: seller, thing, pieces in a unit, cents a unit, units there are."""

    seller: str
    thing: str
    pieces: int
    price: int
    stock: int = BIG


class Sender(NamedTuple):
    """What a parcel costs (cents), how much more with a rail or a lid in it, and the least sum that is sent."""

    parcel: int
    long: int
    least: int


LONG = ("rail", "lid")
SENDERS = {"drawer": Sender(400, 0, 0), "yard": Sender(600, 200, 1200), "shelf": Sender(0, 0, 0)}
SMALL = [
    Line("drawer", "strip", 1, 360),
    Line("drawer", "nut", 25, 350),
    Line("drawer", "spring nut", 10, 480),
    Line("drawer", "M3x8", 50, 240),
    Line("drawer", "M4 screw", 10, 120),
    Line("drawer", "M4 washer", 10, 60),
    Line("drawer", "M5 screw", 10, 160),
    Line("drawer", "M5 washer", 10, 70),
    Line("drawer", "lid", 1, 1250),
    Line("yard", "lid", 1, 930),
    Line("shelf", "spring nut", 1, 55, 12),
]
SYSTEMS = {
    "lipped": (
        {"rail": 2, "strip": 2, "M4 screw": 4, "M4 washer": 4},
        [Line("drawer", "rail", 1, 650)],
    ),
    "channel": (
        {"rail": 2, "nut": 16, "M5 screw": 4, "M5 washer": 4},
        [Line("drawer", "rail", 1, 840), Line("yard", "rail", 2, 1040)],
    ),
    "set-back": (
        {"rail": 2, "spring nut": 16, "M3x8": 16, "M4 screw": 4, "M4 washer": 4},
        [Line("shelf", "rail", 1, 550, 2)],
    ),
}
CASES = [(system, lid) for system in SYSTEMS for lid in (False, True)]
FREE_FROM = 4000
"""Cents of goods from which the drawer's parcel is free. The solver does without: no cheapest order is that large, and
the enumeration, which knows it, would find one that is."""


def needs_and_lines(system: str, lid: bool) -> tuple[dict[str, int], list[Line]]:
    """What a system entails, and the lines that sell any of it."""
    needs, rails = SYSTEMS[system]
    wanted = {**needs, **({"lid": 1} if lid else {})}
    return wanted, [line for line in (*rails, *SMALL) if line.thing in wanted]


def by_solver(needs: dict[str, int], lines: list[Line], parcels: int | None = None) -> int | None:
    """The least cost in cents, by ``scipy.optimize.milp``; None where nothing can be ordered."""
    senders = list(SENDERS)
    many, wide = len(lines), len(lines) + 2 * len(senders)  # units, then parcel sent, then parcel is long
    cost = [line.price for line in lines]
    cost += [SENDERS[name].parcel for name in senders] + [SENDERS[name].long for name in senders]
    rows, low, high = [], [], []

    def add(entries: dict[int, float], least: float, most: float) -> None:
        row = numpy.zeros(wide)
        for place, value in entries.items():
            row[place] = value
        rows.append(row)
        low.append(least)
        high.append(most)

    for thing, number in needs.items():
        add({k: line.pieces for k, line in enumerate(lines) if line.thing == thing}, number, numpy.inf)
    for number, name in enumerate(senders):
        sent, is_long = many + number, many + len(senders) + number
        here = [k for k, line in enumerate(lines) if line.seller == name]
        for k in here:
            add({k: 1, sent: -BIG}, -numpy.inf, 0)
            if lines[k].thing in LONG:
                add({k: 1, is_long: -BIG}, -numpy.inf, 0)
        add({**{k: lines[k].price for k in here}, sent: -SENDERS[name].least}, 0, numpy.inf)
    if parcels is not None:
        add({many + n: 1 for n, name in enumerate(senders) if SENDERS[name].parcel}, 0, parcels)
    upper = [float(line.stock) for line in lines] + [1.0] * (2 * len(senders))
    answer = milp(
        cost,
        constraints=LinearConstraint(numpy.array(rows), low, high),
        bounds=Bounds(0, upper),
        integrality=numpy.ones(wide),
    )
    return round(answer.fun) if answer.success else None


def by_hand(needs: dict[str, int], lines: list[Line], parcels: int | None = None) -> int | None:
    """The least cost in cents, by trying every number of units up to one more than is enough."""
    tried = [range(min(line.stock, -(-needs[line.thing] // line.pieces) + 1) + 1) for line in lines]
    best: int | None = None
    for units in product(*tried):
        if any(
            sum(n * line.pieces for n, line in zip(units, lines, strict=True) if line.thing == thing) < number
            for thing, number in needs.items()
        ):
            continue
        total, sent = 0, 0
        for name, sender in SENDERS.items():
            here = [(n, line) for n, line in zip(units, lines, strict=True) if n and line.seller == name]
            goods = sum(n * line.price for n, line in here)
            if here and goods < sender.least:
                break
            free = name == "drawer" and goods >= FREE_FROM
            total += goods + (sender.parcel if here and not free else 0)
            total += sender.long if any(line.thing in LONG for _, line in here) else 0
            sent += bool(here and sender.parcel)
        else:
            if (parcels is None or sent <= parcels) and (best is None or total < best):
                best = total
    return best


@pytest.mark.parametrize(("system", "lid"), CASES)
def test_the_totals_of_the_page_are_the_least_ones(system: str, lid: bool) -> None:
    """Solver, enumeration and the table of the page agree to the cent."""
    needs, lines = needs_and_lines(system, lid)
    table = PAGE_TABLES[f"{system}, with the lid" if lid else system]
    assert by_solver(needs, lines) == by_hand(needs, lines) == cents(table.total)


def test_one_parcel_or_two() -> None:
    """What the page says a second parcel saves."""
    least = {
        parcels: min(
            cost
            for system in SYSTEMS
            if (cost := by_solver(*needs_and_lines(system, lid=True), parcels=parcels)) is not None
        )
        for parcels in (1, 2)
    }
    assert least == {1: 3850, 2: 3750}


def test_the_turning_price() -> None:
    """At the price that the page names the lipped rails cost as much as the channel; a cent below they are cheaper."""
    needs, lines = needs_and_lines("lipped", lid=True)
    found = {
        price: by_hand(needs, [line._replace(price=price) if line.thing == "rail" else line for line in lines])
        for price in (599, 600, 601)
    }
    assert found == {599: 3748, 600: 3750, 601: 3752}
    assert by_hand(*needs_and_lines("channel", lid=True)) == 3750


def test_a_lid_that_waits() -> None:
    """Two orders against one, on lipped rails; the yard does not send the lid alone."""
    alone = by_hand({"lid": 1}, [line for line in SMALL if line.thing == "lid"])
    assert alone == by_solver({"lid": 1}, [line for line in SMALL if line.thing == "lid"]) == 1650
    start, together = by_solver(*needs_and_lines("lipped", lid=False)), by_solver(*needs_and_lines("lipped", lid=True))
    assert (start, together) == (2600, 3850)


def test_a_stale_price_decides() -> None:
    """The pair of channel rails at 10 % more (11.44) turns the answer; at 11.40 both would cost the same."""
    needs, lines = needs_and_lines("channel", lid=True)
    lipped = by_solver(*needs_and_lines("lipped", lid=True))
    found = {
        price: by_solver(needs, [line._replace(price=price) if line.pieces == 2 else line for line in lines])
        for price in (1040, 1139, 1140, 1144)
    }
    assert found == {1040: 3750, 1139: 3849, 1140: 3850, 1144: 3854}
    assert lipped == 3850


def test_a_break_that_makes_more_cheaper() -> None:
    """46 nuts at 0.12 cost more than 50 at 0.10 (all units at the lower price)."""
    assert 46 * 12 == 552 > 50 * 10 == 500


def terms(yearly: int, order: int, share: str, price: str, size: int) -> tuple[Fraction, Fraction, Fraction]:
    """What is bought in a year, what ordering it costs, and what lying in store costs (half of an order on average)."""
    each = Fraction(price)
    return yearly * each, order * Fraction(yearly, size), Fraction(share) * each * size / 2


PUBLISHED = {
    # An operations-management textbook exercise, its data on a public page; answer 1,000 at a time, total 24,725.
    "24,000 + 245 + 480 = 24,725": terms(5000, 49, "0.20", "4.80", 1000),
    # A public answer: 200 at a time, total 40,080.
    "38,400 + 240 + 1,440 = 40,080": terms(800, 60, "0.30", "48", 200),
    # The documentation (doctest) of the inventory package stockpyl: 500 at a time, total 472,900.
    "450,000 + 400 + 22,500 = 472,900": terms(1000, 200, "0.2", "450", 500),
}
"""All-units price breaks. Only the first term is what an order costs; the other two are the textbook's."""


@pytest.mark.parametrize("told", PUBLISHED)
def test_the_published_price_breaks(told: str) -> None:
    """The page's sums are the published ones, term by term."""
    three = PUBLISHED[told]
    assert " + ".join(f"{term:,}" for term in map(int, three)) + f" = {int(sum(three)):,}" == told
    assert all(term.denominator == 1 for term in three)
    assert told in " ".join(PAGE.read_text(encoding="utf-8").split())


def test_the_published_answer_is_the_least_of_its_breaks() -> None:
    """The textbook exercise at its three candidates: 700 at 5.00, and the ends of the breaks at 1,000 and 2,000."""
    candidates = [("5.00", 700), ("4.80", 1000), ("4.75", 2000)]
    totals = [sum(terms(5000, 49, "0.20", price, size)) for price, size in candidates]
    assert totals == [Fraction(25700), Fraction(24725), Fraction("24822.5")]

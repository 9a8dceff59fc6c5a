"""Where to buy what: small racks go in; sums are worked out beside each test, as one would on paper."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import pytest

from rackspec.solve.orders import saved_together
from tests.solve.orders_at import bought_at, order_for

THINGS = """
part knob {
    price 5 EUR
}
part lamp {
}
"""
TWO_SHOPS = (
    THINGS
    + """
seller mill {
    ships 4 EUR
    sells knob at 3 EUR
    sells lamp at 7 EUR
}
seller quay {
    ships 5 EUR
    free from 20 EUR
    sells knob at 2.50 EUR
    sells lamp at 8 EUR
}
"""
)
RAILS = """
rail low-rail {
    length 20HP
}
rail high-rail {
    length 20HP
}
part knob {
}
"""


def rack(*lines: str) -> str:
    """A rack of lines."""
    return "rack tray {\n" + "\n".join(lines) + "\n}\n"


def test_one_shop_is_cheaper_than_two_where_shipping_decides() -> None:
    """4 knobs, 1 lamp: mill 12 + 7 + 4 = 23; quay 10 + 8 + 5 = 23 (18 is below 20); knobs from quay, lamp from mill:
    10 + 5 + 7 + 4 = 26. With 5 knobs: mill 15 + 7 + 4 = 26; quay 12.50 + 8 = 20.50, sent free."""
    ordered = order_for(TWO_SHOPS + rack("also 5 of knob", "also 1 of lamp"))
    assert ordered.best.cost == Fraction("20.5")
    assert bought_at(ordered) == {("quay", "knob"): 5, ("quay", "lamp"): 1}
    four = order_for(TWO_SHOPS + rack("also 4 of knob", "also 1 of lamp"))
    # one knob more makes it 20.50, sent free: cheaper than 23
    assert four.best.cost == Fraction("20.5")
    assert bought_at(four)["quay", "knob"] == 5


def test_each_thing_where_it_is_cheapest_is_dearer() -> None:
    """2 knobs from quay 5 + 5, 1 lamp from mill 7 + 4: 21; all from mill: 6 + 7 + 4 = 17."""
    ordered = order_for(TWO_SHOPS + rack("also 2 of knob", "also 1 of lamp"))
    assert ordered.best.cost == 17
    alone = ordered.one_by_one[0].order
    assert alone is not None
    assert (alone.cost, alone.parcels) == (21, 2)


def test_without_a_seller() -> None:
    """Without mill: 5 + 8 + 5 = 18. Without either there is only the price that is written with the knob."""
    text = TWO_SHOPS + rack("also 2 of knob", "also 1 of lamp")
    assert order_for(text, without=("mill",)).best.cost == 18
    nobody = order_for(text, without=("mill", "quay"))
    order = nobody.best.orders[0]
    assert [(one.lacking.need.part, one.lacking.reason, one.cost) for one in order.written] == [("knob", "without", 10)]
    assert [(one.need.part, one.reason) for one in order.open] == [("lamp", "without")]
    assert nobody.best.cost == 10


def test_stages_are_orders_of_their_own_and_packs_serve_the_next() -> None:
    """At the start 3 knobs out of a pack of 5, and later 2 more out of the same pack: later only a lamp is ordered.
    10 + 4 = 14, then 7 + 4 = 11; in one order 10 + 7 + 4 = 21: that saves a parcel, 4."""
    shop = "seller mill {\n ships 4 EUR\n sells knob at 10 EUR pack 5\n sells lamp at 7 EUR\n}\n"
    text = THINGS + shop + rack("stage may", "also 3 of knob", "also 2 of knob in may", "also 1 of lamp in may")
    ordered = order_for(text)
    assert [order.cost for order in ordered.best.orders] == [14, 11]
    assert ordered.best.orders[1].kept == (("knob", 2),)
    assert saved_together(ordered) == 4
    later = order_for(text, stage=1)
    assert later.best.cost == 11
    assert bought_at(later) == {("mill", "lamp"): 1}
    assert later.together is None


def test_parcels_and_what_each_saves() -> None:
    """Lamps at mill 7 or at quay 30, knobs at mill 9 or at quay 2, five of each; 4 and 5 a parcel. One parcel: mill
    80 + 4 = 84, quay 160, so 84. Two: 35 + 4 + 10 + 5 = 54, which saves 30."""
    shops = """
seller mill {
    ships 4 EUR
    sells knob at 9 EUR
    sells lamp at 7 EUR
}
seller quay {
    ships 5 EUR
    sells knob at 2 EUR
    sells lamp at 30 EUR
}
"""
    text = THINGS + shops + rack("also 5 of knob", "also 5 of lamp")
    ordered = order_for(text)
    told = [(one.most, one.plan.cost if one.plan else None, one.saves) for one in ordered.parcels]
    assert told == [(1, 84, None), (2, 54, 30)]
    single = order_for(text, most=1)
    assert single.best.cost == 84
    assert [one.plan.cost for one in single.parcels if one.plan] == [84, 54]


def test_what_stops_a_single_parcel_is_named() -> None:
    """Nobody has both."""
    shops = (
        "seller mill {\n ships 4 EUR\n sells knob at 9 EUR\n}\nseller quay {\n ships 5 EUR\n sells lamp at 2 EUR\n}\n"
    )
    ordered = order_for(THINGS + shops + rack("also 1 of knob", "also 1 of lamp"))
    assert ordered.parcels[0].plan is None
    assert "'lamp' (quay)" in ordered.parcels[0].stopped
    assert not order_for(THINGS + shops + rack("also 1 of knob", "also 1 of lamp"), most=1).best.possible


def test_rails_and_the_price_at_which_the_second_best_wins() -> None:
    """Knobs come from mill in any case: 3 x 2 + 4 = 10. Low rails from mill: 2 x 6 more, 22. High rails from quay:
    2 x 5 + 3 = 13 more, 23. So 1 dearer; at 4.50 a rail it is 22, the same; at 4.49 it wins."""
    shops = """
seller mill {
    ships 4 EUR
    sells knob at 2 EUR
    sells low-rail at 6 EUR
}
seller quay {
    ships 3 EUR
    sells high-rail at 5 EUR
}
"""
    row = "row top {\n rails high-rail\n or low-rail\n}"
    ordered = order_for(RAILS + shops + rack("also 3 of knob", row))
    assert [plan.way.rails[0][1] for plan in ordered.ways.plans] == ["low-rail", "high-rail"]
    assert [(one.goods, one.shipping, one.rails_in_all, one.plan.cost) for one in ordered.rails] == [
        (12, 0, 12, 22),
        (10, 3, 13, 23),
    ]
    second = ordered.second
    assert second is not None
    assert second.turning is not None
    assert (second.dearer, second.parts.needed, second.parts.shipping) == (1, -2, 3)
    assert (second.turning.offer.part, second.turning.price) == ("high-rail", Fraction("4.49"))
    assert second.turning.plan is not None
    assert second.turning.plan.cost == Fraction("21.98")


def test_where_the_search_for_a_price_is_given_up_what_was_found_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """The rails of the test above: at 4.49 the second-best wins, at 4.50 it does not, and others were not tried."""
    monkeypatch.setattr("rackspec.solve.turning_prices.MOST_SOLVED", 0)
    shops = """
seller mill {
    ships 4 EUR
    sells knob at 2 EUR
    sells low-rail at 6 EUR
}
seller quay {
    ships 3 EUR
    sells high-rail at 5 EUR
}
"""
    second = order_for(RAILS + shops + rack("also 3 of knob", "row top {\n rails high-rail\n or low-rail\n}")).second
    assert second is not None
    assert second.turning is not None
    assert (second.turning.price, second.turning.given_up) == (Fraction("4.49"), True)
    assert second.turning.plan is not None
    assert second.turning.plan.cost == Fraction("21.98")


def test_of_too_many_combinations_those_on_the_same_rails_are_looked_at() -> None:
    """Five rows with four choices each are 1024: the last choice is the cheapest, 5 x 2 x 1 + 4 = 14 EUR. That nothing
    is cheaper is not proved."""
    names = ("first", "second", "third", "fourth")
    rails = "".join(f"rail {name} {{\n length 20HP\n}}\n" for name in names)
    offers = "".join(f" sells {name} at {4 - number} EUR\n" for number, name in enumerate(names))
    rows = [f"row r{n} {{\n rails first\n or second\n or third\n or fourth\n}}" for n in range(5)]
    ordered = order_for(rails + f"seller mill {{\n ships 4 EUR\n{offers}}}\n" + rack(*rows))
    assert (ordered.ways.there, ordered.ways.looked_at) == (1024, 512)
    assert {rail for _, rail, _ in ordered.best.way.rails} == {"fourth"}
    assert ordered.best.cost == 14
    assert (ordered.best.proved, ordered.proved) == (True, False)
    few = order_for(rails + f"seller mill {{\n ships 4 EUR\n{offers}}}\n" + rack(*rows[:4]))
    assert (few.ways.there, few.best.cost, few.proved) == (256, 12, True)


def test_a_price_that_never_turns() -> None:
    """Low rails 12 in a parcel that comes anyway; high rails for nothing would still take a parcel of 13."""
    shops = """
seller mill {
    ships 4 EUR
    sells knob at 2 EUR
    sells low-rail at 6 EUR
}
seller quay {
    ships 13 EUR
    sells high-rail at 5 EUR
}
"""
    second = order_for(RAILS + shops + rack("also 3 of knob", "row top {\n rails high-rail\n or low-rail\n}")).second
    assert second is not None
    assert second.turning is not None
    assert (second.turning.price, second.turning.plan, second.turning.given_up) == (None, None, False)


def test_on_one_pair_of_rails_another_set_of_sellers_is_second() -> None:
    """5 lamps at mill 7 + 4 a parcel: 39; at quay 8 and sent free: 40. At 7.79 a lamp quay is 38.95
    and wins; at 7.80 it is 39, and mill holds."""
    shops = """
seller mill {
    ships 4 EUR
    sells lamp at 7 EUR
}
seller quay {
    ships 5 EUR
    free from 20 EUR
    sells lamp at 8 EUR
}
"""
    second = order_for(THINGS + shops + rack("also 5 of lamp")).second
    assert second is not None
    assert second.turning is not None
    assert (second.without, second.dearer) == ("mill", 1)
    assert second.turning.price == Fraction("7.79")
    assert second.turning.plan is not None
    assert second.turning.plan.cost == Fraction("38.95")


def test_the_ranking_of_rails_flips_with_the_basket() -> None:
    """With nothing from mill, low rails want a parcel of their own: 12 + 4 = 16 against 10 + 3 = 13."""
    shops = """
seller mill {
    ships 4 EUR
    sells knob at 2 EUR
    sells low-rail at 6 EUR
}
seller quay {
    ships 3 EUR
    sells high-rail at 5 EUR
}
"""
    ordered = order_for(RAILS + shops + rack("row top {\n rails high-rail\n or low-rail\n}"))
    assert [(plan.way.rails[0][1], plan.cost) for plan in ordered.ways.plans] == [("high-rail", 13), ("low-rail", 16)]


def test_rows_in_each_others_place_are_one_combination() -> None:
    """Three rows on two kinds of rails: 8 combinations, of which 4 want different things. Six rails of either kind: low
    6 x 6 + 4 = 40, high 6 x 5 + 3 = 33, and mixed ones take two parcels."""
    shops = """
seller mill {
    ships 4 EUR
    sells low-rail at 6 EUR
}
seller quay {
    ships 3 EUR
    sells high-rail at 5 EUR
}
"""
    rows = [f"row {name} {{\n rails high-rail\n or low-rail\n}}" for name in ("top", "middle", "low")]
    ordered = order_for(RAILS + shops + rack(*rows))
    assert (ordered.ways.there, ordered.ways.looked_at, ordered.ways.different) == (8, 8, 4)
    assert [plan.cost for plan in ordered.ways.plans] == [33, 39, 40, 41]


def test_more_combinations_than_are_told_give_the_same_best() -> None:
    """Four rows on four kinds of rails of one seller: 35 different combinations. The cheapest rails in all rows win,
    8 x 3 + 2 = 26; then one row a euro a rail dearer, 28."""
    rails = "".join(f"rail rail-{name} {{\n length 20HP\n}}\n" for name in "abcd")
    prices = "".join(f" sells rail-{name} at {price} EUR\n" for name, price in zip("abcd", (6, 3, 5, 4), strict=True))
    choices = "rails rail-a\n or rail-b\n or rail-c\n or rail-d"
    rows = [f"row row-{number} {{\n {choices}\n}}" for number in range(4)]
    ordered = order_for(rails + "seller mill {\n ships 2 EUR\n" + prices + "}\n" + rack(*rows))
    assert (ordered.ways.there, ordered.ways.different, len(ordered.ways.plans)) == (256, 35, 16)
    assert [plan.cost for plan in ordered.ways.plans[:3]] == [26, 28, 30]
    assert {rail for _, rail, _ in ordered.best.way.rails} == {"rail-b"}


def test_rails_that_nobody_sells_come_last() -> None:
    """However cheap they are written."""
    text = """
rail low-rail {
    length 20HP
    price 1 EUR
}
rail high-rail {
    length 20HP
}
seller quay {
    ships 3 EUR
    sells high-rail at 50 EUR
}
"""
    ordered = order_for(text + rack("row top {\n rails low-rail\n or high-rail\n}"))
    assert ordered.best.way.rails == (("top", "high-rail", ""),)


@pytest.mark.parametrize(
    ("basis", "share", "turns"),
    [("guessed", 50, True), ('stated "leaflet" 2026-01-02', 10, False), ('stated "leaflet" 2026-11-02', None, False)],
)
def test_doubtful_prices(basis: str, share: int | None, turns: bool) -> None:
    """A lamp at 10 from mill, at 12 from quay, both fetched. A guess may be off by half: at 15 it comes from quay.
    An old price may be off by a tenth: 11 at most, and it is still bought at mill. A new one is not doubted."""
    shops = f"""
seller mill {{
    ships nothing
    sells lamp at 10 EUR {basis}
}}
seller quay {{
    ships nothing
    sells lamp at 12 EUR stated "leaflet" 2026-11-02
}}
"""
    ordered = order_for(THINGS + shops + rack("also 1 of lamp"))
    assert [(one.price, one.plan.cost) for one in ordered.doubts.turning] == ([(15, 12)] if turns else [])
    assert len(ordered.doubts.settled) == (0 if turns or share is None else 1)


def test_nothing_is_old_without_a_day() -> None:
    """Only guesses are doubted then."""
    shop = 'seller mill {\n ships nothing\n sells lamp at 10 EUR stated "leaflet" 2020-01-02\n}\n'
    text = THINGS + shop + rack("also 1 of lamp")
    assert order_for(text, today=None).doubts.settled == ()
    assert len(order_for(text).doubts.settled) == 1


def test_nothing_to_buy_and_no_seller() -> None:
    """Neither is an error."""
    assert order_for(TWO_SHOPS + rack("also 1 of knob", "have 1 of knob")).best.cost == 0
    alone = order_for(THINGS + "house {\n    currency EUR\n}\n" + rack("also 1 of knob"))
    assert (alone.best.cost, alone.best.possible) == (5, True)


def shops_at_random(random: Random, names: str) -> str:
    """Sellers with random prices; the first one sells everything, so that there is an order."""
    texts = []
    for name in names:
        lines = [f"ships {random.randint(1, 6)} EUR"]
        if random.random() < 0.5:
            lines.append(f"free from {random.randint(8, 30)} EUR")
        for thing in ("knob", "lamp", "low-rail", "high-rail"):
            if name == names[0] or random.random() < 0.6:
                form = random.choice(("", "", " pack 4"))
                lines.append(f"sells {thing} at {random.randint(1, 12)} EUR{form}")
        texts.append(f"seller shop-{name} {{\n" + "\n".join(lines) + "\n}\n")
    return "".join(texts)


@pytest.mark.parametrize("seed", range(25))
def test_properties_of_random_racks(seed: int) -> None:
    """Leaving out a seller is never cheaper; a parcel more never dearer; all stages in one order, with one sum for all
    parcels that falls where it changes, never dearer than stage by stage; no rails are cheaper than the best."""
    random = Random(seed)
    things = RAILS + "part lamp {\n}\n"
    row = "row top {\n rails low-rail\n or high-rail\n}"
    lines = ("stage may", f"also {random.randint(1, 5)} of knob", f"also {random.randint(1, 3)} of lamp in may", row)
    text = things + shops_at_random(random, "abc") + rack(*lines)
    ordered = order_for(text)
    best = ordered.best
    assert best.possible
    assert best.proved
    for left_out in ("shop-b", "shop-c"):
        fewer = order_for(text, without=(left_out,)).best
        assert fewer.orders[0].cost >= min(one.plan.orders[0].cost for one in ordered.rails)
        if fewer.lacking == best.lacking and len(ordered.rails) and not best.orders[0].shop.lacking:
            assert fewer.cost >= best.orders[0].found.bound
    costs = [one.plan.cost for one in ordered.parcels if one.plan is not None]
    assert all(one.saves is None or one.saves == costs[n - 1] - costs[n] for n, one in enumerate(ordered.parcels) if n)
    assert saved_together(ordered) is not None
    assert ordered.together is not None
    assert ordered.together.cost <= best.cost
    assert min(one.plan.cost for one in ordered.rails) == best.cost
    again = order_for(text)
    assert (again.best.cost, again.best.way.rails) == (best.cost, best.way.rails)


@pytest.mark.parametrize("seed", range(15))
def test_fewer_sellers_and_parcels_are_never_cheaper(seed: int) -> None:
    """Where there is one stage."""
    random = Random(1000 + seed)
    things = RAILS + "part lamp {\n}\n"
    row = "row top {\n rails low-rail\n or high-rail\n}"
    text = things + shops_at_random(random, "abc") + rack(f"also {random.randint(1, 5)} of knob", "also 2 of lamp", row)
    ordered = order_for(text)
    for left_out in ("shop-b", "shop-c"):
        assert order_for(text, without=(left_out,)).best.cost >= ordered.best.cost
    costs = [one.plan.cost for one in ordered.parcels if one.plan is not None]
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] == ordered.best.cost or len(ordered.parcels) == 3

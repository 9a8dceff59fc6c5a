"""The cheapest order, rule by rule, with sums that can be checked by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rackspec.physics.basket import Basket, Landed, Lot, Post, Tier, landed
from rackspec.physics.cheapest import bound_of, cheapest

SENT = Post(((Fraction(0), Fraction(6)),))
"""A parcel costs 6."""


def lot(seller: int, need: int, price: str, each: int = 1, stock: int | None = None) -> Lot:
    """A lot with one price."""
    return Lot(seller, ((need, each),), (Tier(1, Fraction(price)),), stock)


def order_of(basket: Basket) -> Landed:
    """The cheapest order; it is proved, and costs what it is said to cost."""
    found = cheapest(basket)
    assert found.proved
    assert found.order is not None
    assert found.order == landed(basket, found.order.units)
    assert found.bound == found.order.cost
    assert bound_of(basket) <= found.order.cost
    return found.order


def test_nothing_to_buy() -> None:
    """An order of nothing costs nothing."""
    assert order_of(Basket((), (), ())).cost == 0
    assert order_of(Basket((0,), (lot(0, 0, "3"),), (SENT,))).units == (0,)


def test_two_parcels_or_one() -> None:
    """Cheaper goods do not pay for a second parcel; much cheaper ones do."""
    lots = lot(0, 0, "20"), lot(0, 1, "15"), lot(1, 1, "10")
    basket = Basket((1, 1), lots, (SENT, SENT))
    assert order_of(basket).units == (1, 1, 0)  # 41; the other way 42
    assert order_of(basket._replace(lots=(*lots[:2], lot(1, 1, "8.99")))).units == (1, 0, 1)  # 40.99


def test_more_goods_for_a_free_parcel() -> None:
    """Screws that nobody needs are bought where they save more than they cost."""
    post = SENT._replace(free=Fraction(50))
    basket = Basket((1, 10), (lot(0, 0, "44"), lot(0, 1, "0.50")), (post,))
    order = order_of(basket)
    assert order.units == (1, 12)
    assert order.cost == 50
    dear = basket._replace(lots=(lot(0, 0, "38"), lot(0, 1, "0.50")))
    assert order_of(dear).units == (1, 10)  # 43 and 6 to send; 50 would be dearer


def test_the_least_sum_of_a_seller() -> None:
    """What a seller does not send alone is filled up, or bought elsewhere."""
    small = SENT._replace(smallest=Fraction(15))
    basket = Basket((1,), (lot(0, 0, "4"), lot(1, 0, "13")), (small, SENT))
    assert order_of(basket).units == (0, 1)  # 19; four of the others are 16, and 6 to send
    assert order_of(basket._replace(lots=(lot(0, 0, "3.75"), lot(1, 0, "16")))).units == (4, 0)


def test_what_is_ordered_there_anyway() -> None:
    """Only what a parcel becomes dearer is paid; where it becomes free, that is saved."""
    anyway = SENT._replace(free=Fraction(50), anyway=Fraction(45))
    basket = Basket((1,), (lot(0, 0, "7"), lot(1, 0, "1.50")), (anyway, Post()))
    order = order_of(basket)
    assert (order.units, order.cost, order.parcels) == ((1, 0), Fraction(1), 0)  # 7, and 6 saved
    assert order_of(basket._replace(lots=(lot(0, 0, "7"), lot(1, 0, "0.50")))).cost == Fraction("0.50")


def test_a_parcel_that_gets_dearer() -> None:
    """Steps may rise: then less in a parcel can be worth a second parcel."""
    rising = Post(((Fraction(0), Fraction(4)), (Fraction(50), Fraction(20))))
    basket = Basket((2,), (lot(0, 0, "30"), lot(1, 0, "33")), (rising, Post(((Fraction(0), Fraction(5)),))))
    assert order_of(basket).units == (0, 2)  # 71; 30 + 4 + 33 + 5 are 72, and 60 + 20 are 80
    assert order_of(basket._replace(posts=(rising, Post(((Fraction(0), Fraction(9)),))))).units == (0, 2)
    dear = Post(((Fraction(0), Fraction(5)), (Fraction(50), Fraction(25))))
    assert order_of(basket._replace(posts=(rising, dear))).units == (1, 1)


def test_a_long_piece_and_a_heavy_parcel() -> None:
    """The longest piece counts once, and so does the mass of all together."""
    long_rail = lot(0, 0, "10")._replace(length=Fraction(600))
    post = SENT._replace(longer=((Fraction(500), Fraction(7)),))
    assert order_of(Basket((4,), (long_rail,), (post,))).cost == 53
    assert order_of(Basket((4,), (long_rail, lot(1, 0, "11")), (post, SENT))).units == (0, 4)
    heavy = lot(0, 0, "10")._replace(mass=Fraction(400))
    post = SENT._replace(heavier=((Fraction(1000), Fraction(9)),))
    assert order_of(Basket((3,), (heavy, lot(1, 0, "15")), (post, Post()))).units == (2, 1)


def test_kits() -> None:
    """A kit is bought where it is cheaper than what is in it, and in the right number."""
    kit = Lot(0, ((0, 2), (1, 4)), (Tier(1, Fraction(30)),))
    basket = Basket((4, 4), (lot(0, 0, "9"), lot(0, 1, "4"), kit), (SENT,))
    assert order_of(basket).units == (2, 0, 1)  # 48; without the kit 52, with two 60
    assert order_of(basket._replace(needs=(4, 8))).units == (0, 0, 2)


def test_stock() -> None:
    """What a seller has not, another one has."""
    basket = Basket((3,), (lot(0, 0, "5", stock=2), lot(1, 0, "9")), (SENT, Post()))
    assert order_of(basket).units == (2, 1)
    assert cheapest(basket._replace(needs=(3,), lots=(lot(0, 0, "5", stock=2),), posts=(SENT,))).impossible


def test_what_cannot_be_had() -> None:
    """There is no order: proved, and called so."""
    found = cheapest(Basket((1, 1), (lot(0, 0, "5"),), (SENT,)))
    assert (found.order, found.proved, found.impossible) == (None, True, True)
    lots = lot(0, 0, "5"), lot(1, 1, "5")
    assert cheapest(Basket((1, 1), lots, (SENT, SENT), 1)).impossible
    assert not cheapest(Basket((1, 1), lots, (SENT, SENT._replace(parcel=False)), 1)).impossible
    assert not cheapest(Basket((1, 1), lots, (SENT, SENT._replace(anyway=Fraction(1))), 1)).impossible


def test_a_wish_for_a_cost() -> None:
    """Nothing that costs more is looked for."""
    basket = Basket((1,), (lot(0, 0, "5"),), (SENT,))
    assert cheapest(basket, at_most=Fraction(11)).order == landed(basket, (1,))
    found = cheapest(basket, at_most=Fraction("10.99"))
    assert (found.order, found.proved, found.impossible, found.bound) == (None, True, False, Fraction("10.99"))


def test_needs_that_are_too_many() -> None:
    """A million screws are not searched, but an order is made, and nothing is claimed."""
    basket = Basket((1_000_000,), (lot(0, 0, "0.03"), lot(1, 0, "2.50", each=100)), (SENT, SENT))
    found = cheapest(basket)
    assert found.order is not None
    assert found.order == landed(basket, (0, 10_000))
    assert (found.proved, found.how) == (False, "given up")
    assert bound_of(basket) <= found.bound <= found.order.cost


@pytest.mark.parametrize("divisor", [3, 7, 997])
def test_fractions_stay_exact(divisor: int) -> None:
    """Prices that came out of a rate of exchange are not rounded: a difference of a part of a cent decides."""
    price = Fraction(10, divisor)
    basket = Basket((3,), (lot(0, 0, "1"), lot(1, 0, "1")), (Post(), Post()))
    cheaper = Lot(0, ((0, 1),), (Tier(1, price),)), Lot(1, ((0, 1),), (Tier(1, price - Fraction(1, 10**12)),))
    order = order_of(basket._replace(lots=cheaper))
    assert (order.units, order.cost) == ((0, 3), 3 * price - Fraction(3, 10**12))


def test_the_same_basket_gives_the_same_order() -> None:
    """Where two orders cost the same, one is taken, always the same one."""
    basket = Basket((2, 2), tuple(lot(seller, need, "5") for seller in (0, 1) for need in (0, 1)), (SENT, SENT))
    assert {cheapest(basket) for _ in range(5)} == {cheapest(basket)}
    assert order_of(basket).parcels == 1


def test_goods_beyond_a_sum_earn_nothing() -> None:
    """Two things of the seller whose parcel gets free are 28 and save 14; one of them, and one of another's, are 26."""
    lots = (
        Lot(1, ((0, 2),), (Tier(1, Fraction(18)), Tier(3, Fraction("7.20")))),
        lot(1, 0, "9"),
        lot(0, 0, "11", stock=1),
        lot(0, 0, "17", each=2, stock=1)._replace(mass=Fraction(6)),
    )
    anyway = Post(((Fraction(0), Fraction(14)),), Fraction(36), heavier=((Fraction(14), Fraction(1)),))
    order = order_of(Basket((3,), lots, (anyway._replace(anyway=Fraction(23), parcel=False), Post())))
    assert order.units == (0, 1, 0, 1)
    assert order.cost == 12


def test_two_short_pieces_are_not_a_long_one() -> None:
    """Where long parcels cost no more, one long piece makes the parcel such a one, two shorter ones do not."""
    post = Post(longer=((Fraction(300), Fraction(9)), (Fraction(500), Fraction(0))))
    short = lot(0, 0, "10")._replace(length=Fraction(400)), lot(0, 1, "10")._replace(length=Fraction(400))
    order = order_of(Basket((1, 1), (*short, lot(0, 0, "12")._replace(length=Fraction(600))), (post,)))
    assert order.units == (0, 1, 1)
    assert order.cost == 22


def test_masses_of_several_needs_add_up() -> None:
    """One of two things comes from elsewhere, because both together are too heavy."""
    post = Post(heavier=((Fraction(1000), Fraction(9)),))
    lots = tuple(
        lot(seller, need, price)._replace(mass=Fraction(600))
        for need in (0, 1)
        for seller, price in ((0, "10"), (1, "12"))
    )
    assert order_of(Basket((1, 1), lots, (post, Post()))).cost == 22
    light = tuple(one._replace(mass=Fraction(500)) for one in lots)
    assert order_of(Basket((1, 1), light, (post, Post()))).cost == 20  # 1000 g are not more than 1000 g

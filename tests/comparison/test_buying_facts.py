"""Facts of sellers, parts and money are edited; each must be told by its thing, with what is written on each side."""

from __future__ import annotations

import pytest

from rackspec.views.comparison_verdict import verdict
from tests.comparison.texts import compared, contents

SPEC = """\
insert m3-nut {
    nut M3
}
rail lipped {
    length 84HP
    takes m3-nut
    price 20 EUR
}
part cable {
    ribbon 10-pin
}
part brick {
    adapter 12V 2A
}
part jar {
    holds 100 of M3x8
    holds 50 of M3 washer
}
sheet ply {
    size 600mm x 300mm
    count 1
}
module saw {
    width 14HP
    ribbon along
    price 90 EUR
}
seller oddments {
    ships 5 EUR
    ships 3 EUR from 50 EUR
    free from 100 EUR
    least 10 EUR
    longer 1m adds 6 EUR
    heavier 2kg adds 4 EUR
    days 3 to 5
    sells lipped at 12 EUR each
    sells lipped at 11 EUR from 4 stock 9
    sells M3x8 at 4 EUR pack 100
    sells M4 washer at 0.05 EUR
    sells blank 6HP at 3 EUR
}
seller stall {
    ships nothing
}
house {
    currency EUR
    rate 1 GBP is 1.17 EUR stated 2026-10-01
    old price 90 days
}
rack shelf {
    budget 300 EUR
    stage later
    have 8 of M4 washer
    have 3 of M3x8
    have 1 of blank 6HP
    also 2 of cable
    spent 30 EUR
    gift 40 EUR in later
    anyway 20 EUR from oddments
    row a {
        rails lipped with m3-nut
        at 0HP saw
    }
}
"""

EDITS = {
    "what a parcel costs": ("ships 5 EUR", "ships 6 EUR", "seller ships: 5 EUR -> 6 EUR"),
    "a later step": ("3 EUR from 50 EUR", "2 EUR from 50 EUR", "seller ships: 3 EUR from 50 EUR -> 2 EUR from 50 EUR"),
    "where a step begins": ("from 50 EUR", "from 60 EUR", "seller ships: 3 EUR from 50 EUR -> 3 EUR from 60 EUR"),
    "free": ("free from 100 EUR", "free from 90 EUR", "seller free: from 100 EUR -> from 90 EUR"),
    "least": ("least 10", "least 20", "seller least: 10 EUR -> 20 EUR"),
    "long pieces": ("longer 1m", "longer 2m", "seller longer: 1m adds 6 EUR -> 2m adds 6 EUR"),
    "heavy parcels": ("2kg adds 4", "2kg adds 5", "seller heavier: 2kg adds 4 EUR -> 2kg adds 5 EUR"),
    "days": ("days 3 to 5", "days 3 to 6", "seller days: 3 to 5 -> 3 to 6"),
    "a price": ("at 12 EUR each", "at 13 EUR each", "seller sells: lipped at 12 EUR each -> lipped at 13 EUR each"),
    "a price for more": (
        "at 11 EUR from 4",
        "at 10 EUR from 4",
        "seller sells: lipped at 11 EUR from 4 stock 9 -> lipped at 10 EUR from 4 stock 9",
    ),
    "a stock": (
        "stock 9",
        "stock 8",
        "seller sells: lipped at 11 EUR from 4 stock 9 -> lipped at 11 EUR from 4 stock 8",
    ),
    "the price of a washer": (
        "0.05 EUR",
        "0.06 EUR",
        "seller sells: M4 washer at 0.05 EUR -> M4 washer at 0.06 EUR",
    ),
    "the price of a blank": ("6HP at 3", "6HP at 2", "seller sells: blank 6HP at 3 EUR -> blank 6HP at 2 EUR"),
    "an offer that goes": (
        "    sells M3x8 at 4 EUR pack 100\n",
        "",
        "seller sells: M3x8 at 4 EUR pack 100 -> nothing",
    ),
    "another pack is another offer": (
        "pack 100",
        "pack 200",
        "seller sells: M3x8 at 4 EUR pack 100 -> nothing; seller sells: nothing -> M3x8 at 4 EUR pack 200",
    ),
    "another number is another offer": (
        "from 4 stock",
        "from 5 stock",
        """seller sells: lipped at 11 EUR from 4 stock 9 -> nothing; \
seller sells: nothing -> lipped at 11 EUR from 5 stock 9""",
    ),
    "a washer is no nut": (
        "sells M4 washer",
        "sells M4 nut",
        "seller sells: M4 washer at 0.05 EUR -> nothing; seller sells: nothing -> M4 nut at 0.05 EUR",
    ),
    "a ribbon": ("ribbon 10-pin", "ribbon 16-pin to 10-pin", "part ribbon: 10-pin -> 16-pin to 10-pin"),
    "an adapter": ("12V 2A", "12V 3A", "part adapter: 12V 2A -> 12V 3A"),
    "a kit": ("holds 100", "holds 90", "part holds: 100 of M3x8 -> 90 of M3x8"),
    "another thing in a kit": (
        "50 of M3 washer",
        "50 of M3 nut",
        "part holds: 50 of M3 washer -> nothing; part holds: nothing -> 50 of M3 nut",
    ),
    "the size of a sheet": ("600mm", "700mm", "sheet size: 600mm x 300mm -> 700mm x 300mm"),
    "sheets that are there": ("count 1", "count 2", "sheet count: 1 -> 2"),
    "whether a ribbon came along": ("ribbon along", "ribbon missing", "module ribbon: along -> missing"),
    "washers that are there": ("have 8", "have 9", "rack have: 8 of M4 washer -> 9 of M4 washer"),
    "a blank that is there": ("have 1 of", "have 2 of", "rack have: 1 of blank 6HP -> 2 of blank 6HP"),
    "what is bought besides": ("also 2 of", "also 1 of", "rack also: 2 of cable -> 1 of cable"),
    "what is spent": ("spent 30", "spent 31", "rack spent: 30 EUR -> 31 EUR"),
    "a gift": ("gift 40 EUR in later", "gift 40 EUR", "rack gift: 40 EUR in later -> 40 EUR"),
    "goods anyway": ("anyway 20", "anyway 25", "rack anyway: 20 EUR from oddments -> 25 EUR from oddments"),
    "from whom": ("from oddments", "from stall", "rack anyway: 20 EUR from oddments -> 20 EUR from stall"),
    "when a price is old": ("price 90 days", "price 60 days", "house old: price 90 days -> price 60 days"),
    "since when a rate holds": (
        "2026-10-01",
        "2026-11-01",
        "house rate: 1 GBP is 1.17 EUR stated 2026-10-01 -> 1 GBP is 1.17 EUR stated 2026-11-01",
    ),
}


@pytest.mark.parametrize("edit", EDITS)
def test_each_fact_is_told(edit: str) -> None:
    """Old and new as they are written; the way back is the mirror image."""
    old, new, told = EDITS[edit]
    assert SPEC.count(old) >= 1
    there = compared(SPEC, SPEC.replace(old, new, 1))
    changes = [f"{one.kind} {one.word}: {one.old or 'nothing'} -> {one.new or 'nothing'}" for one in there.changes]
    assert sorted(changes) == sorted(told.split("; "))
    assert contents(there, mirrored=True) == contents(compared(SPEC.replace(old, new, 1), SPEC))


def test_a_seller_is_told_where_racks_may_buy_from_it() -> None:
    """A price of a seller touches the racks whose files may name it; nothing of a rack itself is otherwise."""
    (change,) = compared(SPEC, SPEC.replace("ships 5 EUR", "ships 6 EUR")).changes
    assert (change.name, change.touches) == ("oddments", ("shelf",))


def test_offers_in_another_order_are_no_difference() -> None:
    """A seller's lines are a list of offers, whatever their order."""
    one, other = "    sells M4 washer at 0.05 EUR\n", "    sells blank 6HP at 3 EUR\n"
    assert compared(SPEC, SPEC.replace(one + other, other + one)).is_empty
    assert compared(SPEC, SPEC.replace("at 12 EUR each", "at 12.00 EUR each")).is_empty


def test_what_a_rack_costs_in_all_is_its_written_prices() -> None:
    """The consequence 'price' counts what is written with the parts, as it did before there were sellers."""
    dearer = compared(SPEC, SPEC.replace("price 90 EUR", "price 95 EUR"))
    assert "5 EUR" in verdict(dearer)
    assert "EUR" not in verdict(compared(SPEC, SPEC.replace("at 12 EUR each", "at 13 EUR each")))

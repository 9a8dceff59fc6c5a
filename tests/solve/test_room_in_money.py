"""Room in money: a rack with prices goes in; what comes out is added up by hand beside each check."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from rackspec.pipeline import Request, read_request
from rackspec.rules.registry import Look
from rackspec.solve.room_in_money import RoomInMoney, room_in_money
from rackspec.views.report_room import verdict_of

SPEC = """
insert nut {
    nut M3
    across 5.5mm
    thread 2mm
    enters front
}
rail short {
    length 84HP
    takes nut
    recess 1mm
    end-hole M5 behind 6mm inward 0mm deep 14mm
}
rail long like short {
    length 104HP
}
sheet board {
    thickness 12mm
}
seller metal {
    ships 6 EUR
    free from 60 EUR
    sells short at SHORT EUR
    sells long at LONG EUR GUESS
}
seller drawer {
    ships 4 EUR
    sells M5x20 at 3 EUR pack 20
    sells M5x25 at 3 EUR pack 20
    sells M5 washer at 1 EUR pack 50
    sells nut at 1 EUR pack 50
    sells M3x5 at 1 EUR pack 50
    sells M3x6 at 1 EUR pack 50
    sells M3x8 at 1 EUR pack 50
}
rack tray {
    HAVE
    row top {
        rails short with nut
        at 0HP blank 60HP
    }
    case {
        side {
            from board
        }
    }
}
"""
"""For itself, a row of short rails costs 2 x SHORT + 6, and 3 + 1 + 4 for its end screws and washers. With its one
panel the drawer gets 2 more, for nuts and screws, whatever the rails are."""


def room(short: str = "12", long: str = "15", guess: str = "", have: str = "") -> RoomInMoney:
    """What comes out for a text."""
    text = SPEC.replace("SHORT", short).replace("LONG", long).replace("GUESS", guess).replace("HAVE", have)
    projects, _ = read_request(Request(("-",), "/", date(2026, 11, 26), text.encode()))
    (rack,) = projects[0].link()
    rails = tuple(projects[0].library.rail(projects[0].library.entries[name]) for name in ("short", "long"))
    assert not [finding for finding in projects[0].findings() if finding.severity == "error"]
    return room_in_money(Look(rack, projects[0].house, {}), rails)


def test_a_row_costs_its_rails_screws_and_two_parcels() -> None:
    """24 + 6 and 3 + 1 + 4 are 38."""
    (row,) = room().rows
    assert (row.alone.cost, row.alone.parcels) == (38, 2)
    assert row.length == 84 * Fraction("5.08")


def test_a_longer_row_costs_the_difference_of_the_rails() -> None:
    """2 x 15 - 2 x 12 are 6 for 20HP; another row is 38."""
    found = room()
    (longer,) = found.longer
    assert (longer.rail, longer.more / Fraction("5.08"), longer.cost.cost) == ("long", 20, 6)
    verdict = verdict_of(found, found.rows[0])
    assert verdict == (
        "20HP more in row 'top' now cost 6 EUR, another row of 84HP later costs 38 EUR and 2 parcels: "
        "the longer row is cheaper, and so is each HP of it."
    )


def test_a_threshold_counts() -> None:
    """2 x 30 reach the sum from which shipping is free: 60 instead of 24 + 6."""
    (longer,) = room(long="30").longer
    assert longer.cost.cost == 60 - 30


@pytest.mark.parametrize(
    ("long", "tail"),
    [
        ("20", "the longer row is cheaper as long as 20HP are enough."),
        ("35", "another row later is cheaper, and gives more room."),
    ],
)
def test_the_verdict_follows_the_prices(long: str, tail: str) -> None:
    """16 more for 20HP are 0.80 a HP, and 38 for 84HP are 0.46; 2 x 35, sent free, are 40 more than 24 + 6."""
    found = room(long=long)
    assert verdict_of(found, found.rows[0]).endswith(tail)


def test_rails_that_are_there_make_longer_ones_dear() -> None:
    """With short rails in the shed the long ones cost all they cost: 2 x 15 + 6 = 36."""
    found = room(have="have 2 of short")
    assert found.rows[0].alone.cost == 38
    assert found.longer[0].cost.cost == 36


def test_a_guessed_price_decides_nothing() -> None:
    """The rails may cost anything."""
    found = room(guess="guessed")
    assert found.longer[0].cost.cost is None
    assert found.longer[0].cost.why == "the price of 'long' is a guess"
    assert verdict_of(found, found.rows[0]) == ""


def test_what_nobody_sells_is_named() -> None:
    """Without a seller of end screws the row has no price, and says why."""
    found = room(have="have 0 of short")
    assert found.rows[0].alone.why == ""
    text = SPEC.replace("    sells M5x25 at 3 EUR pack 20\n", "").replace("    sells M5x20 at 3 EUR pack 20\n", "")
    text = text.replace("SHORT", "12").replace("LONG", "15").replace("GUESS", "").replace("HAVE", "")
    projects, _ = read_request(Request(("-",), "/", date(2026, 11, 26), text.encode()))
    (rack,) = projects[0].link()
    (row,) = room_in_money(Look(rack, projects[0].house, {}), ()).rows
    assert row.alone.cost is None
    assert "nobody here sells it" in row.alone.why

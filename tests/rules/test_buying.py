"""Racks and sellers go in; what nobody has, has too little of, or has too late must be told once, and nothing else."""

from __future__ import annotations

import pytest

from rackspec.findings import NOTE, WARNING
from tests.rules.checking import look_at, severities, told
from tests.rules.test_money import OSC, PRICED, SCREW, one, rack, seller

START, LATER = "3 of 'osc' have to be bought, and ", "3 of 'osc' have to be bought at stage 'later', and "


def test_a_screw_that_nobody_sells() -> None:
    """It has no price of its own: a warning, with how many and when."""
    shop = seller("ships 4 EUR", "sells osc at 90 EUR")
    found = one(shop + rack("stage later", SCREW, "also 2 of M4x8 in later"), "nobody-sells")
    assert (found.severity, found.message) == (
        WARNING,
        "nobody here sells 4 of 'M3x6', 2 of 'M4x8' (at stage 'later'), and no price is written for them",
    )


def test_a_module_with_a_price_is_a_note() -> None:
    """Somebody knows where it comes from."""
    found = one(seller("ships 4 EUR", "sells M3x6 at 1 EUR") + rack(before=PRICED), "nobody-sells")
    assert (found.severity, found.message) == (NOTE, "nobody here sells 'osc'; a price is written for it")


def test_screws_come_first() -> None:
    """Beside things with a price, those without one are what is told: one rack, one finding."""
    text = seller("ships 4 EUR", "sells M3x8 at 1 EUR") + rack(SCREW, before=PRICED)
    assert one(text, "nobody-sells").message == "nobody here sells 4 of 'M3x6', and no price is written for it"


@pytest.mark.parametrize(
    "lines",
    [
        ("have 4 of M3x6",),
        ("have 1 of bag",),
    ],
)
def test_what_is_there_nobody_has_to_sell(lines: tuple[str, ...]) -> None:
    """Neither the thing itself, nor one that is in a kit."""
    bag = "part bag {\n    holds 10 of M3x6\n}\n"
    text = bag + seller("ships 4 EUR", "sells osc at 90 EUR") + rack(SCREW, *lines)
    assert told(text, "nobody-sells") == []


def test_a_kit_sells_what_it_holds() -> None:
    """A bag of screws is an offer of screws."""
    bag = "part bag {\n    holds 10 of M3x6\n}\n"
    text = bag + seller("ships 4 EUR", "sells osc at 90 EUR", "sells bag at 2 EUR") + rack(SCREW)
    assert told(text, "nobody-sells") == []


def test_a_budget_tells_it_once() -> None:
    """A module that has neither price nor seller is missing in the sum; that is the same cause."""
    text = seller("ships 4 EUR", "sells M3x6 at 1 EUR") + rack("budget 100 EUR")
    assert severities(text, "nobody-sells", "price-missing") == [("price-missing", NOTE)]
    assert "nobody here sells it" in one(text, "price-missing").message
    assert severities(text.replace("budget 100 EUR", "have 0 of osc"), "nobody-sells", "price-missing") == [
        ("nobody-sells", WARNING)
    ]


def test_a_sold_module_is_not_missing_in_the_sum() -> None:
    """Its offer is its price."""
    assert told(seller("ships 4 EUR", "sells osc at 9 EUR") + rack("budget 100 EUR"), "price-missing") == []


def test_no_sellers_no_questions() -> None:
    """Where no seller is known, nothing is said about who sells."""
    names = ("nobody-sells", "stock-short", "arrives-late", "break-dearer", "price-stale", "currencies-mixed")
    assert severities(rack(SCREW), *names) == []


def test_a_line_that_is_not_understood_is_the_only_cause() -> None:
    """The screw may stand on it."""
    text = seller("ships 4 EUR", "sells osc at 90 EUR", "sells M3x6 for 3 EUR") + rack(SCREW)
    assert {finding.rule for finding in look_at(text).findings if finding.severity == "error"}
    assert told(text, "nobody-sells") == []


def test_blanks_can_be_made_and_the_unsettled_cannot_be_bought() -> None:
    """Neither is told, nor a wish."""
    wish = "    wish echo {\n        width 8HP\n    }\n"
    text = seller("ships 4 EUR", "sells osc at 90 EUR") + rack()
    text = text.replace("at 0HP osc\n", "at 0HP osc\n        next blank 4HP\n").removesuffix("}\n") + wish + "}\n"
    assert look_at(text).racks[0].rack.wishes
    assert told(text, "nobody-sells") == []


@pytest.mark.parametrize(
    ("stock", "severity", "told_as"),
    [
        (("sells osc at 90 EUR stock 3",), None, ""),
        (("sells osc at 90 EUR stock 2",), NOTE, LATER + "all sellers here have 2 together"),
        (("sells osc at 90 EUR stock 1",), NOTE, LATER + "all sellers here have 1 together"),
        (("sells osc at 90 EUR stock 0",), WARNING, START + "no seller here has any"),
        (("sells osc at 90 EUR pack 2 stock 1", "sells osc at 90 EUR stock 1"), None, ""),
        (("sells osc at 90 EUR",), None, ""),
        (
            ("sells osc at 90 EUR from 4 stock 3",),
            WARNING,
            START + "the sellers here have fewer than they sell at a time",
        ),
    ],
)
def test_stock(stock: tuple[str, ...], severity: str | None, told_as: str) -> None:
    """One is needed at the start and two later; a later lack is a note, because there may be more by then."""
    text = seller("ships 4 EUR", *stock) + rack("stage later", "also 2 of osc in later")
    found = told(text, "stock-short")
    assert [(one.severity, one.message) for one in found] == ([(severity, told_as)] if severity else [])


@pytest.mark.parametrize(
    ("days", "severity"),
    [
        (("days 10",), None),
        (("days 11",), WARNING),
        (("days 4 to 10",), None),
        (("days 4 to 11",), NOTE),
        (("days 11 to 12",), WARNING),
        ((), None),
        (("days 11", "days 3"), None),
        (("days 11", ""), None),
    ],
)
def test_days(days: tuple[str, ...], severity: str | None) -> None:
    """Ten days are left; the quickest seller counts, and one that does not say may be quick."""
    sells = "sells osc at 90 EUR"
    shops = "".join(
        seller("ships 4 EUR", line or "note x", sells, name=f"shop-{n}") for n, line in enumerate(days or ("",))
    )
    shops = shops.replace("    note x\n", "")
    text = shops + rack("stage fair by 2026-12-05", "also 1 of osc in fair")
    assert [finding.severity for finding in told(text, "arrives-late")] == ([severity] if severity else [])


def test_days_of_what_the_stage_does_not_buy() -> None:
    """A slow parcel for the start is not late for the stage; a day that is past is not asked about."""
    shop = seller("ships 4 EUR", "days 30", "sells osc at 90 EUR")
    assert told(shop + rack("stage fair by 2026-12-05"), "arrives-late") == []
    assert told(shop + rack("stage fair by 2026-11-01", "also 1 of osc in fair"), "arrives-late") == []


def test_a_break_that_is_dearer() -> None:
    """At its own line, once, however many racks need it; not where nobody needs it."""
    shop = seller("ships 4 EUR", "sells osc at 9 EUR", "sells osc at 9.50 EUR from 3", "sells osc at 8 EUR from 9")
    found = one(shop + rack() + rack(before="").replace("tray", "other"), "break-dearer")
    assert found.sum == "3 x 9.50 EUR = 28.50 EUR, and 3 x 9 EUR = 27 EUR"
    assert told(shop + rack("have 1 of osc"), "break-dearer") == []


def test_rails_that_can_be_had() -> None:
    """Where the second choice does and is sold, nobody misses the first."""
    rails = "".join(f"rail {name} {{\n    length 84HP\n}}\n" for name in ("first", "second"))
    row = "rack tray {{\n    row top {{\n        rails first\n{}    }}\n}}\n"
    shop = seller("ships 4 EUR", "sells second at 10 EUR")
    assert "2 of 'first'" in one(rails + shop + row.format(""), "nobody-sells").message
    assert "first" not in "".join(
        f.message for f in told(rails + shop + row.format("        or second\n"), "nobody-sells")
    )


@pytest.mark.parametrize(
    ("line", "remedy"),
    [
        ("sells osc at 3 EUR pack 0", "write how many pieces, or leave it out"),
        ("sells osc at 3 EUR from 0", "write how many pieces, or leave it out"),
        ("days 5 to 3", "write the smaller number first ('days 3 to 5')"),
        ("ships -3 EUR", "write it as 3, without the minus"),
    ],
)
def test_what_a_seller_cannot_mean(line: str, remedy: str) -> None:
    """One error, with what to write instead."""
    errors = [finding for finding in look_at(OSC + seller(line)).findings if finding.severity == "error"]
    assert [finding.remedy for finding in errors] == [remedy]


def test_a_rate_of_nothing() -> None:
    """Neither side of a rate is nothing."""
    for line in ("rate 0 GBP is 1 EUR", "rate 1 GBP is 0 EUR"):
        found = told(f"house {{\n    currency EUR\n    {line}\n}}\n", "value-impossible")
        assert [finding.remedy for finding in found] == ["write what one of the money is worth"]

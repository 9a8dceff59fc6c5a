"""Orders as text, markdown and JSON: demo racks go in; pages are as approved, sums on them add up on paper."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tests.cli.running import rackspec
from tests.conftest import ROOT

FOLDER = ROOT / "tests" / "views" / "expected"
DAY = ("--on", "2026-11-25")
RACKS = [path.stem for path in sorted((ROOT / "specs" / "racks").glob("*.rackspec"))]
SUM = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?) ([A-Z]{3})")


@cache
def page(name: str, *more: str) -> str:
    """The order of a rack."""
    run = rackspec(ROOT, "order", "specs", "--rack", name, *DAY, *more)
    assert (run.code, run.err) == (0, "")
    return run.out


@pytest.mark.parametrize("name", RACKS)
@pytest.mark.parametrize("kind", ["txt", "md"])
def test_orders_are_as_they_were_approved(name: str, kind: str, golden: Callable[[Path, str], None]) -> None:
    """Every rack of the demo, in both renderings."""
    golden(FOLDER / f"order-{name}.{kind}", page(name, *(("--markdown",) if kind == "md" else ())))


@pytest.mark.parametrize("name", RACKS)
def test_text_is_not_wider_than_a_page(name: str) -> None:
    """No line has more than 100 columns."""
    assert [line for line in page(name).splitlines() if len(line) > 100] == []


@cache
def record(name: str) -> Any:
    """The orders of a rack as JSON; the program itself holds them against their schema."""
    document = json.loads(written(name))
    (rack,) = document["racks"]
    return rack["orders"]


@cache
def written(name: str) -> str:
    """The document, from standard output; the page goes to standard error then."""
    run = rackspec(ROOT, "order", "specs", "--rack", name, *DAY, "--write", "json=-")
    assert run.code == 0
    return run.out


def amount(money: Any) -> Fraction:
    """A sum as a number."""
    return Fraction(money["amount"])


@pytest.mark.parametrize("name", RACKS)
def test_sums_add_up_on_paper(name: str) -> None:
    """Lines make goods, goods and shipping make what is paid there, in the seller's money, to the cent; parcels and
    what is counted as written make the order, but for a cent each."""
    orders = record(name)
    checked = 0
    for order in orders["stages"]:
        if not order["possible"]:
            continue
        total = Fraction(0)
        for parcel in order["sellers"]:
            for line in parcel["lines"]:
                assert Fraction(line["price"]["amount"]) * line["units"] == amount(line["cost"])
            assert sum(amount(line["cost"]) for line in parcel["lines"]) == amount(parcel["goods"])
            assert amount(parcel["goods"]) + amount(parcel["shipping"]) == amount(parcel["together"])
            total += amount(parcel["here"])
            checked += 1
        total += sum((amount(one["cost"]) for one in order["as_written"]), Fraction(0))
        cents = Fraction(len(order["sellers"]) + len(order["as_written"]), 100)
        assert total - cents <= amount(order["cost"]) <= total
    assert checked
    whole = sum((amount(order["cost"]) for order in orders["stages"]), Fraction(0))
    assert abs(whole - amount(orders["cost"])) <= Fraction(len(orders["stages"]), 100)


@pytest.mark.parametrize("name", RACKS)
def test_the_rail_table_adds_up(name: str) -> None:
    """Goods and the rest make rails in all; everything else is the same number in every line."""
    table = [line for line in record(name)["rail_table"] if line["possible"]]
    cent = Fraction(2, 100)
    for line in table:
        whole = amount(line["goods"]) + amount(line["shipping_and_moves"])
        assert abs(whole - amount(line["rails_in_all"])) <= cent
    others = [amount(line["whole_order"]) - amount(line["rails_in_all"]) for line in table]
    assert not others or max(others) - min(others) <= cent


def test_the_answer_on_the_page_is_that_of_the_document() -> None:
    """Both say what it costs."""
    orders = record("ferry-bell")
    text = " ".join(page("ferry-bell").split())
    assert f"{orders['cost']['amount']} {orders['cost']['currency']} in all" in text
    for order in orders["stages"]:
        for parcel in order["sellers"]:
            assert f"({parcel['seller']})" in text
            for line in parcel["lines"]:
                assert line["thing"] in text
    assert len(SUM.findall(text)) > 50


LITTLE = """rackspec 1
part knob {
}
rack tray {
    also 2 of knob
    row top {
        length 20HP
    }
}
"""


@pytest.mark.parametrize(
    "more",
    ["", "seller mill {\n    ships nothing\n}\n", "seller mill {\n    sells knob at 3 EUR\n}\n"],
    ids=["no money at all", "a seller of nothing", "no shipping written"],
)
def test_little_is_no_failure(more: str, tmp_path: Path) -> None:
    """A rack of which nearly nothing is known gives a page and a document that is as its schema says."""
    (tmp_path / "tray.rackspec").write_text(LITTLE + more, encoding="utf-8")
    run = rackspec(tmp_path, "order", ".", *DAY, "--write", "json=o.json")
    assert (run.code, run.err) == (0, "")
    assert "Order for rack tray" in run.out
    orders = json.loads((tmp_path / "o.json").read_text(encoding="utf-8"))["racks"][0]["orders"]
    assert orders["currency"] == ("EUR" if "EUR" in more else None)
    if "EUR" in more:
        assert orders["cost"] == {"amount": "6", "currency": "EUR"}
        assert "is not written" in run.out


def test_the_same_files_and_date_give_the_same_bytes() -> None:
    """Twice, in processes of their own."""
    run = rackspec(ROOT, "order", "specs", "--rack", "ferry-bell", *DAY)
    assert run.out == page("ferry-bell")


def told(folder: Path, text: str) -> str:
    """The page of the only rack of a spec, without its line breaks."""
    (folder / "spec.rackspec").write_text(text, encoding="utf-8")
    run = rackspec(folder, "order", "spec.rackspec", *DAY)
    assert (run.code, run.err) == (0, "")
    return " ".join(run.out.split())


KNOBS = "part knob {\n}\nrack tray {\n budget 30 EUR\n also 3 of knob\n}\n"


def test_a_parcel_that_nobody_wrote_is_not_free(tmp_path: Path) -> None:
    """Shipping that is not written makes every sum an "at least", and what is left an "at most"."""
    text = told(tmp_path, KNOBS + "seller mill {\n sells knob at 2 EUR\n}\n")
    assert "At least 6 EUR in all" in text
    assert "shipping not known together at least 6 EUR" in text
    assert "it leaves at most 24 EUR" in text
    written = told(tmp_path, KNOBS + "seller mill {\n ships 0 EUR\n sells knob at 2 EUR\n}\n")
    assert "6 EUR in all" in written
    assert "t least" not in written.replace("the least", "")


def test_what_may_be_needed_besides_makes_an_order_an_at_least(tmp_path: Path) -> None:
    """How side pieces lie on a tight sheet is not known: budgets and orders say so in the same words."""
    sides = " ".join(f"corner ({x}mm, {y}mm)\n" for x, y in ((0, 0), (80, 0), (80, 150), (0, 150)))
    case = f"case {{\n side {{\n from board\n count 2\n {sides} }}\n }}\n"
    text = told(
        tmp_path,
        "sheet board {\n thickness 9mm\n size 150mm x 162mm\n}\n"
        "seller mill {\n ships 1 EUR\n sells board at 2 EUR\n}\n"
        f"rack tray {{\n budget 30 EUR\n {case}}}\n",
    )
    assert "At least 3 EUR in all" in text
    assert "more of board, if it is needed: not in these sums" in text
    assert "it leaves at most 27 EUR" in text


def test_more_than_a_pack_holds_is_told_apart(tmp_path: Path) -> None:
    """A pack of 5 for 3 knobs leaves 2, and nobody could order less; 12 at 0.10 are cheaper than 3 at 2 EUR, and 9 of
    them nobody needs."""
    pack = told(tmp_path, KNOBS + "seller mill {\n ships 1 EUR\n sells knob at 2 EUR pack 5\n}\n")
    assert "Beyond what is needed: 2 knob. " in pack
    assert "on purpose" not in pack
    more = "seller mill {\n ships 1 EUR\n sells knob at 2 EUR\n sells knob at 0.10 EUR from 12\n}\n"
    assert "Beyond what is needed: 9 knob. Some of that is ordered on purpose" in told(tmp_path, KNOBS + more)


def test_what_is_fetched_comes_in_no_parcel(tmp_path: Path) -> None:
    """It is not said to come in 0 parcels."""
    text = told(tmp_path, KNOBS + "seller shelf {\n ships nothing\n sells knob at 2 EUR\n}\n")
    assert "6 EUR in all, without a parcel of its own, from shelf." in text


def test_a_rate_is_told_as_it_is_written(tmp_path: Path) -> None:
    """A rate of four decimals is not "about" itself; one that has no end is."""
    yen = "seller mill {\n ships 1 JPY\n sells knob at 2 JPY\n}\n"
    house = "house {\n currency EUR\n rate 1 JPY is 0.0061 EUR\n}\n"
    assert "1 JPY = 0.0061 EUR." in told(tmp_path, house + KNOBS + yen)
    other = house.replace("1 JPY is 0.0061 EUR", "3 JPY is 0.02 EUR")
    assert "1 JPY = about 0.006666 EUR." in told(tmp_path, other + KNOBS + yen)


def test_rails_that_nobody_sells_look_no_cheaper_in_the_table(tmp_path: Path) -> None:
    """What they cost is not known: their sums are "at least"."""
    text = told(
        tmp_path,
        "rail low {\n length 20HP\n}\nrail high {\n length 20HP\n}\n"
        "seller mill {\n ships 1 EUR\n sells low at 2 EUR\n}\n"
        "rack tray {\n row top {\n rails low\n or high\n }\n}\n",
    )
    table = text.partition("RAILS IN MONEY")[2]
    assert "low 4 EUR 1 EUR 5 EUR" in table
    assert "at least 0 EUR" in table.partition("nobody here has)")[0]

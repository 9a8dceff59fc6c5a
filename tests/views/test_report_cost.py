"""The sheet about cost: what it says is what inspect and order say, and its columns add up."""

from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from tests.cli.running import rackspec
from tests.conftest import ROOT
from tests.views.test_report import DAY, FOLDER, SPECS, sheet, tables

GOLDEN = ("ferry-bell", "granary", "little")


def amount(cell: str) -> Fraction:
    """The sum of money in a cell, whichever its currency."""
    words = cell.replace("at least ", "").replace("at most ", "").split()
    return Fraction(words[0]) if words else Fraction(0)


@pytest.mark.parametrize("name", GOLDEN)
@pytest.mark.parametrize("kind", ["txt", "md"])
def test_cost_is_as_it_was_approved(name: str, kind: str, golden: Callable[[Path, str], None]) -> None:
    """The whole sheet, in both renderings."""
    more = ("--markdown",) if kind == "md" else ()
    golden(FOLDER / f"{name}-cost.{kind}", sheet(name, "--about", "cost", *more))


@pytest.mark.parametrize("name", SPECS)
def test_cost_fits_a_page(name: str) -> None:
    """No line is wider than 100 columns."""
    assert [line for line in sheet(name, "--about", "cost").splitlines() if len(line) > 100] == []


@pytest.mark.parametrize("name", SPECS)
def test_stages_add_up(name: str) -> None:
    """Goods, packs and shipping are what is to be spent, to the cent; what is left is the budget with gifts, less that.
    What is left is rounded by itself, so a cent or two may be between."""
    found = [table for table in tables(sheet(name, "--about", "cost", "--markdown")) if "to spend" in table[0]]
    for row in (row for table in found for row in table):
        if "goods" in row:
            parts = sum(amount(row.get(column, "")) for column in ("goods", "more in packs", "shipping"))
            assert parts == amount(row["to spend"])
        if row["left"]:
            means = amount(row["budget"]) + amount(row.get("given", "")) - amount(row.get("spent", ""))
            assert abs(means - amount(row["to spend"]) - amount(row["left"])) <= Fraction(2, 100)


@pytest.mark.parametrize("name", ["ferry-bell", "granary", "harmonium-shelf", "sail-loft", "towpath"])
def test_what_is_to_spend_is_what_order_says(name: str, tmp_path: Path) -> None:
    """The sum of all stages is that of the orders; each of them is rounded up by itself."""
    target = tmp_path / "order.json"
    rackspec(ROOT, "order", SPECS[name], *DAY, "--write", f"json={target}")
    (rack,) = json.loads(target.read_text(encoding="utf-8"))["racks"]
    orders = rack["orders"]
    (stages,) = [t for t in tables(sheet(name, "--about", "cost", "--markdown")) if "to spend" in t[0]]
    spend = sum(amount(row["to spend"]) for row in stages)
    assert abs(Fraction(orders["cost"]["amount"]) - spend) <= Fraction(len(stages), 100)


def test_rooms_come_with_prices_only(tmp_path: Path) -> None:
    """Without a seller there is no word of what room costs, and the sheet says how to write one down."""
    spec = tmp_path / "one.rackspec"
    spec.write_text("module osc {\nwidth 8HP\nprice 90 EUR\n}\nrack r {\nrow a {\nlength 84HP\nat 0HP osc\n}\n}\n")
    run = rackspec(tmp_path, "report", "one.rackspec", "--about", "cost")
    assert run.code == 0
    assert "No seller is known here" in run.out
    assert "What room costs" not in run.out
    assert "90 EUR" in run.out

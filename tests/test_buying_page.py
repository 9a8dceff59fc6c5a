"""The page about buying is true: specs are saved, commands run, sums added up and held against the program.

The tables are orders that were worked out on paper. Each line must be its units times its price, each total the sum of
its lines, and the program must buy the same units from the same sellers and come to the same total.
"""

from __future__ import annotations

import re
import sys
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from rackspec.physics.basket import covered
from rackspec.physics.cheapest import cheapest
from rackspec.pipeline import Request, read_request
from rackspec.rules.choices import chosen_of
from rackspec.rules.exchange import currency_for
from rackspec.rules.hardware import row_hardware
from rackspec.rules.needs import needs_of
from rackspec.rules.registry import Look
from rackspec.rules.shop import Shop, shop_of
from tests.buying_tables import PAGE, PAGE_TABLES, Line, Table
from tests.test_sharing_page import FENCE, programs, shell

__all__ = ["programs"]

DAY = date(2026, 11, 26)
RAILS = {"lipped": "lipped-42", "channel": "channel-42", "set-back": "setback-42"}
LID = ", with the lid"
TEXT = " ".join(PAGE.read_text(encoding="utf-8").split())


def specs(folder: Path) -> None:
    """The specs of the page, in a folder."""
    for kind, note, body in FENCE.findall(PAGE.read_text(encoding="utf-8")):
        if kind == "rackspec":
            (folder / note.strip()).write_text(body, encoding="utf-8")


def test_the_page_is_true(tmp_path: Path, programs: dict[str, str], request: pytest.FixtureRequest) -> None:
    """Every block in order: a spec is saved as the file that it names, a command prints what the page shows."""
    text = PAGE.read_text(encoding="utf-8")
    ours = tmp_path / "bin" / "rackspec"
    ours.write_text(f'#!/bin/sh\nexec {sys.executable} -m rackspec "$@" --on {DAY}\n')
    folder = tmp_path / "here"
    folder.mkdir()
    seen = {"console": 0, "rackspec": 0}

    def run(match: re.Match[str]) -> str:
        kind, note, body = match.groups()
        seen[kind] += 1
        if kind == "rackspec":
            (folder / note.strip()).write_text(body, encoding="utf-8")
            return match[0]
        shown = []
        for command in [line[2:] for line in body.splitlines() if line.startswith("$ ")]:
            code, printed = shell(command, folder, programs)
            assert code == 0, printed
            shown.append(f"$ {command}\n{printed}".rstrip())
        return "```console" + note + "\n" + "\n".join(shown) + "\n```"

    fresh = FENCE.sub(run, text)
    if request.config.getoption("--refresh"):
        PAGE.write_text(fresh, encoding="utf-8")
    assert fresh == text, "the page shows something else; pytest --refresh writes it anew"
    assert all(seen.values()), seen


def look_of(folder: Path, name: str) -> Look:
    """A rack of the page."""
    projects, _ = read_request(Request((str(folder),), str(folder), DAY))
    return next(
        Look(rack, project.house, {}, DAY) for project in projects for rack in project.link() if rack.name == name
    )


def shop_with(look: Look, rail: str) -> Shop:
    """What is to be bought with its one row on given rails, and by whom it is sold."""
    (row,) = look.rack.rows
    choice = next(choice for choice in row.choices if choice.rail is not None and choice.rail.name == rail)
    needs = needs_of(look, [row_hardware(look, chosen_of(row, choice))])
    return shop_of(look, needs, [need.all for need in needs], currency_for(look))


def test_every_table_is_there() -> None:
    assert set(PAGE_TABLES) == {*RAILS, *(name + LID for name in RAILS)}


@pytest.mark.parametrize("name", PAGE_TABLES)
def test_a_table_adds_up(name: str) -> None:
    """Units times price, line by line, and all of it together."""
    table = PAGE_TABLES[name]
    for line in table.lines:
        assert line.units * line.price == line.sum, line.what
    assert sum((line.sum for line in table.lines), Decimal(0)) == table.total


@pytest.mark.parametrize("name", PAGE_TABLES)
def test_a_table_is_what_the_program_orders(name: str, tmp_path: Path) -> None:
    """The same units of the same things from the same sellers, the same shipping, left over pieces, and total."""
    specs(tmp_path)
    look = look_of(tmp_path, "stool-with-lid" if name.endswith(LID) else "stool")
    shop = shop_with(look, RAILS[name.removesuffix(LID)])
    found = cheapest(shop.basket)
    order = found.order
    assert order is not None
    assert found.proved
    assert not shop.lacking
    bought: dict[str, tuple[int, Fraction]] = {}
    for lot, lines, units in zip(shop.basket.lots, shop.lots, order.units, strict=True):
        if units:
            bought[f"{lines[0].part} from {shop.sellers[lot.seller].name}"] = (units, lot.tiers[0].price)
    assert {line.what: (line.units, Fraction(line.price)) for line in goods(PAGE_TABLES[name])} == bought
    shipped = {shop.sellers[share.seller].name: share.shipping for share in order.shares if share.shipping}
    assert shipping(PAGE_TABLES[name]) == shipped
    assert Fraction(PAGE_TABLES[name].total) == order.cost
    pieces = zip(shop.needs, covered(shop.basket, order.units), shop.basket.needs, strict=True)
    over = {need.part: have - wanted for need, have, wanted in pieces if have > wanted}
    assert {line.what.partition(" from ")[0]: line.left for line in PAGE_TABLES[name].lines if line.left} == over


def goods(table: Table) -> list[Line]:
    """Lines of a table that are goods."""
    return [line for line in table.lines if not line.what.startswith(("parcel ", "long piece "))]


def shipping(table: Table) -> dict[str, Fraction]:
    """What parcels of a table cost, by seller."""
    found: dict[str, Fraction] = {}
    for line in table.lines:
        if line.what.startswith(("parcel ", "long piece ")):
            seller = line.what.partition(" from ")[2]
            found[seller] = found.get(seller, Fraction(0)) + Fraction(line.sum)
    return found


def test_numbers_in_the_text() -> None:
    """What the text says of the tables follows from them."""
    total = {name: table.total for name, table in PAGE_TABLES.items()}
    rails = {
        name: sum(line.sum for line in goods(PAGE_TABLES[name]) if re.match(r"\S*-42|\S*nut", line.what))
        for name in RAILS
    }
    bare = "Rails and inserts alone are {lipped}, {channel} and {set-back}."
    assert bare.format(**rails) in TEXT
    ranked = sorted(RAILS, key=lambda name: total[name])
    assert ranked == ["lipped", "channel", "set-back"]
    assert f"the lipped rails win, by {total['channel'] - total['lipped']}." in TEXT
    with_lid = sorted(RAILS, key=lambda name: total[name + LID])
    assert with_lid == ["channel", "lipped", "set-back"]
    assert ", ".join(f"{name} {total[name + LID]}" for name in with_lid) in TEXT
    difference = total["lipped" + LID] - total["channel" + LID]
    assert f"the second parcel saves {difference}." in TEXT
    price, pair = Decimal("6.50"), Decimal("10.40")
    assert f"at {price - difference / 2} each ({difference / 2} less)" in TEXT
    more = pair / 10
    assert more > difference
    assert f"{more.normalize()} more, {total['channel' + LID] + more:.2f}, and the lipped rails win" in TEXT
    one_bag, two_bags, rest = (
        Decimal("4.80") + 6 * Decimal("0.55"),
        2 * Decimal("4.80"),
        Decimal("4.80") + 12 * Decimal("0.55"),
    )
    assert (
        f"one bag and six from the shelf are {one_bag}; two bags would be {two_bags}, and twelve and a bag {rest}"
        in TEXT
    )
    assert f"46 x 0.12 = {46 * Decimal('0.12')}, and 50 are 50 x 0.10 = {50 * Decimal('0.10')}" in TEXT
    assert f"With a parcel at 2.00 that is {50 * Decimal('0.10') + 2:.2f}" in TEXT
    waits = Decimal("12.50") + Decimal("4.00")
    assert f"are {waits}, because" in TEXT
    both = total["lipped"] + waits
    assert f"Together {both}, against {total['lipped' + LID]} for both in one order" in TEXT

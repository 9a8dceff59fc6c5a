"""Orders for the tests: in: a spec as text, out: what ``orders_of`` answers for its only rack, every seller asked."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path

from rackspec.pipeline import Request, inspect
from rackspec.rules.registry import Look
from rackspec.solve.orders import Asked, Ordered, orders_of

TODAY = date(2026, 11, 25)


def look_at(text: str, today: date | None = TODAY) -> Look:
    """A look at the only rack of a spec."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / ".git").mkdir()
        (Path(folder) / "spec.rackspec").write_text("rackspec 1\n" + text, encoding="utf-8")
        result = inspect(Request((".",), folder, TODAY))
    errors = [f.message for f in result.findings if f.severity == "error"]
    assert errors == [], errors
    assert len(result.racks) == 1
    seen = result.racks[0]
    return Look(seen.rack, seen.house, {}, today)


def order_for(
    text: str,
    stage: int | None = None,
    most: int | None = None,
    without: tuple[str, ...] = (),
    today: date | None = TODAY,
) -> Ordered:
    """The answer for the only rack of a spec."""
    return orders_of(look_at(text, today), Asked(stage, most, frozenset(without)))


def bought_at(ordered: Ordered, stage: int = 0) -> dict[tuple[str, str], int]:
    """Units by seller and thing of one order."""
    from rackspec.solve.order_desk import bought

    order = ordered.best.orders[stage]
    return {
        (order.shop.sellers[order.shop.basket.lots[lot].seller].name, line.part): many
        for lot, line, many in bought(order)
    }

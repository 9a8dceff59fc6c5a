"""Money into money: in: a sum and the rates that the house states, out: the sum in another currency, or nothing.

Currencies are never added without a stated rate.
"""

from __future__ import annotations

from fractions import Fraction

from rackspec.model.house import House
from rackspec.rules.registry import Look


def rate(house: House, currency: str, into: str) -> Fraction | None:
    """What one of a currency is worth in another; None without a stated rate."""
    if currency == into:
        return Fraction(1)
    one = Fraction(1) if currency == house.currency else house.rates.get(currency)
    other = Fraction(1) if into == house.currency else house.rates.get(into)
    return None if one is None or not other else one / other


def currency_for(look: Look) -> str:
    """The currency that a rack is reckoned in: its budget's, the house's, that of a later budget, that of the first
    seller, else that of the first panel with a price; empty where no sum of money is written at all."""
    rack = look.rack
    if rack.budget is not None:
        return rack.budget.money.currency
    if look.house.currency:
        return look.house.currency
    budgets = [stage.budget.currency for stage in rack.stages if stage.budget is not None]
    sellers = [seller.currency for seller in rack.sellers if seller.currency]
    parts = [panel.part for panel in rack.panels() if panel.part is not None]
    prices = [part.bought.price.money.currency for part in parts if part.bought.price is not None]
    return next(iter([*budgets, *sellers, *prices]), "")

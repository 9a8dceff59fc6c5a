"""An answer as a record: in: orders of a rack, out: plain values for the document that ``order`` writes.

Sums of money are decimals written as text, in steps of the smallest coin: what is paid is rounded up, what is saved
down. A stage is known by its name, the start is null.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from rackspec.language.currencies import sum_text
from rackspec.language.quantity import plain_number
from rackspec.solve.by_parcels import InParcels
from rackspec.solve.doubtful_prices import Doubt
from rackspec.solve.order_desk import Plan, StageOrder, left_over
from rackspec.solve.orders import OneByOne, Ordered, saved_together
from rackspec.solve.rail_ways import RailCost
from rackspec.solve.second_best import Second
from rackspec.solve.turning_prices import TurningPrice
from rackspec.views.order_lines import BoughtLine, Parcel, parcels_of
from rackspec.views.order_words import sellers_of
from rackspec.views.rack_document_values import MONEY_PLACES, Record


def money(value: Fraction, currency: str, left: bool = False) -> Record:
    """A sum of money."""
    return {"amount": sum_text(value, currency, left).partition(" ")[0], "currency": currency or None}


def order_record(ordered: Ordered) -> Record:
    """The whole answer for a rack."""
    asked, currency, rack = ordered.asked, ordered.currency, ordered.look.rack
    saved = saved_together(ordered)
    return {
        "asked": {
            "stage": None if asked.stage is None else rack.stages[asked.stage].name or None,
            "all_stages": asked.stage is None,
            "most_parcels": asked.most_parcels,
            "without": sorted(asked.without),
        },
        "currency": currency or None,
        "possible": ordered.best.possible,
        "proved": ordered.proved,
        "cost": money(ordered.best.cost, currency) if ordered.best.possible else None,
        "at_least": is_at_least(ordered.best.orders),
        "rails": rails_record(ordered.best),
        "rails_unsettled": list(ordered.ways.unsettled),
        "stages": [
            stage_record(ordered, order, alone)
            for order, alone in zip(ordered.best.orders, ordered.one_by_one, strict=True)
        ],
        "together": None
        if ordered.together is None or saved is None
        else {"cost": money(ordered.together.cost, currency), "saves": money(saved, currency, left=True)},
        "parcels": [in_parcels_record(one, currency) for one in ordered.parcels],
        "rail_table": [rail_record(one, currency) for one in ordered.rails],
        "second_best": second_record(ordered.second, currency) if ordered.second is not None else None,
        "ask_about": [doubt_record(one, currency) for one in ordered.doubts.turning],
        "doubtful_but_settled": [
            {"seller": seller.name, "thing": offer.part} for seller, offer in ordered.doubts.settled
        ],
        "doubtful_untried": [{"seller": seller.name, "thing": offer.part} for seller, offer in ordered.doubts.untried],
    }


def is_at_least(orders: Iterable[StageOrder]) -> bool:
    """Whether sums lack something."""
    return any(order.at_least for order in orders)


def rails_record(plan: Plan) -> list[Record]:
    """The rails of each row."""
    return [{"row": row, "rail": rail or None, "insert": insert or None} for row, rail, insert in plan.way.rails]


def stage_record(ordered: Ordered, order: StageOrder, alone: OneByOne) -> Record:
    """The order of a stage."""
    currency, landed = ordered.currency, order.found.order
    by_itself = None
    if alone.order is not None:
        by_itself = money(alone.order.cost + order.cost - (landed.cost if landed is not None else 0), currency)
    return {
        "stage": ordered.look.rack.stages[order.stage or 0].name or None,
        "possible": order.possible,
        "proved": order.found.proved,
        "cost": money(order.cost, currency) if order.possible else None,
        "no_order_below": money(order.found.bound + order.cost - landed.cost, currency, left=True)
        if landed is not None
        else None,
        "at_least": is_at_least([order]),
        "sellers": [seller_record(parcel, currency) for parcel in parcels_of(ordered.look, order)],
        "as_written": [
            {
                "thing": one.lacking.need.part,
                "pieces": one.lacking.pieces,
                "cost": money(one.cost, currency),
                "reason": one.lacking.reason,
                "why": one.lacking.why,
            }
            for one in order.written
        ],
        "not_to_be_had": [
            {
                "thing": one.need.part,
                "pieces": one.pieces,
                "reason": one.reason,
                "why": one.why,
                "can_be_made": one.need.made,
            }
            for one in order.shop.lacking
        ],
        "left_over": [{"thing": part, "pieces": many} for part, many in left_over(order)],
        "from_earlier": [{"thing": part, "pieces": many} for part, many in order.kept],
        "one_by_one": by_itself,
        "remarks": list(dict.fromkeys(order.shop.remarks)),
    }


def seller_record(parcel: Parcel, currency: str) -> Record:
    """What comes from one seller, in its own money."""
    own, days = parcel.currency, parcel.seller.days
    return {
        "seller": parcel.seller.name,
        "fetched": parcel.seller.fetched,
        "lines": [bought_record(line, own) for line in parcel.lines],
        "goods": money(parcel.goods, own),
        "shipping": money(parcel.shipping, own),
        "shipping_because": list(parcel.why),
        "together": money(parcel.together, own),
        "here": money(parcel.here, currency),
        "days": None if days is None else {"least": days.least, "most": days.most},
    }


def bought_record(line: BoughtLine, currency: str) -> Record:
    """A line of an order."""
    offer = line.offer
    return {
        "thing": offer.part,
        "units": line.units,
        "form": offer.form,
        "pieces": offer.pieces,
        "price": {
            "amount": plain_number(offer.price.money.value, MONEY_PLACES),
            "currency": offer.price.money.currency,
        },
        "from_units": offer.least,
        "level": offer.price.evidence.level,
        "dated": offer.price.evidence.dated.isoformat() if offer.price.evidence.dated is not None else None,
        "cost": money(line.cost, currency),
        "brings": [{"thing": part, "pieces": many} for part, many in line.brings],
    }


def in_parcels_record(one: InParcels, currency: str) -> Record:
    """What an order in so many parcels costs."""
    return {
        "most": one.most,
        "cost": money(one.plan.cost, currency) if one.plan is not None else None,
        "saves": money(one.saves, currency, left=True) if one.saves is not None else None,
        "sellers": sellers_of(one.plan.orders) if one.plan is not None else [],
        "rails": rails_record(one.plan) if one.plan is not None else [],
        "stopped_by": one.stopped or None,
    }


def rail_record(one: RailCost, currency: str) -> Record:
    """A line of the rail table."""
    possible = one.plan.possible
    return {
        "rails": rails_record(one.plan),
        "possible": possible,
        "things_lacking": one.plan.lacking,
        "goods": money(one.goods, currency) if possible else None,
        "shipping_and_moves": money(one.shipping, currency) if possible else None,
        "rails_in_all": money(one.rails_in_all, currency) if possible else None,
        "whole_order": money(one.plan.cost, currency) if possible else None,
        "left_over": one.left_over,
        "wasted_screws": one.wasted,
    }


def second_record(second: Second, currency: str) -> Record:
    """The second-best."""
    return {
        "rails": rails_record(second.plan),
        "without": second.without or None,
        "cost": money(second.plan.cost, currency),
        "dearer": money(second.dearer, currency),
        "made_of": {name: money(value, currency) for name, value in second.parts._asdict().items()},
        "turning_price": turning_record(second.turning, currency) if second.turning is not None else None,
    }


def turning_record(turning: TurningPrice, currency: str) -> Record:
    """The price at which the answer is another."""
    own = turning.offer.price.money.currency
    return {
        "seller": turning.seller.name,
        "thing": turning.offer.part,
        "now": money(turning.offer.price.money.value, own),
        "price": money(turning.price, own) if turning.price is not None else None,
        "given_up": turning.given_up,
        "cost_then": money(turning.plan.cost, currency) if turning.plan is not None else None,
        "rails_then": rails_record(turning.plan) if turning.plan is not None else [],
    }


def doubt_record(one: Doubt, currency: str) -> Record:
    """A price to ask about."""
    own = one.offer.price.money.currency
    return {
        "seller": one.seller.name,
        "thing": one.offer.part,
        "because": one.why,
        "days_old": one.days,
        "written": money(one.offer.price.money.value, own),
        "tried": money(one.price, own),
        "cost_then": money(one.plan.cost, currency),
        "rails_then": rails_record(one.plan),
    }

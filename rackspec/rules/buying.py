"""Buying: in: a look at a rack that knows sellers, out: findings about things that nobody has, or has too late."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

from rackspec.findings import NOTE, WARNING, Finding
from rackspec.language.currencies import sum_text
from rackspec.model.rack import Stage
from rackspec.model.sellers import Days, Offer, Seller
from rackspec.rules.bills import whole
from rackspec.rules.budgets import listed
from rackspec.rules.money import budget_of
from rackspec.rules.registry import Look, Seen, rule

if TYPE_CHECKING:
    from rackspec.rules.shop import Lacking

# What the rules need more (``rules/bought.py``) is brought in inside: racks that know no seller never need it.

MOST_TOLD = 5
"""Things that are named in one sentence."""
SHOWN = 3
"""Places that are shown beside a finding."""


@rule("warning", "money")
def nobody_sells(look: Look) -> Iterator[Seen]:
    """Something is needed that is not there and that no seller here offers.

    *Why*: a screw that nobody sells is noticed when the parcel is open. It is a note where its price is written all the
    same: then it is known where it comes from, or at least what it costs. What has no price while a budget counts it
    is told by price-missing. Blanks can be made, and what is not settled yet cannot be bought.

    *Bad*:

        insert nut-m3 {
            nut M3
        }
        rail edge {
            length 84HP
            takes nut-m3
        }
        seller corner {
            ships 4 EUR
            sells edge at 11 EUR
        }
        rack tray {
            row top {
                rails edge with nut-m3
                power from brick
                at 0HP osc
            }
        }
        module osc {
            width 8HP
            price 90 EUR
        }
        supply brick {
            gives 500mA on +12V
        }

    *Good*:

        insert nut-m3 {
            nut M3
        }
        rail edge {
            length 84HP
            takes nut-m3
        }
        seller corner {
            ships 4 EUR
            sells edge at 11 EUR
            sells nut-m3 at 6 EUR pack 50
        }
        rack tray {
            row top {
                rails edge with nut-m3
            }
        }

    *Source*: the lines of the sellers that the rack's file uses.
    """
    if not look.rack.sellers or not whole(look):
        return
    from rackspec.rules.bought import first_stage, lacking, many_text

    rack = look.rack
    told = described(look)
    found = [one for one in lacking(look, "unsold") if not one.need.made]
    without = []
    for one in found:
        counted = any(many and budget_of(rack, stage) is not None for stage, many in enumerate(one.need.buy))
        if one.need.price is None and not (counted and one.need.part in told):
            without.append(one)
    priced = [one for one in found if one.need.price is not None]
    speak = without or priced
    if not speak:
        return
    names = []
    for one in speak:
        stage = first_stage(one.need)
        names.append(many_text(one.need.part, one.pieces) + (f" ({rack.stage_name(stage)})" if stage else ""))
    message = f"nobody here sells {listed(names, MOST_TOLD)}"
    if without:
        message += ", and no price is written for " + ("it" if len(without) == 1 else "them")
        remedy = where_to_write(without[0])
    else:
        message += "; a price is written for " + ("it" if len(priced) == 1 else "each of them")
        remedy = "write who sells it, if somebody does: then packs and shipping are counted, too"
    yield Finding(
        "nobody-sells",
        WARNING if without else NOTE,
        message,
        rack.place,
        others=tuple(one.need.place.labelled(f"needs {many_text(one.need.part, one.pieces)}") for one in speak[:SHOWN]),
        remedy=remedy,
        rests_on=f"what {sellers_text(rack.sellers)}",
        names=(rack.full(rack.name),),
    )


def where_to_write(one: Lacking) -> str:
    """What to write of a thing that nobody sells and nobody priced."""
    from rackspec.rules.needs import ADAPTER, RIBBON

    part, pieces = one.need.part, one.pieces
    if one.need.kinds[0] in (ADAPTER, RIBBON) and len(one.need.serves) == 1:
        return f"describe a part that is one ('{part}'), and write who sells it, or that it is there ('have')"
    return f"write who sells '{part}' ('sells {part} at …'), or that it is there ('have {pieces} of {part}')"


def sellers_text(sellers: tuple[Seller, ...]) -> str:
    """Who sells, in a sentence."""
    return f"{listed([seller.name for seller in sellers], MOST_TOLD)} {'sells' if len(sellers) == 1 else 'sell'}"


def described(look: Look) -> set[str]:
    """What is needed and is described in a block, where its price can be written; screws and washers are not."""
    from rackspec.rules.bought import needs
    from rackspec.rules.hardware import NUT, RAIL, STRIP
    from rackspec.rules.needs import MODULE, SHEET, SUPPLY, WISH

    wares = {ware.name for ware in look.rack.wares}
    blocks = {MODULE, SUPPLY, RAIL, STRIP, NUT, SHEET, WISH}
    return {need.part for need in needs(look) if need.part in wares or blocks & set(need.kinds)}


@rule("warning", "money")
def stock_short(look: Look) -> Iterator[Seen]:
    """All sellers together have fewer of a thing than are needed.

    *Why*: the rest has to come from somewhere else, and a rail system of which one part is short is no cheap one. It is
    a note where only a later stage lacks it: by then there may be more.

    *Bad*:

        module osc {
            width 8HP
        }
        seller corner {
            ships 4 EUR
            sells osc at 90 EUR stock 1
        }
        rack tray {
            row top {
                length 84HP
                at 0HP osc
                next osc as second
            }
        }

    *Good*:

        module osc {
            width 8HP
        }
        seller corner {
            ships 4 EUR
            sells osc at 90 EUR stock 2
        }
        rack tray {
            row top {
                length 84HP
                at 0HP osc
                next osc as second
            }
        }

    *Source*: counting.
    """
    if not look.rack.sellers or not whole(look):
        return
    from rackspec.rules.bought import lacking, many_text

    rack = look.rack
    for one in lacking(look, "stock"):
        need, have = one.need, one.need.all - one.pieces
        so_far = list(accumulate(need.buy))
        stage = next((number for number, bought in enumerate(so_far) if bought > have), 0)
        when = f" {rack.stage_name(stage)}" if stage else ""
        offers = [offer for seller in rack.sellers for offer in seller.offers if offer.part in need.serves]
        stocked = [offer.place.labelled(f"stock {offer.stock}") for offer in offers if offer.stock is not None]
        here = f"all sellers here have {have} together" if have else "no seller here has any"
        if not have and any(offer.stock for offer in offers):
            here = "the sellers here have fewer than they sell at a time"
        yield Finding(
            "stock-short",
            NOTE if stage else WARNING,
            f"{need.all} of '{need.part}' have to be bought{when}, and {here}",
            need.place,
            others=tuple(stocked[:SHOWN]),
            sum=f"{need.all} - {have} = {one.pieces}" if have else "",
            remedy=f"ask for {many_text(need.part, one.pieces)} elsewhere, or write the stock as it is today",
            rests_on=f"what {sellers_text(rack.sellers)}",
            names=(rack.full(rack.name), rack.full(need.part)),
        )


@rule("warning", "money")
def arrives_late(look: Look) -> Iterator[Seen]:
    """No seller can send a thing before the day of the stage that needs it.

    *Why*: a concert does not wait for a parcel. It is a note where the parcel is late only at the worst
    (``days 3 to 14``).

    *Bad*:

        module osc {
            width 8HP
        }
        seller corner {
            ships 4 EUR
            days 20 to 30
            sells osc at 90 EUR
        }
        rack tray {
            stage fair by 2026-12-05
            row top {
                length 84HP
                at 0HP osc in fair
            }
        }

    *Good*:

        module osc {
            width 8HP
        }
        seller corner {
            ships 4 EUR
            days 4 to 6
            sells osc at 90 EUR
        }
        rack tray {
            stage fair by 2026-12-05
            row top {
                length 84HP
                at 0HP osc in fair
            }
        }

    *Source*: the calendar.
    """
    if look.today is None or not look.rack.sellers or not whole(look):
        return
    for stage in look.rack.stages:
        if stage.by is not None and stage.by >= look.today:
            yield from late_for(look, stage, stage.by, look.today)


def late_for(look: Look, stage: Stage, by: date, today: date) -> Iterator[Finding]:
    """What comes too late for a stage."""
    from rackspec.rules.bought import offered

    left = (by - today).days
    takes: dict[str, list[Days | None]] = {}
    for seller, _, needs in offered(look):
        for need in needs:
            if need.buy[stage.number]:
                takes.setdefault(need.part, []).append(seller.days)
    surely: dict[str, Days] = {}
    maybe: dict[str, Days] = {}
    for part, days in takes.items():
        known = [one for one in days if one is not None]
        if len(known) < len(days):
            continue  # one of them may be quick
        least, most = min(known, key=lambda one: one.least), min(known, key=lambda one: one.most)
        if least.least > left:
            surely[part] = least
        elif most.most > left:
            maybe[part] = most
    late = surely or maybe
    if not late:
        return
    names = [f"'{part}'" for part in late]
    quickest = min(days.least if surely else days.most for days in late.values())
    verb = ("comes" if surely else "may come") if len(late) == 1 else ("come" if surely else "may come")
    takes_text = f"a parcel takes {quickest} days" + ("" if surely else " at the worst")
    rack = look.rack
    yield Finding(
        "arrives-late",
        WARNING if surely else NOTE,
        f"{listed(names, MOST_TOLD)} {verb} too late for stage '{stage.name}': {left} days are left, {takes_text}",
        stage.place,
        others=tuple(days.place.labelled("how long a parcel takes") for days in dict.fromkeys(late.values()))[:SHOWN],
        sum=f"{by} - {today} = {left} days",
        remedy=f"put {'it' if len(late) == 1 else 'them'} off to a later stage, or set a later day",
        rests_on="days as the sellers state them",
        names=(rack.full(stage.name),),
    )


@rule("warning", "money")
def break_dearer(look: Look) -> Iterator[Seen]:
    """A price for more pieces is higher than the price for fewer.

    *Why*: a price that holds from some number on is there to be lower; one that is higher is usually a slip of the pen,
    and the order that follows from it would be a wrong one.

    *Bad*:

        module osc {
            width 8HP
        }
        seller corner {
            ships 4 EUR
            sells osc at 90 EUR
            sells osc at 98 EUR from 2
        }
        rack tray {
            row top {
                length 84HP
                at 0HP osc
            }
        }

    *Good*:

        module osc {
            width 8HP
        }
        seller corner {
            ships 4 EUR
            sells osc at 98 EUR
            sells osc at 90 EUR from 2
        }
        rack tray {
            row top {
                length 84HP
                at 0HP osc
            }
        }

    *Source*: arithmetic.
    """
    if not look.rack.sellers or not whole(look):
        return
    from rackspec.rules.bought import offered

    for seller, lines, _ in offered(look):
        for fewer, more in pairwise(lines):
            one, other = fewer.price.money, more.price.money
            if one.currency == other.currency and other.value > one.value:
                yield dearer(look, seller, fewer, more)


def dearer(look: Look, seller: Seller, fewer: Offer, more: Offer) -> Finding:
    """A price that goes up with the number."""
    one, other = fewer.price.money, more.price.money
    said = f"'{seller.name}' sells '{more.part}' at {other.text} from {more.least} on, and at {one.text} below that"
    each = {"pair": "a pair", "pack": "a pack"}.get(more.form, "each")
    totals = sum_text(other.value * more.least, other.currency), sum_text(one.value * more.least, one.currency)
    return Finding(
        "break-dearer",
        WARNING,
        said,
        more.price.place,
        others=(fewer.price.place.labelled(f"{each}, for fewer"),),
        sum=f"{more.least} x {other.text} = {totals[0]}, and {more.least} x {one.text} = {totals[1]}",
        remedy="look at its list again; the two prices, or the two numbers, may be the wrong way round",
        rests_on="prices as written",
        names=(look.rack.full(look.rack.name), seller.name, more.part),
    )

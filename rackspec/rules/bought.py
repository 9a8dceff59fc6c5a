"""What a rack has to buy: in: a look at it, out: its needs on the rails that it is bought with, and who offers them.

Worked out once a look. Only racks that know a seller ask for this: for others it would be work for nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice, product
from math import prod

from rackspec.model.rack import Rack, Row
from rackspec.model.sellers import Offer, Seller
from rackspec.model.wares import opened
from rackspec.rules.choices import Chosen, chosen_of
from rackspec.rules.chosen import does
from rackspec.rules.exchange import currency_for
from rackspec.rules.hardware import RowHardware, row_hardware
from rackspec.rules.needs import WISH, Need, needs_of
from rackspec.rules.registry import Look
from rackspec.rules.shop import UNSETTLED, Lacking, Shop, shop_of

MOST_WAYS = 8
"""Combinations of rails that are looked at: a rule has to be quick, ``order`` looks at all of them."""


def needs(look: Look) -> tuple[Need, ...]:
    """Everything that a rack needs, each row on the rails that it is bought with."""
    if "needs" not in look.memory:
        rows = [hardware_on(look, chosen) for chosen in bought_choices(look)]
        look.memory["needs"] = needs_of(look, rows)
    found: tuple[Need, ...] = look.memory["needs"]
    return found


def bought_choices(look: Look) -> list[Chosen]:
    """For each row that names rails: the first choice that does and can be had; else the first that does, else the
    first."""
    there = to_be_had(look.rack)
    return [bought_choice(look, row, there) for row in look.rack.rows if row.choices]


def bought_choice(look: Look, row: Row, there: set[str]) -> Chosen:
    """The rails that a row is bought with."""
    choices = [chosen_of(row, choice) for choice in row.choices]
    first: Chosen | None = None
    for chosen in choices if len(choices) > 1 else ():
        if does(look, chosen):
            first = first or chosen
            parts = [part.name for part in (chosen.rail, chosen.insert) if part is not None]
            if all(part in there for part in parts):
                return chosen
    return first or choices[0]


def other_ways(look: Look) -> Iterator[tuple[Need, ...]]:
    """The needs on each combination of rails that do, the one of ``needs`` first; where there are more than MOST_WAYS,
    on those that have the choice of one place in all rows."""
    yield needs(look)
    fitting = fitting_rails(look)
    ways = list(islice(product(*fitting), MOST_WAYS + 1))
    if len(ways) > MOST_WAYS:
        longest = min(MOST_WAYS, max(len(good) for good in fitting))
        ways = [tuple(good[min(place, len(good) - 1)] for good in fitting) for place in range(longest)]
    bought = [chosen.choice.place for chosen in bought_choices(look)]
    for way in ways:
        if [chosen.choice.place for chosen in way] != bought:
            yield needs_of(look, [hardware_on(look, chosen) for chosen in way])


def fitting_rails(look: Look) -> list[list[Chosen]]:
    """For each row that names rails, its choices that do; the first one where none does."""
    fitting = []
    for row in look.rack.rows:
        choices = [chosen_of(row, choice) for choice in row.choices]
        if choices:
            fitting.append([chosen for chosen in choices if len(choices) == 1 or does(look, chosen)] or choices[:1])
    return fitting


def too_many_ways(look: Look) -> bool:
    """Whether there are more combinations of rails than are looked at."""
    return prod(len(good) for good in fitting_rails(look)) > MOST_WAYS


def hardware_on(look: Look, chosen: Chosen) -> RowHardware:
    """A row on given rails, worked out once."""
    memory: dict[object, RowHardware] = look.memory.setdefault("hardware on", {})
    if chosen.choice.place not in memory:
        memory[chosen.choice.place] = row_hardware(look, chosen)
    return memory[chosen.choice.place]


def to_be_had(rack: Rack) -> set[str]:
    """What is sold or there, by designation, with what is in kits."""
    named = [offer.part for seller in rack.sellers for offer in seller.offers] + [have.part for have in rack.have]
    return set(opened({ware.name: ware for ware in rack.wares}, dict.fromkeys(named, 1)))


def shop(look: Look) -> Shop:
    """All that is needed at all stages against all sellers, in the money that the rack is reckoned in."""
    if "shop" not in look.memory:
        found = needs(look)
        look.memory["shop"] = shop_of(look, found, [need.all for need in found], currency_for(look))
    known: Shop = look.memory["shop"]
    return known


def offered(look: Look) -> list[tuple[Seller, tuple[Offer, ...], tuple[Need, ...]]]:
    """What sellers offer of it: a thing by the same unit, the fewest units first, and the needs that it serves."""
    here, found = shop(look), []
    for lot, lines in zip(here.basket.lots, here.lots, strict=True):
        served = tuple(here.needs[position] for position, _ in lot.gives)
        found.append((here.sellers[lot.seller], lines, served))
    return found


def lacking(look: Look, reason: str) -> list[Lacking]:
    """What the sellers lack for a reason (see ``Lacking``)."""
    spoiled = spoiled_parts(look.rack)
    return [one for one in shop(look).lacking if one.reason == reason and one.need.part not in spoiled]


def settled(need: Need) -> bool:
    """Whether it is known which thing is needed."""
    return WISH not in need.kinds and not any(word in need.part for word in UNSETTLED)


def spoiled_parts(rack: Rack) -> set[str]:
    """Parts some of whose lines were not understood, by designation; their price may be among these."""
    found = {panel.part.name for panel in rack.panels() if panel.part is not None and panel.part.spoiled}
    found |= {panel.name for panel in rack.panels() if panel.part is not None and panel.part.spoiled}
    found |= {feed.supply.name for feed in rack.feeds if feed.supply.spoiled}
    found |= {f"wish {wish.name}" for wish in rack.wishes if wish.spoiled}
    for row in rack.rows:
        for choice in row.choices:
            found |= {part.name for part in (choice.rail, choice.insert) if part is not None and part.spoiled}
    return found


def first_stage(need: Need) -> int:
    """The first stage that has to buy some of it."""
    return next((stage for stage, many in enumerate(need.buy) if many), 0)


def many_text(part: str, pieces: int) -> str:
    """So many of a thing, in a sentence: ``8 of 'M5x25'``, ``'wide-mixer'``."""
    return f"'{part}'" if pieces == 1 else f"{pieces} of '{part}'"

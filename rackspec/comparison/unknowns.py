"""Facts that checks need: in: a rack of each side, out: which are not known any more, and which are known now."""

from __future__ import annotations

from typing import NamedTuple

from rackspec.comparison.answers import SHEET, is_answered
from rackspec.comparison.gaps import LINE, LINES, PART, TIME, Seen
from rackspec.comparison.prices import lost_sources
from rackspec.comparison.record import Unknown
from rackspec.comparison.renames import Renames
from rackspec.model.house import volts
from rackspec.model.parts import Insert, PanelPart, Rail
from rackspec.model.rack import Panel, Rack, Row, Wish
from rackspec.model.sellers import Seller
from rackspec.model.sheets import Sheet
from rackspec.rules.money import items_of

PRICE, FED = "price", "which supply will feed it"
OF_COURSE = frozenset({PART, LINE, TIME, PRICE})
"""Facts that no check asks for by itself: what a panel is, when it is there, and what a part costs."""


class Facts(NamedTuple):
    """What the new side does not know (and the old one did, or did not need), what it knows and the old one did not,
    and which of the first the old one knew."""

    unknown: tuple[Unknown, ...]
    answered: tuple[Unknown, ...]
    forgotten: tuple[Unknown, ...]


def unknowns(old: Seen, new: Seen, renames: Renames) -> Facts:
    """Hold the open questions of two racks against each other; those of a thing that is gone are no more asked, and not
    answered."""
    before = {Unknown(renames.of(item.thing), item.fact): item for item in questions(old)}
    after = {item: item for item in questions(new)}
    ours = {renames.of(name): what for name, what in known_things(old).items()}
    theirs = known_things(new)
    gained = [item for item in after if item not in before]
    forgotten = tuple(item for item in gained if is_known(item, ours, old))
    answered = tuple(before[item] for item in before if item not in after and is_known(item, theirs, new))
    unknown = tuple(item for item in gained if item.fact not in OF_COURSE or item in forgotten)
    return Facts(unknown, answered, forgotten)


def questions(seen: Seen) -> list[Unknown]:
    """What a rack needs and does not know: what its checks ask for, parts that are not found, and prices."""
    asked = (Unknown(item.thing, item.fact) for item in seen.inspected.not_known)
    # a sheet that is named and not found is told by its name
    found = [item for item in asked if item.fact != SHEET or not seen.gaps.sheets]
    found += [Unknown(name, PART) for name in seen.gaps.sheets]
    for one in (*seen.gaps.missing, *seen.gaps.rails):
        if one.why == PART:
            found.append(Unknown(one.part, PART))
        elif not one.thing.startswith(LINES):
            found.append(Unknown(seen.rack.full(one.thing), one.why))
    for item in items_of(seen.rack):
        if item.price is None:
            wish = item.part.removeprefix("wish ")
            found.append(Unknown(seen.rack.full(wish) if wish != item.part else item.part, PRICE))
    found += [Unknown(name, PART) for name in lost_sources(seen)]
    return list(dict.fromkeys(found))


Things = dict[str, Panel | Wish | Row | PanelPart | Rail | Insert | Sheet | Seller | Rack | None]


def known_things(seen: Seen) -> Things:
    """The things of a rack and its parts by their full names; those that are named and not found are left out."""
    rack = seen.rack
    found: Things = dict.fromkeys(rack.full(bus.name) for bus in rack.buses)
    found.update((seller.name, seller) for seller in rack.sellers)
    found[rack.name] = rack
    found.update((rack.full(row.name), row) for row in rack.rows)
    found.update((rack.full(feed.name), None) for feed in rack.feeds)
    found.update((feed.supply.name, feed.supply) for feed in rack.feeds)
    found.update((rack.full(wish.name), wish) for wish in rack.wishes)
    for panel in rack.panels():
        if panel.part is not None:
            found[rack.full(panel.name)] = panel
            found[panel.part.name] = panel.part
    for row in rack.rows:
        for choice in row.choices:
            for part in (choice.rail, choice.insert):
                if part is not None:
                    found[part.name] = part
    for side in rack.case.sides if rack.case is not None else ():
        if side.sheet is not None:
            found[side.sheet.name] = side.sheet
    return found


def is_known(item: Unknown, things: Things, seen: Seen) -> bool:
    """Whether a side has the thing of a question, and the value that is asked for."""
    if item.thing not in things:
        return False
    thing = things[item.thing]
    if thing is None or item.fact in (PART, LINE, TIME):
        return True
    if item.fact == FED:
        return len(seen.rack.feeds) == 1
    if isinstance(thing, Wish):
        return thing.width is not None if item.fact == "width" else item.fact != PRICE or thing.price is not None
    if isinstance(thing, Row):
        return _row_says(thing, item.fact, seen.rack)
    if isinstance(thing, Rail | Insert | Sheet | Seller | Rack):
        return is_answered(thing, item.fact)
    part = thing.part if isinstance(thing, Panel) else thing
    assert part is not None
    return _says(part, item.fact)


def _row_says(row: Row, fact: str, rack: Rack) -> bool:
    """Whether a row says a fact."""
    values = {
        "length of the row": row.length,
        "room behind the row": row.behind,
        "what feeds the row": row.power or None,
        "what the screws go into": next((choice.insert for choice in row.choices if choice.insert is not None), None),
        "seat": row.standing.seat,
        "thickness": next((panel for panel in row.panels if panel.part and panel.part.face.thickness), None),
        "what its end screws go through": rack.case,
    }
    return fact not in values or values[fact] is not None


def _says(part: PanelPart, fact: str) -> bool:
    """Whether a part says a fact."""
    if fact == PRICE:
        return part.bought.price is not None
    if fact.startswith("current on "):
        return part.draws == () or fact.removeprefix("current on ") in {
            volts(draw.voltage) for draw in part.draws or ()
        }
    values = {"depth": part.depth, "width": part.width, "current": part.draws, "its power header": part.header}
    return fact not in values or values[fact] is not None

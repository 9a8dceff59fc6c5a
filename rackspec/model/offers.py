"""Lines of sellers, and of kits, held against each other: in: their blocks, out: findings about names and lines."""

from __future__ import annotations

from rackspec.findings import ERROR, Finding, Place
from rackspec.model.library import Entry, Library
from rackspec.model.purse import find_part
from rackspec.model.sellers import Offer, Seller, whole_number


def link_seller(entry: Entry, library: Library) -> None:
    """Look up what a seller sells; each offer is made once."""
    for fact in entry.block.all("sells"):
        find_part(fact, library)
    for fact in entry.block.all("days"):
        least, most = whole_number(fact, "days"), whole_number(fact, "most")
        if least is not None and most is not None and most < least:
            library.findings.append(days_turned(entry.name, least, most, fact.place("days")))
    seller = library.seller(entry)
    own = entry.place.source
    both_ways(entry, library)
    first: dict[tuple[str, int, int], Offer] = {}
    for offer in seller.offers:
        earlier = first.setdefault((offer.part, offer.pieces, offer.least), offer)
        if earlier is not offer and offer.place.source is own:
            library.findings.append(said_twice(seller, earlier, offer))


def link_kit(entry: Entry, library: Library) -> None:
    """Look up what a part holds; one that in the end holds itself is none."""
    library.part(entry)
    for fact in entry.block.all("holds"):
        name = find_part(fact, library)
        if name and holds(name, entry.name, library):
            library.findings.append(holds_itself(entry.name, name, fact.place("part")))


def holds(kit: str, name: str, library: Library) -> bool:
    """Whether a kit is a thing, or holds it, itself or in kits that it holds."""
    seen, waiting = set(), [kit]
    while waiting:
        part = waiting.pop()
        if part == name:
            return True
        entry = library.entries.get(part)
        if part not in seen and entry is not None and entry.kind == "part":
            seen.add(part)
            waiting += [held.part for held in library.part(entry).holds]
    return False


def holds_itself(kit: str, part: str, place: Place) -> Finding:
    """A kit that is in itself."""
    message = f"'{kit}' holds itself" if kit == part else f"'{kit}' holds '{part}', which in the end holds '{kit}'"
    remedy = "write what is in it: screws by thread and length, other parts by their names"
    return Finding("value-impossible", ERROR, message, place, remedy=remedy, names=(kit,))


def both_ways(entry: Entry, library: Library) -> None:
    """A seller who ships nothing has no price for a parcel."""
    lines = entry.block.all("ships")
    nothing = [fact for fact in lines if "nothing" in fact.bound.flags]
    priced = [fact for fact in lines if "nothing" not in fact.bound.flags]
    if nothing and priced:
        first, second = sorted((nothing[0].place(""), priced[0].place("")), key=lambda place: place.start)
        library.findings.append(
            Finding(
                "said-twice",
                ERROR,
                f"'{entry.name}' is said to ship nothing, and what its parcels cost",
                second,
                (first.labelled("the first time"),),
                remedy="delete 'ships nothing' if it sends parcels, else the lines with what they cost",
                names=(entry.name,),
            )
        )


def said_twice(seller: Seller, earlier: Offer, offer: Offer) -> Finding:
    """Two prices for the same units of the same thing."""
    prices = earlier.price.money.text, offer.price.money.text
    told = f"{prices[0]} and {prices[1]}" if prices[0] != prices[1] else prices[0]
    return Finding(
        "said-twice",
        ERROR,
        f"'{seller.name}' sells '{offer.part}' twice for the same number: at {told}",
        offer.place,
        (earlier.place.labelled("the first time"),),
        remedy="delete one of the lines, or say from how many on the second price holds ('from 5')",
        names=(seller.name,),
    )


def days_turned(seller: str, least: int, most: int, place: Place) -> Finding:
    """A parcel that takes more days at least than at most."""
    return Finding(
        "value-impossible",
        ERROR,
        f"a parcel of '{seller}' cannot take {least} days at least and {most} at most",
        place,
        remedy=f"write the smaller number first ('days {most} to {least}')",
        names=(seller,),
    )

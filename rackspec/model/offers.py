"""Lines of sellers held against each other: in: a seller's block, out: findings about names and lines said twice."""

from __future__ import annotations

from rackspec.findings import ERROR, Finding
from rackspec.model.library import Entry, Library
from rackspec.model.purse import find_part
from rackspec.model.sellers import Offer, Seller


def link_seller(entry: Entry, library: Library) -> None:
    """Look up what a seller sells; each offer is made once."""
    for fact in entry.block.all("sells"):
        find_part(fact, library)
    seller = library.seller(entry)
    own = entry.place.source
    first: dict[tuple[str, int, int], Offer] = {}
    for offer in seller.offers:
        earlier = first.setdefault((offer.part, offer.pieces, offer.least), offer)
        if earlier is not offer and offer.place.source is own:
            library.findings.append(said_twice(seller, earlier, offer))


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

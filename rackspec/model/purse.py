"""What a rack says about buying: in: its block, out: what is there, what is bought besides, money beside the prices."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rackspec.language.bound import Block, Fact
from rackspec.model.layers import basis_of
from rackspec.model.library import Library
from rackspec.model.names import RackNames
from rackspec.model.rack import Also, Have, Purse
from rackspec.model.sellers import Seller, designation, money_in, named_part, whole_number
from rackspec.model.wares import Ware

BUYABLE = ("insert", "rail", "module", "supply", "part", "sheet")
"""Kinds of things that are bought."""


def find_part(fact: Fact, library: Library) -> str:
    """What the thing of a line is called; a part must be known."""
    name = named_part(fact)
    if name:
        library.find(name, BUYABLE, fact.place("part"))
    return designation(fact)


def stage_of(fact: Fact, stages: Mapping[str, int], names: RackNames) -> int:
    """The stage of a line; the start where it names none."""
    name = fact.text("in")
    if name and name not in stages:
        names.find(name, ("stage",), fact.place("in"))
    return stages.get(name, 0)


def make_have(block: Block, library: Library) -> tuple[Have, ...]:
    """What is there already; parts must be known, screws, washers and blanks go by their designation."""
    found = []
    for fact in block.all("have"):
        part, pieces = find_part(fact, library), whole_number(fact, "have")
        if part and pieces is not None:
            found.append(Have(part, pieces, fact.place("part")))
    return tuple(found)


def make_also(block: Block, library: Library, stages: Mapping[str, int], names: RackNames) -> tuple[Also, ...]:
    """What is bought besides."""
    found = []
    for fact in block.all("also"):
        part, pieces = find_part(fact, library), whole_number(fact, "also")
        stage = stage_of(fact, stages, names)
        if part and pieces is not None:
            found.append(Also(part, pieces, stage, fact.place("part")))
    return tuple(found)


def make_purse(
    block: Block, word: str, stages: Mapping[str, int], names: RackNames, library: Library | None = None
) -> tuple[Purse, ...]:
    """Money beside the prices, by the lines of a word; where a seller is named in them, it must be known."""
    found = []
    for fact in block.all(word):
        stage, money = stage_of(fact, stages, names), money_in(fact, word, basis_of(block))
        seller = fact.text("from") if library is not None else ""
        if library is not None and seller:
            library.find(seller, ("seller",), fact.place("from"))
        if money is not None:
            found.append(Purse(money, stage, seller))
    return tuple(found)


def make_wares(library: Library, named: Sequence[Have | Also], sellers: Sequence[Seller]) -> tuple[Ware, ...]:
    """What is known of everything that a rack names beside its rows, that sellers sell, and that kits among these
    hold, in order of names. Panels that are only sold are left out: the rack knows those that it needs itself."""
    asked = {item.part for item in named}
    waiting = [*asked, *(offer.part for seller in sellers for offer in seller.offers)]
    found: dict[str, Ware] = {}
    while waiting:
        name = waiting.pop()
        entry = library.entries.get(name)
        if name in found or entry is None or (entry.kind in ("module", "supply") and name not in asked):
            continue
        ware = library.ware(name)
        if ware is None:
            continue
        found[name] = ware
        if ware.part is not None:
            library.used.add(name)
            held = [inside.part for inside in ware.part.holds]
            asked.update(held)
            waiting += held
    return tuple(found[name] for name in sorted(found))

"""Which of several lengths of a screw to take: in: those that serve, out: the best one, and by what it was chosen.

What is there costs nothing; what nobody sells cannot be had, however standard it is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction

from rackspec.model.wares import opened
from rackspec.physics.threads import Screw, read_screw
from rackspec.rules.registry import Look

THERE = "a length that is there"
SOLD = "the shortest that is sold here"
STANDARD = "the shortest standard length"


def with_kits(look: Look, parts: Iterable[str]) -> frozenset[str]:
    """Some designations, and what is in those of them that are kits."""
    wares = {ware.name: ware for ware in look.rack.wares}
    return frozenset(opened(wares, dict.fromkeys(parts, 1)))


def sold_here(look: Look) -> frozenset[str]:
    """Designations of everything that the sellers of a rack sell, alone or in kits; worked out once."""
    if "sold here" not in look.memory:
        leave_out(look, frozenset())
    sold: frozenset[str] = look.memory["sold here"]
    return sold


def leave_out(look: Look, sellers: frozenset[str]) -> None:
    """Some sellers are not asked: what only they sell counts as sold by nobody from here on."""
    offers = (offer for seller in look.rack.sellers if seller.name not in sellers for offer in seller.offers)
    look.memory["sold here"] = with_kits(look, (offer.part for offer in offers if offer.stock != 0))


def shortest_of(parts: Iterable[str], serves: Callable[[Screw], bool]) -> str:
    """The shortest screw among some designations that serves; empty where none does."""
    found = []
    for part in parts:
        screw = read_screw(part)
        if screw is not None and serves(screw):
            found.append((screw.length, part))
    return min(found)[1] if found else ""


def chosen_length(
    look: Look, thread: str, shortest: int | None, does: Callable[[Screw], bool], may_be_longer: bool
) -> tuple[str, str]:
    """The screw to take, and by what it was chosen; both empty where none serves.

    ``shortest``: the shortest standard length that serves (mm). ``does``: whether a screw serves. ``may_be_longer``: it
    is known where a screw would hit something, so that a longer one that is sold may be taken for it.
    """
    there = shortest_of(with_kits(look, (have.part for have in look.rack.have if have.pieces)), does)
    if there:
        return there, THERE
    standard = f"{thread}x{shortest}" if shortest is not None else ""
    sold = sold_here(look)
    if not may_be_longer and shortest is not None:
        longest = Fraction(shortest)
        first = shortest_of(sold, lambda screw: screw.length <= longest and does(screw))
    else:
        first = shortest_of(sold, does)
    if first:
        return first, SOLD
    return standard, STANDARD if standard else ""

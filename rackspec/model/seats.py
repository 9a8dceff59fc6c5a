"""Where a row is in its case: in: the block of a row, out: its seat, its holes as drilled, its end screws.

Points are (back, up) in mm from the lower front corner of a side piece.
"""

from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.bound import Block
from rackspec.model.known import TRUST, Known, known, known_point
from rackspec.model.layers import Layers, basis_of

BOTTOM, TOP = "bottom", "top"
LINES = (BOTTOM, TOP)
"""The two rails of a row."""


class Seat(NamedTuple):
    """Where the lower edge of a row's panels is: of their back, or with ``setback`` of their face, which stands in
    front by the thickness of a panel. ``lean`` is from the vertical, top backwards (degrees; None: upright)."""

    back: Known
    up: Known
    setback: bool
    lean: Known | None
    place: Place


class Drilled(NamedTuple):
    """Where the hole of a rail's end really is: in which side piece, for which rail."""

    side: str
    line: str
    back: Known
    up: Known
    place: Place


class EndScrews(NamedTuple):
    """The screws through the side pieces into the ends of the rails, and what lies under their heads (mm)."""

    designation: str
    washer: Known | None
    place: Place


class Standing(NamedTuple):
    """How a row stands in its case, as far as somebody wrote it; ``apart`` is between its thread lines (mm)."""

    seat: Seat | None
    drilled: tuple[Drilled, ...]
    apart: Known | None
    end_screws: EndScrews | None

    def hole(self, side: str, line: str) -> Drilled | None:
        """The hole for a rail in a side piece, as drilled."""
        return next((hole for hole in self.drilled if (hole.side, hole.line) == (side, line)), None)


NOWHERE = Standing(None, (), None, None)
"""Nobody has written anything about it yet."""


def make_seat(layers: Layers) -> Seat | None:
    """The seat of a row."""
    found = layers.one("seat")
    if found is None:
        return None
    fact, evidence = found
    lean = known(fact, "lean", evidence)
    back, up = known(fact, "setback", evidence), known(fact, "up", evidence)
    if back is not None and up is not None:
        return Seat(back, up, True, lean, fact.place("setback"))
    point = known_point(fact, "seat", evidence)
    return Seat(*point, False, lean, fact.place("seat")) if point is not None else None


def make_drilled(block: Block) -> tuple[Drilled, ...]:
    """The holes of a row as drilled; of one that is written several times the best known counts."""
    basis = basis_of(block)
    found: dict[tuple[str, str], Drilled] = {}
    for fact in block.all("drilled"):
        point = known_point(fact, "point", basis)
        if point is None or len(fact.bound.flags) != 2:
            continue
        side, line = fact.bound.flags
        earlier = found.get((side, line))
        if earlier is None or TRUST[point[0].evidence.level] < TRUST[earlier.back.evidence.level]:
            found[side, line] = Drilled(side, line, *point, fact.place("point"))
    return tuple(found.values())


def make_end_screws(layers: Layers) -> EndScrews | None:
    """The screws into the ends of a row's rails."""
    found = layers.one("end-screws")
    if found is None:
        return None
    fact, evidence = found
    return EndScrews(fact.text("end-screws"), known(fact, "washer", evidence), fact.place("end-screws"))


def make_standing(block: Block, layers: Layers) -> Standing:
    """Everything about where a row stands."""
    return Standing(make_seat(layers), make_drilled(block), layers.quantity("apart"), make_end_screws(layers))

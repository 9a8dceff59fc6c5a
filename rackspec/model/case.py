"""The case: in: its block, out: side pieces with their outlines, the inside width, old holes.

Points are (back, up) in mm from the lower front corner of a side piece, for both pieces alike.
"""

from typing import NamedTuple

from rackspec.findings import ERROR, Finding, Place
from rackspec.language.bound import Block
from rackspec.model.known import Known, known_point
from rackspec.model.layers import Layers, basis_of
from rackspec.model.library import Library
from rackspec.model.outlines import fault_of
from rackspec.model.parts import count_in
from rackspec.model.sheets import Sheet

LEFT, RIGHT = "left", "right"
SIDES = (LEFT, RIGHT)
"""Left and right as seen from the front of the rack."""


class SidePiece(NamedTuple):
    """A side piece: which one (``left``, ``right``, or nothing: both alike), its sheet, how many are cut, its corners
    (back, up) in order."""

    which: str
    sheet: Sheet | None
    pieces: int | None
    corners: tuple[tuple[Known, Known], ...]
    place: Place
    spoiled: bool

    def is_for(self, side: str) -> bool:
        """Whether it is the piece of a side."""
        return self.which in ("", side)


class Abandoned(NamedTuple):
    """A hole that is there and not used: in which side piece, and where."""

    side: str
    back: Known
    up: Known
    place: Place


class Case(NamedTuple):
    """The box around the rows. ``inside`` is from side piece to side piece, ``shims`` what fills it beside the rails,
    both ends together (mm)."""

    sides: tuple[SidePiece, ...]
    inside: Known | None
    shims: Known | None
    abandoned: tuple[Abandoned, ...]
    place: Place
    spoiled: bool

    def side(self, which: str) -> SidePiece | None:
        """The piece of a side: the one that is said to be, else the one for both."""
        found = [piece for piece in self.sides if piece.is_for(which)]
        return max(found, key=lambda piece: piece.which != "", default=None)


def make_side(block: Block, library: Library) -> SidePiece:
    """A side piece out of its block."""
    sheets = block.all("from")
    entry = library.find(sheets[0].text("from"), ("sheet",), sheets[0].place("from")) if sheets else None
    basis = basis_of(block)
    corners = [point for fact in block.all("corner") if (point := known_point(fact, "corner", basis)) is not None]
    fault = fault_of([(back.value, up.value) for back, up in corners]) if corners and not block.spoiled else ""
    if fault:
        message = f"the corners of this side piece are no outline: {fault}"
        remedy = "write all its corners, one behind the other round the piece"
        library.findings.append(Finding("value-impossible", ERROR, message, block.place(), remedy=remedy))
    flags = block.header.bound.flags if block.header is not None else ()
    return SidePiece(
        which=flags[0] if flags else "",
        sheet=library.sheet(entry) if entry is not None else None,
        pieces=count_in(Layers((block,)), "count"),
        corners=tuple(corners),
        place=block.place(),
        spoiled=block.spoiled,
    )


def _look_for_two_pieces(sides: tuple[SidePiece, ...], library: Library) -> None:
    """Each side has one piece; the last one never wins in silence."""
    for number, piece in enumerate(sides):
        for earlier in sides[:number]:
            if earlier.which == piece.which:
                whose = f"the {piece.which} side" if piece.which else "both sides"
                message = f"there are two side pieces for {whose}"
                remedy = "delete one, or say which is which: 'side left' and 'side right'"
                others = (earlier.place.labelled("the first one"),)
                library.findings.append(Finding("said-twice", ERROR, message, piece.place, others, remedy=remedy))


def make_case(block: Block, library: Library) -> Case:
    """The case out of its block."""
    layers, basis = Layers((block,)), basis_of(block)
    abandoned = []
    for fact in block.all("abandoned"):
        point = known_point(fact, "point", basis)
        if point is not None and fact.bound.flags:
            abandoned.append(Abandoned(fact.bound.flags[0], *point, fact.place("point")))
    sides = tuple(make_side(fact.block, library) for fact in block.all("side") if fact.block is not None)
    _look_for_two_pieces(sides, library)
    return Case(
        sides=sides,
        inside=layers.quantity("inside"),
        shims=layers.quantity("shims"),
        abandoned=tuple(abandoned),
        place=block.place(),
        spoiled=block.spoiled,
    )

"""What a comparison says of drill points: in: nothing, out: the records that comparing makes and that views show.

A hole has no good side: one that moves is elsewhere, and neither better nor worse.
"""

from fractions import Fraction
from typing import NamedTuple


class Hole(NamedTuple):
    """Where a hole for the end of a rail goes: in which side piece, for which rail, (back, up) in mm from the lower
    front corner, off by less than SAME_PLACE, its diameter in mm, and the thread it serves."""

    side: str
    line: str
    back: Fraction
    up: Fraction
    diameter: Fraction
    thread: str


SAME_PLACE = Fraction(1, 10**6)
"""mm; two holes that are less than this apart are in the same place."""


class Holes(NamedTuple):
    """The drill points of a row on a side, and why they are not to be drilled yet; no reason: they are released.
    ``drilled``: how many holes of the row are there already."""

    points: tuple[Hole, ...]
    because: tuple[str, ...]
    drilled: int = 0

    @property
    def released(self) -> bool:
        """Whether they may be drilled."""
        return not self.because


FREED, HELD = "released", "held back"
"""What can become of holes that are known on both sides: they may be drilled now, or not any more."""


class HoleMove(NamedTuple):
    """How far a hole is from where it was: back and up, in mm."""

    side: str
    line: str
    back: Fraction
    up: Fraction


class HoleChange(NamedTuple):
    """What becomes of the drill points of a row, ``about`` by its full name: those of each side (None: not known there,
    or there is no such row). ``doubts``: both are known, and the reasons why they are not to be drilled are others.
    ``lost``: they are not known any more though the row is there; ``gained``: the other way round."""

    about: str
    old: Holes | None
    new: Holes | None
    doubts: bool = False
    lost: bool = False
    gained: bool = False

    @property
    def moves(self) -> tuple[HoleMove, ...]:
        """How far each hole moves; those that stay are left out, and what is known on one side only does not move."""
        if self.old is None or self.new is None:
            return ()
        was = {(hole.side, hole.line): hole for hole in self.old.points}
        found = []
        for hole in self.new.points:
            one = was.get((hole.side, hole.line))
            if one is not None and max(abs(hole.back - one.back), abs(hole.up - one.up)) >= SAME_PLACE:
                found.append(HoleMove(hole.side, hole.line, hole.back - one.back, hole.up - one.up))
        return tuple(found)

    @property
    def threads(self) -> tuple[tuple[Hole, Hole], ...]:
        """The holes that are for another thread, or of another width, as they were and as they are."""
        if self.old is None or self.new is None:
            return ()
        was = {(hole.side, hole.line): hole for hole in self.old.points}
        both = ((was.get((hole.side, hole.line)), hole) for hole in self.new.points)
        return tuple(
            (one, hole) for one, hole in both if one and (one.thread, one.diameter) != (hole.thread, hole.diameter)
        )

    @property
    def release(self) -> str:
        """FREED or HELD, where they may be drilled on one side only; empty where that is the same on both, or where a
        side does not know them: what nobody knows is not released by that, and not held back."""
        if self.old is None or self.new is None or self.old.released == self.new.released:
            return ""
        return FREED if self.new.released else HELD

    @property
    def is_told(self) -> bool:
        """Whether anything is otherwise."""
        if self.old is None or self.new is None:
            return self.old is not self.new
        return self.doubts or bool(self.moves or self.threads)

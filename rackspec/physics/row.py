"""What a row of panels on its rails is made of: records in mm, from the rails' left end, left to right.

A screw stands off the middle of a 3.2 mm hole by 0.110 mm at most: the largest M3 screw has 2.980 mm (ISO 965-1, 6g).
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.differences import Size

__all__ = [
    "BOTTOM",
    "LINES",
    "TOP",
    "Line",
    "NutLine",
    "RowEnds",
    "RowHole",
    "RowPanel",
    "RowProblem",
    "Size",
    "StripLine",
    "Threads",
]

BOTTOM, TOP = "bottom", "top"
LINES = (BOTTOM, TOP)


class RowHole(NamedTuple):
    """A hole: its line, its middle from the panel's left edge, and how far a screw may stand off it sideways (mm).

    ``opening``: its diameter, or the length of a slot (mm), where known; ``room`` is half of it less half a screw.
    """

    line: str
    offset: Size
    room: Fraction
    opening: Fraction | None = None


class RowPanel(NamedTuple):
    """A panel: where the spec puts its slot and how wide that is, its real width, its holes (mm).

    ``turn``: how far its left edge may differ between the lines (mm); None: nothing holds it.
    """

    name: str
    start: Fraction
    width: Fraction
    face: Size
    holes: tuple[RowHole, ...]
    turn: Fraction | None


class StripLine(NamedTuple):
    """A tapped strip: its first thread from the rails' left end, its pitch, its threads, its whole travel (mm)."""

    first: Size
    pitch: Size
    threads: int
    play: Fraction


class NutLine(NamedTuple):
    """Sliding nuts: how wide each is (mm). They stay in the channel, which is as long as the rails."""

    across: Size


Line = StripLine | NutLine | None
"""What the screws of a line go into; None: not known, its holes hold nothing."""


class RowEnds(NamedTuple):
    """The length of the rails, and how far a panel may stand beyond either end of them (mm): what lies there between
    rails and side piece."""

    length: Fraction
    beyond: Fraction


class RowProblem(NamedTuple):
    """A row: its panels from left to right, what is behind its lines, and its ends."""

    panels: tuple[RowPanel, ...]
    bottom: Line
    top: Line
    ends: RowEnds

    def line(self, name: str) -> Line:
        """What is behind a line."""
        return self.bottom if name == BOTTOM else self.top


Threads = tuple[tuple[int | None, ...], ...]
"""For each panel, for each of its holes: the thread it stands before, counted from 0; None: no strip is behind it."""

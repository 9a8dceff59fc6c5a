"""A panel between two thread lines: in: heights of its holes, lips and play in mm, out: how far the lines may be apart.

A screw stands off its hole by at most c = (hole - largest screw) / 2, up or down; an insert with ``slack`` travels half
of it to either side of its middle. So a hole y above the panel's lower edge lets that edge stand, seen from the thread
line, from -y - c - slack/2 to -y + c + slack/2. Nuts travel each for itself, the threads of a strip together. A lip
keeps the edge of the panel within ``lip`` of the thread line, and gives nothing. The panel stands upright: its two ends
do not tilt against each other.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.interval import Interval, exactly_at, root

Height = tuple[Fraction, Fraction]
"""Of a hole: how high above the lower edge of its panel it is, and how far a screw may stand off its middle (mm)."""


class Upright(NamedTuple):
    """A panel: its holes for the lower and for the upper rail, its height, how far outside of the thread lines the lips
    of the rails are (None: they have none), and whether the threads of a rail are those of one strip."""

    bottom: tuple[Height, ...]
    top: tuple[Height, ...]
    height: Fraction
    lip: Fraction | None
    strip: bool = False


class Window(NamedTuple):
    """What a panel asks of the distance of the thread lines (mm): at ``least``, at ``most`` (None: anything).

    ``lacking``: how much its holes for one and the same rail, or one of them and the lip, contradict each other;
    not more than 0 where they agree.
    """

    least: Fraction | None
    most: Fraction | None
    lacking: Fraction

    def takes(self, apart: Fraction) -> bool:
        """Whether a distance will do."""
        return not self.beyond(apart) and self.lacking <= 0

    def beyond(self, apart: Fraction) -> Fraction:
        """By how much a distance is too large (positive), too small (negative), or 0."""
        if self.most is not None and apart > self.most:
            return apart - self.most
        if self.least is not None and apart < self.least:
            return apart - self.least
        return Fraction(0)


def window(panel: Upright, slack: Fraction) -> Window:
    """The distances of the thread lines that a panel takes if each insert may travel by ``slack`` (mm) in all."""
    half = slack / 2
    lows = [-y - play - half for y, play in panel.bottom]
    highs = [-y + play + half for y, play in panel.bottom]
    top_lows = [-y - play - half for y, play in panel.top]
    top_highs = [-y + play + half for y, play in panel.top]
    if panel.lip is not None:
        lows.append(-panel.lip)
        top_highs.append(panel.lip - panel.height)
    lacks = [max(low) - min(high) for low, high in ((lows, highs), (top_lows, top_highs)) if low and high]
    if panel.strip:
        lacks += [_unlike(holes) for holes in (panel.bottom, panel.top) if holes]
    lacking = max(lacks, default=Fraction(0))
    return Window(
        max(lows) - min(top_highs) if lows and top_highs else None,
        min(highs) - max(top_lows) if highs and top_lows else None,
        lacking,
    )


def _unlike(holes: Sequence[Height]) -> Fraction:
    """How much the holes for one rail contradict each other if their threads travel together (mm)."""
    return max(-y - play for y, play in holes) - min(-y + play for y, play in holes)


def least_off(lines: Sequence[Fraction], heights: Sequence[Fraction], slack: Fraction, strip: bool = False) -> Fraction:
    """How far some screw of a panel stands off the middle of its hole, at the least (mm), up or down.

    ``lines``: how high the thread of each hole is; ``heights``: how high the hole is; ``slack``: whole travel of each
    insert. The panel stands where the furthest screw is nearest: half of what the holes want to be apart. The threads
    of a strip travel together and mend nothing between holes for the same rail.
    """
    wanted = [line - height for line, height in zip(lines, heights, strict=True)]
    if not wanted:
        return Fraction(0)
    off = max((max(wanted) - min(wanted) - slack) / 2, Fraction(0))
    if strip:
        for line in set(lines):
            here = [want for want, other in zip(wanted, lines, strict=True) if other == line]
            off = max(off, (max(here) - min(here)) / 2)
    return off


def sideways_left(c: Fraction, dy: Fraction) -> Interval:
    """How far a screw may stand off its hole's middle sideways, if it stands ``dy`` (mm) too high or too low.

    A round hole is a circle, dx² + dy² <= c²: sqrt(c² - dy²), rounded outward; 0 where dy takes up all of it, or more.
    """
    left = c * c - dy * dy
    return root(left) if left > 0 else exactly_at(Fraction(0))

"""How far the two thread lines of a row are apart: in: a row on chosen rails, out: their distance at both ends.

Measured (``apart``), else from the holes as they were drilled, else 122.5 mm, as the standard has it and as the planned
holes give it.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.bound import MEASURED as BY_MEASURING
from rackspec.model.case import SIDES
from rackspec.model.known import Known, rests_on
from rackspec.model.parts import EndHole
from rackspec.model.seats import BOTTOM, TOP, Drilled
from rackspec.physics.interval import Interval, distance, root
from rackspec.physics.outlines import Point, between_squared
from rackspec.rules.choices import Chosen

HEIGHT = Fraction("128.5")
"""mm; the height of a panel of which nobody wrote it."""
APART = Fraction("122.5")
"""mm between the lower and the upper fixing holes of a 3U panel (IEC 60297-3-101, quoted by two public files)."""
STANDARD, MEASURED, DRILLED = "standard", "measured", "drilled"
"""Where a distance comes from."""


class Apart(NamedTuple):
    """A distance (mm): what it is, and between which two it is if what was measured has a tolerance."""

    value: Fraction
    low: Fraction
    high: Fraction

    def ends(self) -> tuple[Fraction, Fraction]:
        """The smallest and the largest that it may be."""
        return self.low, self.high


class ThreadLines(NamedTuple):
    """The distance of the thread lines at the left and at the right end of a row, where it comes from (``standard``,
    ``measured`` or ``drilled``), what it rests on, and where that was written."""

    left: Apart
    right: Apart
    origin: str
    values: tuple[Known, ...]
    places: tuple[Place, ...]

    @property
    def is_known(self) -> bool:
        """Whether somebody wrote something that it follows from."""
        return self.origin != STANDARD

    def at(self, share: Fraction) -> Fraction:
        """The distance at a share of the row's length from the left."""
        return self.left.value + (self.right.value - self.left.value) * share

    def trust(self) -> str:
        """What it rests on, in words."""
        if self.origin == STANDARD:
            return "thread lines 122.5mm apart, as quoted from IEC 60297-3-101"
        return rests_on("distance of the thread lines" if self.origin == MEASURED else "drilled holes", [*self.values])


def exactly(value: Fraction) -> Apart:
    """A distance without tolerance."""
    return Apart(value, value, value)


NORMAL = exactly(APART)


def thread_lines(chosen: Chosen) -> ThreadLines:
    """How far the thread lines of a row are apart, as far as it is known."""
    measured = chosen.row.standing.apart
    if measured is not None:
        one = Apart(measured.value, measured.low, measured.high)
        return ThreadLines(one, one, MEASURED, (measured,), (measured.place.labelled(how_known(measured)),))
    return lines_as_drilled(chosen) or ThreadLines(NORMAL, NORMAL, STANDARD, (), ())


def how_known(apart: Known) -> str:
    """Whether a distance was measured, or only written."""
    return "measured" if apart.evidence.level == BY_MEASURING else "as written"


def lines_as_drilled(chosen: Chosen) -> ThreadLines | None:
    """How far the thread lines are apart by the holes as they were drilled; None where no side has both holes, or the
    thread in the ends of the rails is not known. An end that is not drilled yet counts as planned."""
    if chosen.rail is None or chosen.rail.end_hole is None:
        return None
    ends: list[Apart] = []
    values: list[Known] = []
    places: list[Place] = []
    for side in SIDES:
        holes = [chosen.row.standing.hole(side, line) for line in (BOTTOM, TOP)]
        lower, upper = holes
        if lower is None or upper is None:
            ends.append(NORMAL)
            continue
        ends.append(apart_by(lower, upper, chosen.rail.end_hole))
        values += [lower.back, upper.back]
        places += [lower.place.labelled(f"drilled {side}"), upper.place.labelled(f"drilled {side}")]
    if not values:
        return None
    return ThreadLines(ends[0], ends[1], DRILLED, (*values, chosen.rail.end_hole.inward), tuple(places))


def apart_of(lower: Point, upper: Point, inward: Fraction) -> Apart:
    """The same by two points that are known exactly (mm)."""
    return exactly(root(between_squared(lower, upper)).middle + 2 * inward)


def apart_by(lower: Drilled, upper: Drilled, end_hole: EndHole) -> Apart:
    """The distance of the thread lines at one end: that of the holes, and twice what these are inward of the lines."""
    back, up = upper.back.value - lower.back.value, upper.up.value - lower.up.value
    worst = distance(
        Interval(upper.back.low - lower.back.high, upper.back.high - lower.back.low),
        Interval(upper.up.low - lower.up.high, upper.up.high - lower.up.low),
    )
    inward = end_hole.inward
    return Apart(
        root(back**2 + up**2).middle + 2 * inward.value, worst.low + 2 * inward.low, worst.high + 2 * inward.high
    )

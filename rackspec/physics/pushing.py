"""Rails pushed in their end holes: in: what panels ask of the rails' distance, out: the smallest push that serves all.

The distance of two straight rails is a straight line along the row: a at the left end, b at the right end, and
a + (b - a) x / length between. A panel that asks for at least or at most so much at its place allows a half-plane of
(a, b); together they leave a convex polygon, and the push is the point of it that is nearest to (a, b) as it is now,
by the larger of both ends' changes. All of it exact.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

FAR = Fraction(10_000)
"""mm; no rails are further apart than this, nor nearer than this."""

Point = tuple[Fraction, Fraction]


class Ask(NamedTuple):
    """What is asked of the rails' distance at a place along them, a share of their length from the left (mm)."""

    share: Fraction
    least: Fraction | None
    most: Fraction | None

    def takes(self, apart: Fraction) -> bool:
        """Whether a distance is as asked."""
        return (self.least is None or self.least <= apart) and (self.most is None or apart <= self.most)


class Push(NamedTuple):
    """By how much the rails have to be pushed apart at their left and right ends (mm; negative: together)."""

    left: Fraction
    right: Fraction

    @property
    def most(self) -> Fraction:
        """The larger one of both, in either direction."""
        return max(abs(self.left), abs(self.right))


def at(share: Fraction, left: Fraction, right: Fraction) -> Fraction:
    """A straight line at a share of its length."""
    return left + (right - left) * share


def smallest_push(asks: Sequence[Ask], left: Fraction, right: Fraction, give: Fraction | None = None) -> Push | None:
    """The smallest push that gives all what they ask; None where no straight rails can.

    Smallest is the larger one of both ends. If that is within what rails ``give`` (mm), rails that are askew get the
    easiest push within it instead, with the smallest sum of both ends: it leaves the good end alone where that will do.
    """
    if all(ask.takes(at(ask.share, left, right)) for ask in asks):
        return Push(Fraction(0), Fraction(0))
    polygon: list[Point] = [
        (left - FAR, right - FAR),
        (left + FAR, right - FAR),
        (left + FAR, right + FAR),
        (left - FAR, right + FAR),
    ]
    for ask in asks:
        for limit, sign in ((ask.least, 1), (ask.most, -1)):
            if limit is not None:
                polygon = _cut(polygon, ask.share, limit, sign)
    if not polygon:
        return None
    moved = [(a - left, b - right) for a, b in polygon]
    found: list[Point] = []
    for one, other in zip(moved, moved[1:] + moved[:1], strict=True):
        found += _candidates(one, other)
    within = [point for point in found if give is not None and left != right and max(map(abs, point)) <= give]
    if within:
        return Push(*min(within, key=lambda point: (abs(point[0]) + abs(point[1]), max(map(abs, point)), point)))
    return Push(*min(found, key=lambda point: (max(map(abs, point)), abs(point[0]) + abs(point[1]), point)))


def _cut(polygon: list[Point], share: Fraction, limit: Fraction, sign: int) -> list[Point]:
    """What of a polygon is on the allowed side of a line (Sutherland and Hodgman, 1974)."""
    inside = [sign * (at(share, *point) - limit) for point in polygon]
    kept: list[Point] = []
    for number, point in enumerate(polygon):
        here, before = inside[number], inside[number - 1]
        if (here < 0) != (before < 0):
            last = polygon[number - 1]
            part = before / (before - here)
            kept.append((last[0] + (point[0] - last[0]) * part, last[1] + (point[1] - last[1]) * part))
        if here >= 0:
            kept.append(point)
    return kept


def _candidates(one: Point, other: Point) -> list[Point]:
    """The points of an edge that may be nearest to (0, 0): its ends, and where one change is 0 or both are alike."""
    found = [one, other]
    run = (other[0] - one[0], other[1] - one[1])
    for start, change in (
        (one[0], run[0]),
        (one[1], run[1]),
        (one[0] - one[1], run[0] - run[1]),
        (one[0] + one[1], run[0] + run[1]),
    ):
        if change and 0 <= -start / change <= 1:
            part = -start / change
            found.append((one[0] + run[0] * part, one[1] + run[1] * part))
    return found

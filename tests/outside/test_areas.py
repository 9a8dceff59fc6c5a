"""Areas of outlines against a published example: the surveyor's formula (Gauss's area formula, the shoelace formula).

The polygon (1, 6), (3, 1), (7, 2), (4, 4), (8, 5) with its area 16.5 is the worked example of the article *Shoelace
formula* of Wikipedia; B. Braden, *The Surveyor's Area Formula*, The College Mathematics Journal 17(4), 1986, pp.
326-337, proves the formula. The theorem of G. Pick (1899) is a second way to areas of outlines on a grid: points inside
+ half the points on the outline - 1.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from math import gcd

import pytest

from rackspec.physics.outlines import area

SHOELACE = [(1, 6), (3, 1), (7, 2), (4, 4), (8, 5)]


def outline(*points: tuple[int, int]) -> list[tuple[Fraction, Fraction]]:
    """Whole points as exact ones."""
    return [(Fraction(x), Fraction(y)) for x, y in points]


def test_the_published_example() -> None:
    """16.5, from whichever corner one begins and whichever way round one goes."""
    for start in range(len(SHOELACE)):
        turned = SHOELACE[start:] + SHOELACE[:start]
        assert area(outline(*turned)) == Fraction(33, 2)
        assert area(outline(*reversed(turned))) == Fraction(33, 2)


def picks(points: list[tuple[int, int]]) -> Fraction:
    """The area by Pick's theorem, with the points inside counted one by one."""
    closed = [*points, points[0]]
    on = sum(gcd(abs(x - a), abs(y - b)) for (a, b), (x, y) in pairwise(closed))
    border = {
        (a + (x - a) * step // many, b + (y - b) * step // many)
        for (a, b), (x, y) in pairwise(closed)
        for many in [gcd(abs(x - a), abs(y - b))]
        for step in range(many)
    }
    columns = range(min(x for x, _ in points), max(x for x, _ in points) + 1)
    lines = range(min(y for _, y in points), max(y for _, y in points) + 1)
    inside = sum((x, y) not in border and is_inside((x, y), closed) for x in columns for y in lines)
    return Fraction(inside) + Fraction(on, 2) - 1


def is_inside(point: tuple[int, int], closed: list[tuple[int, int]]) -> bool:
    """Whether a ray to the right crosses the outline an odd number of times."""
    x, y = point
    crossings = 0
    for (a, b), (c, d) in pairwise(closed):
        if (b > y) != (d > y) and Fraction((c - a) * (y - b), d - b) + a > x:
            crossings += 1
    return crossings % 2 == 1


@pytest.mark.parametrize(
    "points",
    [
        SHOELACE,
        [(0, 0), (205, 0), (75, 301)],
        [(0, 0), (9, 0), (9, 4), (5, 4), (5, 7), (0, 7)],
        [(0, 0), (12, 3), (7, 11), (6, 4), (-3, 9)],
    ],
)
def test_points_of_a_grid(points: list[tuple[int, int]]) -> None:
    """Side pieces with straight, leaning and hollow edges."""
    assert area(outline(*points)) == picks(points)

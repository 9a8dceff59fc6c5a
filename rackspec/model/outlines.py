"""Outlines of pieces: in: corners as they are written, out: those that count, and whether they enclose a piece."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations

Corner = tuple[Fraction, Fraction]


def without_repeats(corners: Sequence[Corner]) -> tuple[Corner, ...]:
    """Corners without those that are written twice in a row, round the piece."""
    kept = [corner for number, corner in enumerate(corners) if corner != corners[number - 1]]
    return tuple(kept) if kept else tuple(corners[:1])


def fault_of(corners: Sequence[Corner]) -> str:
    """Why corners enclose no piece; nothing where they do."""
    kept = without_repeats(corners)
    if len(kept) < 3:
        return f"{len(kept)} corner{'s' if len(kept) > 1 else ''} enclose{'' if len(kept) > 1 else 's'} nothing"
    edges = [(kept[number - 1], kept[number]) for number in range(len(kept))]
    for (one, one_edge), (other, other_edge) in combinations(enumerate(edges), 2):
        beside = other - one in (1, len(edges) - 1)
        if not beside and _meet(*one_edge, *other_edge):
            return "its edges cross each other"
    return ""


def _side(one: Corner, other: Corner, point: Corner) -> int:
    """On which side of a line a point is: 1, -1, or 0 on it."""
    turn = (other[0] - one[0]) * (point[1] - one[1]) - (other[1] - one[1]) * (point[0] - one[0])
    return (turn > 0) - (turn < 0)


def _meet(one: Corner, other: Corner, third: Corner, fourth: Corner) -> bool:
    """Whether two pieces of edge have a point in common."""
    first, second = _side(one, other, third), _side(one, other, fourth)
    if first != second and _side(third, fourth, one) != _side(third, fourth, other):
        return True
    return any(
        not side and all(min(a, b) <= c <= max(a, b) for a, b, c in zip(one, other, point, strict=True))
        for side, point in ((first, third), (second, fourth))
    )

"""Outlines of side pieces: which corners enclose a piece, and what is said where they do not."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackspec.model.outlines import fault_of, without_repeats
from tests.rules.checking import told

SQUARE = [(0, 0), (4, 0), (4, 3), (0, 3)]


def corners(*points: tuple[int, int]) -> list[tuple[Fraction, Fraction]]:
    return [(Fraction(back), Fraction(up)) for back, up in points]


@pytest.mark.parametrize(
    ("points", "fault"),
    [
        (SQUARE, ""),
        ([*SQUARE, (0, 0)], ""),
        ([(0, 0), (0, 0), *SQUARE[1:]], ""),
        ([(0, 0), (4, 0), (4, 3), (2, 1), (0, 3)], ""),
        ([(0, 0)], "1 corner encloses nothing"),
        ([(0, 0), (4, 0)], "2 corners enclose nothing"),
        ([(0, 0), (4, 0), (0, 0)], "2 corners enclose nothing"),
        ([(0, 0), (4, 3), (4, 0), (0, 3)], "its edges cross each other"),
        ([(0, 0), (4, 0), (4, 3), (2, 0), (0, 3)], "its edges cross each other"),
    ],
)
def test_what_encloses_a_piece(points: list[tuple[int, int]], fault: str) -> None:
    assert fault_of(corners(*points)) == fault


@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=7), st.integers(0, 6))
def test_where_it_begins_and_which_way_it_goes_does_not_matter(points: list[tuple[int, int]], turn: int) -> None:
    outline = corners(*points)
    turned = [*outline[turn:], *outline[:turn]]
    assert fault_of(turned) == fault_of(outline) == fault_of(outline[::-1])
    kept = without_repeats(outline)
    assert len(kept) < 2 or all(kept[number] != kept[number - 1] for number in range(len(kept)))


def spec(sides: str) -> str:
    return f"sheet board {{\n    thickness 9mm\n}}\nrack tray {{\n    case {{\n{sides}    }}\n}}\n"


def side(which: str, *points: str) -> str:
    lines = "".join(f"            corner {point}\n" for point in points)
    return f"        side {which} {{\n            from board\n{lines}        }}\n"


def test_corners_that_are_no_outline_are_told() -> None:
    (finding,) = told(spec(side("", "(0mm, 0mm)", "(80mm, 0mm)")), "value-impossible")
    assert finding.message == "the corners of this side piece are no outline: 2 corners enclose nothing"
    assert not told(spec(side("", "(0mm, 0mm)", "(80mm, 0mm)", "(0mm, 90mm)")), "value-impossible")


def test_each_side_has_one_piece() -> None:
    """One for both beside one for the left is meant; two for the left are not."""
    (finding,) = told(spec(side("left") + side("left")), "said-twice")
    assert finding.message == "there are two side pieces for the left side"
    assert not told(spec(side("left") + side("right")), "said-twice")
    assert not told(spec(side("left") + side("")), "said-twice")

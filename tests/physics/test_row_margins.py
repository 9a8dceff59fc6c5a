"""Rows that fit go in; margins are checked by hand, against all rings, and by growing a size up to them and beyond."""

from collections.abc import Hashable
from fractions import Fraction

import pytest

from rackspec.physics.row import LINES, NutLine, RowEnds, RowHole, RowPanel, RowProblem, Size, StripLine
from rackspec.physics.row_fit import row_fit
from rackspec.physics.row_margins import Margin, face, hole, row_margin, size_margin
from tests.physics.random_rows import HP, Kind, random_row
from tests.physics.ring_by_ring import AllRings
from tests.physics.test_row_fit import mm, panel, row, total, uniform

THOUSANDTH = Fraction(1, 1000)


def grown(problem: RowProblem, name: Hashable, by: Fraction) -> RowProblem:
    """A row with one size grown."""
    assert isinstance(name, tuple)
    panels = list(problem.panels)
    lines = {line: problem.line(line) for line in LINES}
    match name:
        case ("face", int(number)):
            panels[number] = panels[number]._replace(face=panels[number].face.moved(by))
        case ("hole", int(number), int(own)):
            holes = list(panels[number].holes)
            holes[own] = holes[own]._replace(offset=holes[own].offset.moved(by))
            panels[number] = panels[number]._replace(holes=tuple(holes))
        case (kind, str(line)):
            behind = lines[line]
            if isinstance(behind, StripLine):
                lines[line] = behind._replace(**{kind: getattr(behind, kind).moved(by)})
            elif behind is not None:
                lines[line] = behind._replace(across=behind.across.moved(2 * by))
    return RowProblem(tuple(panels), lines["bottom"], lines["top"], problem.ends)


def test_the_margins_of_two_panels() -> None:
    """a is 20.50 mm wide: 0.04 mm are left between its screw and b's (see test_row_fit), for a's width or either hole.

    Nothing limits b's own width but the end of the rails: a is pushed to the left as far as its screw gives, b up to a.
    """
    problem = row(*(panel(name, at, 4, mm("20.50"), mm("7.47")) for name, at in (("a", 1), ("b", 5))))
    fit = row_fit(problem)
    least = Fraction("0.04")
    assert size_margin(problem, fit, face(0), 1, True).room == least
    assert size_margin(problem, fit, hole(0, 0), -1, True).room == least
    assert size_margin(problem, fit, hole(1, 0), 1, True).room == least
    assert size_margin(problem, fit, face(0), -1, True) == Margin(None, None)
    leftmost = Fraction("12.70") - Fraction("7.47") - Fraction("0.11") + Fraction("20.50")
    most = 84 * HP - leftmost - Fraction("20.50")
    assert size_margin(problem, fit, face(1), 1, True).room == most
    margin = row_margin(problem, fit)
    assert margin is not None
    assert margin.room == least
    assert margin.ring is not None
    assert total(margin.ring.steps) == margin.ring.room == least
    assert [screw.panel for screw in margin.ring.screws] == ["a", "b"]


def test_a_single_screw_in_its_own_hole_is_left_out() -> None:
    """One panel, one hole, tolerance 0.1 of 0.11 mm: its hole may be anywhere that its edges stay on the rails."""
    problem = row(panel("a", 4, 4, mm("20.02"), mm("7.47", "0.1")))
    fit = row_fit(problem)
    margin = row_margin(problem, fit)
    assert margin is not None
    assert margin.room == Fraction("27.94") - Fraction("7.57") + Fraction("0.11")  # until its left edge meets the end
    assert margin.ring is not None
    assert len(margin.ring.screws) == 1


def test_rows_without_a_margin() -> None:
    """Where nothing limits, there is no number; where a row does not fit, there is no margin."""
    empty = row()
    assert row_margin(empty, row_fit(empty)) == Margin(None, None)
    wide = row(panel("a", 0, 1, mm("9")), hp=1)
    fit = row_fit(wide)
    assert row_margin(wide, fit) is None
    assert size_margin(wide, fit, face(0), 1, False).room == Fraction("5.08") - 9
    two = row(*(panel(name, at, 1, mm("9")) for at, name in enumerate("ab")), hp=1)
    found = size_margin(two, row_fit(two), face(0), 1, False)
    assert found.room == Fraction("5.08") - 18
    other = row(panel("a", 0, 1, mm("9"), mm("2.39")), hp=1)
    found = size_margin(other, row_fit(other), hole(0, 0), 1, False)
    assert found.room is None
    assert found.ring is not None


@pytest.mark.parametrize("tolerances", [("0", "0.02", "0.05"), ("0", "0.15", "0.2", "0.5")])
def test_all_rings_bear_the_same(tolerances: tuple[str, ...]) -> None:
    """Margins of rows, and of every size of some of them, against all rings of small rows of all sorts."""
    looked = 0
    for seed in range(7000, 7400):
        problem = random_row(seed, Kind(panels=3, tolerances=tolerances, wild=0.03))
        fit = row_fit(problem)
        margin = row_margin(problem, fit)
        if not fit.fits_nominal:
            assert margin is None
            continue
        at_worst = bool(fit.fits_worst)
        rings = AllRings(problem, fit.threads, at_worst)
        assert margin is not None
        assert margin.room == rings.row_margin(), seed
        looked += 1
        if seed % 8 == 0:
            for name in rings.sizes:
                for sign in (1, -1):
                    own = size_margin(problem, fit, name, sign, at_worst)
                    assert own.room == rings.margin(name, sign), (seed, name, sign)
                    assert (own.room is None) == (own.ring is None)
    assert looked > 150


def test_a_margin_is_where_the_verdict_turns() -> None:
    """A size that grows by a thousandth less than its margin keeps the verdict, by a thousandth more it flips it."""
    looked = 0
    for seed in range(8000, 8060):
        problem = random_row(seed, Kind(panels=6, wild=0.01, tolerances=("0", "0.02", "0.05", "0.15")))
        fit = row_fit(problem)
        if not fit.fits_nominal:
            continue
        at_worst = bool(fit.fits_worst)
        for name in all_sizes(problem):
            for sign in (1, -1):
                room = size_margin(problem, fit, name, sign, at_worst).room
                for by, fits in () if room is None else ((room - THOUSANDTH, True), (room + THOUSANDTH, False)):
                    after = row_fit(grown(problem, name, sign * by), threads=fit.threads)
                    if by < 0:  # not from where it is: the other way there may be another limit
                        continue
                    assert (after.fits_worst if at_worst else after.fits_nominal) == fits, (seed, name, sign, room)
                    looked += 1
    assert looked > 800


def all_sizes(problem: RowProblem) -> list[Hashable]:
    """The names of all sizes that ``grown`` knows."""
    names: list[Hashable] = []
    for number, own in enumerate(problem.panels):
        names += [face(number), *(hole(number, at) for at in range(len(own.holes)))]
    for line in LINES:
        behind = problem.line(line)
        names += [("first", line), ("pitch", line)] if isinstance(behind, StripLine) else []
        names += [("half nut", line)] if isinstance(behind, NutLine) else []
    return names


def test_rows_of_forty() -> None:
    """The margin of 40 panels on two strips: 0.22 mm of play, 0.05 of turning, less 0.05 a hole: 0.17 for one hole.

    It is the same with holes that are worse than their clearance, as far as they fit: 0.22 + 0.19 - 0.40.
    """
    for tolerance, turn, least in (("0.05", "0.05", "0.17"), ("0.2", "0.19", "0.01")):
        problem = uniform(40, 2, tolerance, StripLine(mm("2.54"), mm("5.08"), 80, Fraction(0)))
        panels = tuple(panel._replace(turn=Fraction(turn)) for panel in problem.panels)
        problem = problem._replace(panels=panels)
        fit = row_fit(problem)
        assert fit.fits_worst
        margin = row_margin(problem, fit)
        assert margin is not None
        assert margin.room == Fraction(least)


def test_nuts_alone_give_no_margin_of_a_panel() -> None:
    """What only nuts and rails limit is no size that a builder makes: the channel does not count, the faces do."""
    holes = (RowHole("bottom", mm("10.01"), Fraction("0.11")),)
    panels = (RowPanel("a", Fraction(0), 4 * HP, mm("20.02"), holes, None),)
    problem = RowProblem(panels, NutLine(mm("20.30")), None, RowEnds(4 * HP, Fraction(0)))
    margin = row_margin(problem, row_fit(problem))
    rings = AllRings(problem, ((None,),), True)
    assert margin is not None
    assert margin.room == rings.row_margin()
    assert margin.room == Fraction("0.27")  # N <= 10.17, the screw 0.11 beside it, its hole 10.01 from the end
    assert Fraction("0.02") in rings.rooms


def test_sizes_of_a_row_are_spans() -> None:
    """Growing moves all three of a size."""
    assert Size(1, 0, 3).moved(2) == (3, 2, 5)

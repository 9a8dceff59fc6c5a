"""Rows that do not fit go in; every remedy must make the row fit when it is carried out, and be the least that does."""

import random
from fractions import Fraction
from itertools import pairwise

import pytest

from rackspec.physics.row import NutLine, RowProblem, Size, StripLine
from rackspec.physics.row_fit import RowFit, row_fit
from rackspec.physics.row_remedies import Gap, Opened, RowRemedies, Trim, row_remedies
from tests.physics.random_rows import HP, Kind, random_row
from tests.physics.ring_by_ring import AllRings
from tests.physics.test_row_fit import mm, panel, row

NUT = mm("5.5", "0.1")


def wide(*widths: str, hp: int = 84) -> RowProblem:
    """Panels of 4HP from 4HP on, shoulder to shoulder, with these widths, and a hole each where 20.02 mm has it."""
    return row(*(panel("abcd"[at], 4 * at + 4, 4, mm(width), mm("7.47")) for at, width in enumerate(widths)), hp=hp)


def remedies_of(problem: RowProblem) -> RowRemedies:
    """What would make it fit."""
    return row_remedies(problem, row_fit(problem), NUT)


def test_two_panels_that_are_too_wide_for_each_other() -> None:
    """a of 20.61 mm lacks 0.07 mm to b: 1HP between them, 0.07 off a, a hole of 3.4 mm (0.2 / 2 = 0.1), or nuts."""
    found = remedies_of(wide("20.61", "20.02"))
    starts = (4 * HP, 9 * HP)
    assert found == RowRemedies(
        Gap(1, 1, starts, True), Trim(0, Fraction("0.07"), True), Opened(0, 0, Fraction("3.4"), True), "worst"
    )


def test_those_behind_move_on_as_far_as_they_have_to() -> None:
    """b and c stand shoulder to shoulder: b moves by 1HP and takes c along; without room for that there is no gap."""
    found = remedies_of(wide("20.61", "20.02", "20.02"))
    assert found.gap == Gap(1, 1, (4 * HP, 9 * HP, 13 * HP), True)
    assert remedies_of(wide("20.61", "20.02", "20.02", hp=17)).gap == found.gap
    assert remedies_of(wide("20.61", "20.02", "20.02", hp=16)).gap is None


def test_free_room_in_between_is_used_first() -> None:
    """c stands 2HP behind b: it stays where it is."""
    panels = wide("20.61", "20.02", "20.02").panels
    away = panels[2]._replace(start=14 * HP)
    found = remedies_of(row(*panels[:2], away))
    assert found.gap == Gap(1, 1, (4 * HP, 9 * HP, 14 * HP), True)


def test_the_panel_most_over_its_width_is_trimmed() -> None:
    """b is 20.30 wide, c 20.60, one thread row from b's left neighbour a to d: only what is in the ring is trimmed."""
    free = [panel("a", 4, 4, mm("20.02"), mm("7.47")), panel("b", 8, 4, mm("20.40")), panel("c", 12, 4, mm("20.75"))]
    last = panel("d", 16, 4, mm("20.90"), mm("7.47"))
    found = remedies_of(row(*free, last))
    # a 20.02 + b 20.40 + c 20.75 = 61.17 between threads 60.96 apart with 0.22 of play: it fits
    assert row_fit(row(*free, last)).fits_worst
    assert found == RowRemedies(None, None, None, "worst")
    free[1] = panel("b", 8, 4, mm("20.60"))
    found = remedies_of(row(*free, last))
    assert found.trim == Trim(2, Fraction("0.19"), True)


def test_trimming_is_rounded_to_the_safe_side() -> None:
    """0.0701 mm are lacking: 0.08 are taken off."""
    assert remedies_of(wide("20.6101", "20.02")).trim == Trim(0, Fraction("0.08"), True)


def test_what_fits_only_as_meant_is_said_so() -> None:
    """a is 20.61 mm +-1.2: no trim within 1 mm does at its worst, 0.07 does as meant; 1HP of room does at its worst."""
    problem = row(panel("a", 4, 4, mm("20.61", "1.2"), mm("7.47")), panel("b", 8, 4, mm("20.02"), mm("7.47")))
    found = remedies_of(problem)
    assert found.trim == Trim(0, Fraction("0.07"), False)
    assert found.gap == Gap(1, 1, (4 * HP, 9 * HP), True)


def test_the_hole_above_is_opened_with_the_one_below() -> None:
    """Both lines lack the same: opening one hole of two would help nobody."""
    one = wide("20.61", "20.02")
    both = [own._replace(holes=(own.holes[0], own.holes[0]._replace(line="top"))) for own in one.panels]
    problem = one._replace(panels=tuple(both), top=one.bottom)
    assert remedies_of(problem).opened == Opened(0, 0, Fraction("3.4"), True)


def test_nuts_that_collide_are_no_remedy() -> None:
    """Two holes 5.00 mm apart in one panel: the strip's threads are too far apart, and nuts of 5.5 mm too wide."""
    problem = row(panel("a", 4, 4, mm("20.02"), mm("7.47"), mm("12.17")))
    found = remedies_of(problem)
    assert not row_fit(problem).fits_nominal
    assert found.nuts == ""
    assert found.gap is None
    assert found.trim is None
    assert found.opened == Opened(
        0, 0, Fraction("3.6"), True
    )  # 0.38 - 0.22 = 0.16 are lacking: 3.2 + 2 x 0.16, next tenth
    assert row_remedies(problem, row_fit(problem)).nuts == ""


def test_a_row_on_nuts_has_no_gap_to_give() -> None:
    """Nuts hold no panel in its place: its gaps are used already."""
    problem = row(panel("a", 0, 4, mm("20.02"), mm("7.47"), mm("12.17")), bottom=NutLine(mm("5.5")))
    found = remedies_of(problem)
    assert found.gap is None
    assert found.nuts == ""
    assert found.opened is None  # 0.80 - 0.22 = 0.58 are lacking: 3.2 + 1.16 is too far


def fits(problem: RowProblem, fit: RowFit, at_worst: bool) -> bool:
    """By all rings, with the threads of an answer."""
    return AllRings(problem, fit.threads, False).fits() and (
        not at_worst or AllRings(problem, fit.threads, True).fits()
    )


def too_wide(seed: int) -> RowProblem:
    """A row of chance, longer by 3HP, in which one panel is too wide by 0.1 to 1 mm."""
    lines = ("strip", "strip", "nut", "none")
    problem = random_row(seed, Kind(panels=5, holes=1, wild=0, lines=lines, tolerances=("0", "0.02", "0.05")))
    panels = list(problem.panels)
    if panels:
        chance = random.Random(seed)
        number = chance.randrange(len(panels))
        own = panels[number]
        panels[number] = own._replace(face=own.face.moved(Fraction(chance.randint(10, 100), 100)))
    ends = problem.ends._replace(length=problem.ends.length + 3 * HP)
    return problem._replace(panels=tuple(panels), ends=ends)


@pytest.mark.parametrize("seeds", [range(9000, 9200), range(9200, 9400)])
def test_remedies_hold_when_they_are_carried_out(seeds: range) -> None:
    """On rows of all sorts, carried out here anew from the numbers alone, and judged by all rings."""
    used = {"gap": 0, "trim": 0, "opened": 0, "nuts": 0}
    for seed in seeds:
        problem = too_wide(seed)
        fit = row_fit(problem)
        if fit.fits_worst:
            assert row_remedies(problem, fit, NUT)[:3] == (None, None, None)
            continue
        found = row_remedies(problem, fit, NUT)
        panels = list(problem.panels)
        if found.gap is not None:
            starts = found.gap.starts
            assert starts[found.gap.panel] - panels[found.gap.panel].start == found.gap.hp * HP
            placed = [own._replace(start=start) for own, start in zip(panels, starts, strict=True)]
            assert all(a.start + a.width <= b.start for a, b in pairwise(placed))
            after = problem._replace(panels=tuple(placed))
            assert fits(after, row_fit(after), found.gap.at_worst), seed
            used["gap"] += 1
        if found.trim is not None:
            for by, does in ((found.trim.by, True), (found.trim.by - Fraction(1, 100), False)):
                own = panels[found.trim.panel]
                less = Size(*(value - by for value in own.face))
                after = problem._replace(
                    panels=(*panels[: found.trim.panel], own._replace(face=less), *panels[found.trim.panel + 1 :])
                )
                assert fits(after, row_fit(after), found.trim.at_worst) == does, seed
            used["trim"] += 1
        if found.opened is not None:
            own = panels[found.opened.panel]
            hole = own.holes[found.opened.hole]
            assert hole.opening is not None
            assert found.opened.opening > hole.opening
            assert found.opened.opening % Fraction(1, 10) == 0
            room = (found.opened.opening - Fraction("2.98")) / 2
            alike = [other.opening == hole.opening and other.offset == hole.offset for other in own.holes]
            holes = tuple(
                other._replace(room=room) if same else other for other, same in zip(own.holes, alike, strict=True)
            )
            after = problem._replace(
                panels=(*panels[: found.opened.panel], own._replace(holes=holes), *panels[found.opened.panel + 1 :])
            )
            assert fits(after, row_fit(after), found.opened.at_worst), seed
            used["opened"] += 1
        if found.nuts:
            lines = [NutLine(NUT) if isinstance(line, StripLine) else line for line in (problem.bottom, problem.top)]
            after = RowProblem(problem.panels, lines[0], lines[1], problem.ends)
            assert fits(after, row_fit(after), found.nuts == "worst"), seed
            used["nuts"] += 1
    assert min(used.values()) >= 5, used

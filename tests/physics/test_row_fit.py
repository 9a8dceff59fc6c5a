"""Rows go in; verdicts, sums and margins are checked by hand, and against all rings of small rows, one by one.

Clearance: the largest M3 screw of tolerance 6g has 2.980 mm (ISO 965-1), which leaves (3.2 - 2.980) / 2 = 0.110 mm in a
hole of 3.2 mm. Faces: n x 5.08 - 0.30 mm (IEC 60297-3-101 / IEEE 1101.10).
"""

from fractions import Fraction
from itertools import product

import pytest

from rackspec.physics.differences import judge
from rackspec.physics.row import LINES, NutLine, RowEnds, RowHole, RowPanel, RowProblem, Size, StripLine
from rackspec.physics.row_fit import RowFit, row_fit, row_verdict
from rackspec.physics.row_limits import parts_of, row_limits, thread_choices
from rackspec.physics.row_ring import Step
from rackspec.physics.threads import THREADS
from tests.physics.random_rows import HP, Kind, random_row
from tests.physics.ring_by_ring import AllRings

CLEARANCE = (Fraction("3.2") - THREADS["M3"].largest) / 2


def mm(text: str, off: str = "0") -> Size:
    """A size with the same tolerance on both sides."""
    return Size(Fraction(text), Fraction(text) - Fraction(off), Fraction(text) + Fraction(off))


def panel(name: str, at: int, wide: int, face: Size, *holes: Size, turn: str | None = None) -> RowPanel:
    """A panel with round 3.2 mm holes on the bottom line; its place and width in HP."""
    made = tuple(RowHole("bottom", offset, CLEARANCE, Fraction("3.2")) for offset in holes)
    return RowPanel(name, at * HP, wide * HP, face, made, None if turn is None else Fraction(turn))


FIRST, PITCH = mm("2.54"), mm("5.08")


def strip(threads: int = 84, first: Size = FIRST, pitch: Size = PITCH, play: str = "0") -> StripLine:
    """A strip on the grid."""
    return StripLine(first, pitch, threads, Fraction(play))


def row(*panels: RowPanel, hp: int = 84, bottom: StripLine | NutLine | None = None, beyond: str = "0") -> RowProblem:
    """A row with a strip at the bottom, and nothing known at the top."""
    return RowProblem(panels, bottom or strip(), None, RowEnds(hp * HP, Fraction(beyond)))


def uniform(number: int, hp: int, tolerance: str, lines: StripLine | NutLine, holes: int = 1) -> RowProblem:
    """Equal panels shoulder to shoulder, each with as many holes on both lines."""
    offsets = [Fraction("7.47") if hp > 1 else Fraction("2.39"), hp * HP - Fraction("7.77")][:holes]
    made = tuple(RowHole(name, mm(str(at), tolerance), CLEARANCE, Fraction("3.2")) for name in LINES for at in offsets)
    face = hp * HP - Fraction("0.3")
    panels = tuple(
        RowPanel(f"p{at}", at * hp * HP, hp * HP, Size(face, face, face), made, Fraction("0.05"))
        for at in range(number)
    )
    return RowProblem(panels, lines, lines, RowEnds(number * hp * HP, Fraction(0)))


def total(steps: tuple[Step, ...]) -> Fraction:
    return sum((step.length + step.tolerance for step in steps), Fraction(0))


def test_the_clearance_of_the_standard() -> None:
    assert Fraction("0.110") == CLEARANCE


@pytest.mark.parametrize("bottom", [strip(), strip(play="1"), NutLine(mm("5.5"))])
def test_rows_of_nothing_much(bottom: StripLine | NutLine) -> None:
    """No panels, a panel without holes, a panel by itself."""
    assert row_fit(row(bottom=bottom)) == RowFit(True, True, None, ())
    assert row_fit(row(panel("a", 0, 4, mm("20.02")), bottom=bottom)) == RowFit(True, True, None, ((),))
    thread = (1 if isinstance(bottom, StripLine) else None,)
    alone = row(panel("a", 0, 4, mm("20.02"), mm("7.47")), bottom=bottom)
    assert row_fit(alone) == RowFit(True, True, None, (thread,))


def test_a_line_of_which_nothing_is_known_holds_nothing() -> None:
    """Holes on the top line may be anywhere while nobody knows what is behind them."""
    away = RowPanel("a", Fraction(0), 4 * HP, mm("20.02"), (RowHole("top", mm("1"), CLEARANCE),), None)
    assert row_fit(row(away)) == RowFit(True, True, None, ((None,),))


def test_the_sum_of_two_wide_panels() -> None:
    """a and b are 20.50 mm and 0.18 mm too wide for their slots; both holes are where 20.02 mm panels have them.

    Their threads are 20.32 mm apart. From a's hole (7.47) to its right edge are 13.03 mm, from there to b's hole 7.47:
    20.50 mm, and the screws give 0.11 each: 20.32 + 0.22 - 20.50 = 0.04 mm are left. With 20.55 they lack 0.01.
    """
    fitting = row(*(panel(name, at, 4, mm("20.50"), mm("7.47")) for name, at in (("a", 1), ("b", 5))))
    assert row_fit(fitting).fits_nominal
    assert row_fit(fitting).fits_worst
    wide = row(*(panel(name, at, 4, mm("20.55"), mm("7.47")) for name, at in (("a", 1), ("b", 5))))
    fit = row_fit(wide)
    assert (fit.fits_nominal, fit.fits_worst, fit.threads) == (False, False, ((2,), (6,)))
    ring = fit.ring
    assert ring is not None
    assert ring.short == Fraction("0.01") == -total(ring.steps)
    assert (ring.at_worst, ring.lines, ring.panels) == (False, ("bottom",), (0, 1))
    assert [(screw.panel, screw.hole, screw.thread) for screw in ring.screws] == [("a", 0, 2), ("b", 0, 6)]
    assert [(step.kind, step.panel, step.number, step.length) for step in ring.steps] == [
        ("thread", "", 2, Fraction("-10.16")),
        ("screw", "a", 0, Fraction("0.11")),
        ("hole", "a", 0, Fraction("7.47")),
        ("panel", "a", None, Fraction("-20.55")),
        ("hole", "b", 0, Fraction("-7.47")),
        ("screw", "b", 0, Fraction("0.11")),
        ("thread", "", 6, Fraction("30.48")),
    ]


def test_tolerances_decide_at_the_worst() -> None:
    """The same with 20.50 mm: 0.04 mm are left; a face of +0.03 and holes of 0.01 take 0.05 of it."""
    face = Size(Fraction("20.5"), Fraction("20.4"), Fraction("20.53"))
    problem = row(*(panel(name, at, 4, face, mm("7.47", "0.01")) for name, at in (("a", 1), ("b", 5))))
    fit = row_fit(problem)
    assert (fit.fits_nominal, fit.fits_worst) == (True, False)
    assert fit.ring is not None
    assert fit.ring.at_worst
    assert fit.ring.short == Fraction("0.01") == -total(fit.ring.steps)
    assert {step.kind: step.tolerance for step in fit.ring.steps if step.tolerance} == {
        "hole": Fraction("-0.01"),
        "panel": Fraction("-0.03"),
    }


def test_a_pitch_counts_as_far_as_threads_are_apart() -> None:
    """Threads 79 and 83 of a pitch of 5.08 -0.01 are 4 x 0.01 mm too near each other, not 79 x or 83 x."""
    pitch = Size(Fraction("5.08"), Fraction("5.07"), Fraction("5.08"))
    first = mm("2.54", "0.5")  # and where the strip begins does not matter: all panels move along
    spare = {
        wide: row_fit(
            row(
                *(panel(name, at, 4, mm(wide), mm("7.47")) for name, at in (("a", 77), ("b", 81))),
                hp=90,
                bottom=strip(90, first, pitch),
            )
        )
        for wide in ("20.49", "20.50", "20.51")
    }
    assert [fit.fits_worst for fit in spare.values()] == [True, True, False]
    assert all(fit.fits_nominal for fit in spare.values())
    ring = spare["20.51"].ring
    assert ring is not None
    assert ring.short == Fraction("0.01")


def test_a_screw_that_does_not_enter() -> None:
    """A hole of 2.9 mm: the screw lacks 0.08 mm, in the ring of this one hole."""
    small = RowHole("bottom", mm("7.47", "0.2"), (Fraction("2.9") - THREADS["M3"].largest) / 2)
    fit = row_fit(row(RowPanel("a", Fraction(0), 4 * HP, mm("20.02"), (small,), None)))
    assert fit.ring is not None
    assert (fit.fits_nominal, fit.ring.short, total(fit.ring.steps)) == (False, Fraction("0.08"), Fraction("-0.08"))


def test_nuts_that_are_too_wide() -> None:
    """Holes 5.08 mm apart and nuts of 5.5 mm: 0.42 mm less 0.22 of play are lacking in one panel."""
    nuts = NutLine(mm("5.5"))
    one = row(panel("a", 1, 4, mm("20.02"), mm("7.47"), mm("12.55")), bottom=nuts)
    fit = row_fit(one)
    assert fit.ring is not None
    assert fit.ring.short == Fraction("0.20") == -total(fit.ring.steps)
    assert sorted(screw.hole for screw in fit.ring.screws) == [0, 1]
    assert all(screw.thread is None for screw in fit.ring.screws)
    # nuts hold no panel in its place: these two move apart, unless the row is full
    narrow = [panel(name, at, 1, mm("4.78"), mm("2.39")) for name, at in (("a", 0), ("b", 1))]
    assert row_fit(row(*narrow, bottom=nuts)).fits_worst
    assert row_fit(row(*narrow, bottom=nuts, hp=2)).fits_nominal is False


def test_the_two_lines_of_a_panel() -> None:
    """Strips that begin 0.30 mm apart: 0.22 of it are play, so the panel has to turn by 0.08."""
    holes = tuple(RowHole(name, mm("7.47"), CLEARANCE) for name in LINES)
    for turn, fits in (("0.08", True), ("0.07", False), (None, True)):
        turning = None if turn is None else Fraction(turn)
        problem = RowProblem(
            (RowPanel("a", 4 * HP, 4 * HP, mm("20.02"), holes, turning),),
            strip(),
            strip(first=mm("2.84")),
            RowEnds(84 * HP, Fraction(0)),
        )
        fit = row_fit(problem)
        assert fit.fits_nominal == fits
        if fit.ring is not None:
            assert fit.ring.lines == LINES
            assert fit.ring.short == Fraction("0.01") == -total(fit.ring.steps)


def test_panels_may_stand_beyond_the_rails() -> None:
    """21 panels of 20.34 mm are 0.42 mm longer than rails of 84HP; 0.21 mm at either end take them."""
    panels = [panel(f"p{at}", 4 * at, 4, mm("20.34")) for at in range(21)]
    assert not row_fit(row(*panels)).fits_nominal
    assert not row_fit(row(*panels, beyond="0.209")).fits_nominal
    assert row_fit(row(*panels, beyond="0.21")).fits_worst


def test_a_hole_near_the_middle_tries_both_threads() -> None:
    """2.44 and 2.64 mm beside a thread: with 2.6 mm of travel to either side both go the same way, or not at all."""
    two = [panel("a", 0, 4, mm("20.02"), mm("9.91")), panel("b", 4, 4, mm("20.02"), mm("10.11"))]
    problem = row(*two, bottom=strip(play="5.2"), hp=8)
    assert [thread_choices(problem, number, "bottom", parts_of(problem)) for number in (0, 1)] == [
        ((1,), (2,)),
        ((6,), (5,)),
    ]
    fit = row_fit(problem)
    assert fit.fits_worst
    assert fit.threads in (((1,), (5,)), ((2,), (6,)))
    assert not row_fit(problem, threads=((1,), (6,))).fits_nominal
    assert not row_fit(row(*two, bottom=strip(play="1"), hp=8)).fits_nominal


def test_a_whole_row_between_the_threads() -> None:
    """40 panels, each a little before or behind the middle: one way for all is found among 2 to the 40."""
    offsets = [Fraction("10.01") + Fraction(number % 3 - 1, 50) for number in range(40)]
    panels = [panel(f"p{at}", 4 * at, 4, mm("20.02"), Size(off, off, off)) for at, off in enumerate(offsets)]
    fit = row_fit(row(*panels, hp=160, bottom=strip(160, play="5.2")))
    assert fit.fits_worst
    first = fit.threads[0][0]
    assert first is not None
    assert fit.threads == tuple((first + 4 * number,) for number in range(40))


def test_each_panel_may_have_to_go_its_own_way() -> None:
    """a stands at the left end and b at the right one: a can only go right, b only left, and both are nearer the other.

    Neither the nearest threads, nor all the lower or all the upper ones do: the rings say which to change.
    """
    two = [panel("a", 0, 4, mm("20.02"), mm("9.87")), panel("b", 16, 4, mm("20.02"), mm("10.15"))]
    problem = row(*two, hp=20)
    assert [thread_choices(problem, at, "bottom", parts_of(problem)) for at in (0, 1)] == [((1,), (2,)), ((18,), (17,))]
    fit = row_fit(problem)
    assert fit.fits_worst
    assert fit.threads == ((2,), (17,))
    assert not row_fit(problem, most_tries=1).fits_nominal


def test_threads_are_chosen_as_well_as_by_trying_all() -> None:
    """Small rows, many of them between threads: no other choice of threads fits better than the one that is told."""
    chosen = 0
    for seed in range(400):
        problem = random_row(seed, Kind(panels=3, holes=1, wild=0.6, lines=("strip",), tolerances=("0", "0.02")))
        fit = row_fit(problem)
        keys = [(number, name) for number in range(len(problem.panels)) for name in LINES]
        best = 0
        tried = 0
        for choice in product(*(thread_choices(problem, *key, parts_of(problem)) for key in keys)):
            tried += 1
            taken = dict(zip(keys, choice, strict=True))
            threads = tuple(
                tuple(taken[number, hole.line][0] for hole in panel.holes)
                for number, panel in enumerate(problem.panels)
            )
            other = row_fit(problem, threads=threads)
            best = max(best, other.fits_nominal + bool(other.fits_worst))
        assert fit.fits_nominal + bool(fit.fits_worst) == best, seed
        chosen += tried > 1
    assert chosen > 50


@pytest.mark.parametrize("tolerances", [("0", "0.02", "0.05", "0.15"), ("0", "0.15", "0.2", "0.5")])
def test_all_rings_say_the_same(tolerances: tuple[str, ...]) -> None:
    """Small rows of all sorts: the verdict is what all rings say, and the sum of the steps is the room, exactly."""
    told: dict[tuple[bool, bool | None], int] = {}
    for seed in range(5000, 5500):
        problem = random_row(seed, Kind(panels=3, tolerances=tolerances, wild=0.05))
        fit = row_fit(problem)
        fits = AllRings(problem, fit.threads, False).fits()
        assert fit.fits_nominal == fits, seed
        assert fit.fits_worst == (fits and AllRings(problem, fit.threads, True).fits()), seed
        if fit.ring is not None:
            assert total(fit.ring.steps) == fit.ring.room == -fit.ring.short < 0, seed
            assert fit.ring.at_worst == fit.fits_nominal
        told[fit.fits_nominal, fit.fits_worst] = told.get((fit.fits_nominal, fit.fits_worst), 0) + 1
    assert min(told[True, True], told[True, False], told[False, False]) > 50, told


def test_what_is_not_settled_is_not_told() -> None:
    """Rows in which sizes have to be tried at both ends: settled by default, open where that is forbidden."""
    open_ones = 0
    kind = Kind(panels=3, tolerances=("0", "0.15", "0.2", "0.5"), lines=("strip", "nut"), wild=0.05)
    for seed in (494, 2142):
        problem = random_row(seed, kind)
        fit = row_fit(problem)
        assert fit.fits_worst is not None
        made = row_limits(problem, fit.threads)
        hasty = judge(made.limits, made.sizes, made.hubs, made.start, most_branches=1).fits
        open_ones += hasty is None
        assert hasty in (None, fit.fits_worst)
    assert open_ones


@pytest.mark.parametrize(
    ("lines", "hp", "holes", "fits"),
    [
        (strip(400), 2, 1, False),  # two neighbours: 2 x 0.2 + 0.14 against 0.22 + 0.30 by way of both lines
        (strip(400, play="1"), 2, 1, False),
        (strip(400, pitch=mm("5.08", "0.001")), 2, 1, False),
        (strip(400), 4, 2, False),  # two holes of one panel: 0.4 against 0.22
        (NutLine(mm("5.5", "0.1")), 2, 1, True),
        (NutLine(mm("5.5", "0.1")), 6, 2, True),
        (NutLine(mm("5.5", "0.1")), 1, 1, False),
    ],
)
def test_forty_panels_whose_holes_are_all_bad(lines: StripLine | NutLine, hp: int, holes: int, fits: bool) -> None:
    """80 or 160 holes that may be off by 0.2 mm with 0.11 mm of clearance are judged, not given up."""
    problem = uniform(40, hp, "0.2", lines, holes)
    fit = row_fit(problem)
    assert fit.fits_worst is fits
    assert (fit.ring is None) == fits
    if fit.ring is not None:
        assert total(fit.ring.steps) == -fit.ring.short < 0


def test_bad_holes_that_do_no_harm() -> None:
    """A panel whose two holes are 0.4 mm beside each other has to turn by 0.18: 0.22 are play. Neighbours have 0.52."""
    problem = uniform(40, 2, "0.2", strip(80))
    for turn, fits in (("0.17", False), ("0.18", True), (None, True)):
        turning = None if turn is None else Fraction(turn)
        turned = problem._replace(panels=tuple(panel._replace(turn=turning) for panel in problem.panels))
        fit = row_fit(turned)
        assert fit.fits_nominal
        assert fit.fits_worst == fits
        if fit.ring is not None:
            assert (fit.ring.short, len(fit.ring.panels)) == (Fraction("0.01"), 1)
    for by, fits in (("0.12", True), ("0.13", False)):
        panels = tuple(panel._replace(face=panel.face.moved(Fraction(by))) for panel in problem.panels)
        one_line = problem._replace(top=None, panels=panels, ends=RowEnds(80 * HP, Fraction(1)))
        assert row_fit(one_line).fits_worst == fits


def test_a_verdict_is_the_same_from_the_right() -> None:
    """A row seen in a mirror fits as it does."""
    for seed in range(300):
        problem = of_certain_faces(random_row(seed, Kind(panels=5, wild=0.02)))
        threads = row_fit(problem).threads
        for at_worst in (False, True):
            seen = row_verdict(row_limits(problem, threads), at_worst).fits
            mirror, other = mirrored(problem, threads)
            assert row_verdict(row_limits(mirror, other), at_worst).fits == seen, seed


def certain(size: Size) -> Size:
    return Size(size.nominal, size.nominal, size.nominal)


def of_certain_faces(problem: RowProblem) -> RowProblem:
    """The row with faces and pitches as they are meant to be: holes and threads then count from either side."""
    lines = [
        line._replace(pitch=certain(line.pitch)) if isinstance(line, StripLine) else line
        for line in (problem.bottom, problem.top)
    ]
    panels = tuple(panel._replace(face=certain(panel.face)) for panel in problem.panels)
    return RowProblem(panels, lines[0], lines[1], problem.ends)


Turned = tuple[tuple[int | None, ...], ...]


def mirrored(problem: RowProblem, threads: Turned) -> tuple[RowProblem, Turned]:
    """The row and its threads as seen from behind."""

    def back(size: Size, about: Fraction) -> Size:
        return Size(about - size.nominal, about - size.high, about - size.low)

    length = problem.ends.length
    panels = []
    for panel in reversed(problem.panels):
        holes = tuple(hole._replace(offset=back(hole.offset, Fraction(panel.face.nominal))) for hole in panel.holes)
        panels.append(panel._replace(start=length - panel.start - panel.width, holes=holes))
    lines: list[StripLine | NutLine | None] = []
    for line in (problem.bottom, problem.top):
        if isinstance(line, StripLine):
            last = Fraction(line.pitch.nominal) * (line.threads - 1)
            line = line._replace(first=back(line.first, length - last))
        lines.append(line)
    turned = []
    for panel, own in zip(problem.panels, threads, strict=True):
        of_panel: list[int | None] = []
        for hole, thread in zip(panel.holes, own, strict=True):
            line = problem.line(hole.line)
            of_panel.append(line.threads - 1 - thread if isinstance(line, StripLine) and thread is not None else None)
        turned.append(tuple(of_panel))
    return RowProblem(tuple(panels), lines[0], lines[1], problem.ends), tuple(turned[::-1])

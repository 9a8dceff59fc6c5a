"""What would make a row fit: in: a row that does not, out: numbers of one change each, every one solved again.

A change has to make the row fit at its worst; where none does that, one that makes it fit as meant is told as such.
"""

from fractions import Fraction
from math import ceil
from typing import NamedTuple

from rackspec.language.units import HP
from rackspec.physics.row import LINES, NutLine, RowHole, RowPanel, RowProblem, Size, StripLine
from rackspec.physics.row_fit import RowFit, row_fit
from rackspec.physics.row_margins import Undecided, face, size_margin

DEDUCTION = Fraction(3, 10)
"""mm that a panel is narrower than its slot (IEC 60297-3-101 / IEEE 1101.10: n x 5.08 - 0.30)."""
HUNDREDTH = Fraction(1, 100)
TENTH = Fraction(1, 10)
MOST_GAP = 4
"""HP left free at most: a panel that needs more is too wide for its place."""
MOST = Fraction(1)
"""mm that a panel is trimmed or a hole opened at most: beyond that it is another panel."""


class Gap(NamedTuple):
    """Leave so many HP free before a panel (its number); ``starts``: where all panels then start (mm)."""

    panel: int
    hp: int
    starts: tuple[Fraction, ...]
    at_worst: bool


class Trim(NamedTuple):
    """Take so much (mm) off the right edge of a panel."""

    panel: int
    by: Fraction
    at_worst: bool


class Opened(NamedTuple):
    """Open a hole of a panel, and its like above or below it, to a diameter, or slots to a length (mm)."""

    panel: int
    hole: int
    opening: Fraction
    at_worst: bool


class RowRemedies(NamedTuple):
    """One change each that makes a row fit; None where there is none. ``nuts``: at its worst, as meant, or not."""

    gap: Gap | None
    trim: Trim | None
    opened: Opened | None
    nuts: str


def row_remedies(problem: RowProblem, fit: RowFit, across: Size | None = None) -> RowRemedies:
    """What would make a row fit that does not; ``across``: the width of a sliding nut that the rails take."""
    levels = (True,) if fit.fits_nominal else (True, False)
    return RowRemedies(
        next((gapped for level in levels if (gapped := gap(problem, fit, level))), None),
        next((cut for level in levels if (cut := trim(problem, fit, level))), None),
        next((wide for level in levels if (wide := opened(problem, fit, level))), None),
        with_nuts(problem, across),
    )


def does(problem: RowProblem, at_worst: bool) -> bool:
    """Whether a row fits, with any sizes within their tolerances or as meant."""
    fit = row_fit(problem, brief=False)
    return fit.fits_worst is True if at_worst else fit.fits_nominal


def gap(problem: RowProblem, fit: RowFit, at_worst: bool) -> Gap | None:
    """The smallest number of HP to leave free before a panel of the ring; panels behind move on into free room.

    Only strips hold panels where they are; with nuts alone every gap is at the panels' disposal already.
    """
    ring = fit.ring
    if ring is None or not any(isinstance(problem.line(name), StripLine) for name in LINES):
        return None
    for hp in range(1, min(ceil(max(ring.short, Fraction(0)) / HP) + 2, MOST_GAP + 1)):
        for number in ring.panels:
            moved = moved_on(problem, number, hp * HP) if number else None
            if moved is not None and does(moved, at_worst):
                return Gap(number, hp, tuple(panel.start for panel in moved.panels), at_worst)
    return None


def moved_on(problem: RowProblem, number: int, by: Fraction) -> RowProblem | None:
    """A row with one panel moved to the right (mm), and those behind it as far as they have to; None: no room."""
    panels = list(problem.panels)
    start = panels[number].start + by
    for behind in range(number, len(panels)):
        panel = panels[behind]
        if panel.start >= start:
            break
        panels[behind] = panel._replace(start=start)
        start += panel.width
    if panels[-1].start + panels[-1].width > problem.ends.length:
        return None
    return problem._replace(panels=tuple(panels))


def trim(problem: RowProblem, fit: RowFit, at_worst: bool, most: Fraction = MOST) -> Trim | None:
    """The panel of the ring to trim, and by how much, rounded up: the one most over its standard width."""
    ring = fit.ring
    if ring is None:
        return None
    in_it = [number for number in ring.panels if any(step.kind == "panel" for step in ring.steps)]
    for number in sorted(in_it, key=lambda number: (-over(problem.panels[number]), number)):
        try:
            margin = size_margin(problem, fit, face(number), 1, at_worst)
        except Undecided:
            continue
        if margin.room is None or margin.room >= 0:
            continue
        by = ceil(-margin.room / HUNDREDTH) * HUNDREDTH
        if by <= most and does(trimmed(problem, number, by), at_worst):
            return Trim(number, by, at_worst)
    return None


def over(panel: RowPanel) -> Fraction:
    """How much wider a panel is than the standard makes it (mm)."""
    return Fraction(panel.face.nominal) - (panel.width - DEDUCTION)


def trimmed(problem: RowProblem, number: int, by: Fraction) -> RowProblem:
    """A row with one panel narrower (mm)."""
    panel = problem.panels[number]
    return _with(problem, number, panel._replace(face=panel.face.moved(-by)))


def opened(problem: RowProblem, fit: RowFit, at_worst: bool, most: Fraction = MOST) -> Opened | None:
    """The hole of the ring that has to be opened least, to the next tenth of a millimetre that does.

    Its like on the other line is opened with it: that one is mostly in the same plight.
    """
    ring = fit.ring
    found: list[tuple[Fraction, Opened]] = []
    for screw in ring.screws if ring is not None else ():
        hole = problem.panels[screw.panel_number].holes[screw.hole]
        if hole.opening is None or ring is None:
            continue
        opening = ceil((hole.opening + 2 * ring.short) / TENTH) * TENTH
        while opening <= hole.opening + most:
            if does(widened(problem, screw.panel_number, screw.hole, opening), at_worst):
                found.append((opening - hole.opening, Opened(screw.panel_number, screw.hole, opening, at_worst)))
                break
            opening += TENTH
    return min(found)[1] if found else None


def widened(problem: RowProblem, number: int, hole_number: int, opening: Fraction) -> RowProblem:
    """A row with one hole, and its like above or below it, opened to a diameter, or slots to a length (mm)."""
    panel = problem.panels[number]
    wanted = panel.holes[hole_number]

    def wide(hole: RowHole) -> RowHole:
        if hole.opening is None or (hole.opening, hole.offset) != (wanted.opening, wanted.offset):
            return hole
        return hole._replace(room=hole.room + (opening - hole.opening) / 2, opening=opening)

    return _with(problem, number, panel._replace(holes=tuple(wide(hole) for hole in panel.holes)))


def with_nuts(problem: RowProblem, across: Size | None) -> str:
    """Whether a row fits with nuts instead of its strips: "worst" (at its worst), "nominal" (as meant), or ""."""
    if across is None or not any(isinstance(problem.line(name), StripLine) for name in LINES):
        return ""
    nuts = NutLine(across)
    bottom, top = (nuts if isinstance(line, StripLine) else line for line in (problem.bottom, problem.top))
    fit = row_fit(problem._replace(bottom=bottom, top=top))
    return "worst" if fit.fits_worst else "nominal" if fit.fits_nominal else ""


def _with(problem: RowProblem, number: int, panel: RowPanel) -> RowProblem:
    return problem._replace(panels=(*problem.panels[:number], panel, *problem.panels[number + 1 :]))

"""Whether a row goes together: in: rows of 84HP, out: our time beside that of a linear programme for the same question.

Both get the limits of the row ready made. Making a sparse matrix of them counts, importing scipy does not. A linear
programme answers for one choice of sizes. What it does not answer is told as a multiple of our own verdict: any sizes
within their tolerances, holes that are worse than their clearance, the margin; all of these from the row itself.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import partial
from time import perf_counter

from rackspec.physics.differences import judge, nominal
from rackspec.physics.row import LINES, Line, NutLine, RowEnds, RowHole, RowPanel, RowProblem, Size, StripLine
from rackspec.physics.row_fit import row_fit
from rackspec.physics.row_limits import row_limits
from rackspec.physics.row_margins import row_margin
from tests.bench.pairs import interleaved

HP = Fraction(508, 100)
Told = Callable[[str, float, str, bool | None, str], None]


def even_row(number: int, hp: int, holes: int, off: str = "0.05", nuts: bool = False, over: str = "0") -> RowProblem:
    """Equal panels shoulder to shoulder, so many holes each; ``over``: by how much (mm) the middle one is too wide."""
    tolerance = Fraction(off)
    offsets = [HP / 2 - Fraction(15, 100) + at * HP for at in ((0, hp - 1) if holes > 2 else (0,))]
    made = tuple(
        RowHole(name, Size(at, at - tolerance, at + tolerance), Fraction("0.11")) for name in LINES for at in offsets
    )
    panels = []
    for at in range(number):
        face = hp * HP - Fraction(3, 10) + (Fraction(over) if at == number // 2 else 0)
        panels.append(
            RowPanel(f"p{at}", at * hp * HP, hp * HP, Size(face, face - tolerance, face), made, Fraction("0.2"))
        )
    strip = StripLine(Size(HP / 2, HP / 2, HP / 2), Size(HP, HP, HP), number * hp, Fraction("0.2"))
    across = Fraction("4.5")
    line: Line = NutLine(Size(across, across, across)) if nuts else strip
    return RowProblem(tuple(panels), line, line, RowEnds(number * hp * HP, Fraction("0.5")))


def seconds(run: Callable[[], object], times: int = 5) -> float:
    """Seconds of one of several runs."""
    start = perf_counter()
    for _ in range(times):
        run()
    return (perf_counter() - start) / times


class Question:
    """A row, whether it fits as it is meant, and both ways to find out."""

    def __init__(self, problem: RowProblem, fits: bool) -> None:
        self.problem = problem
        self.fits = fits
        self.threads = row_fit(problem).threads
        self.row = row_limits(problem, self.threads)
        self.sizes = nominal(self.row.sizes)

    def ours(self) -> None:
        """From the limits to the verdict."""
        if judge(self.row.limits, self.sizes, self.row.hubs, self.row.start).fits is not self.fits:
            raise SystemExit("our verdict is wrong")

    def programme(self) -> None:
        """From the limits to the verdict of HiGHS."""
        from scipy.optimize import linprog
        from scipy.sparse import csr_array

        numbers: dict[object, int] = {}
        rows, columns, values, bounds = [], [], [], []
        for line, limit in enumerate(self.row.limits):
            for place, sign in ((limit.high, 1.0), (limit.low, -1.0)):
                rows.append(line)
                columns.append(numbers.setdefault(place, len(numbers)))
                values.append(sign)
            bounds.append(float(limit.worst(self.sizes)) / self.row.parts)
        matrix = csr_array((values, (rows, columns)), shape=(len(bounds), len(numbers)))
        found = linprog([0.0] * len(numbers), matrix, bounds, bounds=(None, None), method="highs")
        if (found.status == 0) is not self.fits:
            raise SystemExit(f"the verdict of HiGHS is wrong: {found.message}")


QUESTIONS = {
    "42 panels of 2HP, strips": (even_row(42, 2, 4), True),
    "the same, one panel 1mm too wide": (even_row(42, 2, 4, over="1"), False),
    "84 panels of 1HP, strips": (even_row(84, 1, 2), True),
    "the same, one panel 1mm too wide ": (even_row(84, 1, 2, over="1"), False),
    "84 panels of 1HP, nuts": (even_row(84, 1, 2, nuts=True), True),
}


def rows(told: Told, rounds: int) -> None:
    """All questions, ours and HiGHS in turn; then what more than a verdict takes."""
    print("a row of 84HP: does it go together, with all sizes as they are meant?")
    try:
        import scipy
    except ImportError:
        print("  scipy is not installed: not compared")
    else:
        for name, (problem, fits) in QUESTIONS.items():
            question = Question(problem, fits)
            ways = {"ours": partial(seconds, question.ours), "HiGHS": partial(seconds, question.programme)}
            timed = interleaved(ways, rounds)
            figures = ", ".join(f"{way} {timed.median(way) * 1000:.1f} ms" for way in ways)
            told(
                f"HiGHS (scipy {scipy.__version__}) / ours: {name.strip()}",
                timed.ratio("HiGHS", "ours"),
                "",
                None,
                figures,
            )
    for off in ("0.05", "0.1", "0.2"):
        problem = even_row(42, 2, 2, off)
        question = Question(problem, True)
        fit = row_fit(problem)
        ways = {
            "verdict": partial(seconds, question.ours),
            "limits": partial(seconds, partial(row_limits, problem, question.threads)),
            "at its worst": partial(seconds, partial(row_fit, problem)),
            "margin": partial(seconds, partial(row_margin, problem, fit)),
        }
        timed = interleaved(ways, rounds)
        for way in ("limits", "at its worst", "margin"):
            what = f"{way} / the verdict above: 42 panels, holes off by {off}mm"
            told(what, timed.ratio(way, "verdict"), "", None, f"{timed.median(way) * 1000:.1f} ms")

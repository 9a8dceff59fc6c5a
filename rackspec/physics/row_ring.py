"""A ring of limits in a builder's words: in: a ring of a row, out: panels, holes, strips, nuts, and the sum along it.

The sum of all steps is what is left in the ring, exactly: less than nothing is what the row lacks.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.differences import Exact, Limit, Ring, nominal
from rackspec.physics.row import LINES, RowProblem
from rackspec.physics.row_limits import RowLimits, What

GIVES = {
    "screw": "screw",
    "turn": "turn",
    "strip": "play",
    "channel": "end",
    "right end": "end",
    "left end": "end",
}
"""What a limit's own part is called, by what the limit is about."""
TAKES = {"face": "panel", "hole": "hole", "pitch": "thread", "first": "first", "half nut": "nut"}
"""What a size is called."""


class Step(NamedTuple):
    """A term of the sum along a ring (mm): what gives room counts up, what takes it counts down.

    ``kind``: "screw" (play of a screw in its hole), "hole" (from the left edge to a hole), "thread" (from the first
    thread of a strip to another one), "panel" (a panel's width), "turn", "nut", "end" (rails and case), "first" (of a
    strip), "play" (half of a strip's travel). ``number``: of a hole in its panel or of a thread of its strip, from 0.
    ``tolerance``: what is added to ``length`` where sizes are at their worst; a ring may make that a gain for one term.
    """

    kind: str
    line: str
    panel: str
    number: int | None
    length: Fraction
    tolerance: Fraction


class RingScrew(NamedTuple):
    """A screw of a ring: its line, its panel's name, the hole's number in its panel, its thread; both from 0.

    ``panel_number``: of its panel in the row. ``thread`` is None if it goes into a nut.
    """

    line: str
    panel: str
    panel_number: int
    hole: int
    thread: int | None


class RowRing(NamedTuple):
    """What limits a row: things one behind the other, from left to right.

    ``room`` (mm) is what is left, exactly the sum of ``steps``; ``short`` is what is lacking, the same below nothing.
    ``at_worst``: with sizes at the worse ends of their tolerances. ``panels`` are numbers in the row.
    """

    room: Fraction
    at_worst: bool
    steps: tuple[Step, ...]
    lines: tuple[str, ...]
    panels: tuple[int, ...]
    screws: tuple[RingScrew, ...]

    @property
    def short(self) -> Fraction:
        """What is lacking (mm)."""
        return -self.room


def explained(problem: RowProblem, row: RowLimits, ring: Ring, at_worst: bool) -> RowRing:
    """A ring in terms of panels, holes, strips and nuts."""
    sizes = row.sizes if at_worst else nominal(row.sizes)
    ends = {name: sizes[name].low if times > 0 else sizes[name].high for name, times in ring.counts().items()}
    steps: list[Step] = []
    screws: list[RingScrew] = []
    panels: set[int] = set()
    lines: set[str] = set()
    for limit in from_the_left(row, ring):
        about = limit.about
        assert isinstance(about, What)
        lines.add(about.line)
        if about.panel is not None and about.kind != "left end":
            panels.add(about.panel)
            if about.kind == "screw" and about.hole is not None:
                name = problem.panels[about.panel].name
                screws.append(RingScrew(about.line, name, about.panel, about.hole, about.thread))
        own = _steps(problem, row, limit, about, ends)
        to_the_right = about.kind == "screw" and limit.low == ("edge", about.line, about.panel)
        steps += own[::-1] if to_the_right else own
    return RowRing(
        Fraction(ring.room(sizes)) / row.parts,
        at_worst,
        tuple(steps),
        tuple(name for name in LINES if name in lines),
        tuple(sorted(panels)),
        tuple(screws),
    )


def from_the_left(row: RowLimits, ring: Ring) -> tuple[Limit, ...]:
    """The limits of a ring from left to right, beginning at a strip, else at the end of the rails, else anywhere."""
    order = {hub.place: number for number, hub in reversed(list(enumerate(row.hubs)))}
    starts = [order.get(limit.low, len(order)) for limit in ring.limits]
    first = starts.index(min(starts))
    return (ring.limits[first:] + ring.limits[:first])[::-1]


def _steps(problem: RowProblem, row: RowLimits, limit: Limit, about: What, ends: dict[object, Exact]) -> list[Step]:
    """The terms of one limit that are not nothing."""
    panel = "" if about.panel is None else problem.panels[about.panel].name
    found: list[Step] = []
    for name, times in limit.sizes:
        assert isinstance(name, tuple)
        meant = row.sizes[name].nominal
        off = ends.get(name, meant) - meant
        kind = TAKES[name[0]]
        number = {"hole": about.hole, "thread": about.thread}.get(kind)
        of = panel if kind in ("panel", "hole") else ""
        found.append(Step(kind, about.line, of, number, _mm(times * meant, row), _mm(times * off, row)))
    if limit.most:
        own, hole = GIVES[about.kind], about.hole if about.kind == "screw" else None
        of = panel if own in ("screw", "turn") else ""
        found.insert(1 if own == "screw" else 0, Step(own, about.line, of, hole, _mm(limit.most, row), Fraction(0)))
    return [step for step in found if step.length or step.tolerance]


def _mm(value: Exact, row: RowLimits) -> Fraction:
    return Fraction(value) / row.parts

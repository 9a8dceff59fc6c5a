"""Panels side by side: in: a row on chosen rails, out: what keeps them from going in all at once, and how near that is.

Each panel may meet its threads by itself and the row still not go together: widths and holes add up from one screw to
another. One ring of sizes is one finding, with its sum.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Finding, Place
from rackspec.model.known import rests_on
from rackspec.physics.margin import Margin
from rackspec.physics.row_fit import row_fit
from rackspec.physics.row_margins import Undecided, face, row_margin, size_margin
from rackspec.physics.row_remedies import trimmed
from rackspec.physics.row_ring import RowRing
from rackspec.rules.choices import DEDUCTION, Chosen
from rackspec.rules.heights import missed_heights, outside_holes
from rackspec.rules.holes import too_small_holes
from rackspec.rules.panels import too_broad
from rackspec.rules.registry import Look
from rackspec.rules.row_findings import Tried, between, finding_of, length, values_of, whole
from rackspec.rules.row_problem import sized
from rackspec.rules.stages import stage_numbers
from rackspec.rules.standing_panels import PUSHED, slack_of_inserts, standing_panels, verdict
from rackspec.rules.strips import missed_threads
from rackspec.rules.thread_lines import thread_lines

MOST_CAUSES = 4
"""Causes of a row that are told; behind them another run tells more."""
PLAY = ("screw", "turn", "play")
"""Steps that are play, which sizes use up."""


def tried(look: Look, chosen: Chosen) -> list[Tried]:
    """The row at each stage at which it is another one; worked out once."""
    memory: dict[Place, list[Tried]] = look.memory.setdefault("side by side", {})
    key = chosen.choice.place
    if key not in memory:
        memory[key] = list(_tried(look, chosen, told_of(look, chosen)))
    return memory[key]


def told_of(look: Look, chosen: Chosen) -> frozenset[str]:
    """The names of panels whose holes have a finding of their own on these rails."""
    looks = (outside_holes, too_small_holes, missed_threads, missed_heights)
    found = [finding.names for look_at in looks for finding in look_at(look, chosen)]
    every = any(names == (look.rack.full(chosen.row.name),) for names in found)  # one cause for the whole row
    told = {name for names in found for name in names}
    return frozenset(panel.name for panel in chosen.row.panels if every or look.rack.full(panel.name) in told)


def _tried(look: Look, chosen: Chosen, told: frozenset[str]) -> Iterator[Tried]:
    """As meant, and at the worst where that is another problem."""
    seen: set[tuple[int, ...]] = set()
    squeezing = may_squeeze(look, chosen)
    for stage in stage_numbers(look.rack):
        panels = tuple(id(panel) for panel in chosen.row.at(stage))
        if panels in seen:
            continue
        seen.add(panels)
        meant = sized(look, chosen, stage, told, False)
        if meant is None:
            continue
        fit = row_fit(meant.problem)
        if fit.fits_nominal:
            as_they_stand = sized(look, chosen, stage, told, False, pushed=False) if squeezing else None
            if as_they_stand is not None and as_they_stand.problem != meant.problem:
                squeezed = Tried(as_they_stand, row_fit(as_they_stand.problem), False, True)
                if squeezed.fails:
                    yield squeezed
                    continue
            at_worst = sized(look, chosen, stage, told, True) if meant.loose else None
            if at_worst is not None:
                yield Tried(at_worst, row_fit(at_worst.problem), True)
                continue
        yield Tried(meant, fit, False)


def may_squeeze(look: Look, chosen: Chosen) -> bool:
    """Whether the rails of a row may take play from its screws: they are off, by less than they have to be pushed for,
    which is told elsewhere."""
    lines = thread_lines(chosen)
    if not lines.is_known:
        return False
    panels = list(standing_panels(look, chosen, lines))
    give = look.house.limit("give rails").value
    slack = slack_of_inserts(look, chosen).value
    return not panels or verdict(panels, lines.left, lines.right, slack, give).step < PUSHED


def crowded(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """What keeps panels that are all right by themselves from going in side by side."""
    failing = [one for one in tried(look, chosen) if one.fails]
    broad = {name for finding in too_broad(look, chosen.row) for name in finding.names} if failing else set()
    told: set[str] = set()
    for one in failing:
        for cause in causes(one):
            ring = whole(one.sized, cause.ring)
            names = {one.sized.panels[number].name for number in ring.panels}
            if names & told or any(look.rack.full(name) in broad for name in names):
                continue  # at another stage already, or because a panel is wider than its place
            told |= names
            yield finding_of(look, chosen, cause.of, ring)


class Cause(NamedTuple):
    """A ring that keeps a row from going together, and the row as far as what was told before is out of the way."""

    of: Tried
    ring: RowRing


def causes(one: Tried) -> Iterator[Cause]:
    """The causes why a row does not go together, each with its worst ring; they share no panel.

    When one is told, its first panel is thought to be narrower by what is lacking, and the row is tried again.
    """
    for _ in range(MOST_CAUSES):
        ring = worst_ring(one)
        if ring is None:
            return
        yield Cause(one, ring)
        wide = [number for number in ring.panels if any(step.kind == "panel" for step in ring.steps)]
        if not wide or ring.short <= 0:
            return
        problem = trimmed(one.sized.problem, wide[0], ring.short)
        one = one._replace(sized=one.sized._replace(problem=problem), fit=row_fit(problem))


def worst_ring(one: Tried) -> RowRing | None:
    """Of the rings that share a panel with the one that was found, the one in which most is lacking."""
    ring = one.fit.ring
    if not one.fails or ring is None:
        return None
    for _ in range(MOST_CAUSES):
        longer = ring
        for number in {ring.panels[0], ring.panels[-1]} if ring.panels else ():
            try:
                found = size_margin(one.sized.problem, one.fit, face(number), 1, ring.at_worst)
            except Undecided:
                continue
            if found.ring is not None and found.room is not None and found.ring.short > longer.short:
                longer = found.ring
        if longer is ring:
            break
        ring = longer
    return ring


def sideways(look: Look, chosen: Chosen) -> Iterator[Margin]:
    """The row's margin at the stage at which it is the least: what is left of the play between two of its screws, of
    which panels that are wider than the standard, or drilled beside it, have used up some."""
    least: Margin | None = None
    for one in tried(look, chosen):
        found = row_margin(one.sized.problem, one.fit) if not one.fails else None
        if found is None or found.room is None or found.ring is None:
            continue
        known = values_of(one.sized, found.ring)
        play = sum((length(step) for step in found.ring.steps if step.kind in PLAY), Fraction(0))
        play += sum(step.kind == "panel" for step in found.ring.steps) * DEDUCTION
        if not known or not found.ring.screws or found.room >= play:
            continue  # as much is left as the standard leaves, or more
        what = f"{chosen.row.name}: play of {between(one.sized, found.ring)}" + (" at the worst" if one.worst else "")
        margin = Margin(what, play - found.room, play, "mm", rests_on("sizes", known))
        if least is None or margin.margin < least.margin:
            least = margin
    if least is not None:
        yield least


class Room(NamedTuple):
    """How much a panel of a row may still grow (mm; None: as much as one likes), and which panels leave the least."""

    room: Fraction | None
    who: str


def least_room(look: Look, chosen: Chosen) -> Room | None:
    """The least that a row leaves at any stage, at the worst where sizes are loose; None where it is not known."""
    told = told_of(look, chosen)
    least: Room | None = None
    for stage in stage_numbers(look.rack):
        row = sized(look, chosen, stage, told, True, always=True)
        found = row_margin(row.problem, row_fit(row.problem)) if row is not None else None
        if row is None or found is None:
            return None
        here = Room(found.room, between(row, whole(row, found.ring)) if found.ring is not None else "")
        if least is None or (here.room is not None and (least.room is None or here.room < least.room)):
            least = here
    return least

"""Panels side by side: in: a row on chosen rails, out: what keeps them from going in all at once, and how near that is.

Each panel may meet its threads by itself and the row still not go together: widths and holes add up from one screw to
another. One ring of sizes is one finding, with its sum.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR, Finding, Place
from rackspec.language.quantity import plain_number, show_hp
from rackspec.model.known import Known, rests_on
from rackspec.model.rack import Panel
from rackspec.physics.margin import Margin
from rackspec.physics.row import StripLine
from rackspec.physics.row_fit import RowFit, row_fit
from rackspec.physics.row_margins import row_margin
from rackspec.physics.row_remedies import RowRemedies, row_remedies
from rackspec.physics.row_ring import RowRing, Step
from rackspec.rules.choices import DEDUCTION, Chosen, fitting_inserts
from rackspec.rules.heights import missed_heights, outside_holes
from rackspec.rules.holes import mm, too_small_holes
from rackspec.rules.registry import Look, milder, steps_for
from rackspec.rules.row_problem import Sized, exact, size_of, sized
from rackspec.rules.stages import stage_numbers
from rackspec.rules.strips import missed_threads

TAKEN = ("panel", "hole", "nut")
"""Steps of a ring that take room; the others give it."""

MANY = 5
"""Panels; more than these are not written out in a sum."""
PLAY = ("screw", "turn", "play")
"""Steps that are play, which sizes use up."""


class Tried(NamedTuple):
    """A row at a stage that was tried: its sizes, whether it goes together; ``worst``: these are its sizes at the
    worst, and as meant it does."""

    sized: Sized
    fit: RowFit
    worst: bool

    @property
    def fails(self) -> bool:
        """Whether it does not go together, for sure."""
        return self.fit.fits_worst is False if self.worst else not self.fit.fits_nominal


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
    for stage in stage_numbers(look.rack):
        meant = sized(look, chosen, stage, told, False)
        panels = tuple(id(panel) for panel in meant.panels) if meant is not None else ()
        if meant is None or panels in seen:
            continue
        seen.add(panels)
        fit = row_fit(meant.problem)
        if fit.fits_nominal:
            at_worst = sized(look, chosen, stage, told, True)
            assert at_worst is not None
            if meant.loose or at_worst.problem != meant.problem:
                yield Tried(at_worst, row_fit(at_worst.problem), True)
                continue
        yield Tried(meant, fit, False)


def crowded(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """What keeps panels that are all right by themselves from going in side by side."""
    rings: set[tuple[str, ...]] = set()
    for one in tried(look, chosen):
        ring = one.fit.ring
        if not one.fails or ring is None:
            continue
        ring = whole(one.sized, ring)
        names = tuple(one.sized.panels[number].name for number in ring.panels)
        if names in rings:
            continue
        rings.add(names)
        yield _finding(look, chosen, one, ring)


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


def whole(row: Sized, ring: RowRing) -> RowRing:
    """A ring with its panels. One of nothing but nuts and the ends of their channel is about all that they hold."""
    if ring.panels:
        return ring
    panels = row.problem.panels
    return ring._replace(
        panels=tuple(n for n, panel in enumerate(panels) if any(hole.line in ring.lines for hole in panel.holes))
    )


def length(step: Step) -> Fraction:
    """A step of a ring with its tolerance (mm)."""
    return step.length + step.tolerance


def between(row: Sized, ring: RowRing) -> str:
    """The panels of a ring in words: ``'a' to 'd'``."""
    names = [called(row, number) for number in ring.panels]
    if len(names) > 2:
        return f"{names[0]} to {names[-1]}"
    return " and ".join(names)


def called(row: Sized, number: int) -> str:
    """A panel by its name; one without a name by where it stands."""
    panel = row.panels[number]
    if panel.name:
        return f"'{panel.name}'"
    assert panel.start is not None
    return f"the {panel.what} at {show_hp(panel.start)}"


def _finding(look: Look, chosen: Chosen, one: Tried, ring: RowRing) -> Finding:
    """The finding about a ring."""
    row, insert = one.sized, chosen.insert
    assert insert is not None
    kinds = {step.kind for step in ring.steps}
    known = values_of(row, ring)
    if "nut" in kinds and insert.across is not None:
        known.append(insert.across)
    rule, message = said(chosen, row, ring, kinds)
    nuts = next((other for other in chosen.choice.takes if other.form == "nut" and other.thread == insert.thread), None)
    across = None
    if nuts is not None and chosen.thread is not None:
        across = size_of(nuts.across) if nuts.across is not None else exact(chosen.thread.nut[0])
    ways = row_remedies(row.problem, one.fit, across)
    remedy = remedy_of(chosen, row, ways, nuts.name if nuts is not None else "")
    if one.worst:
        remedy = f"measure {listed(row, ring)}; if they are that wide, {remedy}"
    last = row.panels[ways.trim.panel if ways.trim is not None else ring.panels[-1]]
    guessed = not known or any(value.is_guess for value in known)
    trust = rests_on("sizes", known) if known else "sizes as the standard has them"
    if known and not all(is_told(row.panels[number]) for number in ring.panels):
        trust += "; others as the standard has them"
    return Finding(
        rule,
        milder(ERROR, steps_for(not one.worst, guessed)),
        message + (" at the worst" if one.worst else ""),
        last.position,
        others=tuple(places_of(chosen, row, ring, last)),
        sum=sum_of(ring),
        remedy=remedy,
        rests_on=f"{trust}; screws at their largest by ISO 965-1 (6g)" if "screw" in kinds else trust,
        names=(
            look.rack.full(chosen.row.name),
            *(look.rack.full(row.panels[n].name) for n in ring.panels if row.panels[n].name),
        ),
    )


def is_told(panel: Panel) -> bool:
    """Whether something of a panel's real sizes is written."""
    return panel.part is not None and bool(panel.part.face.width or panel.part.face.holes)


def said(chosen: Chosen, row: Sized, ring: RowRing, kinds: set[str]) -> tuple[str, str]:
    """Which rule a ring breaks, and the message."""
    assert chosen.insert is not None
    who, short = listed(row, ring), mm(ring.short)
    if "nut" in kinds:
        return "nuts-collide", f"the nuts behind {who} get in each other's way: they lack {short}"
    if "screw" not in kinds:
        return (
            "row-overfull",
            f"the panels of row '{chosen.row.name}', as wide as they really are, lack {short} of room",
        )
    if len(ring.panels) == 1:
        return (
            "hole-misses-thread",
            f"the holes of {who} do not meet threads of '{chosen.insert.name}': they lack {short}",
        )
    if "end" in kinds:
        return (
            "hole-misses-thread",
            f"{who} do not go between the end of the rails and their threads: they lack {short}",
        )
    return "hole-misses-thread", f"{who} cannot all be screwed on side by side: between their threads they lack {short}"


def listed(row: Sized, ring: RowRing) -> str:
    """The panels of a ring by name, all of them if they are few."""
    names = [called(row, number) for number in ring.panels]
    if len(names) > 4:
        names = [names[0], f"{len(names) - 2} more", names[-1]]
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + f" and {names[-1]}"


def values_of(row: Sized, ring: RowRing) -> list[Known]:
    """What is written of the sizes in a ring."""
    found: list[Known] = []
    for step in ring.steps:
        numbers = [number for number in ring.panels if row.problem.panels[number].name == step.panel]
        part = row.panels[numbers[0]].part if numbers else None
        if part is None:
            continue
        if step.kind == "panel" and part.face.width is not None:
            found.append(part.face.width)
        if step.kind == "hole" and step.number is not None and part.face.holes:
            found.append(part.face.holes[step.number].x)
    return found


def places_of(chosen: Chosen, row: Sized, ring: RowRing, told: Panel) -> Iterator[Place]:
    """Where the other panels of a ring stand, and the rails."""
    others = [number for number in ring.panels if row.panels[number] is not told]
    for number in others[:4]:
        face = row.problem.panels[number].face
        yield row.panels[number].position.labelled(f"{mm(Fraction(face.nominal))} wide")
    yield chosen.choice.place.labelled("on these rails")


def sum_of(ring: RowRing) -> str:
    """What takes room in a ring, what gives it, and what is lacking."""
    taken, given = Fraction(0), Fraction(0)
    takes: list[str] = []
    gives: list[str] = []
    threads = Fraction(0)
    nuts = sum((-length(step) for step in ring.steps if step.kind == "nut"), Fraction(0))
    if nuts:
        each = max(-length(step) for step in ring.steps if step.kind == "nut")
        pieces = nuts / each
        takes.append(
            f"+ {plain_number(pieces, 1)} nuts of {mm(each)} {mm(nuts)}" if pieces > 1 else f"+ {mm(nuts)} nut"
        )
        taken += nuts
    panels = [step for step in ring.steps if step.kind == "panel"]
    if len(panels) > MANY:
        wide = sum((-length(step) for step in panels), Fraction(0))
        takes.append(f"+ {mm(wide)} for {len(panels)} panels")
        taken += wide
    for step in ring.steps:
        value = length(step)
        if step.kind == "nut" or (step.kind == "panel" and len(panels) > MANY):
            continue
        if step.kind in TAKEN:
            taken -= value
            takes.append(f"{'-' if value > 0 else '+'} {mm(abs(value))}{_of(step)}")
            continue
        given += value
        if step.kind in ("thread", "first"):
            threads += value
        else:
            gives.append(f"{'+' if value > 0 else '-'} {mm(abs(value))}{_of(step)}")
    if threads:
        gives.insert(0, f"+ {mm(threads)} from thread to thread")
    short = f"{mm(taken)} - {mm(given)} = {mm(taken - given)}"
    return f"{_joined(takes, taken)}; {_joined(gives, given)}; {short}"


def _joined(terms: list[str], total: Fraction) -> str:
    """Terms as a sum that begins with what is added."""
    first = next((number for number, term in enumerate(terms) if term.startswith("+")), 0)
    text = " ".join([*terms[first : first + 1], *terms[:first], *terms[first + 1 :]]).removeprefix("+ ")
    return text if len(terms) == 1 else f"{text} = {mm(total)}"


def _of(step: Step) -> str:
    """What a term of the sum is."""
    match step.kind:
        case "panel":
            return f" '{step.panel}'"
        case "hole":
            return f" to the hole of '{step.panel}'"
        case "screw":
            return f" play in '{step.panel}'"
        case "turn":
            return f" by turning '{step.panel}'"
        case "play":
            return " play of the strip"
        case _:
            return " from end to end"


def remedy_of(chosen: Chosen, row: Sized, ways: RowRemedies, nut: str) -> str:
    """What would make it fit, the least work first."""
    found = []
    if ways.opened is not None:
        name = called(row, ways.opened.panel)
        found.append(f"open the holes of {name} to {mm(ways.opened.opening)} (deburr, and mind the coating)")
    if ways.gap is not None and ways.gap.panel is not None:
        found.append(f"leave {ways.gap.hp}HP free before {called(row, ways.gap.panel)}")
    if ways.trim is not None:
        found.append(f"file {mm(ways.trim.by)} off the right edge of {called(row, ways.trim.panel)}")
    if ways.nuts and nut:
        found.append(f"use sliding nuts '{nut}' in these rails")
    strips = fitting_inserts(chosen, "strip", chosen.thread.name) if chosen.thread is not None else []
    if not found and strips and not isinstance(row.problem.bottom, StripLine):
        found.append(f"use the strip '{strips[0]}' in these rails")
    return ", or ".join(found) or "move one of them to another row"

"""What keeps a row from going together, in words: in: a ring of its sizes, out: a finding with the sum and remedies."""

from collections.abc import Iterator
from fractions import Fraction
from math import ceil
from typing import NamedTuple

from rackspec.findings import ERROR, Finding, Place
from rackspec.language.quantity import plain_number, show_hp
from rackspec.model.known import Known, rests_on
from rackspec.model.rack import Panel
from rackspec.physics.row_fit import RowFit
from rackspec.physics.row_remedies import RowRemedies, row_remedies
from rackspec.physics.row_ring import RowRing, Step
from rackspec.rules.choices import Chosen
from rackspec.rules.holes import mm
from rackspec.rules.registry import Look, milder, steps_for
from rackspec.rules.row_problem import Sized, exact, size_of
from rackspec.rules.thread_lines import APART

TAKEN = ("panel", "hole", "nut")
"""Steps of a ring that take room; the others give it."""

MANY = 5
"""Panels; more than these are not written out in a sum."""


class Tried(NamedTuple):
    """A row at a stage that was tried: its sizes, whether it goes together; ``worst``: these are its sizes at the
    worst, and as meant it does. ``squeezed``: with rails that stand where they take play from the screws, and with
    rails that are pushed it does."""

    sized: Sized
    fit: RowFit
    worst: bool
    squeezed: bool = False

    @property
    def fails(self) -> bool:
        """Whether it does not go together, for sure."""
        return self.fit.fits_worst is False if self.worst else not self.fit.fits_nominal


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


def finding_of(look: Look, chosen: Chosen, one: Tried, ring: RowRing) -> Finding:
    """The finding about a ring."""
    row, insert = one.sized, chosen.insert
    assert insert is not None
    known = [*values_of(row, ring), *values_behind(look, chosen, ring)]
    if any(step.kind == "nut" for step in ring.steps) and insert.across is not None:
        known.append(insert.across)
    rule, message = said(chosen, row, ring)
    nuts = next((other for other in chosen.choice.takes if other.form == "nut" and other.thread == insert.thread), None)
    across = None
    if nuts is not None and chosen.thread is not None:
        across = size_of(nuts.across) if nuts.across is not None else exact(chosen.thread.nut[0])
    ways = row_remedies(row.problem, one.fit._replace(ring=ring), across)
    remedy = remedy_of(row, ways, nuts.name if nuts is not None else "")
    if "end" in {step.kind for step in ring.steps} and (text := washers(look, row, ring)):
        remedy = f"{text}, or {remedy}"
    if one.squeezed:
        remedy = f"bring the rails to {mm(APART)}, which gives the screws their play back, or {remedy}"
    if one.worst:
        remedy = f"measure {listed(row, ring)}; if they are that wide, {remedy}"
    last = row.panels[ways.trim.panel if ways.trim is not None else ring.panels[-1]]
    guessed = not known or any(value.is_guess for value in known)
    trust = rests_on("sizes", known) if known else "sizes as the standard has them"
    if known and not all(is_told(row.panels[number]) for number in ring.panels):
        trust += "; others as the standard has them"
    return Finding(
        rule,
        milder(ERROR, steps_for(not one.worst and not one.squeezed, guessed)),
        message + (" at the worst" if one.worst else " as the rails stand" if one.squeezed else ""),
        last.position,
        others=tuple(places_of(chosen, row, ring, last)),
        sum=sum_of(ring),
        remedy=remedy,
        rests_on=f"{trust}; screws at their largest by ISO 965-1 (6g)" if ring.screws else trust,
        names=(
            look.rack.full(chosen.row.name),
            *(look.rack.full(row.panels[n].name) for n in ring.panels if row.panels[n].name),
        ),
    )


def washers(look: Look, row: Sized, ring: RowRing) -> str:
    """Room at the ends by washers between rails and sides, where the case is wide enough for them; else nothing."""
    case, length = look.rack.case, row.problem.ends.length
    if case is None or case.inside is None:
        return ""
    each = ceil((ring.short / (1 if ring.screws else 2) + row.problem.ends.beyond) * 10) / Fraction(10)
    if case.inside.low < length + 2 * each:
        return ""
    return f"put {mm(each)} of washers between the rails and either side ('shims {mm(2 * each)}')"


def is_told(panel: Panel) -> bool:
    """Whether something of a panel's real sizes is written."""
    return panel.part is not None and bool(panel.part.face.width or panel.part.face.holes)


def said(chosen: Chosen, row: Sized, ring: RowRing) -> tuple[str, str]:
    """Which rule a ring breaks, and the message."""
    assert chosen.insert is not None
    kinds = {step.kind for step in ring.steps}
    who, short = listed(row, ring), mm(ring.short)
    if "nut" in kinds:
        return "nuts-collide", f"the nuts behind {who} get in each other's way: they lack {short}"
    if not ring.screws:
        return (
            "row-overfull",
            f"the panels of row '{chosen.row.name}', as wide as they really are, lack {short} of room",
        )
    if "end" in kinds:
        return (
            "hole-misses-thread",
            f"{who} do not go between the end of the rails and their threads: they lack {short}",
        )
    if len(ring.panels) == 1:
        return (
            "hole-misses-thread",
            f"the holes of {who} do not meet threads of '{chosen.insert.name}': they lack {short}",
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


def values_behind(look: Look, chosen: Chosen, ring: RowRing) -> list[Known]:
    """What is written of the sizes of strip and case in a ring."""
    insert, case = chosen.insert, look.rack.case
    kinds = {step.kind for step in ring.steps}
    values = [
        insert.first if insert is not None and "first" in kinds else None,
        insert.play if insert is not None and "play" in kinds else None,
        insert.pitch if insert is not None and "thread" in kinds else None,
        case.shims if case is not None and "end" in kinds else None,
    ]
    return [value for value in values if value is not None]


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
    to_the_end = "end" in {step.kind for step in ring.steps} and bool(ring.screws)
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
        if step.kind in ("thread", "first") or (step.kind == "end" and to_the_end):
            threads += value
        else:
            gives.append(f"{'+' if value > 0 else '-'} {mm(abs(value))}{_of(step)}")
    if threads:
        gives.insert(0, f"+ {mm(threads)} from {'a thread to the end' if to_the_end else 'thread to thread'}")
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


def remedy_of(row: Sized, ways: RowRemedies, nut: str) -> str:
    """What would make it fit, the least work first."""
    found = []

    def only(at_worst: bool) -> str:
        return "" if at_worst else ", which is enough for sizes as meant"

    if ways.opened is not None:
        name = called(row, ways.opened.panel)
        care = f" (deburr, and mind the coating){only(ways.opened.at_worst)}"
        found.append(f"open the holes of {name} to {mm(ways.opened.opening)}{care}")
    if ways.gap is not None:
        found.append(f"leave {ways.gap.hp}HP free before {called(row, ways.gap.panel)}{only(ways.gap.at_worst)}")
    if ways.trim is not None:
        text = f"file {mm(ways.trim.by)} off the right edge of {called(row, ways.trim.panel)}"
        found.append(text + only(ways.trim.at_worst))
    if ways.nuts and nut:
        found.append(f"use sliding nuts '{nut}' in these rails{only(ways.nuts == 'worst')}")
    return ", or ".join(found) or "move one of them to another row"

"""Rails to choose from: in: a row and its choices of rails and inserts, out: for each what keeps panels from holding.

A row may name several pairs of rails (``or``). One that does not do is no fault as long as another one does: the rules
about bolting speak of the first choice that does, and of the first one if none does.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR, Finding
from rackspec.language.bound import Evidence
from rackspec.language.quantity import exactly
from rackspec.language.units import HP
from rackspec.model.known import PRACTICE, Known
from rackspec.model.parts import Insert, Rail
from rackspec.model.rack import Panel, RailChoice, Row
from rackspec.physics.bolting import HoleAt
from rackspec.physics.threads import THREADS, Thread
from rackspec.rules.registry import Look, NotKnown

DEDUCTION = Fraction(3, 10)
"""mm that a panel is narrower than its HP (IEC 60297-3-101 / IEEE 1101.10: n x 5.08 - 0.30)."""
FIRST_HOLE = HP * 3 / 2
"""mm from the grid line of a panel to its first hole: centred in the second HP (an open-hardware crate document)."""
FIRST_THREAD = HP / 2
"""mm from the row's 0HP to the first thread of a strip that lies on the grid."""
NARROW = 3
"""HP; up to this width a panel's holes may be anywhere, and are not assumed."""


class Chosen(NamedTuple):
    """A choice with its parts that are known."""

    row: Row
    choice: RailChoice
    rail: Rail | None
    insert: Insert | None
    thread: Thread | None


class Holed(NamedTuple):
    """A panel with its holes along the row, and how far it may be shifted to either side (mm).

    ``assumed``: nobody wrote its holes down. ``values``: what its holes rest on.
    """

    panel: Panel
    holes: tuple[HoleAt, ...]
    slack: Fraction
    assumed: bool
    values: tuple[Known, ...]


def chosen_of(row: Row, choice: RailChoice) -> Chosen:
    """A choice with its thread looked up."""
    thread = THREADS.get(choice.insert.thread) if choice.insert is not None else None
    return Chosen(row, choice, choice.rail, choice.insert, thread)


def practice(value: Fraction, panel: Panel) -> Known:
    """A length that nobody wrote, from common practice."""
    return Known(exactly(value, "length"), Evidence(PRACTICE, PRACTICE), panel.place)


def slack_of(panel: Panel) -> Fraction:
    """How far a panel may be shifted in its slot to either side (mm)."""
    assert panel.width is not None
    if panel.part is None or panel.part.face.width is None:
        return DEDUCTION / 2
    return max((panel.width.value - panel.part.face.width.value) / 2, Fraction(0))


def holes_of(panel: Panel, start: Fraction, thread: Thread) -> Holed | None:
    """The holes of a panel that begins at ``start`` (mm); None where nothing can be said about them."""
    part = panel.part
    if panel.width is None or part is None:
        return None
    slack = slack_of(panel)
    if part.face.holes:
        face = part.face.width.value if part.face.width is not None else panel.width.value - DEDUCTION
        left = start + (panel.width.value - face) / 2
        holes = tuple(HoleAt(left + hole.x.value, hole.width.value, hole.length.value) for hole in part.face.holes)
        values = tuple(hole.x for hole in part.face.holes)
        return Holed(panel, holes, slack, False, values)
    if panel.width.value <= NARROW * HP:
        return None
    assumed = HoleAt(start + FIRST_HOLE, thread.clearance[0], thread.clearance[0])
    return Holed(panel, (assumed,), slack, True, (practice(FIRST_HOLE, panel),))


def screwed_panels(row: Row) -> Iterator[Panel]:
    """The panels of a row that are screwed on and whose place is known."""
    for panel in row.panels:
        if panel.part is not None and panel.start is not None and panel.width is not None and not panel.part.spoiled:
            yield panel


def on_the_rails(row: Row) -> Iterator[Panel]:
    """The screwed panels that stand wholly on the rails; of the others it is said that they do not."""
    for panel in screwed_panels(row):
        assert panel.start is not None and panel.width is not None
        if panel.start >= 0 and (row.length is None or panel.start + panel.width.value <= row.length.value):
            yield panel


def unknown_of(look: Look, chosen: Chosen) -> Iterator[NotKnown]:
    """What has to be known about rail and insert before anything can be said about screws."""
    rail, insert, row = chosen.rail, chosen.insert, chosen.row
    if rail is None or rail.spoiled or row.spoiled:
        return
    if insert is None:
        how = f"name the strip or nut ('rails {rail.name} with …')"
        yield NotKnown(look.rack.full(row.name), "what the screws go into", how, chosen.choice.place)
        return
    if not rail.takes:
        yield NotKnown(rail.name, "which inserts it takes", "look at its profile, or try one ('takes …')", rail.place)
    if rail.recess is None:
        how = "measure with a depth rod from the front of the rail (the seat) to the front of the insert"
        yield NotKnown(rail.name, "recess", how, rail.place)
    if rail.room is None:
        how = "measure with a depth rod from the seat to the first thing a screw can hit"
        yield NotKnown(rail.name, "room for a screw", how, rail.place)
    if not insert.form and not insert.spoiled:
        yield NotKnown(insert.name, "whether it is a strip or a nut", "say 'strip M3' or 'nut M3'", insert.place)


def fitting_inserts(chosen: Chosen, form: str, thread: str) -> list[str]:
    """Names of other inserts that the rail takes, of a form and thread if those are given."""
    return [
        insert.name
        for insert in chosen.choice.takes
        if insert is not chosen.insert and (not form or insert.form == form) and (not thread or insert.thread == thread)
    ]


def errors_in(findings: list[Finding]) -> bool:
    """Whether a choice does not do."""
    return any(finding.severity == ERROR for finding in findings)

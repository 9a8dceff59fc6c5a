"""Screws of panels: in: a row on chosen rails, out: for each panel which screws to use, and what becomes of its own."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import NOTE, Finding
from rackspec.language.quantity import plain_number
from rackspec.model.rack import Panel
from rackspec.physics.bolting import engagement
from rackspec.physics.threads import Screw, read_screw
from rackspec.rules.choices import Chosen
from rackspec.rules.nut_counts import is_assumed, screwed_on
from rackspec.rules.registry import Look
from rackspec.rules.screws import Stack, pieces_of, screw_of, serving, stack_of
from rackspec.rules.screws import serves as length_serves
from rackspec.rules.sold_here import chosen_length

SCREW_RULES = ("thread-mismatch", "screw-too-short", "screw-bottoms")
NOT_KNOWN = "not known"
NONE = "none"


class ScrewLine(NamedTuple):
    """The screws of one panel: how many (``assumed``: nobody wrote it), which came with it (empty: not known, ``none``
    with a blank), which to use, why not those, and by what the length was chosen (empty: it was not)."""

    panel: Panel
    pieces: int
    assumed: bool
    supplied: str
    use: str
    why: str
    length_by: str = ""

    @property
    def wasted(self) -> bool:
        """Whether it came with screws that are not the ones to use."""
        return self.supplied not in ("", NONE) and self.use != self.supplied


def screw_lines(chosen: Chosen, faults: Sequence[Finding], look: Look) -> list[ScrewLine]:
    """The screws of each panel that is screwed on, in order of position; ``faults`` are those of the choice."""
    lines = []
    for panel in sorted(screwed_on(chosen.row), key=lambda panel: (panel.start or 0, panel.since)):
        part = panel.part
        supplied = part.screws.designation if part is not None and part.screws is not None else ""
        use, why, by = to_use(chosen, panel, faults, look)
        came = supplied if part is not None else NONE
        lines.append(ScrewLine(panel, pieces_of(panel), is_assumed(panel), came, use, why, by))
    return lines


def to_use(chosen: Chosen, panel: Panel, faults: Sequence[Finding], look: Look) -> tuple[str, str, str]:
    """The screw to use for a panel, why this one, and by what its length was chosen (empty: it was not)."""
    best, by = best_screw(chosen, panel, look)
    if panel.part is None:
        row = read_screw(chosen.row.screws)
        stack = stack_behind(chosen, panel, look)
        if row is not None and stack is not None and serves(chosen, stack, row):
            return chosen.row.screws, "screws of the row", ""
        return best, "a blank comes without", by
    own = screw_of(chosen, panel)
    if own is None:
        return best, "nothing is known to come with it", by
    designation = f"{own.thread}x{plain_number(own.length)}"
    if chosen.thread is None:
        return designation, "not held against a thread: the insert is not known", ""
    names = {look.rack.full(panel.name)} | ({look.rack.full(chosen.row.name)} if chosen.row.screws else set())
    wrong = [fault for fault in faults if fault.rule in SCREW_RULES and fault.names[:1] and fault.names[0] in names]
    if any(fault.severity != NOTE for fault in wrong):
        came = panel.part.screws.designation if panel.part.screws is not None else ""
        supplied, stack = read_screw(came), stack_behind(chosen, panel, look)
        if chosen.row.screws and supplied is not None and stack is not None and serves(chosen, stack, supplied):
            return came, f"those that came with it do; {wrong[0].message}", ""
        return best, wrong[0].message, by
    small = [
        fault for fault in faults if fault.rule == "screw-misses-hole" and look.rack.full(panel.name) in fault.names
    ]
    if small:
        return designation, small[0].message, ""
    why = "screws of the row" if chosen.row.screws else "those that came with it"
    if stack_of(look, chosen, panel) is None:
        why += "; whether they hold shows when the recess is measured"
    elif wrong:
        why += f"; doubtful: {wrong[0].message}"
    return designation, why, ""


def stack_behind(chosen: Chosen, panel: Panel, look: Look) -> Stack | None:
    """What the screws of a panel go through and into; a blank is taken to be of metal."""
    if panel.part is not None:
        return stack_of(look, chosen, panel)
    rail, insert = chosen.rail, chosen.insert
    if rail is None or insert is None or rail.recess is None:
        return None
    thickness = look.house.limit("assume thickness").as_known(chosen.choice.place)
    tapped = insert.tapped or look.house.limit("assume thread").as_known(insert.place)
    return Stack(thickness, rail.recess, tapped, rail.room, look.house.limit("turns good").value)


def held_turns(chosen: Chosen, stack: Stack, screw: Screw) -> Fraction | None:
    """Turns of thread (at the ends that hurt) that a screw finds; None where its thread is another."""
    if chosen.thread is None or screw.thread != chosen.thread.name:
        return None
    return engagement(screw.length, stack.panel.high, stack.recess.high, stack.tapped.low, chosen.thread).turns


def serves(chosen: Chosen, stack: Stack, screw: Screw) -> bool:
    """Whether a screw has the right thread and finds enough of it without bottoming, at the worst."""
    if chosen.thread is None or screw.thread != chosen.thread.name:
        return False
    return length_serves(chosen.thread, stack, screw.length)


def best_screw(chosen: Chosen, panel: Panel, look: Look) -> tuple[str, str]:
    """A screw that is there and serves, else the shortest one that is sold here, else the shortest standard one, and
    which of these it is; its thread alone if no length can be said."""
    thread = chosen.thread
    if thread is None:
        return NOT_KNOWN, ""
    stack = stack_behind(chosen, panel, look)
    if stack is None:
        return f"{thread.name}, length not known", ""

    def does(screw: Screw) -> bool:
        return serves(chosen, stack, screw)

    # with no room written nobody knows where a longer one would hit
    best, by = chosen_length(look, thread.name, serving(chosen, stack), does, stack.room is not None)
    return best or f"no standard {thread.name}", by


def why_left(line: ScrewLine, chosen: Chosen, look: Look) -> str:
    """Why the screws that came with a panel stay in the jar: their thread, their length, or others are used."""
    own = read_screw(line.supplied)
    if own is None or chosen.thread is None or chosen.insert is None:
        return "not known where they would go"
    if own.thread != chosen.thread.name:
        return f"wrong thread: '{chosen.insert.name}' is {chosen.thread.name}"
    stack = stack_behind(chosen, line.panel, look)
    if stack is None:
        return "whether they would hold is not known"
    if own.length - stack.panel.low > (stack.room.low if stack.room is not None else own.length):
        return "too long there: they bottom"
    if not serves(chosen, stack, own):
        return "too short there"
    return f"they would do, but {line.use} are written for the row" if chosen.row.screws else f"{line.use} are used"

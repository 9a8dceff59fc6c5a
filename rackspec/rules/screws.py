"""Screws of a row: in: a row on chosen rails, out: findings about threads and lengths, and which screws would do."""

from collections.abc import Iterator
from fractions import Fraction
from math import floor
from typing import NamedTuple

from rackspec.findings import ERROR, WARNING, Finding
from rackspec.language.quantity import plain_number
from rackspec.model.known import Known, rests_on
from rackspec.model.rack import Panel
from rackspec.physics.bolting import TURNS_GOOD, engagement, shortest_that_holds
from rackspec.physics.threads import Screw, Thread, read_screw
from rackspec.rules.choices import Chosen, fitting_inserts, screwed_panels
from rackspec.rules.holes import mm
from rackspec.rules.registry import Look, milder, steps_for

USUAL_SCREWS = 4
"""Screws of a panel whose number nobody stated (common practice, no source; 2 up to 4 HP by IEC 60297-3-101)."""


class Stack(NamedTuple):
    """What a screw goes through and into (mm): panel, recess, thread; and the room behind, if it is known.

    ``good``: the turns of thread that a screw should find.
    """

    panel: Known
    recess: Known
    tapped: Known
    room: Known | None
    good: Fraction = TURNS_GOOD


def thickness_of(look: Look, panel: Panel) -> Known:
    """The thickness of a panel (mm), from the house's band where nobody wrote it."""
    stated = panel.part.face.thickness if panel.part is not None else None
    return stated or look.house.limit("assume thickness").as_known(panel.place)


def stack_of(look: Look, chosen: Chosen, panel: Panel) -> Stack | None:
    """The stack of a panel on the chosen rails; None where the recess is not known, for which there is no band."""
    rail, insert = chosen.rail, chosen.insert
    if rail is None or insert is None or rail.recess is None or panel.part is None:
        return None
    tapped = insert.tapped or look.house.limit("assume thread").as_known(insert.place)
    good = look.house.limit("turns good").value
    return Stack(thickness_of(look, panel), rail.recess, tapped, rail.room, good)


def pieces_of(panel: Panel) -> int:
    """How many screws a panel is put on with."""
    part = panel.part
    if part is not None and part.screws is not None:
        return part.screws.pieces
    if part is not None and part.face.holes:
        return len(part.face.holes)
    return USUAL_SCREWS


def screw_of(chosen: Chosen, panel: Panel) -> Screw | None:
    """The screw a panel is put on with: the row's, else the one that came with it if its thread fits."""
    if chosen.row.screws:
        return read_screw(chosen.row.screws)
    if panel.part is None or panel.part.screws is None:
        return None
    return read_screw(panel.part.screws.designation)


def serving(chosen: Chosen, stack: Stack) -> int | None:
    """The shortest standard screw that serves for a stack, at the ends that hurt."""
    assert chosen.thread is not None
    room = stack.room.low if stack.room is not None else None
    panel, recess, tapped = stack.panel, stack.recess.high, stack.tapped.low
    return shortest_that_holds(panel.high, recess, tapped, room, chosen.thread, stack.good, panel.low)


def to_use(chosen: Chosen, stack: Stack | None, pieces: int) -> str:
    """What to use instead, as a remedy."""
    assert chosen.thread is not None
    if stack is None:
        return f"use {pieces} {chosen.thread.name} screws; which length shows when the recess of the rail is measured"
    length = serving(chosen, stack)
    if length is None:
        nuts = fitting_inserts(chosen, "", "")
        other = f"; '{nuts[0]}' may do better" if nuts else ""
        return f"no standard {chosen.thread.name} screw serves here{other}"
    return f"use {pieces} {chosen.thread.name}x{length}, the shortest standard length that serves"


def serves(thread: Thread, stack: Stack, length: Fraction) -> bool:
    """Whether a screw finds the turns it should, or all the thread there is, and does not bottom, at the worst."""
    held = engagement(length, stack.panel.high, stack.recess.high, stack.tapped.low, thread)
    if held.turns < min(stack.good, stack.tapped.low / thread.pitch):
        return False
    return stack.room is None or length - stack.panel.low <= stack.room.low


def for_row(look: Look, chosen: Chosen) -> str:
    """What to use instead in a whole row, as a remedy: all its screws, of one length if one serves all its panels."""
    thread, panels = chosen.thread, list(screwed_panels(chosen.row))
    assert thread is not None
    pieces = sum(pieces_of(panel) for panel in panels)
    stacks = [stack for panel in panels if (stack := stack_of(look, chosen, panel)) is not None]
    if not stacks:
        return to_use(chosen, None, pieces)
    for length in thread.lengths():
        if all(serves(thread, stack, Fraction(length)) for stack in stacks):
            return f"use {pieces} {thread.name}x{length}, the shortest standard length that serves all of its panels"
    each = [serving(chosen, stack) for stack in stacks]
    found = sorted({length for length in each if length is not None})
    if not found:
        return to_use(chosen, stacks[0], pieces)
    if len(found) < 2 or None in each:
        alone = "; for some of its panels no standard screw serves"
    else:
        alone = "; no one length serves all of its panels, so leave 'screws' out of the row"
    lengths_told = f"{thread.name}x{found[0]}" + (f" to {thread.name}x{found[-1]}" if len(found) > 1 else "")
    return f"use {pieces} {thread.name} screws, {lengths_told} by the panel{alone}"


def wrong_threads(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """Screws whose thread is not that of the insert."""
    thread, insert = chosen.thread, chosen.insert
    if thread is None or insert is None:
        return
    told: set[str] = set()
    for panel in screwed_panels(chosen.row):
        assert panel.part is not None
        screw = screw_of(chosen, panel)
        if screw is None or screw.thread == thread.name:
            continue
        of_row = bool(chosen.row.screws)
        if of_row and "row" in told:
            continue
        told.add("row" if of_row else panel.name)
        designation = f"{screw.thread}x{plain_number(screw.length)}"
        supplied = panel.part.screws
        whose = f"the screws of row '{chosen.row.name}'" if of_row else f"the screws supplied with '{panel.name}'"
        place, label = (supplied.place, "the screws") if supplied is not None else (chosen.choice.place, "the rails")
        if of_row and chosen.row.screws_place is not None:
            place, label = chosen.row.screws_place, "the row's screws"
        yield Finding(
            "thread-mismatch",
            WARNING,
            f"{whose} are {designation}; '{insert.name}' has {thread.name}",
            panel.place if not of_row else chosen.row.place,
            others=(place.labelled(label), insert.place.labelled(f"thread {thread.name}")),
            sum=f"{designation} is not {thread.name}",
            remedy=for_row(look, chosen) if of_row else to_use(chosen, stack_of(look, chosen, panel), pieces_of(panel)),
            rests_on="threads as written",
            names=(look.rack.full(panel.name if not of_row else chosen.row.name),),
        )


def lengths(look: Look, chosen: Chosen) -> Iterator[Finding]:
    """Screws that find too little thread, or that hit what is behind."""
    for panel in screwed_panels(chosen.row):
        screw = screw_of(chosen, panel)
        if screw is None or (chosen.thread is not None and screw.thread != chosen.thread.name):
            continue
        stack = stack_of(look, chosen, panel) if chosen.thread is not None else None
        if stack is not None:
            yield from _too_short(look, chosen, panel, screw, stack)
        yield from _bottoms(look, chosen, panel, screw, stack)


def _too_short(look: Look, chosen: Chosen, panel: Panel, screw: Screw, stack: Stack) -> Iterator[Finding]:
    thread = chosen.thread
    assert thread is not None and chosen.insert is not None and chosen.rail is not None
    least, good = look.house.limit("turns least").value, look.house.limit("turns good").value
    nominal = engagement(screw.length, stack.panel.value, stack.recess.value, stack.tapped.value, thread)
    worst = engagement(screw.length, stack.panel.high, stack.recess.high, stack.tapped.low, thread)
    reachable = min(good, stack.tapped.low / thread.pitch)  # a thin nut has no more turns than it has
    if worst.turns >= reachable:
        return
    is_nominal = nominal.turns < min(good, stack.tapped.value / thread.pitch)
    held = nominal if is_nominal else worst
    limit, severity = (least, ERROR) if held.turns < least else (good, WARNING)
    inputs = [stack.panel, stack.recess, stack.tapped]
    designation = f"{screw.thread}x{plain_number(screw.length)}"
    panel_text, recess_text = (
        (mm(stack.panel.value), mm(stack.recess.value)) if is_nominal else (mm(stack.panel.high), mm(stack.recess.high))
    )
    at_worst = "" if is_nominal else " at the worst"
    best = engagement(screw.length, stack.panel.low, stack.recess.low, stack.tapped.high, thread)
    guessed = any(value.is_guess for value in inputs) and best.turns >= min(limit, stack.tapped.high / thread.pitch)
    yield Finding(
        "screw-too-short",
        milder(severity, steps_for(is_nominal, guessed)),
        f"{designation} finds {turns(held.turns)} of thread behind '{panel.name}'{at_worst}; "
        f"{'less than 1 holds nothing' if limit == least else f'{plain_number(good)} are wanted'}",
        panel.place,
        others=(
            stack.recess.place.labelled(f"recess of '{chosen.rail.name}'"),
            *(
                (panel.part.screws.place.labelled("the screws that came with it"),)
                if panel.part and panel.part.screws
                else ()
            ),
        ),
        sum=(
            f"{mm(screw.length)} - {panel_text} panel - {recess_text} recess = "
            f"{mm(held.reach - (stack.recess.value if is_nominal else stack.recess.high))}, "
            f"of it in thread {mm(held.engaged)}, at {mm(thread.pitch)} a turn {turns(held.turns)}"
        ),
        remedy=to_use(chosen, stack, pieces_of(panel)),
        rests_on=rests_on("lengths", inputs) + f"; turns wanted from {look.house.limit('turns good').origin}",
        names=(look.rack.full(panel.name), look.rack.full(chosen.row.name)),
    )


def turns(value: Fraction) -> str:
    """A number of turns, cut to a tenth."""
    text = plain_number(value, 1).lstrip("~")
    return f"{text} turn" if text == "1" else f"{text} turns"


def _bottoms(look: Look, chosen: Chosen, panel: Panel, screw: Screw, stack: Stack | None) -> Iterator[Finding]:
    """A screw that is too long; what it goes into need not be known (``stack`` is None then)."""
    if chosen.rail is None or chosen.rail.room is None:
        return
    room, thickness = chosen.rail.room, thickness_of(look, panel)
    nominal, worst = screw.length - thickness.value, screw.length - thickness.low
    if worst <= room.low:
        return
    is_nominal = nominal > room.value
    reach, have = (nominal, room.value) if is_nominal else (worst, room.low)
    designation = f"{screw.thread}x{plain_number(screw.length)}"
    at_worst = "" if is_nominal else " at the worst"
    inputs = [thickness, room]
    if stack is not None:
        remedy = to_use(chosen, stack, pieces_of(panel))
    else:
        most = floor(thickness.low + room.low)
        remedy = f"use screws of {most}mm or less; whether those hold shows when rail and insert are known better"
    yield Finding(
        "screw-bottoms",
        milder(ERROR, steps_for(is_nominal, any(value.is_guess for value in inputs))),
        (
            f"{designation} reaches {mm(reach)} behind the seat at '{panel.name}'{at_worst}, "
            f"{mm(reach - have)} more than there is"
        ),
        panel.place,
        others=(room.place.labelled(f"room in '{chosen.rail.name}'"),),
        sum=(
            f"{mm(screw.length)} - {mm(screw.length - reach)} panel = {mm(reach)}, "
            f"and {mm(reach)} - {mm(have)} = {mm(reach - have)}"
        ),
        remedy=remedy,
        rests_on=rests_on("lengths", inputs),
        names=(look.rack.full(panel.name), look.rack.full(chosen.row.name)),
    )

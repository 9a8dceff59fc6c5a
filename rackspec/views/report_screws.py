"""Rails, inserts and screws: in: a rack, out: which rails do and why others do not, screws panel by panel, what to buy."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR, NOTE, Finding
from rackspec.language.quantity import plain_number, show_hp
from rackspec.model.rack import Panel, Row
from rackspec.physics.bolting import shortest_that_holds
from rackspec.rules.chosen import faults_of
from rackspec.rules.choices import Chosen, chosen_of
from rackspec.rules.registry import Look
from rackspec.rules.screws import pieces_of, screw_of, serving, stack_of
from rackspec.views.document import Block, Heading, Paragraph, Table
from rackspec.views.reported import DRILL_CAUTION, Reported, called, stage_word
from rackspec.views.text import counted

SCREW_RULES = ("thread-mismatch", "screw-too-short", "screw-bottoms")


class Verdict(NamedTuple):
    """A choice of rails: its parts, its faults, and the first reason why it does not do (empty: it does)."""

    chosen: Chosen
    faults: tuple[Finding, ...]
    reason: str


class ScrewLine(NamedTuple):
    """The screws of one panel: how many, which came with it (empty: not known), which to use, why not those."""

    panel: Panel
    pieces: int
    assumed: bool
    supplied: str
    use: str
    why: str


def verdicts(look: Look, row: Row) -> list[Verdict]:
    """All choices of rails of a row, in the order they are written."""
    found = []
    for choice in row.choices:
        chosen = chosen_of(row, choice)
        faults = faults_of(look, chosen)
        errors = [fault for fault in faults if fault.severity == ERROR]
        rail = chosen.rail
        reason = errors[0].message if errors else ""
        if rail is None:
            reason = "nobody has written these rails down"
        elif row.length is not None and rail.length is not None and rail.length.value < row.length.value:
            reason = f"{show_hp(rail.length.value)} long, and the row needs {show_hp(row.length.value)}"
        found.append(Verdict(chosen, tuple(faults), reason))
    return found


def the_one(found: list[Verdict]) -> Verdict | None:
    """The first choice that does, else the first one."""
    return next((verdict for verdict in found if not verdict.reason), found[0] if found else None)


def rails_and_screws(reported: Reported) -> Iterator[Block]:
    """Rails, screws panel by panel, and what to buy for all of it."""
    look = reported.look
    if not any(row.choices for row in look.rack.rows):
        return
    yield Heading(3, "Rails, inserts and screws")
    yield Paragraph(DRILL_CAUTION)
    chosen: list[Chosen] = []
    for row in look.rack.rows:
        found = verdicts(look, row)
        best = the_one(found)
        if best is None:
            yield Paragraph(f"Row {row.name}: no rails are named, so nothing can be said about its screws.")
            continue
        chosen.append(best.chosen)
        yield Heading(4, f"Screws of row {row.name}")
        yield from rails(found, best)
        yield from screws(best, look)
    yield Heading(4, "What to buy for it")
    yield Paragraph(
        "Two rails and two strips a row; screws and nuts for as many panels as are there at once at some stage. Nuts that "
        "enter at the end of a rail go in before the second side piece: thread in those of all stages."
    )
    lines = tuple(buying(reported, chosen))
    if lines:
        yield Table(("part", "needed", "most at", "come along", "there (have)", "to buy"), lines, frozenset((1, 3, 4, 5)))


def rails(found: list[Verdict], best: Verdict) -> Iterator[Block]:
    """Which rails do, and why the others do not."""
    rows = []
    for number, verdict in enumerate(found):
        rail, insert = verdict.chosen.rail, verdict.chosen.insert
        name = rail.name if rail is not None else "not known"
        length = show_hp(rail.length.value) if rail is not None and rail.length is not None else "not known"
        into = f"{insert.name} ({insert.thread or 'thread not known'})" if insert is not None else "not said"
        mild = [fault for fault in verdict.faults if fault.severity != ERROR]
        text = "taken: the first that does" if verdict is best else "would do too"
        if verdict is best and verdict.reason:
            text = f"none does; this one: {verdict.reason}"
        elif verdict.reason:
            text = verdict.reason
        elif insert is None:
            text += ", as far as is known"
        elif mild:
            text += f"; {counted(len(mild), 'milder finding')}, first: {mild[0].message}"
        rows.append(("or" if number else "", name, length, into, text))
    yield Table(("", "rails", "long", "screws go into", "does it do?"), tuple(rows))


def screws(verdict: Verdict, look: Look) -> Iterator[Block]:
    """The screws of a row, panel by panel."""
    lines = screw_lines(verdict.chosen, verdict.faults, look)
    if not lines:
        return
    rows = tuple(
        (
            called(line.panel),
            f"{line.pieces}{' assumed' if line.assumed else ''}",
            line.supplied or "not known",
            line.use,
            line.why,
        )
        for line in lines
    )
    yield Table(("panel", "pieces", "came with it", "use", "why"), rows)


def screw_lines(chosen: Chosen, faults: tuple[Finding, ...], look: Look) -> list[ScrewLine]:
    """The screws of each panel that is screwed on, in order of position."""
    lines = []
    for panel in sorted(chosen.row.panels, key=lambda panel: (panel.start or 0, panel.since)):
        if not panel.takes_room or (panel.part is None and panel.what != "blank"):
            continue
        part = panel.part
        assumed = part is None or (part.screws is None and not part.face.holes)
        supplied = part.screws.designation if part is not None and part.screws is not None else ""
        best = best_screw(chosen, panel, look)
        if part is None:
            supplied = "none"
        own = screw_of(chosen, panel) if part is not None else None
        names = {look.rack.full(panel.name or panel.row)}
        if chosen.row.screws:
            names.add(look.rack.full(chosen.row.name))
        wrong = [
            fault
            for fault in faults
            if fault.rule in SCREW_RULES and fault.names[:1] and fault.names[0] in names and part is not None
        ]
        if own is not None and chosen.thread is None:
            use, why = f"{own.thread}x{plain_number(own.length)}", "not held against a thread: the insert is not known"
        elif own is not None and not any(fault.severity != NOTE for fault in wrong):
            use = f"{own.thread}x{plain_number(own.length)}"
            why = "screws of the row" if chosen.row.screws else "those that came with it"
            if stack_of(look, chosen, panel) is None:
                why += "; whether they hold shows when the recess is measured"
            elif wrong:
                why += f"; doubtful: {wrong[0].message}"
        elif own is not None:
            use, why = best, wrong[0].message
        else:
            use, why = best, "nothing is known to come with it" if part is not None else "a blank comes without"
        lines.append(ScrewLine(panel, pieces_of(panel), assumed, supplied, use, why))
    return lines


def best_screw(chosen: Chosen, panel: Panel, look: Look) -> str:
    """The shortest standard screw that serves for a panel, or its thread if no length can be said."""
    thread, rail, insert = chosen.thread, chosen.rail, chosen.insert
    if thread is None:
        return "not known"
    if panel.part is not None:
        stack = stack_of(look, chosen, panel)
        length = serving(chosen, stack) if stack is not None else None
    elif rail is not None and insert is not None and rail.recess is not None:
        tapped = insert.tapped or look.house.limit("assume thread").as_known(insert.place)
        thickness = look.house.limit("assume thickness").quantity.high
        room = rail.room.low if rail.room is not None else None
        length = shortest_that_holds(thickness, rail.recess.high, tapped.low, room, thread)
    else:
        length = None
    if length is None:
        return f"{thread.name}, length not known" if rail is None or rail.recess is None else f"no standard {thread.name}"
    return f"{thread.name}x{length}"


def buying(reported: Reported, choices: list[Chosen]) -> Iterator[tuple[str, ...]]:
    """What is needed, what comes along, what is there, what is to be bought: rails, strips, nuts, screws."""
    look = reported.look
    have: dict[str, int] = {}
    for item in look.rack.have:
        have[item.part] = have.get(item.part, 0) + item.pieces
    pairs: dict[str, int] = {}
    nuts: dict[str, dict[int, int]] = {}
    needed: dict[str, dict[int, int]] = {}
    along: dict[str, dict[int, int]] = {}
    for chosen in choices:
        insert = chosen.insert
        if chosen.rail is not None:
            pairs[chosen.rail.name] = pairs.get(chosen.rail.name, 0) + 2
        if insert is not None and insert.form == "strip":
            pairs[insert.name] = pairs.get(insert.name, 0) + 2
        lines = screw_lines(chosen, tuple(faults_of(look, chosen)), look)
        for stage in reported.stages:
            for line in lines:
                if line.panel.since <= stage and line.supplied:
                    add(along, line.supplied, stage, line.pieces)
                if line.panel.there(stage):
                    add(needed, line.use, stage, line.pieces)
                    if insert is not None and insert.form == "nut":
                        add(nuts, insert.name, stage, line.pieces)
    for name, pieces in pairs.items():
        there = have.get(name, 0)
        yield (name, str(pieces), "the start", "", str(there), str(max(0, pieces - there)))
    for wanted, coming in ((nuts, {}), (needed, along)):
        for name in sorted(wanted):
            yield buying_line(reported, name, wanted[name], coming.get(name, {}), have.get(name, 0))


def add(table: dict[str, dict[int, int]], name: str, stage: int, pieces: int) -> None:
    """Add pieces of a part at a stage."""
    table.setdefault(name, {})
    table[name][stage] = table[name].get(stage, 0) + pieces


def buying_line(
    reported: Reported, name: str, needed: dict[int, int], along: dict[int, int], there: int
) -> tuple[str, ...]:
    """A part at the stage at which most of it has to be bought."""
    short = {stage: pieces - along.get(stage, 0) - there for stage, pieces in needed.items()}
    stage = max(sorted(short), key=lambda number: (short[number], needed[number]))
    coming = str(along.get(stage, 0)) if along else ""
    return (name, str(needed[stage]), stage_word(reported, stage), coming, str(there), str(max(0, short[stage])))


__all__ = ["Fraction", "rails_and_screws"]

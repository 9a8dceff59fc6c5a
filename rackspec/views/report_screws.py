"""Rails, inserts and screws: in: a rack, out: which rails do, why others do not, screws by panel, what to buy."""

from collections.abc import Iterator
from typing import NamedTuple

from rackspec.findings import ERROR, NOTE, Finding
from rackspec.language.quantity import plain_number, show_hp
from rackspec.model.rack import Panel, Row
from rackspec.physics.bolting import engagement
from rackspec.physics.threads import read_screw
from rackspec.rules.choices import Chosen, chosen_of
from rackspec.rules.chosen import faults_of
from rackspec.rules.registry import Look
from rackspec.rules.screws import Stack, pieces_of, screw_of, serving, stack_of
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
        yield from rails(found, best, look)
        yield from screws(best, look)
    yield Heading(4, "What to buy for it")
    yield Paragraph(
        "Two rails and two strips a row; screws and nuts for as many panels as are there at once at some "
        "stage. Nuts that enter at the end of a rail go in before the second side piece: thread in those of "
        "all stages."
    )
    lines = tuple(buying(reported, chosen))
    if lines:
        yield Table(
            ("part", "needed", "most at", "come along", "there (have)", "to buy"), lines, frozenset((1, 3, 4, 5))
        )


def rails(found: list[Verdict], best: Verdict, look: Look) -> Iterator[Block]:
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
            text += f"; {counted(len(mild), 'milder finding')}, first: {mild[0].message}{unused(verdict, look)}"
        rows.append(("or" if number else "", name, length, into, text))
    yield Table(("", "rails", "long", "screws go into", "does it do?"), tuple(rows))


def unused(verdict: Verdict, look: Look) -> str:
    """How many of the supplied screws cannot be used on a choice of rails."""
    if verdict.chosen.row.screws:
        return ""  # the row has screws of its own
    lines = [
        line
        for line in screw_lines(verdict.chosen, verdict.faults, look)
        if line.supplied not in ("", "none") and line.use != line.supplied
    ]
    if not lines:
        return ""
    instead = ", ".join(sorted({line.use for line in lines}))
    return f"; {sum(line.pieces for line in lines)} of the supplied screws cannot be used there, {instead} instead"


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
        part = panel.part
        if not panel.takes_room or (part is None and panel.what != "blank"):
            continue
        assumed = part is None or (part.screws is None and not part.face.holes)
        supplied = part.screws.designation if part is not None and part.screws is not None else ""
        use, why = to_use(chosen, panel, faults, look)
        lines.append(ScrewLine(panel, pieces_of(panel), assumed, supplied if part is not None else "none", use, why))
    return lines


def to_use(chosen: Chosen, panel: Panel, faults: tuple[Finding, ...], look: Look) -> tuple[str, str]:
    """The screw to use for a panel, and why this one."""
    best = best_screw(chosen, panel, look)
    if panel.part is None:
        return best, "a blank comes without"
    own = screw_of(chosen, panel)
    if own is None:
        return best, "nothing is known to come with it"
    designation = f"{own.thread}x{plain_number(own.length)}"
    if chosen.thread is None:
        return designation, "not held against a thread: the insert is not known"
    names = {look.rack.full(panel.name)} | ({look.rack.full(chosen.row.name)} if chosen.row.screws else set())
    wrong = [fault for fault in faults if fault.rule in SCREW_RULES and fault.names[:1] and fault.names[0] in names]
    if any(fault.severity != NOTE for fault in wrong):
        return best, wrong[0].message
    small = [
        fault for fault in faults if fault.rule == "screw-misses-hole" and look.rack.full(panel.name) in fault.names
    ]
    if small:
        return designation, small[0].message
    why = "screws of the row" if chosen.row.screws else "those that came with it"
    if stack_of(look, chosen, panel) is None:
        why += "; whether they hold shows when the recess is measured"
    elif wrong:
        why += f"; doubtful: {wrong[0].message}"
    return designation, why


def blank_stack(chosen: Chosen, look: Look) -> Stack | None:
    """The stack of a blank, which is taken to be of metal."""
    rail, insert = chosen.rail, chosen.insert
    if rail is None or insert is None or rail.recess is None:
        return None
    thickness = look.house.limit("assume thickness").as_known(chosen.choice.place)
    tapped = insert.tapped or look.house.limit("assume thread").as_known(insert.place)
    return Stack(thickness, rail.recess, tapped, rail.room, look.house.limit("turns good").value)


def best_screw(chosen: Chosen, panel: Panel, look: Look) -> str:
    """A screw that is there and serves, else the shortest standard one; its thread alone if no length can be said."""
    thread = chosen.thread
    if thread is None:
        return "not known"
    stack = stack_of(look, chosen, panel) if panel.part is not None else blank_stack(chosen, look)
    if stack is None:
        return f"{thread.name}, length not known"
    wanted = min(look.house.limit("turns good").value, stack.tapped.low / thread.pitch)
    there = []
    for have in look.rack.have:
        screw = read_screw(have.part)
        if screw is None or screw.thread != thread.name or have.pieces < 1:
            continue
        held = engagement(screw.length, stack.panel.high, stack.recess.high, stack.tapped.low, thread)
        if held.turns >= wanted and (stack.room is None or screw.length - stack.panel.low <= stack.room.low):
            there.append((screw.length, have.part))
    if there:
        return min(there)[1]
    length = serving(chosen, stack)
    return f"{thread.name}x{length}" if length is not None else f"no standard {thread.name}"


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
            bought = buying_line(reported, name, wanted[name], coming.get(name, {}), have.get(name, 0))
            yield ("screws, thread not known", *bought[1:]) if name == "not known" else bought


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

"""Hardware of a rack: in: a look at it, out: everything it is bolted together with, and where each number comes from.

Rails, strips, nuts, screws for panels, screws and washers for the ends of the rails. A number is "at least" where
something is not known; nothing that is unknown is counted as zero in silence.
"""

from __future__ import annotations

from typing import NamedTuple

from rackspec.findings import ERROR, Finding
from rackspec.language.quantity import plain_number
from rackspec.model.rack import Row
from rackspec.model.seats import EndScrews
from rackspec.physics.end_screws import A_ROW, WASHER
from rackspec.rules.choices import Chosen
from rackspec.rules.chosen import chosen_one, faults_at_ends, faults_of
from rackspec.rules.end_joints import Joint, joint_of, to_take
from rackspec.rules.nut_counts import NutCount, nut_count
from rackspec.rules.panel_screws import NONE, NOT_KNOWN, ScrewLine, screw_lines, why_left
from rackspec.rules.registry import Look
from rackspec.rules.screws import USUAL_SCREWS
from rackspec.rules.stages import stage_numbers

RAIL, STRIP, NUT, PANEL_SCREW, END_SCREW, WASHER_RING = "rail", "strip", "nut", "panel screw", "end screw", "washer"
KINDS = (RAIL, STRIP, NUT, PANEL_SCREW, END_SCREW, WASHER_RING)
"""Kinds of hardware in the order of a list."""
PAIR = 2
"""Rails of a row, and strips with them."""
A_SIDE = 2
"""End screws of a row at one side."""
NO_STANDARD = "no standard"
"""What a size of end screws begins with where none serves."""


class EndPlan(NamedTuple):
    """The end screws of a row: ``screws`` by designation with their numbers and the side each is for (empty: both), the
    washer under each (empty: none) and which it is, whether somebody wrote them, what is wrong with those (empty:
    nothing), and by what the length of each was chosen (empty: it was not)."""

    screws: tuple[tuple[str, int, str], ...]
    washer: str
    washer_is: str
    written: bool
    wrong: str
    length_by: tuple[str, ...] = ()

    @property
    def washer_text(self) -> str:
        """``M4 washer, 0.8mm thick``; nothing without one."""
        return f"{self.washer}, {self.washer_is}" if self.washer_is else self.washer

    def text(self) -> str:
        """``4 M4x20``, or by side."""
        return ", ".join(f"{pieces} {name}" + (f" ({side} side)" if side else "") for name, pieces, side in self.screws)


class RowHardware(NamedTuple):
    """A row on the rails it is built with: what keeps it from holding, its screws by panel, its nuts, its ends."""

    row: Row
    chosen: Chosen
    faults: tuple[Finding, ...]
    lines: tuple[ScrewLine, ...]
    nuts: NutCount | None
    joint: Joint | None
    ends: EndPlan

    @property
    def unknown(self) -> bool:
        """Whether panels are left out of which nothing is known."""
        held = {id(line.panel) for line in self.lines}
        return self.row.spoiled or any(panel.takes_room and id(panel) not in held for panel in self.row.panels)


class Use(NamedTuple):
    """So many of a part for one purpose in one row, at each stage; ``source`` says where the number comes from."""

    part: str
    kind: str
    row: str
    pieces: tuple[int, ...]
    source: str
    at_least: bool


class Item(NamedTuple):
    """A line of the list: a part, the ``stage`` at which most of it has to be bought, and what is needed then, comes
    along with panels, is there, and is to be bought."""

    part: str
    kinds: tuple[str, ...]
    stage: int
    needed: int
    along: int | None
    there: int
    to_buy: int
    at_least: bool
    uses: tuple[Use, ...]


class Supplied(NamedTuple):
    """Screws that come with panels, over all stages: how many, how many of them are used at most at once, and why the
    others are left over, by row."""

    part: str
    pieces: int
    used: int
    why: tuple[tuple[str, str, int], ...]

    @property
    def left(self) -> int:
        """How many are left over."""
        return self.pieces - self.used


class Hardware(NamedTuple):
    """All of it. ``bare``: rows that name no rails, of which nothing is in the list."""

    rows: tuple[RowHardware, ...]
    bare: tuple[Row, ...]
    items: tuple[Item, ...]
    supplied: tuple[Supplied, ...]


def hardware(look: Look) -> Hardware:
    """The hardware of a rack, each row on the first choice of rails that does."""
    rows = []
    for row in look.rack.rows:
        chosen = chosen_one(look, row) if row.choices else None
        if chosen is not None:
            rows.append(row_hardware(look, chosen))
    uses = [use for row in rows for use in uses_of(look, row)]
    bare = tuple(row for row in look.rack.rows if not row.choices)
    return Hardware(tuple(rows), bare, tuple(items_of(look, uses, rows)), tuple(supplied_of(look, uses, rows)))


def row_hardware(look: Look, chosen: Chosen) -> RowHardware:
    """A row on given rails."""
    faults = tuple(faults_of(look, chosen))
    joint = joint_of(look, chosen)
    lines = tuple(screw_lines(chosen, faults, look))
    return RowHardware(chosen.row, chosen, faults, lines, nut_count(look, chosen), joint, end_plan(look, chosen, joint))


def end_plan(look: Look, chosen: Chosen, joint: Joint | None) -> EndPlan:
    """The end screws of a row: those that are written, else, or where these are wrong, the ones that serve."""
    written = chosen.row.standing.end_screws
    wrong = ""
    if written is not None:
        found = faults_at_ends(look, chosen)
        wrong = next((finding.message for finding in found if finding.severity == ERROR), "")
        if not wrong:
            thread = written.designation.partition("x")[0]
            return EndPlan(((written.designation, A_ROW, ""),), *washer_under(written, thread), True, "")
    if joint is None:
        return EndPlan((("end screws, thread not known", A_ROW, ""),), "", "", written is not None, wrong)
    thread = joint.end_hole.thread
    screws, by = lengths_of(look, joint)
    if written is not None:
        return EndPlan(screws, *washer_under(written, thread), True, wrong, by)
    return EndPlan(screws, f"{thread} washer", "ISO 7089" if thread in WASHER else "", False, wrong, by)


def washer_under(written: EndScrews, thread: str) -> tuple[str, str]:
    """The washer under end screws that are written, and how thick it is; nothing where nobody wrote one."""
    if written.washer is None:
        return "", ""
    return f"{thread} washer", f"{plain_number(written.washer.value)}mm thick"


def lengths_of(look: Look, joint: Joint) -> tuple[tuple[tuple[str, int, str], ...], tuple[str, ...]]:
    """The end screws that serve, one length for both sides if there is one, else one for each; and by what each length
    was chosen."""
    thread = joint.end_hole.thread
    if joint.thread is None or not joint.whole:
        return ((f"{thread}, length not known", A_ROW, ""),), ("",)
    screw, by = to_take(look, joint)
    if screw:
        return ((screw, A_ROW, ""),), (by,)
    apart = [(wall.side, *to_take(look, joint, (wall,))) for wall in joint.walls]
    if len(apart) > 1 and all(one for _, one, _ in apart):
        return tuple((one, A_SIDE, side) for side, one, _ in apart), tuple(by for _, _, by in apart)
    return ((f"{NO_STANDARD} {thread}", A_ROW, ""),), ("",)


def uses_of(look: Look, here: RowHardware) -> list[Use]:
    """What a row needs, purpose by purpose."""
    stages, name, found = stage_numbers(look.rack), here.row.name, []
    rail, insert = here.chosen.rail, here.chosen.insert

    def always(part: str, kind: str, pieces: int, source: str) -> None:
        found.append(Use(part, kind, name, (pieces,) * len(stages), source, False))

    if rail is not None:
        always(rail.name, RAIL, PAIR, "2 a row")
    if insert is not None and insert.form == "strip":
        always(insert.name, STRIP, PAIR, "1 a rail")
    if here.nuts is not None:
        found.append(nut_use(here.nuts, name))
    for designation in dict.fromkeys(line.use for line in here.lines):
        lines = [line for line in here.lines if line.use == designation]
        pieces = tuple(sum(line.pieces for line in lines if line.panel.there(stage)) for stage in stages)
        part = "panel screws, thread not known" if designation == NOT_KNOWN else designation
        assumed = sum(line.assumed for line in lines)
        source = f"{len(lines)} panels" if len(lines) > 1 else "1 panel"
        source += f", {assumed} of them assumed to have {USUAL_SCREWS} screws" if assumed else ""
        source += lengths_by(lines)
        found.append(Use(part, PANEL_SCREW, name, pieces, source, here.unknown))
    for number, (designation, pieces_, side) in enumerate(here.ends.screws):
        where = "2 rails x 2 ends" if pieces_ == A_ROW else f"2 rails, {side} side"
        by = here.ends.length_by[number] if here.ends.length_by else ""
        always(designation, END_SCREW, pieces_, f"{where}, {by}" if by else where)
    if here.ends.washer:
        which = f", {here.ends.washer_is}" if here.ends.washer_is else ""
        always(here.ends.washer, WASHER_RING, A_ROW, f"1 an end screw{which}")
    return found


def lengths_by(lines: list[ScrewLine]) -> str:
    """By what the length of some screws was chosen, as the end of a sentence; nothing where it was not."""
    chosen = [line for line in lines if line.length_by]
    reasons = dict.fromkeys(line.length_by for line in chosen)
    if not reasons:
        return ""
    for_some = f" for {len(chosen)} of them" if len(chosen) < len(lines) else ""
    return f",{for_some} {' or '.join(reasons)}"


def nut_use(count: NutCount, row: str) -> Use:
    """The nuts of a row: all of them from the start, where they cannot be added later."""
    if count.insert.enters == "front":
        pieces = tuple(pair.both for pair in count.placed)
        return Use(count.insert.name, NUT, row, pieces, "1 a screw", count.unknown)
    most = count.most
    source = f"{most.bottom} in the bottom rail + {most.top} in the top rail"
    later = count.later.both
    source += f", {later} of them for later" if later else ""
    return Use(count.insert.name, NUT, row, (most.both,) * len(count.placed), source, count.unknown)


def have_of(look: Look) -> dict[str, int]:
    """What is there already, by part."""
    have: dict[str, int] = {}
    for item in look.rack.have:
        have[item.part] = have.get(item.part, 0) + item.pieces
    return have


def along_at(rows: list[RowHardware], part: str, stage: int) -> int:
    """How many screws of a designation come with the panels that are there at a stage."""
    return sum(line.pieces for row in rows for line in row.lines if line.supplied == part and line.panel.there(stage))


def items_of(look: Look, uses: list[Use], rows: list[RowHardware]) -> list[Item]:
    """The list, by kind, then by name; what is there counts once for all uses of a part."""
    have, stages, found = have_of(look), stage_numbers(look.rack), []
    for part in dict.fromkeys(use.part for use in uses):
        here = tuple(use for use in uses if use.part == part)
        kinds = tuple(kind for kind in KINDS if any(use.kind == kind for use in here))
        needed = [sum(use.pieces[stage] for use in here) for stage in stages]
        along = [along_at(rows, part, stage) for stage in stages]
        there = have.get(part, 0)
        short = [need - coming - there for need, coming in zip(needed, along, strict=True)]
        stage = max(stages, key=lambda number: (short[number], needed[number], -number))
        found.append(
            Item(
                part,
                kinds,
                stage,
                needed[stage],
                along[stage] if any(along) else None,
                there,
                max(0, short[stage]),
                any(use.at_least for use in here),
                here,
            )
        )
    return sorted(found, key=lambda item: (KINDS.index(item.kinds[0]), item.part))


def supplied_of(look: Look, uses: list[Use], rows: list[RowHardware]) -> list[Supplied]:
    """What becomes of the screws that come with panels, by designation."""
    stages, found = stage_numbers(look.rack), []
    pieces: dict[str, int] = {}
    why: dict[str, dict[tuple[str, str], int]] = {}
    for row in rows:
        for line in row.lines:
            if line.supplied in ("", NONE):
                continue
            pieces[line.supplied] = pieces.get(line.supplied, 0) + line.pieces
            if line.wasted:
                reasons = why.setdefault(line.supplied, {})
                reason = (row.row.name, why_left(line, row.chosen, look))
                reasons[reason] = reasons.get(reason, 0) + line.pieces
    for part in sorted(pieces):
        most = max(sum(use.pieces[stage] for use in uses if use.part == part) for stage in stages)
        reasons = why.get(part, {})
        told = tuple((row, reason, many) for (row, reason), many in reasons.items())
        found.append(Supplied(part, pieces[part], min(most, pieces[part]), told))
    return found

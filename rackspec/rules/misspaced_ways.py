"""Ways out for rails too near or too far: in: a row, out: which holes to mend, or which rail to set where.

Where it is known where holes were to be, they go back to their marks. Else the rails are set so that their thread lines
are 122.5 mm apart, at as few ends as that takes: who only does what is missing uses up all play that there is.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations
from typing import NamedTuple

from rackspec.model.case import SIDES
from rackspec.model.rack import Row
from rackspec.model.seats import BOTTOM, LINES, TOP
from rackspec.rules.causes import Off, offs_of
from rackspec.rules.choices import Chosen
from rackspec.rules.drill_points import Stand, stand_of
from rackspec.rules.off_mark import only_spacing
from rackspec.rules.off_mark_ways import back_to_marks, rounded
from rackspec.rules.rails_apart import Spacing
from rackspec.rules.registry import Look
from rackspec.rules.standing_panels import PLAY, verdict
from rackspec.rules.thread_lines import APART, DRILLED, Apart, apart_of, exactly
from rackspec.rules.ways_out import CARE, SLOT_MOST, diameter_of, mm, slot, up_to_tenths


class Setting(NamedTuple):
    """How much further apart the rails are to be set at their left and right ends (mm), and whether that makes it the
    distance of the standard."""

    left: Fraction
    right: Fraction
    standard: bool


def ways_apart(look: Look, row: Row, spacing: Spacing) -> str:
    """What to do about rails that cannot be pushed far enough."""
    stand = stand_of(look, spacing.chosen)
    if spacing.lines.origin == DRILLED and stand is not None:
        wrong = holes_to_mend(look, stand, spacing)
        ways = list(back_to_marks(look, stand, wrong, holes_named(wrong))) if wrong else []
        if ways:
            return "; or ".join(ways)
    return set_rail(look, row, spacing, line_to_move(look, spacing.chosen))


def holes_named(wrong: Sequence[Off]) -> str:
    """``the right top hole``, or ``the left top and right top holes``."""
    names = [f"{off.hole.side} {off.hole.line}" for off in wrong]
    if len(names) == 1:
        return f"the {names[0]} hole"
    return f"the {', '.join(names[:-1])} and {names[-1]} holes"


def holes_to_mend(look: Look, stand: Stand, spacing: Spacing) -> list[Off]:
    """The holes that have to be at their marks for panels to go on, as few as will do; none where marks do not help."""
    offs, give = offs_of(stand), look.house.limit("give drilling").value
    for some in _tries(offs, give):
        ends = [_end(offs, some, side, stand.end_hole.inward.value, spacing) for side in SIDES]
        if serves(look, spacing, *ends):
            return list(some)
    return []


def _tries(offs: list[Off], give: Fraction) -> Iterator[tuple[Off, ...]]:
    """Which holes could be mended: if only their distances are wrong, as few as will do, else all that are off."""
    movable = [off for off in offs if off.squared]
    if not only_spacing(offs, give):
        yield tuple(off for off in offs if off.squared > give**2)
    for number in range(1, len(movable) + 1):
        yield from sorted(combinations(movable, number), key=lambda some: -sum(off.squared for off in some))


def _end(offs: Sequence[Off], mended: Sequence[Off], side: str, inward: Fraction, spacing: Spacing) -> Apart:
    """How far the thread lines are apart at a side, with some holes at their marks."""
    points = {off.hole.line: off.mark if off in mended else off.point for off in offs if off.hole.side == side}
    if len(points) < len(LINES):
        return exactly(spacing.counted.left if side == SIDES[0] else spacing.counted.right)
    return apart_of(points[BOTTOM], points[TOP], inward)


def serves(look: Look, spacing: Spacing, left: Apart, right: Apart) -> bool:
    """Whether panels go on without pushing if the thread lines are so far apart."""
    give = look.house.limit("give rails").value
    return verdict(list(spacing.panels), left, right, spacing.counted_slack, give).step <= PLAY


def line_to_move(look: Look, chosen: Chosen) -> str:
    """Which rail is the one to move: the one that is further off its marks, else the upper one."""
    stand = stand_of(look, chosen)
    if stand is None:
        return TOP
    off = {line: [abs(one.y) for one in offs_of(stand) if one.hole.line == line] for line in LINES}
    return BOTTOM if sum(off[BOTTOM], Fraction(0)) > sum(off[TOP], Fraction(0)) else TOP


def setting_of(look: Look, spacing: Spacing) -> Setting:
    """How the rails are to be set: to the standard at the ends that are off, if panels then go on, else as far as the
    panels ask."""
    ends = [spacing.counted.left, spacing.counted.right]
    for limit in (look.house.limit("give drilling").value, Fraction(0)):
        moves = [rounded(APART - end, 1) if abs(APART - end) > limit else Fraction(0) for end in ends]
        if serves(look, spacing, *(exactly(end + move) for end, move in zip(ends, moves, strict=True))):
            return Setting(moves[0], moves[1], True)
    push = spacing.counted.push
    assert push is not None
    left, right = (up_to_tenths(abs(end)) * (1 if end > 0 else -1) for end in push)
    return Setting(left, right, False)


def set_rail(look: Look, row: Row, spacing: Spacing, line: str) -> str:
    """Where to set a rail, and how its end holes come to be there."""
    setting = setting_of(look, spacing)
    rail, sign = ("upper", 1) if line == TOP else ("lower", -1)
    ends = [(name, by) for name, by in zip(SIDES, setting[:2], strict=True) if by]
    if setting.left == setting.right:
        start = f"set the {rail} rail {_moved(setting.left * sign)}"
        ends = [("", setting.left)]
    else:
        start = f"set the {rail} rail " + " and ".join(f"{_moved(by * sign)} at the {name}" for name, by in ends)
    if setting.standard:
        start += f", so that the thread lines are {mm(APART)} apart"
    if not row.standing.drilled:
        return f"{start}, or measure 'apart' again, from thread to thread"
    diameter = diameter_of(spacing.chosen)
    if diameter is None:
        return f"{start}: file its end holes to slots, or plug them and drill again ({CARE})"
    ways = [_end_hole(look, diameter, name, abs(by)) for name, by in ends]
    return f"{start}: {', and '.join(ways)} ({CARE})"


def _end_hole(look: Look, diameter: Fraction, name: str, off: Fraction) -> str:
    """How the end holes of a rail come to be ``off`` mm elsewhere: at one end (``name``), or at both (empty)."""
    if off >= look.house.limit("holes good").value * diameter:
        return f"drill a new {name} one" if name else "drill new ones"
    if name:
        plug = f"plug its {name} end hole with a glued dowel, let it dry, and drill again"
        way = f"file its {name} end hole to a slot of {slot(diameter, off)}, with a washer under its head, or "
    else:
        plug = "plug the holes with glued dowels, let them dry, and drill again"
        way = f"file its end holes to slots of {slot(diameter, off)}, with a washer under each head, or "
    return (way if off <= SLOT_MOST else "") + plug


def _moved(value: Fraction) -> str:
    return f"{mm(abs(value))} {'higher' if value > 0 else 'lower'}"

"""Drilled holes against their marks: in: a rack, out: findings on holes that are off, their cause, the ways out."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from rackspec.findings import ERROR, WARNING, Finding
from rackspec.language.quantity import plain_number
from rackspec.language.units import HP
from rackspec.model.case import LEFT, RIGHT, SIDES
from rackspec.model.known import Known, rests_on
from rackspec.model.rack import Row
from rackspec.model.seats import BOTTOM, LINES, TOP
from rackspec.physics.drilling import Sitting, spot
from rackspec.physics.interval import root
from rackspec.physics.margin import Margin
from rackspec.rules.causes import (
    Cause,
    Off,
    best_cause,
    common_shift,
    is_one_shift,
    offs_of,
    show_off,
)
from rackspec.rules.drill_points import Stand, stands
from rackspec.rules.marks import show_point, tenths
from rackspec.rules.misread import numbers_exchanged
from rackspec.rules.off_mark_ways import LEAVE_MOST, moved_alike, shift_in_words, ways_out_of
from rackspec.rules.rails_apart import is_told, spacing_of
from rackspec.rules.registry import Look, milder, steps_for
from rackspec.rules.standing_panels import NEVER, length_of
from rackspec.rules.ways_out import mm


def off_holes(look: Look) -> Iterator[Finding | Margin]:
    """Drilled holes of rows that are further off than drilling may be; one finding for a row and cause."""
    give = look.house.limit("give drilling").value
    standing = {id(stand.row): stand for stand in stands(look)}
    for row in look.rack.rows:
        if not row.standing.drilled or row.spoiled:
            continue
        stand = standing.get(id(row))
        if stand is None:
            yield from unlike_sides(look, row)
            continue
        offs = offs_of(stand)
        if is_told(look, spacing_of(look, row)):
            if only_spacing(offs, give):
                continue  # told by rails-misspaced
            offs = without_spacing(stand, offs)
        real = {(off.hole.side, off.hole.line) for off in offs_of(stand) if off.squared > give**2}
        wrong = [off for off in offs if off.squared > give**2 and (off.hole.side, off.hole.line) in real]
        if not wrong:
            worst = max(offs_of(stand), key=lambda off: off.squared)
            if worst.squared > give**2:
                continue  # along the panel: told by rails-misspaced
            what = f"{look.rack.full(row.name)}: holes off their marks"
            values = [worst.hole.back, worst.hole.up, *stand.values]
            yield Margin(what, root(worst.squared).high, give, "mm", rests_on("points", values))
            continue
        yield from _by_cause(look, stand, offs, wrong, give)


def only_spacing(offs: Sequence[Off], give: Fraction) -> bool:
    """Whether nothing is wrong but the distance of the holes: at most one of each side is off, and only along it."""
    wrong = [off for off in offs if off.squared > give**2]
    sides = [off.hole.side for off in wrong]
    return len(sides) == len(set(sides)) and all(abs(off.z) <= give for off in wrong)


def without_spacing(stand: Stand, offs: list[Off]) -> list[Off]:
    """What is left to say of holes whose distance is told already: both of a side shifted to what they have in common.

    Along the panel they count as off by what they are off on average.
    """
    found = []
    for off in offs:
        beside = [other for other in offs if other.hole.side == off.hole.side]
        along = sum((other.y for other in beside), Fraction(0)) / len(beside) if len(beside) == 2 else off.y
        change = along - off.y
        sitting = Sitting(Fraction(0), Fraction(0), stand.sitting.lean)
        moved = spot(sitting, change, Fraction(0))
        point = (off.point[0] + moved.back.middle, off.point[1] + moved.up.middle)
        found.append(off._replace(point=point, y=along))
    return found


def _by_cause(look: Look, stand: Stand, offs: list[Off], wrong: list[Off], give: Fraction) -> Iterator[Finding]:
    """One finding where one slip explains all, else one for each side."""
    sides = [side for side in SIDES if any(off.hole.side == side for off in wrong)]
    there = [off for off in offs if off.hole.side in sides]
    if len(wrong) == 1 and len(there) > 1:
        yield _finding(look, stand, offs, wrong, numbers_exchanged(wrong, give))
        return
    cause = best_cause(look, stand, there, give)
    if cause is not None or len(sides) == 1 or moved_alike(there, give):
        yield _finding(look, stand, offs, there if cause is not None else wrong, cause)
        return
    if twisted(offs, give) and not all(moved_alike([o for o in there if o.hole.side == s], give) for s in sides):
        yield _finding(look, stand, offs, wrong, None)
        return
    for side in sides:
        here = [off for off in there if off.hole.side == side]
        bad = [off for off in wrong if off.hole.side == side]
        alone = best_cause(look, stand, here, give) if len(bad) > 1 or len(here) == 1 else None
        yield _finding(look, stand, offs, here if alone is not None else bad, alone)


def which(offs: Sequence[Off], row: Row) -> tuple[str, str]:
    """Which holes they are, in words, and the verb that goes with them."""
    sides = list(dict.fromkeys(off.hole.side for off in offs))
    if len(offs) == 1:
        return f"the {offs[0].hole.side} {offs[0].hole.line} hole of row '{row.name}'", "is"
    where = f"in the {sides[0]} side" if len(sides) == 1 else "in both sides"
    if len(offs) == len(SIDES) * len(LINES):
        return f"all {len(offs)} holes of row '{row.name}'", "are"
    many = "both holes" if len(offs) == 2 else f"{len(offs)} holes"
    if len(sides) == 2 and len({off.hole.line for off in offs}) == 1:
        return f"both {offs[0].hole.line} holes of row '{row.name}'", "are"
    return f"{many} of row '{row.name}' {where}", "are"


def _finding(look: Look, stand: Stand, offs: list[Off], told: list[Off], cause: Cause | None) -> Finding:
    """The finding about some holes of a row."""
    row, give = stand.row, look.house.limit("give drilling")
    there = {(off.hole.side, off.hole.line): off for off in offs_of(stand)}
    if len(told) == 1:
        told = [there[off.hole.side, off.hole.line] for off in told]
    spacing = spacing_of(look, row)
    misspaced = cause is not None and cause.miswritten and spacing is not None and spacing.nominal.step == NEVER
    far = misspaced or (no_row(list(there.values())) and not (cause is not None and cause.enough))
    worst = max((there[off.hole.side, off.hole.line] for off in told), key=lambda off: off.squared)
    hole, verb = which(told, row)
    values: list[Known] = [value for off in told for value in (off.hole.back, off.hole.up)] + [*stand.values]
    one_shift = moved_alike(told, give.value) and (cause is None or is_one_shift(cause, told))
    shift = common_shift(told)
    away = plain_number(root(worst.squared).low, 1) + "mm"
    amount = shift_in_words(shift, give.value if shift[0] ** 2 + shift[1] ** 2 > give.value**2 else None)
    amount = amount if one_shift else ""
    place = "its mark" if len(told) == 1 else "their marks"
    how_far = f"{amount} than {place}" if amount else f"up to {away} off {place}" if len(told) > 1 else f"{away} off"
    why = f", as if {cause.text}" if cause is not None else ""
    if cause is None and len({off.hole.side for off in told}) > 1 and twisted(offs, give.value):
        why = f": the sides lean differently, by {tenths(abs(twist_of(offs)))}, and twist the panels"
    return Finding(
        "hole-off-mark",
        milder(
            ERROR if far else WARNING,
            steps_for(cause is None or not cause.harmless, any(value.is_guess for value in values)),
        ),
        f"{hole} {verb} {how_far}{why}{': rails cannot be held so' if far else ''}",
        worst.hole.place,
        others=(
            *(
                off.hole.place.labelled(f"{off.hole.side} {off.hole.line}")
                for off in told
                if off.hole is not worst.hole
            ),
            *([row.standing.seat.place.labelled("the seat they were marked from")] if row.standing.seat else []),
        ),
        sum=f"{show_off(worst)}: {shift_in_words(worst.moved, give.value)}"
        + ("" if far else _sides_apart(stand, offs, give.value)),
        remedy="; or ".join(ways_out_of(look, stand, offs, told, cause)),
        rests_on=f"{rests_on('points', values)}; how far a hole may be off, {mm(give.value)}, from {give.origin}",
        names=(look.rack.full(row.name),),
    )


def no_row(offs: Sequence[Off]) -> bool:
    """Whether holes are so far from being one row that neither rails nor panels could be held by them: two of them are
    off by more than a row may sit elsewhere, and not off alike."""
    return any(
        (one.moved[0] - other.moved[0]) ** 2 + (one.moved[1] - other.moved[1]) ** 2 > LEAVE_MOST**2
        for one in offs
        for other in offs
    )


def twist_of(offs: Sequence[Off]) -> Fraction:
    """How much further the left side leans back than the right one, over the height between its holes (mm)."""
    by = {(off.hole.side, off.hole.line): off for off in offs}
    if len(by) < len(SIDES) * len(LINES):
        return Fraction(0)
    return (by[LEFT, TOP].z - by[LEFT, BOTTOM].z) - (by[RIGHT, TOP].z - by[RIGHT, BOTTOM].z)


def twisted(offs: Sequence[Off], give: Fraction) -> bool:
    """Whether the sides lean differently by more than two good marks may differ."""
    return abs(twist_of(offs)) > 2 * give


def _sides_apart(stand: Stand, offs: Sequence[Off], give: Fraction) -> str:
    """How a row stands whose sides differ: twisted, or with rails that are not level; empty where they agree.

    Two marks that are both within ``give`` may differ by twice that, and two differences by four times.
    """
    by = {(off.hole.side, off.hole.line): off for off in offs}
    if len(by) < len(SIDES) * len(LINES):
        return ""
    twist = twist_of(offs)
    slope = sum((by[LEFT, line].y - by[RIGHT, line].y for line in LINES), Fraction(0)) / len(LINES)
    text = ""
    widths = [panel.width.value for panel in stand.row.panels if panel.width is not None and panel.takes_room]
    length = length_of(stand.chosen)
    if abs(twist) > 2 * give:
        text += f"; the lean of the sides differs by {tenths(abs(twist))} over the height of a panel"
        if widths and length:
            share = abs(twist) * max(widths) / length
            text += f": the widest panel, {plain_number(max(widths) / HP, 1)}HP, is bent by {tenths(share)}"
    if abs(slope) > 2 * give:
        text += f"; the rails fall by {tenths(abs(slope))} towards the {'right' if slope > 0 else 'left'}"
    return text


def unlike_sides(look: Look, row: Row) -> Iterator[Finding]:
    """Holes of a row that are elsewhere in the left side than in the right, where no seat says which one is off."""
    give = look.house.limit("give drilling")
    for line in LINES:
        left, right = row.standing.hole(LEFT, line), row.standing.hole(RIGHT, line)
        if left is None or right is None:
            continue
        moved = (left.back.value - right.back.value, left.up.value - right.up.value)
        squared = moved[0] ** 2 + moved[1] ** 2
        if squared <= (2 * give.value) ** 2:
            continue
        values = [left.back, left.up, right.back, right.up]
        yield Finding(
            "hole-off-mark",
            milder(WARNING, steps_for(True, any(value.is_guess for value in values))),
            f"the {line} hole of row '{row.name}' is {shift_in_words(moved)} in the left side than in the right",
            left.place,
            others=(right.place.labelled("in the right side"),),
            sum=(
                f"{show_point((left.back.value, left.up.value))} and {show_point((right.back.value, right.up.value))}: "
                f"{plain_number(root(squared).low, 1)}mm; two good holes differ by {mm(2 * give.value)} at most"
            ),
            remedy=(
                "measure both again, from the lower front corner of each piece; then write 'seat' for the row, which "
                "says which one to mend"
            ),
            rests_on=f"{rests_on('points', values)}; how far a hole may be off from {give.origin}",
            names=(look.rack.full(row.name),),
        )
        return

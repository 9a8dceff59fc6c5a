"""Ways out for holes beside their marks: in: a row with holes as drilled, out: what can be done, least work first."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from rackspec.model.case import SIDES
from rackspec.model.known import Known
from rackspec.physics.drilling import Sitting, spot
from rackspec.physics.interval import root
from rackspec.physics.outlines import Point, between_squared
from rackspec.rules.causes import Cause, Off, common_shift, degrees
from rackspec.rules.drill_points import Stand, abandoned_points, hole_height
from rackspec.rules.marks import move_remedy, obstacles, show_point, tenths, write_seat
from rackspec.rules.rails_apart import spacing_of
from rackspec.rules.registry import Look
from rackspec.rules.standing_panels import NEVER
from rackspec.rules.ways_out import CARE, SLOT_MOST, diameter_of, mm, slot

LEAVE_MOST = Fraction(20)
"""mm that a row may sit elsewhere and still be left; beyond that it is another plan (common practice, no source)."""


MOST_PLACES = 6
"""Decimal places of a millimetre that a sum shows at most."""


def moved_alike(offs: Sequence[Off], give: Fraction, shift: Point | None = None) -> bool:
    """Whether all holes are off by the same, as a row that sits elsewhere: by ``shift``, else by what is common."""
    shift = common_shift(offs) if shift is None else shift
    return all((off.moved[0] - shift[0]) ** 2 + (off.moved[1] - shift[1]) ** 2 <= give**2 for off in offs)


def shift_in_words(shift: Point, limit: Fraction | None = None) -> str:
    """A difference (back, up): ``1.2mm further back and 0.3mm higher``; tenths of a millimetre.

    What is further than a ``limit`` (mm) has as many more places as it takes to show that it is.
    """
    places = 1
    if limit is not None and shift[0] ** 2 + shift[1] ** 2 > limit**2:
        while places < MOST_PLACES and sum(rounded(value, places) ** 2 for value in shift) <= limit**2:
            places += 1
    parts = []
    for value, more, less in ((shift[0], "further back", "further to the front"), (shift[1], "higher", "lower")):
        if rounded(value, places):
            parts.append(f"{mm(abs(rounded(value, places)))} {more if value > 0 else less}")
    return " and ".join(parts)


def rounded(value: Fraction, places: int) -> Fraction:
    """A length to so many decimal places."""
    return Fraction(round(value * 10**places), 10**places)


def ways_out_of(look: Look, stand: Stand, offs: list[Off], told: list[Off], cause: Cause | None) -> Iterator[str]:
    """What can be done, the least work first; three ways at most."""
    ways = list(_all_ways(look, stand, offs, told, cause))
    yield from ways[:3]


def _all_ways(look: Look, stand: Stand, offs: list[Off], told: list[Off], cause: Cause | None) -> Iterator[str]:
    if cause is not None and cause.remedy:
        yield cause.remedy
        if cause.enough:
            return
    if cause is not None and cause.harmless:
        yield "leave it: the room of the screws and the play of the inserts make up for it"
        return
    leave = leave_it(look, stand, offs, cause)
    if leave:
        yield leave
    wrong = [one for one in told if one.squared > look.house.limit("give drilling").value ** 2]
    yield from back_to_marks(look, stand, wrong)
    diameter = diameter_of(stand.chosen)
    if cause is not None and cause.miswritten:
        return
    if diameter is None or leave or all(off.squared >= well_clear(look, diameter) for off in wrong):
        return
    move = move_remedy(look, stand.row)
    if move:
        yield move


def well_clear(look: Look, diameter: Fraction) -> Fraction:
    """The square of how far two holes are apart between which nothing breaks out (mm²)."""
    return (look.house.limit("holes good").value * diameter) ** 2


def back_to_marks(look: Look, stand: Stand, wrong: Sequence[Off], named: str = "") -> Iterator[str]:
    """How holes come to be at their marks: slots, as far as these go, else plugged and drilled again.

    ``named``: what the holes are called, with their marks, where the finding has not said which they are.
    """
    diameter = diameter_of(stand.chosen)
    if diameter is None:
        yield f"measure again, back and up from the lower front corner; or drill again at the marks ({CARE})"
        return
    many = len(wrong) > 1
    marks = " and ".join(dict.fromkeys(show_point(one.mark) for one in wrong))
    off = root(max(one.squared for one in wrong)).high
    if off <= SLOT_MOST:
        holes = named or (f"the {len(wrong)} holes" if many else "the hole")
        slots = "slots" if many else "a slot"
        where = ("their marks" if many else "its mark") + (f" {marks}" if named else "")
        heads = "each head" if many else "its head"
        yield f"file {holes} to {slots} of {slot(diameter, off)} towards {where}, with a washer under {heads}"
    if is_taken(look, stand, wrong, diameter):
        return
    plug = plugged(look, wrong, diameter, named if off > SLOT_MOST else "")
    if plug:
        yield f"plug {plug} dry, and drill again at {marks} ({CARE})"
    else:
        yield f"drill {named + ' ' if named else ''}again at {marks} ({CARE})"


def is_taken(look: Look, stand: Stand, wrong: Sequence[Off], diameter: Fraction) -> bool:
    """Whether a hole that another row needs is so near to a mark that nothing can be drilled there."""
    least = (look.house.limit("holes least").value * diameter) ** 2
    return any(
        other.side == off.hole.side and between_squared(other.point, off.mark) < least
        for off in wrong
        for other in obstacles(look)
        if other.drilled and other.row not in ("", stand.row.name)
    )


def plugged(look: Look, wrong: Sequence[Off], diameter: Fraction, named: str) -> str:
    """What has to be plugged before holes can be drilled at their marks: they (``named``, or a pronoun), where they are
    near to these, and old holes that are; empty where nothing is."""
    least = (look.house.limit("holes least").value * diameter) ** 2
    old = {
        (off.hole.side, point)
        for off in wrong
        for point in abandoned_points(look.rack, off.hole.side)
        if between_squared(point, off.mark) < least
    }
    close = any(off.squared < well_clear(look, diameter) for off in wrong)
    what = [named or ("them" if len(wrong) > 1 else "it")] if close else []
    if old:
        what.append("the old hole beside" if len(old) == 1 else "the old holes beside")
    if not what:
        return ""
    one = len(what) == 1 and (len(wrong) == 1 if close else len(old) == 1)
    return f"{' and '.join(what)} with {'a glued dowel, let it' if one else 'glued dowels, let them'}"


def leave_it(look: Look, stand: Stand, offs: list[Off], cause: Cause | None) -> str:
    """The seat that the drilled holes give, where a row may stay there: all sides agree, and panels go on."""
    row, give = stand.row, look.house.limit("give drilling").value
    spacing = spacing_of(look, row)
    if row.standing.seat is None or (spacing is not None and spacing.nominal.step == NEVER):
        return ""
    shift = common_shift(offs)
    undrilled = [side for side in SIDES if not any(off.hole.side == side for off in offs)]
    more = f", and drill the {undrilled[0]} side by the marks that follow from it" if undrilled else ""
    if cause is not None and cause.lean is not None:
        return _with_lean(stand, offs, cause.lean, give, more)
    written = (as_written(row.standing.seat.back, shift[0]), as_written(row.standing.seat.up, shift[1]))
    if not moved_alike(offs, give, written) or shift[0] ** 2 + shift[1] ** 2 > LEAVE_MOST**2:
        return ""
    stays = f"leave it and write '{write_seat(row.standing.seat, *shift)}': the row sits {shift_in_words(shift)}"
    behind = common_z(offs)
    if abs(behind) >= Fraction(1, 20):
        room = "less" if behind > 0 else "more"
        stays += f", with {tenths(abs(behind))} {room} room behind it"
    return stays + more


def as_written(seat: Known, shift: Fraction) -> Fraction:
    """How far a seat is moved where the new one is written in tenths of a millimetre (mm)."""
    return Fraction(round((seat.value + shift) * 10), 10) - seat.value


def common_z(offs: Sequence[Off]) -> Fraction:
    """How much further behind its seat a row sits, on average (mm)."""
    return sum((off.z for off in offs), Fraction(0)) / len(offs)


def _with_lean(stand: Stand, offs: Sequence[Off], lean: Fraction, give: Fraction, more: str) -> str:
    """The seat of a row that leans differently, if all its holes agree on it."""
    at = Sitting(Fraction(0), Fraction(0), lean)
    seats: list[Point] = []
    for off in offs:
        where = spot(at, hole_height(off.hole.line, stand.end_hole.inward.value), stand.end_hole.behind.value)
        seats.append((off.point[0] - where.back.middle, off.point[1] - where.up.middle))
    middle = (sum(seat[0] for seat in seats) / len(seats), sum(seat[1] for seat in seats) / len(seats))
    if any((seat[0] - middle[0]) ** 2 + (seat[1] - middle[1]) ** 2 > give**2 for seat in seats):
        return ""
    return (
        f"leave it and write 'seat {show_point((Fraction(middle[0]), Fraction(middle[1])))} lean {degrees(lean)}'{more}"
    )

"""Room around the holes in the side pieces: in: a rack, out: findings on holes too near to others or to an edge."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR, WARNING, Finding, Place
from rackspec.language.quantity import plain_number
from rackspec.model.case import SIDES
from rackspec.model.known import Known, rests_on
from rackspec.physics.interval import root
from rackspec.physics.outlines import between_squared, is_inside, to_edge_squared
from rackspec.rules.drill_points import side_outline
from rackspec.rules.marks import (
    Mark,
    Obstacle,
    marks,
    move_remedy,
    obstacles,
    row_named,
    show_point,
)
from rackspec.rules.misread import misread
from rackspec.rules.registry import Look, milder, steps_for
from rackspec.rules.rows_collide import collides_with
from rackspec.rules.ways_out import CARE, SLOT_MOST, mm


class Near(NamedTuple):
    """A hole with too little room: the square of its distance (mm²; negative: outside), what it would need (mm), the
    severity, and the other hole (None: the edge of its piece)."""

    mark: Mark
    squared: Fraction
    needs: Fraction
    severity: str
    other: Obstacle | None

    def away(self) -> str:
        """How far away it is, in words."""
        return plain_number(root(max(self.squared, Fraction(0))).low, 2) + "mm"


def too_little(
    mark: Mark, squared: Fraction, least: Fraction, good: Fraction, guessed: bool, more: Fraction = Fraction(0)
) -> tuple[Fraction, str]:
    """What a hole would need (mm) and how serious it is that it has less; 0 where it has enough.

    ``more``: what the other hole may be off (mm), besides what this one may be.
    """
    for needs, severity in ((least, ERROR), (good, WARNING)):
        limit = needs * mark.diameter
        if squared < (limit + mark.spread + more) ** 2:
            nominal = squared < limit**2
            if severity == ERROR and not nominal and squared < (good * mark.diameter) ** 2:
                return good * mark.diameter, milder(WARNING, steps_for(True, guessed))
            return limit, milder(severity, steps_for(nominal, guessed))
    return Fraction(0), ""


def _worst_first(found: list[Near]) -> list[Near]:
    order = {ERROR: 0, WARNING: 1}
    return sorted(found, key=lambda near: (order.get(near.severity, 2), near.squared, near.mark.drilled))


def sides_of(worst: Near, found: list[Near]) -> str:
    """In which sides the same is wrong with the same hole: ``left`` or ``left and right``."""
    alike = [
        near.mark.side
        for near in found
        if (near.mark.line, near.squared, near.severity) == (worst.mark.line, worst.squared, worst.severity)
    ]
    return " and ".join(side for side in SIDES if side in alike)


def hole_of(worst: Near, found: list[Near]) -> tuple[str, str]:
    """Which hole it is, in words, and the verb that goes with it."""
    sides = sides_of(worst, found)
    many = "and" in sides
    plural, verb = ("s", "are") if many else ("", "is")
    done = "" if worst.mark.drilled else " to be drilled"
    return f"the {sides} {worst.mark.line} hole{plural} of row '{worst.mark.row}'", f"{verb}{done}"


def others_too(worst: Near, found: list[Near]) -> str:
    """How many other holes of the row have the same trouble."""
    holes = {(near.mark.side, near.mark.line) for near in found}
    alike = sides_of(worst, found).split(" and ")
    rest = len(holes - {(side, worst.mark.line) for side in alike})
    return f", and {rest} other{'s' if rest > 1 else ''} of its row {'are' if rest > 1 else 'is'} too near as well" * (
        rest > 0
    )


def is_misread(look: Look, mark: Mark) -> bool:
    """Whether a drilled hole is elsewhere than it is written: hole-off-mark says so, and nothing else of it counts."""
    return mark.drilled and (mark.side, mark.line) in misread(look, row_named(look, mark.row))


def crowded_holes(look: Look) -> Iterator[Finding]:
    """Holes that are too near to another hole; one finding for a row and what it meets."""
    least, good = look.house.limit("holes least"), look.house.limit("holes good")
    order = {row.name: number for number, row in enumerate(look.rack.rows)}
    groups: dict[tuple[str, str], list[Near]] = {}
    there: dict[str, list[Obstacle]] = {side: [] for side in SIDES}
    for obstacle in obstacles(look):
        there[obstacle.side].append(obstacle)
    for mark in marks(look):
        if is_misread(look, mark):
            continue
        for other in there[mark.side]:
            if other.row == mark.row or order.get(other.row, -1) > order[mark.row]:
                continue
            reach = max(least.value, good.value) * mark.diameter + mark.spread + other.spread
            if any(abs(one - two) >= reach for one, two in zip(mark.point, other.point, strict=True)):
                continue
            if other.row and collides_with(look, mark.row, other.row):
                continue  # told by rows-collide: one of them goes elsewhere
            squared = between_squared(mark.point, other.point)
            guessed = mark.is_guess or other.is_guess
            needs, severity = too_little(mark, squared, least.value, good.value, guessed, other.spread)
            if other.row and mark.drilled != other.drilled and squared <= look.house.limit("give drilling").value ** 2:
                continue  # it is that very hole, written under another row: hole-off-mark says so
            if mark.drilled and other.drilled:
                if squared >= (least.value * mark.diameter) ** 2:
                    continue  # both are there: only where they break into each other it matters
                severity = milder(WARNING, steps_for(True, guessed))
            if severity:
                groups.setdefault((mark.row, other.row), []).append(Near(mark, squared, needs, severity, other))
    for found in groups.values():
        yield _crowded(look, _worst_first(found))


def _crowded(look: Look, found: list[Near]) -> Finding:
    worst = found[0]
    mark, other = worst.mark, worst.other
    assert other is not None
    least, good = look.house.limit("holes least"), look.house.limit("holes good")
    hole, verb = hole_of(worst, found)
    point, there = mark.point, other.point
    what = other.said if other.row == "" else f"that of row '{other.row}'"
    start = f"{hole} {verb} {worst.away()} from {what}: {_limit(worst, least.value)}"
    if same_hole(look, worst):
        start = f"{hole} {verb} where an old hole is already, at {show_point(other.point)}"
    both = f"{show_point(point)} and {show_point(there)}"
    return Finding(
        "holes-too-close",
        worst.severity,
        start + others_too(worst, found),
        mark.place,
        others=tuple(_places(found, worst)),
        sum=f"{both} are {worst.away()} apart, from middle to middle; {_limits(mark, least.value, good.value)}",
        remedy=_crowded_remedy(look, worst),
        rests_on=_trust(
            "points", mark, f"holes least and good from {_origins(least.origin, good.origin)}", other.values
        ),
        names=tuple(dict.fromkeys((look.rack.full(mark.row), look.rack.full(other.row or mark.row)))),
    )


def same_hole(look: Look, near: Near) -> bool:
    """Whether an old hole is so near to a mark that it could be the one that is to be drilled there."""
    other, give = near.other, look.house.limit("give drilling").value
    return other is not None and other.row == "" and not near.mark.drilled and near.squared <= give**2


def _origins(one: str, other: str) -> str:
    return one if one == other else f"{one} and {other}"


def _trust(what: str, mark: Mark, limits: str, others: tuple[Known, ...] = ()) -> str:
    return f"{rests_on(what, [*mark.values, *others])}; holes of {mm(mark.diameter)} by ISO 273 (medium); {limits}"


def _limit(worst: Near, least: Fraction) -> str:
    """What the distance would have to be."""
    kind = "is the least" if worst.needs == least * worst.mark.diameter else "is what it should have"
    return f"{mm(worst.needs)} {kind}"


def _limits(mark: Mark, least: Fraction, good: Fraction) -> str:
    text = (
        f"{least} x {mm(mark.diameter)} = {mm(least * mark.diameter)} at least, "
        f"{good} x {mm(mark.diameter)} = {mm(good * mark.diameter)} better"
    )
    return text + (f", give or take {mm(mark.spread)}" if mark.spread else "")


def _places(found: list[Near], worst: Near) -> Iterator[Place]:
    """The other holes that are concerned, each place once."""
    told = {(worst.mark.place.source.name, worst.mark.place.start)}
    for near in found:
        places = [near.mark.place.labelled(f"{near.mark.side} {near.mark.line}")] if near.mark.drilled else []
        if near.other is not None:
            label = "the old hole" if near.other.row == "" else f"row '{near.other.row}'"
            places.insert(0, near.other.place.labelled(label))
        for place in places:
            if (place.source.name, place.start) not in told:
                told.add((place.source.name, place.start))
                yield place


def _crowded_remedy(look: Look, worst: Near) -> str:
    """The shortest way out: the same hole, another place for the row, or a plug."""
    mark, other = worst.mark, worst.other
    assert other is not None
    if mark.drilled and other.drilled:
        if worst.squared <= SLOT_MOST**2:
            return "put a washer under the head of the screw, as over a slot: the two holes are one"
        return f"plug both with glued dowels, let them dry, and drill the one that is needed again ({CARE})"
    ways = []
    if same_hole(look, worst):
        ways.append(
            f"use the old hole, if it is {mm(mark.diameter)} wide: write it as 'drilled {mark.side} {mark.line} "
            f"{show_point(other.point)}' instead of 'abandoned'"
        )
    move = move_remedy(look, row_named(look, mark.row))
    if move:
        ways.append(move)
    elif other.row:
        ways.append(move_remedy(look, row_named(look, other.row)) or f"give row '{mark.row}' another seat")
    if other.row == "":
        ways.append(f"plug the old hole with a glued dowel, let it dry, and drill again ({CARE})")
    return "; or ".join(ways)


def edge_holes(look: Look) -> Iterator[Finding]:
    """Holes that are too near to the edge of their side piece, or outside of it; one finding for a row."""
    least, good = look.house.limit("edge least"), look.house.limit("edge good")
    groups: dict[str, list[Near]] = {}
    for mark in marks(look):
        if is_misread(look, mark):
            continue
        outline = side_outline(look.rack, mark.side)
        piece = look.rack.case.side(mark.side) if look.rack.case is not None else None
        if len(outline) < 3 or piece is None or piece.spoiled:
            continue
        guessed = mark.is_guess or any(one.is_guess for corner in piece.corners for one in corner)
        squared = to_edge_squared(mark.point, outline)
        if not is_inside(mark.point, outline):
            nominal = squared > mark.spread**2
            near = Near(mark, -squared - 1, least.value * mark.diameter, milder(ERROR, int(guessed)), None)
            if nominal or not mark.spread:
                groups.setdefault(mark.row, []).append(near)
                continue
            squared = Fraction(0)
        needs, severity = too_little(mark, squared, least.value, good.value, guessed)
        if severity:
            groups.setdefault(mark.row, []).append(Near(mark, squared, needs, severity, None))
    for found in groups.values():
        yield _edge(look, _worst_first(found))


def _edge(look: Look, found: list[Near]) -> Finding:
    worst = found[0]
    mark = worst.mark
    assert look.rack.case is not None
    piece = look.rack.case.side(mark.side)
    assert piece is not None
    least, good = look.house.limit("edge least"), look.house.limit("edge good")
    hole, verb = hole_of(worst, found)
    outside = worst.squared < 0
    if outside:
        away = plain_number(root(-worst.squared - 1).low, 2) + "mm"
        plural = "pieces" if "and" in sides_of(worst, found) else "piece"
        message = f"{hole} {verb} outside of the side {plural}, {away} from the edge"
        sums = f"{show_point(mark.point)} is {away} beyond the nearest edge"
    else:
        message = f"{hole} {verb} {worst.away()} from the edge: {_limit(worst, least.value)}"
        sums = f"{show_point(mark.point)} is {worst.away()} from the nearest edge; " + _limits(
            mark, least.value, good.value
        )
    move = move_remedy(look, row_named(look, mark.row))
    measure = "measure it again, back and up from the lower front corner of the piece"
    if mark.drilled:
        remedy = measure if outside else "put a large washer under the head, and glue a strip of wood behind the edge"
        if move and not outside:
            remedy += f"; or {move}"
    else:
        corners = "measure the seat and the corners again, back and up from the lower front corner of the piece"
        remedy = move or ("give the row another seat, or cut the side piece larger" if not outside else corners)
    return Finding(
        "hole-near-edge",
        worst.severity,
        message + others_too(worst, found),
        mark.place,
        others=(piece.place.labelled("the side piece"), *_places(found, worst)),
        sum=sums,
        remedy=remedy,
        rests_on=_trust("points", mark, f"edge least and good from {_origins(least.origin, good.origin)}"),
        names=(look.rack.full(mark.row),),
    )

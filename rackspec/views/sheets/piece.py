"""A flat thing with places to drill, at 1:1: in: its outline and places, out: the marks of a region of it.

Labels are laid out anew in each region, so that none is cut by the edge of a sheet: beside their place, further away
with a leader where it is narrow, and as a mere number where nothing is free: a list beside the region explains it.
"""

from collections.abc import Iterator
from itertools import product
from math import atan2, cos, degrees, radians, sin
from typing import NamedTuple

from rackspec.views.sheets.drawing import (
    DRILL,
    END,
    HAIR,
    MARK,
    MIDDLE,
    NOTE,
    Box,
    Circle,
    Line,
    Mark,
    Point,
    Polyline,
    Text,
    cross,
    crosses,
    meets,
    segments,
)
from rackspec.views.sheets.lettering import LEADING, text_width

ARM = 3.0
"""mm of a target's cross to each side of its centre."""
CLEAR = 4.5
"""mm around a target's centre that nothing else is written into."""
LETTER = 2.5
"""mm; height of capitals of labels."""
GAP = 1.0
SHARES = (0.5, 0.35, 0.65, 0.2, 0.8)
"""Where along an edge its name may stand."""


class Target(NamedTuple):
    """A place to drill: its centre, the diameters it may get (one, unless it is not known), and what is said of it.

    ``old``: a hole that is there and must not be drilled again; it has no diameter. ``out``: where its label goes
    first, if not where those of the piece go.
    """

    at: Point
    diameters: tuple[float, ...]
    label: tuple[str, ...]
    old: bool = False
    out: int = 0


class Edge(NamedTuple):
    """A line to lay a sheet along, with its name, which is written on its outer side: (dx, dy) of length 1."""

    start: Point
    end: Point
    name: str
    outward: Point
    layer: str = MARK
    dashed: bool = False


class Piece(NamedTuple):
    """A flat thing. ``region`` is the part that is shown, ``out`` (1 or -1) where on the paper labels go first.

    ``hold``: why nothing may be drilled by it. ``notes``: what else is said of it. ``lies``: how it lies, for a map.
    """

    title: str
    name: str
    marks: tuple[Mark, ...]
    edges: tuple[Edge, ...]
    targets: tuple[Target, ...]
    region: Box
    out: int
    hold: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    lies: str = ""


def target_marks(target: Target) -> list[Mark]:
    """Cross and rings; an old hole is crossed out by hatching."""
    x, y = target.at
    if target.old:
        r = 2.5
        chords = ((-1.5, 2.0), (0.0, 2.5), (1.5, 2.0))  # 45 degrees, within a circle of 2.5 mm
        hatch: list[Mark] = [Circle(NOTE, target.at, r)]
        for off, half in chords:
            a, b = off * 0.7071, half * 0.7071
            hatch.append(Line(NOTE, (x + a - b, y - a - b), (x + a + b, y - a + b)))
        return hatch
    return [*cross(DRILL, target.at, ARM), *(Circle(DRILL, target.at, size / 2) for size in target.diameters)]


def around(target: Target) -> Box:
    """The room of a target."""
    (x, y), r = target.at, max([CLEAR, *(size / 2 + 0.5 for size in target.diameters)])
    return (x - r, y - r, x + r, y + r)


def lines_of(piece: Piece) -> list[Mark]:
    """Outline and edges as marks."""
    edges = [Line(edge.layer, edge.start, edge.end, HAIR, edge.dashed) for edge in piece.edges if edge.layer == MARK]
    return [*piece.marks, *edges]


def region_marks(
    piece: Piece, box: Box, taken: tuple[Box, ...] = ()
) -> tuple[tuple[Mark, ...], tuple[Box, ...], tuple[Target, ...]]:
    """What is seen of a piece in a box; where something is written or drilled; the places whose labels found no room.

    ``taken``: boxes to keep free.
    """
    drawn = [part for mark in lines_of(piece) for part in parts_in(box, mark)]
    here = [(number, target) for number, target in enumerate(piece.targets, 1) if inside(box, around(target))]
    marks: list[Mark] = list(drawn)
    for _, target in here:
        marks += target_marks(target)
    walls = [line for mark in drawn for line in segments(mark)]
    filled = [*taken, *(around(target) for target in piece.targets)]
    told: set[Edge] = set()
    for edge, share in product(piece.edges, SHARES):
        named = edge_name(edge, box, share)
        if named is not None and edge not in told and not any(meets(text_box(named), other) for other in filled):
            told.add(edge)
            marks.append(named)
            filled.append(text_box(named))
    untold: list[Target] = []
    for number, target in here:
        label, room = label_of(target, number, target.out or piece.out, box, filled, walls)
        marks += label
        if room is not None:
            filled.append(room)
        else:
            untold.append(target)
    return tuple(marks), tuple(filled), tuple(untold)


def parts_in(box: Box, mark: Mark) -> Iterator[Mark]:
    """The straight lines of a mark as far as they are in a box; all of it as it is where it does not reach beyond.

    What reads a file may not know that a window cuts off what is beyond it.
    """
    lines = segments(mark)
    if all(box[0] <= x <= box[2] and box[1] <= y <= box[3] for line in lines for x, y in line):
        yield mark
        return
    assert isinstance(mark, Line | Polyline)
    for start, end in lines:
        part = clipped(start, end, box)
        if part is not None:
            yield Line(mark.layer, *part, mark.width, isinstance(mark, Line) and mark.dashed)


def inside(box: Box, other: Box) -> bool:
    """Whether a box holds another one."""
    return box[0] <= other[0] and box[1] <= other[1] and other[2] <= box[2] and other[3] <= box[3]


def label_of(
    target: Target, number: int, out: int, box: Box, filled: list[Box], walls: list[tuple[Point, Point]]
) -> tuple[list[Mark], Box | None]:
    """The label of a target where there is room for it, and that room; else its number alone, and None."""
    x, y = target.at
    step = LETTER * LEADING
    wide = max(text_width(line, LETTER) for line in target.label)
    high = step * (len(target.label) - 1) + LETTER
    reach = around(target)[2] - x + GAP + 0.01
    for away, side, shift in product((0.0, 6.0, 14.0, 24.0, 36.0, 50.0), (out, -out), (0, 1, -1, 2, -2, 3, -3)):
        if away and not shift:
            continue  # a leader in line with the arm of a cross is read as its arm
        left = x + (reach + away) if side > 0 else x - (reach + away) - wide
        bottom = y - high / 2 + shift * (high / 2 + 2)
        room = (left - GAP, bottom - GAP, left + wide + GAP, bottom + high + GAP)
        lead = Line(NOTE, *leader(target.at, room)) if away or abs(shift) > 1 else None
        if not inside(box, room) or any(meets(room, other) for other in filled):
            continue
        if any(crosses(room, *wall) for wall in walls):
            continue
        own = around(target)
        if lead is not None and any(crosses(other, lead.start, lead.end) for other in filled if other != own):
            continue
        lines: list[Mark] = [
            Text(NOTE, (left, bottom + high - LETTER - step * row), line, LETTER)
            for row, line in enumerate(target.label)
        ]
        return ([*lines, lead] if lead is not None else lines), room
    return [Text(NOTE, (x + ARM + 0.4, y + 0.6), str(number), LETTER)], None


def leader(at: Point, room: Box) -> tuple[Point, Point]:
    """A line from beside a target to the nearest side of its label."""
    x, y = at
    end = (room[0] if room[0] > x else room[2], min(max(y, room[1] + GAP), room[3] - GAP))
    if room[0] <= x <= room[2]:
        end = (x, room[1] if room[1] > y else room[3])
    long = ((end[0] - x) ** 2 + (end[1] - y) ** 2) ** 0.5
    share = min(1.0, 3.5 / long)
    return (x + (end[0] - x) * share, y + (end[1] - y) * share), end


def edge_name(edge: Edge, box: Box, share: float) -> Text | None:
    """The name of an edge beside what a box shows of it, at a share of its length; None where that is too short."""
    shown = clipped(edge.start, edge.end, box)
    if shown is None:
        return None
    (a, b), (c, d) = shown
    long = ((c - a) ** 2 + (d - b) ** 2) ** 0.5
    if min(share, 1 - share) * long < text_width(edge.name, LETTER) / 2 + 1:
        return None
    turn = degrees(atan2(d - b, c - a))
    turn = turn - 180 if turn > 90 else turn + 180 if turn <= -90 else turn
    # the base line is on the left of the way a text runs: it stands off further where the outer side is below it
    away = 2.0 + (LETTER if not left_of(turn, edge.outward) else 0.0)
    at = (a + (c - a) * share + edge.outward[0] * away, b + (d - b) * share + edge.outward[1] * away)
    return Text(NOTE, at, edge.name, LETTER, MIDDLE, turn)


def left_of(turn: float, way: Point) -> bool:
    """Whether a direction points to the upper side of a text that is turned so."""
    return -sin(radians(turn)) * way[0] + cos(radians(turn)) * way[1] > 0


def text_box(text: Text) -> Box:
    """The room that a text takes, however it is turned."""
    wide, turn = text_width(text.text, text.height), radians(text.turn)
    left = {MIDDLE: -wide / 2, END: -wide}.get(text.anchor, 0.0)
    corners = [
        (text.at[0] + u * cos(turn) - v * sin(turn), text.at[1] + u * sin(turn) + v * cos(turn))
        for u, v in product((left, left + wide), (0.0, text.height))
    ]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def clipped(start: Point, end: Point, box: Box) -> tuple[Point, Point] | None:
    """The part of a line in a box (Liang and Barsky 1984)."""
    first, last = 0.0, 1.0
    wide, high = end[0] - start[0], end[1] - start[1]
    for low, top, begin, way in ((box[0], box[2], start[0], wide), (box[1], box[3], start[1], high)):
        if way == 0:
            if begin < low or begin > top:
                return None
            continue
        near, far = sorted(((low - begin) / way, (top - begin) / way))
        first, last = max(first, near), min(last, far)
    if first >= last:
        return None
    return (start[0] + first * wide, start[1] + first * high), (start[0] + last * wide, start[1] + last * high)

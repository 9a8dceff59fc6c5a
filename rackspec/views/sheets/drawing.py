"""What a sheet is made of: in: nothing, out: frozen records of lines, circles and texts, all in mm, y upwards.

Coordinates are floats: they are only drawn, and nothing is decided by them. What is told in numbers comes from exact
values. Line widths are those of ISO 128; the height of a text is that of its capitals (ISO 3098).
"""

from typing import NamedTuple

from rackspec.language.units import UNITS

CUT, DRILL, MARK, NOTE = "CUT", "DRILL", "MARK", "NOTE"
"""Layers: what is cut along, what is drilled, what helps to lay it on, what is read."""
LAYERS = (CUT, DRILL, MARK, NOTE)

HAIR, THIN, NARROW, MEDIUM, WIDE = 0.13, 0.18, 0.25, 0.35, 0.5
"""Widths of lines in mm, of the series of ISO 128-2."""
WIDTHS = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7)

START, MIDDLE, END = "start", "middle", "end"
"""Which part of a text is at its place."""

INCH = float(UNITS["in"].factor)
"""mm."""

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Left, bottom, right, top."""


class Line(NamedTuple):
    """A straight line."""

    layer: str
    start: Point
    end: Point
    width: float = HAIR
    dashed: bool = False


class Circle(NamedTuple):
    """A circle."""

    layer: str
    centre: Point
    radius: float
    width: float = HAIR


class Polyline(NamedTuple):
    """Straight lines from point to point; ``closed`` ends where it began."""

    layer: str
    points: tuple[Point, ...]
    width: float = MEDIUM
    closed: bool = True


class Text(NamedTuple):
    """A line of text on its base line; ``turn`` in degrees, anticlockwise. ``outline``: letters are not filled."""

    layer: str
    at: Point
    text: str
    height: float = 2.5
    anchor: str = START
    turn: float = 0.0
    outline: bool = False


Mark = Line | Circle | Polyline | Text


class Window(NamedTuple):
    """A part of a drawing on a page: where on the page, from which corner of the drawing on, and what it holds.

    What reaches beyond the window is cut off.
    """

    box: Box
    corner: Point
    marks: tuple[Mark, ...]


class Sheet(NamedTuple):
    """A page of a paper (mm). ``prints``: how long the printer makes 1 mm, across and up; it is made up for."""

    title: str
    width: float
    height: float
    marks: tuple[Mark, ...]
    windows: tuple[Window, ...]
    prints: tuple[float, float] = (1.0, 1.0)


class Flat(NamedTuple):
    """A whole drawing at 1:1 without a page around it: for a machine, which has no paper."""

    title: str
    marks: tuple[Mark, ...]
    box: Box


def rectangle(layer: str, box: Box, width: float) -> Polyline:
    """A box as a closed line."""
    left, bottom, right, top = box
    return Polyline(layer, ((left, bottom), (right, bottom), (right, top), (left, top)), width)


def cross(layer: str, centre: Point, arm: float) -> tuple[Line, Line]:
    """Two hairlines that meet in a point, ``arm`` mm to each side."""
    x, y = centre
    return Line(layer, (x - arm, y), (x + arm, y)), Line(layer, (x, y - arm), (x, y + arm))


def moved(mark: Mark, right: float, up: float) -> Mark:
    """A mark somewhere else."""
    if isinstance(mark, Line):
        (a, b), (c, d) = mark.start, mark.end
        return mark._replace(start=(a + right, b + up), end=(c + right, d + up))
    if isinstance(mark, Circle):
        return mark._replace(centre=(mark.centre[0] + right, mark.centre[1] + up))
    if isinstance(mark, Polyline):
        return mark._replace(points=tuple((x + right, y + up) for x, y in mark.points))
    return mark._replace(at=(mark.at[0] + right, mark.at[1] + up))


def meets(box: Box, other: Box) -> bool:
    """Whether two boxes have room in common."""
    return box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3]


def crosses(box: Box, start: Point, end: Point) -> bool:
    """Whether a straight line has a part in a box (Liang and Barsky 1984)."""
    first, last = 0.0, 1.0
    for low, high, begin, way in (
        (box[0], box[2], start[0], end[0] - start[0]),
        (box[1], box[3], start[1], end[1] - start[1]),
    ):
        if way == 0:
            if begin < low or begin > high:
                return False
            continue
        near, far = sorted(((low - begin) / way, (high - begin) / way))
        first, last = max(first, near), min(last, far)
    return first <= last


def segments(mark: Mark) -> tuple[tuple[Point, Point], ...]:
    """The straight lines of a line or polyline; none of another mark."""
    if isinstance(mark, Line):
        return ((mark.start, mark.end),)
    if isinstance(mark, Polyline):
        ends = (*mark.points[1:], mark.points[0]) if mark.closed else mark.points[1:]
        return tuple(zip(mark.points, ends, strict=False))
    return ()


def shows(box: Box, mark: Mark) -> bool:
    """Whether something of a mark is in a box; of a text, its place."""
    if isinstance(mark, Circle):
        (x, y), r = mark.centre, mark.radius
        return meets(box, (x - r, y - r, x + r, y + r))
    if isinstance(mark, Text):
        return box[0] <= mark.at[0] <= box[2] and box[1] <= mark.at[1] <= box[3]
    return any(crosses(box, start, end) for start, end in segments(mark))

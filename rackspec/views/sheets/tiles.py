"""Pieces on pages: in: pieces, out: a page each, or several that overlap, with a map and a list in front of them.

Tiles overlap by 10 mm, with registration crosses in the overlap and crop marks outside; a tile on which there is
nothing is left out. They are called A1, A2 … upwards, B1, B2 … to the right of these.
"""

from collections.abc import Iterator, Sequence
from math import ceil
from typing import NamedTuple

from rackspec.views.sheets.drawing import (
    HAIR,
    MARK,
    MIDDLE,
    NARROW,
    NOTE,
    Box,
    Line,
    Mark,
    Text,
    Window,
    cross,
    meets,
    rectangle,
    segments,
    shows,
)
from rackspec.views.sheets.furniture import HOLD, Leaf, area
from rackspec.views.sheets.lettering import LEADING, fitted, text_width, wrapped
from rackspec.views.sheets.piece import Piece, Target, around, clipped, lines_of, region_marks, text_box
from rackspec.views.sheets.stamp import stamp

OVERLAP = 10.0
"""mm that neighbouring tiles share."""
CROP = 5.0
"""mm around a tile for its crop marks."""
CROSS = 4.0


class Tile(NamedTuple):
    """A part of a piece that goes onto one page."""

    name: str
    box: Box


def letters(number: int) -> str:
    """A, B … Z, AA, AB …"""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text


def tiles(region: Box, wide: float, high: float) -> list[Tile]:
    """A region cut into tiles of at most ``wide`` x ``high`` mm, all of one size."""
    counts, sizes = [], []
    for length, most in ((region[2] - region[0], wide), (region[3] - region[1], high)):
        many = 1 if length <= most else ceil((length - OVERLAP) / (most - OVERLAP))
        counts.append(many)
        sizes.append((length + (many - 1) * OVERLAP) / many)
    found = []
    for column in range(counts[0]):
        for row in range(counts[1]):
            left = region[0] + column * (sizes[0] - OVERLAP)
            bottom = region[1] + row * (sizes[1] - OVERLAP)
            found.append(Tile(f"{letters(column)}{row + 1}", (left, bottom, left + sizes[0], bottom + sizes[1])))
    return found


def holds_something(piece: Piece, tile: Tile) -> bool:
    """Whether there is anything of a piece on a tile."""
    return any(shows(tile.box, mark) for mark in lines_of(piece)) or any(
        meets(tile.box, around(target)) for target in piece.targets
    )


def pages(piece: Piece) -> tuple[Leaf, ...]:
    """All pages of a piece."""
    room = area(False)
    wide, high = room[2] - room[0] - 2 * CROP, room[3] - room[1] - 2 * CROP
    cut = [tile for tile in tiles(piece.region, wide, high) if holds_something(piece, tile)]
    several = len(cut) > 1
    made, whole = [], True
    for tile in cut:
        leaf, labelled = page(piece, tile, cut)
        made.append(leaf)
        whole = whole and labelled
    if several or piece.hold or not whole:
        made.insert(0, overview(piece, cut))
    return tuple(made)


def page(piece: Piece, tile: Tile, cut: list[Tile]) -> tuple[Leaf, bool]:
    """One tile on its page, and whether all of its labels found room."""
    several = len(cut) > 1
    room = area(False)
    wide, high = tile.box[2] - tile.box[0], tile.box[3] - tile.box[1]
    left = (room[0] + room[2] - wide) / 2
    bottom = (room[1] + room[3] - high) / 2
    box = (left, bottom, left + wide, bottom + high)
    marks: list[Mark] = []
    inner: list[Mark] = []
    taken: list[Box] = []
    if several:
        marks += crop_marks(box)
        for other in cut:
            inner += join(piece, tile.box, other.box)
            taken += [room_of(cross_at) for cross_at in join(piece, tile.box, other.box)]
        marks.append(Text(NOTE, ((left + box[2]) / 2, box[3] + 1.5), tile.name, 3.5, MIDDLE))
    drawn, filled, untold = region_marks(piece, tile.box, tuple(taken))
    inner += drawn
    beside, listed = list_beside(untold, (room[0], bottom, left - CROP - 2, room[3]), bottom - tile.box[1])
    marks += beside
    if piece.hold:
        right, up = box[0] - tile.box[0], box[1] - tile.box[1]
        marks.append(
            stamp(
                room,
                [
                    *((a + right, b + up, c + right, d + up) for a, b, c, d in filled),
                    *(text_box(text) for text in beside),
                ],
            )
        )
    title = f"{piece.title}, tile {tile.name}" if several else piece.title
    name = f"{piece.name}-{tile.name}" if several else piece.name
    window = Window(box, (tile.box[0], tile.box[1]), tuple(inner))
    leaf = Leaf(title, name, tuple(marks), (window,), hold=bool(piece.hold), note=" ".join(piece.notes))
    return leaf, listed == len(untold)


def list_beside(targets: Sequence[Target], room: Box, up: float) -> tuple[list[Text], int]:
    """The labels of places one below the other, as far as they find room, and of how many places they are.

    A line that is too wide goes on in the next one; a label of which a word would be cut off is left out. ``up`` is
    from a place's height to that on the page: labels stand as high as their places, unless fewer find room then.
    """
    low, level = _listed(targets, room, None), _listed(targets, room, up)
    return level if level[1] >= low[1] else low


def _listed(targets: Sequence[Target], room: Box, up: float | None) -> tuple[list[Text], int]:
    """The same, from the lowest place to the highest one; as low as they can be if no height is given."""
    texts: list[Text] = []
    y, told, wide = room[1], 0, room[2] - room[0]
    for target in sorted(targets, key=lambda target: target.at[1]):
        lines = [part for line in target.label for part in wrapped(line, 2.5, wide)]
        high = 2.5 * LEADING * len(lines)
        y = y if up is None else max(y, min(target.at[1] + up - high / 2, room[3] - high))
        cut = any(text_width(word, 2.5) > wide for line in target.label for word in line.split())
        if cut or y + high > room[3]:
            continue
        texts += [Text(NOTE, (room[0], y + high - 2.5 * LEADING * (row + 1)), line) for row, line in enumerate(lines)]
        y += high + 3
        told += 1
    return texts, told


def room_of(line: Line) -> Box:
    """The room around an upright or level line."""
    (a, b), (c, d) = line.start, line.end
    return (min(a, c) - 1, min(b, d) - 1, max(a, c) + 1, max(b, d) + 1)


def crop_marks(box: Box) -> Iterator[Line]:
    """Where to cut a tile: lines outside of its corners."""
    left, bottom, right, top = box
    for x, way in ((left, -1), (right, 1)):
        for y in (bottom, top):
            yield Line(MARK, (x + way, y), (x + way * CROP, y), HAIR)
    for y, way in ((bottom, -1), (top, 1)):
        for x in (left, right):
            yield Line(MARK, (x, y + way), (x, y + way * CROP), HAIR)


def join(piece: Piece, own: Box, other: Box) -> Iterator[Line]:
    """Two crosses in the overlap of tiles side by side, which have to lie on each other; clear of lines and places."""
    shared = (max(own[0], other[0]), max(own[1], other[1]), min(own[2], other[2]), min(own[3], other[3]))
    wide, high = shared[2] - shared[0], shared[3] - shared[1]
    if own == other or min(wide, high) <= 0 or max(wide, high) <= OVERLAP + 0.001:
        return
    spots = []
    for part in range(8, 93, 4):
        share = part / 100
        x = shared[0] + wide * (share if wide > high else 0.5)
        y = shared[1] + high * (share if wide <= high else 0.5)
        room = (x - CROSS - 2, y - CROSS - 2, x + CROSS + 2, y + CROSS + 2)
        walls = any(shows(room, mark) for mark in lines_of(piece))
        if not walls and not any(meets(room, around(target)) for target in piece.targets):
            spots.append((x, y))
    for spot in dict.fromkeys([*spots[:1], *spots[-1:]]):
        yield from cross(MARK, spot, CROSS)


def overview(piece: Piece, cut: list[Tile]) -> Leaf:
    """The first page of a piece: a map of its tiles, all places as numbers, and why it must not be drilled, if so."""
    room = area(False)
    marks: list[Mark] = []
    top = room[3] - 4.0
    step = 2.5 * LEADING
    texts: list[str] = []
    if piece.hold:
        marks.append(Text(NOTE, (0, top - 4), HOLD, 6.0))
        top -= 12
        texts += ["Why:", *(f"- {reason}" for reason in piece.hold)]
    texts += [""] if texts else []
    texts += ["; ".join(target.label).replace("; or ", " or ").replace(":; ", ": ") for target in piece.targets]
    lines = [line for text in texts for line in (wrapped(text, 2.5, room[2]) or [""])]
    most = int((top - room[1] - 80) / step)
    if len(lines) > most:
        lines = [*lines[: most - 1], fitted("… and more: the sheets have them all", 2.5, room[2])]
    for line in lines:
        marks.append(Text(NOTE, (0, top), line))
        top -= step
    marks += small_map(piece, cut, (0.0, room[1] + 2, room[2], top - 2))
    if piece.hold:
        marks.append(stamp(room, [text_box(mark) for mark in marks if isinstance(mark, Text)]))
    return Leaf(
        f"{piece.title}, overview",
        f"{piece.name}-0",
        tuple(marks),
        (),
        hold=bool(piece.hold),
        note=" ".join(piece.notes),
    )


def small_map(piece: Piece, cut: list[Tile], room: Box) -> Iterator[Mark]:
    """The piece and its tiles, small, with the number of each place."""
    left, bottom = min(tile.box[0] for tile in cut), min(tile.box[1] for tile in cut)
    right, top = max(tile.box[2] for tile in cut), max(tile.box[3] for tile in cut)
    scale = min(0.5, (room[2] - room[0]) / (right - left), (room[3] - room[1] - 6) / (top - bottom))
    yield Text(NOTE, (room[0], room[1]), f"Map, not at full size, with the numbers of the places.{piece.lies}")
    base = room[1] + 6

    def place(x: float, y: float) -> tuple[float, float]:
        return room[0] + 2 + (x - left) * scale, base + (y - bottom) * scale

    for mark in lines_of(piece):
        dashed = isinstance(mark, Line) and mark.dashed
        for start, end in clipped_lines(mark, (left, bottom, right, top)):
            yield Line(NOTE, place(*start), place(*end), HAIR if dashed else NARROW, dashed)
    for tile in cut:
        low, high = place(tile.box[0], tile.box[1]), place(tile.box[2], tile.box[3])
        if len(cut) > 1:
            yield rectangle(NOTE, (*low, *high), HAIR)
            yield Text(NOTE, ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2 - 2), tile.name, 4.0, MIDDLE)
    for number, target in enumerate(piece.targets, 1):
        x, y = place(*target.at)
        yield from cross(NOTE, (x, y), 1.2)
        yield Text(NOTE, (x + 1, y + 0.8), str(number))


def clipped_lines(mark: Mark, box: Box) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """The straight lines of a mark, as far as they lie in a box."""
    for start, end in segments(mark):
        part = clipped(start, end, box)
        if part is not None:
            yield part

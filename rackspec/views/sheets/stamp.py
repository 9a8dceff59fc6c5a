"""NOT FOR DRILLING across a sheet: in: a room and what is written in it, out: large outlined letters that hide nothing.

Tried are sizes from large to small, turns and places; taken is the first at which no letter lies on a number. Where
there is none the letters go straight across: they are outlines, and what is below them can be read.
"""

from collections.abc import Iterator, Sequence
from itertools import product
from math import atan2, cos, degrees, hypot, radians, sin

from rackspec.views.sheets.drawing import MIDDLE, NOTE, Box, Text, meets
from rackspec.views.sheets.furniture import HOLD
from rackspec.views.sheets.lettering import text_width

LARGEST = 14.0
"""mm; height of the letters."""
SIZES = (LARGEST, 12.0, 10.0, 8.0)
SHIFTS = (0.0, 0.15, -0.15, 0.3, -0.3)
"""Shares of the room's width and height that the letters are moved off its middle."""


def stamp(room: Box, filled: Sequence[Box]) -> Text:
    """The words in a room, clear of what is filled if they can be."""
    wide, high = room[2] - room[0], room[3] - room[1]
    across = degrees(atan2(high, wide))
    middle = ((room[0] + room[2]) / 2, (room[1] + room[3]) / 2)
    for size, turn, right, up in product(SIZES, (across, -across, 90.0, 60.0, -60.0, 0.0), SHIFTS, SHIFTS):
        found = centred((middle[0] + right * wide, middle[1] + up * high), size, turn)
        spots = list(letters_of(found))
        within = all(room[0] <= a and room[1] <= b and c <= room[2] and d <= room[3] for a, b, c, d in spots)
        if within and not any(meets(spot, other) for spot in spots for other in filled):
            return found
    return centred(middle, min(LARGEST, 0.8 * hypot(wide, high) / text_width(HOLD, 1.0)), across)


def centred(middle: tuple[float, float], size: float, turn: float) -> Text:
    """The words around a point."""
    x = middle[0] + sin(radians(turn)) * size / 2
    y = middle[1] - cos(radians(turn)) * size / 2
    return Text(NOTE, (x, y), HOLD, size, MIDDLE, turn, outline=True)


def letters_of(text: Text) -> Iterator[Box]:
    """Square boxes along the words, which hold all of their letters."""
    half, size = text_width(text.text, text.height) / 2, text.height
    way = (cos(radians(text.turn)), sin(radians(text.turn)))
    reach = size * 0.71  # half a diagonal of a square that is turned
    steps = int(2 * half / (size / 2)) + 1
    for step in range(steps + 1):
        along = -half + size / 2 + (2 * half - size) * step / steps
        x = text.at[0] + way[0] * along - way[1] * size / 2
        y = text.at[1] + way[1] * along + way[0] * size / 2
        yield (x - reach, y - reach, x + reach, y + reach)

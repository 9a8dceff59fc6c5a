"""Strips to stick along a rail: in: a row's length and its panels, out: lying pages with rulers of 5.08 mm an HP.

A row longer than a page is cut into pieces of whole HP, at the side of a panel where one is near; each piece but the
last has a tab of 2 HP that the next one is glued onto. The lowest line of names shows the start; there is one more for
each later stage that brings something.
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from rackspec.language.units import HP
from rackspec.views.sheets.drawing import (
    CUT,
    HAIR,
    MARK,
    MIDDLE,
    NARROW,
    NOTE,
    THIN,
    Flat,
    Line,
    Mark,
    Text,
    moved,
    rectangle,
)
from rackspec.views.sheets.flats import with_texts
from rackspec.views.sheets.furniture import Leaf, area
from rackspec.views.sheets.lettering import LEADING, fitted, text_width, wrapped

MOST = 44
"""HP of a piece without its tab."""
TAB = 2
"""HP."""
RULER, LANE = 6.0, 5.0
"""mm that the ruler and each line of names take."""


class Named(NamedTuple):
    """A panel: its left edge and width in mm, its name."""

    start: Fraction
    width: Fraction
    name: str


class Lane(NamedTuple):
    """A line of names: when that is, and what is there (from the start) or comes then."""

    title: str
    panels: tuple[Named, ...]


class Strip(NamedTuple):
    """A row: its name, its length in mm, its lines of names from the start on."""

    name: str
    length: Fraction
    lanes: tuple[Lane, ...]


class Part(NamedTuple):
    """A piece of a strip, from HP to HP, with its drawing in mm from its lower left corner."""

    title: str
    marks: tuple[Mark, ...]
    wide: float
    high: float


def cuts(strip: Strip) -> list[Fraction]:
    """Where a strip is cut, in HP from its left end, both ends included."""
    end = strip.length / HP
    many = -(-end.numerator // (end.denominator * MOST))
    sides = {side / HP for lane in strip.lanes for p in lane.panels for side in (p.start, p.start + p.width)}
    places = [Fraction(0)]
    for number in range(1, many):
        after = many - number
        even = round(places[-1] + (end - places[-1]) / (after + 1))
        low, high = max(places[-1] + TAB, end - after * MOST), min(places[-1] + MOST, end - TAB)
        near = [side for side in sides if side.denominator == 1 and low <= side <= high and abs(side - even) <= 6]
        places.append(
            min(near, key=lambda side: (abs(side - even), side)) if near else min(max(Fraction(even), low), high)
        )
    return [*places, end]


def parts(strip: Strip, key: dict[str, int]) -> Iterator[Part]:
    """The pieces of a strip. Names that have no room get a number, which is added to ``key``."""
    places = cuts(strip)
    high = RULER + LANE * len(strip.lanes)
    for number, (left, right) in enumerate(pairwise(places), 1):
        last = number == len(places) - 1
        wide = float((right - left) * HP)
        marks: list[Mark] = [rectangle(CUT, (0.0, 0.0, wide, high), HAIR)]
        marks += ruler(left, right, high)
        for row, lane in enumerate(strip.lanes):
            marks += names(lane, left, right, row * LANE, key)
            marks.append(Line(NOTE, (0, (row + 1) * LANE), (wide, (row + 1) * LANE), HAIR))
        if not last:
            tab = wide + float(TAB * HP)
            marks += [
                Line(CUT, (wide, 0.0), (tab, 0.0), HAIR),
                Line(CUT, (tab, 0.0), (tab, high), HAIR),
                Line(CUT, (tab, high), (wide, high), HAIR),
                Text(NOTE, (wide + float(TAB * HP) / 2, high / 2 - 1.25), "GLUE", 2.5, MIDDLE),
            ]
        hp = f"{shown(left)}..{shown(right)}HP"
        many = f", piece {number} of {len(places) - 1}" if len(places) > 2 else ""
        yield Part(f"Row {strip.name}{many}: {hp}", tuple(marks), wide + (0.0 if last else float(TAB * HP)), high)


def shown(hp: Fraction) -> str:
    """A number of HP."""
    return f"{float(hp):.2f}".rstrip("0").rstrip(".")


def ruler(left: Fraction, right: Fraction, high: float) -> Iterator[Mark]:
    """Ticks along the upper edge, one each HP, a number every 5 HP."""
    for hp in range(-(-left.numerator // left.denominator), int(right) + 1):
        x = float((hp - left) * HP)
        if left < hp < right:
            yield Line(MARK, (x, high), (x, high - (2.6 if hp % 5 == 0 else 1.5)), NARROW if hp % 5 == 0 else THIN)
        if hp % 5 == 0:
            wide = text_width(str(hp), 2.5)
            middle = min(max(x, wide / 2 + 0.6), float((right - left) * HP) - wide / 2 - 0.6)
            yield Text(NOTE, (middle, high - 5.6), str(hp), 2.5, MIDDLE)


def names(lane: Lane, left: Fraction, right: Fraction, bottom: float, key: dict[str, int]) -> Iterator[Mark]:
    """The panels of a line: their sides, and their names or numbers between."""
    sides: set[float] = set()
    for panel in lane.panels:
        begin, end = max(panel.start, left * HP), min(panel.start + panel.width, right * HP)
        if begin >= end:
            continue
        a, b = float(begin - left * HP), float(end - left * HP)
        sides |= {a, b} - {0.0, float((right - left) * HP)}
        told = fitted(panel.name, 2.5, 1000)
        if text_width(told, 2.5) > b - a - 1.6:
            told = str(key.setdefault(told, len(key) + 1))
        if text_width(told, 2.5) <= b - a - 0.4:
            yield Text(NOTE, ((a + b) / 2, bottom + 1.2), told, 2.5, MIDDLE)
    for side in sorted(sides):
        yield Line(MARK, (side, bottom), (side, bottom + LANE), THIN)


def label_pages(strips: tuple[Strip, ...]) -> tuple[Leaf, ...]:
    """The strips on lying pages, as many on each as fit, with a key of numbers behind the last one."""
    room = area(True)
    key: dict[str, int] = {}
    pages: list[list[Mark]] = [[]]
    top = room[3] - 1.0
    for strip in strips:
        for part in parts(strip, key):
            need = 5.0 + part.high + 5.0
            if top - need < room[1] + 2:
                pages.append([])
                top = room[3] - 1.0
            pages[-1].append(Text(NOTE, (0, top - 3.0), fitted(part.title, 2.5, room[2]), 2.5))
            pages[-1] += [moved(mark, 0, top - 5.0 - part.high) for mark in part.marks]
            top -= need
    texts = list(explained(strips, key))
    for text in texts:
        for line in wrapped(text, 2.5, room[2]):
            if top - 4.2 < room[1] + 2:
                pages.append([])
                top = room[3] - 1.0
            pages[-1].append(Text(NOTE, (0, top - 3.0), line, 2.5))
            top -= 2.5 * LEADING
    return tuple(
        Leaf("Labels for rails, seen from the front", f"labels-{number}", tuple(marks), (), lying=True, up=False)
        for number, marks in enumerate(pages, 1)
    )


def explained(strips: tuple[Strip, ...], key: dict[str, int]) -> Iterator[str]:
    """What numbers and lines stand for, and what to do with the strips."""
    if key:
        yield ", ".join(f"{number} {name}" for name, number in key.items())
    for strip in strips:
        if len(strip.lanes) > 1:
            yield f"Row {strip.name}: lines from below are {', '.join(lane.title for lane in strip.lanes)}."
    yield "Cut along the outer lines. A tab goes under the next piece. 0HP is at the left end of the rails."


def label_flats(strips: tuple[Strip, ...]) -> tuple[Flat, ...]:
    """The pieces of strips without pages."""
    key: dict[str, int] = {}
    made = [part for strip in strips for part in parts(strip, key)]
    return tuple(
        with_texts(
            part.title,
            part.marks,
            (0.0, 0.0, part.wide, part.high),
            [part.title, *explained(strips, key)] if part is made[-1] else [part.title],
        )
        for part in made
    )

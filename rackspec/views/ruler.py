"""A row under a ruler: in: a row at a stage, out: lines of text with the outlines of its panels, HP above and mm below.

One column is one HP, in a short row half of one; a row that is too long for the page is cut where a panel ends. What
has no room for its name gets a letter, and the letters are explained below.
"""

from fractions import Fraction
from itertools import pairwise
from string import ascii_letters
from typing import NamedTuple

from rackspec.language.quantity import plain_number
from rackspec.language.units import HP
from rackspec.model.rack import Row
from rackspec.rules.stages import runs_at
from rackspec.views.text import visible, wide

MOST = 92
"""Columns for the outlines of panels."""
LABEL = 4
"""Columns for what stands to the left of them."""
LONGEST = 2_000
"""HP; a longer row is not drawn."""


class Outline(NamedTuple):
    """A panel to draw, in mm, with its name and its filling."""

    start: Fraction
    end: Fraction
    name: str
    fill: str


def outlines(row: Row, stage: int) -> list[Outline]:
    """What stands in a row at a stage, from left to right; what has no known place or width is left out."""
    found = [
        Outline(
            panel.start,
            panel.start + panel.width.value,
            panel.name or panel.what,
            {"gap": ":", "blank": "="}.get(panel.what, " "),
        )
        for panel in row.at(stage)
        if panel.start is not None and panel.width is not None and panel.width.value > 0
    ]
    return sorted(found)


def cuts(shown: list[Outline], length: Fraction) -> list[Fraction]:
    """Where a row is cut into pieces that fit the page: at the end of a panel near the even cut, else in whole HP."""
    pieces = -(-length // (MOST * HP))
    places = [Fraction(0)]
    ends = sorted({outline.end for outline in shown} | {outline.start for outline in shown})
    for number in range(1, pieces):
        left, after = places[-1], pieces - number
        even = left + (length - left) / (after + 1)
        low, high = max(left + HP, length - after * MOST * HP), min(left + MOST * HP, length - HP)
        near = [end for end in ends if low <= end <= high]
        places.append(
            min(near, key=lambda end: (abs(end - even), end)) if near else min(max(HP * round(even / HP), low), high)
        )
    return [*places, length]


def drawing(row: Row, stage: int, letters: dict[str, str]) -> list[str]:
    """The lines of a row at a stage; ``letters`` (by name) are used and added to. None for a row of no known length."""
    length = row.length.value if row.length is not None else Fraction(0)
    if length <= 0 or length > LONGEST * HP:
        return []
    shown = outlines(row, stage)
    free = [Outline(start, end, "", ".") for start, end in runs_at(row, stage)]
    lines: list[str] = []
    places = cuts(shown, length)
    for left, right in pairwise(places):
        columns = 2 if length * 2 <= MOST * HP else 1
        lines += ([""] if lines else []) + piece(shown, free, left, right, columns, letters)
    return lines


def legend(letters: dict[str, str]) -> str:
    """What the letters of a drawing stand for."""
    told = [f"{letter} {name}" for name, letter in letters.items() if letter]
    narrow = [name for name, letter in letters.items() if not letter]
    text = f"{', '.join(told)}. " if told else ""
    return (text + (f"Too narrow to be drawn: {', '.join(narrow)}." if narrow else "")).strip()


def piece(
    shown: list[Outline], free: list[Outline], left: Fraction, right: Fraction, columns: int, letters: dict[str, str]
) -> list[str]:
    """The part of a row from ``left`` to ``right`` (mm), so many columns an HP; letters that are given are added."""
    last = column(right, left, columns)
    lines = [
        "HP".ljust(LABEL) + scale(left, right, columns, HP),
        " " * LABEL + "".join(tick(number, left, columns) for number in range(last)) + "|",
    ]
    runs = [run for run in free if run.start < right and run.end > left]
    for number, lane in enumerate(
        lanes([outline for outline in shown if outline.start < right and outline.end > left])
    ):
        here = lane if number else lane + runs
        edge, body = [" "] * (last + 1), [" "] * (last + 1)
        for outline in sorted(here):
            draw(outline, left, right, columns, edge, body, letters)
        lines += [" " * LABEL + "".join(part).rstrip() for part in (edge, body, edge) if any(c != " " for c in part)]
    lines.append("mm".ljust(LABEL) + scale(left, right, columns, Fraction(1)))
    return lines


def column(place: Fraction, left: Fraction, columns: int) -> int:
    """The column of a place (mm)."""
    return round((place - left) / HP * columns)


def tick(number: int, left: Fraction, columns: int) -> str:
    """The mark of a ruler in a column: every HP a point, every 5 HP a cross, every 10 HP a bar."""
    hp = left / HP + Fraction(number, columns)
    if hp % 10 == 0:
        return "|"
    if hp % 5 == 0:
        return "+"
    return "'" if hp.denominator == 1 else " "


def scale(left: Fraction, right: Fraction, columns: int, unit: Fraction) -> str:
    """The numbers along a ruler, every 10 HP and at both ends."""
    first, last = left / HP, right / HP
    tens = range(-(-first.numerator // (first.denominator * 10)) * 10, int(last) + 1, 10)
    wanted = [left, right, *(number * HP for number in tens if first < number < last)]
    text = [" "] * (column(right, left, columns) + 12)
    taken: list[tuple[int, int]] = []
    for place in wanted:
        label = plain_number(place / unit, 2)
        start = column(place, left, columns)
        if any(start < end + 1 and start + len(label) + 1 > begin for begin, end in taken):
            continue
        taken.append((start, start + len(label)))
        text[start : start + len(label)] = label
    return "".join(text).rstrip()


def lanes(shown: list[Outline]) -> list[list[Outline]]:
    """Panels that overlap are drawn below each other."""
    found: list[list[Outline]] = [[]]
    for outline in shown:
        for lane in found:
            if not lane or lane[-1].end <= outline.start:
                lane.append(outline)
                break
        else:
            found.append([outline])
    return found


def draw(
    outline: Outline,
    left: Fraction,
    right: Fraction,
    columns: int,
    edge: list[str],
    body: list[str],
    letters: dict[str, str],
) -> None:
    """Put one outline into its lines."""
    begin, end = column(max(outline.start, left), left, columns), column(min(outline.end, right), left, columns)
    room = end - begin - 1
    for number in range(begin + 1, end):
        edge[number] = "-" if outline.fill != "." else " "
        body[number] = outline.fill
    for number, cut in ((begin, outline.start < left), (end, outline.end > right)):
        if outline.fill == "." and edge[number] != " ":
            continue  # the panel beside a free run has drawn its edge
        edge[number], body[number] = ("+", ":" if cut else "|") if outline.fill != "." else (" ", ".")
    name = visible(outline.name)
    if not name or room < 1:
        if name:
            letters.setdefault(name, "")
        return
    if wide(name) > room:
        if not letters.get(name):
            given = sum(bool(letter) for letter in letters.values())
            letters[name] = ascii_letters[given] if given < len(ascii_letters) else "*"
        name = letters[name]
    start = begin + 1 + (room - wide(name)) // 2
    body[start : start + wide(name)] = [*name, *[""] * (wide(name) - len(name))]

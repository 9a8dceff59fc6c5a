"""Drill points in words: in: what becomes of those of each row, out: sentences for the table and for the first line.

A hole that moves is told as such, and never as better or worse. Places are told to a hundredth of a millimetre, which
is finer than anybody drills; the JSON has six places.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from rackspec.comparison.hole_record import FREED, HELD, Hole, HoleChange, HoleMove, Holes
from rackspec.comparison.record import ADDED, REMOVED, Comparison, RackFigures
from rackspec.language.quantity import plain_number
from rackspec.views.comparison_words import bare
from rackspec.views.text import counted

LABEL = "drill points"
MOST_ROWS = 6
MOST_CLAUSES = 2
SHOWN = Fraction(1, 100)
"""mm; places are told as near as this."""


def hole_lines(rack: RackFigures) -> Iterator[tuple[str, str]]:
    """What becomes of the drill points of a rack, as (label, sentence); of rows that say the same it is told once."""
    told: dict[tuple[str, int], list[str]] = {}
    for change in rack.holes[:MOST_ROWS]:
        for text, drilled in _sentences(change):
            told.setdefault((text, drilled), []).append(f"'{bare(change.about)}'")
    for (text, drilled), rows in told.items():
        many = len(rows) > 1
        yield LABEL, f"of row{'s' if many else ''} {_and(rows)} {text}{_drilled(drilled, many)}"
    more = len(rack.holes) - MOST_ROWS
    if more > 0:
        yield LABEL, f"of {more} more row{'' if more == 1 else 's'} change, too"


def _sentences(change: HoleChange) -> Iterator[tuple[str, int]]:
    """What becomes of the drill points of a row, each with how many holes that concerns that are there already."""
    if change.moves and change.new is not None:
        yield _moves(change.moves, len(change.new.points)), change.new.drilled
    yield from ((text, 0) for text in _other_than_moves(change))


def _other_than_moves(change: HoleChange) -> Iterator[str]:
    """What becomes of the drill points of a row besides that they move."""
    old, new = change.old, change.new
    if new is None:
        assert old is not None
        if change.lost:
            yield f"are not known any more; they were {_places(old)}"
        else:
            yield f"are gone with it; they were {_places(old)}"
        return
    if old is None:
        known = "are known now" if change.gained else "are new with it"
        yield f"{known}: {_places(new)}; {_release(new)}"
        return
    for one, hole in dict.fromkeys((_kind(one), _kind(hole)) for one, hole in change.threads):
        yield f"are {hole} now, not {one}"
    if change.release == FREED:
        yield "are released for drilling now"
    elif change.release == HELD:
        yield f"are not released for drilling any more, because {_and(new.because)}"
    elif change.doubts:
        yield f"are still {_release(new)}"


def _release(holes: Holes) -> str:
    """Whether holes may be drilled, and why not."""
    return "released for drilling" if holes.released else f"not released for drilling, because {_and(holes.because)}"


def _and(texts: Sequence[str]) -> str:
    return texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])} and {texts[-1]}"


def _kind(hole: Hole) -> str:
    return f"{plain_number(hole.diameter)}mm wide for {hole.thread}"


def _nearest(value: Fraction) -> tuple[str, Fraction]:
    """A length as it is told: a mark if it was rounded, and what it was rounded to."""
    rounded = round(value / SHOWN) * SHOWN
    return "" if rounded == value else "~", rounded


def _place(hole: Hole) -> str:
    """A place: ``(12mm, 21.6mm)``, with a mark in front if it was rounded."""
    (cut, back), (cut_too, up) = _nearest(hole.back), _nearest(hole.up)
    return f"{cut or cut_too}({plain_number(back)}mm, {plain_number(up)}mm)"


def _places(holes: Holes) -> str:
    """Where holes are: those that are in the same place of both side pieces are told once."""
    return _and([f"{name} at {place}" for place, name in _grouped([(hole, _place(hole)) for hole in holes.points])])


def _moves(moves: Sequence[HoleMove], holes: int) -> str:
    """How far holes move: all alike, or the bottom ones and the top ones, or each by itself."""
    grouped = _grouped([(move, _way(move)) for move in moves])
    if len(grouped) == 1 and len(moves) == holes:
        return f"move {grouped[0][0]}"
    return f"move: {', '.join(f'{name} {way}' for way, name in grouped)}"


def _drilled(holes: int, many: bool) -> str:
    """How many holes of a row are there already: they do not move with the plan. ``many``: of each of several rows."""
    if not holes:
        return ""
    verb = "is" if holes == 1 else "are"
    return f"; {counted(holes, 'hole')} {'of each ' if many else ''}{verb} drilled already"


def _grouped(told: Sequence[tuple[Hole | HoleMove, str]]) -> list[tuple[str, str]]:
    """Texts with the names of the holes that they are told of: ``bottom`` is both of them."""
    found: list[tuple[str, str]] = []
    for line in dict.fromkeys(hole.line for hole, _ in told):
        here = [(hole.side, text) for hole, text in told if hole.line == line]
        alike = len(here) > 1 and len({text for _, text in here}) == 1
        found += [(here[0][1], line)] if alike else [(text, f"{side} {line}") for side, text in here]
    texts = list(dict.fromkeys(text for text, _ in found))
    return [(text, _and([name for other, name in found if other == text])) for text in texts]


def _way(move: HoleMove) -> str:
    """A way: ``1mm back and ~0.57mm down``."""
    ways = [(move.back, "back", "to the front"), (move.up, "up", "down")]
    told = [f"{_far(abs(far))} {more if far > 0 else less}" for far, more, less in ways if abs(far) >= SHOWN / 2]
    return " and ".join(told) or f"by less than {plain_number(SHOWN)}mm"


def _far(far: Fraction) -> str:
    cut, rounded = _nearest(far)
    return f"{cut}{plain_number(rounded)}mm"


def hole_clauses(comparison: Comparison) -> list[str]:
    """What becomes of drill points, in a few words each, for the first line; what is lost stands in ``lost_holes``."""
    changes = _changes(comparison)
    moved = [change for change in changes if change.moves]
    told = [
        ([change for change in changes if change.release == HELD], "are not released for drilling any more"),
        (moved, f"move{_way_of_all(moved)}"),
        ([change for change in changes if change.threads], "are for another thread"),
        ([change for change in changes if change.gained], "are known now"),
        ([change for change in changes if change.release == FREED], "are released for drilling now"),
    ]
    clauses: dict[str, list[str]] = {}
    for those, what in told:
        if those:
            clauses.setdefault(_whose(those, comparison), []).append(what)
    texts = [f"{whose} {' and '.join(what)}" for whose, what in clauses.items()]
    if len(texts) <= MOST_CLAUSES:
        return texts
    rows = list({change.about: change for those, _ in told for change in those}.values())
    held, what = told[0]
    return [*([f"{_whose(held, comparison)} {what}"] if held else []), f"{_whose(rows, comparison)} change"]


def lost_holes(comparison: Comparison) -> list[str]:
    """That drill points are not known any more."""
    lost = [change for change in _changes(comparison) if change.lost]
    return [f"{_whose(lost, comparison)} are not known any more"] if lost else []


def _changes(comparison: Comparison) -> list[HoleChange]:
    racks = [rack for rack in comparison.racks if rack.action not in (ADDED, REMOVED)]
    return [change for rack in racks for change in rack.holes]


def _whose(changes: Sequence[HoleChange], comparison: Comparison) -> str:
    """Drill points by their row, with its rack where there are several; those of many rows are counted."""
    if len(changes) > 1:
        return f"drill points of {len(changes)} rows"
    about = changes[0].about
    return f"drill points of row '{about if len(comparison.concerned()) > 1 else bare(about)}'"


def _way_of_all(changes: Sequence[HoleChange]) -> str:
    """How far all holes of some rows move, if they move alike; else nothing."""
    ways = {_way(move) for change in changes for move in change.moves}
    whole = all(change.new is not None and len(change.moves) == len(change.new.points) for change in changes)
    return f" {ways.pop()}" if len(ways) == 1 and whole else ""

"""Drill points of two racks: in: a rack of each side, out: what becomes of those of each row.

What is not known is held against nothing: points that are not known any more do not move, and what nobody may drill is
not released by forgetting why.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackspec.comparison.gaps import Seen
from rackspec.comparison.hole_record import Hole, HoleChange, Holes
from rackspec.comparison.renames import AS_IT_IS, QUOTED, Calls
from rackspec.rules.drill_points import drill_points
from rackspec.rules.registry import Look


def hole_changes(old: Seen, new: Seen, inside: Calls, library: Calls) -> Iterator[HoleChange]:
    """The rows whose drill points are others, known otherwise, or free to be drilled on one side only. ``inside`` and
    ``library`` are how the new side calls things of the old rack and parts."""
    before, after = _by_row(old, inside), _by_row(new, AS_IT_IS)
    if not (before or after):
        return
    ours = {inside.of(row.name): row.name for row in old.rack.rows}
    theirs = {row.name: row.name for row in new.rack.rows}
    for name in dict.fromkeys((*theirs, *ours)):
        one, other = before.get(name), after.get(name)
        about = new.rack.full(name) if name in theirs else old.rack.full(ours[name])
        doubts = one is not None and other is not None and _worded(one, inside, library) != frozenset(other.because)
        # a row that a side does not have may stand there among lines that were not understood
        lost = one is not None and other is None and (name in theirs or bool(new.gaps.whole))
        gained = other is not None and one is None and (name in ours or bool(old.gaps.whole))
        change = HoleChange(about, one, other, doubts, lost, gained)
        if change.is_told:
            yield change


def _by_row(seen: Seen, calls: Calls) -> dict[str, Holes]:
    """The drill points of a rack that are known, row by row."""
    if not any(row.standing.seat is not None for row in seen.rack.rows):
        return {}
    there = {calls.of(row.name): len(row.standing.drilled) for row in seen.rack.rows}
    found: dict[str, Holes] = {}
    for point in drill_points(Look(seen.rack, seen.inspected.house, {})):
        name = calls.of(point.row)
        earlier = found.get(name, Holes((), ()))
        hole = Hole(point.side, point.line, point.back, point.up, point.diameter, point.thread)
        because = tuple(dict.fromkeys((*earlier.because, *point.because)))
        found[name] = Holes((*earlier.points, hole), because, there.get(name, 0))
    return found


def _worded(holes: Holes, *calls: Calls) -> frozenset[str]:
    """Why holes are not to be drilled yet, with names as the new side has them."""
    names = {name: other for one in reversed(calls) for name, other in one.names.items()}
    return frozenset(QUOTED.sub(lambda match: f"'{names.get(match[1], match[1])}'", text) for text in holes.because)

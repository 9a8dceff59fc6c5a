"""Room of two racks: in: a rack of each side, out: length, taken and free width and longest free run of each row."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.comparison.gaps import Gaps, Seen
from rackspec.comparison.moments import Moment
from rackspec.comparison.record import ROOM, Figure
from rackspec.comparison.renames import AS_IT_IS, Calls
from rackspec.comparison.values import ABSENT, AT_LEAST, AT_MOST, NOT_KNOWN, Value, figure, together
from rackspec.model.rack import Row
from rackspec.rules.stages import certain, runs_at, taken_at

NUMBERS = (("taken", None), ("free", True), ("longest free run", True))
"""What is told of a row, and whether more of it is better."""


def room_figures(old: Seen | None, new: Seen | None, calls: Calls, times: list[Moment]) -> Iterator[Figure]:
    """The room of each row at each time. A side of None has no such rack."""
    side = new or old
    assert side is not None
    end = next(time for time in times if time.last)
    ours = {calls.of(row.name): row for row in old.rack.rows} if old is not None else {}
    theirs = {row.name: row for row in new.rack.rows} if new is not None else {}
    if old is not None and new is not None and ours.keys() != theirs.keys():
        yield from all_rows(old, new, calls, end)
    for name in dict.fromkeys((*theirs, *ours)):
        one, other = ours.get(name), theirs.get(name)
        row = other or one
        assert row is not None
        about = side.rack.full(row.name) if side is new else side.rack.full(one.name if one is not None else name)
        if other is None and old is not None:
            about = old.rack.full(row.name)
        lengths = _length(one, old), _length(other, new)
        yield figure(ROOM, side.rack.name, about, "length", end._replace(stage=""), "HP", lengths, None)
        for time in times:
            alone = one is None or other is None
            if (alone and not time.last) or (not alone and (time.old is None or time.new is None)):
                continue
            before, after = _row(one, time.old or 0, calls, old), _row(other, time.new or 0, AS_IT_IS, new)
            for what, more in NUMBERS:
                yield figure(ROOM, side.rack.name, about, what, time, "HP", (before[what], after[what]), more)


def all_rows(old: Seen, new: Seen, calls: Calls, time: Moment) -> Iterator[Figure]:
    """Room over all rows together, where there is a row on one side only."""
    before = [_row(row, time.old or 0, calls, old) for row in old.rack.rows]
    after = [_row(row, time.new or 0, AS_IT_IS, new) for row in new.rack.rows]
    sums, runs = [], []
    for rows, seen in ((before, old), (after, new)):
        whole = seen.gaps.whole
        sums.append(together([row["free"] for row in rows], AT_MOST, whole))
        run = max((row["longest free run"] for row in rows), key=lambda run: run.value or 0, default=Value(Fraction(0)))
        unknown = run.unknown | whole
        runs.append(run._replace(bound=AT_MOST if unknown else run.bound, unknown=unknown))
    yield figure(ROOM, new.rack.name, new.rack.name, "free", time, "HP", (sums[0], sums[1]), True)
    yield figure(ROOM, new.rack.name, new.rack.name, "longest free run", time, "HP", (runs[0], runs[1]), True)


def _absent(seen: Seen | None) -> Value:
    """What a row comes to that a side does not have; among lines that were not understood there may be one."""
    return NOT_KNOWN if seen is not None and seen.gaps.whole else ABSENT


def _length(row: Row | None, seen: Seen | None) -> Value:
    """How long a row is."""
    if row is None:
        return _absent(seen)
    return Value(row.length.value) if row.length is not None else NOT_KNOWN


def _row(row: Row | None, stage: int, calls: Calls, seen: Seen | None) -> dict[str, Value]:
    """What a row holds at a stage."""
    if row is None or seen is None:
        return dict.fromkeys(("taken", "free", "longest free run"), _absent(seen))
    taken = taken_at(row, stage)
    left_out = missing_in(row, stage, calls, seen.gaps)
    unknown = left_out | {calls.of(panel.name) for panel in taken.unknown}
    unsure = left_out | {calls.of(one.name) for one in row.at(stage) if one.start is None or one.width is None}
    values = {"taken": Value(taken.nominal, AT_LEAST if unknown else "", unknown)}
    if row.length is None:
        return {**values, "free": NOT_KNOWN, "longest free run": NOT_KNOWN}
    longest = max((end - start for start, end in runs_at(row, stage)), default=Fraction(0))
    values["free"] = Value(row.length.value - taken.nominal, AT_MOST if unknown else "", unknown)
    is_certain = certain(row, stage) and not left_out
    values["longest free run"] = Value(longest, "" if is_certain else AT_MOST, unsure)
    return values


def missing_in(row: Row, stage: int, calls: Calls, gaps: Gaps) -> frozenset[str]:
    """What stands, or may stand, in a row at a stage, and is not known."""
    return gaps.lines_of(row.name) | {calls.of(name) for name in gaps.panels_of(row.name, stage)}

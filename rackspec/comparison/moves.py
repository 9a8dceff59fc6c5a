"""Panels that stand elsewhere: in: panels with their old and new places, out: moves, swaps, and what moved along.

A panel whose place hangs on what stands before it moves when that is inserted, removed or widened: all panels of a row
that move by as much are one change, not one each.
"""

from __future__ import annotations

from bisect import bisect_left
from fractions import Fraction
from typing import NamedTuple

from rackspec.comparison.keys import stamped
from rackspec.comparison.placed import Placed, kind_of, label
from rackspec.comparison.record import MOVED, REORDERED, SHIFTED, SWAPPED, Change

NO_WIDTH = Fraction(0)


class Move(NamedTuple):
    """A panel that stands elsewhere on the new side."""

    old: Placed
    new: Placed

    @property
    def shift(self) -> Fraction | None:
        """How far it moves to the right (mm); None where a place is not known."""
        if self.old.start is None or self.new.start is None:
            return None
        return self.new.start - self.old.start

    @property
    def in_row(self) -> bool:
        """Whether it stays in its row."""
        return self.old.new_spot.row == self.new.spot.row


class Row(NamedTuple):
    """The panels of a row that are on both sides, and all of the new side, by where they start."""

    ranks_before: dict[int, int]
    ranks_after: dict[int, int]
    starts: list[Fraction]
    placed: list[Placed]
    before: dict[int, Placed]


def moves_of(
    moving: list[Move], same: list[tuple[Placed, Placed]], new: list[Placed], rack: str
) -> tuple[list[Change], set[int]]:
    """What moved, and which panels of the new side (by id) are told by themselves. ``same`` are all panels that both
    sides have, ``new`` all of the new side."""
    changes: list[Change] = []
    alone: set[int] = set()
    rows: dict[str, list[Move]] = {}
    for move in moving:
        if move.in_row:
            rows.setdefault(move.new.spot.row, []).append(move)
        else:
            alone.add(id(move.new))
            changes.append(_moved(move, rack))
    looks = _rows(same, new) if rows or any(one.start is None for one, _ in same) else {}
    for row, moves in sorted(rows.items()):
        rest = _without_swaps(moves, changes, alone, rack)
        for group in _groups(rest):
            first = group[0]
            if len(group) == 1 and first.shift is not None and not _is_led(first, looks[row]):
                alone.add(id(first.new))
                changes.append(_moved(first, rack))
            else:
                changes.append(_shifted(group, looks[row], rack))
    changes += _orders(same, rack)
    return changes, alone


def _rows(same: list[tuple[Placed, Placed]], new: list[Placed]) -> dict[str, Row]:
    """Each row of the new side with the order of its panels on both sides."""
    both: dict[str, list[tuple[Placed, Placed]]] = {}
    for old, other in same:
        if old.new_spot.row == other.spot.row and old.start is not None and other.start is not None:
            both.setdefault(other.spot.row, []).append((old, other))
    standing: dict[str, list[tuple[Fraction, Placed]]] = {}
    for placed in new:
        if placed.start is not None:
            standing.setdefault(placed.spot.row, []).append((placed.start, placed))
    rows = {}
    for row in {placed.spot.row for placed in new}:
        pairs = both.get(row, [])
        before = sorted(pairs, key=lambda pair: (pair[0].start, pair[0].number))
        after = sorted(pairs, key=lambda pair: (pair[1].start, pair[1].number))
        there = sorted(standing.get(row, []), key=lambda item: (item[0], item[1].number))
        rows[row] = Row(
            {id(other): rank for rank, (_, other) in enumerate(before)},
            {id(other): rank for rank, (_, other) in enumerate(after)},
            [start for start, _ in there],
            [placed for _, placed in there],
            {id(other): old for old, other in same},
        )
    return rows


def _without_swaps(moves: list[Move], changes: list[Change], alone: set[int], rack: str) -> list[Move]:
    """The moves of a row that are left when panels that change places have been told."""
    paths: dict[tuple[Fraction | None, Fraction | None], Move] = {}
    for move in moves:
        paths.setdefault((move.old.start, move.new.start), move)
    taken: set[int] = set()
    for move in moves:
        if id(move) in taken or move.shift is None or move.shift <= 0:
            continue
        partner = paths.get((move.new.start, move.old.start)) or _neighbour(move, paths)
        if partner is None or id(partner) in taken:
            continue
        taken |= {id(move), id(partner)}
        alone |= {id(move.new), id(partner.new)}
        pair = sorted((move, partner), key=lambda one: (one.new.start or NO_WIDTH, one.new.number))
        first, second = pair
        changes.append(
            stamped(
                Change(
                    SWAPPED,
                    "panel",
                    label(first.new, rack),
                    rack,
                    before=first.old.spot,
                    after=first.new.spot,
                    names=(label(first.new, rack), label(second.new, rack)),
                    shift=first.shift,
                )
            )
        )
    return [move for move in moves if id(move) not in taken]


def _neighbour(move: Move, paths: dict[tuple[Fraction | None, Fraction | None], Move]) -> Move | None:
    """The panel that stood directly to the right of one and now stands directly to its left."""
    if move.old.end is None:
        return None
    partner = paths.get((move.old.end, move.old.start))
    if partner is None or partner.new.end != move.new.start:
        return None
    return partner


def _groups(moves: list[Move]) -> list[list[Move]]:
    """Moves of a row that go together: those by as much, and those whose places are known on one side only."""
    groups: dict[object, list[Move]] = {}
    for move in sorted(moves, key=lambda move: (move.new.start or NO_WIDTH, move.new.number)):
        key = move.shift if move.shift is not None else ("known" if move.old.start is None else "lost")
        groups.setdefault(key, []).append(move)
    return list(groups.values())


def _is_led(move: Move, row: Row) -> bool:
    """Whether a panel moves because of what stands before it, and not past other panels."""
    follows = move.old.follows and move.new.follows
    return follows and row.ranks_before.get(id(move.new)) == row.ranks_after.get(id(move.new))


def _moved(move: Move, rack: str) -> Change:
    """One panel that was put elsewhere."""
    return stamped(
        Change(
            MOVED,
            kind_of(move.new),
            label(move.new, rack),
            rack,
            before=move.old.spot,
            after=move.new.spot,
            shift=move.shift if move.in_row else None,
        )
    )


def _shifted(group: list[Move], row: Row, rack: str) -> Change:
    """Panels of a row that moved by as much."""
    first = group[0]
    ranks = sorted(row.ranks_after[id(move.new)] for move in group if id(move.new) in row.ranks_after)
    unbroken = len(ranks) == len(group) and ranks[-1] - ranks[0] == len(ranks) - 1
    behind, because = "", None
    if first.new.start is not None:
        number = bisect_left(row.starts, first.new.start) - 1
        if number >= 0:
            left = row.placed[number]
            behind = label(left, rack)
            before = row.before.get(id(left))
            if before is not None and left.spot.part and before.new_spot.part == left.spot.part:
                widths = (before.spot.width, left.spot.width)
                if widths[0] is not None and widths[1] is not None and widths[0] != widths[1]:
                    because = (left.spot.part, widths[1] - widths[0])
    return stamped(
        Change(
            SHIFTED,
            "row",
            f"{rack}/{first.new.spot.row}",
            rack,
            before=first.old.spot,
            after=first.new.spot,
            names=tuple(label(move.new, rack) for move in group),
            shift=first.shift,
            behind=behind,
            because=because,
            unbroken=unbroken,
        )
    )


def _orders(same: list[tuple[Placed, Placed]], rack: str) -> list[Change]:
    """Rows in which panels whose places are not known stand in another order."""
    rows: dict[str, list[tuple[Placed, Placed]]] = {}
    for old, new in same:
        if old.start is None and new.start is None and old.new_spot.row == new.spot.row and old.follows and new.follows:
            rows.setdefault(new.spot.row, []).append((old, new))
    changes = []
    for row, pairs in sorted(rows.items()):
        was = sorted(pairs, key=lambda pair: pair[0].number)
        now = sorted(pairs, key=lambda pair: pair[1].number)
        if was != now:
            texts = [", ".join(label(new, rack).removeprefix(rack + "/") for _, new in order) for order in (was, now)]
            changes.append(
                stamped(Change(REORDERED, "row", f"{rack}/{row}", rack, word="panels", old=texts[0], new=texts[1]))
            )
    return changes

"""Where a part could go: in: a rack and a part, out: for each row and stage the starts that are free.

Starts are whole HP, and half HP where only those bring the holes of a panel in front of threads.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from rackspec.language.units import HP
from rackspec.model.parts import PanelPart
from rackspec.model.rack import Panel, Rack, Row
from rackspec.physics.bolting import enters, meet
from rackspec.physics.packing import pack_stages
from rackspec.physics.room import Span, whole_hp
from rackspec.rules.choices import FIRST_THREAD, Chosen, chosen_of, holes_of
from rackspec.rules.chosen import too_short
from rackspec.rules.stages import certain, runs_from, spans_at
from rackspec.solve.placing import longest_first, with_panel

MOST_STARTS = 300
"""Starts of one run that are tried one by one; of a longer run the ends are."""
MOST_STEPS = 20_000
"""Work spent on packing the wishes for one start; the rule that looks at the rack in the end spends more."""
APART = 10_000
"""HP from the start of one row to the next, when runs of several rows are laid on one line."""
FITS, IMPOSSIBLE, UNDECIDED, NOT_ASKED = "fits", "impossible", "undecided", "not asked"


class Spot(NamedTuple):
    """A free run of a row from a stage on (mm) that takes the part, and the starts in it (mm).

    ``missing``: starts at which a hole stands in front of no thread. ``crowding``: starts that take a wish its place.
    ``doubtful``: starts for which that was not decided. ``rails``: those that are long enough, if others are not.
    """

    row: Row
    stage: int
    run: Span
    starts: tuple[Fraction, ...]
    missing: frozenset[Fraction]
    crowding: frozenset[Fraction]
    doubtful: frozenset[Fraction]
    rails: str

    @property
    def good(self) -> tuple[Fraction, ...]:
        """Starts with nothing amiss."""
        return tuple(start for start in self.starts if start not in self.missing and start not in self.crowding)


class Wishes:
    """Whether all wishes of a rack find a place, as exact packing says."""

    def __init__(self, rack: Rack) -> None:
        self.known: dict[object, str] = {}
        self.asked = any(wish.width is not None and wish.pieces > 0 for wish in rack.wishes)
        self.before = self.verdict(rack)

    def verdict(self, rack: Rack) -> str:
        """``fits``, ``impossible``, ``undecided``, or ``not asked`` where there are none or a place is not known."""
        last = len(rack.stages) - 1
        if not self.asked or any(row.length is None for row in rack.rows):
            return NOT_ASKED
        if not all(certain(row, stage) for row in rack.rows for stage in range(last + 1)):
            return NOT_ASKED
        stages = []
        for stage in range(last + 1):
            runs = []
            for number, row in enumerate(rack.rows):
                for start, end in map(whole_hp, runs_from(row, stage, last)):
                    if end > start:
                        runs.append((number * APART + start, number * APART + end))
            stages.append(tuple(runs))
        items = [
            (max(1, -(-wish.width.value // HP)), wish.since)
            for wish in rack.wishes
            if wish.width is not None
            for _ in range(min(wish.pieces, MOST_STARTS))
        ]
        key = (tuple(stages), tuple(items))
        if key not in self.known:
            self.known[key] = pack_stages(stages, items, MOST_STEPS).verdict
        return self.known[key]


def nearest_starts(run: Span, width: Fraction, step: Fraction) -> list[Fraction]:
    """The starts in a run (mm) at whole steps, from left to right; of a very long run the ends."""
    first = -(-run[0] // step)
    last = (run[1] - width) // step
    count = last - first + 1
    if count <= MOST_STARTS:
        return [number * step for number in range(first, last + 1)]
    half = MOST_STARTS // 2
    return [number * step for number in (*range(first, first + half), *range(last - half + 1, last + 1))]


def meets(chosen: Chosen | None, panel: Panel, start: Fraction) -> bool | None:
    """Whether the holes of a panel meet threads if it starts there (mm); None where nothing can be said."""
    if chosen is None or chosen.insert is None or chosen.thread is None:
        return None
    holed = holes_of(panel, start, chosen.thread)
    if holed is None or not all(enters(hole, chosen.thread) for hole in holed.holes):
        return None
    insert = chosen.insert
    if insert.form == "nut":
        return True
    if insert.form != "strip" or insert.pitch is None or insert.holes is None:
        return None
    first = insert.first.value if insert.first is not None else FIRST_THREAD
    return meet(holed.holes, chosen.thread, first, insert.pitch.value, insert.holes, holed.slack).shift is not None


def choices_that_do(row: Row) -> list[Chosen]:
    """The choices of rails of a row that are long enough for it."""
    found = [chosen_of(row, choice) for choice in row.choices]
    return [chosen for chosen in found if chosen.rail and chosen.insert and not too_short(chosen)]


def missed(row: Row, panel: Panel, starts: Iterable[Fraction]) -> frozenset[Fraction]:
    """The starts at which a hole meets no thread on any choice of rails that does."""
    choices = choices_that_do(row)
    if not choices:
        return frozenset()
    return frozenset(start for start in starts if all(meets(chosen, panel, start) is False for chosen in choices))


def spots_in(rack: Rack, row: Row, part: PanelPart, stage: int, wishes: Wishes) -> list[Spot]:
    """The runs of a row from a stage on that take a part, on its rails as they are planned, else on its longest."""
    assert part.width is not None
    last = len(rack.stages) - 1
    for tried in longest_first(row):
        found = []
        for run in runs_from(tried, stage, last):
            starts = nearest_starts(run, part.width.value, HP)
            if not starts:
                continue
            _, panel = with_panel(rack, row, part, stage, starts[0])
            missing = missed(tried, panel, starts)
            if len(missing) == len(starts):
                halves = [start for start in nearest_starts(run, part.width.value, HP / 2) if start not in missing]
                starts = sorted({*starts, *(set(halves) - missed(tried, panel, halves))})
            verdicts = {}
            if wishes.before == FITS:
                verdicts = {start: wishes.verdict(with_panel(rack, row, part, stage, start)[0]) for start in starts}
            rails = [choice.rail.name for choice in choices_that_do(tried) if choice.rail] if tried is not row else []
            found.append(
                Spot(
                    row,
                    stage,
                    run,
                    tuple(starts),
                    missing,
                    frozenset(start for start, verdict in verdicts.items() if verdict == IMPOSSIBLE),
                    frozenset(start for start, verdict in verdicts.items() if verdict == UNDECIDED),
                    rails[0] if rails else "",
                )
            )
        if found:
            return found
    return []


def longest_run(rack: Rack, row: Row, stage: int) -> Fraction:
    """The longest run of a row that is free from a stage on (mm)."""
    runs = runs_from(row, stage, len(rack.stages) - 1)
    return max((end - start for start, end in runs), default=Fraction(0))


def spots_of(rack: Rack, part: PanelPart, wishes: Wishes) -> list[Spot]:
    """All runs that take a part, stage by stage; a run that is found at an earlier stage is not told again."""
    if part.width is None:
        return []
    found: list[Spot] = []
    for stage in range(len(rack.stages)):
        for row in rack.rows:
            known = {start for spot in found if spot.row is row for start in spot.starts}
            found += [spot for spot in spots_in(rack, row, part, stage, wishes) if not known.issuperset(spot.starts)]
    return found


def in_pieces(row: Row, stage: int) -> Fraction:
    """What is free in a row at a stage in all its pieces (mm)."""
    length = row.length
    if length is None:
        return Fraction(0)
    return length.value - sum((end - start for start, end in spans_at(row, stage)), Fraction(0))

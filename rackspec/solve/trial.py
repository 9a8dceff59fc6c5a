"""One candidate tried in one rack: in: the rack and a part, out: whether it can be taken, where, and if not, why not.

The part is put into a copy of the rack and every rule looks at it; what is found there and was not found before is what
the part brings about. So every rule counts, and none is written twice.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import ERROR, NOTE, WARNING, Finding
from rackspec.model.house import House
from rackspec.model.parts import PanelPart
from rackspec.model.rack import Panel, Rack
from rackspec.pipeline import Inspected, inspect_rack
from rackspec.rules.registry import NotKnown, Rule
from rackspec.solve.placing import with_loose_supply, with_panel, without_wish
from rackspec.solve.spots import Spot, Wishes, spots_of
from rackspec.waivers import apply_flags, apply_waivers


class Judge(NamedTuple):
    """What a rack is held against: the house, the rules, the date of the day."""

    house: House
    rules: dict[str, Rule]
    today: date

    def look(self, rack: Rack) -> tuple[list[Finding], Inspected]:
        """All findings of a rack as they count, and what else was seen."""
        found, seen = inspect_rack(rack, self.house, self.rules, self.today)
        waived = apply_waivers(rack, found, self.rules, self.today, sound=False)
        return apply_flags(waived, self.house, self.rules), seen


class Attempt(NamedTuple):
    """The part at one place: the rack with it, its panel, what that brings about, and what is not known because of it.

    ``spot`` is None where the part stands nowhere; ``instead_of`` names the wish whose place it takes.
    """

    rack: Rack
    panel: Panel | None
    spot: Spot | None
    new: tuple[Finding, ...]
    not_known: tuple[NotKnown, ...]
    instead_of: str

    def count(self, severity: str) -> int:
        """How many new findings of a severity count."""
        return sum(finding.severity == severity and finding.waiver is None for finding in self.new)

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The new findings that speak against it."""
        return tuple(finding for finding in self.new if finding.severity == ERROR and finding.waiver is None)

    @property
    def stage(self) -> int:
        """The stage from which on it is there."""
        return self.panel.since if self.panel is not None else 0


class Trial(NamedTuple):
    """What came of trying a part in a rack: the place that is best, the best place in each row, and every free run.

    ``wishes`` says whether all wishes have a place without the part. ``errors_before``: what the rack lacks already.
    """

    rack: Rack
    house: House
    part: PanelPart
    best: Attempt
    by_row: tuple[Attempt, ...]
    spots: tuple[Spot, ...]
    wishes: str
    errors_before: int
    takes: bool


def worth(attempt: Attempt) -> tuple[int, int, int, int]:
    """Attempts in order: fewest errors, the earliest stage, fewest warnings, fewest notes."""
    return (len(attempt.errors), attempt.stage, attempt.count(WARNING), attempt.count(NOTE))


def said(finding: Finding) -> tuple[str, tuple[str, ...], str, str, bool]:
    """What makes a finding another one: one that got worse has another message."""
    return (finding.rule, finding.names, finding.message, finding.severity, finding.waiver is not None)


class Search:
    """Tries one part in one rack."""

    def __init__(self, rack: Rack, part: PanelPart, judge: Judge) -> None:
        self.rack = rack
        self.part = part
        self.judge = judge
        self.before, self.seen = judge.look(rack)

    def attempt(self, spot: Spot | None, start: Fraction | None, instead_of: str = "") -> Attempt:
        """The part at a place, looked at by every rule."""
        rack, before = self.rack, {said(finding) for finding in self.before}
        if instead_of:
            rack = without_wish(rack, instead_of)
            before |= {said(finding) for finding in self.judge.look(rack)[0]}
        panel: Panel | None = None
        if spot is None and self.part.kind == "supply" and self.part.width is None:
            placed = with_loose_supply(rack, self.part)
        else:
            row, stage = (spot.row, spot.stage) if spot is not None else (rack.rows[0], 0)
            placed, panel = with_panel(rack, row, self.part, stage, start)
        found, seen = self.judge.look(placed)
        # a part that stands nowhere makes a row overfull; that is no fault of its own
        ours = ("waiver-stale",) if spot is not None else ("waiver-stale", "row-overfull")
        new = [finding for finding in found if said(finding) not in before and finding.rule not in ours]
        new.sort(key=lambda finding: ((ERROR, WARNING, NOTE).index(finding.severity), finding.rule, finding.message))
        known = {(item.thing, item.fact) for item in self.seen.not_known}
        unknown = tuple(item for item in seen.not_known if (item.thing, item.fact) not in known)
        return Attempt(placed, panel, spot, tuple(new), unknown, instead_of)

    def best_in(self, spots: list[Spot], instead_of: str = "") -> Attempt | None:
        """The best of both ends and the middle of some runs; the first that brings no error about is taken."""
        found: list[Attempt] = []
        for spot in spots:
            starts = spot.good or tuple(start for start in spot.starts if start not in spot.missing) or spot.starts
            for start in dict.fromkeys((starts[0], starts[-1], starts[len(starts) // 2])):
                found.append(self.attempt(spot, start, instead_of))
                if not found[-1].errors:
                    return found[-1]
        return min(found, key=worth, default=None)

    def by_row(self, spots: list[Spot], instead_of: str = "") -> list[Attempt]:
        """The best attempt of each row, at its earliest stage that brings no error about."""
        found = []
        for row in self.rack.rows:
            here: list[Attempt] = []
            for stage in range(len(self.rack.stages)):
                attempt = self.best_in([spot for spot in spots if spot.row is row and spot.stage == stage], instead_of)
                if attempt is not None:
                    here.append(attempt)
                    if not attempt.errors:
                        break
            if here:
                found.append(min(here, key=worth))
        return found

    def in_place_of_a_wish(self, spots: list[Spot]) -> list[Attempt]:
        """Attempts in which the part is what a wish stands for: one that is at least as wide."""
        width = self.part.width
        known = [(wish.width.value, wish.name) for wish in self.rack.wishes if wish.pieces and wish.width is not None]
        for wide, name in sorted(known, key=lambda pair: pair[0]):
            if width is not None and width.value <= wide:
                found = [attempt for attempt in self.by_row(spots, name) if not attempt.errors]
                if found:
                    return found
        return []

    def run(self) -> Trial:
        """Try it."""
        wishes = Wishes(self.rack)
        spots = spots_of(self.rack, self.part, wishes)
        attempts = self.by_row(spots)
        if attempts and all(attempt.errors for attempt in attempts):
            attempts = self.in_place_of_a_wish(spots) or attempts
        if attempts:
            best = min(attempts, key=worth)
        elif self.rack.rows:
            best = self.attempt(None, None)  # it stands nowhere, but power and money can be said
        else:
            best = Attempt(self.rack, None, None, (), (), "")
        takes = bool(self.rack.rows) and not best.errors and (best.spot is not None or self.open_ended())
        errors = sum(finding.severity == ERROR and finding.waiver is None for finding in self.before)
        house = self.judge.house
        return Trial(self.rack, house, self.part, best, tuple(attempts), tuple(spots), wishes.before, errors, takes)

    def open_ended(self) -> bool:
        """Whether nothing speaks against it although no place was found: its width, or that of the rows, is not known.

        A supply without a width stands in the case and in no row.
        """
        return self.part.width is None or any(row.length is None for row in self.rack.rows)


def try_in(rack: Rack, part: PanelPart, judge: Judge) -> Trial:
    """Try a part in a rack. Nothing is changed."""
    return Search(rack, part, judge).run()

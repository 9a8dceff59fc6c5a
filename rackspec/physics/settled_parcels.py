"""The cheapest order from parcels that are settled: in: which sellers send, and within which ranges, out: units.

Needs meet only in the sums of goods and masses that a range asks for. Without such, each need is covered by itself.
With them, goods are credited towards the sums; a cover that costs more than what the best order known leaves for it
is left out, and the rest are put together need by need, the cheapest for each set of sums.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from rackspec.physics.covers import GivenUp, Table, Work, cheapest_way, suffixes, ways_within
from rackspec.physics.order_numbers import SHARES, Choice, Group, Terms
from rackspec.physics.parcel_ranges import Range, holds
from rackspec.physics.put_together import Course, Sums, Units, cheapest_chain, course_of, marks_of, sums_of

MOST_LOTS = 300
"""Lots of one need that are tried in every number."""
PARTS = (256, 64, 16, 4, 1)
"""Of what an order may cost beyond its bound, these parts are searched one after the other."""
CREDITS = (0, 4, 8, 16, 32, 64, 112, 160, 208)
"""Credits that are tried, in parts of ``SHARES``; below it, so that goods nobody wants never cost nothing."""


class Covered(NamedTuple):
    """What all needs cost at least with credits, the tables of each, the units of each."""

    total: int
    tables: tuple[list[Table], ...]
    units: tuple[Units, ...]


class Open(NamedTuple):
    """A search that is not at its end: credits, what they give, and the next of ``PARTS`` to search. No order costs
    less than ``least``, times ``SHARES``."""

    parcels: "Settled"
    credits: tuple[int, ...]
    covered: Covered
    least: int
    part: int

    def search(self, limit: int, offer: Callable[[Units], None]) -> "Open | None":
        """Offer the cheapest order, if it costs less than the limit. Only a part of what lies between is searched,
        because the search grows fast with it: where nothing is in it, the search that is left."""
        least = self.parcels.least(self.covered, self.credits)
        highest = limit
        if self.part < len(PARTS) - 1:
            top = min((limit - 1) * SHARES, 2 * abs(least))  # the limit is far off where no order is known
            highest = min(limit, (least + max(0, top - least) // PARTS[self.part]) // SHARES + 1)
        spare = (highest - 1) * SHARES - least
        if spare >= 0:
            courses = [
                self.parcels.course(group, self.credits, tables, spare)
                for group, tables in zip(self.parcels.groups, self.covered.tables, strict=True)
            ]
            fixed, marks = self.parcels.fixed, self.parcels.marks
            found = cheapest_chain(courses, marks, self.credits, fixed, highest, self.parcels.work)
            if found is not None:
                offer(found)
                return None
        if highest >= limit:
            return None
        return self._replace(least=max(self.least, highest * SHARES), part=self.part + 1)


class Settled:
    """Parcels that are settled: a range for each seller that sends, None for one that does not."""

    def __init__(self, terms: Terms, ranges: Sequence[Range | None], work: Work) -> None:
        self.terms, self.ranges, self.work = terms, ranges, work
        self.known: dict[tuple[int, tuple[int, ...]], tuple[list[Table], Units]] = {}
        self.marks = tuple(mark for seller, one in enumerate(ranges) if one for mark in marks_of(terms, seller, one))
        self.groups = [self.kept(group) for group in terms.groups]
        self.fixed = sum(terms.goods) + sum(one.fee for one in ranges if one is not None)

    def kept(self, group: Group) -> Group:
        """A need with the lots that may be in these parcels, those of sellers that something is asked of first."""
        asked = {mark.seller for mark in self.marks}
        choices: list[Choice] = []
        for choice in sorted(group.choices, key=lambda choice: choice.seller not in asked):
            one = self.ranges[choice.seller]
            if choice.lot >= 0 and one is not None and (one.length[1] is None or choice.length < one.length[1]):
                choices.append(choice)
        return Group(group.need, tuple(choices))

    def covers(self, credits: Sequence[int]) -> Covered | None:
        """The cheapest covers with credits; None where something cannot be had."""
        total, tables, units = 0, [], []
        for place, group in enumerate(self.groups):
            factors = tuple(SHARES - credits[choice.seller] for choice in group.choices)
            known = self.known.get((place, factors))
            if known is None:
                table = suffixes(group, factors, self.terms.huge, self.work)
                if table[0][group.need] >= self.terms.huge:
                    return None
                known = table, cheapest_way(group, factors, table, 0, group.need)
                self.known[place, factors] = known
            total += known[0][0][group.need]
            tables.append(known[0])
            units.append(known[1])
        return Covered(total, tuple(tables), tuple(units))

    def least(self, covered: Covered, credits: Sequence[int]) -> int:
        """What the order costs at least, times ``SHARES``."""
        lacking = sum(credits[mark.seller] * max(0, mark.span[0] - mark.start) for mark in self.marks if mark.goods)
        return covered.total + self.fixed * SHARES + lacking

    def best_credits(self, credits: Sequence[int], plain: Covered) -> tuple[list[int], Covered]:
        """Credits that give a high bound: one seller after the other, the best of a few, then those close to it."""
        best, found = [0] * len(credits), plain
        highest = self.least(found, best)
        wanting = [mark.seller for mark in self.marks if mark.goods and mark.span[0] > mark.start]
        for seller in wanting if len(wanting) == 1 else wanting * 2:
            tried = {best[seller]}
            for step in (None, 8, 4, 2, 1):
                middle = best[seller]
                close = {*CREDITS, credits[seller]} if step is None else {middle - step, middle + step}
                for credit in sorted(close - tried):
                    tried.add(credit)
                    trial = best.copy()
                    trial[seller] = credit
                    covered = self.covers(trial) if 0 <= credit <= CREDITS[-1] else None
                    if covered is not None and self.least(covered, trial) > highest:
                        best, found, highest = trial, covered, self.least(covered, trial)
        return best, found

    def look(self, credits: Sequence[int], offer: Callable[[Units], None]) -> Open | None:
        """Offer a few orders: None where the cheapest with these parcels is among them, or there is none."""
        plain = self.covers([0] * len(credits))
        if plain is None:
            return None
        units = joined(plain.units)
        offer(units)
        if self.kept_to(self.sums_of(units)):
            return None
        best, covered = self.best_credits(credits, plain)
        offer(joined(covered.units))
        for some in (units, joined(covered.units)):
            padded = self.padded(some)
            if padded is not None:
                offer(padded)
        return Open(self, tuple(best), covered, self.least(covered, best), 0)

    def sums_of(self, units: Units) -> Sums:
        """The sums of an order, with what is settled."""
        lots = {choice.lot: choice for group in self.groups for choice in group.choices if choice.lot in units}
        return sums_of(self.marks, lots, units, [mark.start for mark in self.marks])

    def kept_to(self, sums: Sums) -> bool:
        """Whether sums are as asked."""
        return all(holds(mark.span, number) for mark, number in zip(self.marks, sums, strict=True))

    def padded(self, units: Units) -> Units | None:
        """An order with more of one lot for each sum that is too low, the cheapest that reaches it."""
        units = dict(units)
        for place, mark in enumerate(self.marks):
            lacking = mark.span[0] - self.sums_of(units)[place] if mark.goods else 0
            if lacking <= 0:
                continue
            found: list[tuple[int, int, int]] = []
            for group in self.groups:
                for choice in group.choices:
                    if choice.seller == mark.seller and choice.breaks[-1][1]:
                        have = units.get(choice.lot, 0)
                        before = choice.price(have) or 0
                        each = choice.breaks[-1][1]
                        many = max(have, choice.breaks[-1][0], -(-(before + lacking) // each))
                        if many <= choice.most:
                            found.append((each * many - before, choice.lot, many))
            if not found:
                return None
            _, lot, many = min(found)
            units[lot] = many
        return units

    def course(self, group: Group, credits: Sequence[int], tables: list[Table], spare: int) -> Course:
        """The covers of a need that leave something for the others."""
        asked = {mark.seller for mark in self.marks}
        exact = sum(choice.seller in asked for choice in group.choices)
        if exact > MOST_LOTS:
            raise GivenUp
        factors = [SHARES - credits[choice.seller] for choice in group.choices]
        lots = {choice.lot: choice for choice in group.choices}
        nothing = [0] * len(self.marks)
        found: dict[Sums, tuple[int, Units]] = {}

        def note(units: Units) -> None:
            self.work.spend(20 + 4 * len(units) * (1 + len(self.marks)))
            cost = sum(lots[lot].price(many) or 0 for lot, many in units.items())
            sums = sums_of(self.marks, lots, units, nothing)
            if sums not in found or cost < found[sums][0]:
                found[sums] = cost, units

        least = tables[0][group.need]
        ways_within(group, exact, factors, tables, min(least + spare, self.terms.huge - 1), self.work, note)
        return course_of(found, self.marks, credits, least, self.work)


def joined(units: Sequence[Units]) -> Units:
    """The units of all needs."""
    return {lot: many for one in units for lot, many in one.items()}

"""Ways to cover one need: in: its lots with credits on goods, out: what a cover costs at least, and every cover within
a sum.

A credit of so many ``SHARES`` makes the goods of a seller that much cheaper here: what a search gives for goods that
bring a parcel nearer to where it is free.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence

from rackspec.physics.order_numbers import SHARES, Choice, Group

Table = list[int]
"""At each number of pieces: what it costs at least to have as many, or more."""


OF_A_TABLE = 10
"""Steps that a table takes beside those of its pieces."""


class GivenUp(Exception):
    """The search has taken all the steps it may."""


class Work:
    """Counts steps, and stops the search where they are used up. ``most`` None: never."""

    def __init__(self, most: int | None) -> None:
        self.left = most

    def spend(self, steps: int) -> None:
        """Take so many steps."""
        if self.left is not None:
            self.left -= steps
            if self.left < 0:
                raise GivenUp


def extend(before: Table, choice: Choice, factor: int, work: Work) -> Table:
    """What covers cost at least once a lot may be taken, too. ``factor``: its prices are multiplied by this."""
    need = len(before) - 1
    each = choice.each
    if each == 0 or need == 0:
        return before  # nothing is dearer than it, because no price is below zero
    after = before[:]
    if choice.plain:
        work.spend(OF_A_TABLE + (need + 1) * len(choice.breaks))
        for least, price in choice.breaks:
            price *= factor
            first = price * least
            bulk = least * each
            row = [first + before[0]]
            for pieces in range(1, need + 1):
                straight = first + before[pieces - bulk if pieces > bulk else 0]
                more = row[pieces - each if pieces > each else 0] + price
                cost = straight if straight < more else more
                row.append(cost)
                if cost < after[pieces]:
                    after[pieces] = cost
        return after
    last = -(-need // each)
    counts = list(range(1, min(last, choice.most) + 1))
    counts += [least for least, _ in choice.breaks if last < least <= choice.most]
    work.spend(OF_A_TABLE + (need + 1) * len(counts))
    for units in counts:
        price_of_all = choice.price(units)
        if price_of_all is None:
            continue
        taken = price_of_all * factor
        bulk = units * each
        for pieces in range(1, need + 1):
            straight = taken + before[pieces - bulk if pieces > bulk else 0]
            if straight < after[pieces]:
                after[pieces] = straight
    return after


def nothing_taken(need: int, huge: int) -> Table:
    """The table before any lot: no piece costs nothing, and there is no other."""
    return [0] + [huge] * need


def seller_tables(
    group: Group, credits: Mapping[int, int | None], huge: int, work: Work
) -> tuple[Table, dict[int, Table]]:
    """The table of all sellers, and of each by itself; a credit of None: nothing is bought there."""
    best = nothing_taken(group.need, huge)
    alone: dict[int, Table] = {}
    for choice in group.choices:
        credit = credits[choice.seller]
        if credit is None:
            continue
        best = extend(best, choice, SHARES - credit, work)
        table = alone.get(choice.seller) or nothing_taken(group.need, huge)
        alone[choice.seller] = extend(table, choice, SHARES - credit, work)
    return best, alone


def suffixes(group: Group, factors: Sequence[int], huge: int, work: Work) -> list[Table]:
    """For each lot the table of the lots from there on; the last one is that of none."""
    found = [nothing_taken(group.need, huge)]
    for choice, factor in zip(reversed(group.choices), reversed(factors), strict=True):
        found.append(extend(found[-1], choice, factor, work))
    found.reverse()
    return found


def cheapest_way(
    group: Group, factors: Sequence[int], tables: Sequence[Table], start: int, pieces: int
) -> dict[int, int]:
    """Units by lot (by its position in the basket) of the cheapest cover of so many pieces with the lots from the
    position ``start`` in the group on."""
    units: dict[int, int] = {}
    for place in range(start, len(group.choices)):
        here, after = tables[place], tables[place + 1]
        if here[pieces] == after[pieces]:
            continue
        choice, factor = group.choices[place], factors[place]
        for many, cost in counts_of(choice, pieces):
            left = max(0, pieces - many * choice.each)
            if many and cost * factor + after[left] == here[pieces]:
                units[choice.lot] = many
                pieces = left
                break
    return units


def counts_of(choice: Choice, pieces: int) -> Iterator[tuple[int, int]]:
    """Units of a lot that can serve a cover of so many pieces, with their prices: none, as many as cover it, and those
    beyond at which a price gets lower."""
    last = min(choice.most, -(-pieces // choice.each)) if choice.each else 0
    for units in range(last + 1):
        cost = choice.price(units)
        if cost is not None:
            yield units, cost
    for least, price in choice.breaks:
        if last < least <= choice.most:
            yield least, price * least


def ways_within(
    group: Group,
    exact: int,
    factors: Sequence[int],
    tables: Sequence[Table],
    most: int,
    work: Work,
    found: Callable[[dict[int, int]], None],
) -> None:
    """Hand on every cover that costs at most a sum, with the factors. The first ``exact`` lots are taken in every
    number, also in more than the need wants; what is left is covered by the others as cheaply as can be. ``most`` is
    below what stands in tables where there is no cover."""
    units: dict[int, int] = {}

    def take(place: int, pieces: int, cost: int) -> None:
        work.spend(2)
        if cost + tables[place][pieces] > most:
            return
        if place == exact:
            found(units | cheapest_way(group, factors, tables, place, pieces))
            return
        choice, factor = group.choices[place], factors[place]
        after = tables[place + 1]
        take(place + 1, pieces, cost)
        settled = max(-(-pieces // choice.each) if choice.each else 0, choice.breaks[-1][0])
        for many in range(choice.breaks[0][0], choice.most + 1):
            price = choice.price(many)
            assert price is not None
            work.spend(1)
            spent = cost + price * factor
            left = max(0, pieces - many * choice.each)
            if spent + after[left] <= most:
                units[choice.lot] = many
                take(place + 1, left, spent)
            elif many >= settled:
                break  # from here on every unit only costs more
        units.pop(choice.lot, None)

    take(0, group.need, 0)

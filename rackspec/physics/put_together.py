"""Covers put together: in: the covers of each need, and sums that have to be reached or kept below, out: the cheapest
choice of one cover for each need.

Need by need, for each set of sums only the cheapest choice goes on, and none that another one beats: one that costs no
more, reaches no less where a sum is to be reached, and holds no more where it is to be kept low. A choice is dropped
where it, with the least that the other needs cost, is too dear.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from rackspec.physics.covers import Work
from rackspec.physics.order_numbers import SHARES, Choice, Terms
from rackspec.physics.parcel_ranges import Range, Span

GOODS, MASS, LENGTH = "goods", "mass", "length"
MOST_COMPARED = 60
"""Choices that a choice with several sums is held against."""

Units = dict[int, int]
"""Units by position of the lot in the basket."""
Sums = tuple[int, ...]
"""A number for each mark."""


class Mark(NamedTuple):
    """A sum of one seller that hangs on what is bought. ``start``: what is settled there already."""

    seller: int
    kind: str
    span: Span
    start: int

    @property
    def goods(self) -> bool:
        """Whether it is a sum of goods."""
        return self.kind == GOODS


class Way(NamedTuple):
    """A cover of a need: by how much it costs more than the least, with credits; its cost; what it adds to sums."""

    over: int
    cost: int
    sums: Sums
    units: Units


class Course(NamedTuple):
    """A need: what it costs at least, with credits and times ``SHARES``, and its ways, the cheapest first."""

    least: int
    ways: tuple[Way, ...]


class Chain(NamedTuple):
    """What is chosen so far: its cost, the last way, and the chain before it."""

    cost: int
    way: Way | None
    before: "Chain | None"


def marks_of(terms: Terms, seller: int, one: Range) -> Iterator[Mark]:
    """The sums of a seller that decide whether a parcel is in a range. No length is too great: such lots are left
    out."""
    for kind, span, start in (
        (GOODS, one.goods, terms.goods[seller]),
        (MASS, one.mass, terms.mass[seller]),
        (LENGTH, (one.length[0], None), terms.length[seller]),
    ):
        if span[0] > start or span[1] is not None:
            yield Mark(seller, kind, span, start)


def sums_of(marks: Sequence[Mark], lots: Mapping[int, Choice], units: Units, start: Sequence[int]) -> Sums:
    """Sums, with what is bought of some lots; others do not count."""
    sums = list(start)
    for lot, many in units.items():
        choice = lots.get(lot)
        for place, mark in enumerate(marks):
            if choice is not None and mark.seller == choice.seller and many:
                if mark.kind == LENGTH:
                    sums[place] = max(sums[place], choice.length)
                else:
                    sums[place] += choice.mass * many if mark.kind == MASS else choice.price(many) or 0
    return tuple(sums)


def course_of(
    found: Mapping[Sums, tuple[int, Units]], marks: Sequence[Mark], credits: Sequence[int], least: int, work: Work
) -> Course:
    """The ways of a need that no other way beats."""
    costs = {sums: (cost, units) for sums, (cost, units) in found.items()}
    ways = []
    for sums in unbeaten(((cost, sums) for sums, (cost, _) in costs.items()), marks, work):
        cost, units = costs[sums]
        credit = sum(credits[mark.seller] * number for mark, number in zip(marks, sums, strict=True) if mark.goods)
        ways.append(Way(cost * SHARES - credit - least, cost, sums, units))
    return Course(least, tuple(sorted(ways, key=lambda way: (way.over, way.cost, way.sums))))


def unbeaten(choices: Iterable[tuple[int, Sums]], marks: Sequence[Mark], work: Work) -> list[Sums]:
    """The sums of choices that no choice beats, the cheapest first."""
    signs = [(1 if mark.span[1] is None else -1 if mark.span[0] <= mark.start else 0) for mark in marks]
    kept: list[Sums] = []
    if 0 in signs:
        return [sums for _, sums in sorted(choices)]
    if len(signs) == 1:
        best: int | None = None
        for _, sums in sorted(choices, key=lambda one: (one[0], -signs[0] * one[1][0])):
            value = signs[0] * sums[0]
            if best is None or value > best:
                best = value
                kept.append(sums)
        return kept
    turned: list[Sums] = []
    for _, sums in sorted(choices):
        here = tuple(sign * number for sign, number in zip(signs, sums, strict=True))
        work.spend(2 + len(marks) * min(len(turned), MOST_COMPARED))
        if not any(all(one >= two for one, two in zip(other, here, strict=True)) for other in turned[:MOST_COMPARED]):
            turned.append(here)
            kept.append(sums)
    return kept


def cheapest_chain(
    courses: Sequence[Course],
    marks: Sequence[Mark],
    credits: Sequence[int],
    fixed: int,
    limit: int,
    work: Work,
) -> Units | None:
    """One way of each need, all sums as asked, cheaper than the limit; None where there is none."""
    wanted = [
        (place, mark.span[0], credits[mark.seller]) for place, mark in enumerate(marks) if mark.goods and mark.span[0]
    ]

    def lacking(sums: Sums) -> int:
        return sum(credit * (low - sums[place]) for place, low, credit in wanted if sums[place] < low)

    rest = sum(course.least for course in courses)
    start = capped(tuple(mark.start for mark in marks), marks)
    states = {start: Chain(fixed, None, None)} if start is not None else {}
    for course in sorted(courses, key=lambda course: len(course.ways)):
        after: dict[Sums, Chain] = {}
        top = (limit - 1) * SHARES - rest
        rest -= course.least
        for sums, chain in states.items():
            spare = top - chain.cost * SHARES - lacking(sums)
            work.spend(4)
            for way in course.ways:
                if way.over > spare:
                    break  # ways behind it are over by more
                work.spend(6 + 4 * len(marks))
                new = capped(added(sums, way.sums, marks), marks)
                if new is None:
                    continue
                cost, known = chain.cost + way.cost, after.get(new)
                if known is not None and known.cost <= cost:
                    continue
                if cost * SHARES + lacking(new) <= top + course.least:  # what is beyond a sum earns no credit
                    after[new] = Chain(cost, way, chain)
        states = {
            sums: after[sums] for sums in unbeaten(((chain.cost, sums) for sums, chain in after.items()), marks, work)
        }
    reached = [
        (chain.cost, sums)
        for sums, chain in states.items()
        if all(number >= mark.span[0] for number, mark in zip(sums, marks, strict=True))
    ]
    if not reached:
        return None
    units: Units = {}
    link: Chain | None = states[min(reached)[1]]
    while link is not None:
        units.update(link.way.units if link.way is not None else {})
        link = link.before
    return units


def capped(sums: Sums, marks: Sequence[Mark]) -> Sums | None:
    """Sums as far as they matter: none beyond what is asked at least; None where one is too high."""
    kept = []
    for number, mark in zip(sums, marks, strict=True):
        low, high = mark.span
        if high is not None and number >= high:
            return None
        kept.append(low if high is None and number > low else number)
    return tuple(kept)


def added(sums: Sums, more: Sums, marks: Sequence[Mark]) -> Sums:
    """Sums with those of a cover: goods and masses add up, of lengths the longest counts."""
    return tuple(
        max(one, other) if mark.kind == LENGTH else one + other
        for one, other, mark in zip(sums, more, marks, strict=True)
    )

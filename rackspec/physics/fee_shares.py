"""Fees shared out among needs: in: covers and what a parcel of each seller costs, out: a sum that no order goes below.

A parcel is paid once, however many needs it serves. Let each need pay a part of it, all parts together no more than the
fee: then what each need costs at least, with its parts of fees, adds up to no more than the whole order. The parts are
raised need by need, as long as a fee has something left; any parts give a true bound, good ones give a high one.
"""

from collections.abc import Sequence
from typing import NamedTuple

from rackspec.physics.covers import Table, Work


class Line(NamedTuple):
    """A need worth v has to get v * part / whole - cost out of the fee of a seller: this much its goods are too cheap
    by."""

    seller: int
    part: int
    whole: int
    cost: int

    def due(self, worth: int) -> int:
        """What the fee has to pay, rounded up; not below zero."""
        return max(0, -(-self.part * worth // self.whole) - self.cost)


class Valued(NamedTuple):
    """A need: what it costs at least without any fee, and what it takes out of fees where it is worth more."""

    least: int
    lines: tuple[Line, ...]


def valued(need: int, best: Table, alone: dict[int, Table]) -> Valued:
    """What a need takes out of fees.

    Either each seller answers for its part of the pieces: true whatever the covers are, and good where prices hang on
    pieces alone. Or each seller that takes part in a cover answers for all of it: good where packs leave something
    over. The former is taken where it starts no lower.
    """
    least = best[need]
    by_piece = min((table[q] * need // q for table in alone.values() for q in range(1, need + 1)), default=0)
    lines = []
    for seller, table in alone.items():
        if by_piece < least or need == 0:
            taking_part = min((table[q] + best[need - q] for q in range(1, need + 1)), default=0)
            lines.append(Line(seller, 1, 1, taking_part))
            continue
        most = None
        for pieces in range(need, 0, -1):
            start = pieces * least - table[pieces] * need
            if most is None or start > most:  # else more pieces ask for more at any worth
                most = start
                lines.append(Line(seller, pieces, need, table[pieces]))
    return Valued(least, tuple(lines) if need else ())


def share_fees(needs: Sequence[Valued], fees: Sequence[int], work: Work) -> tuple[int, list[int]]:
    """What all needs are worth together at least, and what is left of each fee."""
    left = list(fees)
    worth = [need.least for need in needs]
    order = sorted(range(len(needs)), key=lambda one: (len(needs[one].lines), one))
    rising = [one for one in order if needs[one].lines]
    while rising:
        still = []
        for one in rising:
            lines = needs[one].lines
            work.spend(3 * len(lines))
            now = worth[one]
            paid: dict[int, int] = {}
            for line in lines:
                paid[line.seller] = max(paid.get(line.seller, 0), line.due(now))
            highest = step = None
            for line in lines:
                limit = (paid[line.seller] + left[line.seller] + line.cost) * line.whole // line.part
                highest = limit if highest is None or limit < highest else highest
                start = line.cost * line.whole // line.part
                if start > now and (step is None or start < step):
                    step = start
            assert highest is not None
            if highest <= now:
                continue
            new = highest if step is None else min(step, highest)
            worth[one] = new
            after: dict[int, int] = {}
            for line in lines:
                after[line.seller] = max(after.get(line.seller, 0), line.due(new))
            for seller, due in after.items():
                left[seller] -= due - paid[seller]
            if new < highest:
                still.append(one)
        rising = still
    return sum(worth), left

"""Rows made up by chance, many of them close to not fitting: in: a source of chance, out: rows.

Not a test: what the tests of rows in ``tests/physics`` and ``tests/outside`` share.
"""

import random
from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.row import LINES, Line, NutLine, RowEnds, RowHole, RowPanel, RowProblem, Size, StripLine

HP = Fraction(508, 100)


class Kind(NamedTuple):
    """What rows are to be made: how many panels at most, holes a line, tolerances from which (mm), which lines.

    ``uncertain``: how many sizes have a tolerance at most; ``wild``: how often a panel or a hole is far off.
    """

    panels: int = 5
    holes: int = 2
    tolerances: tuple[str, ...] = ("0", "0", "0.02", "0.05", "0.15")
    uncertain: int = 10**6
    lines: tuple[str, ...] = ("strip", "strip", "nut", "none")
    wild: float = 0.1


def hundredths(chance: random.Random, low: int, high: int) -> Fraction:
    """A length between two numbers of hundredths of a millimetre."""
    return Fraction(chance.randint(low, high), 100)


class Maker:
    """Makes rows; counts the sizes that are not certain."""

    def __init__(self, chance: random.Random, kind: Kind) -> None:
        self.chance = chance
        self.kind = kind
        self.left = kind.uncertain

    def size(self, nominal: Fraction, tolerances: tuple[str, ...] | None = None) -> Size:
        """A size with a tolerance, often a lopsided one."""
        choices = self.kind.tolerances if tolerances is None else tolerances
        less, more = (Fraction(self.chance.choice(choices)) for _ in range(2))
        if self.chance.random() < 0.5:
            less = more
        if not (less or more) or self.left <= 0:
            return Size(nominal, nominal, nominal)
        self.left -= 1
        return Size(nominal, nominal - less, nominal + more)

    def line(self, length: Fraction) -> Line:
        """A strip, nuts, or nothing known."""
        chance = self.chance
        form = chance.choice(self.kind.lines)
        if form == "none":
            return None
        if form == "nut":
            return NutLine(self.size(Fraction(chance.choice(["4", "4.9", "5", "5.5", "9.9"]))))
        pitch = Fraction(chance.choice(["5.08"] * 9 + ["5.1"]))
        uncertain = self.kind.tolerances if chance.random() < 0.4 else ("0",)
        first = self.size(Fraction(chance.choice(["2.54"] * 8 + ["2.4", "0"])), uncertain)
        thousandths = ("0", "0.001", "0.01") if chance.random() < 0.4 else ("0",)
        threads = int(length / pitch) + 1 if chance.random() > self.kind.wild else 2
        return StripLine(first, self.size(pitch, thousandths), threads, Fraction(chance.choice(["0", "0", "0.2", "1"])))

    def holes(self, hp: int) -> tuple[RowHole, ...]:
        """Holes near the grid, on either line; some are slots."""
        chance = self.chance
        found = []
        for name in LINES:
            for at in sorted(chance.sample(range(hp), min(hp, chance.randint(0, self.kind.holes)))):
                off = hundredths(chance, -260, 260) if chance.random() < self.kind.wild else hundredths(chance, -11, 11)
                offset = max(at * HP + HP / 2 - Fraction(15, 100) + off, Fraction(1))
                room = Fraction(chance.choice(["0.11", "0.11", "0.11", "0.21", "0.06", "1.11", "0.01"]))
                found.append(RowHole(name, self.size(offset), room, 2 * room + Fraction("2.98")))
        return tuple(found)

    def row(self) -> RowProblem:
        """A row whose panels stand shoulder to shoulder, or nearly."""
        chance = self.chance
        panels = []
        start = Fraction(0)
        for number in range(chance.randint(0, self.kind.panels)):
            hp = chance.choice([1, 2, 2, 3, 4, 6])
            start += chance.choice([0, 0, 0, 0, HP])
            over = hundredths(chance, -10, 60) if chance.random() < 3 * self.kind.wild else hundredths(chance, -10, 20)
            face = self.size(hp * HP - Fraction(3, 10) + over)
            turn = chance.choice([None, Fraction(0), Fraction(5, 100), Fraction(5, 100), Fraction(3, 10)])
            panels.append(RowPanel(f"p{number}", start, hp * HP, face, self.holes(hp), turn))
            start += hp * HP
        length = max(start + chance.choice([0, 0, 0, HP / 2, hundredths(chance, -30, 10)]), Fraction(1))
        beyond = Fraction(chance.choice(["0", "0", "0.3", "1", "0.05"]))
        return RowProblem(tuple(panels), self.line(length), self.line(length), RowEnds(length, beyond))


def random_row(seed: int, kind: Kind) -> RowProblem:
    """The row of a seed."""
    return Maker(random.Random(seed), kind).row()

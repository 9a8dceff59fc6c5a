"""How close a call is: in: a value and its limit, out: what is left between them.

Formulas return margins, so that ``inspect`` can print the closest calls even when all is well.
"""

from fractions import Fraction
from typing import NamedTuple


class Margin(NamedTuple):
    """What is left between a ``value`` and its ``limit``, both in ``unit`` (mm, mA, a currency); negative where broken.

    ``share`` is the margin as a share of the limit, which makes calls of different units comparable.
    """

    what: str
    value: Fraction
    limit: Fraction
    unit: str
    rests_on: str

    @property
    def margin(self) -> Fraction:
        """What is left."""
        return self.limit - self.value

    @property
    def share(self) -> Fraction:
        """What is left, as a share of the limit."""
        return self.margin / self.limit if self.limit else Fraction(-1)

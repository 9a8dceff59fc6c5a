"""Exact numbers: in: the text of a measure, out: a quantity with its nominal value and both its ends.

No float is ever made: a number is a ``Fraction`` of a base unit (mm, mA, V, g, %), kept with its text as written.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.language.units import BASE_SYMBOL, HP, UNITS, Unit

MOST_DIGITS = 30
"""A number with more digits than this is a slip of the hand (and would cost time to compute with)."""


class Quantity(NamedTuple):
    """A length, current, mass …: nominal ``value`` and the ends ``low`` and ``high`` that it may have, in base units.

    A tolerance keeps its nominal value; a range ``a..b`` has its middle as nominal. ``text`` is how it was written.
    """

    dimension: str
    value: Fraction
    low: Fraction
    high: Fraction
    text: str

    @property
    def exact(self) -> bool:
        """Whether both ends are the nominal value."""
        return self.low == self.high


class Money(NamedTuple):
    """A sum of money in one currency (ISO 4217 code), as written in ``text``."""

    value: Fraction
    currency: str
    text: str


def read_number(text: str) -> Fraction:
    """The exact value of ``12``, ``-0.35``, ``3/16`` or ``4 13/16``.

    Raises ValueError for more than MOST_DIGITS digits or anything else that is no number, and ZeroDivisionError for a
    fraction over zero.
    """
    if len(text) > MOST_DIGITS or not text.isascii():
        raise ValueError("too many digits")
    bare = text.lstrip("+-")
    whole, _, part = bare.rpartition(" ")
    over, slash, under = part.partition("/")
    if slash:
        value = _digits(whole.strip() or "0") + Fraction(_digits(over), _digits(under))
    else:
        before, point, behind = bare.partition(".")
        value = Fraction(_digits(before + behind), 10 ** len(behind)) if point else Fraction(_digits(bare))
    return -value if text[0] == "-" else value


def _digits(text: str) -> int:
    """The whole number that some digits write."""
    if not text.isdigit():
        raise ValueError("not a number")
    return int(text)


def split_measure(text: str) -> tuple[str, str]:
    """Number and unit of a measure as two texts: ``4 13/16in`` is ``4 13/16`` and ``in``."""
    unit = text.lstrip("+-0123456789./ \t")
    return text[: len(text) - len(unit)], unit


def unit_of(spelling: str) -> Unit | None:
    """The unit that is spelt so, or None."""
    return UNITS.get(spelling)


def exactly(value: Fraction, dimension: str, text: str = "") -> Quantity:
    """A quantity without tolerance, ``value`` in base units of its dimension."""
    return Quantity(dimension, value, value, value, text or show(value, dimension))


def plain_number(value: Fraction, places: int = 3) -> str:
    """Decimal text of a number with at most ``places`` places; one that does not end there is cut and marked ``~``."""
    scaled = abs(value) * 10**places
    whole = scaled.numerator // scaled.denominator
    mark = "" if scaled == whole else "~"
    digits = f"{whole:0{places + 1}d}" if places else str(whole)
    text = f"{digits[:-places]}.{digits[-places:]}".rstrip("0").rstrip(".") if places else digits
    sign = "-" if value < 0 and text != "0" else ""
    return mark + sign + text


def show(value: Fraction, dimension: str) -> str:
    """A value in base units as a builder would write it: ``27mm``, ``1.2A``, ``+12V``."""
    if dimension == "current" and abs(value) >= 1000:
        return plain_number(value / 1000, 6) + "A"
    if dimension == "voltage":
        return ("+" if value > 0 else "") + plain_number(value) + "V"
    return plain_number(value) + BASE_SYMBOL.get(dimension, "")


def show_hp(value: Fraction) -> str:
    """A length in millimetres, said in HP."""
    return plain_number(value / HP, 2) + "HP"


def show_ends(quantity: Quantity) -> str:
    """A quantity as it was written, or as computed."""
    return quantity.text

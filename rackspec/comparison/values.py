"""A number of two sides: in: its value on each, with what it lacks, out: a figure that says what can be said of both.

What is not known is never held against anything. A sum that lacks something stands at its good end (``at most`` so much
free, ``at least`` so much to be paid), so one that is worse in spite of that is surely worse; one that is better is not
better, but less known.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from rackspec.comparison.moments import Moment
from rackspec.comparison.record import Figure

AT_LEAST, AT_MOST = "at least", "at most"
NOTHING: frozenset[str] = frozenset()


class Value(NamedTuple):
    """A number of one side (None: it has none), its bound, and of what something in it is not known. ``absent``: the
    side has no such thing; else a value of None is one that nobody knows. ``assumed``: what is not known was taken at
    its bad end, so that neither worse nor better is sure."""

    value: Fraction | None
    bound: str = ""
    unknown: frozenset[str] = NOTHING
    absent: bool = False
    assumed: bool = False


ABSENT = Value(None, absent=True)
NOT_KNOWN = Value(None)


def figure(
    kind: str, rack: str, about: str, what: str, time: Moment, unit: str, values: tuple[Value, Value], more: bool | None
) -> Figure:
    """A number of both sides. ``more``: whether more of it is better."""
    old, new = values
    lost, gained = bool(new.unknown - old.unknown), bool(old.unknown - new.unknown)
    sure = True
    if old.value is None or new.value is None:
        lost = new.value is None and not new.absent and old.value is not None
        gained = old.value is None and not old.absent and new.value is not None
    elif more is None or old.assumed or new.assumed or old.value == new.value:
        sure = not (lost or gained)
    else:
        # what is unknown can only make it worse: worse is sure if nothing of that is known now, and the other way round
        sure = not lost if (new.value > old.value) == more else not gained
    bounds = (old.bound, new.bound)
    return Figure(
        kind, rack, about, what, time.stage, time.last, unit, old.value, new.value, bounds, more, sure, lost, gained
    )


def is_told(one: Figure) -> bool:
    """Whether a number is another, or as much and known otherwise: of two sums that lack something, one lacks more."""
    if one.old != one.new or one.bound[0] != one.bound[1]:
        return True
    return bool(one.bound[0]) and one.lost != one.gained


def together(values: Iterable[Value], bound: str, more: frozenset[str] = NOTHING) -> Value:
    """A sum of numbers: with ``bound`` if something in it is not known, and not known if one of them is not.

    ``more``: what else may belong to it and is not known.
    """
    there = [value for value in values if not value.absent]
    if any(value.value is None for value in there):
        return NOT_KNOWN
    unknown = more.union(*(value.unknown for value in there))
    total = sum((value.value for value in there if value.value is not None), Fraction(0))
    return Value(total, bound if unknown else "", unknown)

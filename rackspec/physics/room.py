"""Room in a row: in: spans in mm, out: overlaps, free runs and places where a span of some width fits.

Plain arithmetic on intervals; 60 HP and 4 HP leave 20 of 84 HP (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from rackspec.language.units import HP

Span = tuple[Fraction, Fraction]


def free_runs(length: Fraction, taken: Iterable[Span]) -> list[Span]:
    """What is left of 0..``length`` between the spans that are taken, from left to right."""
    runs: list[Span] = []
    end = Fraction(0)
    for start, stop in sorted(taken):
        if start > end:
            runs.append((end, min(start, length)))
        end = max(end, stop)
        if end >= length:
            break
    if end < length:
        runs.append((end, length))
    return [run for run in runs if run[1] > run[0]]


def whole_hp(run: Span) -> tuple[int, int]:
    """The whole HP positions inside a run: first and last grid line, in HP."""
    first, last = run[0] / HP, run[1] / HP
    return -(-first.numerator // first.denominator), last.numerator // last.denominator


def overlaps(spans: Sequence[tuple[Fraction, Fraction, int]]) -> list[tuple[int, int, Fraction]]:
    """Pairs of spans that share room: (index of the left, index of the right, shared length in mm).

    Each span is (start, end, index). A span is paired with that span before it which reaches furthest, so that one
    misplaced panel gives one pair.
    """
    pairs: list[tuple[int, int, Fraction]] = []
    furthest: tuple[Fraction, Fraction, int] | None = None
    for span in sorted(spans):
        if furthest is not None and span[0] < furthest[1]:
            pairs.append((furthest[2], span[2], min(furthest[1], span[1]) - span[0]))
        if furthest is None or span[1] > furthest[1]:
            furthest = span
    return pairs


def nearest_place(runs: Iterable[Span], width: Fraction, wanted: Fraction) -> Fraction | None:
    """The whole-HP position nearest to ``wanted`` at which ``width`` fits into a free run, or None."""
    best: Fraction | None = None
    for run in runs:
        first, last = whole_hp(run)
        highest = run[1] - width
        top = (highest / HP).numerator // (highest / HP).denominator
        if top < first:
            continue
        near = round(wanted / HP)
        place = min(max(near, first), min(top, last)) * HP
        if best is None or abs(place - wanted) < abs(best - wanted):
            best = place
    return best

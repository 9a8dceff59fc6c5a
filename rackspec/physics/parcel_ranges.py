"""What a parcel can cost: in: how a seller sends, out: ranges of goods, mass and length, and the fee within each.

A range is as wide as its fee allows: it takes in what lies beside it and costs no more. So a seller with one price and
free parcels from some sum on has two ranges: anything at that price, and that sum or more for nothing.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from rackspec.physics.basket import NOTHING, Post, base_shipping

Span = tuple[int, int | None]
"""From a number on, and below another one; None: without end."""


class Range(NamedTuple):
    """A parcel within these spans costs the fee, or less."""

    fee: int
    goods: Span
    mass: Span
    length: Span


def ranges_of(post: Post, scale: int, masses: int, lengths: int) -> tuple[Range, ...]:
    """The ranges of a seller; money, masses and lengths multiplied as told, so that they are whole."""
    starts = {start for start, _ in post.steps} | {post.smallest}
    if post.free is not None:
        starts.add(post.free)
    before = base_shipping(post, post.anyway) if post.anyway else NOTHING
    cuts = sorted({NOTHING} | {start - post.anyway for start in starts if start > post.anyway})
    goods = [
        (int(cut * scale), int((base_shipping(post, cut + post.anyway) - before) * scale))
        for cut in cuts
        if cut + post.anyway >= post.smallest
    ]
    return tuple(
        Range(by_goods[1] + by_mass[1] + by_length[1], by_goods[0], by_mass[0], by_length[0])
        for by_goods in widened(goods)
        for by_mass in widened(beyond(post.heavier, masses, scale))
        for by_length in widened(beyond(post.longer, lengths, scale))
    )


def beyond(steps: Sequence[tuple[Fraction, Fraction]], sizes: int, scale: int) -> list[tuple[int, int]]:
    """Steps of what is exceeded, as steps of whole numbers that are reached."""
    found = {0: 0}
    for start, price in steps:
        found[int(start * sizes) + 1 if start >= 0 else 0] = int(price * scale)
    return sorted(found.items())


def widened(steps: Sequence[tuple[int, int]]) -> list[tuple[Span, int]]:
    """Spans with their fees out of steps, each taking in neighbours that cost no more; without those inside another
    span that costs no more."""
    spans: list[tuple[Span, int]] = []
    for place, (_, fee) in enumerate(steps):
        low = high = place
        while low > 0 and steps[low - 1][1] <= fee:
            low -= 1
        while high + 1 < len(steps) and steps[high + 1][1] <= fee:
            high += 1
        span = steps[low][0], steps[high + 1][0] if high + 1 < len(steps) else None
        if (span, fee) not in spans:
            spans.append((span, fee))
    return [
        one
        for one in spans
        if not any(other is not one and other[1] <= one[1] and inside(one[0], other[0]) for other in spans)
    ]


def inside(inner: Span, outer: Span) -> bool:
    """Whether a span lies in another one."""
    return inner[0] >= outer[0] and (outer[1] is None or (inner[1] is not None and inner[1] <= outer[1]))


def holds(span: Span, number: int) -> bool:
    """Whether a number lies in a span."""
    return number >= span[0] and (span[1] is None or number < span[1])


def highest_cut(ranges: Sequence[Range]) -> tuple[int, int]:
    """Sums of goods and masses beyond which a parcel costs the same, and is sent, for certain."""
    goods = max((edge for one in ranges for edge in one.goods if edge is not None), default=0)
    mass = max((edge for one in ranges for edge in one.mass if edge is not None), default=0)
    return goods, mass

"""What belongs together: in: things of two sides, out: pairs, and what is on one side only.

Nothing here looks at one side more than at the other: with the sides exchanged the same pairs come out.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import TypeVar

T = TypeVar("T")


def pair_up(
    old: Sequence[T], new: Sequence[T], *keys: Callable[[T], Hashable | None]
) -> tuple[list[tuple[T, T]], list[T], list[T]]:
    """Pairs of things with equal keys, and what is left of each side.

    The keys are tried one after the other, the strictest first; of several things with the same key the first belongs
    to the first, and so on. A key of None belongs to nothing.
    """
    pairs: list[tuple[T, T]] = []
    left_old, left_new = list(old), list(new)
    for key in keys:
        if not left_old or not left_new:
            break
        waiting: dict[Hashable, list[T]] = {}
        for thing in reversed(left_new):
            value = key(thing)
            if value is not None:
                waiting.setdefault(value, []).append(thing)
        taken: set[int] = set()
        rest: list[T] = []
        for thing in left_old:
            value = key(thing)
            found = waiting.get(value) if value is not None else None
            if not found:
                rest.append(thing)
                continue
            partner = found.pop()
            taken.add(id(partner))
            pairs.append((thing, partner))
        left_old = rest
        left_new = [thing for thing in left_new if id(thing) not in taken]
    return pairs, left_old, left_new


RARE = 8
"""A token that more things of a side have than this says little about any of them."""


def alike(
    old: Sequence[T], new: Sequence[T], tokens: Callable[[T], Iterable[Hashable]], called: Callable[[T], str]
) -> list[tuple[T, T]]:
    """Pairs of things that have at least half of what they say in common, the likest first.

    ``tokens`` is what a thing says, ``called`` its name, which decides between pairs that are equally alike.
    """
    if not old or not new:
        return []
    told = [list(tokens(thing)) for thing in (*old, *new)]
    where: dict[Hashable, tuple[list[int], list[int]]] = {}
    for number, said in enumerate(told):
        side = 0 if number < len(old) else 1
        for token in said:
            where.setdefault(token, ([], []))[side].append(number)
    common: dict[tuple[int, int], int] = {}
    for ours, theirs in where.values():
        if len(ours) > RARE or len(theirs) > RARE:
            continue
        for pair in {(one, other) for one in ours for other in theirs}:
            common[pair] = common.get(pair, 0) + min(ours.count(pair[0]), theirs.count(pair[1]))
    ranked = []
    for (one, other), shared in common.items():
        size = len(told[one]) + len(told[other])
        if 2 * 2 * shared >= size:
            names = sorted((called(old[one]), called(new[other - len(old)])))
            ranked.append((-2 * shared / size, names, one, other))
    pairs: list[tuple[T, T]] = []
    taken: set[int] = set()
    for _, _, one, other in sorted(ranked):
        if one not in taken and other not in taken:
            taken |= {one, other}
            pairs.append((old[one], new[other - len(old)]))
    return pairs

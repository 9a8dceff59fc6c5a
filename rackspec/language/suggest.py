"""Names that may have been meant: in: a name that is not known and those that are, out: at most three of them."""

from __future__ import annotations

from collections.abc import Iterable

MOST = 3
LEAST_STEM = 4
"""Letters of a name from which on the names that begin with it are offered."""


def distance(left: str, right: str, most: int) -> int:
    """Edits (insert, delete, replace, swap of neighbours) from one word to the other; ``most + 1`` beyond ``most``.

    Optimal string alignment distance, the usual measure for slips of the hand.
    """
    if abs(len(left) - len(right)) > most:
        return most + 1
    two_back: list[int] = []
    back = list(range(len(right) + 1))
    for i, a in enumerate(left, 1):
        row = [i]
        for j, b in enumerate(right, 1):
            cost = min(row[j - 1] + 1, back[j] + 1, back[j - 1] + (a != b))
            if i > 1 and j > 1 and a == right[j - 2] and left[i - 2] == b:
                cost = min(cost, two_back[j - 2] + 1)
            row.append(cost)
        if min(row) > most:
            return most + 1
        two_back, back = back, row
    return min(back[-1], most + 1)


def nearest(word: str, known: Iterable[str]) -> tuple[str, ...]:
    """Known names near ``word``: same but for case first, then by edit distance up to a third of its length."""
    most = max(1, len(word) // 3)
    folded = word.casefold()
    ranked = []
    known_names = list(known)
    for name in known_names:
        if name == word or abs(len(name) - len(word)) > most:
            continue
        score = 0 if name.casefold() == folded else distance(folded, name.casefold(), most) + 1
        if score <= most + 1:
            ranked.append((score, name))
    if not ranked and len(word) >= LEAST_STEM:  # half a name: 'm3-strip' for 'm3-strip-84'
        ranked = [(0, name) for name in known_names if name.casefold().startswith(folded)]
    return tuple(name for _, name in sorted(ranked)[:MOST])


def did_you_mean(names: tuple[str, ...]) -> str:
    """A remedy out of suggestions, or nothing."""
    if not names:
        return ""
    quoted = [f"'{name}'" for name in names]
    return "write " + (quoted[0] if len(quoted) == 1 else ", ".join(quoted[:-1]) + " or " + quoted[-1])

"""Fingerprints: in: what changed, out: a key that the same change has in every run.

A key holds what was said on each side and of what, no line and no file: a bot that remembers it knows a change again
after it was moved or the branch was rebuilt.
"""

from __future__ import annotations

from collections.abc import Hashable
from hashlib import sha256
from typing import TypeVar

from rackspec.comparison.record import Change, FindingChange

VERSION = "v1"
"""Rises when other things go into a key: until then keys that were kept are found again."""


def fingerprint(*parts: Hashable) -> str:
    """The key of something that is made of ``parts``, which print alike in every run (no sets, no own classes)."""
    text = "\n".join((VERSION, *(repr(part) for part in parts)))
    return sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:32]


def stamped(change: Change, *said: Hashable) -> Change:
    """A change with its key; ``said`` is what was and is said, exactly, where that is not in the change itself."""
    exact = said or (
        change.old,
        change.new,
        _plain(change.before),
        _plain(change.after),
        change.names,
        str(change.shift),
        change.details,
    )
    parts = (change.action, change.kind, change.name, change.was, change.word, exact)
    return change._replace(fingerprint=fingerprint(*parts))


def _plain(value: object) -> str:
    return repr(tuple(value)) if isinstance(value, tuple) else ""


Keyed = TypeVar("Keyed", Change, FindingChange)


def numbered(changes: list[Keyed]) -> list[Keyed]:
    """Changes with keys that are unique: the second of two that are the same in everything gets another key."""
    seen: dict[str, int] = {}
    found: list[Keyed] = []
    for change in changes:
        times = seen[change.fingerprint] = seen.get(change.fingerprint, 0) + 1
        found.append(change if times == 1 else change._replace(fingerprint=fingerprint(change.fingerprint, times)))
    return found

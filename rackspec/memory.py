"""What earlier runs saw, in plain values: in: what is learned, out: what is known already. No part of the model.

Everything is kept under a digest of all that it hangs on (``signatures.py``), so that what is found under one still
holds, whatever else has changed.
"""

from __future__ import annotations

import hashlib
from typing import Any

Plain = Any
"""A value made of tuples, texts and whole numbers."""


def digest(*parts: str) -> bytes:
    """A digest of some texts, which no others have."""
    made = hashlib.blake2b(digest_size=20)
    for part in parts:
        data = part.encode("utf-8", "surrogatepass")
        made.update(b"%d:" % len(data))
        made.update(data)
    return made.digest()


class Memory:
    """What is known, and what of it was of use in this run.

    ``clean``: texts in which reading finds nothing wrong, each with the words of the library that are not checked yet;
    ``linked``: parts whose names are all known; ``racks``: what was seen of racks.
    """

    def __init__(self, plain: Plain = None) -> None:
        self.clean: dict[bytes, tuple[str, ...]] = {}
        self.linked: set[bytes] = set()
        self.racks: dict[bytes, Plain] = {}
        self.used: set[bytes] = set()
        if plain is not None:
            self.clean, linked, self.racks = plain
            self.linked = set(linked)

    def learn(self, clean: dict[bytes, tuple[str, ...]], linked: set[bytes], racks: dict[bytes, Plain]) -> None:
        """Take in what was learned elsewhere."""
        self.clean.update(clean)
        self.linked.update(linked)
        self.racks.update(racks)

    def plain(self) -> Plain:
        """What was of use in this run, to be kept."""
        return (
            {key: words for key, words in self.clean.items() if key in self.used},
            tuple(sorted(key for key in self.linked if key in self.used)),
            {key: rack for key, rack in self.racks.items() if key in self.used},
        )

"""How the new side calls what the old one has: in: names of the old side, out: names as the new side has them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cached_property

QUOTED = re.compile(r"'([^']*)'")


class Calls:
    """Names of one name space that are others now. A name that only the old side has is marked where something else has
    it on the new side: the two have nothing to do with each other."""

    def __init__(self, names: Mapping[str, str]) -> None:
        self.names = names
        self._taken = frozenset(names.values())

    def of(self, name: str) -> str:
        """A name as the new side has it."""
        found = self.names.get(name)
        if found is not None:
            return found
        return f"?{name}" if name in self._taken else name

    def also(self, names: Mapping[str, str]) -> Calls:
        """The same names, and others besides as far as they are free on both sides."""
        free = {name: other for name, other in names.items() if name not in self.names and other not in self._taken}
        return Calls({**self.names, **free})


AS_IT_IS = Calls({})
"""The names of the new side, as they are."""


class Renames:
    """Racks and parts by their names (``library``), and for each rack of the old side the things in it (``inside``,
    filled while racks are compared)."""

    def __init__(self, library: Calls, inside: dict[str, Calls]) -> None:
        self.library = library
        self.inside = inside

    def of(self, name: str) -> str:
        """A full name, or that of a rack or a part, as the new side has it."""
        rack, slash, thing = name.partition("/")
        if not slash:
            return self.library.of(rack)
        inside = self.inside.get(rack, AS_IT_IS)
        if thing == rack and thing not in inside.names:  # what is said of the rack as a whole
            return f"{self.library.of(rack)}/{self.library.of(rack)}"
        return f"{self.library.of(rack)}/{inside.of(thing)}"

    def in_text(self, text: str) -> str:
        """A message in which names are as the new side has them."""
        return QUOTED.sub(lambda match: f"'{self.bare.get(match[1], match[1])}'", text) if self.bare else text

    @cached_property
    def bare(self) -> dict[str, str]:
        """The names that are others now, as they stand in messages. It is asked for when all racks are known."""
        found = {name: other for calls in self.inside.values() for name, other in calls.names.items() if name != other}
        return {**found, **self.library.names}


SAME = Renames(AS_IT_IS, {})
"""The names of the new side, as they are."""

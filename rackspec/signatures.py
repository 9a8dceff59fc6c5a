"""What a thing hangs on, as a digest: in: a project with its library, out: digests of racks and parts.

A rack hangs on its own lines, on the lines of every part that a word of them may name, and of every part those name,
on the sellers that its file may name, and on the house; on the day, too, if it is waived in, or has to do with money,
because prices grow old. More words are taken for names than are: then it is looked at once more than it had to be.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from datetime import date

from rackspec.findings import Place, Source
from rackspec.language.outline import NAME, Piece
from rackspec.memory import digest
from rackspec.model.library import Entry
from rackspec.project import Project

WORD = re.compile(NAME)
AGEING = {"waive", "budget"}
"""Words of a rack with which what is said of it hangs on the day."""


class Signatures:
    """Digests of the things of a project, each made once."""

    def __init__(self, project: Project, today: date) -> None:
        self.library = project.library
        self._reach = project.reach
        self._pieces: dict[Source, list[Piece]] = {}
        self._starts: dict[Source, list[int]] = {}
        for file in project.files.values():
            pieces = file.outlined()
            if pieces is not None:
                self._pieces[file.source] = pieces
                self._starts[file.source] = [piece.start for piece in pieces]
        self.house = project.house_source
        self._house = digest(self.house.name, self.house.text) if self.house is not None else b""
        self.sound = project.is_sound
        """Whether every line of the run is understood, as far as was known when this was made."""
        self._day = f"{today.isoformat()} {self.sound}"
        self._own: dict[str, tuple[bytes, tuple[str, ...]]] = {}
        self._words: dict[str, set[str]] = {}

    def piece(self, place: Place) -> Piece | None:
        """The outermost block that a place stands in."""
        starts = self._starts.get(place.source)
        if not starts:
            return None
        piece = self._pieces[place.source][max(0, bisect_right(starts, place.start) - 1)]
        return piece if piece.start <= place.start and place.end <= piece.end else None

    def piece_of(self, name: str) -> tuple[Source, Piece] | None:
        """The block of a named thing, and its source."""
        entry = self.library.entries.get(name)
        piece = self.piece(entry.place) if entry is not None else None
        if entry is None or piece is None or piece.name != name:
            return None
        return entry.place.source, piece

    def _look(self, name: str) -> tuple[bytes, tuple[str, ...]] | None:
        """The digest of a thing's own lines, and the things that its words may name; None where it has no outline."""
        if name not in self._own:
            found = self.piece_of(name)
            if found is None:
                return None
            source, piece = found
            text = source.text[piece.start : piece.end]
            words = set(WORD.findall(text))
            self._words[name] = words
            reach = self._reach.get(source, frozenset())
            entries = self.library.entries
            named = sorted(word for word in words if word in entries and word != name)
            near = [f"{word} {entries[word].kind} {entries[word].place.source in reach}" for word in named]
            self._own[name] = digest(source.name, piece.word, text, *near), tuple(named)
        return self._own[name]

    def _all_of(self, entry: Entry) -> dict[str, bytes] | None:
        """Everything that a thing hangs on, itself too, by name, each with the digest of its own lines."""
        seen: dict[str, bytes] = {}
        waiting = [entry.name, *self._sellers(entry)]
        while waiting:
            name = waiting.pop()
            if name in seen:
                continue
            found = self._look(name)
            if found is None:
                return None
            seen[name], named = found
            waiting += named
        return seen

    def _sellers(self, entry: Entry) -> list[str]:
        """The sellers that a rack may buy from."""
        if entry.kind != "rack":
            return []
        return [seller.name for seller in self.library.sellers_for(entry.place.source)]

    def sources(self, entry: Entry) -> set[Source]:
        """The files of everything that a thing hangs on."""
        return {self.library.entries[name].place.source for name in self._all_of(entry) or ()}

    def of(self, entry: Entry) -> bytes | None:
        """The digest of a rack or part and of all that it hangs on; None where there is none."""
        if self.library.entries.get(entry.name) is not entry:
            return None  # the name is taken twice
        seen = self._all_of(entry)
        if seen is None:
            return None
        own = seen.pop(entry.name)
        ages = entry.kind == "rack" and bool(self._words[entry.name] & AGEING or self._sellers(entry))
        parts = [own, *(seen[name] for name in sorted(seen)), self._house if entry.kind == "rack" else b""]
        return digest(self._day if ages else "", *(part.hex() for part in parts))

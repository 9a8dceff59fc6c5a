"""A store that writes down what it was asked: in: a store, out: its answers, which can be asked again later.

A run depends on nothing but the answers of its store. If they are all the same another time, so is all that it says.
"""

import os
from collections.abc import Iterator

from rackspec.store import Store

VERBATIM = 4_096
"""Bytes up to which a file is kept as it is; of a longer one a digest does."""

Answers = dict[tuple[str, str], object]
"""Each question (what, path) with its answer, of types that ``marshal`` knows."""


def stamp(data: bytes) -> bytes:
    """What stands for the bytes of a file: themselves, or a digest that no other bytes have."""
    if len(data) <= VERBATIM:
        return data
    import hashlib  # most runs have small files only

    return hashlib.blake2b(data).digest() + b"\0" * VERBATIM  # never equal to a short file's own bytes


class Recorded:
    """A store that asks another one, each question once, and remembers what it said."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self.answers: Answers = {}
        self._lists: dict[str, list[tuple[str, bool]]] = {}
        self._failed: dict[str, list[OSError]] = {}
        self._plain: set[str] = set()
        self.closed = False
        """Whether something could not be read, or not be read again."""

    def real(self, path: str) -> str:
        """The path with links followed."""
        known = self.answers.get(("real", path))
        if known is None:
            folder, name = os.path.split(path)
            if path in self._plain and name not in ("", ".", ".."):  # no link itself: only its folder may be
                return os.path.join(self.real(folder), name)
            known = self.answers["real", path] = self._store.real(path)
        return str(known)

    def is_file(self, path: str) -> bool:
        """Whether a file is there."""
        known = self.answers.get(("file", path))
        if known is None:
            known = self.answers["file", path] = self._store.is_file(path)
        return bool(known)

    def is_folder(self, path: str) -> bool:
        """Whether a folder is there."""
        known = self.answers.get(("folder", path))
        if known is None:
            known = self.answers["folder", path] = self._store.is_folder(path)
        return bool(known)

    def exists(self, path: str) -> bool:
        """Whether anything is there."""
        known = self.answers.get(("there", path))
        if known is None:
            known = self.answers["there", path] = self._store.exists(path)
        return bool(known)

    def entries(self, folder: str) -> list[str]:
        """The names in a folder. Raises OSError."""
        try:
            found = sorted(self._store.entries(folder))
        except OSError:
            self.closed = True
            raise
        self.answers["entries", folder] = tuple(found)
        return found

    def files_under(self, folder: str, closed: list[OSError] | None, /) -> Iterator[tuple[str, bool]]:
        """All files below a folder. Raises nothing; folders that may not be read are added to ``closed``."""
        if folder not in self._lists:
            failed: list[OSError] = []
            found = sorted(self._store.files_under(folder, failed))
            self._lists[folder] = found
            self._plain.update(path for path, is_link in found if not is_link)
            self.answers["under", folder] = tuple(found)
            self._failed[folder] = failed
            self.closed = self.closed or bool(failed)
        if closed is not None:
            closed += self._failed[folder]
        yield from self._lists[folder]

    def read(self, path: str, most: int) -> bytes:
        """The bytes of a file. Raises OSError."""
        try:
            data = self._store.read(path, most)
        except OSError:
            self.closed = True
            raise
        self.answers["read", path] = stamp(data)
        self.closed = self.closed or not self._store.is_file(path)  # what a pipe gave, it does not give again
        return data


def still_hold(answers: Answers, store: Store, most: int) -> bool:
    """Whether a store would give all these answers again. ``most``: bytes of a file that are read."""
    asked = Recorded(store)
    for (what, path), answer in answers.items():
        try:
            match what:
                case "under":
                    list(asked.files_under(path, None))
                case "read":
                    if not store.is_file(path):
                        return False
                    asked.read(path, most)
                case "real":
                    asked.answers["real", path] = store.real(path)
                case "file":
                    asked.is_file(path)
                case "folder":
                    asked.is_folder(path)
                case "there":
                    asked.exists(path)
                case _:
                    asked.entries(path)
        except OSError:
            return False
        if asked.answers.get((what, path)) != answer or asked.closed:
            return False
    return True

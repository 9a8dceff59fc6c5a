"""Files laid over a folder: in: the disk, and what stands in the place of some of its files, out: a store of both.

Programs that show differences hand over single files, or trees of only those that differ, under other names. Laid over
the folder that they came from, their ``use`` lines lead where they should.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Iterable, Iterator, Mapping

from rackspec.store import DISK


class Overlay:
    """The disk, with other files in the place of some. ``files``: real path to the path that is read (None: not
    there). ``without``: real paths of folders that count as not there."""

    def __init__(self, files: Mapping[str, str | None], without: Iterable[str] = ()) -> None:
        self._files = files
        self._without = tuple(without)
        self._folders: dict[str, set[str]] = {}
        for path, laid in files.items():
            at = path
            while laid is not None and at != os.path.dirname(at):
                above, part = os.path.split(at)
                known = self._folders.setdefault(above, set())
                if part in known:
                    break
                known.add(part)
                at = above

    def real(self, path: str) -> str:
        """The path with links followed."""
        return os.path.realpath(path)

    def _is_hidden(self, real: str) -> bool:
        """Whether a path is in a folder that counts as not there."""
        return any(real == folder or real.startswith(folder + os.sep) for folder in self._without)

    def is_file(self, path: str) -> bool:
        """Whether a file is there."""
        real = self.real(path)
        if self._is_hidden(real):
            return False
        return self._files[real] is not None if real in self._files else DISK.is_file(real)

    def is_folder(self, path: str) -> bool:
        """Whether a folder is there."""
        real = self.real(path)
        if self._is_hidden(real):
            return False
        return real in self._folders or (real not in self._files and DISK.is_folder(real))

    def exists(self, path: str) -> bool:
        """Whether anything is there."""
        if self.is_file(path) or self.is_folder(path):
            return True
        real = self.real(path)
        return real not in self._files and not self._is_hidden(real) and DISK.exists(path)

    def entries(self, folder: str) -> list[str]:
        """The names in a folder. Raises OSError."""
        real = self.real(folder)
        if self._is_hidden(real):
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), folder)
        added = self._folders.get(real)
        names = set(DISK.entries(folder)) if added is None or DISK.is_folder(folder) else set()
        lost = (path for path, laid in self._files.items() if laid is None)
        gone = {os.path.basename(path) for path in (*lost, *self._without) if os.path.dirname(path) == real}
        return sorted((names - gone) | (added or set()))

    def files_under(self, folder: str, closed: list[OSError] | None) -> Iterator[tuple[str, bool]]:
        """All files below a folder."""
        below = self.real(folder).rstrip(os.sep) + os.sep
        for path, is_link in DISK.files_under(folder, closed) if DISK.is_folder(folder) else ():
            there = self.real(path)
            if there not in self._files and not self._is_hidden(there):
                yield path, is_link
        for path, laid in self._files.items():
            inner = path[len(below) :].split(os.sep)[:-1]
            if laid is not None and path.startswith(below) and not any(part.startswith(".") for part in inner):
                yield os.path.join(folder, path[len(below) :]), False

    def read(self, path: str, most: int) -> bytes:
        """The bytes of a file. Raises OSError."""
        real = self.real(path)
        laid = self._files.get(real, real)
        if laid is None or self._is_hidden(real):
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), path)
        return DISK.read(laid, most)

"""The files of a revision as a store: in: a repository and a revision, out: what the disk would hold at that time.

The files stand where they would stand on the disk, below the repository's top folder. Nothing outside of it is there.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator

from rackspec.files import LARGEST_FILE, SUFFIX
from rackspec.git.repository import Repository

LINK = "120000"
MODULE = "160000"
MOST_LINKS = 40
"""Links that are followed one behind the other, as on Linux."""


class Revision:
    """The store of one revision. Its specs and links are read at once, when the first of them is needed."""

    def __init__(self, repository: Repository, revision: str) -> None:
        self._repository = repository
        self._top = repository.top
        self._files: dict[str, tuple[str, str]] = {}
        self._folders: dict[str, set[str]] = {self._top: {".git"}}
        self._read: dict[str, bytes | None] | None = None
        self.modules: list[str] = []
        """Folders that belong to another repository (submodules), whose files are not in this one."""
        for path, (mode, name) in repository.tree(revision).items():
            full = os.path.join(self._top, *path.split("/"))
            if mode == MODULE:
                self.modules.append(full)
            else:
                self._files[full] = (mode, name)
            while full != self._top:
                above, part = os.path.split(full)
                known = self._folders.setdefault(above, set())
                if part in known:
                    break
                known.add(part)
                full = above
        self._has_links = any(mode == LINK for mode, _ in self._files.values())

    def real(self, path: str) -> str:
        """The path with links followed; one that leads in a ring is followed no further."""
        path = os.path.normpath(path) if not self._has_links or ".." not in path else self._walked(path)
        for _ in range(MOST_LINKS):
            followed = self._once(path)
            if followed == path:
                return path
            path = followed
        return path

    def _walked(self, path: str) -> str:
        """A path with ``..`` taken away where it stands, behind links."""
        at = os.sep
        for part in path.split(os.sep):
            at = os.path.dirname(self.real(at)) if part == ".." else os.path.join(at, part) if part != "." else at
        return at

    def _once(self, path: str) -> str:
        """The path with its first link followed."""
        if not self._has_links or not path.startswith(self._top + os.sep):
            return path
        at = self._top
        parts = path[len(self._top) + 1 :].split(os.sep)
        for number, part in enumerate(parts):
            at = os.path.join(at, part)
            if self._files.get(at, ("",))[0] == LINK:
                target = os.path.join(os.path.dirname(at), os.fsdecode(self._blob(self._files[at][1])))
                return os.path.join(os.path.normpath(target), *parts[number + 1 :])
        return path

    def is_file(self, path: str) -> bool:
        """Whether a file is there."""
        return self._files.get(self.real(path), (LINK,))[0] != LINK

    def is_folder(self, path: str) -> bool:
        """Whether a folder is there."""
        return self.real(path) in self._folders

    def exists(self, path: str) -> bool:
        """Whether anything is there."""
        path = self.real(path)
        return path in self._folders or self.is_file(path) or path == os.path.join(self._top, ".git")

    def entries(self, folder: str) -> list[str]:
        """The names in a folder. Raises OSError."""
        try:
            return sorted(self._folders[self.real(folder)])
        except KeyError:
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), folder) from None

    def files_under(self, folder: str, _closed: list[OSError] | None, /) -> Iterator[tuple[str, bool]]:
        """All files below a folder; none of a revision is closed."""
        waiting = [folder]
        while waiting:
            where = waiting.pop()
            for name in sorted(self._folders.get(self.real(where), ())):
                path = os.path.join(where, name)
                mode = self._files.get(os.path.join(self.real(where), name), ("",))[0]
                if mode == LINK:
                    if self.is_file(path):
                        yield path, True
                elif mode:
                    yield path, False
                elif not name.startswith("."):
                    waiting.append(path)

    def read(self, path: str, most: int) -> bytes:
        """The bytes of a file. Raises OSError where there is none, RevisionFailure where git cannot give them."""
        mode, name = self._files.get(self.real(path), (LINK, ""))
        if mode == LINK:
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), path)
        return self._blob(name)[: most + 1]

    def _blob(self, name: str) -> bytes:
        """The bytes of an object. Raises RevisionFailure where it is not here."""
        if self._read is None:
            wanted = [name for path, (mode, name) in self._files.items() if mode == LINK or path.endswith(SUFFIX)]
            self._read = self._repository.blobs(wanted, LARGEST_FILE)
        if name not in self._read:
            self._read.update(self._repository.blobs([name], LARGEST_FILE))
        data = self._read[name]
        if data is None:
            raise self._repository.lost()
        return data

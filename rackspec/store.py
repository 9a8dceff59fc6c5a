"""Where files come from: in: paths, out: what is there. A store is the disk, or the files of one git revision.

Everything that reads specs asks a store, so that a revision is read exactly as a folder is: ``use`` lines, the root
that a file belongs to, and links are all looked up inside it.
"""

import os
from collections.abc import Iterator
from typing import Protocol


class Store(Protocol):
    """Files and folders under absolute paths. What is not there is neither file nor folder."""

    def real(self, path: str) -> str:
        """The path with links followed."""

    def is_file(self, path: str) -> bool:
        """Whether a file is there, links followed."""

    def is_folder(self, path: str) -> bool:
        """Whether a folder is there, links followed."""

    def exists(self, path: str) -> bool:
        """Whether anything is there, links followed."""

    def entries(self, folder: str) -> list[str]:
        """The names in a folder. Raises OSError."""

    def files_under(self, folder: str, closed: list[OSError] | None, /) -> Iterator[tuple[str, bool]]:
        """All files below a folder, each with whether it is a link. Folders that begin with a dot are left out, linked
        ones are not entered, and those that may not be read are added to ``closed``."""

    def read(self, path: str, most: int) -> bytes:
        """The bytes of a file; of one longer than ``most`` so many that this is plain. Raises OSError."""


class Disk:
    """The files of this machine."""

    def real(self, path: str) -> str:
        """The path with links followed."""
        return os.path.realpath(path)

    def is_file(self, path: str) -> bool:
        """Whether a file is there."""
        return os.path.isfile(path)

    def is_folder(self, path: str) -> bool:
        """Whether a folder is there."""
        return os.path.isdir(path)

    def exists(self, path: str) -> bool:
        """Whether anything is there."""
        return os.path.exists(path)

    def entries(self, folder: str) -> list[str]:
        """The names in a folder. Raises OSError."""
        return os.listdir(folder)

    def files_under(self, folder: str, closed: list[OSError] | None) -> Iterator[tuple[str, bool]]:
        """All files below a folder."""
        waiting = [folder]
        while waiting:
            where = waiting.pop()
            try:
                with os.scandir(where) as found:
                    for entry in found:
                        if entry.is_dir(follow_symlinks=False):
                            if not entry.name.startswith("."):
                                waiting.append(entry.path)
                        elif entry.is_file():
                            yield entry.path, entry.is_symlink()
            except OSError as error:
                if closed is not None:
                    closed.append(error)

    def read(self, path: str, most: int) -> bytes:
        """The bytes of a file. Raises OSError."""
        with open(path, "rb") as file:
            too_large = os.fstat(file.fileno()).st_size > most
            # read() of a size asks for so much memory at once; a device without a size is read no further than that
            return file.read(most + 1) if too_large or not os.path.isfile(path) else file.read()


DISK = Disk()
"""The disk, where nothing else is said."""

"""What a run said, kept for the next one: in: a key, out: what was kept under it, or nothing.

A private folder of this user holds a file a key. Each begins with a checksum, and is written under another name and
renamed, so that runs beside each other never see half of one. Nothing but this program reads them.
"""

from __future__ import annotations

import marshal
import os
import sys
import zlib
from typing import Any

from rackspec import __version__

MARK = b"rackspec keeps this for itself 1\n"
MOST_FILES = 400
MOST_BYTES = 64 * 1024 * 1024
LARGEST = 16 * 1024 * 1024
"""Bytes of one entry; a larger one is not kept."""


def cache_folder() -> str | None:
    """The folder of this user for such files, or None where there is none that is private."""
    if os.name == "nt":
        above = os.environ.get("LOCALAPPDATA", "")
    elif os.environ.get("XDG_CACHE_HOME", "").startswith("/"):
        above = os.environ["XDG_CACHE_HOME"]
    else:
        home = os.environ.get("HOME", "")
        above = os.path.join(home, "Library/Caches" if sys.platform == "darwin" else ".cache") if home else ""
    if not os.path.isabs(above):
        return None
    folder = os.path.join(above, "rackspec")
    try:
        made = _look(folder)
        if made is None:
            os.makedirs(above, mode=0o700, exist_ok=True)
            os.mkdir(folder, mode=0o700)
            made = _look(folder)
    except OSError:
        return None
    return folder if made else None


def _look(folder: str) -> bool | None:
    """Whether a folder is this user's and nobody else's to write in; None if it is not there."""
    try:
        found = os.lstat(folder)
    except FileNotFoundError:
        return None
    if os.name == "nt":
        return os.path.isdir(folder)
    return (found.st_mode & 0o170022) == 0o040000 and found.st_uid == os.geteuid()


def program() -> tuple[object, ...]:
    """What stands for this very program: its version, its files, and the Python that runs it.

    Of an installed wheel these are the digests that it came with, which are the same wherever it is installed.
    """
    here = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    files: tuple[object, ...] | None = wheel_files(here)
    if files is None:
        files = files_here(here)
    return (__version__, sys.version, sys.flags.optimize, files)


def wheel_files(here: str) -> tuple[tuple[str, int], ...] | None:
    """The lines that a wheel's record has of this program, each with the size that its file has now."""
    try:
        with open(os.path.join(os.path.dirname(here), f"rackspec-{__version__}.dist-info", "RECORD"), "rb") as file:
            lines = file.read().decode("utf-8").splitlines()
        files = []
        for line in lines:
            name, _, digest = line.partition(",")
            if name.startswith("rackspec/") and digest.startswith("sha256="):
                files.append((line, os.stat(os.path.join(os.path.dirname(here), name)).st_size))
    except (OSError, ValueError):
        return None
    return tuple(files) or None


def files_here(here: str) -> tuple[tuple[str, int, int], ...]:
    """All files of this program as they are on the disk, with their sizes and times."""
    files = []
    waiting = [here, os.path.join(os.path.dirname(here), "grammar")]
    while waiting:
        try:
            with os.scandir(waiting.pop()) as found:
                for entry in found:
                    if entry.is_dir():
                        if entry.name != "__pycache__":
                            waiting.append(entry.path)
                    else:
                        facts = entry.stat()
                        files.append((entry.path, facts.st_size, facts.st_mtime_ns))
        except OSError:
            continue
    return tuple(sorted(files))


def key_of(*facts: Any) -> bytes:
    """A key out of plain values."""
    return marshal.dumps(facts, 2)  # a version in which equal values have equal bytes


class Cache:
    """Entries by key in a folder. Nothing here ever raises."""

    def __init__(self, folder: str) -> None:
        self.folder = folder

    def _path(self, key: bytes) -> str:
        return os.path.join(self.folder, f"{zlib.crc32(key):08x}{zlib.adler32(key):08x}-{len(key)}")

    def get(self, key: bytes) -> Any:
        """What was kept under a key, or None."""
        try:
            with open(self._path(key), "rb") as file:
                data = file.read(LARGEST + 1)
            head, payload = data[: len(MARK) + 8], data[len(MARK) + 8 :]
            if head != MARK + b"%08x" % zlib.crc32(payload):
                return None
            kept_key, value = marshal.loads(payload)
        except (OSError, EOFError, ValueError, TypeError, MemoryError):
            return None
        return value if kept_key == key else None

    def put(self, key: bytes, value: Any) -> None:
        """Keep a value of plain types under a key."""
        try:
            payload = marshal.dumps((key, value))
            if len(payload) > LARGEST:
                return
            path = self._path(key)
            temporary = f"{path}.{os.urandom(8).hex()}"  # the number of a process may be another container's, too
            handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(MARK + b"%08x" % zlib.crc32(payload) + payload)
                os.replace(temporary, path)
            except BaseException:
                os.unlink(temporary)
                raise
            self._make_room()
        except (OSError, ValueError):
            return

    def _make_room(self) -> None:
        """Take the oldest entries away, half of all, when there are too many."""
        with os.scandir(self.folder) as found:
            entries = []
            for entry in found:
                facts = entry.stat(follow_symlinks=False)
                entries.append((facts.st_mtime, facts.st_size, entry.path))
        if len(entries) <= MOST_FILES and sum(size for _, size, _ in entries) <= MOST_BYTES:
            return
        entries.sort()
        left = sum(size for _, size, _ in entries)
        for number, (_, size, path) in enumerate(entries):
            if left <= MOST_BYTES // 2 and len(entries) - number <= MOST_FILES // 2:
                return
            left -= size
            try:
                os.unlink(path)
            except FileNotFoundError:  # a run beside this one was faster
                pass


def open_cache() -> Cache | None:
    """The cache of this user, if there is one."""
    folder = cache_folder()
    return Cache(folder) if folder is not None else None

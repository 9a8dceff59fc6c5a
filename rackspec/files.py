"""Files: in: paths in a store, out: sources, the roots they belong to, and what could not be read.

A root is the nearest folder above with a house.rackspec, else the git root, else the file's own folder. Nothing outside
of it is read by ``use``.
"""

import os
from typing import NamedTuple

from rackspec.findings import ERROR, Finding, Place, Source
from rackspec.store import DISK, Store

SUFFIX = ".rackspec"
HOUSE_FILE = "house.rackspec"
LARGEST_FILE = 64 * 1024 * 1024
"""Bytes. A larger file is no spec; reading it would only fill the memory."""


class ReadText(NamedTuple):
    """A text that was read, and what is wrong with its bytes. ``damaged``: some characters could not be read."""

    source: Source
    findings: tuple[Finding, ...]
    damaged: bool


def shown(path: str, base: str) -> str:
    """How a path is shown: relative to the folder ``base`` where it is below, with ``/`` between its parts."""
    path = os.path.abspath(path)
    relative = os.path.relpath(path, base)
    name = (path if relative.startswith("..") and relative.count("..") > 3 else relative).replace(os.sep, "/")
    return name.encode("utf-8", "backslashreplace").decode()  # a name on disk need not be UTF-8


def from_bytes(name: str, data: bytes) -> ReadText:
    """A text out of bytes: UTF-8, with or without byte-order mark. Bytes that are none are a finding, not an error."""
    if len(data) > LARGEST_FILE:
        source = Source(name, "")
        message = f"a file of {len(data) // 1024 // 1024} MB is no spec"
        found = Finding("file-too-large", ERROR, message, Place(source, 0, 0), remedy="name another file")
        return ReadText(source, (found,), True)
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
    try:
        return ReadText(Source(name, data.decode("utf-8")), (), False)
    except UnicodeDecodeError as error:
        if data.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in data:
            source = Source(name, "")
            message = "this is no text in UTF-8"
            remedy = "save it as plain text, encoding UTF-8"
            return ReadText(source, (Finding("not-utf-8", ERROR, message, Place(source, 0, 0), remedy=remedy),), True)
        start = len(data[: error.start].decode("utf-8"))
        source = Source(name, data.decode("utf-8", errors="replace"))
        message = f"the byte 0x{data[error.start]:02X} here is no UTF-8"
        found = Finding(
            "not-utf-8", ERROR, message, Place(source, start, start + 1), remedy="save the file with encoding UTF-8"
        )
        return ReadText(source, (found,), True)


def read_file(path: str, name: str, store: Store = DISK) -> ReadText:
    """The text of a file. Raises OSError."""
    return from_bytes(name, store.read(path, LARGEST_FILE))


def root_of(folder: str, store: Store = DISK) -> str:
    """The root that files in a folder belong to."""
    folder = store.real(folder)
    git_root = ""
    at = folder
    while True:
        if store.is_file(os.path.join(at, HOUSE_FILE)):
            return at
        if not git_root and store.exists(os.path.join(at, ".git")):
            git_root = at
        above = os.path.dirname(at)
        if above == at:
            return git_root or folder
        at = above


def inside(path: str, root: str, store: Store = DISK) -> bool:
    """Whether a path, links followed, is inside the root."""
    path = store.real(path)
    return path == root or path.startswith(root.rstrip(os.sep) + os.sep)


def files_below(folder: str, root: str, store: Store = DISK, closed: list[OSError] | None = None) -> list[str]:
    """All spec files below a folder, sorted; folders that begin with a dot and links out of the root are left out.

    Folders that may not be read are added to ``closed``.
    """
    found = []
    for path, is_link in store.files_under(folder, closed):
        name = os.path.basename(path)
        if name.endswith(SUFFIX) and not name.startswith(".") and (not is_link or inside(path, root, store)):
            found.append(path)
    # folder by folder, those further down behind the files beside them
    return sorted(found, key=lambda path: (os.path.dirname(path).split(os.sep), path))

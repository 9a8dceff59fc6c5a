"""The two sides of a comparison: in: what the user names, out: requests that read them, and how they are called.

A side is a file, a folder, ``-``, a revision (the current folder at that time), or ``REVISION:PATH`` (a path from the
top of the repository, or from here on if it begins with ``./``). ``BASE...`` is what BASE and HEAD have come from,
against the files that are here; ``BASE...REVISION`` the same against a revision.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from rackspec.files import SUFFIX
from rackspec.git.repository import Repository, RevisionFailure
from rackspec.git.revision import Revision
from rackspec.overlay import Overlay
from rackspec.pipeline import Request
from rackspec.store import DISK, Store


class Side(NamedTuple):
    """One side: what is read, and what it is called in a sentence."""

    request: Request
    label: str


class Here(NamedTuple):
    """Where a comparison is asked for: the current folder, the date that counts as today, and standard input."""

    folder: str
    today: date
    stdin_text: bytes | None = None

    def request(self, paths: Sequence[str], store: Store = DISK) -> Request:
        """A request that reads some paths out of a store."""
        return Request(tuple(paths), self.folder, self.today, self.stdin_text, store=store)


def one_side(given: str, here: Here) -> Side:
    """A file, folder, revision, or path in a revision. Raises RevisionFailure."""
    if given == os.devnull:  # how programs that show differences call a file that is not there
        return Side(here.request(()), "nothing")
    if given == "-":
        return Side(here.request(("-",)), "standard input")
    if os.path.exists(os.path.join(here.folder, given)):
        return Side(here.request((given,)), f"'{given}'")
    revision, colon, path = given.partition(":")
    if not colon:
        if given.endswith(SUFFIX) or not given:
            raise RevisionFailure(f"there is no file '{given}'")
        return of_revision(given, ("./",), here)
    if not revision:
        raise RevisionFailure(f"'{given}' names no revision; write REVISION:PATH, such as HEAD:{path or 'racks/'}")
    return of_revision(revision, (path,), here)


def of_revision(revision: str, paths: Sequence[str], here: Here, may_lack: bool = False) -> Side:
    """Paths of a revision. ``may_lack``: one that is not in it is left out. Raises RevisionFailure."""
    repository = Repository(here.folder)
    store = Revision(repository, revision)
    there = []
    for path in paths:
        start = here.folder if path.startswith(("./", "../")) or path in (".", "..") else repository.top
        full = os.path.normpath(os.path.join(os.path.realpath(start), path))
        if store.exists(full):
            there.append(os.path.relpath(full, here.folder))
        elif not may_lack:
            raise RevisionFailure(f"'{revision}' holds no '{path}'")
    return Side(here.request(there, store), f"'{revision}'" + (f" ({', '.join(paths)})" if paths != ("./",) else ""))


def since_base(given: str, paths: Sequence[str], here: Here) -> tuple[Side, Side]:
    """``BASE...``: the merge base with HEAD, and the files here; ``BASE...REVISION``: with that revision, and it."""
    base, _, revision = given.partition("...")
    repository = Repository(here.folder)
    common = repository.merge_base(base or "HEAD", revision or "HEAD")
    named = tuple(path if os.path.isabs(path) else f"./{path}" for path in paths) or ("./",)
    old = of_revision(common, named, here, may_lack=True)._replace(label=f"'{base or 'HEAD'}'")
    if revision:
        return old, of_revision(revision, named, here, may_lack=True)._replace(label=f"'{revision}'")
    new = tuple(paths) or (".",)
    if old.request.paths:  # a file that was there and is here no longer is a change, not a slip
        new = tuple(path for path in new if os.path.exists(os.path.join(here.folder, path))) or ()
    return old, Side(here.request(new), "the files here")


def within(old: str, new: str, place: str, here: Here) -> tuple[Side, Side]:
    """Two files that stand for the file ``place``, or two trees that hold what differs in the folder ``place``.

    What they leave out, and what their ``use`` lines reach, is read from the folder itself. Raises RevisionFailure.
    """
    target = os.path.realpath(os.path.join(here.folder, place))
    sides = [os.path.join(here.folder, given) for given in (old, new)]
    for given, full in zip((old, new), sides, strict=True):
        if not os.path.exists(full):
            raise RevisionFailure(f"there is no file or folder '{given}'")
    if os.path.isdir(sides[0]) != os.path.isdir(sides[1]) and os.devnull not in sides:
        raise RevisionFailure("name two files, or two folders")
    if not os.path.isdir(sides[0]) and not os.path.isdir(sides[1]):
        laid = [{target: None if full == os.devnull else full} for full in sides]
        paths = [() if full == os.devnull else (place,) for full in sides]
    else:
        if not os.path.isdir(target):
            raise RevisionFailure(f"'{place}' is no folder; name the one that both folders were taken from")
        found = [tree(full) for full in sides]
        differing = found[0].keys() | found[1].keys()
        laid = [{os.path.join(target, name): side.get(name) for name in sorted(differing)} for side in found]
        paths = [(place,), (place,)]
    first, second = (Overlay(files) for files in laid)
    return (
        Side(here.request(paths[0], first), f"'{old}'"),
        Side(here.request(paths[1], second), f"'{new}'"),
    )


def tree(folder: str) -> dict[str, str]:
    """The spec files of a folder by their path in it; links are followed wherever they lead, since they were named."""
    found = {}
    for path, _ in DISK.files_under(folder, None):
        if path.endswith(SUFFIX):
            found[os.path.relpath(path, folder)] = path
    return found

"""Paths that were typed: in: a path and a store, out: where it stands, and what it may have meant.

A path of a revision begins at the top of the repository, or at the current folder if it begins with ``./`` or ``../``.
"""

from __future__ import annotations

import os
from collections.abc import Iterable

from rackspec.files import SUFFIX, shown
from rackspec.git.repository import RevisionFailure
from rackspec.language.suggest import nearest
from rackspec.store import Store

LEAST = 3
"""Letters of a name from which on another one may be nearly the same."""


def typed_here(path: str) -> str:
    """A path as it is typed for files here, as one of a revision that begins at the current folder."""
    return path if os.path.isabs(path) else f"./{path}"


def full_path(path: str, folder: str, top: str) -> str:
    """Where a path of a revision stands, were it on the disk."""
    is_here = path.startswith(("./", "../")) or path in (".", "..")
    return os.path.normpath(os.path.join(os.path.realpath(folder if is_here else top), path))


def is_below(path: str, folder: str) -> bool:
    """Whether a path is a folder, or is in it."""
    return path == folder or path.startswith(folder.rstrip(os.sep) + os.sep)


def modules_below(path: str, modules: Iterable[str], folder: str) -> list[str]:
    """The submodules in a path, as they are shown. Raises RevisionFailure if the path is one, or is in one."""
    for module in modules:
        if is_below(path, module):
            name = shown(module, os.path.realpath(folder))
            raise RevisionFailure(
                f"'{name}' is a submodule: its files are in a repository of their own; run compare in that folder"
            )
    return [shown(module, os.path.realpath(folder)) for module in modules if is_below(module, path)]


def meant(path: str, folder: str, stores: Iterable[Store], top: str = "") -> str:
    """The path that was meant by one that is not there: `` did you mean …?``, or nothing.

    It is the same name with the suffix of specs, the same path from the ``top``, or one whose name is nearly the same.
    """
    stores = list(stores)
    full = os.path.normpath(os.path.join(os.path.realpath(folder), path))
    at_top = os.path.join(top, path) if top and not os.path.isabs(path) else ""
    for other in (full + SUFFIX, at_top):
        if other and any(store.exists(other) for store in stores):
            return _asked(os.path.relpath(os.path.normpath(other), os.path.realpath(folder)))
    above, name = os.path.split(full)
    there = {entry.removesuffix(SUFFIX): entry for store in stores for entry in _entries(store, above)}
    name = name.removesuffix(SUFFIX)
    near = nearest(name, sorted(there)) if len(name) >= LEAST else ()
    return _asked(os.path.join(os.path.dirname(path), there[near[0]])) if near else ""


def _entries(store: Store, folder: str) -> list[str]:
    """The folders and specs in a folder."""
    try:
        found = [name for name in store.entries(folder) if not name.startswith(".")]
    except OSError:  # no such folder, or a closed one
        return []
    return [name for name in found if name.endswith(SUFFIX) or store.is_folder(os.path.join(folder, name))]


def _asked(path: str) -> str:
    """The question."""
    return f"; did you mean '{path}'?"

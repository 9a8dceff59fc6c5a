"""The two sides of a comparison: in: what the user names, out: requests that read them, and how they are called.

A side is a file, a folder, ``-``, a revision (the current folder at that time), or ``REVISION:PATH`` (a path from the
top of the repository, or from here on if it begins with ``./``). A revision beside a file or folder of its repository
stands for the same path at that time. ``BASE...`` is what BASE and HEAD have come from, against the files that are
here; ``BASE...REVISION`` the same against a revision.
"""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from rackspec.files import SUFFIX
from rackspec.git.paths import full_path, is_below, meant, modules_below, typed_here
from rackspec.git.repository import NoRepository, Repository, RevisionFailure, UnknownRevision
from rackspec.git.revision import Revision
from rackspec.overlay import Overlay
from rackspec.pipeline import Request
from rackspec.store import DISK, Store

MAY_BE_BOTH = re.compile(r"\w[\w.+-]*(/[\w.+-]+)*")
"""A name that may be a folder's and a branch's; ``./name`` is a folder's only."""


class Side(NamedTuple):
    """One side: what is read, and what it is called in a sentence. ``told``: what the user should know of how it was
    taken, a line each. ``modules``: real paths of folders whose files a revision does not hold (submodules)."""

    request: Request
    label: str
    told: tuple[str, ...] = ()
    modules: tuple[str, ...] = ()


class Here(NamedTuple):
    """Where a comparison is asked for: the current folder, the date that counts as today, and standard input."""

    folder: str
    today: date
    stdin_text: bytes | None = None

    def request(self, paths: Sequence[str], store: Store = DISK) -> Request:
        """A request that reads some paths out of a store."""
        return Request(tuple(paths), self.folder, self.today, self.stdin_text, store=store)

    def holds(self, path: str) -> bool:
        """Whether a file or folder is there."""
        return bool(path) and os.path.exists(os.path.join(self.folder, path))


def one_side(given: str, here: Here) -> Side:
    """A file, folder, revision, or path in a revision. Raises RevisionFailure."""
    if given == os.devnull:  # how programs that show differences call a file that is not there
        return Side(here.request(()), "nothing")
    if given == "-":
        return Side(here.request(("-",)), "standard input")
    if not given.strip():
        raise RevisionFailure("the name of a side is empty; name a file, a folder or a revision")
    if here.holds(given):
        return Side(here.request((given,)), f"'{given}'", _taken(given, here))
    revision, colon, path = given.partition(":")
    if colon and not revision:
        raise RevisionFailure(f"'{given}' names no revision; write REVISION:PATH, such as HEAD:{path or 'racks/'}")
    if colon:
        return of_revision(revision, (path,), here)
    if given.endswith(SUFFIX):
        raise RevisionFailure(f"there is no file '{given}'{meant(given, here.folder, [DISK])}")
    return _by_name(given, "./", here)


def _by_name(given: str, path: str, here: Here, may_lack: bool = False) -> Side:
    """A path of what can only be a revision. Raises RevisionFailure, with what may have been meant instead."""
    try:
        return of_revision(given, (path,), here, may_lack)
    except (NoRepository, UnknownRevision) as failure:
        question = meant(given, here.folder, [DISK])
        if isinstance(failure, NoRepository):
            why = question or ", and no revision either: this folder is in no git repository"
            raise RevisionFailure(f"there is no file or folder '{given}' here{why}") from None
        if question:
            raise RevisionFailure(f"there is no file, folder or revision '{given}' here{question}") from None
        raise


def _taken(given: str, here: Here) -> tuple[str, ...]:
    """What is to be told where a file or folder that is there is called as a branch of a remote is.

    Raises RevisionFailure where it is called as a branch or a tag of this clone is, since either may be meant.
    """
    if not MAY_BE_BOTH.fullmatch(given) or given.endswith(SUFFIX):
        return ()
    try:
        repository = Repository(here.folder)
        is_both, branch = bool(repository.ref(given)), repository.remote_branch(given)
    except RevisionFailure:
        return ()
    kind = "folder" if os.path.isdir(os.path.join(here.folder, given)) else "file"
    if is_both:
        raise RevisionFailure(
            f"'{given}' is a {kind} here and a revision as well; write ./{given} for the {kind}, "
            f"or {given}:./ for the revision"
        )
    return (f"'{given}' is taken as the {kind} here; the branch is '{branch}'",) if branch else ()


def two_sides(old: str, new: str, here: Here) -> tuple[Side, Side]:
    """Two sides that are named one by one. A revision beside a file or folder of its repository stands for the same
    path at that time. Raises RevisionFailure."""
    if _is_revision(old, here) and here.holds(new):
        second = one_side(new, here)
        return _without_modules(_same_path(old, new, "new", here), second)
    if _is_revision(new, here) and here.holds(old):
        first = one_side(old, here)
        return _without_modules(first, _same_path(new, old, "gone", here))
    return _without_modules(one_side(old, here), one_side(new, here))


def _is_revision(given: str, here: Here) -> bool:
    """Whether it can only be a revision, as a whole."""
    is_else = given in ("-", os.devnull) or ":" in given or given.endswith(SUFFIX)
    return bool(given.strip()) and not is_else and not here.holds(given)


def _same_path(revision: str, path: str, otherwise: str, here: Here) -> Side:
    """What a revision holds where a file or folder stands that is here now. ``otherwise``: what that is if there was
    nothing there. Raises RevisionFailure."""
    current = os.path.realpath(here.folder)
    full = os.path.realpath(path) if os.path.isabs(path) else full_path(typed_here(path), current, current)
    try:
        top = Repository(here.folder).top
    except NoRepository:
        return one_side(revision, here)  # which says what is wrong with that
    if full == current or not is_below(full, top):
        return one_side(revision, here)
    inner = os.path.relpath(full, top).replace(os.sep, "/")
    side = _by_name(revision, typed_here(os.path.relpath(full, current)), here, may_lack=True)
    if side.request.paths:
        then = f"{revision}:{inner if inner != '.' else ''}"
        said = f"'{revision}' is read as '{then}', the same path as on the other side"
    else:
        said = f"'{revision}' holds no '{inner}', so all of it is {otherwise}"
    return side._replace(told=(*side.told, said))


def of_revision(
    revision: str, paths: Sequence[str], here: Here, may_lack: bool = False, asked: Repository | None = None
) -> Side:
    """Paths of a revision. ``may_lack``: one that is not in it is left out. Raises RevisionFailure."""
    repository = asked or Repository(here.folder)
    store = Revision(repository, revision)
    there = []
    modules: list[str] = []
    for path in paths:
        full = full_path(path, here.folder, repository.top)
        inner = modules_below(full, store.modules, here.folder)
        if store.exists(full):
            there.append(os.path.relpath(full, here.folder))
            modules += inner
        elif not may_lack:
            question = meant(path, here.folder if path.startswith(".") else repository.top, [store])
            raise RevisionFailure(f"'{revision}' holds no '{path}'{question}")
    named = f" ({', '.join(paths)})" if paths not in (("./",), ("",)) else ""
    told = [*repository.told, *map(_left_out, modules)]
    return Side(here.request(there, store), f"'{revision}'{named}", tuple(told), tuple(store.modules))


def _left_out(module: str) -> str:
    """What is said of a submodule."""
    return f"'{module}' is a submodule: no revision of this repository holds its files, and they are left out"


def _without_modules(old: Side, new: Side) -> tuple[Side, Side]:
    """Both sides without the submodules of either: what one of them cannot hold is no difference."""
    modules = dict.fromkeys((*old.modules, *new.modules))
    if not modules:
        return old, new
    store = Overlay({}, without=modules)
    first, second = (
        side._replace(request=side.request._replace(store=store)) if side.request.store is DISK else side
        for side in (old, new)
    )
    return first, second


def since_base(given: str, paths: Sequence[str], here: Here) -> tuple[Side, Side]:
    """``BASE...``: the merge base with HEAD, and the files here; ``BASE...REVISION``: with that revision, and it.

    A path may be on one side only; one that is on neither is a slip. Raises RevisionFailure.
    """
    if not all(path.strip() for path in paths):
        raise RevisionFailure("a path is empty; name a file or a folder")
    base, _, revision = given.partition("...")
    repository = Repository(here.folder)
    common = repository.merge_base(base or "HEAD", revision or "HEAD")
    named = tuple(typed_here(path) for path in paths) or ("./",)
    old = of_revision(common, named, here, may_lack=True, asked=repository)._replace(label=f"'{base or 'HEAD'}'")
    if revision:
        new = of_revision(revision, named, here, may_lack=True)._replace(label=f"'{revision}'")
    else:  # a file that was there and is here no longer is a change, not a slip
        new = Side(here.request([path for path in paths or (".",) if here.holds(path)]), "the files here")
    stores = [side.request.store for side in (old, new)]
    for path in paths or (".",):
        full = full_path(typed_here(path), here.folder, repository.top)
        if not any(store.exists(full) for store in stores) and (revision or not here.holds(path)):
            other = f"in '{revision}'" if revision else "among the files here"
            what = f"'{path}'" if paths else "this folder"
            question = meant(path, here.folder, stores, repository.top) if paths else ""
            raise RevisionFailure(f"{what} is neither in '{base or 'HEAD'}' nor {other}{question}")
    return _without_modules(old, new)


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

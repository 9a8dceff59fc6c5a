"""``use``: in: the lines of a file, out: the files they reach inside the root, and findings about those that fail."""

import os
from typing import NamedTuple

from rackspec.files import SUFFIX, files_below, inside
from rackspec.findings import ERROR, Finding, Place
from rackspec.language.suggest import nearest
from rackspec.store import DISK, Store


class UseLine(NamedTuple):
    """A ``use`` as written: its text and where it stands."""

    text: str
    place: Place


class Used(NamedTuple):
    """The files that a ``use`` reaches (real paths, sorted), and what is wrong with it."""

    paths: tuple[str, ...]
    findings: tuple[Finding, ...]


def _failed(rule: str, message: str, line: UseLine, remedy: str) -> Used:
    return Used((), (Finding(rule, ERROR, message, line.place, remedy=remedy),))


def resolve(line: UseLine, path: str, folder: str, root: str, store: Store = DISK) -> Used:
    """The files that ``line`` of the file ``path`` reaches; relative paths are taken from ``folder``."""
    text = line.text.strip()
    if not text:
        return _failed(
            "use-not-found", "'use' names no file", line, 'write the path of a file or folder: use "../parts/"'
        )
    if "\0" in text:
        return _failed("use-not-found", "this path cannot be one", line, "write the path of a file or folder")
    if os.path.isabs(text) or text[1:3] in (":\\", ":/"):
        message = f"'{text}' is a path from the top of one machine; elsewhere it leads nowhere"
        return _failed("use-outside-root", message, line, 'write it from this file on, such as "../parts/"')
    target = os.path.join(folder, text)
    if not inside(target, root, store):
        message = f"'{text}' leads out of the folder that this spec belongs to"
        remedy = f"move the file into it, or put a {'house' + SUFFIX} into the folder that holds both"
        return _failed("use-outside-root", message, line, remedy)
    real = store.real(target)
    if store.is_folder(real):
        own = store.real(path) if path else ""
        found = [store.real(name) for name in files_below(real, root, store)]
        if not found:
            return _failed("use-not-found", f"the folder '{text}' holds no {SUFFIX} file", line, "mend the path")
        return Used(tuple(name for name in found if name != own), ())
    if not store.exists(real):
        return _failed("use-not-found", f"there is no file or folder '{text}'", line, _near(target, text, store))
    if path and real == store.real(path):
        return _failed("use-cycle", "this file uses itself", line, "delete this line")
    return Used((real,), ())


def _near(target: str, text: str, store: Store) -> str:
    """A file of the same folder that may have been meant."""
    folder, name = os.path.split(target.rstrip("/\\"))
    if "\\" in text:
        return "write '/' between the parts of a path"
    if store.exists(target + SUFFIX):
        return f"write '{text}{SUFFIX}'"
    try:
        names = [entry for entry in store.entries(folder) if not entry.startswith(".")]
    except OSError:
        return "mend the path; it is taken from the folder of this file"
    near = nearest(name, names)
    if near:
        return "write " + " or ".join(f"'{text[: len(text.rstrip('/')) - len(name)]}{other}'" for other in near)
    return "mend the path; it is taken from the folder of this file"


def cycles(edges: dict[str, list[tuple[str, UseLine]]]) -> list[Finding]:
    """One finding for each ring of files that use each other, at the line that closes it."""
    findings: list[Finding] = []
    done: set[str] = set()
    for first in sorted(edges):
        if first in done:
            continue
        trail: list[tuple[str, int]] = [(first, 0)]
        on_trail = {first: 0}
        while trail:
            path, position = trail[-1]
            targets = edges.get(path, [])
            if position == len(targets):
                done.add(path)
                del on_trail[path]
                trail.pop()
                continue
            trail[-1] = (path, position + 1)
            target, line = targets[position]
            if target in on_trail:
                ring = [edges[name][at - 1][1].place for name, at in trail[on_trail[target] : -1]]
                message = f"'{line.text}' leads back to this file: {len(ring) + 1} files use each other in a ring"
                others = tuple(place.labelled("by way of this") for place in ring[:3])
                remedy = "move what both need into a file of its own, and use that"
                findings.append(Finding("use-cycle", ERROR, message, line.place, others, remedy=remedy))
            elif target not in done and target in edges:
                on_trail[target] = len(trail)
                trail.append((target, 0))
    return findings

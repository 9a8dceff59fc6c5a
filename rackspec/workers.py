"""Several processes: in: a request over many files, out: a memory that knows them, learned by all cores at once.

Workers only fill the memory that an inspection takes from afterwards (``remembering.py``), so what is said, and its
order, cannot hang on how many there were. If one of them fails, what it would have learned is looked at again.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from datetime import date
from multiprocessing import get_context
from typing import NamedTuple

from rackspec.findings import Source
from rackspec.memory import Memory, Plain
from rackspec.model.library import Entry
from rackspec.project import Project
from rackspec.remembering import learn, look_at, read_whole, stamp
from rackspec.rules.registry import Rule
from rackspec.signatures import Signatures

CHUNK = 16
"""Files that a worker is given at a time."""


class Shared(NamedTuple):
    """What every worker finds in its memory, as it was when it was started."""

    projects: list[Project]
    signatures: list[Signatures]
    things: list[dict[Source, list[Entry]]]
    rules: dict[str, Rule]
    today: date
    memory: Memory


Learned = tuple[dict[bytes, tuple[str, ...]], set[bytes], dict[bytes, Plain]]
_shared: list[Shared] = []
"""Handed over by forking, not by value."""


def can_fork() -> bool:
    """Whether processes can be started as copies of this one."""
    return sys.platform.startswith("linux") and "fork" in sys.modules["multiprocessing"].get_all_start_methods()


def learn_together(
    projects: list[Project],
    signatures: list[Signatures],
    rules: dict[str, Rule],
    today: date,
    memory: Memory,
    workers: int,
    told: Callable[[int], None],
    fewest: int = 64,
) -> None:
    """Let workers look at everything in some projects, whose libraries are open, that the memory does not know."""
    unknown = [
        (number, path)
        for number, project in enumerate(projects)
        for path in unknown_files(project, signatures[number], memory)
    ]
    if len(unknown) < fewest or workers < 2 or not can_fork():
        return
    _shared[:] = [Shared(projects, signatures, [things_by_file(project) for project in projects], rules, today, memory)]
    chunks = [unknown[at : at + CHUNK] for at in range(0, len(unknown), CHUNK)]
    try:
        with ProcessPoolExecutor(workers, mp_context=get_context("fork")) as pool:
            waiting = {pool.submit(look, chunk): len(chunk) for chunk in chunks}
            try:
                while waiting:
                    done, _ = wait(waiting, return_when=FIRST_COMPLETED)
                    for future in done:
                        told(waiting.pop(future))
                        memory.learn(*future.result())
            except BaseException:
                pool.shutdown(wait=False, cancel_futures=True)
                raise
    except (OSError, BrokenProcessPool):
        return  # what is missing is looked at by this process
    finally:
        _shared.clear()


def unknown_files(project: Project, signatures: Signatures, memory: Memory) -> list[str]:
    """The files that were named in which something is not known that could be learned."""
    unknown = set()
    for entry in project.things_to_link(project.library):
        key = signatures.of(entry)
        if key is not None and key not in (memory.racks if entry.kind == "rack" else memory.linked):
            unknown.add(entry.place.source)
    named = [(path, project.files[path]) for path in sorted(project.named)]
    return [
        path
        for path, file in named
        if file.source in unknown or (not file.findings and stamp(file.source) not in memory.clean)
    ]


def things_by_file(project: Project) -> dict[Source, list[Entry]]:
    """The things of each file that was named."""
    things: dict[Source, list[Entry]] = {}
    for entry in project.things_to_link(project.library):
        things.setdefault(entry.place.source, []).append(entry)
    return things


def look(chunk: list[tuple[int, str]]) -> Learned:
    """In a worker: read, link and inspect some files; what was learned."""
    (shared,) = _shared
    learned = Memory()
    for number, path in chunk:
        project, signatures = shared.projects[number], shared.signatures[number]
        file = read_whole(project.files[path])
        if file.findings:
            continue
        learned.clean[stamp(file.source)] = tuple(line.word for line in file.later())
        seen = []
        for entry in shared.things[number].get(file.source, ()):
            key = signatures.of(entry)
            known = shared.memory.racks if entry.kind == "rack" else shared.memory.linked
            if key is not None and key not in known:
                seen.append((entry, key, look_at(entry, project, shared.rules, shared.today, signatures.sound)))
        learn(seen, project, signatures, learned)
    return learned.clean, learned.linked, learned.racks

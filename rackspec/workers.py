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

from rackspec.memory import Memory, Plain
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
        for path in sorted(project.named)
        if not is_known(project, path, signatures[number], memory)
    ]
    if len(unknown) < fewest or workers < 2 or not can_fork():
        return
    _shared[:] = [Shared(projects, signatures, rules, today, memory)]
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


def is_known(project: Project, path: str, signatures: Signatures, memory: Memory) -> bool:
    """Whether everything in a file is known."""
    file = project.files[path]
    if stamp(file.source) not in memory.clean:
        return False
    keys = [(entry.kind, signatures.of(entry)) for entry in file.named_things()]
    return all(key in (memory.racks if kind == "rack" else memory.linked) for kind, key in keys)


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
        for entry in project.things_to_link(project.library):
            if entry.place.source is not file.source:
                continue
            key = signatures.of(entry)
            known = shared.memory.racks if entry.kind == "rack" else shared.memory.linked
            if key is not None and key not in known:
                seen.append((entry, key, look_at(entry, project, shared.rules, shared.today)))
        learn(seen, project, signatures, learned)
    return learned.clean, learned.linked, learned.racks

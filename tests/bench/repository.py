"""A repository of many racks: in: an installed program, out: ratios of whole runs, and the memory they took.

Each run is a process of its own. Beside it stands a process that loads the same information as YAML, with the C loader,
and validates it with jsonschema-rs: it reads and validates, and works nothing out.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
from functools import partial
from pathlib import Path
from time import perf_counter

from tests.bench.pairs import Timed, interleaved
from tests.bench.racks import write_repository

HERE = Path(__file__).parent
RACKS = 1_000
LIBRARY = 2_000
"""Modules."""

Told = Callable[[str, float, str, bool | None, str], None]


class Repository:
    """Ways to run over one repository; each returns its seconds, and the most memory that a process of it took."""

    def __init__(self, python: Path, folder: Path) -> None:
        self.python = python
        self.ours, self.yaml = write_repository(folder, RACKS, LIBRARY)
        self.caches = folder / "caches"
        self.peaks: dict[str, int] = {}
        self.turn = 0

    def run(self, name: str, words: list[str | Path], cores: set[int] | None = None, cache: str = "none") -> float:
        """Seconds of a process on some cores, with a cache folder of its own."""
        environment = {**os.environ, "XDG_CACHE_HOME": str(self.caches / cache)}
        start = perf_counter()
        child = subprocess.Popen(
            [str(word) for word in words],
            cwd=self.ours,
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            preexec_fn=partial(os.sched_setaffinity, 0, cores) if cores else None,
        )
        assert child.stderr is not None
        told = child.stderr.read()
        _, status, usage = os.wait4(child.pid, 0)
        seconds = perf_counter() - start
        child.returncode = os.waitstatus_to_exitcode(status)
        child.stderr.close()
        if child.returncode != 0 or told:
            raise SystemExit(f"{words} ended with {child.returncode}:\n{told.decode()}")
        self.peaks[name] = max(self.peaks.get(name, 0), usage.ru_maxrss)
        return seconds

    def inspect(self, name: str, cores: set[int], *more: str, cache: str = "none") -> float:
        """The program over all racks."""
        program = self.python.parent / "rackspec"
        return self.run(name, [program, "inspect", "--on", "2026-11-25", *more], cores, cache)

    def filling(self, name: str, cores: set[int]) -> float:
        """A first run, which finds no cache and fills one."""
        shutil.rmtree(self.caches / "filled", ignore_errors=True)
        return self.inspect(name, cores, cache="filled")

    def after_an_edit(self, name: str, cores: set[int], path: str, old: str, new: str) -> float:
        """A run after a file was edited in one place, to what it has never been before."""
        self.inspect("between", cores, cache="kept")
        self.turn += 1
        file = self.ours / path
        text = file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, new.format(self.turn), 1), encoding="utf-8")
        seconds = self.inspect(name, cores, cache="kept")
        file.write_text(text, encoding="utf-8")
        return seconds

    def yaml_of_it(self, name: str) -> float:
        """The same information, loaded and validated."""
        return self.run(name, [self.python, "-I", HERE / "folder.py", self.yaml])


def repository(python: Path, folder: Path, told: Told, rounds: int) -> None:
    """All runs side by side."""
    if not hasattr(os, "sched_setaffinity"):
        print("a repository of many racks: this system cannot hold a process to some cores; not measured")
        return
    runs = Repository(python, folder)
    cores = sorted(os.sched_getaffinity(0))
    one, two = set(cores[:1]), set(cores[:2])
    rack, part = "racks/shelf-500.rackspec", "parts/modules-1.rackspec"
    things: dict[str, Callable[[], float]] = {
        "YAML": partial(runs.yaml_of_it, "YAML"),
        "cold, one worker": partial(runs.inspect, "cold, one worker", one, "--no-cache"),
        "cold, two workers": partial(runs.inspect, "cold, two workers", two, "--no-cache"),
        "filling a cache": partial(runs.filling, "filling a cache", two),
        "warm": partial(runs.inspect, "warm", one, cache="warm"),
        "one rack edited": partial(runs.after_an_edit, "one rack edited", one, rack, "behind    ", "behind    1{:04}"),
        "one part edited": partial(runs.after_an_edit, "one part edited", one, part, "depth     ", "depth     0.{:04}"),
    }
    if len(two) < 2:
        del things["cold, two workers"]
    timed = interleaved(things, rounds)
    print(f"a repository of {RACKS:,} racks over {LIBRARY:,} modules, whole processes")
    for name in things:
        if name != "YAML":
            told(f"YAML C loader + jsonschema-rs / {name}", timed.ratio("YAML", name), "", None, figures(timed, name))
    if len(two) == 2:
        ratio = timed.ratio("cold, one worker", "cold, two workers")
        told("cold with one worker / with two", ratio, "", None, "")
    print(f"  YAML: {figures(timed, 'YAML')}")
    kept = sum(path.stat().st_size for path in (runs.caches / "kept").rglob("*") if path.is_file())
    print("  most memory of a process: " + ", ".join(f"{name} {peak // 1024} MB" for name, peak in runs.peaks.items()))
    print(f"  the cache, after all of this: {kept / 1024 / 1024:.1f} MB")


def figures(timed: Timed, name: str) -> str:
    """The median of a run."""
    return f"{timed.median(name):.2f} s"

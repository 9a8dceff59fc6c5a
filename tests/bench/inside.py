"""One measurement inside a fresh process: in: what to do with which file, out: one JSON object on standard output.

Run by ``python -m tests.bench`` with the Python of the temporary environment; imports nothing else of the tests. What
is measured starts behind all imports and behind one small file, so that it is the work on this file and nothing else.
"""

from __future__ import annotations

import gc
import json
import os
import sys
import tracemalloc
from collections.abc import Callable
from datetime import date
from time import perf_counter

HERE = os.path.dirname(os.path.abspath(__file__))


def rackspec_work() -> Callable[[str], object]:
    """Parse, link and inspect a file."""
    from rackspec.pipeline import Request, inspect

    def work(path: str) -> object:
        result = inspect(Request((path,), os.path.dirname(path), date(2026, 11, 25)))
        assert not result.failed
        errors = [finding for finding in result.findings if finding.severity == "error"]
        assert not errors, errors[:3]
        return result

    work(os.path.join(HERE, "small.rackspec"))
    return work


def tidy_work() -> Callable[[str], object]:
    """Lay a file out, and hold the layout against it."""
    from rackspec.files import read_file
    from rackspec.language.layout import tidy

    def work(path: str) -> object:
        layout = tidy(read_file(path, path).source)
        assert not layout.refused
        assert not layout.astray
        return layout

    work(os.path.join(HERE, "small.rackspec"))
    return work


def parse_work() -> Callable[[str], object]:
    """Read and bind a file, with all its findings, and do nothing with it."""
    from rackspec.files import read_file
    from rackspec.language.binding import bind
    from rackspec.language.lines import read_tree

    def work(path: str) -> object:
        tree, findings = read_tree(read_file(path, path).source)
        assert not findings
        return bind(tree)

    work(os.path.join(HERE, "small.rackspec"))
    return work


WORK = {"rackspec": rackspec_work, "tidy": tidy_work, "parse": parse_work}


def yaml_work() -> Callable[[str], object]:
    """Load a file with the C loader and validate it with jsonschema-rs."""
    import jsonschema_rs
    import yaml

    with open(os.path.join(HERE, "schema.json"), encoding="utf-8") as file:
        schema = json.load(file)

    def work(path: str) -> object:
        with open(path, encoding="utf-8") as file:
            document = yaml.load(file, yaml.CSafeLoader)
        errors = list(jsonschema_rs.validator_for(schema).iter_errors(document))
        assert not errors, errors[:3]
        return document

    work(os.path.join(HERE, "small.yaml"))
    return work


def main() -> None:
    """Arguments: a kind of WORK or ``yaml``; ``gc``, ``no-gc``, ``again`` (a second time) or ``memory``; the file."""
    kind, how, path = sys.argv[1:]
    work = WORK.get(kind, yaml_work)()
    if how == "again":
        work(path)
    gc.collect()
    if how in ("no-gc", "again"):
        gc.disable()
    if how == "memory":
        tracemalloc.start()
    start = perf_counter()
    kept = work(path)
    seconds = perf_counter() - start
    peak = tracemalloc.get_traced_memory()[1] if how == "memory" else 0
    del kept
    gc.collect()
    left = tracemalloc.get_traced_memory()[0] if how == "memory" else 0
    print(json.dumps({"seconds": seconds, "peak": peak, "left": left}))


if __name__ == "__main__":
    main()

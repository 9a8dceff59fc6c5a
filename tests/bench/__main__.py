"""``python -m tests.bench [ROUNDS]``: in: this checkout, out: ratios beside their budgets, on standard output.

Builds the wheel and installs it into a temporary environment, since that is what a user runs; needs the extra
``bench`` (``pip install -e '.[bench]'``). Nothing here fails for being slow: the ratios are printed, a reader judges.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from functools import partial
from pathlib import Path
from time import perf_counter
from typing import Any

from tests.bench import landed, row_fit
from tests.bench.library import as_rack, as_rackspec, as_yaml, modules
from tests.bench.pairs import Timed, interleaved
from tests.bench.repository import repository
from tests.packaging.installs import build_wheel, copy_sources, install, make_environment

HERE = Path(__file__).parent
LIBRARY = 1_000
"""Modules."""


def told(what: str, ratio: float, budget: str, holds: bool | None, figures: str) -> None:
    """One line of the table."""
    verdict = {True: "within", False: "OVER", None: ""}[holds]
    print(f"  {what:<58} {ratio:7.2f} x  {budget:<10} {verdict:<7} {figures}", flush=True)


def process(words: list[str | Path]) -> float:
    """Seconds of a whole process, from its start to its end."""
    start = perf_counter()
    done = subprocess.run([str(word) for word in words], capture_output=True, check=False)
    seconds = perf_counter() - start
    if done.returncode != 0 or done.stderr:
        raise SystemExit(f"{words} ended with {done.returncode}:\n{done.stderr.decode()}{done.stdout.decode()}")
    return seconds


def with_an_empty_cache(words: list[str | Path]) -> float:
    """Seconds of a process that finds nothing of an earlier run."""
    shutil.rmtree(os.environ["XDG_CACHE_HOME"], ignore_errors=True)
    return process(words)


def inside(python: Path, kind: str, how: str, path: Path) -> dict[str, Any]:
    """One measurement by inside.py, in a fresh process."""
    command = [str(python), "-I", str(HERE / "inside.py"), kind, how, str(path)]
    done = subprocess.run(command, capture_output=True, encoding="utf-8", check=False)
    if done.returncode != 0:
        raise SystemExit(f"{command}\n{done.stderr}")
    return dict(json.loads(done.stdout))


def seconds_inside(python: Path, kind: str, how: str, path: Path) -> float:
    """Its seconds."""
    return float(inside(python, kind, how, path)["seconds"])


def milliseconds(timed: Timed, *names: str) -> str:
    """The medians of some things."""
    return ", ".join(f"{name} {timed.median(name) * 1000:.1f} ms" for name in names)


def write_files(folder: Path) -> dict[int, Path]:
    """All files that are read. Libraries by their number of lines."""
    for name in ("small.rackspec", "small.yaml", "schema.json"):
        shutil.copy(HERE / name, folder / name)
    made = modules(LIBRARY)
    (folder / "library.rackspec").write_text(as_rackspec(made), encoding="utf-8")
    (folder / "library.yaml").write_text(as_yaml(made), encoding="utf-8")
    (folder / "rack.rackspec").write_text(as_rack(made), encoding="utf-8")
    sized: dict[int, Path] = {}
    for lines in (1_000, 10_000, 100_000):
        text = as_rackspec(modules(round(lines / 12.35), seed=lines))
        path = folder / f"lines-{lines}.rackspec"
        path.write_text(text, encoding="utf-8")
        sized[text.count("\n")] = path
    return sized


def whole_processes(python: Path, folder: Path, rounds: int) -> None:
    """Cold runs of the program against importing lark, and against check-jsonschema where it is installed."""
    program = python.parent / "rackspec"
    kept: list[str | Path] = [program, "inspect", "--on", "2026-11-25"]
    inspect = [*kept, "--no-cache"]
    timed = interleaved(
        {
            "bare": partial(process, [python, "-c", "pass"]),
            "lark": partial(process, [python, "-c", "import lark"]),
            "small": partial(process, [*inspect, folder / "small.rackspec"]),
            "first": partial(with_an_empty_cache, [*kept, folder / "small.rackspec"]),
            "again": partial(process, [*kept, folder / "small.rackspec"]),
            "rack": partial(process, [*inspect, folder / "rack.rackspec"]),
        },
        rounds,
    )
    print("whole processes (installed wheel, nothing running before)")
    told(
        "bare interpreter / importing lark", timed.ratio("bare", "lark"), "", None, milliseconds(timed, "bare", "lark")
    )
    ratio = timed.ratio("small", "lark")
    told("inspect a small rack / importing lark", ratio, "<= 1.5", ratio <= 1.5, milliseconds(timed, "small"))
    told("the same, filling an empty cache", timed.ratio("first", "lark"), "", None, milliseconds(timed, "first"))
    told("the same, with nothing changed since", timed.ratio("again", "lark"), "", None, milliseconds(timed, "again"))
    ratio = timed.ratio("rack", "small")
    what = f"inspect a rack that uses a {LIBRARY:,}-module library / small"
    told(what, ratio, "<= 2.0", ratio <= 2.0, milliseconds(timed, "rack"))
    ratio = timed.ratio("rack", "lark")
    told("the same / importing lark", ratio, "<= 3.0", ratio <= 3.0, "")

    other = shutil.which("check-jsonschema", path=os.path.dirname(sys.executable)) or shutil.which("check-jsonschema")
    if other is None:
        print("  check-jsonschema is not installed: not compared")
        return
    against: list[str | Path] = [other, "--schemafile", folder / "schema.json"]
    timed = interleaved(
        {
            "small": partial(process, [*inspect, folder / "small.rackspec"]),
            "small.yaml": partial(process, [*against, folder / "small.yaml"]),
            "library": partial(process, [*inspect, folder / "library.rackspec"]),
            "library.yaml": partial(process, [*against, folder / "library.yaml"]),
        },
        max(3, rounds // 3),
    )
    ratio = timed.ratio("small.yaml", "small")
    told(
        "check-jsonschema on a small file / inspect",
        ratio,
        ">= 3",
        ratio >= 3,
        milliseconds(timed, "small.yaml", "small"),
    )
    ratio = timed.ratio("library.yaml", "library")
    told(
        "check-jsonschema on the library / inspect",
        ratio,
        ">= 8",
        ratio >= 8,
        milliseconds(timed, "library.yaml", "library"),
    )


def parse_and_inspect(python: Path, folder: Path, rounds: int) -> None:
    """The library, against the same as YAML; garbage collection off on both sides, a fresh process each time."""
    ours, yaml = folder / "library.rackspec", folder / "library.yaml"
    text = ours.read_text(encoding="utf-8").splitlines()
    distinct = len(set(text)) / len(text)
    lines_of_yaml = yaml.read_text(encoding="utf-8").count("\n")
    print(f"parse + inspect ({len(text):,} lines, {distinct:.0%} of them distinct; as YAML {lines_of_yaml:,} lines)")
    timed = interleaved(
        {
            "rackspec": partial(seconds_inside, python, "rackspec", "no-gc", ours),
            "rackspec, lines remembered": partial(seconds_inside, python, "rackspec", "again", ours),
            "YAML": partial(seconds_inside, python, "yaml", "no-gc", yaml),
        },
        max(3, rounds // 3),
    )
    ratio = timed.ratio("YAML", "rackspec")
    told(
        "YAML C loader + jsonschema-rs / rackspec",
        ratio,
        ">= 1.0",
        ratio >= 1.0,
        milliseconds(timed, "YAML", "rackspec"),
    )
    again = "rackspec, lines remembered"
    told(
        "the same, read a second time in one process", timed.ratio("YAML", again), "", None, milliseconds(timed, again)
    )


def growth(python: Path, sized: dict[int, Path], rounds: int) -> None:
    """Time and memory a line, for files of three sizes; garbage collection as in the program."""
    timed = interleaved(
        {str(lines): partial(seconds_inside, python, "rackspec", "gc", path) for lines, path in sized.items()},
        max(3, rounds // 3),
    )
    few, _, many = sized
    print("growth with the number of lines (parse + inspect)")
    for lines in sized:
        ratio = timed.ratio(str(lines), str(few)) * few / lines
        a_line = timed.median(str(lines)) / lines * 1e6
        last = lines == many
        budget, holds = ("<= 1.15", ratio <= 1.15) if last else ("", None)
        told(f"a line of {lines:,} lines / a line of {few:,}", ratio, budget, holds, f"{a_line:.1f} us a line")
    memory = inside(python, "rackspec", "memory", sized[many])
    peak, left = memory["peak"] / many, memory["left"] / many
    verdict = "within" if peak <= 600 else "OVER"
    print(f"  memory at its highest, {many:,} lines: {peak:.0f} bytes a line, budget <= 600: {verdict}")
    print(f"  memory kept afterwards: {left:.0f} bytes a line")


def layout(python: Path, folder: Path, rounds: int) -> None:
    """Laying the library out against reading it: a file that is tidy already, and one of which each line changes."""
    tidy_file, untidy = folder / "library.rackspec", folder / "untidy.rackspec"
    text = tidy_file.read_text(encoding="utf-8").replace("    ", "\t")
    untidy.write_text(text, encoding="utf-8")
    timed = interleaved(
        {
            "parse": partial(seconds_inside, python, "parse", "no-gc", tidy_file),
            "tidy": partial(seconds_inside, python, "tidy", "no-gc", tidy_file),
            "untidy": partial(seconds_inside, python, "tidy", "no-gc", untidy),
        },
        max(3, rounds // 3),
    )
    print(f"tidy ({text.count(chr(10)):,} lines)")
    told("a tidy file, tidied / parsed", timed.ratio("tidy", "parse"), "", None, milliseconds(timed, "tidy", "parse"))
    told("a file that changes / parsed", timed.ratio("untidy", "parse"), "", None, milliseconds(timed, "untidy"))


def main() -> None:
    """Measure all of it."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    with tempfile.TemporaryDirectory(prefix="rackspec-bench-") as name:
        work = Path(name)
        os.environ["XDG_CACHE_HOME"] = str(work / "cache")
        (work / "wheel").mkdir()
        python = make_environment(work / "environment")
        install(python, build_wheel(copy_sources(work / "sources"), work / "wheel"))
        folder = work / "files"
        folder.mkdir()
        sized = write_files(folder)
        print(f"Python {sys.version.split()[0]}, {rounds} rounds, medians; the ratios count, not the milliseconds\n")
        whole_processes(python, folder, rounds)
        parse_and_inspect(python, folder, rounds)
        growth(python, sized, rounds)
        layout(python, folder, rounds)
        repository(python, work / "repository", told, max(3, rounds // 5))
        row_fit.rows(told, max(3, rounds // 3))
        landed.orders(told)


if __name__ == "__main__":
    main()

"""With a memory an inspection says what it says without one, whatever was changed in between.

A copy of the demo is changed at random, again and again; each time both are asked. The last tests take one dependency
out of the digests and see that these changes find it missing.
"""

from __future__ import annotations

import marshal
import re
import shutil
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from random import Random

import pytest

from rackspec import plain, signatures
from rackspec.many import inspect_many
from rackspec.memory import Memory
from rackspec.pipeline import Request, Result, inspect
from rackspec.signatures import Signatures
from rackspec.views.json_findings import findings_json
from rackspec.views.text import result_lines
from tests.conftest import ROOT, TODAY

STEPS = 24


def said(result: Result) -> str:
    """Everything that people and machines are shown."""
    return findings_json(result) + "\n".join(result_lines(result))


class Workshop:
    """A copy of the demo that is changed."""

    def __init__(self, folder: Path, seed: int) -> None:
        self.folder = folder / "specs"
        shutil.copytree(ROOT / "specs", self.folder)
        self.before = {path: path.read_text(encoding="utf-8") for path in self.paths()}
        self.random = Random(seed)
        self.today = TODAY
        self.known: object = None

    def paths(self) -> list[Path]:
        """All spec files."""
        return sorted(self.folder.rglob("*.rackspec"))

    def any(self, pattern: str = "*") -> Path:
        """One of the files."""
        return self.random.choice([path for path in self.paths() if path.match(pattern)] or self.paths())

    def edit(self, path: Path, change: Callable[[list[str], int], object]) -> str:
        """Change the lines of a file at a random one of them."""
        lines = path.read_text(encoding="utf-8").split("\n")
        change(lines, self.random.randrange(len(lines)))
        path.write_text("\n".join(lines), encoding="utf-8")
        return path.name

    def line_like(self, pattern: str) -> tuple[Path, int, list[str]] | None:
        """A random line of all files that matches."""
        found = [
            (path, number, lines)
            for path in self.paths()
            for lines in [path.read_text(encoding="utf-8").split("\n")]
            for number, line in enumerate(lines)
            if re.search(pattern, line)
        ]
        return self.random.choice(found) if found else None

    def replace(self, pattern: str, by: str) -> str:
        """Change one line that matches."""
        found = self.line_like(pattern)
        if found is None:
            return "nothing"
        path, number, lines = found
        lines[number] = re.sub(pattern, by, lines[number], count=1)
        path.write_text("\n".join(lines), encoding="utf-8")
        return f"{path.name}:{number + 1} {lines[number]}"

    def step(self) -> str:
        """One change; what it was."""
        n = self.random.randrange(2, 40)
        name = self.random.choice("gate-a drone-b stair-filter lambing millrace saws night-switch top hiss".split())
        steps: list[Callable[[], str]] = [
            lambda: self.replace(r"(width|depth|behind|length) +[0-9.]+(mm|HP)", rf"\1 {n}\2"),
            lambda: self.replace(r"draws +[0-9.]+mA", f"draws {n * 9}mA"),
            lambda: self.replace(r"(gives +)[0-9.]+A", rf"\g<1>0.{n}A"),
            lambda: self.replace(r"price +[0-9.]+", f"price {n}"),
            lambda: self.replace(r"(recess|room|thread|first|play|pitch) +[0-9.]+mm", rf"\1 {n / 4}mm"),
            lambda: self.replace(r"(spare +(?:depth|current)) +[0-9]+", rf"\1 {n}"),
            lambda: self.edit(self.any("house*"), lambda lines, _: lines.insert(1, f"    assume turns {n / 10}")),
            lambda: self.edit(self.any("house*"), lambda lines, _: lines.insert(1, "    flag header-unkeyed as error")),
            lambda: self.edit(self.any(), lambda lines, at: lines.insert(at, f"# a remark {n}")),
            lambda: self.edit(self.any(), lambda lines, at: lines.insert(at, "")),
            lambda: self.edit(self.any(), lambda lines, at: lines.pop(at)),
            lambda: self.edit(self.any(), lambda lines, at: lines.insert(at, lines[at])),
            lambda: self.edit(
                self.any("modules*"), lambda lines, _: lines.extend([f"module {name} {{", "    width 2HP", "}"])
            ),
            lambda: self.replace(r"^module ([a-z-]+)", r"module \1-b"),
            lambda: self.replace(r" like ([a-z-]+)", ""),
            lambda: self.replace(r"^(module [a-z-]+)( \"[^\"]*\")? \{", r"\1 like sine-bank {"),
            lambda: self.replace(r'^use "../parts/"', 'use "../parts/modules-odd.rackspec"'),
            lambda: self.replace(r"^    waive .*", "    # no waiver"),
            lambda: self.replace(r"until 20[0-9-]+$", f"until 2026-12-{n % 28 + 1:02}"),
            lambda: self.replace(r"as ([a-z-]+)$", r"as \1-x"),
            lambda: self.replace(r"(sells .* at) +[0-9.]+", rf"\1 {n / 4}"),
            lambda: self.replace(r"(sells .*) stock +[0-9]+", rf"\1 stock {n}"),
            lambda: self.replace(r"(ships|least|free from) +[0-9.]+ EUR", rf"\1 {n} EUR"),
            lambda: self.replace(r"(basis +stated .*) 20[0-9-]+$", rf"\1 2026-{n % 12 + 1:02}-01"),
            lambda: self.replace(r"(budget +)[0-9.]+", rf"\g<1>{n * 20}"),
            lambda: self.another_day(n),
            lambda: self.new_seller(n, name),
            lambda: self.replace(r"^house \{", f"house {{\n    old price {n * 9} days"),
            lambda: self.undo(),
            lambda: self.undo(),
            lambda: self.take_away(),
            lambda: self.another_day(n),
            lambda: self.new_rack(n, name),
        ]
        return self.random.choice(steps)()

    def undo(self) -> str:
        """Put everything back."""
        for path in self.paths():
            path.unlink()
        for path, text in self.before.items():
            path.write_text(text, encoding="utf-8")
        return "all back"

    def take_away(self) -> str:
        """Take a file away."""
        path = self.any()
        path.unlink()
        return f"without {path.name}"

    def another_day(self, days: int) -> str:
        """Go to another day."""
        self.today = TODAY + timedelta(days=days * 9 - 120)
        return self.today.isoformat()

    def new_rack(self, number: int, name: str) -> str:
        """A rack of its own, which uses a few parts."""
        lines = [f"rack new-{number} {{", f"    row {name}-row {{", "        length 84HP", "        at 0HP hiss"]
        lines += [f"        next {name}", "        next sine-bank as s", "    }"]
        lines += [f'    waive no-room-behind because "{number}"', "}"]
        text = "\n".join(['use "../parts/"', *lines]) + "\n"
        (self.folder / "racks" / f"new-{number}.rackspec").write_text(text, encoding="utf-8")
        return f"new rack {number}"

    def new_seller(self, number: int, name: str) -> str:
        """A seller of its own, who undersells all others, and whose prices may be old."""
        lines = [
            f"seller new-{number} {{",
            f"    ships {number / 4} EUR",
            f'    basis stated "list" 2026-{number % 12 + 1:02}-01',
        ]
        lines += [f"    sells {name} at {number} EUR", "    sells M3x8 at 0.01 EUR", "    sells M3x6 at 0.01 EUR", "}"]
        (self.folder / "sellers" / f"new-{number}.rackspec").write_text("\n".join(lines) + "\n", encoding="utf-8")
        return f"new seller {number}"

    def both(self, workers: int = 1) -> tuple[str, str]:
        """What is said with the memory of all runs before, and without."""
        request = Request((".",), str(self.folder), self.today)
        memory = Memory(None if self.known is None else marshal.loads(marshal.dumps(self.known)))
        remembered = said(inspect_many(request, memory, workers))
        self.known = memory.plain()
        return remembered, said(inspect(request))


def first_difference(folder: Path, seed: int, steps: int = STEPS) -> str:
    """Change the demo again and again; the change after which the answers differ, or nothing."""
    workshop = Workshop(folder, seed)
    done: list[str] = []
    for _ in range(steps):
        remembered, fresh = workshop.both()
        if remembered != fresh:
            return " / ".join(done[-3:]) or "at once"
        done.append(workshop.step())
    return ""


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_the_same_is_said_with_a_memory(seed: int, tmp_path: Path) -> None:
    """Numbers, names, lines, files, the house, waivers, the day: after each change the answers are the same."""
    assert first_difference(tmp_path, seed) == ""


def test_a_memory_is_of_use(tmp_path: Path) -> None:
    """After a change in one rack the others are not looked at again, and after one in a part those that use it are."""
    workshop = Workshop(tmp_path, 0)
    workshop.both()
    memory = Memory(workshop.known)
    racks = len(list(workshop.folder.glob("racks/*.rackspec")))
    assert len(memory.racks) == racks > 3
    assert len(memory.clean) == len(workshop.paths())
    assert len(memory.linked) > 60
    towpath = workshop.folder / "racks" / "towpath.rackspec"
    towpath.write_text(towpath.read_text(encoding="utf-8").replace("behind    ", "behind    1", 1), encoding="utf-8")
    workshop.both()
    after = Memory(workshop.known)
    assert len(after.racks) == racks
    assert len(after.racks.keys() & memory.racks.keys()) == racks - 1
    modules = workshop.folder / "parts" / "modules-voices.rackspec"
    modules.write_text("# one more line\n" + modules.read_text(encoding="utf-8"), encoding="utf-8")
    remembered, fresh = workshop.both()
    assert remembered == fresh
    assert Memory(workshop.known).racks.keys() == after.racks.keys()


def without_words(self: Signatures, name: str) -> tuple[bytes, tuple[str, ...]] | None:
    """Digests that forget which parts a thing names."""
    found = ORIGINAL_LOOK(self, name)
    return None if found is None else (found[0], ())


ORIGINAL_LOOK = Signatures._look
ORIGINAL_INIT = Signatures.__init__


def without_house(self: Signatures, project: object, today: date) -> None:
    """Digests that forget the house."""
    ORIGINAL_INIT(self, project, today)  # type: ignore[arg-type]
    self._house = b""


def without_day(self: Signatures, project: object, today: date) -> None:
    """Digests that forget the day."""
    ORIGINAL_INIT(self, project, today)  # type: ignore[arg-type]
    self._day = ""


def without_sellers(_self: Signatures, _entry: object) -> list[str]:
    """Digests that forget who sells."""
    return []


def by_offset(place: object, _: Signatures) -> object:
    """Places kept by where they stood."""
    return plain.PLACE, "", place.start, place.end - place.start, place.label  # type: ignore[attr-defined]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("owner", "name", "weaker"),
    [
        (Signatures, "_look", without_words),
        (Signatures, "__init__", without_house),
        (Signatures, "__init__", without_day),
        (Signatures, "_sellers", without_sellers),
        (plain, "place_to_plain", by_offset),
        (signatures, "digest", lambda *parts: parts[0].encode()[:20]),
    ],
    ids=["parts", "house", "day", "sellers", "places", "text"],
)
def test_these_changes_find_what_is_forgotten(
    owner: object, name: str, weaker: object, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each dependency counts: without it some change is answered with what held before."""
    monkeypatch.setattr(owner, name, weaker)
    assert any(first_difference(tmp_path / str(seed), seed, 60) for seed in range(4))

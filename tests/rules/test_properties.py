"""Properties of all rules at once: moving a rack along its rails, renaming and reordering change nothing but places."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from rackspec.findings import Finding
from rackspec.pipeline import Request, inspect
from tests.conftest import TODAY

LIBRARY = [
    "insert strip {\n    strip M3\n    holes 300 every 5.08mm\n    first 2.54mm\n    thread 3mm\n}",
    "insert nut {\n    nut M3\n    across 5.5mm\n    thread 1.8mm\n}",
    "rail long {\n    length 300HP\n    takes strip\n    takes nut\n    recess 1.2mm\n    room 8mm\n}",
    (
        "supply brick {\n    gives 0.4A on +12V\n    gives 0.4A on -12V\n"
        "    input adapter 15V 1A\n    headers 5 of 16-pin\n}"
    ),
]


def module(name: str, chance: Random) -> str:
    """A module with something wrong now and then."""
    width = chance.randrange(1, 13)
    lines = [
        f"width {width}HP",
        f"depth {chance.randrange(20, 60)}mm {chance.choice(['', 'guessed', 'measured'])}".rstrip(),
    ]
    if chance.random() < 0.7:
        lines += [f"draws {chance.randrange(5, 120)}mA on +12V", f"draws {chance.randrange(0, 90)}mA on -12V"]
        lines.append(f"header {chance.choice(['10-pin', '16-pin'])} {chance.choice(['keyed', 'unkeyed', ''])}".rstrip())
    if chance.random() < 0.5:
        x = chance.choice(["7.47mm", "4.93mm", "2.39mm", "5.2mm"])
        lines.append(f"hole {chance.choice(['3.2mm', '2.7mm', '3.4mm'])} at ({x}, 3mm)")
    if chance.random() < 0.5:
        lines.append(f"screws {chance.randrange(2, 5)} of {chance.choice(['M3x4', 'M3x6', 'M3x12', 'M2.5x6'])}")
    if chance.random() < 0.3:
        lines.append(f"thickness {chance.choice(['1.6mm', '2mm', '3mm'])}")
    return f"module {name} {{\n" + "\n".join(f"    {line}" for line in lines) + "\n}"


def rack(places: list[tuple[int, str]], insert: str, shift: int, rename: dict[str, str]) -> str:
    """A rack of panels at their places."""
    rows = "\n".join(f"        at {start + shift}HP {rename[name]}" for start, name in places)
    return (
        f"rack {rename['tray']} {{\n    row {rename['top']} {{\n        rails long with {insert}\n        behind 50mm\n"
        f"        power from brick\n{rows}\n    }}\n}}"
    )


def told(folder: Path, blocks: list[str]) -> list[Finding]:
    """All findings of a folder with one file a block."""
    folder.mkdir()
    (folder / ".git").mkdir()
    for number, block in enumerate(blocks):
        (folder / f"{number:02}.rackspec").write_text(block + "\n", encoding="utf-8")
    findings = inspect(Request((".",), str(folder), TODAY)).findings
    return [
        finding for finding in findings if finding.rule != "use-left-out"
    ]  # one file a block: each misses the others


def gist(findings: list[Finding], names: dict[str, str]) -> list[tuple[str, str, tuple[str, ...]]]:
    """What findings are about, with the names as they were before."""
    back = {new: old for old, new in names.items()}
    return sorted(
        (
            finding.rule,
            finding.severity,
            tuple("/".join(back.get(part, part) for part in name.split("/")) for name in finding.names),
        )
        for finding in findings
    )


@pytest.mark.parametrize("seed", range(40))
def test_only_places_change(tmp_path: Path, seed: int) -> None:
    """The same rack 40 HP further right, under other names, and with its files in another order."""
    chance = Random(seed)
    names = [f"m{number}" for number in range(8)]
    modules = [module(name, chance) for name in names]
    places = sorted((chance.randrange(0, 80), name) for name in names)
    insert = chance.choice(["strip", "nut"])
    same = {name: name for name in [*names, "tray", "top"]}
    before = told(tmp_path / "before", [*LIBRARY, *modules, rack(places, insert, 0, same)])
    assert before, "a rack with nothing to find proves nothing"

    moved = told(tmp_path / "moved", [*LIBRARY, *modules, rack(places, insert, 40, same)])
    assert gist(moved, same) == gist(before, same)

    other = {name: f"other-{name}" for name in same}
    renamed_modules = [
        block.replace(f"module {name} ", f"module {other[name]} ") for name, block in zip(names, modules, strict=True)
    ]
    renamed = told(tmp_path / "renamed", [*LIBRARY, *renamed_modules, rack(places, insert, 0, other)])
    assert gist(renamed, other) == gist(before, same)

    blocks = [*LIBRARY, *modules, rack(places, insert, 0, same)]
    chance.shuffle(blocks)
    shuffled = told(tmp_path / "shuffled", blocks)
    assert gist(shuffled, same) == gist(before, same)
    assert sorted(finding.message for finding in shuffled) == sorted(finding.message for finding in before)

"""A shared repository of many racks over one library: in: how many, out: the same as .rackspec files and as YAML files.

Each rack takes a dozen modules out of the library, in two rows, has a supply, a stage and a wish, and is a file of its
own, as a group keeps them.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

from tests.bench.library import Module, as_rackspec, as_yaml, modules

PARTS = 4
"""Files of the library."""
SUPPLY = """\
supply bench-supply "a supply of the bench" {
    width     4HP
    depth     30mm
    gives     3A on +12V
    gives     3A on -12V
    gives     1A on +5V
    input     adapter 15V 6A
    headers   24
}
"""
SUPPLY_YAML = """\
supplies:
  bench-supply:
    title: a supply of the bench
    width: 4HP
    gives: {"+12V": 3A, "-12V": 3A, "+5V": 1A}
    input: adapter 15V 6A
    headers: 24
"""


def rack_text(name: str, taken: list[Module], titles: Random) -> str:
    """One rack in the language."""
    lines = ['use "../parts/"', "", f'rack {name} "Shelf {titles.randint(1, 999)}, {taken[0].title}" {{']
    lines += ["    stage     later by 2027-09-01", ""]
    for number, row in enumerate((taken[: len(taken) // 2], taken[len(taken) // 2 :])):
        lines += [
            f"    row row-{number + 1} {{",
            "        length    168HP",
            f"        behind    {titles.randint(85, 110)}mm",
        ]
        lines += ["", "        at   0HP  bench-supply"] if number == 0 else [""]
        lines += [f"        next      {module.name}" for module in row]
        lines.append("    }")
    lines += ["    wish utilities in later {", "        count     2", "        width     6HP guessed", "    }", "}"]
    return "\n".join(lines) + "\n"


def rack_yaml(name: str, taken: list[Module], titles: Random) -> str:
    """The same in YAML, valid against schema.json."""
    lines = [
        "racks:",
        f"  {name}:",
        f'    title: "Shelf {titles.randint(1, 999)}, {taken[0].title}"',
        "    stages: [later]",
    ]
    lines.append("    rows:")
    for number, row in enumerate((taken[: len(taken) // 2], taken[len(taken) // 2 :])):
        lines += [f"      row-{number + 1}:", "        length: 168HP", f"        behind: {titles.randint(85, 110)}mm"]
        lines.append("        panels:")
        lines += ["          - {at: 0HP, part: bench-supply}"] if number == 0 else []
        lines += [f"          - {{part: {module.name}}}" for module in row]
    return "\n".join(lines) + "\n"


def write_repository(folder: Path, racks: int, library: int) -> tuple[Path, Path]:
    """Both repositories; their folders."""
    ours, theirs = folder / "ours", folder / "yaml"
    made = modules(library)
    random = Random(7)
    for path in (ours, theirs):
        for below in ("parts", "racks"):
            (path / below).mkdir(parents=True)
    (ours / "house.rackspec").write_text("house {\n    currency  EUR\n}\n", encoding="utf-8")
    share = -(-library // PARTS)
    for number in range(PARTS):
        part = made[number * share : (number + 1) * share]
        (ours / "parts" / f"modules-{number}.rackspec").write_text(as_rackspec(part), encoding="utf-8")
        (theirs / "parts" / f"modules-{number}.yaml").write_text(as_yaml(part), encoding="utf-8")
    (ours / "parts" / "supplies.rackspec").write_text(SUPPLY, encoding="utf-8")
    (theirs / "parts" / "supplies.yaml").write_text(SUPPLY_YAML, encoding="utf-8")
    for number in range(racks):
        taken = random.sample(made, 12)
        name = f"shelf-{number + 1}"
        seed = random.random()
        (ours / "racks" / f"{name}.rackspec").write_text(rack_text(name, taken, Random(seed)), encoding="utf-8")
        (theirs / "racks" / f"{name}.yaml").write_text(rack_yaml(name, taken, Random(seed)), encoding="utf-8")
    return ours, theirs

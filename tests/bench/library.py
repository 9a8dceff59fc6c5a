"""A large library of invented modules: in: how many and a seed, out: the same facts as a .rackspec text and as YAML.

The facts vary as they do by hand: widths are few, currents, masses and dates are many, and one line in thirty has a
comment of its own. How many lines are distinct matters, because equal lines are read once; the bench prints it.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random
from typing import NamedTuple

FIRST = """
    amber brisk copper dusky early faint gilded hollow inner keen lunar
    mossy narrow oblong pale quiet rapid salty tidal upper velvet woven yellow
""".split()
SECOND = """
    arc bellow comb drift ember fold gate hinge iris kettle loom
    mirror notch orbit pulse quill ripple slope tongue umbra vane well yoke
""".split()
SORT = (
    "oscillator",
    "filter",
    "envelope",
    "mixer",
    "delay",
    "logic",
    "sequencer",
    "amplifier",
    "clock",
    "noise source",
)
TRAIT = (
    "two in one",
    "slow",
    "with sliders",
    "rev B",
    "rev C",
    "narrow panel",
    "stereo",
    "with a long tail",
    "for the left hand",
    "kit",
)
SOURCE = (
    "maker's sheet",
    "maker's sheet, rev B",
    "page it was bought from",
    "build notes of the kit",
    "leaflet in its box",
    "callipers and bench meter",
    "kitchen scale and rule",
)
REMARK = (
    "to the highest solder joint",
    "read twice",
    "the older board",
    "with the ribbon folded once",
    "as printed on the back",
    "changed in the second run",
)


class Module(NamedTuple):
    """One module: each value as it is written, in both languages."""

    name: str
    title: str
    width: str
    depth: str
    guessed: bool
    plug: str
    draws: tuple[tuple[str, str], ...]
    header: str
    screws: str
    mass: str
    price: str
    extra: tuple[str, str] | None
    basis: tuple[str, str, str]
    remarks: tuple[str, ...]


def modules(count: int, seed: int = 20261102) -> list[Module]:
    """So many modules, the same for the same seed."""
    random = Random(seed)
    made: list[Module] = []
    for number in range(count):
        name = f"{random.choice(FIRST)}-{random.choice(SECOND)}-{number + 1}"
        width = random.choices(
            (2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 24, 28, 34), (4, 10, 12, 18, 14, 12, 8, 5, 4, 4, 3, 3, 1)
        )[0]
        draws = [
            ("+12V", f"{random.randint(3, 14 * width + 10)}mA"),
            ("-12V", f"{random.randint(0, 10 * width + 8)}mA"),
        ]
        if random.random() < 0.12:
            draws.append(("+5V", f"{random.randint(5, 120)}mA"))
        extra: tuple[str, str] | None = None
        if random.random() < 0.25:
            extra = ("front", f"{random.randint(20, 56) / 2:g}mm")
        elif random.random() < 0.15:
            extra = ("note", f"{random.choice(TRAIT)}, seen on {number % 28 + 1} of {random.randint(2, 90)} shelves")
        day = date(2024, 1, 8) + timedelta(days=random.randint(0, 1020))
        made.append(
            Module(
                name,
                f"{random.choice(SORT)}, {random.choice(TRAIT)}",
                f"{width}HP",
                f"{random.randint(30, 130) / 2:g}mm",
                random.random() < 0.15,
                f"{random.randint(8, 16)}mm",
                tuple(draws),
                f"{random.choice((10, 16))}-pin {random.choices(('keyed', 'unkeyed'), (9, 1))[0]}",
                f"{random.choice((2, 4))} of {random.choices(('M3x6', 'M2.5x6', 'M3x8'), (8, 1, 1))[0]}",
                f"{random.randint(20, 20 + 12 * width)}g",
                f"{random.randint(25, 60 + 14 * width)}{random.choice(('', '', '', '.50', '.90'))} EUR",
                extra,
                (
                    random.choices(("stated", "measured", "guessed"), (7, 2, 1))[0],
                    random.choice(SOURCE),
                    day.isoformat(),
                ),
                tuple(
                    f"{random.choice(REMARK)}, {random.randint(1, 40)}" if random.random() < 1 / 30 else ""
                    for _ in range(4)
                ),
            )
        )
    return made


def as_rackspec(made: list[Module]) -> str:
    """The library in the language."""
    lines: list[str] = []

    def say(word: str, what: str, remark: str = "") -> None:
        lines.append(f"    {word:<9} {what}" + (f"    # {remark}" if remark else ""))

    for module in made:
        lines.append(f'module {module.name} "{module.title}" {{')
        say("width", module.width)
        say("depth", module.depth + (" guessed" if module.guessed else ""), module.remarks[0])
        say("plug", module.plug, module.remarks[1])
        for voltage, current in module.draws:
            say("draws", f"{current} on {voltage}")
        say("header", module.header, module.remarks[2])
        say("screws", module.screws)
        say("mass", module.mass, module.remarks[3])
        say("price", module.price)
        if module.extra is not None:
            word, what = module.extra
            say(word, f'"{what}"' if word == "note" else what)
        level, source, day = module.basis
        say("basis", f'{level} "{source}" {day}')
        lines.append("}")
    return "\n".join(lines) + "\n"


def as_yaml(made: list[Module]) -> str:
    """The same in YAML, in the block style that people write, valid against schema.json."""
    lines = ["modules:"]

    def say(word: str, what: str, remark: str = "") -> None:
        lines.append(f"    {word}: {what}" + (f"  # {remark}" if remark else ""))

    for module in made:
        lines.append(f"  {module.name}:")
        say("title", f'"{module.title}"')
        say("width", module.width)
        say("depth", module.depth, module.remarks[0])
        if module.guessed:
            say("guessed", "[depth]")
        say("plug", module.plug, module.remarks[1])
        lines.append("    draws:")
        lines += [f'      "{voltage}": {current}' for voltage, current in module.draws]
        say("header", module.header, module.remarks[2])
        say("screws", module.screws)
        say("mass", module.mass, module.remarks[3])
        say("price", module.price)
        if module.extra is not None:
            word, what = module.extra
            say(word, f'"{what}"' if word == "note" else what)
        level, source, day = module.basis
        say("basis", f'{{level: {level}, source: "{source}", date: "{day}"}}')
    return "\n".join(lines) + "\n"


def as_rack(made: list[Module], count: int = 12) -> str:
    """A small rack that uses ``library.rackspec`` and takes ``count`` modules of it, spread over the whole file."""
    taken = made[:: len(made) // count][:count]
    rows = [taken[: len(taken) // 2], taken[len(taken) // 2 :]]
    lines = ['use "library.rackspec"', "", 'supply slim-supply "a slim supply" {']
    lines += ["    width     4HP", "    gives     3A on +12V", "    gives     3A on -12V", "    gives     1A on +5V"]
    lines += ["    headers   20", "}", 'rack long-shelf "A rack out of a large library" {']
    for number, row in enumerate(rows):
        lines += [f"    row row-{number + 1} {{", "        length    168HP", "        behind    90mm"]
        lines += ["        at   0HP  slim-supply"] if number == 0 else []
        lines += [f"        next      {module.name}" for module in row]
        lines.append("    }")
    return "\n".join([*lines, "}"]) + "\n"

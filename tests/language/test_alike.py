"""Lines read by the example of another one: the same values as lark gives, at the same places."""

from __future__ import annotations

import random
import re

import pytest

from rackspec.language import alike
from rackspec.language.lines import _read
from tests.conftest import ROOT

LINES = sorted(
    {
        line
        for path in (ROOT / "specs").rglob("*.rackspec")
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.strip()
    }
)
ODD = [
    'note "a # b" # "c" 12',
    'note "" # nothing',
    '    module m3 "84 HP" like m2 {   # two "texts"',
    "    at  12HP  x-1 as y-22 in s3",
    'depth 27mm stated "1" 2026-10-04',
    'depth 27mm stated "a longer one, 12" 2026-10-04 # 9',
    "price 12.50 EUR",
    "height 128.5mm +-0.2mm",
    "holes 84 every 5.08mm",
    "screws 4 of M3x6",
]


NAMES = "x plus minus plus-x x-plus m3 hp two-words a/b M3 Saw 10-pin 9 saw_ é".split()


def varied(line: str, chance: random.Random) -> str:
    """The line with another word behind its first one, other digits, and with its texts made longer or shorter."""
    if chance.random() < 0.5:
        line = re.sub(r"^(\s*[a-z-]+\s+)[a-z][\w-]*", lambda found: found[1] + chance.choice(NAMES), line)
    parts = line.split('"')
    if len(parts) % 2:
        parts[1::2] = [text[: chance.randrange(len(text) + 1)] + "x" * chance.randrange(3) for text in parts[1::2]]
    return "".join(str(chance.randrange(10)) if c in "0123456789" else c for c in '"'.join(parts))


@pytest.mark.parametrize("lines", [LINES, ODD], ids=["demo", "odd"])
def test_lines_by_example_are_as_lark_reads_them(lines: list[str]) -> None:
    """Each line of the demo, and ten variants of it, read once by lark alone and once by example."""
    chance = random.Random(20261125)
    by_example = 0
    for line in lines:
        for variant in (line, *(varied(line, chance) for _ in range(10))):
            alike._EXAMPLES.clear()
            expected = _read(variant)
            alike._EXAMPLES.clear()
            _read(line)
            shape = alike.read_alike(variant)
            if shape is not None:
                by_example += 1
                assert shape == expected
    assert by_example > 5 * len(lines)

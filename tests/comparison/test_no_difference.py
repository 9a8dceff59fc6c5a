"""Changes that change no fact go in; ``no difference`` must come out: comments, layout, order, files, spelling."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackspec.language.units import HP
from rackspec.views.comparison_verdict import verdict
from tests.comparison.test_examples import EXAMPLES, texts
from tests.comparison.texts import compared, demo

Texts = dict[str, str]
KEYED = re.compile(r"\s+(\w[\w-]*)\s")
ORDERED = {"at", "next", "instead", "or", "stage", "corner", "}"}
"""Words of lines whose order says something; a line that opens a block is moved with its block only."""


def blocks(text: str) -> list[list[str]]:
    """The outermost blocks and lines of a text, each with the comments in front of it."""
    found: list[list[str]] = [[]]
    depth = 0
    for line in text.splitlines():
        found[-1].append(line)
        code = line.split("#", 1)[0].rstrip()
        depth += code.endswith("{") - (code.strip() == "}")
        if depth == 0 and code.strip():
            found.append([])
    return found


def with_comments(files: Texts, chance: random.Random) -> Texts:
    """Comments and blank lines anywhere."""
    made = {}
    for name, text in files.items():
        lines: list[str] = []
        for line in text.splitlines():
            if chance.random() < 0.3:
                lines.append(chance.choice(["", "    # looked again", '# a "quoted" remark {', "\t"]))
            lines.append(line + chance.choice(["", "", "   # as we said"]) if line.strip() else line)
        made[name] = "\n".join(lines) + "\n"
    return made


def without_comments(files: Texts, _chance: random.Random) -> Texts:
    """No comment left."""
    comment = re.compile(r'^((?:[^"#\n]|"[^"\n]*")*)#.*$', re.MULTILINE)
    return {name: comment.sub(r"\1", text) for name, text in files.items()}


def laid_out_otherwise(files: Texts, chance: random.Random) -> Texts:
    """Another indentation, other spaces between words, other line ends."""
    made = {}
    for name, text in files.items():
        lines = []
        for line in text.splitlines():
            indent = len(line) - len(line.lstrip())
            body = re.sub(r'("[^"]*")|(?<=\S) +', lambda found: found[1] or " " * chance.randint(1, 4), line.strip())
            lines.append("\t" * (indent // 4) + body)
        made[name] = chance.choice(["\n", "\r\n"]).join(lines)
    return made


def blocks_shuffled(files: Texts, chance: random.Random) -> Texts:
    """The blocks of each file in another order; ``use`` and the version stay on top."""
    made = {}
    for name, text in files.items():
        parts = blocks(text)
        top = [part for part in parts if part and re.match(r"use |rackspec ", part[-1])]
        rest = [part for part in parts if part not in top]
        chance.shuffle(rest)
        made[name] = "\n".join(line for part in [*top, *rest] for line in part) + "\n"
    return made


def lines_shuffled(files: Texts, chance: random.Random) -> Texts:
    """The lines of each block in another order, as far as the order says nothing; blocks in blocks are moved whole."""
    return {name: "\n".join(shuffled(text.splitlines(), chance, 0)) + "\n" for name, text in files.items()}


def shuffled(lines: list[str], chance: random.Random, depth: int) -> list[str]:
    """The lines inside of each block shuffled; those that are in an order keep it among themselves."""
    pieces: list[list[str]] = []
    at = 0
    while at < len(lines):
        piece = [lines[at]]
        if lines[at].split("#", 1)[0].rstrip().endswith("{"):
            inside, open_blocks = [], 1
            while open_blocks:
                at += 1
                code = lines[at].split("#", 1)[0].rstrip()
                open_blocks += code.endswith("{") - (code.strip() == "}")
                inside.append(lines[at])
            piece += [*shuffled(inside[:-1], chance, depth + 1), inside[-1]]
        pieces.append(piece)
        at += 1
    if depth == 0:
        return [line for piece in pieces for line in piece]

    def kept(piece: list[str]) -> bool:
        words = piece[0].split()
        return bool(words) and words[0] in ORDERED

    order = [piece for piece in pieces if kept(piece)]
    chance.shuffle(pieces)
    waiting = iter(order)
    return [line for piece in pieces for line in (next(waiting) if kept(piece) else piece)]


def in_other_units(files: Texts, chance: random.Random) -> Texts:
    """Lengths in HP said in millimetres, currents in amperes."""

    def length(found: re.Match[str]) -> str:
        if chance.random() < 0.5:
            return found[0]
        value = Fraction(found[1]) * HP
        return f"{found[0][0]}{float(value):.2f}mm"

    def current(found: re.Match[str]) -> str:
        return found[0] if chance.random() < 0.5 else f" {int(found[1]) / 1000:.3f}A"

    made = {}
    for name, text in files.items():
        lines = []
        for line in text.splitlines():
            if '"' not in line and "#" not in line:
                line = re.sub(r" (\d+)HP\b", length, line)
                line = re.sub(r" (\d+)mA\b", current, line)
            lines.append(line)
        made[name] = "\n".join(lines) + "\n"
    return made


def in_other_files(files: Texts, chance: random.Random) -> Texts:
    """Each block in another file, wherever. All files are named, so that all names are known; sellers stand in one file
    that all others use, because a rack buys from those that its file may name."""
    house = files.get("house.rackspec", "")
    made: dict[str, list[str]] = {}
    for name, text in files.items():
        if name == "house.rackspec":
            continue
        for part in blocks(text):
            if part and not re.match(r"use |rackspec ", part[-1]):
                sells = any(re.match("seller ", line) for line in part)
                where = "sellers" if sells else f"moved/{chance.randint(0, 9)}"
                made.setdefault(f"{where}.rackspec", ['use "../sellers.rackspec"'] if not sells else []).extend(part)
    if "sellers.rackspec" not in made:
        made = {name: [line for line in lines if not line.startswith("use ")] for name, lines in made.items()}
    moved = {name: "\n".join(lines) + "\n" for name, lines in made.items()}
    return {**moved, "house.rackspec": house} if house else moved


WAYS: dict[str, Callable[[Texts, random.Random], Texts]] = {
    "comments": with_comments,
    "no comments": without_comments,
    "layout": laid_out_otherwise,
    "blocks": blocks_shuffled,
    "lines": lines_shuffled,
    "units": in_other_units,
    "files": in_other_files,
}


@pytest.mark.parametrize("way", WAYS)
@given(seed=st.integers(0, 10**9), name=st.sampled_from(EXAMPLES))
@settings(max_examples=20, deadline=None)
def test_examples_stay_as_they_are(way: str, seed: int, name: str) -> None:
    """The new sides of the worked examples."""
    files = texts(name, "new")
    made = WAYS[way](files, random.Random(seed))
    if way not in ("files", "no comments", "units"):
        assert made != files
    comparison = compared(files, made)
    assert not comparison.changes
    assert not comparison.racks
    # that a file does not use another one is told of the file, and is no difference of the facts
    assert {finding.shown.rule for finding in comparison.findings} <= ({"use-left-out"} if way == "files" else set())
    assert way == "files" or verdict(comparison) == "no difference"


@pytest.mark.parametrize("way", WAYS)
@given(seed=st.integers(0, 10**9))
@settings(max_examples=3, deadline=None)
def test_the_demo_stays_as_it_is(way: str, seed: int) -> None:
    """All of the demo at once."""
    files = demo()
    comparison = compared(files, WAYS[way](files, random.Random(seed)))
    assert not comparison.changes
    assert not comparison.racks
    assert {finding.shown.rule for finding in comparison.findings} <= ({"use-left-out"} if way == "files" else set())

"""Pages about values: in: a spelling (``SCREW``, ``M3x6``, ``18AWG``, ``EUR``, ``measured``), out: what it is, as text.

Threads and screws have their numbers from ``physics/threads.py``, units theirs from ``grammar/units.txt``.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from typing import Any

from rackspec.language.currencies import CODES, PUBLISHED, minor_units
from rackspec.language.quantity import plain_number
from rackspec.language.units import ARTICLED, BASE_SYMBOL, UNITS
from rackspec.language.values import CLASSES
from rackspec.language.words import BLOCKS
from rackspec.physics.threads import THREADS, Thread, read_screw

SCREW = re.compile(r"M[0-9]+(?:\.[0-9]+)?(?:x[0-9]+(?:\.[0-9]+)?)?")
GAUGE = re.compile(r"(0|[1-9][0-9]?)AWG")
THINNEST = 40
"""Wires thinner than this gauge are in no table that a rack needs."""

EVIDENCE = {
    "stated": "somebody says so, mostly the maker; lines that say nothing else count as stated",
    "measured": "you held callipers or a meter to it",
    "guessed": "you think so; a guess is welcome, and stays a guess",
}
"""What each word of evidence says."""

MORE = {
    "THREAD": "A metric thread: M and the diameter in mm. Screws and inserts have to have the same one.",
    "SCREW": "Its thread, x, and its length under the head in mm. No block is needed for it.",
    "POINT": "Two lengths in brackets: across, then up. (7.5mm, 3mm) is 7.5mm from the left and 3mm from the bottom.",
    "MONEY": "A number, a space, and the three letters of a currency of ISO 4217.",
    "CURRENCY": "The three letters of a currency as ISO 4217 has them, in capitals.",
    "DATE": "Year, month, day.",
    "TEXT": 'It stands between plain quotes, on one line, and has no " in it.',
    "COUNT": "A whole number without a unit.",
    "PINS": "How many contacts a power header has. Count both rows.",
    "GAUGE": "How thick a wire is: a number of the American gauge with AWG, or the cross-section of its copper.",
    "NEW": "You give it here. It begins with a letter; letters, digits, _ and single hyphens follow.",
    "RULE": "The name of a rule. 'rackspec explain rules' lists them.",
    "WORD": "One word of your own, without quotes.",
    "EVIDENCE": "How far a fact can be trusted; a text and a date may follow.",
}
"""What a class of value is, beyond its name."""


def statements_of(name: str) -> list[str]:
    """The words that take a value of a class, in the order of the table."""

    def named(items: list[Any]) -> Iterator[str]:
        for item in items:
            if item[0] == "value":
                yield item[1]
            elif item[0] in ("either", "optional"):
                for inner in item[1]:
                    yield from named(inner)

    return list(
        dict.fromkeys(
            word
            for block in BLOCKS.values()
            for word, statement in block.statements.items()
            if name in named(statement.items)
        )
    )


def class_names() -> list[str]:
    """The classes of value that have a page; HP stands for itself and is a unit."""
    return [name for name in CLASSES if CLASSES[name].example != name]


def class_page(name: str) -> str | None:
    """What a word in capitals of the tables is, and which words of the language take one."""
    if name not in class_names():
        return None
    kind = CLASSES[name]
    lines = [f"{name}: {kind.called}, such as {kind.example}", ""]
    if name in MORE:
        lines += [f"    {MORE[name]}"]
    if kind.kind == "amount":
        units = dict.fromkeys(UNITS[spelling] for spelling in UNITS if UNITS[spelling].dimension == kind.dimension)
        lines += [
            "    A number and its unit, with no space between them; the unit is one of: "
            + ", ".join(symbols_of(unit.name)[0] for unit in units),
            "    It may have a tolerance (2mm +-0.1mm), or be somewhere between (18mA..25mA), in units of its kind.",
        ]
    words = statements_of(name)
    if words:
        lines += ["", *textwrap.wrap(f"Words that take one: {', '.join(words)}", 100, break_on_hyphens=False)]
    return "\n".join(lines) + "\n"


def symbols_of(name: str) -> list[str]:
    """How a unit is written, its symbol first; its full name where it has no other."""
    return [spelling for spelling, unit in UNITS.items() if unit.name == name and spelling != name] or [name]


def evidence_page(word: str) -> str | None:
    """What ``stated``, ``measured`` or ``guessed`` says."""
    if word not in EVIDENCE:
        return None
    return (
        f"{word}: {EVIDENCE[word]}\n\n"
        f"    It stands at the end of a line, with a text and a date if you like:\n"
        f'        depth 28.3mm {word} "with the adapter board" 2026-10-21\n'
        "    'basis' says it for all lines of a block. Measured beats stated, stated beats guessed.\n"
    )


def screw_page(designation: str) -> str | None:
    """A thread, or a screw of it: pitch, diameters, clearance holes and standard lengths."""
    if not SCREW.fullmatch(designation):
        return None
    screw = read_screw(designation)
    name = screw.thread if screw is not None else designation
    head = (
        f"{designation}: a screw with the thread {name}, {plain_number(screw.length, 6)}mm long under the head"
        if screw is not None
        else f"{designation}: a thread"
    )
    if name not in THREADS:
        return f"{head}\n\n    Its measures are not kept here; those of {', '.join(THREADS)} are.\n"
    thread = THREADS[name]
    return "\n".join([head, "", *thread_lines(thread), *length_lines(thread, screw.length if screw else None)]) + "\n"


def thread_lines(thread: Thread) -> Iterator[str]:
    """The measures of a thread."""
    fine, medium, coarse = (f"{plain_number(hole, 6)}mm" for hole in thread.clearance)
    across, high = (f"{plain_number(size, 6)}mm" for size in thread.nut)
    yield f"    pitch             {plain_number(thread.pitch, 6)}mm (ISO 261)"
    diameter = f"{plain_number(thread.smallest, 6)}mm to {plain_number(thread.largest, 6)}mm"
    yield f"    outer diameter    {diameter} (screw, 6g; ISO 965)"
    yield f"    clearance hole    {fine} fine, {medium} medium, {coarse} coarse (ISO 273)"
    memory = "DIN 562" if thread.name not in ("M2", "M2.5") else "by analogy with DIN 562, from memory"
    yield f"    thin square nut   {across} across, {high} high ({memory})"


def length_lines(thread: Thread, length: Fraction | None) -> Iterator[str]:
    """The standard lengths of a thread, and whether one is among them."""
    lengths = thread.lengths()
    yield f"    standard lengths  {', '.join(str(known) for known in lengths)} mm (ISO 7045)"
    if length is not None and length not in lengths:
        near = [max((known for known in lengths if known < length), default=None)]
        near.append(min((known for known in lengths if known > length), default=None))
        names = " and ".join(f"{thread.name}x{known}" for known in near if known is not None)
        yield f"    {plain_number(length, 6)}mm is none of them; nearest: {names}"


def gauge_page(text: str) -> str | None:
    """A gauge of wire: its diameter and cross-section. Source: ASTM B258, d = 0.127 mm × 92 to the (36 - n) / 39."""
    match = GAUGE.fullmatch(text)
    if match is None or int(match[1]) > THINNEST:
        return None
    diameter = Decimal("0.127") * Decimal(92) ** (Decimal(36 - int(match[1])) / 39)
    area = diameter * diameter * Decimal("3.14159265") / 4
    return (
        f"{text}: a gauge of wire (ASTM B258)\n\n"
        f"    diameter       about {diameter:.3f}mm, if it is one solid wire\n"
        f"    cross-section  about {area:.3f}mm2\n"
    )


def currency_page(code: str) -> str | None:
    """A currency."""
    if code not in CODES:
        return None
    places = minor_units(code)
    decimals = {None: "which has no decimals to speak of", 0: "in whole numbers", 1: "with 1 decimal"}.get(
        places, f"with {places} decimals"
    )
    return f"{code}: a currency of ISO 4217 ({PUBLISHED}), {decimals}\n\n    price 148 {code}\n"


def units_page() -> str:
    """All units, by what they measure."""
    lines: list[str] = []
    dimension = ""
    for unit in dict.fromkeys(UNITS.values()):
        if unit.dimension != dimension:
            lines += ([""] if lines else []) + [f"{unit.dimension} ({ARTICLED[unit.dimension]}):"]
            dimension = unit.dimension
        exact = f"{plain_number(unit.factor, 12)}{BASE_SYMBOL[dimension]}"
        symbols = symbols_of(unit.name)
        told = "" if BASE_SYMBOL[dimension] in symbols else f"= {exact}"
        lines.append(f"    {' or '.join(symbols):<16}{unit.name.replace('_', ' '):<20}{told}".rstrip())
    return "\n".join([*lines, "", "'rackspec explain HP' says what one HP is in all others."]) + "\n"


def in_its_capitals(asked: str) -> list[str]:
    """A thread, screw, gauge or currency in capitals as it should have them, where it was asked for in others."""
    spellings = (asked[:1].upper() + asked[1:].lower(), asked.upper())
    pages = (screw_page, gauge_page, currency_page)
    return [text for text in dict.fromkeys(spellings) if text != asked and any(page(text) for page in pages)]


def value_pages(asked: str) -> list[str]:
    """All pages about a value: of a class, a word of evidence, a thread or screw, a gauge, a currency."""
    found = (page(asked) for page in (class_page, evidence_page, screw_page, gauge_page, currency_page))
    return [page for page in found if page is not None]

"""Pages about words: in: a word, out: what it means, as text: rules, words, values, units, limits, commands."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

from rackspec.language.quantity import plain_number
from rackspec.language.suggest import nearest
from rackspec.language.units import ARTICLED, UNITS
from rackspec.language.values import CLASSES
from rackspec.language.words import BLOCKS, RESERVED, Statement
from rackspec.model.house import OWN
from rackspec.rules.registry import PLANNED, load_rules
from rackspec.views.pages import page_of, page_text
from rackspec.views.value_pages import EVIDENCE, class_names, in_its_capitals, units_page, value_pages

GROUPS = ("known", "bought", "panel", "fed", "feeding")

EACH = {
    "draws": "voltage",
    "gives": "voltage",
    "drilled": "hole",
    "rate": "currency",
    "spare": "kind of spare",
    "flag": "rule",
    "turns": "of the two",
    "holes": "of the two",
    "edge": "of the two",
    "give": "thing that gives",
    "assume": "thing it is about",
    "ships": "sum of goods",
    "longer": "length",
    "heavier": "mass",
    "old": "of the two",
}
"""What a line may stand once for, in a builder's words, by the word of its statement."""

LATER = " (read and linked, not checked yet)"
"""What stands behind the help of a word that no rule looks at yet."""


def pattern_text(items: list[Any]) -> str:
    """A pattern as a builder reads it: words as they are, values by what they are, what may be left out in brackets."""
    parts = []
    for item in items:
        match item[0]:
            case "literal":
                parts.append(item[1])
            case "value":
                parts.append(item[1])
            case "reference":
                kinds = [kind for kind in item[1] if kind != "any"]
                parts.append(f"<{'|'.join(kinds[:3])}{'|…' if len(kinds) > 3 else ''}>")
            case "either":
                parts.append("(" + " | ".join(pattern_text(inner) for inner in item[1]) + ")")
            case "optional":
                parts.append("[" + " | ".join(pattern_text(inner) for inner in item[1]) + "]")
            case "evidence":
                parts.append("[evidence]")
            case "opens":
                parts.append("{ … }")
    return " ".join(part for part in parts if part)


def how_often(statement: Statement) -> str:
    """How often a statement may stand in its block."""
    if statement.many:
        return "any number of times"
    if statement.each:
        return f"once for each {EACH[statement.word]}"
    return "once, and needed" if statement.must else "once"


def word_page(word: str) -> str | None:
    """Everything that a word of the language may mean."""
    groups: dict[tuple[str, str, bool, str], list[Statement]] = {}
    for name, block in BLOCKS.items():
        if word in block.statements and name not in GROUPS:
            statement = block.statements[word]
            alike = (pattern_text(statement.items), statement.help, statement.later, how_often(statement))
            groups.setdefault(alike, []).append(statement)
    if not groups and (word not in BLOCKS or word in GROUPS):
        return None
    lines: list[str] = []
    classes: set[str] = set()
    for (pattern, text, later, often), statements in groups.items():
        blocks = ["a file" if statement.block == "file" else statement.block for statement in statements]
        told = LATER if later else ""
        lines += [f"in {', '.join(blocks)}: {text}{told}", f"    {word} {pattern}", f"    {often}", ""]
        classes |= set(re.findall(r"\b[A-Z]{2,}\b", pattern))
    named = [
        f"{name}: {CLASSES[name].called}, such as {CLASSES[name].example}"
        for name in sorted(classes)
        if name in CLASSES and CLASSES[name].example != name  # HP stands for itself
    ]
    if named:
        lines += [*named, ""]
    if any("[evidence]" in alike[0] for alike in groups):
        lines += ["[evidence]: stated, measured or guessed, then a text and a date if you like", ""]
    if word in BLOCKS and word not in GROUPS:
        lines.append("lines of a file:" if word == "file" else f"lines of a block '{word}':")
        for inner in BLOCKS[word].statements.values():
            lines.append(f"    {inner.word:<11}{inner.help}")
        lines.append("")
    return "\n".join(lines).rstrip("\n") + "\n"


def literals(items: list[Any]) -> Iterator[str]:
    """The words that stand for themselves in a pattern, however deep."""
    for item in items:
        if item[0] == "literal":
            yield item[1]
        elif item[0] in ("either", "optional"):
            for inner in item[1]:
                yield from literals(inner)


def inner_words() -> dict[str, list[Statement]]:
    """The words inside of lines (``like``, ``keyed``, ``per``), and the statements that have each."""
    found: dict[str, list[Statement]] = {}
    for name, block in BLOCKS.items():
        if name not in GROUPS:
            for statement in block.statements.values():
                for word in dict.fromkeys(literals(statement.items)):
                    found.setdefault(word, []).append(statement)
    return found


def inner_page(word: str, begins: bool) -> str | None:
    """The lines in which a word stands behind another one; their first words only, for one that begins lines too."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for statement in inner_words().get(word, []):
        line = f"{statement.word} {pattern_text(statement.items)}"
        block = "a file" if statement.block == "file" else statement.block
        groups.setdefault((line, statement.help, LATER if statement.later else ""), []).append(block)
    if not groups:
        return None
    if begins:
        firsts = [f"{line.split()[0]} (in {', '.join(blocks)})" for (line, _, _), blocks in groups.items()]
        return f"{word} also stands inside of lines that begin with: {', '.join(firsts)}\n"
    lines = [f"{word}: a word inside of {'this line' if len(groups) == 1 else 'these lines'}", ""]
    for (line, text, told), blocks in groups.items():
        lines += [f"in {', '.join(blocks)}: {text}{told}", f"    {line}", ""]
    return "\n".join(lines).rstrip("\n") + "\n"


def unit_page(spelling: str) -> str | None:
    """A unit, and what one of it is in the other units of its kind. pint converts."""
    unit = UNITS.get(spelling)
    if unit is None:
        return None
    from rackspec.views.pint_units import converted

    lines = [f"{spelling}: a unit of {unit.dimension} ({ARTICLED[unit.dimension]})", ""]
    for other, value in converted(spelling):
        lines.append(f"    1 {spelling} = {plain_number(value, 6)} {other}")
    return "\n".join(lines).rstrip("\n") + "\n"


def limits_page() -> str:
    """All limits and bands of the program."""
    lines = ["Limits and bands that hold where the house says nothing else (common practice, no source):", ""]
    for name, quantity in OWN.items():
        each = " for each HP of panel" if quantity.dimension == "current" else ""
        lines.append(f"    {name:<22}{quantity.text}{each}")
    lines += ["", "A house changes them, such as:  spare current 30%   or   assume plug 8mm..15mm"]
    return "\n".join(lines) + "\n"


def words_page() -> str:
    """All words of the language, by block."""
    lines = []
    for name, block in BLOCKS.items():
        if name in GROUPS:
            continue
        lines.append(f"{name}: {block.help}")
        lines += [f"    {statement.word:<11}{statement.help}" for statement in block.statements.values()]
        lines.append("")
    return "\n".join(lines).rstrip("\n") + "\n"


def rules_page() -> str:
    """All rules, by subject."""
    rules = load_rules()
    lines = []
    for subject in dict.fromkeys(rule.subject for rule in rules.values()):
        lines.append(f"{subject}:")
        lines += [f"    {rule.id:<22}{page_of(rule).summary}" for rule in rules.values() if rule.subject == subject]
        lines.append("")
    lines += ["to come (a waiver or a flag may name them already):", *(f"    {name}" for name in planned()), ""]
    return "\n".join(lines).rstrip("\n") + "\n"


def planned() -> list[str]:
    """The rules that are to come."""
    return sorted(PLANNED - set(load_rules()))


def planned_page(name: str) -> str:
    """A rule that is to come."""
    return (
        f"{name}: a rule that is to come\n\n"
        "    Nothing looks for it yet. A waiver or a flag may name it already, and changes nothing so far.\n"
    )


LISTS = {"rules": rules_page, "words": words_page, "units": units_page, "limits": limits_page}
NO_COMMANDS: Mapping[str, str] = MappingProxyType({})


def topics(commands: Mapping[str, str] = NO_COMMANDS) -> list[str]:
    """Everything that has a name and can be explained; screws, gauges and currencies come on top."""
    words = {word for block in BLOCKS.values() for word in block.statements}
    blocks = {name for name in BLOCKS if name not in GROUPS}
    rules = {*load_rules(), *PLANNED}
    values = {*class_names(), *EVIDENCE, *UNITS, *OWN}
    return sorted({*words, *inner_words(), *blocks, *rules, *values, *LISTS, *RESERVED, *commands})


def suggestions(asked: str, commands: Mapping[str, str] = NO_COMMANDS) -> tuple[str, ...]:
    """What may have been meant; nothing for an empty word."""
    if not asked.strip():
        return ()
    return nearest(asked, [*topics(commands), *in_its_capitals(asked)])


def explanation(asked: str, commands: Mapping[str, str] = NO_COMMANDS) -> str | None:
    """The page about a word, or None. A word that is several things gets all its pages.

    ``commands`` has a line about each command of the program, by name.
    """
    if asked in LISTS:
        return LISTS[asked]()
    pages = []
    rules = load_rules()
    if asked in rules:
        pages.append(page_text(rules[asked]))
    elif asked in PLANNED:
        pages.append(planned_page(asked))
    word = word_page(asked)
    if word is not None:
        pages.append(word)
    inner = inner_page(asked, word is not None)
    if inner is not None:
        pages.append(inner)
    unit = unit_page(asked)
    if unit is not None:
        pages.append(unit)
    pages += value_pages(asked)
    if asked in OWN:
        pages.append(limits_page())
    if asked in commands:
        pages.append(f"{asked}: a command: {commands[asked]}\n\n    what it takes: rackspec {asked} --help\n")
    if asked in RESERVED and word is None:
        pages.append(f"{asked}: a reserved word, which can never be a name\n" + reserved_help(asked))
    return "\n".join(pages) if pages else None


def reserved_help(word: str) -> str:
    """What a reserved word does."""
    match word:
        case "blank":
            return "    at 4HP blank 6HP      a blank panel of 6HP; next and instead take it too\n"
        case "gap":
            return "    next gap 2HP          2HP that stay open; next and instead take it too\n"
        case "plus":
            return "    84HP plus 1mm         lengths added up\n"
        case _:
            return "    84HP minus 1mm        one length taken from the other\n"

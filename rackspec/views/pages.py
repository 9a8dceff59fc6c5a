"""Pages of rules: in: a rule's docstring, out: its parts, and pages as text and markdown."""

import re
import textwrap
from typing import NamedTuple

from rackspec.rules.registry import Rule

PART = re.compile(r"^\*(Why|Bad|Good|Source|Example)\*:", re.MULTILINE)
HEAD = """# Rules

Generated from the rules themselves; `python -m pytest --refresh` writes it anew. Each example is run as a test.
`rackspec explain RULE` prints one of these pages.

The house may give a rule another severity (`flag RULE as note`), and a rack may accept a finding with a reason
(`waive RULE on THING because "…"`). A finding that only the worst case brings about, or that rests on a guess, is
one step milder than its rule for each of the two.
"""
"""How RULES.md begins."""


class Page(NamedTuple):
    """A page: summary, why it matters, a bad and a good example as text of specs, and its source."""

    summary: str
    why: str
    bad: str
    good: str
    source: str
    example: str


def page_of(rule: Rule) -> Page:
    """The parts of a rule's page."""
    first, _, rest = rule.page.partition("\n")
    text = textwrap.dedent(rest)
    parts: dict[str, str] = {}
    matches = list(PART.finditer(text))
    for match, following in zip(matches, [*matches[1:], None], strict=True):
        parts[match[1]] = text[match.end() : following.start() if following else None].strip("\n")
    summary = " ".join(first.split())
    return Page(
        summary,
        _flowing(parts.get("Why", "")),
        textwrap.dedent(parts.get("Bad", "")).strip("\n").rstrip(),
        textwrap.dedent(parts.get("Good", "")).strip("\n").rstrip(),
        _flowing(parts.get("Source", "")),
        _flowing(parts.get("Example", "")),
    )


def _flowing(text: str) -> str:
    """A paragraph on one line."""
    return " ".join(text.split())


def files_of(example: str) -> dict[str, str]:
    """The files of an example: ``spec.rackspec``, and one more for each line ``# in NAME``."""
    files = {"spec.rackspec": ""}
    name = "spec.rackspec"
    for line in example.splitlines():
        if line.startswith("# in "):
            name = line[5:].strip()
            files[name] = ""
        else:
            files[name] += line + "\n"
    return files


def page_text(rule: Rule) -> str:
    """A page for the terminal."""
    page = page_of(rule)
    lines = [f"{rule.id}: {rule.severity}, about {rule.subject}", ""]
    lines += [*textwrap.wrap(page.summary, 100), "", *textwrap.wrap(f"Why: {page.why}", 100), ""]
    for label, example in (("Bad:", page.bad), ("Good:", page.good)):
        if example:
            lines += [label, "", textwrap.indent(example, "    "), ""]
    if page.example:
        lines += [*textwrap.wrap(f"Example: {page.example}", 100), ""]
    lines += textwrap.wrap(f"Source: {page.source}", 100)
    return "\n".join(lines) + "\n"


def page_markdown(rule: Rule) -> list[str]:
    """The lines of a page below its heading."""
    page = page_of(rule)
    lines = [f"*{rule.severity}.* {page.summary}", "", f"Why: {page.why}", ""]
    for label, example in (("Bad", page.bad), ("Good", page.good)):
        if example:
            lines += [f"{label}:", "", "```rackspec", example, "```", ""]
    if page.example:
        lines += [f"Example: {page.example}", ""]
    return [*lines, f"Source: {page.source}", ""]


def rules_markdown(rules: dict[str, Rule]) -> str:
    """RULES.md: all pages by subject."""
    out = HEAD.split("\n")
    subjects = list(dict.fromkeys(rule.subject for rule in rules.values()))
    for subject in subjects:
        out += [f"## {subject[0].upper()}{subject[1:]}", ""]
        for rule in rules.values():
            if rule.subject == subject:
                out += [f"### {rule.id}", "", *page_markdown(rule)]
    return "\n".join(out).rstrip("\n") + "\n"

"""Something that might be bought: in: its name or its facts as typed, out: a part, or why there is none."""

from __future__ import annotations

from typing import NamedTuple

from rackspec.findings import ERROR, Finding, Place, Source
from rackspec.language.binding import bind
from rackspec.language.lines import read_tree
from rackspec.language.suggest import nearest
from rackspec.language.words import BLOCKS
from rackspec.model.layers import Layers
from rackspec.model.library import Library
from rackspec.model.parts import PanelPart, make_panel_part

FILE = "--try"
"""The name that findings about typed facts stand under."""
TYPED_NAME = "candidate"
"""How something is called of which only facts were typed."""
KINDS = ("module", "supply")


class Typed(NamedTuple):
    """What came of facts that were typed: the part (None: they were not understood), and findings."""

    part: PanelPart | None
    findings: tuple[Finding, ...]


def is_typed(text: str) -> bool:
    """Whether a text is facts, and no name: a name is one word."""
    return len(text.split()) > 1 or ";" in text


def on_lines(text: str) -> str:
    """The typed facts, each on a line of its own: ``;`` ends a fact, but not inside of a text. As long as before."""
    quoted = False
    found = []
    for character in text:
        if character == '"':
            quoted = not quoted
        elif character == "\n":
            quoted = False
        found.append("\n" if character == ";" and not quoted else character)
    return "".join(found)


def kind_of(lines: str) -> str:
    """Module, or supply where a fact is typed that only a supply has."""
    words = {line.split()[0] for line in lines.split("\n") if line.split()}
    only_supply = BLOCKS["supply"].statements.keys() - BLOCKS["module"].statements.keys()
    return "supply" if words & only_supply else "module"


def read_typed(text: str) -> Typed:
    """Read facts through the language itself, as the lines of a block. Places of findings count in ``text``."""
    lines = on_lines(text)
    kind = kind_of(lines)
    header = f"{kind} {TYPED_NAME} {{\n"
    source = Source(FILE, f"{header}{lines}\n}}\n")
    tree, found = read_tree(source)
    block, more = bind(tree)
    shown = Source(FILE, text)

    def moved(place: Place) -> Place:
        start, end = (min(max(offset - len(header), 0), len(text)) for offset in (place.start, place.end))
        return Place(shown, start, end, place.label)

    findings = tuple(
        finding._replace(place=moved(finding.place), others=tuple(map(moved, finding.others)), edit=None)
        for finding in (*found, *more)
    )
    blocks = [fact.block for fact in block.order]
    if not findings and (len(blocks) != 1 or blocks[0] is None or any(fact.block for fact in blocks[0].order)):
        message = f"a brace has no place among the facts of one {kind}"
        findings = (Finding("brace-astray", ERROR, message, Place(shown, 0, len(text)), remedy="leave it out"),)
    if findings or blocks[0] is None:
        return Typed(None, findings)
    return Typed(make_panel_part(kind, TYPED_NAME, "", Layers((blocks[0],))), ())


def named(name: str, library: Library) -> PanelPart | None:
    """The module or supply of a name; None where the library has none."""
    entry = library.entries.get(name)
    return library.panel_part(entry) if entry is not None and entry.kind in KINDS else None


def no_such(name: str, libraries: list[Library]) -> str:
    """Why a name is that of no module or supply, and what may have been meant."""
    entries = {entry.name: entry.kind for library in libraries for entry in library.entries.values()}
    fitting = [other for other, kind in entries.items() if kind in KINDS]
    near = nearest(name, fitting)
    meant = "write " + " or ".join(f"'{other}'" for other in near) + ", or " if near else ""
    what = f"no module or supply is called '{name}'"
    if name in entries:
        what = f"'{name}' is a {entries[name]}, no module or supply"
    return f'{what}: {meant}type its facts, such as --try "width 8HP; depth 30mm"'

"""Tree to facts: in: the tree of a text, out: its blocks with bound facts, and findings. Never raises.

Each line is held against the automaton of its statement. What was bound is remembered by kind of block and text.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from rackspec.findings import ERROR, Edit, Finding, Place, Source
from rackspec.language import mismatch
from rackspec.language.bound import STATED, Block, Bound, Evidence, Fact
from rackspec.language.lines import told
from rackspec.language.ranges import impossible
from rackspec.language.stepping import step
from rackspec.language.suggest import nearest
from rackspec.language.tree import CLOSES, FACT, OPENS, Node, Shape, Tree
from rackspec.language.values import Slip, Value
from rackspec.language.words import BLOCKS, RESERVED, Statement, automaton

_BOUND: dict[str, dict[str, Bound]] = {name: {} for name in BLOCKS}
MOST_REMEMBERED = 50_000
MUST = {
    kind: tuple(statement for statement in block.statements.values() if statement.must)
    for kind, block in BLOCKS.items()
}
"""The statements that a block needs."""
NOTHING: Mapping[str, Value] = MappingProxyType({})


def bind_line(kind: str, shape: Shape, opens: bool) -> Bound:
    """What a line says in a block of that kind."""
    if not shape.values:
        return Bound(None, NOTHING, (), None, (), True, None, shape.loose)
    word = shape.values[0]
    statements = BLOCKS[kind].statements
    statement = statements.get(word.text)
    slips: list[Slip] = []
    if statement is None:
        slip, meant = mismatch.unknown_word(kind, word, shape, opens)
        if not any(other.start <= word.end for other in shape.slips):  # else what cut the word short is told already
            slips.append(slip)
        if not meant or shape.broken:
            names = shape.loose or tuple(value.text for value in shape.values if value.kind == "name")
            return Bound(None, MappingProxyType({"": word}), (), None, tuple(slips), True, None, names)
        statement = statements[meant]
    if shape.broken:
        return Bound(statement, MappingProxyType({"": word}), (), None, tuple(slips), True, None, shape.loose)
    bound = _walk(statement, shape, opens, list(slips))
    if slips:
        return bound._replace(slips=bound.slips[:1])  # what follows a guessed word is no slip of its own
    if shape.slips:
        return bound._replace(slips=tuple(slip for slip in bound.slips if _stands_alone(slip, shape)))
    return bound


def _stands_alone(slip: Slip, shape: Shape) -> bool:
    """Whether a slip is one of its own, though another one was told of its line: a value's, away from the other."""
    if slip.rule not in ("unknown-unit", "unit-missing", "wrong-dimension", "name-reserved"):
        return False
    return not any(slip.start <= other.start and other.end <= slip.end for other in shape.slips)


def _walk(statement: Statement, shape: Shape, opens: bool, slips: list[Slip]) -> Bound:
    """Take the values of a line one by one through the automaton of its statement."""
    state = automaton(statement)
    values: dict[str, Value] = {"": shape.values[0]}
    flags: list[str] = []
    levels: list[str] = []
    rest = shape.values[1:]
    position, spoiled, before = 0, False, shape.values[0]
    while position < len(rest):
        value = rest[position]
        taken = step(state, value)
        if taken is None:
            repair = mismatch.repair(state, statement, rest, position, before)
            if repair.state is not None or not slips:  # where the line was left already, this only follows
                slips.append(repair.slip)
            if repair.state is None:
                spoiled = True
                break
            spoiled = spoiled or repair.value is None
            if repair.value is not None and repair.key:
                values[repair.key] = repair.value
            if repair.flag:
                flags.append(repair.flag)
            state, position, before = repair.state, position + repair.skip, value
            continue
        if value.slip is not None:
            slips.append(value.slip)
        edge, state = taken
        if edge.kind == "literal":
            (levels if value.text in ("stated", "measured", "guessed") and not edge.key else flags).append(value.text)
        else:
            if value.text in RESERVED and edge.what == "NEW":
                slips.append(mismatch.reserved(value))
            if edge.what in ("MONEY", "CURRENCY"):
                slips += mismatch.currency(value)
            slip = impossible(statement.word, edge.key, value)
            if slip is not None:
                slips.append(slip)
                value = value._replace(data=None)
            values[edge.key] = value
            spoiled = spoiled or value.data is None
        before = value
        position += 1
    else:
        if not state.final:
            if not slips:
                slips.append(mismatch.too_early(state, before))
            spoiled = True
    if bool(statement.opens) != opens and not (spoiled and opens):
        slips.append(mismatch.brace(statement, shape, opens))
        spoiled = True
    evidence = _evidence(levels, values)
    names = tuple(value.text for value in shape.values[1:] if value.kind == "name") if spoiled else ()
    once = _once(statement, values, flags, evidence)
    return Bound(statement, MappingProxyType(values), tuple(flags), evidence, tuple(slips), spoiled, once, names)


def _evidence(levels: list[str], values: dict[str, Value]) -> Evidence | None:
    """The evidence of a line."""
    if not levels:
        return None
    text, dated = values.get("evidence"), values.get("dated")
    return Evidence(levels[0], str(text.data) if text else "", dated.data if dated else None)


def _once(
    statement: Statement, values: dict[str, Value], flags: list[str], evidence: Evidence | None
) -> tuple[object, ...] | None:
    """What may stand once in a block: the word, what it is said of, and how far it can be trusted."""
    if statement.many:
        return None
    said: list[object] = [statement.word]
    if statement.each:
        value = values.get(statement.each)
        if value is None:
            said += flags
        elif value.kind == "amount":
            said.append(value.data.value.as_integer_ratio() if value.data else value.text)  # sooner hashed
        elif value.kind == "money":
            one_a_currency = statement.each == statement.word  # a rate; of other sums each may stand once
            said.append((value.data.currency if one_a_currency else value.data[:2]) if value.data else value.text)
        else:
            said.append(value.text)
    if statement.evidence:
        said.append(evidence.level if evidence else "")
    return tuple(said)


def _remembered(kind: str, node: Node) -> Bound:
    """The bound line, from memory where it was bound before."""
    memory = _BOUND[kind]
    opens = node.inside is not None
    key = node.text if opens == (node.shape.does == OPENS) else node.text + "\n{"
    bound = memory.get(key)
    if bound is None:
        if len(memory) > MOST_REMEMBERED:
            memory.clear()
        bound = memory[key] = bind_line(kind, node.shape, opens)
    return bound


def bind_block(
    source: Source, kind: str, header: Fact | None, nodes: tuple[Node, ...], findings: list[Finding]
) -> Block:
    """The block of a kind that ``nodes`` are inside of."""
    order: list[Fact] = []
    loose: list[str] = []
    spoiled = header is not None and header.bound.spoiled
    said: dict[tuple[object, ...], Fact] = {}
    explicit = False
    memory = _BOUND[kind]
    for node in nodes:
        bound = memory.get(node.shape.text) if node.inside is None and node.shape.does == FACT else None
        if bound is None:
            bound = _remembered(kind, node)
        explicit = explicit or (bound.evidence is not None and bound.once is not None and len(bound.once) > 1)
        if bound.slips:
            findings += [_finding(source, node, slip) for slip in bound.slips]
        if bound.spoiled:
            spoiled = True
            loose += bound.names
        statement = bound.statement
        if statement is None:
            continue
        fact = Fact(bound, source, node.offset)
        if node.inside is not None:
            opened = statement.opens
            if not opened or opened not in BLOCKS:
                continue
            fact = Fact(bound, source, node.offset, bind_block(source, opened, fact, node.inside, findings))
        elif bound.spoiled and statement.opens:
            continue
        if bound.once is not None:
            earlier = said.setdefault(bound.once, fact)
            if earlier is not fact:
                if not (bound.slips or node.shape.slips or earlier.bound.slips):
                    findings.append(_said_twice(fact, earlier))
                continue
        order.append(fact)
    if explicit:
        _look_for_bare_twins(said, findings)
    block = Block(kind, _name(header), tuple(order), spoiled, tuple(loose), header)
    if not spoiled:
        _look_for_missing(block, findings)
    return block


def _look_for_bare_twins(said: dict[tuple[object, ...], Fact], findings: list[Finding]) -> None:
    """A line without evidence has that of its block: it may not stand beside one that says the same evidence itself."""
    level = STATED
    for fact in said.values():
        if fact.word == "basis" and fact.bound.evidence is not None:
            level = fact.bound.evidence.level
    for once, fact in said.items():
        if once[-1] == level and fact.word != "basis":
            bare = said.get((*once[:-1], ""))
            if bare is not None:
                first, second = sorted((bare, fact), key=lambda twin: twin.offset)
                findings.append(_said_twice(second, first))


def _name(header: Fact | None) -> str:
    """The name that a header gives: it stands directly behind the word."""
    if header is None or header.bound.statement is None:
        return ""
    value = header.bound.values.get(header.bound.statement.word)
    return value.text if value is not None and value.kind in ("name", "screw") else ""


def _look_for_missing(block: Block, findings: list[Finding]) -> None:
    """Statements that a block needs and does not have; with ``like`` they may come from there."""
    header = block.header
    if header is None or "like" in header.bound.values:
        return
    for statement in MUST[block.kind]:
        if not any(fact.bound.statement is statement for fact in block.order):
            called = f"{block.kind} '{block.name}'" if block.name else block.kind
            message = f"the {called} does not say its '{statement.word}': {statement.help}"
            remedy = f"add a line '{statement.word}' to it"
            findings.append(Finding("fact-missing", ERROR, message, block.place(), remedy=remedy))


def _finding(source: Source, node: Node, slip: Slip) -> Finding:
    """A slip at its place, with the edit that would mend it."""
    found = told(source, node.offset, slip)
    if slip.mend is None:
        return found
    return found._replace(edit=Edit(found.place, slip.mend))


def _said_twice(fact: Fact, earlier: Fact) -> Finding:
    """The same fact twice in one block: never 'the last one wins'."""
    statement = fact.bound.statement
    assert statement is not None
    what = f"'{statement.word}'"
    key = fact.bound.values.get(statement.each) if statement.each else None
    if key is not None:
        what += f" for {key.text}"
    elif fact.bound.flags and statement.each:
        what += f" {fact.bound.flags[0]}"
    same = _said(fact) == _said(earlier)
    message = f"{what} is said twice in this block" + ("" if same else ", and differently")
    remedy = "delete one of the two lines"
    if statement.evidence and not same:
        remedy = "keep the line that is right; a second one may stand if it is 'measured' or 'guessed'"
    others = (earlier.place("", "said here first"),)
    return Finding("said-twice", ERROR, message, fact.place(""), others=others, remedy=remedy)


def _said(fact: Fact) -> list[tuple[str, object]]:
    """What a fact says, without its places."""
    return [(key, value.data) for key, value in fact.bound.values.items() if key]


def bind(tree: Tree) -> tuple[Block, list[Finding]]:
    """The block of a whole file, and what was found."""
    findings: list[Finding] = []
    nodes = tuple(node for node in tree.nodes if node.shape.does != CLOSES)
    block = bind_block(tree.source, "file", None, nodes, findings)
    for position, fact in enumerate(block.order):
        if fact.bound.statement is not None and fact.bound.statement.word == "rackspec":
            _look_at_version(fact, position, findings)
    return block, findings


def _look_at_version(fact: Fact, position: int, findings: list[Finding]) -> None:
    """``rackspec 1`` opens a file; a later number needs a later program."""
    value = fact.bound.values.get("rackspec")
    if position > 0:
        message = "'rackspec' with the version of the language stands in the first line or nowhere"
        findings.append(Finding("version-not-known", ERROR, message, fact.place(), remedy="move this line to the top"))
    elif value is not None and value.data is not None and value.data != 1:
        message = f"this file is written in version {value.text} of the language; this program knows version 1"
        remedy = "update rackspec, or write 'rackspec 1' if the file needs nothing newer"
        findings.append(Finding("version-not-known", ERROR, message, fact.place("rackspec"), remedy=remedy))


def suggestions(word: str, kind: str) -> tuple[str, ...]:
    """Words of a block that are near ``word``."""
    return nearest(word, BLOCKS[kind].statements)


def places_of(block: Block) -> list[Place]:
    """The places of all names a block gives, in order (for editors)."""
    return [fact.block.place() for fact in block.order if fact.block is not None and fact.block.name]

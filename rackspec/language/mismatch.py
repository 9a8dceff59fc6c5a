"""Lines that say something else than their statement takes: in: where the automaton stopped, out: what is due there.

Where it is plain what was meant the line goes on as if it had been written so, and nothing is missed because of it.
"""

from typing import NamedTuple

from rackspec.language.currencies import CODES, is_currency
from rackspec.language.otherwise import NEARLY, said_otherwise, thread_alone
from rackspec.language.pattern import Edge, State
from rackspec.language.quantity import plain_number
from rackspec.language.stepping import step
from rackspec.language.suggest import did_you_mean, nearest
from rackspec.language.tree import Shape
from rackspec.language.units import UNITS
from rackspec.language.values import CLASSES, Slip, Value, called, takes, with_number
from rackspec.language.words import BLOCKS, RESERVED, Statement, automaton

RULE = "line-not-understood"


class Repair(NamedTuple):
    """A slip, and how to go on: the state behind it (None: not at all), how many values it used, what was meant."""

    slip: Slip
    state: State | None = None
    skip: int = 1
    key: str = ""
    value: Value | None = None
    flag: str = ""


def article(word: str) -> str:
    """``a row``, ``an insert``."""
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def name_of_kinds(kinds: tuple[str, ...]) -> str:
    """How a thing of some kinds is called: ``the name of a rail``."""
    listed = [article(kind) if kind not in ("placed", "any") else "a placed panel" for kind in kinds]
    if len(listed) > 3:
        return "the name of a thing"
    return "the name of " + " or ".join(listed)


def due(edge: Edge) -> str:
    """How an edge is called in a sentence."""
    if edge.kind == "literal":
        return f"'{edge.what}'"
    if edge.kind == "reference":
        return name_of_kinds(edge.kinds)
    return CLASSES[edge.what].called


def listed(state: State) -> str:
    """What may come next, in words."""
    names: list[str] = []
    for edge, _ in state.edges:
        name = due(edge)
        if name not in names:
            names.append(name)
    if len(names) > 4:
        names = [*names[:3], "…"]
    if len(names) < 2:
        return names[0] if names else "the end of the line"
    return ", ".join(names[:-1]) + " or " + names[-1]


def examples(state: State) -> str:
    """What would do, for the first value that is due."""
    for edge, _ in state.edges:
        if edge.kind == "value" and edge.what in CLASSES:
            return CLASSES[edge.what].example
    return ""


def unknown_word(kind: str, word: Value, shape: Shape, opens: bool) -> tuple[Slip, str]:
    """A line that begins with no word of its block. Also gives the word that was meant, if that is plain."""
    block = BLOCKS[kind]
    text = word.text
    where = "here" if kind == "file" else f"in {article(kind)}"
    fitting = {name: row for name, row in block.statements.items() if bool(row.opens) == opens}
    near = nearest(text, fitting) or nearest(text, block.statements)
    if NEARLY.get(text) in fitting:
        near = (NEARLY[text],)
    glued = next((name for name in fitting if text.startswith(name) and text[len(name) : len(name) + 1].isdigit()), "")
    if glued:
        mend = f"{glued} {text[len(glued) :]}"
        message = f"'{text}' needs a space behind '{glued}'"
        return Slip("unknown-word", message, word.start, word.end, f"write {mend}", mend), ""
    if not near and sum(value.kind in ("number", "amount", "money") for value in shape.values[1:]) > 1:
        message = "this looks like a row of a table, not like a fact"
        remedy = "write one fact a line, each with its word and unit: width 14HP"
        return Slip("unknown-word", message, word.start, shape.values[-1].end, remedy), ""
    elsewhere = [name for name, other in BLOCKS.items() if text in other.statements and name in LISTABLE]
    if near:
        remedy = did_you_mean(near)
    elif elsewhere:
        named = [article(name) if name != "file" else "no block" for name in elsewhere[:3]]
        remedy = f"'{text}' belongs in {' or '.join(named)}: move the line, or look where a '}}' is missing"
    elif inside := next((row.word for row in fitting.values() if text in automaton_words(row)), ""):
        remedy = f"'{text}' is no line of its own: it stands in a line that begins with '{inside}'"
    else:
        remedy = f"known {where}: {', '.join(sorted(fitting))}" if len(fitting) < 12 else "see 'rackspec explain'"
    message = f"'{text}' is not a word that is known {where}"
    mend_word = near[0] if len(near) == 1 else None
    slip = Slip("unknown-word", message, word.start, word.end, remedy, mend_word)
    meant = near[0] if near and not elsewhere else near[0] if len(near) == 1 else ""
    return slip, meant


def automaton_words(statement: Statement) -> frozenset[str]:
    """The words that stand inside of lines of a statement."""
    found: set[str] = set()
    waiting, seen = [automaton(statement)], set()
    while waiting:
        state = waiting.pop()
        if id(state) not in seen:
            seen.add(id(state))
            found.update(state.literals)
            waiting += [behind for _, behind in state.edges]
    return frozenset(found) - {"stated", "measured", "guessed"}


LISTABLE = frozenset(BLOCKS) - {"known", "bought", "panel", "fed", "feeding"}
"""Blocks that a builder writes; the others are groups."""


def repair(state: State, statement: Statement, rest: tuple[Value, ...], position: int, before: Value) -> Repair:
    """What is wrong with a value that the state does not take, and how to go on."""
    value = rest[position]
    span = (value.start, value.end)
    following = rest[position + 1] if position + 1 < len(rest) else None
    if (value.kind, value.text) == (before.kind, before.text) and value.slip is None:
        return _twice(state, value, value)
    doubled = rest[position - 2].text if position > 1 else statement.word if position == 1 else ""
    if before.text == doubled and before.kind == value.kind == "name":
        key = _taken_as(statement, rest[:position])
        if key:
            return _twice(state, before, value, key)
    meant = said_otherwise(state, statement, rest, position, before) if value.slip is None else None
    if meant is not None:
        return Repair(meant.slip, meant.state, meant.skip, "", value if meant.whole else None, meant.flag)
    amounts = [(edge, behind) for edge, behind in state.edges if edge.kind == "value" and CLASSES[edge.what].dimension]
    if value.kind == "number" and amounts:
        return _without_unit(amounts, value, following)
    if value.kind == "number" and value.slip is None:
        for edge, behind in state.edges:
            if edge.what == "MONEY":
                if value.text.startswith("-"):
                    message = f"'{value.text}' is below zero, which a sum of money cannot be"
                    remedy = f"write it as {value.text[1:]}, without the minus"
                    return Repair(Slip(RULE, message, *span, remedy), behind)
                message = f"'{value.text}' has no currency; a sum of money is due here"
                return Repair(Slip(RULE, message, *span, f"write {value.text} EUR, or the currency it is in"), behind)
    if value.kind == "name" and before.kind == "name" and statement.opens and position == 1:
        message = f"a name has no space in it, and '{before.text}' has one behind it"
        return Repair(Slip(RULE, message, before.start, value.end, f"write {before.text}-{value.text}"), None)
    if value.kind in ("amount", "money", "point") and amounts and value.slip is None:
        edge, behind = amounts[0]
        wanted = CLASSES[edge.what]
        if value.kind != "point" or wanted.kind == "point":
            message = f"'{before.text}' takes {wanted.called}; {value.text} is {called(value)}"
            return Repair(Slip("wrong-dimension", message, *span, f"write it like {wanted.example}"), behind)
    if value.kind == "name" and value.text in RESERVED:
        references = [behind for edge, behind in state.edges if edge.kind == "reference"]
        return Repair(reserved(value), references[0] if references else None)
    if value.kind == "name" and state.literals:
        near = nearest(value.text, state.literals)
        if near:
            edge, behind = state.literals[near[0]]
            flag = edge.what if edge.what not in ("stated", "measured", "guessed") else ""
            message = f"'{value.text}' is not understood here; {listed(state)} is due"
            mend = near[0] if len(near) == 1 else None
            return Repair(Slip(RULE, message, *span, did_you_mean(near), mend), behind, 1, "", value, flag)
    if value.slip is not None:
        return Repair(value.slip, amounts[0][1] if amounts else None)
    if before.kind == "name" and before.text in state.literals:
        message = f"a name is due in front of '{before.text}'"
        return Repair(
            Slip(RULE, message, before.start, before.end, "write the name"), state.literals[before.text][1], 0
        )
    skipped = _left_out(state, value)
    if skipped is not None:
        edge, behind = skipped
        message = f"{due(edge)} is due between '{before.text}' and '{value.text}'"
        remedy = (
            f"write {before.text} {edge.what} {value.text}" if edge.kind == "literal" else f"write {due(edge)} there"
        )
        return Repair(Slip(RULE, message, *span, remedy), behind, 0)
    if (
        state.final
        and value.kind == "name"
        and value.text in BLOCKS[statement.block].statements
        and following is not None
    ):
        message = f"a second fact begins at '{value.text}'; each stands on a line of its own"
        return Repair(Slip(RULE, message, *span, f"put '{value.text}' and what follows on the next line"))
    if not state.edges:
        message = f"'{value.text}' is one too many: the line is complete before it"
        return Repair(Slip(RULE, message, *span, "delete it, or put it on a line of its own"))
    if state.final:
        message = f"'{value.text}' cannot stand behind '{before.text}'; {listed(state)} or the end of the line can"
        return Repair(Slip(RULE, message, *span, "delete it, or write what is due"))
    example = examples(state)
    remedy = f"write it like {example}" if example else f"write {listed(state)}"
    return Repair(Slip(RULE, f"{listed(state)} is due behind '{before.text}', not '{value.text}'", *span, remedy))


def _taken_as(statement: Statement, values: tuple[Value, ...]) -> str:
    """The key that the last of some values was taken under as a name, or nothing."""
    state, key = automaton(statement), ""
    for value in values:
        taken = step(state, value)
        if taken is None:
            return ""
        edge, state = taken
        key = edge.key if edge.kind == "reference" or edge.what == "NEW" else ""
    return key


def _twice(state: State, value: Value, meant: Value, key: str = "") -> Repair:
    """A word or value that was written twice; ``meant`` is the value that goes under ``key`` without it."""
    slip = Slip(RULE, f"'{value.text}' stands here twice", value.start, value.end, "delete one of the two")
    return Repair(slip, state, 1, key, meant)


def _without_unit(amounts: list[tuple[Edge, State]], value: Value, following: Value | None) -> Repair:
    """``14`` and ``14 HP``."""
    edge, behind = amounts[0]
    wanted = CLASSES[edge.what]
    if following is not None and following.kind == "name" and following.text in UNITS:
        mend = value.text + following.text
        unit = UNITS[following.text]
        span = (value.start, following.end)
        slip = Slip("unit-missing", f"'{value.text} {following.text}' has a space in it", *span, f"write {mend}", mend)
        if unit.dimension != wanted.dimension or wanted.kind != "amount":
            return Repair(slip, behind, 2)
        read = with_number(value.text, value.start, unit)
        if isinstance(read, Slip):
            return Repair(slip, behind, 2)
        from rackspec.language.quantity import Quantity

        quantity = Quantity(unit.dimension, read[0], read[0], read[0], mend)
        meant = Value("amount", value.start, following.end, mend, quantity)
        return Repair(slip, behind, 2, edge.key, meant)
    message = f"'{value.text}' has no unit; {wanted.called} is due here"
    symbols = " or ".join(f"{value.text}{unit}" for unit in UNIT_CHOICE.get(wanted.dimension, ()))
    if wanted.dimension == "share" and value.data is not None and 0 < value.data < 1:
        symbols = f"{plain_number(value.data * 100)}%"  # 0.82 is meant as 82 of a hundred
    remedy = f"write {symbols}" if symbols else f"write it like {wanted.example}"
    return Repair(Slip("unit-missing", message, value.start, value.end, remedy), behind)


UNIT_CHOICE = {
    "length": ("HP", "mm"),
    "current": ("mA", "A"),
    "voltage": ("V",),
    "mass": ("g",),
    "angle": ("deg",),
    "share": ("%",),
}
"""The units a builder will have meant, the likeliest first."""


def _left_out(state: State, value: Value) -> tuple[Edge, State] | None:
    """A literal that was left out: with it, the value would be taken."""
    for edge, behind in state.edges:
        if edge.kind != "literal" or edge.what in ("stated", "measured", "guessed"):
            continue
        for next_edge, _ in behind.edges:
            if next_edge.kind == "value" and takes(next_edge.what, value) and value.kind != "name":
                return edge, behind
            if next_edge.kind == "reference" and value.kind == "name" and not state.final:
                return edge, behind
    return None


def too_early(state: State, before: Value) -> Slip:
    """A line that ends while something is due."""
    if "washer" in state.literals and before.kind == "screw":
        return thread_alone(before)
    example = examples(state)
    remedy = f"write it like {example}" if example else f"write {listed(state)}"
    if len(state.edges) == 1 and state.edges[0][0].kind == "literal":
        remedy += f" and {listed(state.edges[0][1])}" if not state.edges[0][1].final else ""
    message = f"{listed(state)} is due behind '{before.text}'"
    if "because" in state.literals:
        message = "a waiver needs its reason: 'because' and a text are due here"
        remedy = f'write {before.text} because "…", and say why it is accepted'
    return Slip(RULE, message, before.start, before.end, remedy)


def reserved(value: Value) -> Slip:
    """A reserved word in the place of a name."""
    message = f"'{value.text}' is reserved and cannot be a name"
    return Slip("name-reserved", message, value.start, value.end, "choose another name")


def brace(statement: Statement, shape: Shape, opens: bool) -> Slip:
    """A block where none is due, or none where one is."""
    word = shape.values[0]
    if opens:
        message = f"'{statement.word}' is a fact of one line and opens no block"
        return Slip("brace-astray", message, word.start, word.end, "delete its '{' and the '}' that belongs to it")
    last = shape.values[-1]
    message = f"'{word.text}' opens a block: its line ends with '{{'"
    return Slip(
        "brace-astray", message, last.start, last.end, "write '{' at the end, what it says on lines below, then '}'"
    )


def currency(value: Value) -> list[Slip]:
    """A code that ISO 4217 does not list."""
    code = value.text.split()[-1]
    if is_currency(code):
        return []
    start = value.end - len(code)
    near = nearest(code, CODES)
    remedy = did_you_mean(near) if near else "write the three letters of ISO 4217, such as EUR"
    mend = near[0] if len(near) == 1 else None
    return [Slip("unknown-currency", f"no currency has the code '{code}'", start, value.end, remedy, mend)]

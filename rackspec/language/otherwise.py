"""Lines that say in other words what can be said: in: where the automaton stopped, out: how it is written here.

What buyers write: ``pack of 100``, ``free over 60 EUR``, ``EUR 4.20``, ``washer M4``, ``8 of M4``, ``days 3 days``.
"""

from __future__ import annotations

from typing import NamedTuple

from rackspec.language.currencies import is_currency
from rackspec.language.pattern import State
from rackspec.language.quantity import Quantity, plain_number
from rackspec.language.stepping import step
from rackspec.language.suggest import nearest
from rackspec.language.values import Slip, Value
from rackspec.language.words import RESERVED, Statement

RULE = "line-not-understood"

FILLERS = frozenset({"a", "an", "about", "at", "costs", "for", "of", "order", "per", "than", "the"})
"""Words that say nothing where the next one is what is due."""

COUNTED = frozenset({"piece", "pieces", "pcs", "unit", "units"})
"""What a number counts, where nothing else could be counted."""

INSTEAD = {"above": ("from",), "over": ("from",), "for": ("at",), "costs": ("at",), "at": ("from", "in")}
"""Words of the language that others stand for."""

LISTS = frozenset({"have", "also", "holds"})
"""Statements that begin with how many."""

RINGS = {"washer": "washer", "washers": "washer", "nut": "nut", "nuts": "nut"}

IN_DAYS = {"week": 7, "weeks": 7, "month": 30, "months": 30, "year": 365, "years": 365}


class Meant(NamedTuple):
    """A slip, the state to go on from (None: not at all), how many values it used, and whether nothing is lost by it;
    ``flag``: the word of the language that was meant."""

    slip: Slip
    state: State | None
    skip: int = 1
    whole: bool = False
    flag: str = ""


def said_otherwise(
    state: State, statement: Statement, rest: tuple[Value, ...], position: int, before: Value
) -> Meant | None:
    """What was meant by a value that the state does not take, where that is plain."""
    value = rest[position]
    following = rest[position + 1] if position + 1 < len(rest) else None
    if value.kind == "name":
        found = of_a_word(state, statement, value, following, before)
    else:
        found = of_a_value(state, statement, value, following, before)
    if found is None and position == 0 and statement.word in LISTS and any(e.what == "COUNT" for e, _ in state.edges):
        message = f"how many is due behind '{statement.word}', not '{value.text}'"
        thing = value.text if value.kind in ("name", "screw") else "M3x8"
        remedy = f"write how many, such as 12 of {thing}"
        if following is not None and following.text == "of":
            remedy = "write the number in digits, such as 12"
        return Meant(Slip(RULE, message, value.start, value.end, remedy), None)
    return found


def of_a_word(state: State, statement: Statement, value: Value, following: Value | None, before: Value) -> Meant | None:
    """A word that is not due."""
    word, span, text = statement.word, (value.start, value.end), value.text
    money = next((behind for edge, behind in state.edges if edge.what == "MONEY"), None)
    if money is not None and following is not None and following.kind == "number" and is_currency(text):
        mend = f"{following.text} {text}"
        message = f"'{text}' stands in front of its sum; a currency stands behind it"
        return Meant(Slip(RULE, message, value.start, following.end, f"write {mend}", mend), money, 2)
    if word == "ships" and text == "free":
        remedy = "write 'ships 0 EUR' if sending costs nothing, 'free from 60 EUR' if it does from a sum on"
        return Meant(Slip(RULE, "'free' is not what a parcel costs", *span, remedy), None)
    if word == "ships" and text in ("until", "to", "till", "below", "under") and following is not None:
        remedy = f"write from which sum on the next price holds: ships 0 EUR from {following.text}"
        return Meant(Slip(RULE, f"'{text}' cannot stand behind what a parcel costs", *span, remedy), None)
    if word == "ribbon" and "along" in state.literals:
        remedy = "write 'along' if it came with the module, 'missing' if it did not"
        return Meant(Slip(RULE, f"'ribbon {text}' is not understood", *span, remedy), None)
    if word == "sells" and text in ("in", "out", "sold", "available") and state.final:
        remedy = "write 'stock' and how many there are, 'stock 0' if it is sold out, or leave it out"
        return Meant(Slip(RULE, f"'{text}' does not say how many there are", *span, remedy), None)
    if word == "sells" and text == "from" and before.kind == "number" and state.final:
        message = "'from' stands in front of 'stock'"
        return Meant(Slip(RULE, message, *span, f"write from … in front of stock {before.text}"), None)
    if text in RINGS and following is not None and "of" in state.literals and following.kind == "screw":
        remedy = f"write of {following.text} {RINGS[text]}"
        return Meant(Slip(RULE, f"a {RINGS[text]} is called by its thread first", *span, remedy), None)
    if text in RESERVED and "of" in state.literals and text in state.literals["of"][1].literals:
        message = f"'of' is due between '{before.text}' and '{text}'"
        return Meant(Slip(RULE, message, *span, f"write {before.text} of {text}"), state.literals["of"][1], 0)
    if text in IN_DAYS and "days" in state.literals and before.data is not None:
        mend = f"{before.text} {text}"
        days = plain_number(before.data * IN_DAYS[text])
        slip = Slip(RULE, f"'{mend}' is not counted in days", before.start, value.end, f"write {days} days")
        return Meant(slip, state.literals["days"][1])
    if word in ("spent", "gift") and text in ("on", "for", "from", "by", "to") and state.final:
        remedy = "write who or what for as a text: stated \"aunt Ada\"; a stage stands behind 'in'"
        return Meant(Slip(RULE, f"'{text}' cannot stand behind a sum that is {told(word)}", *span, remedy), None)
    for meant in INSTEAD.get(text, ()):
        if meant in state.literals and following is not None and step(state.literals[meant][1], following):
            message = f"'{text}' is not understood here; '{meant}' is due"
            return Meant(
                Slip(RULE, message, *span, f"write '{meant}'", meant), state.literals[meant][1], 1, True, meant
            )
    if text in FILLERS and following is not None and step(state, following) is not None:
        return Meant(Slip(RULE, f"'{text}' is not needed here", *span, f"delete '{text}'"), state, 1, True)
    if state.final and before.kind == "number" and (text in COUNTED or text == word):
        return Meant(Slip(RULE, f"'{text}' is not needed here", *span, f"delete '{text}'"), state, 1, True)
    if "washer" in state.literals and before.kind == "screw" and not nearest(text, state.literals):
        return Meant(thread_alone(before), None)
    if following is None and "in" in state.literals and text not in RESERVED and not nearest(text, state.literals):
        message = f"'in' is due between '{before.text}' and '{text}'"
        return Meant(Slip(RULE, message, *span, f"write in {text}, if it is a stage"), None)
    return None


def told(word: str) -> str:
    """``spent`` or ``given``."""
    return "spent" if word == "spent" else "given"


def of_a_value(
    state: State, statement: Statement, value: Value, following: Value | None, before: Value
) -> Meant | None:
    """A number, an amount or a screw that is not due."""
    word, span, text = statement.word, (value.start, value.end), value.text
    if word == "ships" and value.kind == "number" and value.data == 0:
        remedy = "write 'ships 0 EUR' if sending costs nothing, 'ships nothing' if it is fetched there"
        return Meant(Slip(RULE, f"'{text}' has no currency", *span, remedy), None)
    if word == "sells" and value.kind == "number" and (before.text == word or "at" in state.literals):
        remedy = f"write how many for that price behind it: pack {text}"
        return Meant(Slip(RULE, f"'{text}' does not stand here", *span, remedy), state)
    if value.kind == "number" and "adds" in state.literals:
        mend = f"{before.text} adds {text} EUR"
        message = f"'adds' and a sum of money are due behind '{before.text}'"
        return Meant(Slip(RULE, message, *span, f"write {mend}, or the currency it is in"), None)
    pins = next((behind for edge, behind in state.edges if edge.what == "PINS"), None)
    if value.kind == "number" and pins is not None and value.slip is None:
        mend = f"{text}-pin"
        return Meant(Slip(RULE, f"'{text}' does not say that it counts pins", *span, f"write {mend}", mend), pins)
    if value.kind == "screw" and "x" not in text and before.kind == "name" and before.text in RINGS:
        ring = RINGS[before.text]
        message = f"a {ring} is called by its thread first"
        return Meant(Slip(RULE, message, before.start, value.end, f"write {text} {ring}"), None)
    if isinstance(value.data, Quantity) and value.data.dimension == "time" and takes_count(state):
        mend = f"{plain_number(value.data.value)} days"
        return Meant(Slip(RULE, f"'{text}' is no number of days", *span, f"write {mend}", mend), None)
    if word == "adapter" and dimension(value) == "current" and following is not None and before.text == word:
        behind = next((behind for edge, behind in state.edges if edge.what == "VOLTAGE"), None)
        last = next((last for edge, last in behind.edges if edge.what == "CURRENT"), None) if behind else None
        if dimension(following) == "voltage" and last is not None:
            mend = f"{following.text} {text}"
            message = "an adapter says its voltage first"
            return Meant(Slip(RULE, message, value.start, following.end, f"write {mend}", mend), last, 2)
    return None


def takes_count(state: State) -> bool:
    """Whether a whole number is due."""
    return any(edge.what == "COUNT" for edge, _ in state.edges)


def dimension(value: Value) -> str:
    """The dimension of an amount; nothing for other values."""
    return value.data.dimension if isinstance(value.data, Quantity) else ""


def thread_alone(thread: Value) -> Slip:
    """``8 of M4``."""
    message = f"'{thread.text}' is a thread: whether a screw, a washer or a nut is meant is not said"
    remedy = f"write {thread.text} washer or {thread.text} nut, or a screw with its length, such as {thread.text}x8"
    return Slip(RULE, message, thread.start, thread.end, remedy)


NEARLY = {"shipping": "ships", "postage": "ships", "minimum": "least", "delivery": "days", "deliveries": "days"}
"""What lines of a seller may be called elsewhere."""

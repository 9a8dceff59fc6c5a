"""Values of a line: in: what lark read, out: typed values that know where in the line they stand.

A value that cannot be right in itself (an unit nobody knows, a date that no calendar has) carries its slip with it.
"""

from datetime import date
from fractions import Fraction
from sys import intern
from typing import Any, NamedTuple

from lark import Token, Tree

from rackspec.language.currencies import is_currency
from rackspec.language.quantity import Money, Quantity, read_number, split_measure
from rackspec.language.units import EXAMPLES, UNITS, Unit


class Slip(NamedTuple):
    """A slip of the hand in one line: rule, message, span within the line, remedy, and the text that would mend it."""

    rule: str
    message: str
    start: int
    end: int
    remedy: str = ""
    mend: str | None = None


class Value(NamedTuple):
    """One value of a line. ``data`` is by ``kind``: a Quantity for ``amount``, Money, a Fraction for ``number``, a pair
    of Quantities for ``point``, a date, the text without its quotes, and the text itself for names and designations."""

    kind: str
    start: int
    end: int
    text: str
    data: Any
    slip: Slip | None = None


class ValueClass(NamedTuple):
    """A class of value in words.txt: the kind it takes, its dimension, how it is called, and an example."""

    kind: str
    dimension: str
    called: str
    example: str


CLASSES = {
    "LENGTH": ValueClass("amount", "length", "a length", "84HP, 27mm or 4 13/16in"),
    "CURRENT": ValueClass("amount", "current", "a current", "62mA or 1.2A"),
    "VOLTAGE": ValueClass("amount", "voltage", "a voltage", "+12V"),
    "MASS": ValueClass("amount", "mass", "a mass", "165g"),
    "ANGLE": ValueClass("amount", "angle", "an angle", "15deg"),
    "SHARE": ValueClass("amount", "share", "a share", "20%"),
    "COUNT": ValueClass("number", "", "a count", "12"),
    "MONEY": ValueClass("money", "", "a sum of money", "148 EUR"),
    "CURRENCY": ValueClass("name", "", "a currency", "EUR"),
    "TEXT": ValueClass("text", "", "a text in quotes", '"top row"'),
    "DATE": ValueClass("date", "", "a date", "2026-10-04"),
    "POINT": ValueClass("point", "length", "a point", "(7.5mm, 3mm)"),
    "PINS": ValueClass("pins", "", "a number of pins", "10-pin"),
    "GAUGE": ValueClass("gauge", "area", "a gauge of wire", "18AWG or 0.5mm2"),
    "THREAD": ValueClass("screw", "", "a thread", "M3"),
    "SCREW": ValueClass("screw", "", "a screw", "M3x6"),
    "NEW": ValueClass("name", "", "a name", "osc-a"),
    "RULE": ValueClass("name", "", "a rule", "header-unkeyed"),
    "WORD": ValueClass("name", "", "a word", "plywood"),
    "HP": ValueClass("name", "", "HP", "HP"),
    "EVIDENCE": ValueClass("name", "", "stated, measured or guessed", "measured"),
}
"""Every class that words.txt may name."""


def unit_slip(number: str, unit: str, start: int, end: int) -> Slip:
    """Why a unit is not taken, with the measure in a unit of the language where pint's own registry knows it."""
    from rackspec.language.foreign import in_our_units

    alike = [spelling for spelling in UNITS if spelling.casefold() == unit.casefold()]
    if alike:
        message = f"'{unit}' is not a unit; '{alike[0]}' is"
        return Slip("unknown-unit", message, start, end, f"write {number}{alike[0]}", alike[0])
    mend = in_our_units(number, unit)
    if mend:
        message = f"'{unit}' is not a unit of this language"
        remedy = f"write {mend}, which is the same"
        return Slip("unknown-unit", message, start - len(number), end, remedy, mend)
    if unit in ("pin", "pins"):
        mend = f"{number}-pin"
        message = f"'{number}{unit}' lacks its hyphen"
        return Slip("unknown-unit", message, start - len(number), end, f"write {mend}", mend)
    if unit == "x":
        return Slip("unknown-unit", f"no '{unit}' is needed behind a number", start, end, f"write {number} of")
    if is_currency(unit):
        mend = f"{number} {unit}"
        message = f"'{number}{unit}' is a sum of money without its space"
        return Slip("unknown-unit", message, start - len(number), end, f"write {mend}", mend)
    remedy = "use a unit of the language: HP, U, mm, cm or in; mA or A; V; g, kg or oz; deg; %"
    return Slip("unknown-unit", f"'{unit}' is not a known unit", start, end, remedy)


def read_measure(text: str, start: int) -> tuple[Fraction, Unit] | Slip:
    """Number (in base units) and unit of a measure that begins at ``start``."""
    number, spelling = split_measure(text)
    unit = UNITS.get(spelling)
    if unit is None:
        return unit_slip(number, spelling, start + len(number), start + len(text))
    return with_number(number, start, unit)


def with_number(number: str, start: int, unit: Unit) -> tuple[Fraction, Unit] | Slip:
    """The number read and scaled, or what is wrong with it."""
    try:
        return read_number(number) * unit.factor, unit
    except ZeroDivisionError:
        return Slip(
            "line-not-understood", f"'{number}' divides by zero", start, start + len(number), "mend the fraction"
        )
    except ValueError:
        message = f"a number of {len(number)} digits cannot be meant"
        return Slip("line-not-understood", message, start, start + len(number), "write at most 30 digits")


def mixed(first: Unit, other: Unit, token: Token) -> Slip:
    """Two parts of one value that have different dimensions."""
    message = f"'{token}' is {other.dimension}, what stands before it is {first.dimension}"
    return Slip(
        "wrong-dimension", message, token.start_pos or 0, token.end_pos or 0, "give both in the same kind of unit"
    )


def read_value(node: Token | Tree[Token]) -> Value:
    """A value out of what lark read: a token, or a small tree of tokens."""
    if isinstance(node, Token):
        return read_token(node)
    match node.data:
        case "sum":
            return _sum(node.children)
        case "tolerance":
            return _tolerance(node.children)
        case "range":
            first, _, last = node.children
            return _range(read_value(first), read_value(last))
        case _:
            return _point(*(read_value(child) for child in node.children))


_QUANTITIES: dict[str, Quantity] = {}
MOST_REMEMBERED = 20_000


def _measure(text: str, start: int, end: int) -> Value:
    """One measure alone, which is most of what there is; what it is worth is remembered by its text."""
    quantity = _QUANTITIES.get(text)
    if quantity is None:
        read = read_measure(text, start)
        if isinstance(read, Slip):
            return Value("amount", start, end, text, None, read)
        quantity = Quantity(read[1].dimension, read[0], read[0], read[0], text)
        if len(_QUANTITIES) > MOST_REMEMBERED:
            _QUANTITIES.clear()
        _QUANTITIES[text] = quantity
    return Value("amount", start, end, quantity.text, quantity)


def _sum(children: list[Any]) -> Value:
    """Measures added up."""
    first = read_token(children[0])
    whole = first._replace(end=children[-1].end_pos)
    if first.data is None:
        return whole
    quantity: Quantity = first.data
    total, text = quantity.value, quantity.text
    for operator, token in zip(children[1::2], children[2::2], strict=True):
        term = read_measure(token, token.start_pos or 0)
        if isinstance(term, Slip):
            return whole._replace(data=None, slip=term)
        if term[1].dimension != quantity.dimension:
            return whole._replace(data=None, slip=mixed(UNITS_BY_DIMENSION[quantity.dimension], term[1], token))
        total += term[0] if operator.type == "PLUS" else -term[0]
        text += f" {operator} {token}"
    return whole._replace(text=text, data=Quantity(quantity.dimension, total, total, total, text))


def _tolerance(children: list[Any]) -> Value:
    """A measure with how far it may be off."""
    first, last = read_value(children[0]), children[-1]
    end = last.end_pos or 0
    if first.slip or first.data is None:
        return first._replace(end=end)
    quantity: Quantity = first.data
    if last.type == "LIMITS":
        text = f"{first.text} {last}"
        more, _, less = last[1:].partition("/-")
        parts = [Token("MEASURE", part, last.start_pos, end_pos=end) for part in (more, less)]
    else:
        text = f"{first.text} +-{last}"
        parts = [last, last]
    ends = []
    for part in parts:
        read = read_measure(part, part.start_pos or 0)
        if isinstance(read, Slip):
            return first._replace(end=end, slip=read, data=None)
        if read[1].dimension != quantity.dimension:
            slip = mixed(UNITS_BY_DIMENSION[quantity.dimension], read[1], part)
            return first._replace(end=end, slip=slip, data=None)
        if read[0] < 0:
            message = f"'{part}' carries a sign; a tolerance says how far off, in both directions"
            slip = Slip("line-not-understood", message, last.start_pos or 0, end, f"write +-{part.lstrip('-')}")
            return first._replace(end=end, slip=slip, data=None)
        ends.append(read[0])
    data = quantity._replace(low=quantity.value - ends[1], high=quantity.value + ends[0], text=text)
    return Value("amount", first.start, end, text, data)


def _range(first: Value, last: Value) -> Value:
    """``a..b``: unknown within, nominal the middle."""
    if first.slip or last.slip:
        return first._replace(end=last.end, slip=first.slip or last.slip, data=None)
    low, high = first.data, last.data
    text = f"{first.text}..{last.text}"
    if low.dimension != high.dimension:
        token = Token("MEASURE", last.text, last.start, end_pos=last.end)
        other = mixed(UNITS_BY_DIMENSION[low.dimension], UNITS_BY_DIMENSION[high.dimension], token)
        return first._replace(end=last.end, slip=other, data=None)
    slip: Slip | None = None
    if low.value > high.value:
        mend = f"{last.text}..{first.text}"
        slip = Slip("line-not-understood", f"'{text}' runs backwards", first.start, last.end, f"write {mend}", mend)
        low, high = high, low
    data = Quantity(low.dimension, (low.value + high.value) / 2, low.value, high.value, text)
    return Value("amount", first.start, last.end, text, data, slip)


def _point(across: Value, up: Value) -> Value:
    """Two lengths in brackets."""
    text = f"({across.text}, {up.text})"
    slip = across.slip or up.slip
    return Value("point", across.start, up.end, text, None if slip else (across.data, up.data), slip)


UNITS_BY_DIMENSION = {unit.dimension: unit for unit in reversed(UNITS.values())}


def read_token(token: Token) -> Value:
    """A value that is a single token."""
    return make_value(token.type, str(token), token.start_pos or 0, token.end_pos or 0)


def make_value(terminal: str, text: str, start: int, end: int) -> Value:
    """The value of a text that a terminal of the grammar took."""
    match terminal:
        case "NAME":
            name = intern(text)  # the same few words begin most lines
            return Value("name", start, end, name, name)
        case "MEASURE":
            return _measure(text, start, end)
        case "TEXT":
            return Value("text", start, end, text, text[1:-1])
        case "DATE":
            try:
                return Value("date", start, end, text, date.fromisoformat(text))
            except ValueError:
                slip = Slip(
                    "line-not-understood", f"no calendar has {text}", start, end, "mend the date (year-month-day)"
                )
                return Value("date", start, end, text, None, slip)
        case "NUMBER":
            read = with_number(text, start, UNITS["mm"])
            if isinstance(read, Slip):
                return Value("number", start, end, text, None, read)
            return Value("number", start, end, text, read[0])
        case "MONEY":
            number, currency = text.split()
            read = with_number(number, start, UNITS["mm"])
            if isinstance(read, Slip):
                return Value("money", start, end, text, None, read)
            return Value("money", start, end, text, Money(read[0], currency, text))
        case kind:
            return Value(kind.lower(), start, end, text, text)


def takes(name: str, value: Value) -> bool:
    """Whether a value is of the class ``name`` of words.txt."""
    wanted = CLASSES[name]
    match name:
        case "NEW" | "WORD" | "RULE":
            return value.kind == "name" and "/" not in value.text
        case "CURRENCY":
            return value.kind == "name" and len(value.text) == 3 and value.text.isascii() and value.text.isupper()
        case "HP":
            return value.kind == "name" and value.text == "HP"
        case "THREAD" | "SCREW":
            return value.kind == "screw" and ("x" in value.text) == (name == "SCREW")
        case "GAUGE":
            return value.kind == "gauge" or (
                value.kind == "amount" and (not value.data or value.data.dimension == "area")
            )
        case "COUNT":
            return value.kind == "number" and (value.data is None or (value.data.denominator == 1 and value.data >= 0))
        case "POINT":
            return value.kind == "point" and (not value.data or all(part.dimension == "length" for part in value.data))
        case _:
            if value.kind != wanted.kind:
                return False
            return not wanted.dimension or value.data is None or value.data.dimension == wanted.dimension


def called(value: Value) -> str:
    """What a value is, in a sentence."""
    from rackspec.language.units import ARTICLED

    match value.kind:
        case "amount":
            return ARTICLED[value.data.dimension] if value.data else "a measure"
        case "number":
            return "a number without a unit"
        case "money":
            return "a sum of money"
        case "text":
            return "a text"
        case "date":
            return "a date"
        case "point":
            return "a point"
        case "pins":
            return "a number of pins"
        case "gauge":
            return "a gauge of wire"
        case "screw":
            return "a screw" if "x" in value.text else "a thread"
        case _:
            return "a name"


def example_of(dimension: str) -> str:
    """What would do for a measure of that dimension."""
    return EXAMPLES[dimension]

"""Slips of the hand that the grammar stops at: in: a line and lark's error, out: what is wrong, in a builder's words.

Each known slip has its own message and, where it is plain what was meant, the line as it was meant (``mend``): the line
is then read again, so that nothing else is missed because of it. A mended line has the same length, so places hold.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from lark.exceptions import UnexpectedCharacters, UnexpectedInput, UnexpectedToken

from rackspec.language.characters import RULE, foreign_sign, in_a_word, inside_word, odd_characters, smart_quotes
from rackspec.language.units import UNITS
from rackspec.language.values import Slip

STRINGS = re.compile(r'"[^"\n]*"')
NAMES = re.compile(r"[^\W\d_]\w*(?:-\w+)*")


def loose_names(line: str) -> tuple[str, ...]:
    """What looks like a name in a line that was not understood: nothing is complained about because it is missing."""
    return tuple(NAMES.findall(STRINGS.sub(" ", line)))


def code_of(line: str) -> str:
    """The line with its texts and its comment blanked out, as long as before."""
    blank = STRINGS.sub(lambda match: '"' + " " * (len(match[0]) - 2) + '"', line)
    hash_at = blank.find("#")
    return blank if hash_at < 0 else blank[:hash_at] + " " * (len(blank) - hash_at)


def slip_at(line: str, error: UnexpectedInput) -> Slip:
    """The slip that stopped lark."""
    at = error.pos_in_stream if isinstance(error, UnexpectedCharacters) else None
    if isinstance(error, UnexpectedToken):
        at = None if error.token.type == "$END" else error.token.start_pos
    end = len(line.rstrip())
    at = end if at is None else at
    code = code_of(line)
    for known in KNOWN:
        slip = known(line, code, at)
        if slip is not None:
            return slip
    return unexpected(line, code, at, error)


INCH_MARK = re.compile(r'(?:\d+[ ]+)?\d+(?:/\d+|\.\d+)?"')


APART = re.compile(r"((?:[0-9]+[ ]+)?[0-9]+/[0-9]+)[ ]+([^\W\d_]+)")


def fraction_apart(line: str, code: str, at: int) -> Slip | None:
    """``1 5/8 in``."""
    for match in APART.finditer(code):
        if match.start() <= at <= match.end() and match[2] in UNITS:
            whole = match[1] + match[2]
            mend = line[: match.start()] + whole + " " * (len(match[0]) - len(whole)) + line[match.end() :]
            message = f"'{match[0]}' has a space in front of its unit"
            return Slip("unit-missing", message, match.start(), match.end(), f"write {whole}", mend)
    return None


def inch_mark(line: str, code: str, at: int) -> Slip | None:
    """``4 13/16"``."""
    for match in INCH_MARK.finditer(code):
        if match.start() <= at <= match.end():
            mend = line[: match.end() - 1] + "in" + line[match.end() :]
            return Slip(
                "unknown-unit", "'\"' is not a unit", match.end() - 1, match.end(), f"write {match[0][:-1]}in", mend
            )
    return None


def unfinished_text(line: str, code: str, at: int) -> Slip | None:
    """A text without its second quote."""
    if line[at : at + 1] != '"' or STRINGS.match(line, at):
        return None
    before = line[:at].rstrip()
    message = "this text has no second quote" if before else "a line cannot begin with a text"
    rest = line[at:].rstrip()
    opens = rest.endswith("{")
    mend = line[:at] + (rest[:-1].rstrip() + '" {' if opens else rest + '"')
    return Slip("text-unfinished", message, at, max(at + 1, at + len(rest)), 'put a " behind its last word', mend)


def odd_quotes(line: str, code: str, at: int) -> Slip | None:
    """Three quotes: which of them is wrong, only the writer knows."""
    count = code.count('"')
    if count < 3 or count % 2 == 0:
        return None
    start, end = code.index('"'), code.rindex('"') + 1
    return Slip(
        "text-unfinished",
        f"{count} quotes in one line; a text has two",
        start,
        end,
        "delete one, or add the missing one",
        None,
    )


def needless_sign(line: str, code: str, at: int) -> Slip | None:
    """``width = 14HP`` and ``width: 14HP``."""
    if code[at : at + 1] not in ("=", ":") or not code[at : at + 1]:
        return None
    if inside_word(code, at):
        return None
    sign = code[at : len(code) - len(code[at:].lstrip(code[at]))]
    mend = line[:at] + " " * len(sign) + line[at + len(sign) :] if code.strip() != sign else None
    message = f"no '{sign}' is needed between a word and its value"
    return Slip(RULE, message, at, at + len(sign), f"delete '{sign}'", mend)


DECIMAL_COMMA = re.compile(r"(\d+),(\d+)")


def decimal_comma(line: str, code: str, at: int) -> Slip | None:
    """``12,5mm``."""
    for match in DECIMAL_COMMA.finditer(code):
        if match.start() <= at <= match.end():
            inside = code.rfind("(", 0, match.start()) > code.rfind(")", 0, match.start())
            if inside and code.count(",", 0, code.find(")", match.end()) + 1 or None) == 1:
                return None
            mend = line[: match.start()] + match[1] + "." + match[2] + line[match.end() :]
            message = f"'{match[0]}' has a comma; decimals are written with a point"
            return Slip(RULE, message, match.start(), match.end(), f"write {match[1]}.{match[2]}", mend)
    return None


def needless_end(line: str, code: str, at: int) -> Slip | None:
    """A comma or semicolon where none is needed."""
    if code[at : at + 1] not in (",", ";") or not code[at : at + 1]:
        return None
    if code[at] == "," and ("(" in code or ")" in code):
        return unfinished_point(code, at)
    mend = line[:at] + " " + line[at + 1 :] if len(code.strip()) > 1 else None
    return Slip(
        RULE, f"no '{code[at]}' is needed here: a fact ends with its line", at, at + 1, f"delete '{code[at]}'", mend
    )


def unfinished_point(code: str, at: int) -> Slip:
    """A point that lacks a bracket or one of its measures."""
    span = (max(code.rfind("(", 0, at), at - 1 if code[:at].strip() else at, 0), at + 1)
    return Slip(RULE, "a point is not complete here", *span, "write it like (7.5mm, 3mm)", None)


def bare_point(line: str, code: str, at: int) -> Slip | None:
    """``.5mm``."""
    match = re.compile(r"\.\d").match(code, at)
    if match is None or (at and code[at - 1].isdigit()):
        return None
    number = re.compile(r"[\d.]+\w*").match(code, at)
    written = number[0] if number else match[0]
    return Slip(RULE, f"'{written}' lacks its zero", at, at + len(written), f"write 0{written}", None)


WHOLE_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
SHORT_DATE = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?![\w-])|(\d{1,2})[./-](\d{1,2})[./-](\d{4})(?![\w-])")


def other_date(line: str, code: str, at: int) -> Slip | None:
    """``2026-10-4``, and dates with the year behind."""
    for match in SHORT_DATE.finditer(code):
        if match.start() <= at <= match.end() and not WHOLE_DATE.fullmatch(match[0]):
            year, month, day = match[1], match[2], match[3]
            remedy = (
                f"write {year}-{int(month):02d}-{int(day):02d}"
                if year
                else "write the year first, then month and day, like 2026-10-04"
            )
            message = f"'{match[0]}' is no date in the order year-month-day with two digits each"
            return Slip(RULE, message, match.start(), match.end(), remedy, None)
    return None


BARE_RANGE = re.compile(r"(\d+(?:\.\d+)?)\s*(\.\.|\+-|±)\s*(\d+(?:\.\d+)?)([^\W\d_]+|%|°)")


def bare_range(line: str, code: str, at: int) -> Slip | None:
    """``18..25mA``."""
    for match in BARE_RANGE.finditer(code):
        if match.start() <= at <= match.end():
            low, sign, high, unit = match.groups()
            space = " " if sign != ".." else ""
            remedy = f"write {low}{unit}{space}{sign}{high}{unit}"
            return Slip("unit-missing", f"'{low}' has no unit; both measures carry one", *match.span(1), remedy, None)
    return None


PINS = re.compile(r"(\d+)[ -]?pins?\b", re.IGNORECASE)


def pins(line: str, code: str, at: int) -> Slip | None:
    """``10-pins``."""
    for match in PINS.finditer(code):
        if match.start() <= at <= match.end():
            mend = None if len(match[0]) < len(match[1]) + 4 else f"{match[1]}-pin".ljust(len(match[0]))
            mended = line[: match.start()] + mend + line[match.end() :] if mend else None
            message = f"'{match[0]}' is no number of pins"
            return Slip(RULE, message, *match.span(), f"write {match[1]}-pin", mended)
    return None


def brace_inside(line: str, code: str, at: int) -> Slip | None:
    """A brace in the middle of a line."""
    if code[at : at + 1] not in ("{", "}") or not code[at : at + 1]:
        if "{" not in code[:at].strip() or not code[:at].rstrip().endswith("{"):
            return None
        at = code.rfind("{", 0, at)
    end, mend = at + 1, None
    first = not code[:at].strip()
    if code[at] == "{" and not code[at + 1 :].strip("{ \t"):
        if first:
            message = "a '{' stands at the end of the line that opens its block"
            remedy = "move it to the end of the line above, or write in front of it what it opens: row top {"
        else:
            message, remedy = "two '{' stand here; a block is opened by one", "delete the others"
            mend = line[: code.index("{") + 1]
    elif code[at] == "{":
        message = "something stands behind this '{', which has to be the last on its line"
        remedy = "put what is inside the block on lines of its own"
        mend = None if first or code.rstrip().endswith("}") else line[: at + 1]
    elif not code.strip("} \t"):
        at, end = code.index("}"), len(code.rstrip())
        message = "several '}' stand on this line; each belongs on a line of its own"
        remedy = "put each on its own line, or delete those too many"
    else:
        message = "something else stands on the line of this '}', which has to be alone"
        remedy = "put it on the next line; if a block begins here, write '{'"
        if first:
            remedy, mend = "put what follows on the next line", line[: at + 1]
    return Slip("brace-astray", message, at, end, remedy, mend)


def pasted_table(line: str, code: str, at: int) -> Slip | None:
    """A row out of a spreadsheet."""
    if sum(1 for cell in line.split("\t") if cell.strip()) < 3:
        return None
    start = len(line) - len(line.lstrip())
    message = "this looks like a row pasted from a table"
    remedy = "write one fact a line, each with its word and unit: width 14HP"
    return Slip(RULE, message, start, len(line.rstrip()), remedy, None)


MARK_OF_A_MERGE = re.compile(r"(<{7}|>{7}|={7}|\|{7})(?!\S)")


def mark_of_a_merge(line: str, code: str, at: int) -> Slip | None:
    """One that was left alone: whole conflicts never come here (rackspec/language/conflict.py)."""
    if not MARK_OF_A_MERGE.match(line):
        return None
    return Slip("merge-unfinished", "a mark of a merge was left here", 0, len(line.rstrip()), "delete this line")


KNOWN: tuple[Callable[[str, str, int], Slip | None], ...] = (
    mark_of_a_merge,
    pasted_table,
    odd_characters,
    smart_quotes,
    inch_mark,
    fraction_apart,
    odd_quotes,
    unfinished_text,
    needless_sign,
    decimal_comma,
    needless_end,
    bare_point,
    other_date,
    bare_range,
    pins,
    foreign_sign,
    brace_inside,
)
"""In the order in which they are asked; the first that recognises the place answers."""


STARTS = re.compile(r"[\w.+-]+|\S")


def unexpected(line: str, code: str, at: int, error: UnexpectedInput) -> Slip:
    """What is told where no known slip fits."""
    end = len(code.rstrip())
    if at >= end:
        start = max(0, end - 1)
        if code.rstrip().endswith(("plus", "minus", "..", "+-", "±")):
            return Slip(RULE, "the line ends where a measure is due", start, max(end, 1), "write the measure", None)
        if code.count("(") > code.count(")"):
            return Slip(RULE, "this '(' is never closed", code.rfind("("), end, "write a point like (7.5mm, 3mm)", None)
        return Slip(RULE, "the line ends too early", start, max(end, 1), "finish it or delete it", None)
    match = STARTS.match(code, at)
    word = match[0] if match else code[at]
    if inside_word(code, at):
        return in_a_word(line, code, at)
    first = len(code) - len(code.lstrip())
    span = (at, at + len(word))
    if (at == first and word[0].isdigit()) or (at == first and word[0] in "+-"):
        return Slip(
            RULE, f"a line begins with a word, '{word}' is a value", *span, "write in front of it what it says", None
        )
    if code.rfind("(", 0, at) > code.rfind(")", 0, at) or word[0] in "()":
        message = "a point is two measures in brackets" if word[0] != ")" else "a point is not complete here"
        return Slip(RULE, message, *span, "write it like (7.5mm, 3mm)", None)
    if word in ("plus", "minus") and not re.match(r"\s*[\d+-]", code[at + len(word) :]) and code[:at].strip():
        message = f"'{word}' is reserved and cannot be a name"
        return Slip("name-reserved", message, *span, "choose another name", None)
    if word in ("plus", "minus"):
        return Slip(RULE, f"'{word}' stands between two measures", *span, f"write it like 84HP {word} 1mm", None)
    if word.isdecimal() and code[:at].rstrip().endswith(("plus", "minus", "..", "+-", "±")):
        return Slip("unit-missing", f"'{word}' has no unit", *span, f"write its unit behind it, such as {word}mm", None)
    if word.startswith(("..", "+-", "±")):
        return Slip(RULE, f"'{word[:2]}' stands between two measures", *span, "write a unit on both of them", None)
    if re.fullmatch(r"[0-9]+-[0-9]+", word):
        one, other = word.split("-")
        return Slip(RULE, f"'{word}' is no value that can be read", *span, f"write {one} to {other}", None)
    if word[0].isdigit() or word[0] in "+-":
        return Slip(
            RULE, f"'{word}' is no value that can be read", *span, "write a number with its unit, such as 14HP", None
        )
    if word.endswith("-"):
        return Slip(RULE, f"the name '{word}' ends in a hyphen", *span, f"write {word.rstrip('-')}", None)
    return Slip(RULE, f"'{word}' cannot stand here", *span, "delete it, or put texts in quotes", None)

"""Characters that the language does not have: in: a line and the place of one, out: what is wrong, and the line mended.

Those that look like others or like nothing at all, those of word processors and of price lists, and those that fell
into the middle of a word.
"""

from __future__ import annotations

import re

from rackspec.language.values import Slip

RULE = "line-not-understood"
CURLY = "“”„‟«»″＂"
SINGLE = "‘’‚`´"
ODD_SPACES = (
    "\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000\u000b\u000c"
)
NOTHING = "\u200b\u200c\u200d\u2060\ufeff\u00ad"
DASHES = "‐‑‒–—−"


def inside_word(code: str, at: int) -> bool:
    """Whether a single odd character stands between two letters."""
    around = code[at - 1 : at] + code[at + 1 : at + 2]
    return at > 0 and len(around) == 2 and around.isalpha() and not code[at].isalnum() and not code[at].isspace()


def not_seen(character: str) -> bool:
    """Whether a character shows nothing at all."""
    code = ord(character)
    return character in NOTHING or (code < 32 and character != "\t") or 127 <= code < 160


REST_OF_WORD = re.compile(r"[\w./%°-]*")


def closed_up(line: str, at: int) -> str:
    """The line without one character; what stands behind the word stays in its place."""
    match = REST_OF_WORD.match(line, at + 1)
    rest = match[0] if match else ""
    return line[:at] + rest + " " + line[at + 1 + len(rest) :]


def odd_characters(line: str, _code: str, at: int) -> Slip | None:
    """Control characters and such as cannot be seen."""
    character = line[at : at + 1]
    if not character:
        return None
    if character in ODD_SPACES:
        mend = "".join(" " if c in ODD_SPACES else c for c in line)
        message = f"this space is no ordinary one (U+{ord(character):04X})"
        return Slip(RULE, message, at, at + 1, "replace it by an ordinary space", mend)
    if not_seen(character):
        mend = line
        for position in range(len(line) - 1, -1, -1):
            if not_seen(line[position]):
                mend = closed_up(mend, position)
        message = f"a character that cannot be seen stands here (U+{ord(character):04X})"
        return Slip(RULE, message, at, at + 1, "delete it", mend)
    if character in DASHES:
        mend = "".join("-" if c in DASHES else c for c in line)
        message = f"'{character}' is a dash; here a hyphen '-' is due"
        return Slip(RULE, message, at, at + 1, "write '-'", mend)
    return None


def smart_quotes(line: str, code: str, at: int) -> Slip | None:
    """Quotes as word processors make them, and single ones."""
    if line[at : at + 1] == "'" and not inside_word(code, at) and code.count("'") % 2 == 0:
        mend = line[:at] + line[at:].replace("'", '"')
        message = "a text stands between double quotes, not between single ones"
        return Slip(RULE, message, at, at + 1, 'write " in front of the text and behind it', mend)
    if line[at : at + 1] not in CURLY + SINGLE or not line[at : at + 1]:
        return None
    marks = CURLY + SINGLE
    mend = "".join('"' if c in marks else c for c in line)
    if mend.count('"') % 2:
        mend += '"'
    message = f"'{line[at]}' is a curly quote; a text stands between plain ones"
    return Slip(RULE, message, at, at + 1, 'write " in front of the text and behind it', mend)


FOREIGN_SIGNS = {
    "×": ("'×' is not known here", "write x"),
    "*": ("'*' is not known here", "write x between two lengths, and # in front of a comment"),
    "~": ("'~' is not known here", "write 'guessed' behind the value"),
    "<": ("'<' is not known here", "write the value, and 'guessed' behind it if it is a guess"),
    ">": ("'>' is not known here", "write the value, and 'guessed' behind it if it is a guess"),
    "€": ("'€' is not known here", "write the currency behind the sum: 148 EUR"),
    "$": ("'$' is not known here", "write the currency behind the sum: 148 USD"),
    "£": ("'£' is not known here", "write the currency behind the sum: 148 GBP"),
    "/": ("'/' cannot stand here", "write # in front of a comment, and fractions like 3/16in"),
}
"""Signs that are plain elsewhere, each with its message and its remedy."""


def foreign_sign(_line: str, code: str, at: int) -> Slip | None:
    """Signs of other languages and of price lists."""
    if code[at : at + 1] == "+" and re.match(r"\+\s", code[at:]):
        return Slip(
            RULE, "'+' belongs to one number; sums are written out", at, at + 1, "write plus: 84HP plus 1mm", None
        )
    told = FOREIGN_SIGNS.get(code[at : at + 1])
    if told is None or inside_word(code, at):
        return None
    return Slip(RULE, told[0], at, at + 1, told[1], None)


def in_a_word(line: str, code: str, at: int) -> Slip:
    """``modul:e``."""
    mend = closed_up(line, at)
    start = len(re.sub(r"[\w-]+$", "", code[:at]))
    joined = mend[start:].split()[0]
    return Slip(RULE, f"'{code[at]}' stands in the middle of a word", at, at + 1, f"write {joined}", mend)

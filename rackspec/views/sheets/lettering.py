"""Letters and numbers on sheets: in: texts and exact values, out: how wide a text is, texts that fit, decimals.

Widths are those of Helvetica (Adobe's metrics of the base fonts), in thousandths of the size; other characters count
as wide as they are high. Capitals are 718 thousandths of the size high.
"""

from fractions import Fraction
from math import isqrt

from rackspec.views.text import visible

CAPITAL = 0.718
"""Height of a capital, in sizes of the font."""
LEADING = 1.65
"""From base line to base line, in heights of capitals."""
ASCII = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 278 278 "
    "584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 667 778 722 667 611 722 667 944 "
    "667 667 611 278 278 278 469 556 333 556 556 500 556 556 278 556 556 222 222 500 222 833 556 556 556 556 333 500 "
    "278 556 500 722 500 500 500 334 260 334 584"
)
WIDTHS = {chr(32 + number): int(width) for number, width in enumerate(ASCII.split())}


def text_width(text: str, height: float) -> float:
    """How wide a text is (mm), capitals being ``height`` mm high."""
    return sum(WIDTHS.get(letter, 1000) for letter in text) / 1000 * height / CAPITAL


def fitted(text: str, height: float, room: float) -> str:
    """A text on one line with nothing hidden in it, cut off with … where it is wider than ``room`` mm."""
    whole = " ".join(visible(text).split())
    if text_width(whole, height) <= room:
        return whole
    kept = ""
    for letter in whole:
        if text_width(kept + letter + "…", height) > room:
            break
        kept += letter
    return kept + "…"


def wrapped(text: str, height: float, room: float) -> list[str]:
    """A text broken into lines of at most ``room`` mm; a single word that is wider is cut off."""
    lines: list[str] = []
    for word in visible(text).split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, height) <= room:
            lines[-1] = joined
        else:
            lines.append(fitted(word, height, room))
    return lines


def decimal(value: Fraction, places: int) -> str:
    """A length with so many places, rounded to the nearest: ``54.4``."""
    scaled = round(value * 10**places)
    digits = f"{abs(scaled):0{places + 1}d}"
    text = f"{digits[:-places]}.{digits[-places:]}" if places else digits
    return ("-" if scaled < 0 else "") + text


def distance(across: Fraction, up: Fraction) -> Fraction:
    """The distance that two sides of a right angle span, within a millionth of a mm."""
    square = (across * across + up * up) * 10**14
    return Fraction(isqrt(square.numerator // square.denominator), 10**7)


def latin(text: str) -> str:
    """A text as the base fonts of PDF can print it; every other character becomes ?, one for one."""
    return "".join(letter if letter.encode("cp1252", "ignore") and letter.isprintable() else "?" for letter in text)

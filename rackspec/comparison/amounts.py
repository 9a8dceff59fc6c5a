"""Numbers of figures in words: in: a figure, out: its two values as a builder would write them."""

from __future__ import annotations

from fractions import Fraction

from rackspec.comparison.record import Figure
from rackspec.language.quantity import plain_number, show, show_hp


def amount(value: Fraction, unit: str) -> str:
    """A value (mm, mA or a sum of money) in its unit: ``6HP``, ``3.5mm``, ``1.2A``, ``60 EUR``."""
    match unit:
        case "HP":
            return show_hp(value)
        case "mm":
            return show(value, "length")
        case "mA":
            in_amperes = abs(value) >= 1000
            return f"{plain_number(value / 1000, 3)}A" if in_amperes else f"{plain_number(value, 1)}mA"
        case _:
            return f"{plain_number(value, 2)} {unit}"


def side_text(figure: Figure, side: int) -> str:
    """The value of a side (0 the old, 1 the new), with ``at least`` or ``at most`` where something is not known."""
    value = figure.new if side else figure.old
    if value is None:
        return "not known" if figure.lost or figure.gained else "none"
    bound = figure.bound[side]
    return f"{bound} {amount(value, figure.unit)}" if bound else amount(value, figure.unit)


def step_text(figure: Figure) -> str:
    """By how much it is more or less on the new side, with its sign; empty where a side has none, or nobody can say."""
    step = figure.step
    if step is None:
        return ""
    text = amount(abs(step), figure.unit)
    cut = "~" if text.startswith("~") else ""  # a number that was cut says so in front of its sign
    return f"{cut}{'+' if step > 0 else '-'}{text.removeprefix('~')}"

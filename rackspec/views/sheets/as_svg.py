"""Sheets as SVG 1.1: in: sheets, out: one text, the pages one below the other, each in a frame of its paper's size.

One unit is one mm. The letters of a text are spread over the width that was reckoned for it, whatever font is there.
"""

from collections.abc import Iterator, Sequence

from rackspec.views.sheets.drawing import START, Circle, Line, Mark, Polyline, Sheet, Text
from rackspec.views.sheets.lettering import CAPITAL, WIDTHS, text_width

FONT = "Helvetica, Arial, 'Liberation Sans', sans-serif"


def as_svg(sheets: Sequence[Sheet]) -> str:
    """The sheets, all of one paper, as one document."""
    wide, high = sheets[0].width, sheets[0].height
    total = high * len(sheets)
    size = f'width="{number(wide)}mm" height="{number(total)}mm" viewBox="0 0 {number(wide)} {number(total)}"'
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}>',
        f"<title>{escaped(sheets[0].title)}</title>",
        f'<style type="text/css">@page {{ size: {number(wide)}mm {number(high)}mm; margin: 0 }}</style>',
    ]
    for place, sheet in enumerate(sheets):
        lines.append(
            f'<svg x="0" y="{number(place * high)}" width="{number(wide)}" height="{number(high)}"'
            f' viewBox="0 0 {number(wide)} {number(high)}">'
        )
        lines.append(f"<title>{escaped(sheet.title)}</title>")
        lines += page(sheet)
        lines.append("</svg>")
    lines.append("</svg>")
    return "\n".join(lines) + "\n"


def page(sheet: Sheet) -> Iterator[str]:
    """The elements of a page."""
    across, up = sheet.prints
    scale = ""
    if sheet.prints != (1.0, 1.0):
        x, y = sheet.width / 2, sheet.height / 2
        scale = (
            f' transform="translate({number(x)},{number(y)}) scale({1 / across:.6f},{1 / up:.6f})'
            f' translate({number(-x)},{number(-y)})"'
        )
    yield f'<g fill="none" stroke="black" font-family="{FONT}"{scale}>'
    for mark in sheet.marks:
        yield element(mark, sheet.height)
    for window in sheet.windows:
        left, bottom, right, top = window.box
        wide, high = number(right - left), number(top - bottom)
        yield (
            f'<svg x="{number(left)}" y="{number(sheet.height - top)}" width="{wide}" height="{high}"'
            f' viewBox="{number(window.corner[0])} {number(-window.corner[1] - (top - bottom))} {wide} {high}">'
        )
        for mark in window.marks:
            yield element(mark, 0.0)
        yield "</svg>"
    yield "</g>"


def element(mark: Mark, high: float) -> str:
    """One mark; y is counted downwards from ``high``."""
    if isinstance(mark, Line):
        dash = ' stroke-dasharray="3 1.5"' if mark.dashed else ""
        (a, b), (c, d) = mark.start, mark.end
        return (
            f'<line class="{mark.layer}" x1="{number(a)}" y1="{number(high - b)}" x2="{number(c)}"'
            f' y2="{number(high - d)}" stroke-width="{mark.width}"{dash}/>'
        )
    if isinstance(mark, Circle):
        x, y = mark.centre
        return (
            f'<circle class="{mark.layer}" cx="{number(x)}" cy="{number(high - y)}" r="{number(mark.radius)}"'
            f' stroke-width="{mark.width}"/>'
        )
    if isinstance(mark, Polyline):
        points = " ".join(f"{number(x)},{number(high - y)}" for x, y in mark.points)
        kind = "polygon" if mark.closed else "polyline"
        return f'<{kind} class="{mark.layer}" points="{points}" stroke-width="{mark.width}"/>'
    return lettered(mark, high)


def lettered(mark: Text, high: float) -> str:
    """A text."""
    x, y = number(mark.at[0]), number(high - mark.at[1])
    how = "" if mark.anchor == START else f' text-anchor="{mark.anchor}"'
    if mark.turn:
        how += f' transform="rotate({number(-mark.turn)} {x} {y})"'
    if mark.text and all(letter in WIDTHS for letter in mark.text):
        how += f' textLength="{number(text_width(mark.text, mark.height))}" lengthAdjust="spacingAndGlyphs"'
    how += ' stroke-width="0.25"' if mark.outline else ' fill="black" stroke="none"'
    size = number(mark.height / CAPITAL)
    return f'<text class="{mark.layer}" x="{x}" y="{y}" font-size="{size}"{how}>{escaped(mark.text)}</text>'


def number(value: float) -> str:
    """A length as a decimal of at most four places."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def escaped(text: str) -> str:
    """A text in which nothing is markup, and which only holds characters that XML may."""
    allowed = "".join(
        letter if letter.isprintable() and not 0xD800 <= ord(letter) <= 0xDFFF else "?" for letter in text
    )
    return allowed.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")

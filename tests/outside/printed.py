"""Pages of a PDF go in; out come their lines, circles and words as pdfplumber (MIT) sees them, in mm, y upwards."""

from __future__ import annotations

import io
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

import pdfplumber

MM = 25.4 / 72
"""mm in a point."""
Point = tuple[float, float]


class Page(NamedTuple):
    """What is on a page: lines as pairs of points, circles as centre and radius, its text, and its size."""

    lines: list[tuple[Point, Point]]
    circles: list[tuple[Point, float]]
    text: str
    width: float
    height: float

    def flat(self, length: float, near: float = 0.005) -> list[Point]:
        """Where level lines of a length begin, at their left ends."""
        return [a for a, b in self.lines if abs(a[1] - b[1]) < 1e-3 and abs(b[0] - a[0] - length) < near]

    def upright(self, length: float, near: float = 0.005) -> list[Point]:
        """Where upright lines of a length begin, at their lower ends."""
        return [a for a, b in self.lines if abs(a[0] - b[0]) < 1e-3 and abs(b[1] - a[1] - length) < near]

    def crosses(self, arm: float = 3.0) -> list[Point]:
        """The centres of crosses, of a level and an upright line with so many mm to each side."""
        level = [(x + arm, y) for x, y in self.flat(2 * arm)]
        upright = [(x, y + arm) for x, y in self.upright(2 * arm)]
        return [p for p in level if any(abs(p[0] - q[0]) < 0.005 and abs(p[1] - q[1]) < 0.005 for q in upright)]


def pages(document: bytes | Path) -> list[Page]:
    """All pages of a PDF."""
    with pdfplumber.open(io.BytesIO(document) if isinstance(document, bytes) else document) as pdf:
        return [page_of(page) for page in pdf.pages]


def page_of(page: Any) -> Page:
    """One page."""
    lines, circles = [], []
    for each in (*page.lines, *page.rects, *page.curves):
        spots = [(x * MM, (float(page.height) - y) * MM) for x, y in each["pts"]]
        if any(step[0] == "c" for step in each["path"]):
            middle = ((each["x0"] + each["x1"]) / 2 * MM, (each["y0"] + each["y1"]) / 2 * MM)
            circles.append((middle, float(each["width"]) * MM / 2))
            continue
        if any(step[0] == "h" for step in each["path"]) and spots[0] != spots[-1]:
            spots.append(spots[0])
        for start, end in pairwise(spots):
            low, high = sorted((start, end))
            lines.append((low, high))
    return Page(lines, circles, page.extract_text() or "", float(page.width) * MM, float(page.height) * MM)

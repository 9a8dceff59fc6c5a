"""Offsets to lines and columns: in: a source and an offset in code points, out: 1-based line and column.

Columns count code points, as the GNU error line of ``inspect`` does; editors that count otherwise convert them. SARIF
and editors count units of UTF-16, of which a character outside the first plane takes two.
"""

from bisect import bisect_right
from typing import NamedTuple

from rackspec.findings import Place, Source


class Position(NamedTuple):
    """A line and a column, both counted from 1."""

    line: int
    column: int


class LineTable:
    """Where the lines of sources begin; made once for each source."""

    def __init__(self) -> None:
        self._starts: dict[Source, list[int]] = {}

    def starts(self, source: Source) -> list[int]:
        """Offsets at which the lines of a source begin."""
        if source not in self._starts:
            starts = [0]
            at = source.text.find("\n")
            while at >= 0:
                starts.append(at + 1)
                at = source.text.find("\n", at + 1)
            self._starts[source] = starts
        return self._starts[source]

    def position(self, source: Source, offset: int) -> Position:
        """Line and column of an offset."""
        starts = self.starts(source)
        line = bisect_right(starts, offset)
        return Position(line, offset - starts[line - 1] + 1)

    def span(self, place: Place) -> tuple[Position, Position]:
        """First position of a place, and the one behind its last character."""
        return self.position(place.source, place.start), self.position(place.source, max(place.end, place.start))

    def in_utf16(self, source: Source, offset: int) -> Position:
        """Line of an offset, and its column in units of UTF-16."""
        line, column = self.position(source, offset)
        before = source.text[offset - column + 1 : offset]
        return Position(line, 1 + utf16_units(before))

    def utf16_span(self, place: Place) -> tuple[Position, Position]:
        """As ``span``, with columns in units of UTF-16."""
        return self.in_utf16(place.source, place.start), self.in_utf16(place.source, max(place.end, place.start))

    def line_text(self, source: Source, line: int) -> str:
        """The text of a line, without its end."""
        starts = self.starts(source)
        end = starts[line] - 1 if line < len(starts) else len(source.text)
        return source.text[starts[line - 1] : end].rstrip("\r")


def utf16_units(text: str) -> int:
    """How many units of UTF-16 a text takes."""
    return len(text) if text.isascii() else len(text.encode("utf-16-le", "surrogatepass")) // 2

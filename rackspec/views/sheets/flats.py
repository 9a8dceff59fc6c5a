"""Drawings for a machine: in: pieces, out: each as a whole at 1:1 without a page, with what has to be read below it."""

from collections.abc import Sequence

from rackspec.views.sheets.drawing import DRILL, NOTE, Box, Flat, Mark, Text, segments
from rackspec.views.sheets.furniture import CARE, HOLD
from rackspec.views.sheets.lettering import LEADING, text_width, wrapped
from rackspec.views.sheets.piece import Piece, lines_of, region_marks
from rackspec.views.sheets.stamp import stamp

LINE = 200.0
"""mm that a line of text takes at most."""


def flat(piece: Piece) -> Flat:
    """A whole piece: its outline, its places with their numbers, and the caution."""
    box = extent(piece)
    marks, filled, untold = region_marks(piece, box)
    texts = [
        piece.title,
        *(f"{HOLD}: {reason}" for reason in piece.hold),
        *piece.notes,
        *("; ".join(target.label).replace(":; ", ": ") for target in untold),
    ]
    if piece.hold:  # a machine reads no words: it finds nothing to drill
        marks = (*(mark._replace(layer=NOTE) if mark.layer == DRILL else mark for mark in marks), stamp(box, filled))
    return with_texts(piece.title, marks, box, texts)


def extent(piece: Piece) -> Box:
    """The box that holds the region of a piece and everything that is drawn of it."""
    spots = [spot for mark in lines_of(piece) for line in segments(mark) for spot in line]
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    left, bottom, right, top = piece.region
    return (min(left, *xs), min(bottom, *ys), max(right, *xs), max(top, *ys))


def with_texts(title: str, marks: Sequence[Mark], box: Box, texts: Sequence[str]) -> Flat:
    """Marks in a box with texts and the caution below."""
    lines = [line for text in texts for line in wrapped(text, 2.5, LINE)]
    lines += wrapped(f"Caution: measure a length that you know before you cut or drill. {CARE}", 2.5, LINE)
    step = 2.5 * LEADING
    notes = [Text(NOTE, (box[0], box[1] - 6 - step * row), line) for row, line in enumerate(lines)]
    wide = max(text_width(note.text, 2.5) for note in notes)
    return Flat(title, (*marks, *notes), (box[0], notes[-1].at[1], max(box[2], box[0] + wide), box[3]))

"""Sheets as PDF: in: sheets, out: bytes, the same for the same sheets, with a word to viewers not to scale them.

The one place that imports reportlab, the extra ``print``; raises ImportError where it is missing. Its base fonts know
the letters of western Europe; another character is printed as ?.
"""

from collections.abc import Sequence
from io import BytesIO
from typing import Any

from rackspec.views.sheets.drawing import END, INCH, MIDDLE, Circle, Line, Mark, Polyline, Sheet, Text
from rackspec.views.sheets.lettering import CAPITAL, latin, text_width

POINTS = 72 / INCH
"""Points in a mm."""


def as_pdf(sheets: Sequence[Sheet], creator: str) -> bytes:
    """One page a sheet. Not compressed: the bytes hang on no other library."""
    from reportlab.pdfgen.canvas import Canvas  # type: ignore[import-untyped]

    file = BytesIO()
    canvas = Canvas(file, invariant=1, pageCompression=0)
    canvas.setTitle(latin(sheets[0].title))
    canvas.setAuthor("")
    canvas.setCreator(creator)
    canvas.setViewerPreference("PrintScaling", "None")
    for sheet in sheets:
        canvas.setPageSize((sheet.width * POINTS, sheet.height * POINTS))
        canvas.scale(POINTS, POINTS)
        across, up = sheet.prints
        if sheet.prints != (1.0, 1.0):
            canvas.translate(sheet.width / 2, sheet.height / 2)
            canvas.scale(1 / across, 1 / up)
            canvas.translate(-sheet.width / 2, -sheet.height / 2)
        for mark in sheet.marks:
            put(canvas, mark)
        for window in sheet.windows:
            left, bottom, right, top = window.box
            canvas.saveState()
            frame = canvas.beginPath()
            frame.rect(left, bottom, right - left, top - bottom)
            canvas.clipPath(frame, stroke=0, fill=0)
            canvas.translate(left - window.corner[0], bottom - window.corner[1])
            for mark in window.marks:
                put(canvas, mark)
            canvas.restoreState()
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def put(canvas: Any, mark: Mark) -> None:
    """Draw one mark."""
    if isinstance(mark, Text):
        put_text(canvas, mark)
        return
    canvas.setLineWidth(mark.width)
    if isinstance(mark, Line):
        canvas.setDash(*(((3, 1.5),) if mark.dashed else ((),)))
        canvas.line(*mark.start, *mark.end)
        canvas.setDash(())
    elif isinstance(mark, Circle):
        canvas.circle(*mark.centre, mark.radius)
    elif isinstance(mark, Polyline):
        path = canvas.beginPath()
        path.moveTo(*mark.points[0])
        for point in mark.points[1:]:
            path.lineTo(*point)
        if mark.closed:
            path.close()
        canvas.drawPath(path)


def put_text(canvas: Any, mark: Text) -> None:
    """Draw a text; outlined letters are stroked only."""
    words = latin(mark.text)
    back = {MIDDLE: 0.5, END: 1.0}.get(mark.anchor, 0.0) * text_width(words, mark.height)
    canvas.saveState()
    canvas.translate(*mark.at)
    if mark.turn:
        canvas.rotate(mark.turn)
    if mark.outline:
        canvas.setLineWidth(0.25)
    line = canvas.beginText(-back, 0)
    line.setFont("Helvetica", mark.height / CAPITAL)
    line.setTextRenderMode(1 if mark.outline else 0)
    line.textOut(words)
    canvas.drawText(line)
    canvas.restoreState()

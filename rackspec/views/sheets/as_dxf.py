"""Drawings as DXF: in: drawings at 1:1 without pages, out: one text, in mm, with the layers CUT, DRILL, MARK and NOTE.

The version is AC1015 (release 2000), the first with a unit in its header; written as the DXF reference says. Letters
beyond ASCII are written as \\U+ and four digits. A line that is there already is not written again.
"""

from collections.abc import Iterator, Sequence

from rackspec.views.sheets.drawing import END, LAYERS, MIDDLE, Circle, Flat, Line, Mark, Polyline, Text, moved

GAP = 40.0
"""mm between two drawings."""
WIDEST = 1000.0
"""mm after which drawings go on in a row below."""
MODEL, PAPER, ROOT, GROUPS = "1F", "1B", "C", "D"
"""Handles of the two spaces and the dictionaries."""

Pairs = Iterator[tuple[int, object]]
Record = tuple[str, str, Sequence[tuple[int, object]]]
"""Kind, name, and what else it says."""


class Handles:
    """Gives each thing a number of its own."""

    def __init__(self) -> None:
        self.last = 0x100

    def next(self) -> str:
        """A number that nothing has yet."""
        self.last += 1
        return f"{self.last:X}"


def as_dxf(flats: Sequence[Flat]) -> str:
    """The drawings beside each other."""
    handles = Handles()
    body = [*tables(handles), *blocks(handles), *entities(flats, handles), *objects()]
    pairs = [*head(handles.next()), *body, (0, "EOF")]
    return "".join(f"{code:>3}\n{value}\n" for code, value in pairs)


def head(seed: str) -> Pairs:
    """Version and units: 4 is mm."""
    yield from ((0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1015"), (9, "$DWGCODEPAGE"), (3, "ANSI_1252"))
    yield from ((9, "$HANDSEED"), (5, seed), (9, "$INSUNITS"), (70, 4), (9, "$MEASUREMENT"), (70, 1), (0, "ENDSEC"))
    yield from ((0, "SECTION"), (2, "CLASSES"), (0, "ENDSEC"))


def table(
    name: str, handle: str, records: Sequence[tuple[str, str, Sequence[tuple[int, object]]]], handles: Handles
) -> Pairs:
    """A table: each record with its kind, its name and what else it says."""
    yield from ((0, "TABLE"), (2, name), (5, handle), (330, 0), (100, "AcDbSymbolTable"), (70, len(records)))
    if name == "DIMSTYLE":
        yield (100, "AcDbDimStyleTable")
    for kind, called, more in records:
        own = {"*Model_Space": MODEL, "*Paper_Space": PAPER}.get(called) or handles.next()
        yield from ((0, name), (105 if name == "DIMSTYLE" else 5, own), (330, handle), (100, "AcDbSymbolTableRecord"))
        yield from ((100, kind), (2, called), *more)
    yield (0, "ENDTAB")


def tables(handles: Handles) -> Pairs:
    """Everything that a reader looks for before it looks at lines."""
    solid = ((70, 0), (3, ""), (72, 65), (73, 0), (40, 0.0))
    dashed = ((70, 0), (3, "3 mm, 1.5 mm"), (72, 65), (73, 2), (40, 4.5), (49, 3.0), (74, 0), (49, -1.5), (74, 0))
    lines: list[Record] = [("AcDbLinetypeTableRecord", name, solid) for name in ("ByBlock", "ByLayer", "Continuous")]
    layers: list[Record] = [
        ("AcDbLayerTableRecord", name, ((70, 0), (62, 7), (6, "Continuous"), (370, -3))) for name in ("0", *LAYERS)
    ]
    font = ((70, 0), (40, 0.0), (41, 1.0), (50, 0.0), (71, 0), (42, 2.5), (3, "arial.ttf"), (4, ""))
    yield from ((0, "SECTION"), (2, "TABLES"))
    yield from table("VPORT", "8", (), handles)
    yield from table("LTYPE", "5", [*lines, ("AcDbLinetypeTableRecord", "DASHED", dashed)], handles)
    yield from table("LAYER", "2", layers, handles)
    yield from table("STYLE", "3", [("AcDbTextStyleTableRecord", "Standard", font)], handles)
    yield from table("VIEW", "6", (), handles)
    yield from table("UCS", "7", (), handles)
    yield from table("APPID", "9", [("AcDbRegAppTableRecord", "ACAD", ((70, 0),))], handles)
    yield from table("DIMSTYLE", "A", [("AcDbDimStyleTableRecord", "Standard", ((70, 0),))], handles)
    spaces = [("AcDbBlockTableRecord", name, ((340, 0),)) for name in ("*Model_Space", "*Paper_Space")]
    yield from table("BLOCK_RECORD", "1", spaces, handles)
    yield (0, "ENDSEC")


def blocks(handles: Handles) -> Pairs:
    """The two spaces, which are blocks that hold nothing."""
    yield from ((0, "SECTION"), (2, "BLOCKS"))
    for name, owner in (("*Model_Space", MODEL), ("*Paper_Space", PAPER)):
        flag: tuple[tuple[int, object], ...] = ((67, 1),) if owner == PAPER else ()
        yield from ((0, "BLOCK"), (5, handles.next()), (330, owner), (100, "AcDbEntity"), *flag, (8, "0"))
        yield from ((100, "AcDbBlockBegin"), (2, name), (70, 0), (10, 0.0), (20, 0.0), (30, 0.0), (3, name), (1, ""))
        yield from ((0, "ENDBLK"), (5, handles.next()), (330, owner), (100, "AcDbEntity"), *flag, (8, "0"))
        yield (100, "AcDbBlockEnd")
    yield (0, "ENDSEC")


def objects() -> Pairs:
    """The dictionary at the root, with the one of groups that has to be in it."""
    yield from ((0, "SECTION"), (2, "OBJECTS"))
    yield from (
        (0, "DICTIONARY"),
        (5, ROOT),
        (330, 0),
        (100, "AcDbDictionary"),
        (281, 1),
        (3, "ACAD_GROUP"),
        (350, GROUPS),
    )
    yield from ((0, "DICTIONARY"), (5, GROUPS), (330, ROOT), (100, "AcDbDictionary"), (281, 1), (0, "ENDSEC"))


def entities(flats: Sequence[Flat], handles: Handles) -> Pairs:
    """All marks of all drawings."""
    yield from ((0, "SECTION"), (2, "ENTITIES"))
    right = down = high = 0.0
    there: set[tuple[object, ...]] = set()
    for flat in flats:
        left, bottom, end, top = flat.box
        if right and right + end - left > WIDEST:
            right, down, high = 0.0, down - high - GAP, 0.0
        for mark in flat.marks:
            for each in pieces(moved(mark, right - left, down - top)):
                if key(each) not in there:
                    there.add(key(each))
                    yield from entity(each, handles.next())
        right += end - left + GAP
        high = max(high, top - bottom)
    yield (0, "ENDSEC")


def pieces(mark: Mark) -> Iterator[Mark]:
    """Polylines as single lines, so that none is cut twice where two share a side."""
    if not isinstance(mark, Polyline):
        yield mark
        return
    ends = (*mark.points[1:], mark.points[0]) if mark.closed else mark.points[1:]
    for start, end in zip(mark.points, ends, strict=False):
        yield Line(mark.layer, start, end, mark.width)


def key(mark: Mark) -> tuple[object, ...]:
    """What two marks that lie on each other have in common."""
    if isinstance(mark, Line):
        return ("line", *sorted((number(mark.start), number(mark.end))))
    if isinstance(mark, Circle):
        return ("circle", number(mark.centre), number((mark.radius, 0)))
    return ("text", mark)


def number(point: tuple[float, float]) -> tuple[str, str]:
    """A point as decimals."""
    x, y = (f"{value:.6f}" for value in point)
    return x.replace("-0.000000", "0.000000"), y.replace("-0.000000", "0.000000")


def entity(mark: Mark, handle: str) -> Pairs:
    """One line, circle or text."""
    kind = {Line: "LINE", Circle: "CIRCLE"}.get(type(mark), "TEXT")
    yield from ((0, kind), (5, handle), (330, MODEL), (100, "AcDbEntity"), (8, mark.layer))
    if isinstance(mark, Line):
        if mark.dashed:
            yield (6, "DASHED")
        yield from ((370, round(mark.width * 100)), (100, "AcDbLine"))
        (a, b), (c, d) = number(mark.start), number(mark.end)
        yield from ((10, a), (20, b), (30, 0.0), (11, c), (21, d), (31, 0.0))
    elif isinstance(mark, Circle):
        x, y = number(mark.centre)
        yield from ((370, round(mark.width * 100)), (100, "AcDbCircle"), (10, x), (20, y), (30, 0.0))
        yield (40, f"{mark.radius:.6f}")
    elif isinstance(mark, Text):
        x, y = number(mark.at)
        yield from ((100, "AcDbText"), (10, x), (20, y), (30, 0.0), (40, mark.height), (1, written(mark.text)))
        yield from ((50, f"{mark.turn:.6f}"), (7, "Standard"), (72, {MIDDLE: 1, END: 2}.get(mark.anchor, 0)))
        if mark.anchor in (MIDDLE, END):
            yield from ((11, x), (21, y), (31, 0.0))
        yield (100, "AcDbText")


def written(text: str) -> str:
    """A text in ASCII, without anything that a reader takes for a sign: line breaks, \\, %%, ^."""
    found = []
    for letter in text:
        if not letter.isprintable() or ord(letter) > 0xFFFF or 0xD800 <= ord(letter) <= 0xDFFF:
            found.append("?")
        elif letter in "\\^" or ord(letter) > 126:
            found.append(f"\\U+{ord(letter):04X}")
        else:
            found.append(letter)
    return "".join(found).replace("%%", "% %")

"""Sheets: plain numbers go in; what is drawn has to be in its place, legible, and within both papers."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, pairwise
from math import cos, dist, radians, sin
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackspec.views.sheets.blanks import Blank, blank_piece, holes
from rackspec.views.sheets.drawing import (
    CUT,
    DRILL,
    END,
    LAYERS,
    MIDDLE,
    WIDTHS,
    Box,
    Circle,
    Line,
    Mark,
    Polyline,
    Sheet,
    Text,
    crosses,
    meets,
    moved,
)
from rackspec.views.sheets.drill import Hole, side_piece
from rackspec.views.sheets.furniture import CAUTION, PAPERS, Info, sheets
from rackspec.views.sheets.labels import Lane, Named, Strip, cuts, label_pages
from rackspec.views.sheets.lettering import decimal, distance, fitted, latin, text_width, wrapped
from rackspec.views.sheets.piece import Piece, Target, around
from rackspec.views.sheets.tiles import letters, list_beside, pages, tiles

INFO = Info("shelf", "Shelf over the kiln", "B", "2026-11-02", "drill template")


class Place(NamedTuple):
    """A drill point as the rules give it."""

    row: str
    side: str
    line: str
    back: Fraction
    up: Fraction
    diameter: Fraction = Fraction(9, 2)
    thread: str = "M4"
    because: tuple[str, ...] = ()


def places(side: str, back: str = "11.4", up: str = "17.25", apart: str = "122", row: str = "low") -> list[Place]:
    """The two places of a row that stands upright."""
    low = Fraction(up)
    return [
        Place(row, side, "bottom", Fraction(back), low),
        Place(row, side, "top", Fraction(back), low + Fraction(apart)),
    ]


BOARD = ((0, 0), (100, 0), (100, 150), (20, 150), (0, 60))
OUTLINE = tuple((Fraction(back), Fraction(up)) for back, up in BOARD)


def marks_of(sheet: Sheet) -> list[Mark]:
    """Everything on a page, in mm of the page."""
    found = list(sheet.marks)
    for window in sheet.windows:
        right, up = window.box[0] - window.corner[0], window.box[1] - window.corner[1]
        found += [moved(mark, right, up) for mark in window.marks]
    return found


def corners(text: Text) -> list[tuple[float, float]]:
    """The four corners of a text's capitals."""
    wide = text_width(text.text, text.height)
    left = {MIDDLE: -wide / 2, END: -wide}.get(text.anchor, 0.0)
    turn = radians(text.turn)
    spots = [(left, 0.0), (left + wide, 0.0), (left + wide, text.height), (left, text.height)]
    return [(text.at[0] + u * cos(turn) - v * sin(turn), text.at[1] + u * sin(turn) + v * cos(turn)) for u, v in spots]


def box_of(text: Text) -> Box:
    """The box around them."""
    xs, ys = zip(*corners(text), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def check_page(sheet: Sheet) -> None:
    """What holds of every page: no text on another one or off the paper, legible, lines of the standard's widths."""
    texts = [mark for mark in marks_of(sheet) if isinstance(mark, Text) and not mark.outline]
    boxes = [(box_of(text), text.text) for text in texts]
    on_each_other = [(a[1], b[1]) for a, b in combinations(boxes, 2) if meets(a[0], b[0])]
    assert on_each_other == []
    short, long = sorted((sheet.width, sheet.height))
    margin = ((short - 190) / 2 - 0.001, (long - 254) / 2 - 0.001)
    side, end = margin if sheet.width < sheet.height else margin[::-1]
    for box, text in boxes:
        assert side <= box[0] <= box[2] <= sheet.width - side, text
        assert end <= box[1] <= box[3] <= sheet.height - end, text
    for mark in marks_of(sheet):
        assert mark.layer in LAYERS
        if isinstance(mark, Text):
            assert mark.height >= 2.5
        else:
            assert mark.width in WIDTHS
    said = " ".join(text.text for text in texts)
    for wanted in ("Print at 100 %, do not fit to page", "100 mm", "4 in", INFO.title, INFO.issued, "Approved by"):
        assert wanted in said
    assert all(word in said for word in CAUTION.split())


def places_on(sheet: Sheet) -> list[tuple[float, float]]:
    """The centres of the rings on a page that are to be drilled."""
    return [m.centre for m in marks_of(sheet) if isinstance(m, Circle) and m.layer == DRILL]


def drawn(piece: Piece, info: Info = INFO) -> tuple[Sheet, ...]:
    """The pages of a piece, checked."""
    made = sheets(info, pages(piece))
    for sheet in made:
        check_page(sheet)
    return made


def edge_places(sheet: Sheet) -> dict[str, tuple[float, float]]:
    """Where the names of edges stand on a page."""
    return {m.text: m.at for m in marks_of(sheet) if isinstance(m, Text) and m.text.endswith("EDGE")}


@pytest.mark.parametrize(
    ("side", "mirrored", "front"),
    [("left", False, "right"), ("right", False, "left"), ("left", True, "left"), ("right", True, "right")],
)
def test_where_the_front_is(side: str, mirrored: bool, front: str) -> None:
    """Who looks at the left side of a rack from the left has its front to the right; the other three follow."""
    (sheet,) = drawn(side_piece(side, places(side), mirrored=mirrored))
    (x, low), _ = places_on(sheet)
    edge = edge_places(sheet)
    assert (edge["FRONT EDGE"][0] > x) == (front == "right")
    assert edge["LOWER EDGE"][1] < low
    held = [place._replace(because=("a guess",)) for place in places(side)]
    overview, *_ = drawn(side_piece(side, held, mirrored=mirrored))
    mapped = next(m.text for m in overview.marks if isinstance(m, Text) and m.text.startswith("Map"))
    assert mapped.endswith(f" The front edge is on the {front}.")
    said = next(m.text for m in sheet.marks if isinstance(m, Text) and "side piece" in m.text)
    assert said == f"{side.capitalize()} side piece, seen from {'inside (mirrored)' if mirrored else 'outside'}"


def test_a_mirrored_left_piece_is_the_right_one() -> None:
    """Where both are alike: outline, edges, places and numbers."""
    holes_there = [Hole(Fraction(40), Fraction(60), "old hole")]
    left = side_piece("left", places("left"), OUTLINE, holes_there, mirrored=True)
    right = side_piece("right", places("right"), OUTLINE, holes_there)
    assert left[2:] == right[2:]
    outside = side_piece("left", places("left"), OUTLINE, holes_there)
    for mark, other in zip(outside.marks, right.marks, strict=True):
        if isinstance(mark, Polyline):
            assert isinstance(other, Polyline)
            assert [(-x, y) for x, y in mark.points] == list(other.points)


def test_numbers_of_a_place() -> None:
    """From the edges to a tenth, between the two to a hundredth; the size of the hole and its thread."""
    piece = side_piece("left", places("left"))
    assert [target.label for target in piece.targets] == [
        ("1 low, bottom", "4.5 for M4", "back 11.4, up 17.2", "122.00 to its top one"),
        ("2 low, top", "4.5 for M4", "back 11.4, up 139.2", "122.00 to its bottom one"),
    ]  # 17.25 and 139.25 are as near to one tenth as to the other: the even one
    assert piece.targets[0].at == (-11.4, 17.25)
    assert [target.diameters for target in piece.targets] == [(4.5,), (4.5,)]
    assert distance(Fraction(3), Fraction(4)) == 5
    assert decimal(distance(Fraction(30), Fraction(120)), 2) == "123.69"  # 123.6931…


def test_edges_as_they_are() -> None:
    """The front edge follows the corners as long as they rise; what is not straight up gets a line to count from."""
    piece = side_piece("right", places("right", back="30"), OUTLINE)
    assert [(edge.name, edge.start, edge.end) for edge in piece.edges if edge.layer == CUT] == [
        ("FRONT EDGE", (0, 0), (0, 60)),
        ("FRONT EDGE", (0, 60), (20, 150)),
        ("LOWER EDGE", (0, 0), (100, 0)),
    ]
    assert [edge.name for edge in piece.edges if edge.dashed] == ["BACK IS COUNTED FROM HERE"]
    turned = side_piece("right", places("right", back="30"), OUTLINE[::-1])
    assert turned.edges == piece.edges
    for edge in piece.edges:
        assert abs(dist((0, 0), edge.outward) - 1) < 1e-9


def test_an_outline_without_the_corner_that_is_counted_from() -> None:
    """It is drawn as it is; two dashed lines say from where is counted."""
    piece = side_piece("right", places("right", back="30"), tuple((x + 10, y) for x, y in OUTLINE))
    assert {edge.name for edge in piece.edges if edge.dashed} == {
        "BACK IS COUNTED FROM HERE",
        "UP IS COUNTED FROM HERE",
    }
    drawn(piece)


def test_a_hole_has_to_lie_in_the_board() -> None:
    """Outside of the outline, in a notch of it, or through its edge: not released; inside: released."""
    notch = ((0, 0), (100, 0), (100, 150), (60, 150), (50, 40), (40, 150), (0, 150))
    corners_of = tuple((Fraction(a), Fraction(b)) for a, b in notch)
    for back, up, fine in (
        ("50", "20", True),
        ("50", "80", False),
        ("2.25", "75", False),
        ("2.26", "75", True),
        ("-9", "75", False),
        ("120", "75", False),
        ("50", "37.75", False),
        ("50", "37.74", True),
    ):
        place = Place("low", "right", "bottom", Fraction(back), Fraction(up))
        assert (side_piece("right", [place], corners_of).hold == ()) == fine, (back, up)
    bare = side_piece("right", [Place("low", "right", "bottom", Fraction(2), Fraction(9))])
    assert bare.hold == ("low, bottom: the hole would break through the front or lower edge",)


def tall() -> Piece:
    """A piece that is too tall for one sheet."""
    rows = [
        place for number in range(3) for place in places("left", "11.4", str(17 + 140 * number), row=f"row-{number}")
    ]
    return side_piece(
        "left", rows, ((Fraction(0), Fraction(0)), (Fraction(90), Fraction(0)), (Fraction(0), Fraction(480)))
    )


def test_tiles() -> None:
    """A map first; neighbours share 10 mm with crosses at the same place; each place is whole and told on a tile."""
    piece = tall()
    made = drawn(piece)
    assert [sheet.title for sheet in made] == [
        f"shelf: Left side piece, seen from outside, {name}, sheet {number} of 4"
        for number, name in enumerate(("overview", "tile A1", "tile A2", "tile A3"), 1)
    ]
    windows = [sheet.windows[0] for sheet in made[1:]]
    spans = [(w.corner[1], w.corner[1] + w.box[3] - w.box[1]) for w in windows]
    for (_, top), (bottom, _) in pairwise(spans):
        assert abs(top - bottom - 10) < 1e-9
    rings = {m.centre for w in windows for m in w.marks if isinstance(m, Circle)}
    assert rings == {target.at for target in piece.targets}
    for sheet, window in zip(made[1:], windows, strict=True):
        here = {m.text for m in marks_of(sheet) if isinstance(m, Text)}
        for target in piece.targets:
            if target.at in {m.centre for m in window.marks if isinstance(m, Circle)}:
                assert set(target.label) <= here
    for one, other in pairwise(windows):
        shared = [m for m in one.marks if isinstance(m, Line) and m in other.marks and m.start[0] + 8 == m.end[0]]
        assert len(shared) == 2


def test_tiles_are_small_enough_and_cover_everything() -> None:
    """Whatever the size: none is larger than allowed, the first begins and the last ends with the region."""
    for wide, high in ((100.0, 100.0), (164.0, 172.0), (164.1, 172.1), (400.0, 30.0), (1000.0, 900.0)):
        cut = tiles((5.0, -9.0, 5 + wide, high - 9), 164.0, 172.0)
        assert all(t.box[2] - t.box[0] <= 164.0001 and t.box[3] - t.box[1] <= 172.0001 for t in cut)
        assert cut[0].box[:2] == (5.0, -9.0)
        assert abs(cut[-1].box[2] - 5 - wide) < 1e-9
        assert abs(cut[-1].box[3] - high + 9) < 1e-9
    assert [letters(number) for number in (0, 25, 26, 27, 702)] == ["A", "Z", "AA", "AB", "AAA"]


def test_empty_tiles_are_left_out() -> None:
    """Nobody prints a page without a line on it; the places on the others keep their names."""
    corners_of = ((0, 0), (500, 0), (500, 500), (0, 500))
    far = [Place("r", "right", "bottom", Fraction(480), Fraction(480))]
    piece = side_piece("right", far, tuple((Fraction(a), Fraction(b)) for a, b in corners_of))
    names = [leaf.name for leaf in pages(piece)]
    every = tiles(piece.region, 163.0, 171.0)
    assert 4 < len(names) - 1 < len(every)
    assert set(names) - {"right-0"} < {f"right-{tile.name}" for tile in every}


def test_nothing_is_released_where_something_is_a_guess() -> None:
    """The words are large and outlined, on each sheet; no number is below them; the reasons stand on the first one."""
    held = [place._replace(because=("the recess of 'plank' is guessed",)) for place in places("left")]
    made = drawn(side_piece("left", held))
    assert len(made) == 2
    assert "- the recess of 'plank' is guessed" in [m.text for m in made[0].marks if isinstance(m, Text)]
    for page in made:
        (across,) = [m for m in marks_of(page) if isinstance(m, Text) and m.outline]
        assert (across.text, across.height >= 8) == ("NOT FOR DRILLING", True)
        a, b, c, d = corners(across)
        edges = list(zip((a, b, c, d), (b, c, d, a), strict=True))
        for text in marks_of(page):
            if isinstance(text, Text) and not text.outline:
                assert not any(crosses(box_of(text), *edge) for edge in edges), text.text


def beside(right: str, up: str) -> tuple[Piece, list[Place]]:
    """A row with a hole drilled for its lower place, so far off it; one for its upper place is exactly there."""
    low, high = places("right")
    back, above = low.back + Fraction(right), low.up + Fraction(up)
    drilled = (
        Hole(back, above, "drilled: low, bottom", ("low", "bottom")),
        Hole(high.back, high.up, "drilled: low, top", ("low", "top")),
    )
    return side_piece("right", [low, high], holes=drilled), [low, high]


def test_a_hole_drilled_beside_its_place_is_shown_as_it_is() -> None:
    """0.9 and 1.2 mm off are 1.5 mm: the hole is drawn where it is, nothing is to be drilled at the mark."""
    piece, (low, high) = beside("0.9", "1.2")
    (first, second) = piece.targets
    assert (first.old, first.at) == (True, (float(low.back) + 0.9, float(low.up) + 1.2))
    assert first.label == (
        "1 low, bottom",
        "drilled already, 1.5 off:",
        "see 'rackspec inspect'",
        f"back {decimal(low.back + Fraction('0.9'), 1)}, up {decimal(low.up + Fraction('1.2'), 1)}",
    )
    assert (second.old, second.at, second.label[-1]) == (
        False,
        (float(high.back), float(high.up)),
        "drilled already, 0.0 off",
    )
    made = drawn(piece)
    assert len({spot for sheet in made for spot in places_on(sheet)}) == 1
    (reason,) = piece.hold
    assert reason.startswith(
        "low, bottom: drilled already, 1.5mm off, and 0.5mm is what it may be off; 'rackspec inspect'"
    )
    assert all(any(m.text == "NOT FOR DRILLING" for m in marks_of(s) if isinstance(m, Text)) for s in made)


@pytest.mark.parametrize(
    ("right", "held"), [("0.5", False), ("0.51", True), ("-0.51", True), ("4.49", True), ("4.5", False), ("9", False)]
)
def test_how_far_a_drilled_hole_may_be_off(right: str, held: bool) -> None:
    """More than 0.5 mm holds the sheet; a whole diameter away (4.5 mm) it is another hole, and the mark stays."""
    piece, (low, _) = beside(right, "0")
    assert bool(piece.hold) == held
    at_mark = [t for t in piece.targets if t.at == (float(low.back), float(low.up)) and not t.old]
    assert bool(at_mark) != held


def test_the_house_says_how_far_a_hole_may_be_off() -> None:
    low, high = places("right")
    there = (Hole(low.back + 1, low.up, "drilled: low, bottom", ("low", "bottom")),)
    assert side_piece("right", [low, high], holes=there).hold != ()
    assert side_piece("right", [low, high], holes=there, give=Fraction(1)).hold == ()


def test_a_label_without_room_beside_its_place_stands_beside_the_tile() -> None:
    """A narrow tile, with a place at its corner between lines: the number is there, and the text in the margin."""
    texts, told = list_beside(
        (Target((0, 0), (4.5,), ("2  low, top", "120.50 to its bottom one")),), (0, 56, 30, 200), 100
    )
    assert told == 1
    assert [text.text for text in texts] == ["2 low, top", "120.50 to its", "bottom one"]
    assert all(text_width(text.text, 2.5) <= 30 for text in texts)
    assert [a.at[1] > b.at[1] for a, b in pairwise(texts)] == [True, True]
    assert texts[2].at[1] < 100 < texts[0].at[1] + 2.5  # beside its place, which is 100 mm up on the page
    assert list_beside((Target((0, 0), (4.5,), ("unbreakable-name-of-a-row",)),), (0, 56, 20, 200), 100) == ([], 0)
    assert list_beside((Target((0, 0), (4.5,), ("2  low, top",)),), (0, 56, 30, 59), 100) == ([], 0)


NAMES = ('<script>alert("x")</script>', "a" * 300, "🎛 架 é", "x\x07\u202e]]>", "%%c \\U+0041 ^J", "&amp;", "'\"")


@pytest.mark.parametrize("name", NAMES)
def test_hostile_names_stay_in_their_place(name: str) -> None:
    """Long ones are cut off, hidden characters are shown; no text runs over another or off the page."""
    info = INFO._replace(rack=name, revision=name, document=name)
    drawn(side_piece("left", [place._replace(row=name) for place in places("left")]), info)
    strip = Strip(name, Fraction(508), (Lane(name, (Named(Fraction(0), Fraction(50), name),)),))
    for sheet in sheets(info, label_pages((strip,))):
        check_page(sheet)


@settings(max_examples=60, deadline=None)
@given(
    spots=st.lists(st.tuples(st.integers(5, 1500), st.integers(5, 4000)), min_size=1, max_size=9),
    old=st.lists(st.tuples(st.integers(-50, 1500), st.integers(-50, 4000)), max_size=5),
    outlined=st.booleans(),
    paper=st.sampled_from(sorted(PAPERS)),
)
def test_any_places(spots: list[tuple[int, int]], old: list[tuple[int, int]], outlined: bool, paper: str) -> None:
    """Wherever they are: each is drawn whole on some sheet, at its numbers; labels never lie on each other."""
    given_places = [
        Place(f"row-{number}", "right", "bottom", Fraction(a, 10), Fraction(b, 10))
        for number, (a, b) in enumerate(spots)
    ]
    there = [Hole(Fraction(a, 10), Fraction(b, 10), "old hole") for a, b in old]
    piece = side_piece("right", given_places, OUTLINE if outlined else (), there)
    made = sheets(INFO._replace(paper=paper), pages(piece))
    for sheet in made:
        numbers_alone = [m for m in marks_of(sheet) if isinstance(m, Text) and m.text.isdigit()]
        if not numbers_alone:
            check_page(sheet)
    rings = {m.centre for sheet in made for w in sheet.windows for m in w.marks if isinstance(m, Circle)}
    assert rings == {target.at for target in piece.targets}
    for sheet in made:
        for window in sheet.windows:
            for mark in window.marks:
                if isinstance(mark, Circle) and mark.layer == DRILL:
                    wide, high = window.box[2] - window.box[0], window.box[3] - window.box[1]
                    shift = (mark.centre[0] - window.corner[0], mark.centre[1] - window.corner[1])
                    assert 3 <= shift[0] <= wide - 3
                    assert 3 <= shift[1] <= high - 3


@pytest.mark.parametrize(
    ("hp", "wide", "at"),
    [
        ("1", "4.78", ["2.39"]),
        ("2", "9.86", ["7.47"]),
        ("3", "14.94", ["7.47"]),
        ("4", "20.02", ["7.47"]),
        ("6", "30.18", ["7.47", "22.71"]),
        ("8", "40.34", ["7.47", "32.87"]),
        ("14", "70.82", ["7.47", "63.35"]),
        ("20", "101.30", ["7.47", "93.83"]),
    ],
)
def test_blanks(hp: str, wide: str, at: list[str]) -> None:
    """n x 5.08 - 0.30 (IEC 60297-3-101); holes 1.5 x 5.08 - 0.15 from the edge, 122.5 apart, 3.0 from the ends."""
    piece = blank_piece(Blank(Fraction(hp), "M3"))
    (outline,) = piece.marks
    assert isinstance(outline, Polyline)
    assert outline.points[2] == (float(Fraction(wide)), 128.5)
    assert [decimal(x, 2) for x in holes(Fraction(hp))] == at
    assert {target.at[1] for target in piece.targets} == {3.0, 125.5}
    assert {target.at[0] for target in piece.targets} == {float(Fraction(x)) for x in at}
    assert {target.diameters for target in piece.targets} == {(3.2,)}  # ISO 273, fine
    assert piece.hold == ()
    for sheet in drawn(piece):
        assert "overview" not in sheet.title
    unknown = blank_piece(Blank(Fraction(hp), ""))
    assert {target.diameters for target in unknown.targets} == {(2.7, 3.2)}
    assert len(unknown.hold) == 1
    drawn(unknown)


def test_a_wide_blank_is_tiled() -> None:
    """84HP do not go onto a page; its four holes are each on one."""
    piece = blank_piece(Blank(Fraction(84), "M2.5"))
    made = drawn(piece)
    assert len(made) > 3
    assert len([centre for sheet in made for centre in places_on(sheet)]) == 4
    assert all(around(target)[0] > piece.region[0] for target in piece.targets)


def row(length: int, *widths: int) -> Strip:
    """A row of so many HP, full from the left."""
    panels, start = [], 0
    for number, width in enumerate(widths):
        panels.append(Named(Fraction(127, 25) * start, Fraction(127, 25) * width, f"panel-{number}"))
        start += width
    return Strip("low", Fraction(127, 25) * length, (Lane("the start", tuple(panels)), Lane("from stage x", ())))


@pytest.mark.parametrize("length", [1, 8, 44, 45, 84, 104, 168, 420])
def test_labels_are_cut_into_pieces_that_fit(length: int) -> None:
    """None is longer than 44HP, none is empty, and together they are the row."""
    strip = row(length, *([14] * (length // 14)))
    places_of = cuts(strip)
    assert places_of[0] == 0
    assert places_of[-1] == length
    assert all(1 <= right - left <= 44 for left, right in pairwise(places_of))
    for sheet in sheets(INFO, label_pages((strip,))):
        check_page(sheet)
        assert sheet.width > sheet.height


def test_labels_are_5_08_mm_an_hp() -> None:
    """Ticks, sides and names at their places; what has no room for its name gets a number."""
    strip = row(40, 4, 2, 10)
    (sheet,) = sheets(INFO, label_pages((strip,)))
    left = min(p[0] for m in sheet.marks if isinstance(m, Polyline) and m.layer == CUT for p in m.points)
    upright = [m for m in sheet.marks if isinstance(m, Line) and m.start[0] == m.end[0]]
    xs = {round(m.start[0] - left, 6) for m in upright}
    assert {round(5.08 * hp, 6) for hp in range(1, 40)} <= xs
    texts = {m.text: m.at[0] - left for m in sheet.marks if isinstance(m, Text)}
    assert abs(texts["panel-2"] - 11 * 5.08) < 1e-9
    assert abs(texts["1"] - 5 * 5.08) < 1e-9
    assert "1 panel-1" in texts
    assert abs(texts["35"] - 35 * 5.08) < 1e-9


def test_letters() -> None:
    """Texts that fit, lines that fit, decimals that are rounded to the nearest, and what base fonts can print."""
    assert fitted("a" * 99, 2.5, 20).endswith("…")
    assert text_width(fitted("a" * 99, 2.5, 20), 2.5) <= 20
    assert all(text_width(line, 2.5) <= 30 for line in wrapped("one two " * 9 + "w" * 99, 2.5, 30))
    assert [decimal(Fraction(text), 1) for text in ("0.04", "-0.04", "-12.36", "9.96")] == [
        "0.0",
        "0.0",
        "-12.4",
        "10.0",
    ]
    assert latin("é 🎛架… \x07") == "é ??… ?"


def test_every_page_is_as_it_says() -> None:
    """Paper sizes: ISO 216; ANSI Y14.1."""
    for paper, size in (("A4", (210.0, 297.0)), ("letter", (215.9, 279.4))):
        (sheet,) = drawn(side_piece("left", places("left")), INFO._replace(paper=paper))
        assert (sheet.width, sheet.height) == size

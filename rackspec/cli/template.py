"""``rackspec template``: in: options, out: a file of sheets at 1:1 to drill and label by."""

from __future__ import annotations

import os
import sys
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from rackspec.cli.inspect import here, today
from rackspec.cli.main import DONE, FAILED, Failure
from rackspec.cli.report import no_rack
from rackspec.cli.writing import keep_specs, write_whole
from rackspec.language.suggest import nearest
from rackspec.language.units import HP
from rackspec.pipeline import Request, read_request
from rackspec.rules.registry import Look

if TYPE_CHECKING:
    import argparse

    from rackspec.project import Project
    from rackspec.views.sheets.furniture import Info
    from rackspec.views.sheets.of_rack import Made, Wanted

SUFFIXES = (".svg", ".pdf", ".dxf")
SHEETS = ("drill", "blank", "labels")
PAPERS = ("A4", "letter")
UNREAD = "; some line was not understood, and 'rackspec inspect' says which"
MANY_SHEETS = 200
"""No more pages are written: nobody wants to print them, and something is wrong."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    add = parser.add_argument
    add(
        "paths",
        metavar="PATH",
        nargs="*",
        default=["."],
        help="a file, a folder, or - for standard input (this folder)",
    )
    add("--rack", metavar="RACK", help="the rack; may be left out where there is only one")
    add("--to", metavar="FILE", required=True, help="the file to write; its end says which kind: .svg, .pdf or .dxf")
    add("--sheet", metavar="SHEET", default="drill", help="drill (the side pieces), blank or labels (drill)")
    add("--row", metavar="ROW", default="", help="only this row")
    add("--side", metavar="SIDE", default="", help="only this side piece, left or right as seen from the front")
    add("--mirrored", action="store_true", help="side pieces as seen from inside")
    add("--width", metavar="LENGTH", help="a blank of this width, such as 6HP, instead of those in the rack")
    add("--thread", metavar="THREAD", default="", help="the thread behind blanks, such as M3, instead of the row's")
    add("--paper", metavar="PAPER", default="A4", help="A4 or letter (A4)")
    add(
        "--correct",
        metavar=("X", "Y"),
        nargs=2,
        help="what the 100mm bars measure on your printer, across and up, such as 99.4%% 100.2%%; from 97%% to 103%%",
    )
    add("--on", metavar="DATE", help="the date of issue where the rack's revision has none, such as 2026-11-02")
    add("--named", metavar="FILE", default="", help="the file that standard input stands for, for its 'use' lines")


def run(options: argparse.Namespace) -> int:
    """Read, choose the rack, draw, write."""
    from rackspec.views.sheets.of_rack import Missing, Wanted

    suffix = os.path.splitext(options.to)[1].lower()
    if suffix not in SUFFIXES:
        raise Failure(f"--to takes a file that ends in .svg, .pdf or .dxf, not '{options.to}'")
    check_words(options, suffix)
    prints = correction(options.correct)
    day = today(options.on) if options.on is not None else None
    wanted = Wanted(options.row, options.side, options.mirrored, width_of(options.width), options.thread)
    stdin = sys.stdin.buffer.read() if "-" in options.paths else None
    request = Request(tuple(options.paths), here(), day or date.min, stdin, options.named)
    projects, failed = read_request(request)
    for reason in failed:
        print(f"rackspec: {reason}", file=sys.stderr)
    look, project = the_rack(projects, options.rack, bool(failed))
    rows = [row.name for row in look.rack.rows]
    if wanted.row and wanted.row not in rows:
        raise Failure(no_row(wanted.row, look.rack.name, rows))
    try:
        made = sheets_of(options.sheet, look, wanted._replace(sound=project.is_sound))
    except Missing as missing:
        raise Failure(str(missing)) from None
    if len(made.leaves) > MANY_SHEETS:
        raise Failure(f"that would be {len(made.leaves)} sheets; ask for one row or one side piece")
    info = info_of(look, project, options, day, prints)
    keep_specs(options.to, options.paths)
    write(options.to, suffix, info, made)
    for what in made.left_out:
        print(f"rackspec: not on the sheets: {what}", file=sys.stderr)
    for reason in made.held:
        print(f"rackspec: NOT FOR DRILLING: {reason}", file=sys.stderr)
    return FAILED if failed else DONE


def check_words(options: argparse.Namespace, suffix: str) -> None:
    """Raises Failure where options are none, or do not go together."""
    for what, given, known in (
        ("--sheet", options.sheet, SHEETS),
        ("--paper", options.paper, PAPERS),
        ("--side", options.side or "left", ("left", "right")),
    ):
        if given not in known:
            raise Failure(f"{what} is {', '.join(known[:-1])} or {known[-1]}, not '{given}'")
    if options.sheet != "drill" and (options.side or options.mirrored):
        raise Failure("--side and --mirrored belong to --sheet drill")
    if options.sheet != "blank" and (options.width or options.thread):
        raise Failure("--width and --thread belong to --sheet blank")
    if suffix == ".dxf" and options.correct:
        raise Failure("--correct is for printers; a .dxf is always at 1:1")


def correction(given: list[str] | None) -> tuple[float, float]:
    """How long the printer makes 1 mm, across and up."""
    if given is None:
        return (1.0, 1.0)
    from rackspec.language.quantity import read_number

    found = []
    for text in given:
        try:
            value = read_number(text.removesuffix("%").strip())
        except (ValueError, ZeroDivisionError):
            value = Fraction(0)
        if not 97 <= value <= 103:
            raise Failure(f"--correct takes what the 100mm bars measure, from 97% to 103%, not '{text}'")
        found.append(float(value / 100))
    return (found[0], found[1])


def width_of(text: str | None) -> Fraction | None:
    """A width in HP."""
    if text is None:
        return None
    from rackspec.language.quantity import read_number, split_measure, unit_of

    number, spelling = split_measure(text)
    unit = unit_of(spelling)
    try:
        value = read_number(number.strip()) * (unit.factor if unit is not None else 0) / HP
    except (ValueError, ZeroDivisionError):
        value = Fraction(0)
    if unit is None or unit.dimension != "length" or value < 1:
        raise Failure(f"--width takes a length of at least 1HP, such as 6HP, not '{text}'")
    return value


def the_rack(projects: list[Project], name: str | None, failed: bool) -> tuple[Look, Project]:
    """The rack that is meant, and where it is from."""
    found = [(rack, project) for project in projects for rack in project.link()]
    chosen = [(rack, project) for rack, project in found if name in (None, rack.name)]
    names = [rack.name for rack, _ in found]
    if not chosen:
        if failed and not found:
            raise Failure("nothing was drawn, because nothing could be read")
        unread = "" if all(project.is_sound for project in projects) else UNREAD
        raise Failure(no_rack(name, names).replace("to report on", "to draw sheets for") + unread)
    if len(chosen) > 1:
        listed = ", ".join(dict.fromkeys(names))
        what = f"there are {len(chosen)} racks called '{name}'" if name else f"there are several racks: {listed}"
        raise Failure(f"{what}; " + ("name the file of the one that you mean" if name else "say which with --rack"))
    rack, project = chosen[0]
    return Look(rack, project.house, {}), project


def no_row(name: str, rack: str, there: list[str]) -> str:
    """Why there is nothing to draw of a row."""
    near = nearest(name, there)
    guess = f"; did you mean '{near[0]}'?" if near else ""
    return f"rack '{rack}' has no row '{name}'; it has: {', '.join(there) or 'none'}{guess}"


def sheets_of(sheet: str, look: Look, wanted: Wanted) -> Made:
    """The sheets of a kind. Raises Missing."""
    from rackspec.views.sheets import of_rack

    return {"drill": of_rack.drill, "blank": of_rack.blank, "labels": of_rack.labels}[sheet](look, wanted)


def info_of(
    look: Look, project: Project, options: argparse.Namespace, day: date | None, prints: tuple[float, float]
) -> Info:
    """What the title block says. The date of issue is that of the revision, else the one given."""
    from rackspec.views.sheets.furniture import Info
    from rackspec.views.sheets.of_rack import DOCUMENTS

    rack = look.rack
    revised = None
    for block in project.things():
        if (block.kind, block.name) == ("rack", rack.name) and block.place().source is rack.file:
            for fact in block.all("revision"):
                value = fact.bound.values.get("date")
                revised = revised or (value.data if value is not None and isinstance(value.data, date) else None)
    issued = revised or day
    return Info(
        rack.name,
        rack.title,
        rack.revision,
        issued.isoformat() if issued is not None else "undated",
        DOCUMENTS[options.sheet],
        options.paper,
        prints,
    )


def write(path: str, suffix: str, info: Info, made: Made) -> None:
    """Write the file, and say what to do with it."""
    from rackspec.views.sheets.furniture import sheets

    if suffix == ".dxf":
        from rackspec.views.sheets.as_dxf import as_dxf

        write_whole(path, as_dxf(made.flats))
        print(f"{path} is written: {counted(len(made.flats), 'drawing')} at 1:1, in mm; measure one before you cut")
        return
    pages = sheets(info, made.leaves)
    if suffix == ".svg":
        from rackspec.views.sheets.as_svg import as_svg

        content: str | bytes = as_svg(pages)
    else:
        from rackspec.views.sheets.as_pdf import as_pdf

        try:
            content = as_pdf(pages, "rackspec")
        except ImportError:
            needs = "PDF needs the 'print' extra: pip install 'rackspec[print]'; SVG and DXF need nothing"
            raise Failure(needs) from None
    write_whole(path, content)
    print(f"{path} is written: {counted(len(pages), 'sheet')}; print it at 100 %, then measure the bars")


def counted(many: int, what: str) -> str:
    """``1 sheet``, ``2 sheets``."""
    return f"{many} {what}" if many == 1 else f"{many} {what}s"

"""Fit along the row: in: a rack, out: findings about widths and places of panels."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import ERROR, Finding
from rackspec.language.quantity import show_hp
from rackspec.language.units import HP
from rackspec.model.known import rests_on
from rackspec.model.rack import Panel, Row
from rackspec.physics.margin import Margin
from rackspec.physics.room import Span, nearest_place, overlaps, whole_hp
from rackspec.rules.bolts import faults
from rackspec.rules.registry import Look, NotKnown, Seen, milder, rule, steps_for
from rackspec.rules.stages import overfull_at, runs_from, stage_numbers, taken_at


def called(panel: Panel) -> str:
    """How a panel is called in a sentence."""
    if panel.name:
        return f"'{panel.name}'"
    return f"the {panel.what} of {show_hp(panel.width.value)}" if panel.width else f"the {panel.what}"


def span_text(panel: Panel) -> str:
    """``takes 4HP to 18HP``."""
    assert panel.start is not None and panel.width is not None
    return f"takes {show_hp(panel.start)} to {show_hp(panel.start + panel.width.value)}"


FURTHEST = 1000
"""HP to either side of where a panel stands that are searched for a place; no rail is that long."""


def place_for(look: Look, row: Row, panel: Panel, wanted: Fraction) -> Fraction | None:
    """The whole-HP position nearest to ``wanted`` (mm) at which a panel is free of others at every stage, or None.

    Panels that follow it by ``next`` or ``instead`` move with it, so they must find room there too; each is taken at
    its widest.
    """
    assert panel.start is not None
    chain = [panel]
    for follower in row.panels[row.panels.index(panel) + 1 :]:
        if not follower.follows:
            break
        chain.append(follower)
    last = len(look.rack.stages) - 1
    ends = {id(link): last if link.until is None else link.until - 1 for link in chain}
    free = {id(link): runs_from(row, link.since, ends[id(link)], *chain, widest=True) for link in chain}
    near = round(wanted / HP)
    best: Fraction | None = None
    for run in free[id(panel)]:
        first, end = whole_hp(run)
        for step in range(max(first, near - FURTHEST), min(end, near + FURTHEST)):
            place = step * HP
            if best is not None and abs(place - wanted) >= abs(best - wanted):
                continue
            if all(_holds(free[id(link)], link, place - panel.start) for link in chain):
                best = place
    return best


def into_row(look: Look, row: Row, panel: Panel, wanted: Fraction) -> str:
    """What to do with a panel that does not lie on its rails."""
    place = place_for(look, row, panel, wanted)
    return f"start it at {show_hp(place)}" if place is not None else "move it to another row"


def _holds(runs: list[Span], panel: Panel, shift: Fraction) -> bool:
    """Whether a panel, shifted (mm), lies in one of the runs; one of unknown place or width is no hindrance."""
    if panel.start is None or panel.width is None:
        return True
    start = panel.start + shift
    return any(left <= start and start + panel.width.high <= right for left, right in runs)


def names_of(look: Look, *panels: Panel) -> tuple[str, ...]:
    """Full names of panels; a panel without a name is known by its row."""
    return tuple(look.rack.full(panel.name or panel.row) for panel in panels)


@rule("error", "fit")
def row_overfull(look: Look) -> Iterator[Seen]:
    """The panels of a row are wider, taken together, than the row is long.

    *Why*: no order of the panels helps; something has to go into another row. 60 HP and 4 HP leave 20 of 84 HP.

    *Bad*:

        module voice {
            width 60HP
        }
        module mixer {
            width 26HP
        }
        rack tray {
            row top {
                length 84HP
                at 0HP voice
                next mixer
            }
        }

    *Good*:

        module voice {
            width 60HP
        }
        module mixer {
            width 24HP
        }
        rack tray {
            row top {
                length 84HP
                at 0HP voice
                next mixer
            }
        }

    *Source*: widths in HP as IEC 60297-3-101 counts them; that they must not exceed the row is arithmetic.
    """
    for row in look.rack.rows:
        length = row.length
        if length is None:
            if not row.spoiled and not row.choices and row.panels:
                how = "name its rails ('rails …'), or measure between the side pieces ('length 84HP')"
                for _ in row.panels:  # so many checks hang on it
                    yield NotKnown(look.rack.full(row.name), "length of the row", how, row.place)
            continue
        for stage in stage_numbers(look.rack):
            taken = taken_at(row, stage)
            for panel in taken.unknown:
                if stage == panel.since and panel.part is not None and not panel.part.spoiled:
                    yield NotKnown(
                        look.rack.full(panel.name), "width", "measure it with a ruler, in HP", panel.part.place
                    )
            if taken.widest <= length.value:
                if stage == len(look.rack.stages) - 1 and taken.widths:
                    what = f"{look.rack.full(row.name)}: width"
                    yield Margin(what, taken.nominal, length.value, "mm", rests_on("widths", list(taken.widths)))
                continue
            nominal = taken.nominal > length.value
            guessed = any(width.is_guess for width in taken.widths) and _without_guesses(taken.widths) <= length.value
            total = taken.nominal if nominal else taken.widest
            over = total - length.value
            worst = "" if nominal else ", if the widths are at their widest"
            when = look.rack.stage_name(stage) if stage else ""
            message = f"row '{row.name}' is overfull by {show_hp(over)}{' ' + when if when else ''}{worst}"
            sum_text = _terms(row.at(stage), total, nominal)
            yield Finding(
                "row-overfull",
                milder(ERROR, steps_for(nominal, guessed)),
                message,
                row.place,
                others=(length.place.labelled(f"{show_hp(length.value)} long"),),
                sum=f"{sum_text}{show_hp(total)} - {show_hp(length.value)} = {show_hp(over)}",
                remedy=_overfull_remedy(look, row, stage, over),
                rests_on=rests_on("widths", list(taken.widths)),
                names=(look.rack.full(row.name),),
            )
            break
    yield from (seen for seen in faults(look) if isinstance(seen, Finding) and seen.rule == "row-overfull")


def _without_guesses(widths: tuple[object, ...]) -> Fraction:
    """The sum of the widths that are not guessed (mm)."""
    from rackspec.model.known import Known

    return sum((width.value for width in widths if isinstance(width, Known) and not width.is_guess), Fraction(0))


def _terms(panels: tuple[Panel, ...], total: Fraction, nominal: bool) -> str:
    """The widths of panels as a sum with its result, nominal or at their widest; nothing for a single one."""
    known = [panel.width for panel in panels if panel.width is not None]
    widths = [show_hp(width.value if nominal else width.high) for width in known]
    if len(widths) < 2:
        return ""
    if len(widths) > 8:
        widths = [*widths[:6], f"{len(widths) - 6} more"]
    return f"{' + '.join(widths)} = {show_hp(total)}, and "


def _overfull_remedy(look: Look, row: Row, stage: int, over: Fraction) -> str:
    """What to move: the narrowest panel that is wide enough, and a row with room for it."""
    last = len(look.rack.stages) - 1
    wide = [
        panel for panel in row.at(stage) if panel.width is not None and panel.width.value >= over and panel.takes_room
    ]
    for panel in sorted(wide, key=lambda panel: (panel.width.value if panel.width else 0, panel.name)):
        assert panel.width is not None
        for other in look.rack.rows:
            if other is row:
                continue
            end = last if panel.until is None else panel.until - 1
            place = nearest_place(runs_from(other, panel.since, end, widest=True), panel.width.high, Fraction(0))
            if place is not None:
                return f"move {called(panel)} to row '{other.name}' at {show_hp(place)}"
    return f"take out {show_hp(over)} of panels, or choose longer rails"


@rule("error", "fit")
def modules_overlap(look: Look) -> Iterator[Seen]:
    """Two panels of a row want the same room at the same time.

    *Why*: the second one cannot be put in front of its holes; found late, one of them is already screwed down.

    *Bad*:

        module osc {
            width 14HP
        }
        module filter {
            width 8HP
        }
        rack tray {
            row top {
                length 84HP
                at 4HP osc
                at 16HP filter
            }
        }

    *Good*:

        module osc {
            width 14HP
        }
        module filter {
            width 8HP
        }
        rack tray {
            row top {
                length 84HP
                at 4HP osc
                at 18HP filter
            }
        }

    *Source*: arithmetic.
    """
    for row in look.rack.rows:
        told: set[tuple[int, int]] = set()
        for widest in (False, True):
            for stage in stage_numbers(look.rack):
                if overfull_at(row, stage, widest):
                    continue  # that is the cause
                panels = [panel for panel in row.at(stage) if panel.start is not None and panel.width is not None]
                spans = [
                    (panel.start, panel.start + (panel.width.high if widest else panel.width.value), number)
                    for number, panel in enumerate(panels)
                    if panel.start is not None and panel.width is not None
                ]
                for left, right, _ in overlaps(spans):
                    key = (id(panels[left]), id(panels[right]))
                    if key not in told:
                        told.add(key)
                        yield _overlap(look, row, panels[left], panels[right], not widest)
        if any(panel.part is not None and panel.part.face.width is not None for panel in row.panels):
            from rackspec.rules.panels import too_broad  # racks whose panels nobody measured never need it

            yield from too_broad(look, row)


def _overlap(look: Look, row: Row, left: Panel, right: Panel, nominal: bool) -> Finding:
    """The finding about two panels that want the same room."""
    assert left.start is not None and left.width is not None and right.start is not None and right.width is not None
    width = left.width.value if nominal else left.width.high
    end = left.start + width
    guessed = left.width.is_guess
    place = place_for(look, row, right, end)
    if place is not None:
        remedy = f"start {called(right)} at {show_hp(place)}"
        last = len(look.rack.stages) - 1 if right.until is None else right.until - 1
        runs = runs_from(row, right.since, last, right)
        free = next((run[1] - place for run in runs if run[0] <= place < run[1]), None)
        if free is not None and free > right.width.value:
            remedy += f"; the row has {show_hp(free)} free from there on"
    else:
        remedy = f"no free run of row '{row.name}' has {show_hp(right.width.value)} for it: move it to another row"
    wholly = right.start + right.width.value <= end
    inside = f"{'lies wholly' if wholly else f'starts {show_hp(end - right.start)}'} inside {called(left)}"
    worst = "" if nominal else ", if that is as wide as it may be"
    return Finding(
        "modules-overlap",
        milder(ERROR, steps_for(nominal, guessed)),
        f"{called(right)} {inside}{worst}",
        right.position,
        others=(left.position.labelled(span_text(left)),),
        sum=(
            f"{show_hp(left.start)} + {show_hp(width)} = {show_hp(end)}, "
            f"and {show_hp(end)} - {show_hp(right.start)} = {show_hp(end - right.start)}"
        ),
        remedy=remedy,
        rests_on=rests_on("widths", [left.width]),
        names=names_of(look, right, left),
    )


@rule("error", "fit")
def beyond_rail_end(look: Look) -> Iterator[Seen]:
    """A panel begins before the rails do or ends behind them.

    *Why*: there is no thread for its screws out there, and usually a side piece.

    *Bad*:

        module delay {
            width 12HP
        }
        rack tray {
            row top {
                length 84HP
                at 76HP delay
            }
        }

    *Good*:

        module delay {
            width 12HP
        }
        rack tray {
            row top {
                length 84HP
                at 72HP delay
            }
        }

    *Source*: arithmetic; a strip for 84 HP has 84 tapped holes (common practice, no source).
    """
    for row in look.rack.rows:
        length = row.length
        overfull = [stage for stage in stage_numbers(look.rack) if overfull_at(row, stage, True)]
        for panel in row.panels:
            if panel.start is None or panel.width is None:
                continue
            if any(panel.there(stage) for stage in overfull):
                continue  # the row is overfull: that is the cause
            if panel.start < 0:
                yield Finding(
                    "beyond-rail-end",
                    ERROR,
                    f"{called(panel)} starts {show_hp(-panel.start)} before the rails do",
                    panel.position,
                    remedy=into_row(look, row, panel, panel.start),
                    rests_on="its position as written",
                    names=names_of(look, panel),
                )
                continue
            if length is None or panel.start + panel.width.high <= length.value:
                continue
            nominal = panel.start + panel.width.value > length.value
            end = panel.start + (panel.width.value if nominal else panel.width.high)
            over = end - length.value
            worst = "" if nominal else ", if it is as wide as it may be"
            yield Finding(
                "beyond-rail-end",
                milder(ERROR, steps_for(nominal, panel.width.is_guess)),
                f"{called(panel)} ends {show_hp(over)} beyond the rails of row '{row.name}'{worst}",
                panel.position,
                others=(length.place.labelled(f"{show_hp(length.value)} long"),),
                sum=(
                    f"{show_hp(panel.start)} + {show_hp(end - panel.start)} = {show_hp(end)}, "
                    f"and {show_hp(end)} - {show_hp(length.value)} = {show_hp(over)}"
                ),
                remedy=into_row(look, row, panel, panel.start),
                rests_on=rests_on("width", [panel.width]),
                names=names_of(look, panel),
            )

"""Room behind the panels: in: a rack, out: findings about depth, plugs and what is left behind them."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from rackspec.findings import ERROR, WARNING, Finding
from rackspec.language.quantity import show, show_hp
from rackspec.model.known import PRACTICE, Known, rests_on
from rackspec.model.rack import Panel, Row
from rackspec.physics.margin import Margin
from rackspec.physics.room import nearest_place
from rackspec.rules.registry import Look, NotKnown, Seen, milder, rule, steps_for
from rackspec.rules.stages import runs_from


def mm(value: Fraction) -> str:
    """A length in millimetres."""
    return show(value, "length")


def plug_of(look: Look, panel: Panel) -> Known | None:
    """How far the plugged-in cable of a panel reaches behind it; nothing for a panel without power."""
    part = panel.part
    if part is None or part.draws == () or (part.kind == "supply" and part.plug is None):
        return None
    if part.plug is not None:
        return part.plug
    return look.house.limit("assume plug").as_known(part.place)


def deep_panels(look: Look) -> Iterator[tuple[Row, Panel, Known, Known]]:
    """Each panel in a row whose room behind is known: row, panel, depth, room. A depth that nobody wrote is a band."""
    for row in look.rack.rows:
        for panel in row.panels:
            if row.behind is None or panel.part is None or panel.part.spoiled:
                continue
            depth = panel.part.depth
            if depth is None and panel.what == "module":
                depth = look.house.limit("assume depth").as_known(panel.part.place)
            if depth is not None:
                yield row, panel, depth, row.behind


def depth_label(depth: Known) -> str:
    """What is to be seen where a depth stands, or would stand."""
    if depth.evidence.level == PRACTICE:
        return f"no depth; taken as {depth.quantity.text}, {depth.evidence.text}"
    return f"its depth, {depth.evidence.level}"


@rule("error", "depth")
def no_room_behind(look: Look) -> Iterator[Seen]:
    """A module is deeper than the room behind its row.

    *Why*: the panel stands off its rails, and forcing it down bends the board against the back of the case.

    *Bad*:

        module delay {
            width 12HP
            depth 48mm
        }
        rack tray {
            row top {
                length 84HP
                behind 45mm
                at 0HP delay
            }
        }

    *Good*:

        module delay {
            width 12HP
            depth 38mm
            draws nothing
        }
        rack tray {
            row top {
                length 84HP
                behind 45mm
                at 0HP delay
            }
        }

    *Source*: arithmetic; depth is counted from the seat (the back of the panel), plug not counted.
    """
    for row in look.rack.rows:
        for panel in row.panels:
            part = panel.part
            if part is None or part.spoiled or row.spoiled or part.depth is not None:
                continue
            how = "look in the maker's sheet, or measure from the back of the panel to the rearmost part"
            yield NotKnown(look.rack.full(panel.name), "depth", how, part.place)
        if row.behind is None and not row.spoiled:
            how = "measure from the front of the rails to the first thing behind them ('behind 60mm')"
            for _ in (panel for panel in row.panels if panel.part):  # so many checks hang on it
                yield NotKnown(look.rack.full(row.name), "room behind the row", how, row.place)
    for row, panel, depth, room in deep_panels(look):
        if depth.high <= room.low:
            continue
        nominal = depth.value > room.value
        need, have = (depth.value, room.value) if nominal else (depth.high, room.low)
        worst = "" if nominal else ", at the worst"
        yield Finding(
            "no-room-behind",
            milder(ERROR, steps_for(nominal, depth.is_guess or room.is_guess)),
            f"'{panel.name}' {'may be' if depth.evidence.level == PRACTICE else 'is'} {mm(need - have)} deeper than "
            f"the room behind row '{row.name}'{worst}",
            panel.place,
            others=(depth.place.labelled(depth_label(depth)), room.place.labelled("the room behind")),
            sum=f"{mm(need)} - {mm(have)} = {mm(need - have)}",
            remedy=_measure(depth, room) or _shallower(look, row, panel, need + _cable(look, panel)),
            rests_on=rests_on("depths", [depth, room]),
            names=(look.rack.full(panel.name), look.rack.full(row.name)),
        )


def _measure(depth: Known, room: Known) -> str:
    """The remedy where nobody wrote a depth."""
    if depth.evidence.level != PRACTICE:
        return ""
    return f"measure it from the back of its panel and write it down ('depth 27mm'); {mm(room.low)} are there"


def _cable(look: Look, panel: Panel) -> Fraction:
    """What its plug and cable need behind it at the worst (mm)."""
    plug = plug_of(look, panel)
    return plug.high if plug is not None else Fraction(0)


def _shallower(look: Look, row: Row, panel: Panel, need: Fraction) -> str:
    """A row that is deep enough and has a place for the panel, or how deep this one would have to be."""
    last = len(look.rack.stages) - 1 if panel.until is None else panel.until - 1
    for other in look.rack.rows:
        if other is row or other.behind is None or other.behind.low < need or panel.width is None:
            continue
        place = nearest_place(runs_from(other, panel.since, last, widest=True), panel.width.high, Fraction(0))
        if place is not None:
            return f"move it to row '{other.name}' at {show_hp(place)}, with {mm(other.behind.low)} behind it"
    return f"make {mm(need)} of room behind this row, or put it into another rack"


@rule("error", "depth")
def no_room_for_plug(look: Look) -> Iterator[Seen]:
    """A module fits, but its plugged-in power cable does not.

    *Why*: a ribbon folded hard against the back works loose or breaks, and a plug pushed askew can short.

    *Bad*:

        module delay {
            width 12HP
            depth 38mm
            plug 12mm
            draws 60mA on +12V
        }
        rack tray {
            row top {
                length 84HP
                behind 45mm
                at 0HP delay
            }
        }

    *Good*:

        module delay {
            width 12HP
            depth 38mm
            plug 0mm
            draws 60mA on +12V
        }
        rack tray {
            row top {
                length 84HP
                behind 45mm
                at 0HP delay
            }
        }

    *Source*: arithmetic; a plug that nobody measured is taken as 8..20 mm (common practice, no source).
    """
    for row, panel, depth, room in deep_panels(look):
        plug = plug_of(look, panel)
        assert panel.part is not None
        if plug is None or depth.high > room.low:
            continue
        if depth.high + plug.high <= room.low:
            continue
        nominal = depth.value + plug.value > room.value
        need = depth.value + plug.value if nominal else depth.high + plug.high
        have = room.value if nominal else room.low
        term = mm(plug.value if nominal else plug.high)
        assumed = panel.part.plug is None
        worst = "" if nominal else " at the worst"
        unknown_depth = depth.evidence.level == PRACTICE
        origin = (
            f"a plug of {term} ({plug.quantity.text} is {plug.evidence.text})"
            if assumed
            else f"its plug of {plug.quantity.text}"
        )
        yield Finding(
            "no-room-for-plug",
            milder(ERROR, steps_for(nominal, depth.is_guess or plug.is_guess or room.is_guess)),
            f"'{panel.name}' may lack {mm(need - have)} behind it{worst}: nobody stated how deep it is"
            if unknown_depth
            else f"'{panel.name}' lacks {mm(need - have)} behind it{worst} for {origin}",
            panel.place,
            others=(depth.place.labelled(depth_label(depth)), room.place.labelled("the room behind")),
            sum=(
                f"{mm(need - (plug.value if nominal else plug.high))} + {term} = {mm(need)}, "
                f"and {mm(need)} - {mm(have)} = {mm(need - have)}"
            ),
            remedy=(
                _measure(depth, room)
                or (
                    assumed
                    and f"measure its plug and write it down ('plug 12mm'); at most {mm(room.low - depth.high)} fit"
                )
                or _shallower(look, row, panel, need)
            ),
            rests_on=rests_on("depths", [depth, plug, room]),
            names=(look.rack.full(panel.name), look.rack.full(row.name)),
        )


@rule("warning", "depth")
def spare_depth_thin(look: Look) -> Iterator[Seen]:
    """Less room is left behind a module than the house wants.

    *Why*: cables lie behind modules, and a board without air gets warm. How much to leave is the house's choice.

    *Bad*:

        house {
            spare depth 4mm
        }
        module delay {
            width 12HP
            depth 43mm
            draws nothing
        }
        rack tray {
            row top {
                length 84HP
                behind 45mm
                at 0HP delay
            }
        }

    *Good*:

        house {
            spare depth 4mm
        }
        module delay {
            width 12HP
            depth 40mm
            draws nothing
        }
        rack tray {
            row top {
                length 84HP
                behind 45mm
                at 0HP delay
            }
        }

    *Source*: common practice, no source; ``spare depth`` of the house sets it, without a house it is 0 mm.
    """
    spare = look.house.limit("spare depth")
    for row, panel, depth, room in deep_panels(look):
        assert panel.part is not None
        plug = plug_of(look, panel)
        nominal = depth.value + (plug.value if plug else 0)
        worst = depth.high + (plug.high if plug else 0)
        inputs = [depth, room] if plug is None else [depth, plug, room]
        assumed = [
            name for name, value in (("depth", depth), ("plug", plug)) if value and value.evidence.level == PRACTICE
        ]
        what = f"{look.rack.full(panel.name)}: depth" + (" with plug" if plug else "")
        if assumed:
            what += f", {' and '.join(assumed)} assumed"
        used, have = (worst, room.low) if assumed else (nominal, room.value)
        yield Margin(what, used, have, "mm", rests_on("depths", inputs))
        if spare.value <= 0 or worst > room.low or worst + spare.value <= room.low:
            continue
        is_nominal = nominal + spare.value > room.value
        used, have = (nominal, room.value) if is_nominal else (worst, room.low)
        guessed = any(value.is_guess for value in inputs)
        worst_text = "" if is_nominal else " at the worst"
        yield Finding(
            "spare-depth-thin",
            milder(WARNING, steps_for(is_nominal, guessed)),
            f"'{panel.name}' leaves {mm(have - used)} behind it{worst_text}; the house wants {mm(spare.value)}",
            panel.place,
            others=(depth.place.labelled(depth_label(depth)), room.place.labelled("the room behind")),
            sum=f"{mm(have)} - {mm(used)} = {mm(have - used)}",
            remedy=_shallower(look, row, panel, used + spare.value),
            rests_on=rests_on("depths", inputs) + f"; spare depth from {spare.origin}",
            names=(look.rack.full(panel.name), look.rack.full(row.name)),
        )

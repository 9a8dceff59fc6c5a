"""Bolting panels down: in: a rack, out: findings about rails, inserts, holes, nuts and screws, one rule for each.

Of several choices of rails the first one counts that does; what keeps a choice from doing is worked out once.
"""

from collections.abc import Iterator

from rackspec.findings import Finding
from rackspec.rules.registry import Look, Seen, rule

CROWDED = ("hole-misses-thread", "row-overfull")
"""Rules of findings about several panels of a row."""


def faults(look: Look) -> list[Seen]:
    """The faults of the rack's rows, each on the first choice of rails that does, and what is not known about it."""
    if not any(row.choices for row in look.rack.rows):
        return []
    if "faults" not in look.memory:
        from rackspec.rules.chosen import faults_of_rows  # racks that name no rails yet never need it

        look.memory["faults"] = faults_of_rows(look)
    remembered: list[Seen] = look.memory["faults"]
    return remembered


def crowded_in(look: Look) -> set[str]:
    """Full names of panels that do not go in side by side: their widths are told there."""
    found = [seen for seen in faults(look) if isinstance(seen, Finding) and seen.rule in CROWDED]
    return {name for finding in found if len(finding.names) > 2 for name in finding.names}


@rule("error", "bolting")
def rail_rejects_insert(look: Look) -> Iterator[Seen]:
    """A row is to be put together with an insert that its rails do not take.

    *Why*: the strip does not go into the channel, or falls out of it; that shows when both are bought.

    *Bad*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        insert nut {
            nut M3
            across 5.5mm
            thread 1.8mm
        }
        rail tideline {
            length 84HP
            takes nut
            recess 1mm
            room 8mm
        }
        rack tray {
            row top {
                rails tideline with strip
                at 0HP blank 4HP
            }
        }

    *Good*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        insert nut {
            nut M3
            across 5.5mm
            thread 1.8mm
        }
        rail tideline {
            length 84HP
            takes nut
            takes strip
            recess 1mm
            room 8mm
        }
        rack tray {
            row top {
                rails tideline with strip
                at 0HP blank 4HP
            }
        }

    *Source*: what rail and insert say (`takes`).
    """
    yield from (seen for seen in faults(look) if not isinstance(seen, Finding) or seen.rule == "rail-rejects-insert")


@rule("error", "bolting")
def hole_misses_thread(look: Look) -> Iterator[Seen]:
    """A hole of a panel does not stand in front of a thread of the strip.

    *Why*: a strip has a thread every HP, in the middle of it; a hole between two of them takes no screw, however hard
    one pulls. Sliding nuts go to any place. Holes that are too far from the height of both rails are told here too.

    *Bad*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
        }
        module osc {
            width 2HP
            hole 3.2mm at (4.93mm, 3mm)
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Good*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
        }
        module osc {
            width 4HP
            hole 3.2mm at (7.47mm, 3mm)
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Source*: first hole centred in the second HP as in an open-hardware crate document; 3.2 mm clearance for M3 by
    ISO 273, the largest M3 screw 2.980 mm by ISO 965-1 (6g); a strip for 84 HP has 84 tapped holes (common practice,
    no source).
    """
    yield from (seen for seen in faults(look) if isinstance(seen, Finding) and seen.rule == "hole-misses-thread")


@rule("error", "bolting")
def screw_misses_hole(look: Look) -> Iterator[Seen]:
    """The screw of the chosen insert does not go through the panel's hole.

    *Why*: M2.5 and M3 inserts both occur; a panel drilled for M2.5 has to be opened up for M3, and its coating suffers.

    *Bad*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
        }
        module osc {
            width 4HP
            hole 2.7mm at (7.47mm, 3mm)
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Good*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
        }
        module osc {
            width 4HP
            hole 3.2mm at (7.47mm, 3mm)
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Source*: largest major diameter of a screw, 6g: ISO 965-1; clearance holes: ISO 273.
    """
    yield from (seen for seen in faults(look) if isinstance(seen, Finding) and seen.rule == "screw-misses-hole")


@rule("error", "bolting")
def nuts_collide(look: Look) -> Iterator[Seen]:
    """The sliding nuts of neighbouring holes get in each other's way.

    *Why*: a nut is wider than 1 HP: panels of 1 HP side by side want their nuts closer than the nuts are wide. Where
    there is free room beside them they can be moved apart a little; in a full row they cannot.

    *Bad*:

        insert nut {
            nut M3
            across 5.5mm
            thread 1.8mm
        }
        rail tideline {
            length 4HP
            takes nut
            recess 1mm
            room 8mm
        }
        module osc {
            width 1HP
            hole 3.2mm at (2.39mm, 3mm)
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with nut
                at 0HP osc as one
                next osc as two
                next osc as three
                next osc as four
            }
        }

    *Good*:

        insert nut {
            nut M3
            across 5.5mm
            thread 1.8mm
        }
        rail tideline {
            length 4HP
            takes nut
            recess 1mm
            room 8mm
        }
        module osc {
            width 1HP
            hole 3.2mm at (2.39mm, 3mm)
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with nut
                at 0HP osc as one
                at 2HP osc as two
            }
        }

    *Source*: thin square nut M3, 5.5 mm across: DIN 562.
    """
    yield from (seen for seen in faults(look) if isinstance(seen, Finding) and seen.rule == "nuts-collide")


@rule("warning", "bolting")
def thread_mismatch(look: Look) -> Iterator[Seen]:
    """Screws have another thread than the insert they are to go into.

    *Why*: the screws that came with the module stay in their bag, and others have to be bought.

    *Bad*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
        }
        module osc {
            width 8HP
            screws 4 of M2.5x6
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Good*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
        }
        module osc {
            width 8HP
            screws 4 of M3x6
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Source*: metric threads: ISO 261.
    """
    yield from (seen for seen in faults(look) if isinstance(seen, Finding) and seen.rule == "thread-mismatch")


@rule("error", "bolting")
def screw_too_short(look: Look) -> Iterator[Seen]:
    """A screw finds too little thread, or none.

    *Why*: a channel that sits further back makes the supplied screws too short: the head sits on the panel and the
    tip is in the air or in the first turn, which strips. Below one turn this is an error, below three a warning.

    *Bad*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 3.8mm
            room 8mm
        }
        module osc {
            width 8HP
            thickness 2mm
            screws 4 of M3x6
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Good*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
        }
        module osc {
            width 8HP
            thickness 2mm
            screws 4 of M3x6
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Source*: reach = length - panel, thread found = reach - recess, turns = that / pitch (ISO 261); one and three
    turns are common practice, no source, and the house sets them (`turns`).
    """
    yield from (seen for seen in faults(look) if isinstance(seen, Finding) and seen.rule == "screw-too-short")


@rule("error", "bolting")
def screw_bottoms(look: Look) -> Iterator[Seen]:
    """A screw is longer than the room behind its insert.

    *Why*: it hits what is behind before its head clamps the panel, and a turn more bends the rail or strips the thread.

    *Bad*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
        }
        module osc {
            width 8HP
            thickness 2mm
            screws 4 of M3x12
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Good*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
        }
        module osc {
            width 8HP
            thickness 2mm
            screws 4 of M3x8
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Source*: arithmetic on what was measured: reach = length - panel, against `room` of the rail.
    """
    yield from (seen for seen in faults(look) if isinstance(seen, Finding) and seen.rule == "screw-bottoms")


@rule("note", "bolting")
def panel_off_standard(look: Look) -> Iterator[Seen]:
    """A panel is not as the standard has it: its width, its height, or the height of its holes.

    *Why*: such a panel may still go in, but it does not trade places with others, and its neighbours may have to give
    way.

    *Bad*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
        }
        module osc {
            width 8HP
            face 40.9mm
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Good*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            thread 3mm
        }
        rail tideline {
            length 84HP
            takes strip
            recess 1mm
            room 8mm
        }
        module osc {
            width 8HP
            face 40.34mm
            height 128.5mm
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                at 4HP osc
            }
        }

    *Source*: panel width n x 5.08 - 0.30 mm, height 128.4 to 128.55 mm (sources differ; 128.3 to 128.6 is accepted),
    fixing holes 122.5 mm apart: IEC 60297-3-101 and IEEE 1101 as an open-hardware crate document and an open CAD file
    quote them.
    """
    for row in look.rack.rows:
        measured = [
            panel
            for panel in row.panels
            if panel.part is not None
            and panel.width is not None
            and not panel.part.spoiled
            and (panel.part.face.width is not None or panel.part.face.height is not None or panel.part.face.holes)
        ]
        if not measured:
            continue
        from rackspec.rules.panels import off_standard, too_broad

        broad = {finding.names[0] for finding in too_broad(look, row)} | crowded_in(look)
        for panel in measured:
            yield from off_standard(look, row, panel, look.rack.full(panel.name) in broad)

"""Rails too near or too far: in: a rack, out: findings on the distance of its thread lines, planned or as drilled."""

from collections.abc import Iterator

from rackspec.model.rack import Row
from rackspec.rules.registry import Look, Seen, rule


def can_be_off(row: Row) -> bool:
    """Whether anything is written of a row that says how far its rails, or the holes of its panels, are apart."""
    if not row.choices:
        return False
    written = row.standing.apart is not None or bool(row.standing.drilled)
    return written or any(panel.part is not None and panel.part.face.holes for panel in row.panels)


@rule("error", "bolting")
def rails_misspaced(look: Look) -> Iterator[Seen]:
    """The rails of a row are so near to each other, or so far apart, that panels do not go onto them as they are.

    *Why*: a panel has its lower and upper holes 122.5 mm apart, and a screw finds its thread only if the rails are as
    far apart, within the room that the screws have, the play of the inserts, and what the rails can be pushed in their
    end holes before the end screws are tight. Marked out at 4 13/16 in, 0.26 mm less, panels go on because of that.

    *Bad*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            slack 0.3mm
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
            hole 3.2mm at (7.47mm, 3mm)
            hole 3.2mm at (7.47mm, 125.5mm)
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                apart 124.4mm measured
                at 4HP osc
            }
        }

    *Good*:

        insert strip {
            strip M3
            holes 84 every 5.08mm
            first 2.54mm
            slack 0.3mm
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
            hole 3.2mm at (7.47mm, 3mm)
            hole 3.2mm at (7.47mm, 125.5mm)
            draws nothing
        }
        rack tray {
            row top {
                rails tideline with strip
                apart 4 13/16in measured
                at 4HP osc
            }
        }

    *Source*: holes of 3U 122.5 mm apart: IEC 60297-3-101 as quoted in public files; largest screw: ISO 965-1 (6g). How
    far inserts travel and rails give is common practice, no source; `assume` and `give rails` of the house set it.
    """
    if not any(can_be_off(row) for row in look.rack.rows):
        return
    from rackspec.rules.misspaced import misspaced_rows  # most racks never need it

    yield from misspaced_rows(look)

"""Racks go in; what each needs at which stage, what is there, and what is to be bought must be as counted here."""

from __future__ import annotations

import pytest

from rackspec.files import from_bytes
from rackspec.project import Project
from rackspec.rules.hardware import hardware
from rackspec.rules.needs import KINDS, Need, needs_of
from rackspec.rules.registry import Look

LIBRARY = """\
insert m3-nut {
    nut M3
    enters front
    thread 2mm
}
rail lipped {
    length 84HP
    takes m3-nut
    recess 1mm
    room 8mm
    price 20 EUR
}
module saw {
    width 14HP
    thickness 2mm
    screws 4 of M3x6
    draws 60mA on +12V
    header 10-pin
    ribbon missing
    price 90 EUR
}
module fold like saw {
    ribbon along
}
module hush like saw {
    width 10HP
}
module mute {
    width 4HP
    thickness 2mm
    screws 4 of M3x6
    draws nothing
    ribbon missing
}
supply brick {
    width 4HP
    thickness 2mm
    screws 4 of M3x6
    gives 1A on +12V
    headers 8 of 16-pin
    input adapter 12V 2A
}
supply loose {
    gives 1A on +12V
    headers 4 of 16-pin
    input adapter 12V 1A
}
part cable {
    ribbon 16-pin to 10-pin
    price 3 EUR
}
part small-adapter {
    adapter 12V 1A
}
part big-adapter {
    adapter 12V 3A
    price 14 EUR
}
part other-adapter {
    adapter 15V 3A
}
part jar {
    holds 30 of M3x6
    holds 1 of bag
}
part bag {
    holds 2 of cable
    holds 10 of M3 washer
}
sheet ply {
    size 600mm x 300mm
    price 14 EUR
}
seller corner {
    sells cable at 3 EUR
    sells small-adapter at 9 EUR
    sells big-adapter at 14 EUR
    sells other-adapter at 15 EUR
}
"""
ROW = """\
    row top {
        rails lipped with m3-nut
        at 0HP brick
        next saw as one
"""


def needs(*lines: str, row: str = ROW, library: str = LIBRARY) -> dict[str, Need]:
    """What a rack needs, by designation; ``lines`` stand in front of its row."""
    text = f"{library}rack tray {{\n" + "".join(f"    {line}\n" for line in lines) + row + "    }\n}\n"
    project = Project("/nowhere", "/nowhere")
    project.add_named("/nowhere/spec.rackspec", from_bytes("spec.rackspec", text.encode()))
    project.close()
    (rack,) = project.link()
    assert [finding.message for finding in project.findings()] == []
    look = Look(rack, project.house, {})
    found = needs_of(look, hardware(look).rows)
    assert list(found) == sorted(found, key=lambda need: (KINDS.index(need.kinds[0]), need.part))
    return {need.part: need for need in found}


def why(need: Need) -> list[str]:
    """Where a number comes from."""
    return [use.source for use in need.uses]


def test_everything_of_a_small_rack() -> None:
    """Two panels with four screws each; the end screws have an unknown thread, so nothing is said of their length."""
    found = needs()
    assert {part: (need.kinds, need.buy) for part, need in found.items()} == {
        "saw": (("module",), (1,)),
        "brick": (("supply",), (1,)),
        "lipped": (("rail",), (2,)),
        "m3-nut": (("nut",), (8,)),
        "M3x6": (("panel screw",), (0,)),
        "end screws, thread not known": (("end screw",), (4,)),
        "ribbon 16-pin to 10-pin": (("ribbon",), (1,)),
        "adapter 12V 2A": (("adapter",), (1,)),
    }
    assert (found["M3x6"].needed, found["M3x6"].along) == ((8,), (8,))
    assert found["saw"].price is not None
    assert found["saw"].price.money.text == "90 EUR"
    assert found["m3-nut"].price is None
    assert why(found["saw"]) == ["one in row top"]
    assert why(found["lipped"]) == ["2 a row"]


def test_what_goes_out_serves_the_next_stage() -> None:
    """One saw goes, another comes at the same stage: one is bought; a third at the last stage is a second one."""
    row = ROW.replace("as one", "as one until later") + (
        "        instead hush in later\n        at 40HP saw as two in later\n        at 60HP saw as three in last\n"
    )
    saw = needs("stage later", "stage last", row=row)["saw"]
    assert (saw.needed, saw.buy, saw.all) == ((1, 1, 2), (1, 0, 1), 2)
    assert why(saw) == ["one, two, three in row top"]
    hush = needs("stage later", "stage last", row=row)["hush"]
    assert (hush.needed, hush.buy) == ((0, 1, 1), (0, 1, 0))


def test_what_is_there_counts_for_the_earliest_stage() -> None:
    """One saw in the drawer: the start buys none, the later stage one."""
    row = ROW + "        at 40HP saw as two in later\n"
    saw = needs("stage later", "have 1 of saw", row=row)["saw"]
    assert (saw.there, saw.needed, saw.buy) == (1, (1, 2), (0, 1))


def test_what_came_in_a_kit_is_there() -> None:
    """A jar of 30 M3x6 and a bag in it: two bags' cables, and washers that nothing needs."""
    found = needs("have 2 of jar")
    assert found["M3x6"].there == 60
    ribbon = found["ribbon 16-pin to 10-pin"]
    assert (ribbon.there, ribbon.buy) == (4, (0,))


def test_there_is_nothing_counted_for_two_needs() -> None:
    """Two cables are bought besides and one is missing; of two that are there none is left for the one."""
    found = needs("have 2 of cable", "also 2 of cable")
    assert (found["cable"].there, found["cable"].buy) == (2, (0,))
    assert (found["ribbon 16-pin to 10-pin"].there, found["ribbon 16-pin to 10-pin"].buy) == (0, (1,))
    assert needs("have 3 of cable", "also 2 of cable")["ribbon 16-pin to 10-pin"].buy == (0,)


def test_ribbons_by_what_is_written() -> None:
    """Missing: one is bought. Along: none. Nobody wrote it: the number is 'at least'. No current: no ribbon."""
    ribbon = needs()["ribbon 16-pin to 10-pin"]
    assert (ribbon.buy, ribbon.at_least, ribbon.serves) == ((1,), False, ("ribbon 16-pin to 10-pin", "cable"))
    assert why(ribbon) == ["missing at one"]
    assert ribbon.price is not None
    assert ribbon.price.money.text == "3 EUR"
    along = needs(row=ROW.replace("saw as one", "fold"))
    assert not any(need.kinds == ("ribbon",) for need in along.values())
    silent = needs(row=ROW.replace("saw as one", "mute"))
    assert not any(need.kinds == ("ribbon",) for need in silent.values())
    unsaid = needs(
        row=ROW + "        next saw as two\n", library=LIBRARY.replace("    ribbon missing\n    price", "    price")
    )
    (need,) = [need for need in unsaid.values() if need.kinds == ("ribbon",)]
    assert (need.buy, need.at_least) == ((0,), True)
    assert why(need) == ["whether it came along is not written for 2 of 2 modules"]


def test_this_specimen_has_its_ribbon() -> None:
    """``about`` decides, as it does everywhere."""
    row = ROW + "        next saw as two\n    }\n    about two {\n        ribbon along\n"
    assert why(needs(row=row)["ribbon 16-pin to 10-pin"]) == ["missing at one"]


def test_adapters_by_voltage() -> None:
    """Two supplies on 12 V: two adapters that give what the hungrier one wants; 15 V or 1 A would not do."""
    bus = "    bus board {\n        from loose\n        headers 4 of 16-pin\n"
    found = needs(row=ROW + "    }\n" + bus)
    adapter = found["adapter 12V 2A"]
    assert (adapter.buy, adapter.serves) == ((2,), ("adapter 12V 2A", "big-adapter"))
    assert why(adapter) == ["feeds loose, feeds brick"]
    assert (found["loose"].kinds, why(found["loose"])) == (("supply",), ["feeds the rack"])
    with_one = needs("have 1 of big-adapter", "have 1 of small-adapter", row=ROW + "    }\n" + bus)
    assert with_one["adapter 12V 2A"].buy == (1,)
    mains = needs(library=LIBRARY.replace("input adapter 12V 2A", "input mains"))
    assert not any(need.kinds == ("adapter",) for need in mains.values())


CASE = """\
    }
    case {
        side {
            from ply
            corner (0mm, 0mm)
            corner (300mm, 0mm)
            corner (0mm, 400mm)
        }
        inside 84HP
"""


def test_sheets_by_area() -> None:
    """Two triangles of 300 mm x 400 mm have 120 000 mm²; a sheet of 600 mm x 300 mm has 180 000 mm²."""
    sheet = needs(row=ROW + CASE)["ply"]
    assert (sheet.kinds, sheet.buy, sheet.at_least) == (("sheet",), (1,), True)
    assert why(sheet) == ["2 side pieces, by their area; how they lie on the sheet decides"]
    small = needs(row=ROW + CASE, library=LIBRARY.replace("600mm x 300mm", "300mm x 200mm"))["ply"]
    assert (small.buy, small.at_least) == ((2,), False)
    four = needs(row=ROW + CASE.replace("from ply\n", "from ply\n            count 4\n"))["ply"]
    assert (four.buy, four.at_least) == ((2,), True)
    bare = needs(row=ROW + CASE, library=LIBRARY.replace("    size 600mm x 300mm\n", ""))["ply"]
    assert (bare.buy, bare.at_least) == ((1,), True)


def test_pieces_side_by_side_are_sure() -> None:
    """Two boxes of 300 mm x 400 mm and 5 mm for the saw are 605 mm: a sheet of 600 mm leaves it open, 605 mm do not."""
    for size, sure in (
        ("600mm x 400mm", False),
        ("605mm x 400mm", True),
        ("400mm x 605mm", True),
        ("605mm x 399mm", False),
    ):
        sheet = needs(row=ROW + CASE, library=LIBRARY.replace("600mm x 300mm", size))["ply"]
        assert sheet.at_least is not sure
        assert (why(sheet) == ["2 side pieces side by side"]) is sure


def test_sheets_that_are_there() -> None:
    """By the sheet's own ``count``, or by ``have``; not both together."""
    counted = LIBRARY.replace("    size 600mm", "    count 1\n    size 600mm")
    assert (needs(row=ROW + CASE, library=counted)["ply"].there, needs(row=ROW + CASE, library=counted)["ply"].buy) == (
        1,
        (0,),
    )
    both = needs("have 1 of ply", row=ROW + CASE, library=counted)["ply"]
    assert (both.there, both.buy) == (1, (0,))


def test_blanks_by_width() -> None:
    """A blank can be made, so nobody has to sell it; it comes without screws."""
    row = ROW + "        next blank 6HP\n        next blank 6HP in later\n        next blank 2.5HP\n"
    found = needs("stage later", row=row)
    blank = found["blank 6HP"]
    assert (blank.kinds, blank.buy, blank.made, blank.price) == (("blank",), (1, 1), True, None)
    assert found["blank 2.5HP"].buy == (1, 0)
    assert not found["saw"].made
    assert needs("stage later", "have 2 of blank 6HP", row=row)["blank 6HP"].buy == (0, 0)


def test_a_specimen_with_its_own_price() -> None:
    """What this very one costs is written: it is bought by its own name, and the others by theirs."""
    row = ROW + "        next saw as two\n    }\n    about two {\n        price 60 EUR measured\n"
    found = needs(row=row)
    assert (found["saw"].buy, found["two"].buy) == ((1,), (1,))
    assert found["two"].price is not None
    assert found["two"].price.money.text == "60 EUR"
    with_depth = needs(row=row.replace("price 60 EUR", "depth 30mm"))
    assert with_depth["saw"].buy == (2,)


def test_wishes_and_what_is_bought_besides() -> None:
    """From their stage on; a wish is no part yet, so nothing serves it."""
    row = (
        ROW
        + '    }\n    wish echo "something that repeats" in later {\n        count 2\n        price 50 EUR guessed\n'
    )
    found = needs("stage later", "also 5 of M4 washer", "also 1 of cable in later", row=row)
    wish = found["wish echo"]
    assert (wish.kinds, wish.buy, wish.serves, why(wish)) == (("wish",), (0, 2), (), ["something that repeats"])
    assert wish.price is not None
    assert (found["M4 washer"].kinds, found["M4 washer"].buy) == (("besides",), (5, 0))
    assert (found["cable"].buy, why(found["cable"])) == ((0, 1), ["bought besides"])


def test_a_thing_for_two_purposes_is_one_need() -> None:
    """Screws of panels and screws besides: one line, both reasons."""
    need = needs("also 4 of M3x6")["M3x6"]
    assert (need.kinds, need.needed, need.buy) == (("panel screw", "besides"), (12,), (4,))
    assert why(need) == ["2 panels", "bought besides"]


@pytest.mark.parametrize(("lines", "buy"), [((), 2), (("have 1 of lipped",), 1), (("have 9 of lipped",), 0)])
def test_never_less_than_nothing(lines: tuple[str, ...], buy: int) -> None:
    """What is there too much is no negative number."""
    assert needs(*lines)["lipped"].buy == (buy,)

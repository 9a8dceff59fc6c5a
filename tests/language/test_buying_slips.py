"""Slips of people who write down sellers, parts and money: one finding each, which says what to write instead."""

from __future__ import annotations

from typing import NamedTuple

import pytest

from rackspec.files import from_bytes
from rackspec.findings import Finding, in_order
from rackspec.project import Project

BASE = """\
insert m3-nut {
    nut M3
}
rail lipped {
    length 84HP
    takes m3-nut
}
"""
AROUND = {
    "seller": BASE + "seller oddments {\n    @\n}\n",
    "rack": BASE + "seller oddments {\n    ships 5 EUR\n}\nrack tray {\n    stage later\n    @\n}\n",
    "house": "house {\n    currency EUR\n    @\n}\n",
    "part": BASE + "part jar {\n    @\n}\n",
    "module": "module saw {\n    @\n}\n",
}


class Slip(NamedTuple):
    """A line in a block, what is said of it, and the remedy."""

    block: str
    line: str
    message: str
    remedy: str


SLIPS = (
    # offers
    Slip("seller", "sells M3x8 4.20 EUR", "'at' is due between 'M3x8' and '4.20 EUR'", "write M3x8 at 4.20 EUR"),
    Slip(
        "seller",
        "sells M3x8 at 4.20",
        "'4.20' has no currency; a sum of money is due here",
        "write 4.20 EUR, or the currency it is in",
    ),
    Slip("seller", "sells M3x8 at 4.20 EUR pack of 100", "'of' is not needed here", "delete 'of'"),
    Slip(
        "seller",
        "sells M3x8 at 4.20 EUR 100 pack",
        "'pack' is due between '4.20 EUR' and '100'",
        "write 4.20 EUR pack 100",
    ),
    Slip(
        "seller",
        "sells 100 M3x8 at 4.20 EUR",
        "'100' does not stand here",
        "write how many for that price behind it: pack 100",
    ),
    Slip(
        "seller",
        "sells M3 washer 100 at 3 EUR",
        "'100' does not stand here",
        "write how many for that price behind it: pack 100",
    ),
    Slip("seller", "sells washer M3 at 3 EUR", "a washer is called by its thread first", "write M3 washer"),
    Slip(
        "seller",
        "sells M3 washers at 3 EUR",
        "'washers' is not understood here; 'washer' or 'nut' is due",
        "write 'washer'",
    ),
    Slip(
        "seller",
        "sells M3 at 3 EUR",
        "'M3' is a thread: whether a screw, a washer or a nut is meant is not said",
        "write M3 washer or M3 nut, or a screw with its length, such as M3x8",
    ),
    Slip("seller", "sells lipped at 12 EUR a pair", "'a' is not needed here", "delete 'a'"),
    Slip("seller", "sells lipped at 12 EUR from 5 pieces", "'pieces' is not needed here", "delete 'pieces'"),
    Slip("seller", "sells lipped for 12 EUR", "'for' is not understood here; 'at' is due", "write 'at'"),
    Slip(
        "seller",
        "sells lipped at EUR 4.20",
        "'EUR' stands in front of its sum; a currency stands behind it",
        "write 4.20 EUR",
    ),
    Slip(
        "seller",
        "sells lipped at 12 EUR in stock",
        "'in' does not say how many there are",
        "write 'stock' and how many there are, 'stock 0' if it is sold out, or leave it out",
    ),
    Slip(
        "seller",
        "sells lipped at 12 EUR stock 4 from 5",
        "'from' stands in front of 'stock'",
        "write from … in front of stock 4",
    ),
    Slip(
        "seller",
        "pack of 100",
        "'pack' is not a word that is known in a seller",
        "'pack' is no line of its own: it stands in a line that begins with 'sells'",
    ),
    # parcels
    Slip(
        "seller",
        "ships 0",
        "'0' has no currency",
        "write 'ships 0 EUR' if sending costs nothing, 'ships nothing' if it is fetched there",
    ),
    Slip(
        "seller",
        "ships free",
        "'free' is not what a parcel costs",
        "write 'ships 0 EUR' if sending costs nothing, 'free from 60 EUR' if it does from a sum on",
    ),
    Slip("seller", "ships 6 EUR above 50 EUR", "'above' is not understood here; 'from' is due", "write 'from'"),
    Slip(
        "seller",
        "ships 6 EUR until 50 EUR",
        "'until' cannot stand behind what a parcel costs",
        "write from which sum on the next price holds: ships 0 EUR from 50 EUR",
    ),
    Slip("seller", "shipping 6 EUR", "'shipping' is not a word that is known in a seller", "write 'ships'"),
    Slip("seller", "minimum 20 EUR", "'minimum' is not a word that is known in a seller", "write 'least'"),
    Slip("seller", "free over 60 EUR", "'over' is not understood here; 'from' is due", "write 'from'"),
    Slip("seller", "free 60 EUR", "'from' is due between 'free' and '60 EUR'", "write free from 60 EUR"),
    Slip("seller", "longer 1m 6 EUR", "'adds' is due between '1m' and '6 EUR'", "write 1m adds 6 EUR"),
    Slip(
        "seller",
        "longer 1m 6",
        "'adds' and a sum of money are due behind '1m'",
        "write 1m adds 6 EUR, or the currency it is in",
    ),
    Slip("seller", "longer than 1m adds 6 EUR", "'than' is not needed here", "delete 'than'"),
    Slip("seller", "days 3-5", "'3-5' is no value that can be read", "write 3 to 5"),
    Slip("seller", "days 3 days", "'days' is not needed here", "delete 'days'"),
    Slip("seller", "days about 4", "'about' is not needed here", "delete 'about'"),
    # what is there, and what is bought besides
    Slip(
        "rack",
        "have 8 of M4",
        "'M4' is a thread: whether a screw, a washer or a nut is meant is not said",
        "write M4 washer or M4 nut, or a screw with its length, such as M4x8",
    ),
    Slip("rack", "have 8 washers M4", "a washer is called by its thread first", "write of M4 washer"),
    Slip("rack", "have 8 of washer M4", "a washer is called by its thread first", "write M4 washer"),
    Slip("rack", "have 8 M4 washer", "'of' is due between '8' and 'M4'", "write 8 of M4"),
    Slip("rack", "have 8 blank 6HP", "'of' is due between '8' and 'blank'", "write 8 of blank"),
    Slip("rack", "have M3x8", "how many is due behind 'have', not 'M3x8'", "write how many, such as 12 of M3x8"),
    Slip(
        "rack",
        "have two of lipped",
        "how many is due behind 'have', not 'two'",
        "write the number in digits, such as 12",
    ),
    Slip("rack", "have 8x M3x8", "no 'x' is needed behind a number", "write 8 of"),
    Slip(
        "rack", "also 2 of lipped later", "'in' is due between 'lipped' and 'later'", "write in later, if it is a stage"
    ),
    Slip("rack", "also 2 of lipped at later", "'at' is not understood here; 'in' is due", "write 'in'"),
    # money
    Slip(
        "rack",
        "spent 120",
        "'120' has no currency; a sum of money is due here",
        "write 120 EUR, or the currency it is in",
    ),
    Slip(
        "rack",
        "spent 120 EUR on rails",
        "'on' cannot stand behind a sum that is spent",
        "write who or what for as a text: stated \"aunt Ada\"; a stage stands behind 'in'",
    ),
    Slip(
        "rack",
        "gift 50 EUR from aunt",
        "'from' cannot stand behind a sum that is given",
        "write who or what for as a text: stated \"aunt Ada\"; a stage stands behind 'in'",
    ),
    Slip("rack", "anyway 30 EUR at oddments", "'at' is not understood here; 'from' is due", "write 'from'"),
    Slip("rack", "anyway 30 EUR", "'from' is due behind '30 EUR'", "write 'from' and the name of a seller"),
    Slip("house", "old price 6 months", "'6 months' is not counted in days", "write 180 days"),
    Slip("house", "old rate 30d", "'30d' is no number of days", "write 30 days"),
    # parts
    Slip("part", "ribbon 10", "'10' does not say that it counts pins", "write 10-pin"),
    Slip("part", "ribbon 10-pin 16-pin", "'to' is due between '10-pin' and '16-pin'", "write 10-pin to 16-pin"),
    Slip("part", "adapter 2A 12V", "an adapter says its voltage first", "write 12V 2A"),
    Slip("part", "holds M3x8", "how many is due behind 'holds', not 'M3x8'", "write how many, such as 12 of M3x8"),
    Slip(
        "module",
        "ribbon included",
        "'ribbon included' is not understood",
        "write 'along' if it came with the module, 'missing' if it did not",
    ),
)


def found_in(block: str, line: str) -> list[Finding]:
    """What is found where a line stands in a block."""
    project = Project("/nowhere", "/nowhere")
    text = AROUND[block].replace("@", line)
    project.add_named("/nowhere/spec.rackspec", from_bytes("spec.rackspec", text.encode()))
    project.close()
    project.link()
    return in_order(project.findings())


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip.line)
def test_one_finding_and_its_remedy(slip: Slip) -> None:
    """Nothing else is said of the line, and of no other."""
    assert [(finding.message, finding.remedy) for finding in found_in(slip.block, slip.line)] == [
        (slip.message, slip.remedy)
    ]


RIGHT = (
    ("seller", "sells M3x8 at 4.20 EUR pack 100 from 5 stock 12"),
    ("seller", "sells lipped at 20 EUR pair"),
    ("seller", "ships nothing"),
    ("seller", "ships 0 EUR"),
    ("seller", "days 3"),
    ("rack", 'gift 50 EUR in later stated "aunt Ada"'),
    ("rack", "have 0 of M4 washer"),
    ("rack", "anyway 30 EUR from oddments in later"),
    ("part", "ribbon 16-pin to 10-pin"),
    ("house", "old price 180 days"),
)


@pytest.mark.parametrize(("block", "line"), RIGHT)
def test_what_is_right_is_let_alone(block: str, line: str) -> None:
    """The lines that the remedies lead to."""
    assert found_in(block, line) == []


@pytest.mark.parametrize(
    "slip", [slip for slip in SLIPS if slip.remedy.startswith("delete '")], ids=lambda slip: slip.line
)
def test_what_is_not_needed_loses_nothing(slip: Slip) -> None:
    """The line says what it says without the word; taking it away leaves nothing to find."""
    word = slip.remedy.split("'")[1]
    position = slip.line.rindex(f" {word}")
    assert found_in(slip.block, slip.line[:position] + slip.line[position + 1 + len(word) :]) == []

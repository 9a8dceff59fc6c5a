"""Room behind the panels, at its edges: exactly enough, a nanometre short, evidence of every kind."""

from __future__ import annotations

import pytest

from tests.rules.checking import margins, not_known, severities, told

DEPTH = ("no-room-behind", "no-room-for-plug", "spare-depth-thin")


def rack(module: str, behind: str = "behind 45mm", house: str = "", more: str = "") -> str:
    """One module in one row, and what is put beside it."""
    lines = "\n".join(f"    {line.strip()}" for line in module.split("; "))
    return f"""{house}
module echo {{
    width 8HP
{lines}
}}
rack tray {{
    row top {{
        length 84HP
        {behind}
        at 0HP echo
    }}
{more}
}}
"""


@pytest.mark.parametrize(
    ("module", "behind", "said"),
    [
        ("depth 45mm; draws nothing", "behind 45mm", []),
        ("depth 45.000001mm; draws nothing", "behind 45mm", [("no-room-behind", "error")]),
        ("depth 44mm +-1mm; draws nothing", "behind 45mm", []),
        ("depth 44mm +-1.000001mm; draws nothing", "behind 45mm", [("no-room-behind", "warning")]),
        ("depth 44mm; draws nothing", "behind 45mm +-1mm", []),
        ("depth 44mm; draws nothing", "behind 45mm +-1.1mm", [("no-room-behind", "warning")]),
        ("depth 46mm guessed; draws nothing", "behind 45mm", [("no-room-behind", "warning")]),
        ("depth 46mm; draws nothing", "behind 45mm guessed", [("no-room-behind", "warning")]),
        ("depth 40mm..46mm guessed; draws nothing", "behind 45mm", [("no-room-behind", "note")]),
        ("depth 33mm; plug 12mm; draws 60mA on +12V", "behind 45mm", []),
        ("depth 33mm; plug 12.000001mm; draws 60mA on +12V", "behind 45mm", [("no-room-for-plug", "error")]),
        ("depth 33mm; plug 12mm..14mm; draws 60mA on +12V", "behind 45mm", [("no-room-for-plug", "error")]),
        ("depth 32mm; plug 12mm..14mm; draws 60mA on +12V", "behind 45mm", [("no-room-for-plug", "warning")]),
        ("depth 46mm; plug 12mm; draws 60mA on +12V", "behind 45mm", [("no-room-behind", "error")]),
        ("depth 45mm; plug 12mm; draws nothing", "behind 45mm", []),
        ("depth 25mm; draws 60mA on +12V", "behind 45mm", []),
        ("depth 25.000001mm; draws 60mA on +12V", "behind 45mm", [("no-room-for-plug", "note")]),
        ("depth 30mm; draws 60mA on +12V", "behind 45mm", [("no-room-for-plug", "note")]),
        ("depth 30.000001mm; draws 60mA on +12V", "behind 45mm", [("no-room-for-plug", "warning")]),
        ("draws nothing", "behind 45mm", []),
        ("draws nothing", "behind 44.999999mm", [("no-room-behind", "note")]),
        ("draws nothing", "behind 34.999999mm", [("no-room-behind", "warning")]),
        ("depth 46mm; draws nothing", 'note "no room stated"', []),
    ],
)
def test_exactly_enough_is_enough(module: str, behind: str, said: list[tuple[str, str]]) -> None:
    """The bands are 25 to 45 mm for a depth and 8 to 20 mm for a plug (common practice, no source)."""
    assert severities(rack(module, behind), *DEPTH) == said


@pytest.mark.parametrize(
    ("module", "said"),
    [
        ("depth 41mm; draws nothing", []),
        ("depth 41.000001mm; draws nothing", [("spare-depth-thin", "warning")]),
        ("depth 40mm +-1.5mm; draws nothing", [("spare-depth-thin", "note")]),
        ("depth 42mm guessed; draws nothing", [("spare-depth-thin", "note")]),
        ("depth 46mm; draws nothing", [("no-room-behind", "error")]),
        ("depth 29mm; plug 12mm; draws 60mA on +12V", []),
        ("depth 29mm; plug 12.5mm; draws 60mA on +12V", [("spare-depth-thin", "warning")]),
    ],
)
def test_what_the_house_wants_to_keep(module: str, said: list[tuple[str, str]]) -> None:
    """4 mm are to stay free: exactly 4 mm are enough, and what does not fit at all is told as that alone."""
    house = "house {\n    spare depth 4mm\n}\n"
    assert severities(rack(module, house=house), *DEPTH) == said


def test_about_beats_the_sheet() -> None:
    """A measured specimen counts as it was measured, deeper or flatter than its sheet says."""
    about = "    about echo {\n        depth 47mm measured\n    }\n"
    (found,) = told(rack("depth 40mm; draws nothing", more=about), "no-room-behind")
    assert found.sum == "47mm - 45mm = 2mm"
    assert found.rests_on == "depths: 1 measured, 1 stated"
    flatter = rack("depth 47mm; draws nothing", more=about.replace("47", "40"))
    assert severities(flatter, *DEPTH) == []


ROWS = "    row low {{\n        length {length}\n        behind {behind}\n    }}\n"


@pytest.mark.parametrize(
    ("length", "behind", "moves"),
    [("84HP", "50mm", True), ("84HP", "49mm", False), ("8HP", "50mm", True), ("7HP", "50mm", False)],
)
def test_the_row_that_is_named_can_take_it(length: str, behind: str, moves: bool) -> None:
    """A deeper row is only named where it is deep enough and has 8 HP in one run."""
    text = rack("depth 50mm; draws nothing", more=ROWS.format(length=length, behind=behind))
    (found,) = told(text, "no-room-behind")
    assert ("move it to row 'low'" in found.remedy) is moves
    if moves:
        mended = text.replace("        at 0HP echo\n", "").replace(
            "        length " + length + "\n        behind 50mm",
            "        length " + length + "\n        behind 50mm\n        at 0HP echo",
        )
        assert severities(mended, *DEPTH) == []
    else:
        assert found.remedy.startswith("make 50mm of room behind this row")


def test_what_is_not_known_is_asked_for() -> None:
    """A depth, a room: never zero, always on the list."""
    assert ("tray/echo", "depth") in not_known(rack("draws nothing"))
    assert ("tray/echo", "depth") not in not_known(rack("depth 30mm; draws nothing"))
    assert ("tray/top", "room behind the row") in not_known(rack("depth 30mm; draws nothing", 'note "x"'))


def test_margins() -> None:
    """The closest call is the nominal one, or the bad end where something is assumed; exact to the last digit."""
    assert margins(rack("depth 27.3mm; plug 12mm; draws 60mA on +12V"))["tray/echo: depth with plug"] == "57/10"
    assert margins(rack("depth 40mm +-1mm; draws nothing"))["tray/echo: depth"] == "5"
    assert margins(rack("depth 20mm; draws 60mA on +12V"))["tray/echo: depth with plug, plug assumed"] == "5"
    assert margins(rack("draws nothing"))["tray/echo: depth, depth assumed"] == "0"


def test_a_guess_decides_where_it_would_turn_the_answer() -> None:
    """Half of 30 mm is 15 mm: exactly what is left of 45 mm, so nothing hangs on it; 31 mm leave only 14 mm."""
    assert severities(rack("depth 30mm guessed; draws nothing")) == []
    assert severities(rack("depth 31mm guessed; draws nothing")) == [("guess-decides", "note")]
    assert severities(rack("depth 31mm measured; draws nothing")) == []


def test_bands_of_the_house() -> None:
    """The house may know its own modules better than common practice does."""
    house = "house {\n    assume plug 8mm..10mm\n    assume depth 20mm..30mm\n}\n"
    assert severities(rack("depth 35mm; draws 60mA on +12V", house=house), *DEPTH) == []
    assert severities(rack("depth 36mm; draws 60mA on +12V", house=house), *DEPTH) == [("no-room-for-plug", "note")]
    assert severities(rack("draws nothing", "behind 30mm", house), *DEPTH) == []

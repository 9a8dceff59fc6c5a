"""Regulators with published answers go in; the input current of the program must be theirs, exactly.

Source: P = (Vin - Vout) x I and efficiency = Vout / Vin of a linear regulator, in any textbook; the numbers are those
of worked examples on public pages: 12 V to 5 V at 1 A loses 7 W at 41.7 %; 12 V to 3.3 V at 0.5 A loses 4.35 W; 12 V
to 5 V at 0.5 A loses 3.5 W.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from rackspec.physics.adapter import needed_input
from tests.outside.through_the_program import Run, run


@pytest.mark.parametrize(
    ("volts_in", "volts_out", "amperes", "lost"),
    [("12", "5", "1", "7"), ("12", "3.3", "0.5", "4.35"), ("12", "5", "0.5", "3.5")],
)
def test_a_linear_regulator_takes_in_what_it_gives(volts_in: str, volts_out: str, amperes: str, lost: str) -> None:
    """The current in is the current out, and what goes in and does not come out is the published loss."""
    before, after, current = Fraction(volts_in), Fraction(volts_out), Fraction(amperes)
    output = after * current
    drawn = needed_input(output, 100 * after / before, before)
    assert drawn == current * 1000
    assert before * drawn / 1000 - output == Fraction(lost)


def test_the_published_share() -> None:
    """41.7 % is 5 / 12, rounded: with it the input is 0.9992 A, and with 41.6 % 1.0016 A."""
    assert round(Fraction(500, 12), 1) == Fraction("41.7")
    better = needed_input(Fraction(5), Fraction("41.7"), Fraction(12))
    worse = needed_input(Fraction(5), Fraction("41.6"), Fraction(12))
    assert better == Fraction(500_000, 12) / Fraction("41.7")
    assert better < 1000 < worse


def test_nothing_is_lost_at_a_hundred_percent() -> None:
    """18 W in at 15 V are 1.2 A; half of the efficiency takes twice the current."""
    assert needed_input(Fraction(18), Fraction(100), Fraction(15)) == 1200
    assert needed_input(Fraction(18), Fraction(50), Fraction(15)) == 2400


def regulator(folder: Path, adapter: str, efficiency: str) -> Run:
    """What the program says of a supply that gives 1 A on +5V from an adapter of 12 V."""
    return run(
        folder,
        f"""module lamp {{
    width 8HP
    draws 1A on +5V
    header 16-pin keyed
}}
supply linear {{
    gives 2A on +5V
    input adapter 12V {adapter}
    {efficiency}
}}
rack tray {{
    row top {{
        length 84HP
        power from linear
        at 0HP lamp
    }}
}}
""",
    )


@pytest.mark.parametrize(
    ("adapter", "efficiency", "does"),
    [
        ("1A", "41.7%", True),
        ("1A", "41.6%", False),
        ("999.3mA", "41.7%", True),
        ("999.2mA", "41.7%", False),
        ("1.5A", "41.7%", True),
        ("0.5A", "83.4%", True),
        ("0.5A", "83.3%", False),
    ],
)
def test_the_regulator_through_the_program(tmp_path: Path, adapter: str, efficiency: str, does: bool) -> None:
    """5 W at 41.7 % and 12 V are 0.99920 A: an adapter of 1 A does, one of 0.9992 A does not."""
    seen = regulator(tmp_path, adapter, f"efficiency {efficiency}")
    assert seen.rules == ([] if does else ["adapter-too-small"])
    assert seen.code == (0 if does else 1)


@pytest.mark.parametrize("adapter", ["1.5A", "0.5A"])
def test_an_unknown_efficiency_decides_nothing_by_itself(tmp_path: Path, adapter: str) -> None:
    """70 to 88 % is assumed where nobody stated one (common practice, no source): 0.595 A at worst, 0.473 A at best."""
    seen = regulator(tmp_path, adapter, "")
    assert seen.rules == ([] if adapter == "1.5A" else ["adapter-too-small"])
    if seen.rules:
        assert seen.document["findings"][0]["severity"] != "error"

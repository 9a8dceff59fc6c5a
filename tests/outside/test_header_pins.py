"""Power headers go in; what their pins carry and which way round they go must come out as everybody builds them.

Common practice, no source: 10 pins carry +12 V, -12 V and ground; 16 pins carry +5 V as well; a plug that is not keyed
goes in the wrong way round too. There is no standard of these headers, so nothing here is held against one.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.outside.through_the_program import Run, run


def plugged(folder: Path, header: str, five: str = "0mA", headers: str = "headers 4 of 16-pin") -> Run:
    """What the program says of one module with a header, drawing some current on +5V, on a supply with headers."""
    return run(
        folder,
        f"""module probe {{
    width 8HP
    draws 50mA on +12V
    draws 20mA on -12V
    draws {five} on +5V
    {header}
}}
supply brick {{
    gives 1A on +12V
    gives 1A on -12V
    gives 1A on +5V
    {headers}
}}
rack tray {{
    row top {{
        length 84HP
        power from brick
        at 0HP probe
    }}
}}
""",
    )


def severities(seen: Run) -> list[tuple[str, str]]:
    """Rule and severity of all findings."""
    return [(finding["rule"], finding["severity"]) for finding in seen.document["findings"]]


@pytest.mark.parametrize("five", ["0mA", "1mA", "60mA"])
@pytest.mark.parametrize("pins", [10, 16])
def test_five_volts_come_on_sixteen_pins_only(tmp_path: Path, pins: int, five: str) -> None:
    """A module that draws on +5V has nothing of it on 10 pins; common practice, no source."""
    seen = plugged(tmp_path, f"header {pins}-pin keyed", five, headers=f"headers 4 of {pins}-pin")
    lacks = pins == 10 and five != "0mA"
    assert severities(seen) == ([("header-mismatch", "warning")] if lacks else [])


@pytest.mark.parametrize(("module", "supply"), [(10, 16), (16, 10), (10, 10), (16, 16)])
def test_a_ribbon_from_one_to_the_other(tmp_path: Path, module: int, supply: int) -> None:
    """10 and 16 pins want a ribbon made for it, which is a warning and no error; common practice, no source."""
    seen = plugged(tmp_path, f"header {module}-pin keyed", headers=f"headers 4 of {supply}-pin")
    assert severities(seen) == ([] if module == supply else [("header-mismatch", "warning")])
    if module != supply:
        (finding,) = seen.document["findings"]
        assert f"from {supply} to {module} pins" in finding["remedy"]


@pytest.mark.parametrize(
    ("header", "said"),
    [
        ("header 16-pin keyed", []),
        ("header 16-pin unkeyed", [("header-unkeyed", "warning")]),
        ("header 16-pin", [("header-unkeyed", "note")]),
        ("header 16-pin keyed guessed", [("header-unkeyed", "note")]),
    ],
)
def test_only_a_known_key_counts(tmp_path: Path, header: str, said: list[tuple[str, str]]) -> None:
    """A ribbon turned round destroys a module, so a guess counts as no key; common practice, no source."""
    assert severities(plugged(tmp_path, header)) == said


@pytest.mark.parametrize(
    ("header", "five"),
    [("header 10-pin keyed", "60mA"), ("header 10-pin keyed", "0mA"), ("header 16-pin unkeyed", "0mA")],
)
def test_the_caution_stands_beside_the_remedy(tmp_path: Path, header: str, five: str) -> None:
    """Whoever follows a remedy about a header is told to measure before a module is plugged in."""
    (finding,) = plugged(tmp_path, header, five).document["findings"]
    assert "check polarity with a meter before the first switch-on, without modules" in finding["remedy"]

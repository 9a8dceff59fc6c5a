"""Panels between two rails go in; the steps must be those of a linear programme, and published sizes must go on.

Sources: holes of 3U 122.5 mm apart and panels 128.4, 128.5 and 128.55 mm high, IEC 60297-3-101 as two public files
quote it (A9, A10); the largest M3 screw 2.980 mm, ISO 965-1 6g (B17), in a fine clearance hole of 3.2 mm, ISO 273 (B2).
"4 13/16 in" is how rails are marked out with a folding rule (common practice, no source).
"""

from __future__ import annotations

import math
from fractions import Fraction
from random import Random
from typing import NamedTuple

import pytest
from scipy.optimize import linprog

from rackspec.physics.standing import Upright, least_off, sideways_left
from rackspec.physics.threads import THREADS
from rackspec.rules.chosen import chosen_one
from rackspec.rules.registry import Look
from rackspec.rules.standing_panels import (
    ALONE,
    NEVER,
    PLAY,
    PUSHED,
    StandingPanel,
    height_off,
    standing_panels,
    verdict,
)
from rackspec.rules.thread_lines import exactly
from tests.rules.checking import look_at, severities

C = (Fraction("3.2") - Fraction("2.980")) / 2


def spec(row: str, module: str = "", strip: str = "slack 0.3mm", rail: str = "", places: str = "at 4HP probe") -> str:
    """A rack with one panel of 8 HP on a strip for M3."""
    return (
        f"insert strip {{\nstrip M3\nholes 84 every 5.08mm\nfirst 2.54mm\nthread 3mm\n{strip}\n}}\n"
        f"rail plain {{\nlength 84HP\ntakes strip\nrecess 1mm\nroom 8mm\n{rail}\n}}\n"
        f"module probe {{\nwidth 8HP\n{module or holes('122.5mm')}\ndraws nothing\n}}\n"
        f"rack tray {{\nrow top {{\nrails plain with strip\n{row}\n{places}\n}}\n}}\n"
    )


def holes(apart: str, edge: str = "3mm", width: str = "3.2mm") -> str:
    """A pair of round holes, so far apart."""
    return f"hole {width} at (7.47mm, {edge})\nhole {width} at (7.47mm, {edge} plus {apart})"


def test_clearance() -> None:
    """B2 and B17: 2c = 3.2 - 2.980 = 0.22 mm for both screws of a pair together."""
    thread = THREADS["M3"]
    assert thread.clearance[0] - thread.largest == 2 * C == Fraction("0.22")


def test_inch_mark() -> None:
    """4 13/16 in = 122.2375 mm, 0.2625 mm less than 122.5: 0.0425 mm more than the screws have, no error ever."""
    mark = Fraction(4 * 16 + 13, 16) * Fraction("25.4")
    assert mark == Fraction("122.2375")
    assert Fraction("122.5") - mark - 2 * C == Fraction("0.0425")


@pytest.mark.parametrize(
    "strip", ["", "slack 0.3mm", "slack 0.05mm", "slack 0.0425mm", "slack 0mm", "slack 0mm..0.6mm"]
)
@pytest.mark.parametrize("module", ["", "thickness 2mm"])
def test_the_inch_mark_is_never_an_error(strip: str, module: str) -> None:
    """On a hole of 3.2 mm, written or assumed, and whatever is known of the strip."""
    found = severities(spec("apart 4 13/16in measured", module, strip))
    assert ("rails-misspaced", "error") not in found
    play = strip not in ("slack 0mm", "slack 0mm..0.6mm")
    assert [rule for rule, _ in found] == ([] if play else ["rails-misspaced"])
    drilled = "drilled left bottom (11mm, 17mm) measured\ndrilled left top (11mm, 17mm plus 4 13/16in) measured"
    rail = "end-hole M4 behind 5mm inward 0mm"
    assert "error" not in [severity for _, severity in severities(spec(drilled, module, strip, rail))]


@pytest.mark.parametrize(("height", "edge"), [("128.4mm", "2.95mm"), ("128.5mm", "3mm"), ("128.55mm", "3.025mm")])
@pytest.mark.parametrize("rail", ["", "lip front 1.2mm outside 3.3mm"])
@pytest.mark.parametrize("row", ["", "apart 122.5mm measured"])
def test_published_heights_go_on(height: str, edge: str, rail: str, row: str) -> None:
    """A9 and A10: 122.5 + 2 x 3.3 = 129.1 mm between the lips, more than any published height."""
    assert severities(spec(row, f"height {height}\n{holes('122.5mm', edge)}", rail=rail)) == []
    assert severities(spec(row, f"height {height}", rail=rail)) == []


@pytest.mark.parametrize(
    ("apart", "said"),
    [
        ("122.5mm", []),
        ("122.28mm", []),
        ("121.98mm", []),
        ("121.979mm", [("rails-misspaced", "warning")]),
        ("120.98mm", [("rails-misspaced", "warning")]),
        ("120.979mm", [("rails-misspaced", "error")]),
        ("123.02mm", []),
        ("123.021mm", [("rails-misspaced", "warning")]),
        ("124.02mm", [("rails-misspaced", "warning")]),
        ("124.021mm", [("rails-misspaced", "error")]),
    ],
)
def test_three_steps(apart: str, said: list[tuple[str, str]]) -> None:
    """2c = 0.22 mm without help, 0.3 mm more by a strip's travel, 1 mm more by pushing (common practice, no source)."""
    assert severities(spec(f"apart {apart} measured")) == said


@pytest.mark.parametrize(
    ("apart", "step"),
    [("122.28mm", ALONE), ("122.279mm", PLAY), ("121.98mm", PLAY), ("121.979mm", PUSHED), ("120.979mm", NEVER)],
)
def test_steps_of_a_panel(apart: str, step: int) -> None:
    (seen,) = look_at(spec(f"apart {apart} measured")).racks
    look = Look(seen.rack, seen.house, {})
    chosen = chosen_one(look, seen.rack.rows[0])
    assert chosen is not None
    (panel,) = standing_panels(look, chosen)
    assert panel.step == step
    off = Fraction("122.5") - Fraction(apart.removesuffix("mm"))
    assert height_off(look, chosen, seen.rack.rows[0].panels[0]) == max((off - Fraction("0.3")) / 2, Fraction(0))


@pytest.mark.parametrize(
    ("outside", "apart", "said"),
    [
        ("3.3mm", "121.9mm", []),
        ("3.3mm", "121.899mm", [("rails-misspaced", "warning")]),
        ("3.0mm", "122.5mm", []),
        ("3.0mm", "122.49mm", [("rails-misspaced", "warning")]),
        ("3.3mm", "120.9mm", [("rails-misspaced", "warning")]),
        ("3.3mm", "120.899mm", [("rails-misspaced", "error")]),
    ],
)
def test_lips(outside: str, apart: str, said: list[tuple[str, str]]) -> None:
    """128.5 mm go between lips if apart + 2 x outside >= 128.5; here the strip alone would travel far enough."""
    text = spec(
        f"apart {apart} measured",
        f"height 128.5mm\n{holes('122.5mm')}",
        "slack 4mm",
        f"lip front 1mm outside {outside}",
    )
    assert severities(text) == said


def _programme(panels: list[tuple[float, Upright]], slack: float, give: float, ends: tuple[float, float]) -> bool:
    """Whether rails and panels can be so: a shift for each panel, the travel of its inserts, a push at each end.

    Variables: push left, push right, then for each panel its lower edge, and the travel of its nuts or of its strips.
    The lower thread line is at 0, the upper one at a straight line between the ends.
    """
    rows: list[dict[int, float]] = []
    limits: list[float] = []
    bounds: list[tuple[float | None, float | None]] = [(-give, give)] * 2

    def variable(least: float | None, most: float | None) -> int:
        bounds.append((least, most))
        return len(bounds) - 1

    def at_most(entries: dict[int, float], limit: float) -> None:
        rows.append(entries)
        limits.append(limit)

    for share, panel in panels:
        edge, apart = variable(None, None), ends[0] + (ends[1] - ends[0]) * share
        for holes_of_rail, upper in ((panel.bottom, False), (panel.top, True)):
            line = {0: share - 1, 1: -share} if upper else {}
            pushed = {column: -factor for column, factor in line.items()}
            at, insert = apart if upper else 0.0, variable(-slack / 2, slack / 2)
            for y, play in holes_of_rail:
                at_most({edge: 1, insert: -1, **line}, float(play) - float(y) + at)
                at_most({edge: -1, insert: 1, **pushed}, float(play) + float(y) - at)
                insert = insert if panel.strip else variable(-slack / 2, slack / 2)
        if panel.lip is not None:
            at_most({edge: -1}, float(panel.lip))
            at_most({edge: 1, 0: share - 1, 1: -share}, float(panel.lip) - float(panel.height) + apart)
    if not rows:
        return True
    table = [[row.get(column, 0.0) for column in range(len(bounds))] for row in rows]
    found = linprog([0.0] * len(bounds), A_ub=table, b_ub=limits, bounds=bounds, method="highs")
    return bool(found.status == 0)


class RandomRow(NamedTuple):
    """Some panels, the same as shares and sizes, travel and push, and the rails' distance at both ends."""

    standing: list[StandingPanel]
    plain: list[tuple[float, Upright]]
    slack: Fraction
    give: Fraction
    ends: tuple[Fraction, Fraction]


def _random_row(chance: Random) -> RandomRow:
    """A row of up to five panels; all lengths are hundredths of a millimetre."""

    def about(value: str, spread: int) -> Fraction:
        return Fraction(value) + Fraction(chance.randrange(-spread, spread + 1), 100)

    standing: list[StandingPanel] = []
    plain: list[tuple[float, Upright]] = []
    for _ in range(chance.randrange(1, 6)):
        play = Fraction(chance.randrange(0, 30), 100)
        low = tuple((about("3", 8), play) for _ in range(chance.randrange(0, 3)))
        high = tuple((about("125.5", 25), play) for _ in range(chance.randrange(0, 3)))
        lip = about("3.2", 25) if chance.random() < 0.4 else None
        upright = Upright(low, high, about("128.5", 15), lip, chance.random() < 0.5)
        share = Fraction(chance.randrange(0, 101), 100)
        standing.append(StandingPanel(None, upright, Fraction(0), (share,), False, ALONE, ""))
        plain.append((float(share), upright))
    slack, give = Fraction(chance.randrange(0, 60), 100), Fraction(chance.randrange(0, 120), 100)
    return RandomRow(standing, plain, slack, give, (about("122.5", 90), about("122.5", 90)))


@pytest.mark.parametrize("seed", range(300))
def test_steps_against_a_linear_programme(seed: int) -> None:
    """The verdict of the windows is that of HiGHS on the whole system: each step holds iff its programme does.

    Sizes are hundredths of a millimetre and places hundredths of a row, so nothing is nearer to a limit than 1e-5 mm,
    but much may be exactly at it: there the programme gets, or misses, a millionth.
    """
    row, tiny = _random_row(Random(seed)), 1e-6
    slack, give, ends = float(row.slack), float(row.give), (float(row.ends[0]), float(row.ends[1]))
    found = verdict(row.standing, exactly(row.ends[0]), exactly(row.ends[1]), row.slack, row.give)
    for step, play, push in ((ALONE, 0.0, 0.0), (PLAY, slack, 0.0), (PUSHED, slack, give)):
        if found.step <= step:
            assert _programme(row.plain, play + tiny, push + tiny, ends), (step, found)
        else:
            assert not _programme(row.plain, play - tiny, push - tiny, ends), (step, found)
    if found.push is not None:
        assert _programme(row.plain, slack + tiny, float(found.push.most) + tiny, ends)
        if found.step == NEVER:
            assert not _programme(row.plain, slack, float(found.push.most) - 1e-4, ends)
    elif found.step == NEVER:
        assert not _programme(row.plain, slack - tiny, 1000.0, ends)


def test_random_rows_need_every_step() -> None:
    """The random rows above are of all kinds, and some contradict themselves however far rails are pushed."""
    rows = [_random_row(Random(seed)) for seed in range(300)]
    found = [verdict(row.standing, exactly(row.ends[0]), exactly(row.ends[1]), row.slack, row.give) for row in rows]
    assert {one.step for one in found} == {ALONE, PLAY, PUSHED, NEVER}
    assert {one.push is None for one in found if one.step == NEVER} == {True, False}


def test_what_height_leaves_sideways() -> None:
    """dx² + dy² <= c²: 0.110 mm and 0.066 mm leave 0.088 mm (3-4-5); all of it taken leaves nothing."""
    assert sideways_left(C, Fraction("0.066")) == (Fraction("0.088"), Fraction("0.088"))
    assert sideways_left(C, Fraction(0)) == (C, C)
    assert sideways_left(C, C) == sideways_left(C, Fraction(1)) == (0, 0)
    chance = Random(1)
    for _ in range(200):
        c, dy = Fraction(chance.randrange(1, 400), 1000), Fraction(chance.randrange(0, 400), 1000)
        found = sideways_left(c, dy)
        said = math.sqrt(max(float(c * c - dy * dy), 0.0))
        assert float(found.low) - 1e-12 <= said <= float(found.high) + 1e-9
        assert sideways_left(c, -dy) == found


def test_least_off_against_a_search() -> None:
    """Where a panel is moved in steps of a micrometre, its furthest screw is never nearer than what is computed."""
    chance = Random(2)
    for _ in range(50):
        number = chance.randrange(1, 5)
        lines = [Fraction(chance.randrange(0, 2) * 12250, 100) for _ in range(number)]
        heights = [line + 3 + Fraction(chance.randrange(-40, 41), 100) for line in lines]
        slack = Fraction(chance.randrange(0, 40), 100)
        found = least_off(lines, heights, slack)
        wanted = [float(line - height) for line, height in zip(lines, heights, strict=True)]
        best = min(
            max(max(abs(want - (-3 + step / 1000)) - float(slack) / 2, 0.0) for want in wanted)
            for step in range(-500, 501)
        )
        assert float(found) <= best + 1e-12
        assert best - float(found) <= 0.0011

"""``inspect --try``: a rack and a module that might be bought go in; the answer, and whether it proves right.

The whole text of some answers is kept beside this file (``expected/try-*.txt``).
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.running import Run, rackspec, write

RACK = """\
insert strip-m3 {{
    strip     M3
    holes     84 every 5.08mm
    first     2.54mm
    thread    3mm
}}
rail plain-84 {{
    length    84HP
    takes     strip-m3
    recess    1mm
    room      8mm
}}
supply brick {{
    width     8HP
    depth     20mm
    gives     1A on +12V
    gives     1A on -12V
    headers   3
}}
module osc {{
    width     14HP
    depth     27mm
    plug      12mm
    draws     62mA on +12V
    draws     41mA on -12V
    header    10-pin keyed
    screws    4 of M3x6
    thickness 2mm
    price     148 EUR
}}
rack tray {{
    budget    400 EUR
    have      1 of brick
    have      2 of plain-84
    have      2 of strip-m3
    stage     later
    row top {{
        rails   plain-84 with strip-m3
        behind  45mm
        power   from brick
        at  0HP brick
        at  8HP osc
        {more}
    }}
    {wish}
}}
"""
FITTING = (
    "width 8HP; depth 30mm; plug 10mm; draws 40mA on +12V; draws 0mA on -12V; header 10-pin keyed; "
    "screws 4 of M3x6; thickness 2mm; price 90 EUR"
)


def rack(more: str = "", wish: str = "") -> str:
    """The rack, with more lines in its row and with a wish."""
    return RACK.format(more=more, wish=wish)


def wish_of(width: str, pieces: int = 1) -> str:
    """A wish of some width that draws nothing."""
    lines = (f"width {width}", f"count {pieces}", "draws nothing", "depth 20mm", "price 0 EUR")
    return "wish voice in later {\n" + "\n".join(lines) + "\n}"


@pytest.fixture
def ask(tmp_path: Path) -> Callable[..., Run]:
    """Ask about a module in a folder that is a root of its own."""

    def run(spec: str, asked: str, *arguments: str) -> Run:
        shutil.rmtree(tmp_path / "taken", ignore_errors=True)  # what an earlier answer led to
        write(tmp_path, {".git/HEAD": "", "spec.rackspec": spec})
        before = (tmp_path / "spec.rackspec").read_bytes()
        done = rackspec(tmp_path, "inspect", "--on", "2026-11-25", "--try", asked, *arguments)
        assert (tmp_path / "spec.rackspec").read_bytes() == before
        assert {path.name for path in tmp_path.iterdir()} <= {".git", "spec.rackspec", "taken"}
        return done

    return run


def verdict(run: Run) -> str:
    """The line under the name of the rack."""
    lines = run.out.splitlines()
    number = next(number for number, line in enumerate(lines) if line.startswith("rack "))
    return lines[number + 1].strip()


def conditions(run: Run) -> list[str]:
    """What stands under the label ``if``, in order."""
    found: list[str] = []
    label = ""
    for line in run.out.splitlines():
        if re.match(r" {4}\S", line):
            label = line[4:16].strip()
        if label == "if" and line.startswith("    "):
            found.append(line[16:])
    return found


def take(tmp_path: Path, spec: str, run: Run, facts: str = "") -> Run:
    """Do what the answer says, and inspect."""
    (line,) = re.findall(r"write in row 'top':  (at .*)", run.out)
    spec = spec.replace("        at  8HP osc\n", f"        at  8HP osc\n        {line}\n")
    if facts:
        spec += "module candidate {\n" + facts.replace(";", "\n") + "\n}\n"
    if re.search("and take one off the wish 'voice'", run.out):
        spec = re.sub(r"wish voice in later \{[^}]*\}", "", spec)
    write(tmp_path, {"taken/.git/HEAD": "", "taken/spec.rackspec": spec})
    return rackspec(tmp_path / "taken", "inspect", "--on", "2026-11-25", "--fail-at", "error")


def test_yes(ask: Callable[..., Run], tmp_path: Path) -> None:
    """What fits is taken, and nothing is wrong with it when it is."""
    run = ask(rack(), FITTING)
    assert verdict(run) == "yes: start it at 22HP in row 'top'"
    assert conditions(run) == []
    assert run.code == 0
    taken = take(tmp_path, rack(), run, FITTING)
    assert taken.code == 0
    assert taken.heads == []


def test_a_module_of_the_library_gets_a_free_name(ask: Callable[..., Run], tmp_path: Path) -> None:
    """A second one is placed under a name of its own."""
    run = ask(rack(), "osc")
    assert run.code == 0
    assert "at 22HP osc as osc-b" in run.out
    assert take(tmp_path, rack(), run).code == 0


def test_the_range_of_starts_is_exact(ask: Callable[..., Run]) -> None:
    """8 HP fit into 22 HP to 84 HP from 22 HP to 76 HP; into a hole of just 8 HP at one place."""
    assert "row 'top': 22HP to 84HP is free from the start; it can start at 22HP to 76HP" in ask(rack(), FITTING).out
    run = ask(rack("at 30HP blank 54HP"), FITTING)
    assert "22HP to 30HP is free from the start; it can start at 22HP" in run.out
    assert run.code == 0
    run = ask(rack("at 29HP blank 55HP"), FITTING)
    assert verdict(run) == "no: no row has a free run of 8HP; the longest is 7HP, in row 'top'"
    assert run.code == 1


def test_room_that_comes_free_at_a_stage(ask: Callable[..., Run], tmp_path: Path) -> None:
    """A run that is free from a stage on is found, and named with the stage."""
    spec = rack("at 22HP blank 62HP until later")
    run = ask(spec, FITTING)
    assert verdict(run) == "yes: start it at 22HP in row 'top', from stage 'later' on"
    assert "at 22HP candidate in later" in run.out
    assert take(tmp_path, spec, run, FITTING).code == 0


def test_wishes_keep_their_places(ask: Callable[..., Run], tmp_path: Path) -> None:
    """A wish of 54 HP leaves 8 of the 62 HP: at either end, and nowhere between."""
    spec = rack(wish=wish_of("54HP"))
    run = ask(spec, FITTING)
    assert "it can start at 22HP or 76HP; at 23HP to 75HP it takes the place of a wish" in run.out
    assert "all of them still find a place at the starts named first" in run.out
    assert verdict(run) == "yes: start it at 22HP in row 'top'"
    assert take(tmp_path, spec, run, FITTING).code == 0


def test_in_the_place_of_a_wish(ask: Callable[..., Run], tmp_path: Path) -> None:
    """Where there is no room for both it may be what the wish stands for; a narrower wish is not enough."""
    spec = rack(wish=wish_of("55HP"))
    run = ask(spec, FITTING)
    assert verdict(run) == "yes, with conditions: start it at 22HP in row 'top'"
    assert conditions(run) == ["it comes in the place of the wish 'voice'"]
    assert run.code == 0
    assert take(tmp_path, spec, run, FITTING).code == 0
    run = ask(rack(wish=wish_of("7HP", 8)), FITTING)
    assert verdict(run).startswith("no: ")
    assert run.code == 1


def test_holes(ask: Callable[..., Run], tmp_path: Path) -> None:
    """Holes between two threads are no place, half an HP further they are one; and the answer is right."""
    facts = "width 2HP; depth 20mm; draws nothing; price 0 EUR; hole 3.2mm at (4.93mm, 3mm)"
    run = ask(rack(), facts)
    assert "at 22HP to 82HP a hole stands in front of no thread" in run.out
    assert verdict(run) == "yes: start it at 22.5HP in row 'top'"
    assert take(tmp_path, rack(), run, facts).code == 0
    run = ask(rack(), facts.replace("4.93mm", "7.47mm").replace("2HP", "4HP"))
    assert "meet threads at every start named above" in run.out


def test_depth_with_the_plug(ask: Callable[..., Run]) -> None:
    """The plug counts: 35 + 10 = 45 mm fit, 0.1 mm more does not."""
    run = ask(rack(), FITTING.replace("depth 30mm", "depth 35mm"))
    assert "35mm + plug 10mm is 45mm of 45mm, 0mm left" in run.out
    assert run.code == 0
    run = ask(rack(), FITTING.replace("depth 30mm", "depth 35.1mm"))
    assert "45.1mm of 45mm, 0.1mm missing" in run.out
    assert "no-room-for-plug" in run.out
    assert run.code == 1


def test_unknown_depth_is_no_yes(ask: Callable[..., Run]) -> None:
    """What is not known is a condition, with the number it has to keep."""
    run = ask(rack(), FITTING.replace("depth 30mm; ", ""))
    assert verdict(run).startswith("yes, with conditions: ")
    assert conditions(run)[0] == "it is at most 35mm deep"
    assert "taken as 25mm..45mm (common practice) + plug 10mm it needs 55mm at the bad end, 10mm missing" in run.out


def test_unknown_current_is_no_yes(ask: Callable[..., Run]) -> None:
    """80 % of 1 A may be used and 62 mA are: 738 mA are left. A wish for 0 mA is not the same as nothing stated."""
    run = ask(rack(), FITTING.replace("draws 40mA on +12V; ", ""))
    assert verdict(run).startswith("yes, with conditions: ")
    assert conditions(run) == ["it draws at most 738mA on +12V"]
    assert "current on +12V" in run.out


def test_unknown_width_is_no_yes(ask: Callable[..., Run]) -> None:
    """Without a width the longest run is the condition."""
    run = ask(rack(), FITTING.replace("width 8HP; ", ""))
    assert verdict(run).startswith("yes, with conditions: ")
    assert conditions(run)[0] == "it is at most 62HP wide, the longest free run"


@pytest.mark.parametrize(
    ("change", "to", "code", "text"),
    [
        ("40mA", "738mA", 0, "800mA of 1A, 200mA left, 0mA of it beyond the 20% to stay spare (common practice)"),
        ("40mA", "739mA", 0, "801mA of 1A, 199mA left, 1mA short of the 20% to stay spare (common practice)"),
        ("40mA", "939mA", 1, "1.001A of 1A, 1mA too much"),
        ("0mA on -12V", "10mA on +5V", 1, "voltage-missing"),
    ],
)
def test_power(ask: Callable[..., Run], change: str, to: str, code: int, text: str) -> None:
    """Current is summed with the part in the rack, against the rating and the spare."""
    run = ask(rack(), FITTING.replace(change, to))
    assert text in run.out
    assert run.code == code


def test_headers(ask: Callable[..., Run]) -> None:
    """The last header is taken, then one is missing."""
    assert "'brick': 2 of 3 taken with it, 1 left" in ask(rack(), FITTING).out
    run = ask(rack("at 36HP osc as two\nat 50HP osc as three"), FITTING)
    assert "'brick': 4 of 3 taken with it, 1 missing" in run.out
    assert "headers-short" in run.out
    assert run.code == 1


def test_screws(ask: Callable[..., Run]) -> None:
    """Supplied screws serve, are too short, or have another thread; then the shortest that serves is named."""
    assert "the supplied ones, 4 of M3x6, serve" in ask(rack(), FITTING).out
    run = ask(rack(), FITTING.replace("M3x6", "M3x4"))
    assert "4 of M3x4, do not serve; use 4 of M3x5, the shortest standard length that serves" in run.out
    run = ask(rack(), FITTING.replace("M3x6", "M2.5x6"))
    assert "4 of M2.5x6, do not serve; use 4 of M3x5" in run.out
    run = ask(rack(), FITTING.replace("screws 4 of M3x6; ", ""))
    assert "none are said to come with it; use 4 of M3x5" in run.out


def test_money(ask: Callable[..., Run]) -> None:
    """The budget is counted with it and without it; too much of it is a warning that the verdict names."""
    assert "from the start: 238 EUR (148 EUR without it) of 400 EUR, 162 EUR left" in ask(rack(), FITTING).out
    run = ask(rack(), FITTING.replace("90 EUR", "253 EUR"))
    assert "401 EUR (148 EUR without it) of 400 EUR, 1 EUR too much" in run.out
    assert verdict(run).endswith("(1 warning, below)")
    assert run.code == 0
    assert "its price is not known" in ask(rack(), FITTING.replace("; price 90 EUR", "")).out


def test_faults_that_are_there_already_are_no_reason(ask: Callable[..., Run]) -> None:
    """An error of the rack itself does not speak against the part; one that gets worse does."""
    spec = rack().replace("depth     27mm", "depth     50mm")
    run = ask(spec, FITTING)
    assert run.code == 0
    assert "it has 1 error without it" in run.out
    worse = rack().replace("62mA", "1.1A")
    run = ask(worse, FITTING)
    assert run.code == 1
    assert "supply-overloaded" in run.out


def test_a_waiver_accepts_a_reason_too(ask: Callable[..., Run]) -> None:
    """What is waived for the whole rack does not speak against it, and is told."""
    spec = rack(wish='waive no-room-behind because "the back is cut open"\n    waive no-room-for-plug because "so too"')
    deep = FITTING.replace("depth 30mm", "depth 46mm")
    assert ask(rack(), deep).code == 1
    run = ask(spec, deep)
    assert run.code == 0
    assert "(error, no-room-behind) (waived)" in run.out


@pytest.mark.parametrize(
    ("facts", "place", "rule"),
    [
        ("width 8; depth 30mm", "--try:1:7:", "unit-missing"),
        ("width 8HP; dpth 30mm", "--try:1:12:", "unknown-word"),
        ("width 8HP; width 9HP", "--try:1:12:", "said-twice"),
        ("width 8HP; }; rack other {", "--try:1:", "brace-astray"),
        ('width 8HP; note "a; b', "--try:1:17:", "text-unfinished"),
        ("width 30mA; depth 3mm", "--try:1:7:", "wrong-dimension"),
    ],
)
def test_slips_of_typed_facts(ask: Callable[..., Run], facts: str, place: str, rule: str) -> None:
    """They are findings of the language itself, at their place in what was typed."""
    run = ask(rack(), facts)
    assert run.code == 1
    assert run.out.startswith(place)
    assert f"    rule      {rule}" in run.out
    assert "rack tray" not in run.out


def test_a_semicolon_in_a_text_ends_no_fact(ask: Callable[..., Run]) -> None:
    """Only one between facts does."""
    assert ask(rack(), FITTING + '; basis stated "sheet; rev B"').code == 0


@pytest.mark.parametrize(
    ("arguments", "text"),
    [
        (("osk",), "no module or supply is called 'osk': write 'osc', or type its facts"),
        (("plain-84",), "'plain-84' is a rail, no module or supply"),
        (("",), "--try takes the name of a module, or its facts"),
        ((" ; ",), "--try takes the name of a module, or its facts"),
        (("osc", "--rack", "trai"), "no rack is called 'trai'; write 'tray'"),
        (("osc", "--write", "json=-"), "it does not go with --try"),
        (("osc", "--show-limits"), "ask one at a time"),
        (("osc", "nowhere"), "nowhere: there is no such file or folder"),
    ],
)
def test_usage(ask: Callable[..., Run], arguments: tuple[str, ...], text: str) -> None:
    """The job could not be done: exit code 2, one line, and nothing on standard output but what could be said."""
    run = ask(rack(), *arguments)
    assert run.code == 2
    assert text in run.err


def test_rack_alone_is_usage(tmp_path: Path) -> None:
    """--rack belongs to --try."""
    write(tmp_path, {"spec.rackspec": rack()})
    assert rackspec(tmp_path, "inspect", "--rack", "tray").code == 2


def test_no_rack_at_all(ask: Callable[..., Run]) -> None:
    """A folder of parts has nothing to try it in."""
    run = ask(rack()[: rack().index("rack tray")], "osc")
    assert run.code == 2
    assert "there is no rack here to try it in" in run.err


def test_one_of_several_racks_is_enough(ask: Callable[..., Run]) -> None:
    """Exit 0 if any rack takes it; with --rack only that one counts."""
    full = "rack full {\n row only {\n length 8HP\n behind 45mm\n at 0HP blank 8HP\n }\n}\n"
    spec = rack() + full
    assert ask(spec, FITTING).code == 0
    run = ask(spec, FITTING, "--rack", "full")
    assert run.code == 1
    assert "rack tray" not in run.out


def test_edges_never_fall_over(ask: Callable[..., Run]) -> None:
    """Racks without rows, rows without a length, parts without anything."""
    assert ask("rack bare {\n}\n", FITTING).code == 1
    run = ask("rack bare {\n row one {\n at 0HP blank 4HP\n }\n}\n", FITTING)
    assert run.code == 0
    assert verdict(run).startswith("yes, with conditions: ")
    assert "the length of the row is known and enough" in conditions(run)
    assert ask(rack(), 'note "nothing else is known"').code == 0
    assert ask(rack(), "gives 1A on +12V; headers 2").code == 0
    assert ask(rack("at 9000HP osc as far"), FITTING).code in (0, 1)
    assert ask(rack().replace("length    84HP", "length    20000HP"), FITTING).code == 0


@pytest.mark.parametrize(
    ("name", "facts", "wish"),
    [
        ("yes", FITTING, ""),
        ("wish", FITTING, wish_of("55HP")),
        ("unknown", "width 6HP guessed", ""),
        ("no", "width 70HP; depth 50mm; draws 2A on +12V; header 10-pin unkeyed", ""),
        ("supply", "width 4HP; depth 30mm; gives 2A on +12V; price 40 EUR", ""),
    ],
)
def test_text_is_as_it_was_approved(
    ask: Callable[..., Run], golden: Callable[[Path, str], None], name: str, facts: str, wish: str
) -> None:
    """The whole answer."""
    golden(Path(__file__).parent / "expected" / f"try-{name}.txt", ask(rack(wish=wish), facts).out)

"""What is not known any more goes in: parts that nobody finds, facts that were deleted, lines that are not understood.
It must never come out as a gain, and every number that refuses a change must be one that is shown."""

from __future__ import annotations

import re
from itertools import chain

import pytest

from rackspec.comparison import Comparison, compare, refused
from rackspec.comparison.refuse import REFUSABLE
from rackspec.views.comparison_text import comparison_lines
from rackspec.views.comparison_verdict import verdict
from tests.comparison.test_examples import EXAMPLES, example
from tests.comparison.texts import demo, seen

TOWPATH = "racks/towpath.rackspec"
GRANARY = "racks/granary.rackspec"
SHAPING = "parts/modules-shaping.rackspec"
DEMO = demo()
SUMS = REFUSABLE[2:]


def after(name: str, pattern: str, new: str, *paths: str) -> Comparison:
    """The demo before and after everything that a pattern finds in a file was replaced, as some of its files see it."""
    text, times = re.subn(pattern, new, DEMO[name], flags=re.MULTILINE)
    assert times, pattern
    return compare(seen(DEMO, *paths), seen({**DEMO, name: text}, *paths))


LOST = {
    "a width": (SHAPING, r"(^module twin-amp[^}]*?)^    width .*\n", r"\1"),
    "a current": (SHAPING, r"(^module stair-filter[^}]*?)^    draws .*\+12V\n", r"\1"),
    "a price": ("parts/modules-control.rackspec", r"^    price .*\n", ""),
    "a name, in its library only": (SHAPING, r"^module twin-amp", "module twin-ampx"),
    "the name of what is to be bought": ("parts/modules-shaping.rackspec", r"^module snap-envelope", "module snap-env"),
    "the lines that use the library": (TOWPATH, r"^use .*\n", ""),
    "an end of a text": (TOWPATH, r"next      hiss$", 'next      hiss as "x'),
    "a stage": (TOWPATH, r"^    stage     thaw .*\n", ""),
    "rails": ("parts/rails.rackspec", r"^rail tideline-84", "rail tideline-48"),
    "a supply": ("parts/supplies.rackspec", r"^supply thimble", "supply thimbles"),
    "a wish": (TOWPATH, r"^    wish second-gate", "    wihs second-gate"),
    "a line of a part": (SHAPING, r"(^module twin-amp[^}]*?)^    draws     30mA on", r"\1    draws     thirty on"),
}


@pytest.mark.parametrize("what", LOST)
def test_what_is_lost_is_no_gain(what: str) -> None:
    """No number is better, the first line promises nothing, and the change is refused."""
    there = after(*LOST[what], TOWPATH)
    assert not any(figure.better for rack in there.racks for figure in rack.figures)
    assert not re.search(r"(?<!any )\bmore (room|spare|behind)|cheaper|longer", verdict(there)), verdict(there)
    if "wihs" in LOST[what][2]:
        return  # a block is mended in thought: its word is told, and nothing is lost
    assert "no finding is new or gone" not in verdict(there)
    assert list(chain.from_iterable(refused(there, one) for one in SUMS))
    assert any(re.search(r"not known any more|less of it known", line) for line in comparison_lines(there))


@pytest.mark.parametrize("what", LOST)
def test_what_is_found_again_is_known_now(what: str) -> None:
    """On the way back nothing is refused because it is known, and nothing is lost."""
    name, pattern, new = LOST[what]
    text = re.sub(pattern, new, DEMO[name], flags=re.MULTILINE)
    back = compare(seen({**DEMO, name: text}, TOWPATH), seen(DEMO, TOWPATH))
    assert not any(figure.lost for rack in back.racks for figure in rack.figures)
    assert not any(rack.forgotten for rack in back.racks)
    assert "not known any more" not in "\n".join(comparison_lines(back))


def numbers_in(text: str) -> set[str]:
    """The numbers of a text with their units."""
    return set(re.findall(r"~?-?[0-9]+(?:\.[0-9]+)?(?:HP|mm|mA|A| EUR)\b", text))


CASES = [*((name, "") for name in EXAMPLES), *(("", what) for what in LOST)]


@pytest.mark.parametrize(("name", "what"), CASES)
def test_numbers_that_refuse_are_shown(name: str, what: str) -> None:
    """Whoever reads why a change is refused finds each number in the table above."""
    both = (example(name), example(name, back=True)) if name else (after(*LOST[what], TOWPATH),)
    for comparison in both:
        shown = numbers_in("\n".join(comparison_lines(comparison)).partition("what changed")[0])
        signs = {number.replace("-", "") for number in shown}
        for reason in chain.from_iterable(refused(comparison, one) for one in SUMS):
            assert numbers_in(reason) <= shown | signs, reason


def test_what_is_gone_has_no_answer() -> None:
    """Only of what is still there something is known now."""
    gone = after(TOWPATH, r"^.*phones-out$\n|^    about phones-out \{\n.*\n    \}\n", "", TOWPATH)
    assert "settled" not in "\n".join(comparison_lines(gone))
    less = after(TOWPATH, r"^use .*\n", "", TOWPATH)
    assert not any(rack.answered for rack in less.racks)


def test_questions_read_as_sentences() -> None:
    """A question that names its thing in the middle is told with it."""
    one_supply = after(GRANARY, r"from      quay-board|^        power     from right-board", "", GRANARY)
    lines = "\n".join(comparison_lines(one_supply))
    assert "feed it of" not in lines
    assert "its power header of" not in lines
    lost = after(SHAPING, r"(^module twin-amp[^}]*?)^    header .*\n", r"\1", TOWPATH)
    assert "power header of 'twin-amp' not known any more" in verdict(lost)


def test_the_first_line_says_what_the_table_says() -> None:
    """Two stages change places: both speak of the one at which least is left."""
    stages = re.findall(r"^    stage .*\n", DEMO[TOWPATH], flags=re.MULTILINE)
    swapped = {**DEMO, TOWPATH: DEMO[TOWPATH].replace("".join(stages), "".join(reversed(stages)))}
    there = compare(seen(DEMO, TOWPATH), seen(swapped, TOWPATH))
    table = "\n".join(comparison_lines(there))
    assert "at 'thaw'" in verdict(there)
    assert "at 'hay'" not in table
    assert numbers_in(verdict(there)) <= {number.lstrip("-") for number in numbers_in(table.partition("\n")[2])}


def test_the_first_line_names_rows_and_supplies() -> None:
    """What one row loses is not what another gains."""
    files = {**DEMO}
    text = re.sub(r"^        next      hiss\n", "", files[GRANARY], flags=re.MULTILINE)
    files[GRANARY] = text.replace(
        "        next      reed-filter\n", "        next      hiss\n        next      reed-filter\n"
    )
    says = verdict(compare(seen(DEMO, GRANARY), seen(files, GRANARY)))
    assert "4HP more room in row 'drones'" in says
    assert "4HP less room in row 'colours'" in says
    assert "14mA less spare on +12V and 11mA on -12V of 'quay-board'" in says


def test_the_first_line_stays_short() -> None:
    """However much is lost, it is one sentence that can be read."""
    files = {name: text for name, text in DEMO.items() if not name.startswith("parts/")}
    lost = compare(seen(DEMO), seen(files))
    assert len(verdict(lost)) < 120
    assert "parts are not found any more" in verdict(lost)
    wider = {name: re.sub(r"\bwidth     (\d+)HP", r"width     1\1HP", text) for name, text in DEMO.items()}
    says = verdict(compare(seen(DEMO), seen(wider)))
    assert says.count(",") <= 10
    assert re.search(r"and \d+ more$", says)


@pytest.mark.parametrize("name", ["name-not-found", "stage-left-out"])
def test_a_name_that_stays_is_no_change(name: str) -> None:
    """Where a line still says the name that is gone, nothing is replaced by itself."""
    for back in (False, True):
        for change in example(name, back).changes:
            assert change.old != change.new or not change.old
            assert change.action != "replaced"


def test_another_source_of_power_costs_nothing() -> None:
    """A row that names a bus which is not found says nothing about what is to be bought."""
    there = after(TOWPATH, "power     from tail", "power     from tial", TOWPATH)
    assert {figure.kind for rack in there.racks for figure in rack.figures} == {"power", "margin"}
    assert verdict(there) == (
        "rack 'towpath' changes: 1 finding new; how much current is to spare is not known as well as before"
    )


def test_words_that_a_builder_understands() -> None:
    """What a supply does not give is none; blanks have a width; a long text is cut between two of its words."""
    larger = "\n".join(comparison_lines(after(TOWPATH, "thimble", "millrace", TOWPATH)))
    assert "gives on +5V none → 0.8A" in larger
    blank = "\n".join(comparison_lines(after(GRANARY, "at   0HP  touch-plates", "at   0HP  blank 12HP", GRANARY)))
    assert "'touch-plates' by a blank of 12HP in row 'porch' at 0HP" in blank
    assert "not known" not in blank.partition("what changed")[2]
    wish = "\n".join(comparison_lines(after(GRANARY, r"^    wish rain-butt[^}]*\}\n", "", GRANARY)))
    assert "price 40 EUR guessed" in wish
    waived = "\n".join(comparison_lines(after(TOWPATH, "until 2027-05-01", "until 2027-06-01", TOWPATH)))
    assert "its waiver is another one now until 2027-06-01: only felt" in waived
    assert "otherwise" not in larger + blank + wish + waived

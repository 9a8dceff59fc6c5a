"""Two sides made by random edits go in; the comparison of A with B must be the mirror image of that of B with A."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackspec.comparison import compare, refused, whole
from rackspec.comparison.refuse import REFUSABLE
from rackspec.views.comparison_json import document
from rackspec.views.comparison_markdown import comparison_markdown
from rackspec.views.comparison_text import comparison_lines
from rackspec.views.schema import checked
from tests.comparison.test_examples import EXAMPLES, texts
from tests.comparison.texts import contents, demo, seen

Edit = Callable[[list[str], random.Random], None]


def fact_lines(lines: list[str]) -> list[int]:
    """The numbers of lines that say a fact and open no block."""
    return [
        number
        for number, line in enumerate(lines)
        if line.strip() and line.strip()[0] not in "#}" and not line.rstrip().endswith("{")
    ]


def delete(lines: list[str], chance: random.Random) -> None:
    """A fact is gone."""
    del lines[chance.choice(fact_lines(lines))]


def another_number(lines: list[str], chance: random.Random) -> None:
    """A number is another."""
    number = chance.choice(fact_lines(lines))
    lines[number] = re.sub(
        r"(?<![\w.-])\d+", lambda found: str(int(found[0]) + chance.choice([1, 7])), lines[number], count=1
    )


def move(lines: list[str], chance: random.Random) -> None:
    """A line stands elsewhere among its neighbours, or in another block."""
    line = lines.pop(chance.choice(fact_lines(lines)))
    lines.insert(chance.choice(fact_lines(lines)), line)


def swap(lines: list[str], chance: random.Random) -> None:
    """Two panels change places."""
    panels = [number for number in fact_lines(lines) if re.match(r"\s+(at|next)\b", lines[number])]
    if len(panels) > 1:
        one, other = chance.sample(panels, 2)
        lines[one], lines[other] = lines[other], lines[one]


def insert(lines: list[str], chance: random.Random) -> None:
    """A panel is put in."""
    panels = [number for number in fact_lines(lines) if re.match(r"\s+(at|next)\b", lines[number])]
    if panels:
        what = chance.choice(["otter-amp as new-amp", "weir-filter", "blank 3HP", "gap 1HP", "nobody-knows as x"])
        lines.insert(chance.choice(panels), f"        next {what}")


def rename(lines: list[str], chance: random.Random) -> None:
    """A name is another everywhere."""
    name = chance.choice(
        ["otter-amp", "low-reed", "bench", "lent", "weir-filter", "window-desk", "lamp-supply", "loft"]
    )
    new = f"{name}-{chance.randint(1, 2)}"
    lines[:] = [re.sub(rf"(?<![\w-]){name}(?![\w-])", new, line) for line in lines]


def pin(lines: list[str], chance: random.Random) -> None:
    """A place is written down, or is left to follow."""
    panels = [number for number in fact_lines(lines) if re.match(r"\s+(at|next)\b", lines[number])]
    if panels:
        number = chance.choice(panels)
        if lines[number].split()[0] == "next":
            lines[number] = lines[number].replace("next", f"at {chance.randint(0, 60)}HP", 1)
        else:
            lines[number] = re.sub(r"at\s+\S+", "next", lines[number], count=1)


def spoil(lines: list[str], chance: random.Random) -> None:
    """A word is lost."""
    number = chance.choice(fact_lines(lines))
    words = lines[number].split(" ")
    del words[chance.randrange(len(words))]
    lines[number] = " ".join(words)


EDITS: tuple[Edit, ...] = (delete, another_number, move, swap, insert, rename, pin, spoil)


def edited(text: str, chance: random.Random, times: int) -> str:
    """A text with some random edits."""
    lines = text.splitlines()
    for _ in range(times):
        chance.choice(EDITS)(lines, chance)
    return "\n".join(lines) + "\n"


@pytest.mark.slow
@given(seed=st.integers(0, 10**9), name=st.sampled_from(EXAMPLES), times=st.integers(1, 6))
@settings(max_examples=250, deadline=None)
def test_the_way_back_is_the_mirror_image(seed: int, name: str, times: int) -> None:
    """Whatever was edited: additions are removals on the way back, signs are the others, new findings are gone."""
    chance = random.Random(seed)
    files = texts(name, "new")
    start = seen(files)
    old = seen({**files, "desk.rackspec": edited(files["desk.rackspec"], chance, times - 1)})
    new = seen({**files, "desk.rackspec": edited(files["desk.rackspec"], chance, times)})
    for one, other in ((start, new), (old, new)):
        there, back = compare(one, other), compare(other, one)
        assert contents(there, mirrored=True) == contents(back)
        assert there.is_empty == back.is_empty
        assert compare(one, one).is_empty
        keys = [change.fingerprint for change in there.changes]
        assert len(set(keys)) == len(keys)


@given(seed=st.integers(0, 10**9), name=st.sampled_from(["holes-move", "holes-lost"]), times=st.integers(0, 2))
@settings(max_examples=40, deadline=None)
def test_what_is_not_worked_out_would_be_the_same(seed: int, name: str, times: int) -> None:
    """Drill points of racks that are as they were are not asked for again; asked for, they would be no others."""
    files = texts(name, "new")
    old = seen(files)
    new = seen({**files, "desk.rackspec": edited(files["desk.rackspec"], random.Random(seed), times)})
    there = compare(old, new)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(whole, "is_quiet", lambda *_: False)
        assert contents(compare(old, new)) == contents(there)


@given(seed=st.integers(0, 10**9), name=st.sampled_from(EXAMPLES))
@settings(max_examples=60, deadline=None)
def test_everything_can_be_shown(seed: int, name: str) -> None:
    """No edit makes a view stumble, and the first line of each stands alone."""
    chance = random.Random(seed)
    files = texts(name, "new")
    new = {**files, "desk.rackspec": edited(files["desk.rackspec"], chance, 5)}
    comparison = compare(seen(files), seen(new))
    lines = list(comparison_lines(comparison))
    assert lines[0]
    assert (lines == ["no difference"]) == comparison.is_empty
    assert all(line.isprintable() for line in lines)
    assert comparison_markdown(comparison).startswith("<!-- rackspec compare -->\n")
    assert checked("comparison", document(comparison))["verdict"] == lines[0]
    assert bool(refused(comparison, "any")) != comparison.is_empty
    assert all(isinstance(refused(comparison, what), list) for what in REFUSABLE)


@pytest.mark.slow
@given(seed=st.integers(0, 10**9), file=st.sampled_from(["racks/towpath.rackspec", "racks/granary.rackspec"]))
@settings(max_examples=15, deadline=None)
def test_the_same_holds_for_racks_of_the_demo(seed: int, file: str) -> None:
    """Racks with stages, alternatives, a case and busses."""
    chance = random.Random(seed)
    files = demo()
    old = seen(files, file)
    new = seen({**files, file: edited(files[file], chance, 4)}, file)
    assert contents(compare(old, new), mirrored=True) == contents(compare(new, old))

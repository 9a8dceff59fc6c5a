"""Small racks go in; verdicts and places of the exact packing are checked by hand, by brute force and by properties."""

import random
from collections import Counter
from collections.abc import Sequence
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackspec.physics.packing import most_that_fits, pack, pack_stages

RUNS = st.lists(st.integers(0, 14), min_size=1, max_size=4)
ITEMS = st.lists(st.integers(1, 9), max_size=6)
Stages = list[list[tuple[int, int]]]


def widest_first_finds_places(runs: Sequence[int], items: Sequence[int]) -> bool:
    """First fit, widest thing first: the quick way that gives no proof."""
    rests = list(runs)
    for width in sorted(items, reverse=True):
        index = next((index for index, rest in enumerate(rests) if rest >= width), None)
        if index is None:
            return False
        rests[index] -= width
    return True


def least_left_out(runs: Sequence[int], items: Sequence[int]) -> int:
    """By trying every assignment of things to runs or to none."""
    least = sum(items)
    for choice in product(range(len(runs) + 1), repeat=len(items)):
        loads: Counter[int] = Counter()
        for run, width in zip(choice, items, strict=True):
            loads[run] += width
        if all(loads[run] <= length for run, length in enumerate(runs)):
            least = min(least, loads[len(runs)])
    return least


def starts_exist(stages: Stages, items: Sequence[tuple[int, int]]) -> bool:
    """By trying every start of every thing."""
    free = [{hp for left, right in stage for hp in range(left, right)} for stage in stages]

    def place(index: int, taken: frozenset[int]) -> bool:
        if index == len(items):
            return True
        width, stage = items[index]
        for start in free[stage]:
            wanted = frozenset(range(start, start + width))
            if wanted <= free[stage] - taken and place(index + 1, taken | wanted):
                return True
        return False

    return place(0, frozenset())


@st.composite
def growing_racks(draw: st.DrawFn) -> tuple[Stages, list[tuple[int, int]]]:
    """A row of up to 11 HP, of which each HP becomes free at some stage or never."""
    count = draw(st.integers(1, 3))
    since = draw(st.lists(st.integers(0, count), min_size=1, max_size=11))
    stages: Stages = []
    for stage in range(count):
        free = [hp for hp, first in enumerate(since) if first <= stage]
        # Single HP on purpose: intervals that touch are one.
        stages.append([(hp, hp + 1) for hp in free])
    return stages, draw(st.lists(st.tuples(st.integers(1, 5), st.integers(0, count - 1)), max_size=4))


def check_places(runs: Sequence[int], items: Sequence[int], places: Sequence[int | None]) -> None:
    loads: Counter[int] = Counter()
    for width, run in zip(items, places, strict=True):
        if run is not None:
            loads[run] += width
    assert all(load <= runs[run] for run, load in loads.items())


def check_starts(stages: Stages, items: Sequence[tuple[int, int]], starts: Sequence[int]) -> None:
    taken: set[int] = set()
    for (width, stage), start in zip(items, starts, strict=True):
        wanted = set(range(start, start + width))
        assert wanted <= {hp for left, right in stages[stage] for hp in range(left, right)}
        assert not wanted & taken
        taken |= wanted


def test_exact_packing_finds_what_widest_first_misses() -> None:
    """20 HP twice: 9 + 6 + 5 and 7 + 7 + 6 fill them; widest first puts 9 and 7 together and loses 4 HP."""
    runs, items = [20, 20], [9, 7, 7, 6, 6, 5]
    assert not widest_first_finds_places(runs, items)
    packed = pack(runs, items)
    assert packed.verdict == "fits"
    check_places(runs, items, packed.places)


@pytest.mark.parametrize("seed", [1, 2, 4, 7])
def test_full_runs_of_many_widths(seed: int) -> None:
    """120 things of 20 to 100 HP in as few runs of 150 HP as the sum allows; widest first needs one run more.

    The kind of question that J. E. Beasley's OR-Library (1990) calls u120, made anew.
    """
    chance = random.Random(seed)
    items = [chance.randint(20, 100) for _ in range(120)]
    runs = [150] * -(-sum(items) // 150)
    assert not widest_first_finds_places(runs, items)
    packed = pack(runs, items)
    assert packed.verdict == "fits"
    check_places(runs, items, packed.places)


def test_sums_that_suit_do_not_make_a_place() -> None:
    """30 HP of things and 30 HP of free runs, but three things of 10 HP in runs of 15 HP."""
    assert pack([15, 15], [10, 10, 10]) == ("impossible", (), 1)


def test_nothing_to_place_fits_anywhere() -> None:
    assert pack([], []) == ("fits", (), 0)
    assert pack([0], [1]).verdict == "impossible"
    assert pack_stages([], []) == ("fits", (), 0)


def test_a_reached_bound_is_said() -> None:
    runs, items = [20, 20], [9, 7, 7, 6, 6, 5]
    packed = pack(runs, items, most_steps=1)
    assert packed.verdict == "undecided"
    assert packed.places == ()
    assert not most_that_fits([20, 19], items, most_steps=1).proved


@pytest.mark.parametrize("bound", range(1, 60))
def test_no_bound_turns_undecided_into_a_wrong_verdict(bound: int) -> None:
    """The verdict may only be missing, never wrong, wherever the work is cut off."""
    assert pack([20, 20], [9, 7, 7, 6, 6, 5], bound).verdict in ("fits", "undecided")
    assert pack([21, 22, 22], [10, 10, 9, 9, 9, 6, 6, 5], bound).verdict in ("impossible", "undecided")
    shrunk: Stages = [[(4, 8)], [(0, 11)]]
    assert pack_stages(shrunk, [(2, 0), (5, 1), (4, 1)], bound).verdict in ("fits", "undecided")
    assert pack_stages(shrunk, [(3, 0), (6, 1), (2, 1)], bound).verdict in ("impossible", "undecided")


def test_lengths_with_hundreds_of_digits_harm_nothing() -> None:
    huge = 10**400
    assert pack([huge, 4], [huge - 1, 4]).verdict == "fits"
    assert pack([huge], [huge + 1]).verdict == "impossible"
    assert pack([3 * huge, 3 * huge], [2 * huge] * 3).verdict == "undecided"
    assert pack_stages([[(huge, huge + 9)], [(0, 3 * huge)]], [(2, 0), (3 * huge - 2, 1)]).verdict == "undecided"
    assert not most_that_fits([3 * huge, 3 * huge], [2 * huge] * 3).proved


def test_many_things_do_not_exhaust_the_stack() -> None:
    assert pack([3] * 3000 + [2] * 3000, [3] * 2999 + [2] * 3001).verdict == "fits"
    assert pack([3] * 1500 + [4], [2] * 1503).verdict == "impossible"
    grown: Stages = [[(0, 3000)], [(0, 6000)]]
    assert pack_stages(grown, [(1, 0)] * 2000 + [(2, 1)] * 2000).verdict == "fits"


@pytest.mark.parametrize(
    ("runs", "items", "message"),
    [([-1], [], "a run of -1 HP"), ([4], [0], "a thing of 0 HP: at least 1 HP is due")],
)
def test_widths_that_are_none_are_refused(runs: list[int], items: list[int], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        pack(runs, items)
    with pytest.raises(ValueError, match=message):
        most_that_fits(runs, items)


def test_the_narrowest_choice_is_left_out() -> None:
    """8 HP and 6 HP free for 8, 5, 4 and 2: all but the 5 fit.  The thing wider than every run is left out too."""
    chosen = most_that_fits([8, 6], [5, 8, 4, 30, 2])
    assert chosen.left_out == (0, 3)
    assert chosen.left_out_width == 35
    assert chosen.proved
    assert chosen.places == (None, 0, 1, None, 1)


def test_of_equal_things_the_later_is_left_out() -> None:
    assert most_that_fits([6, 6], [6, 6, 6]).places == (0, 1, None)


def test_a_block_stands_where_the_later_thing_leaves_it_room() -> None:
    """2 HP in the middle of a row of 11 HP that is opened later: 5 + 2 + 4 works only from 5 HP on or from 4 HP."""
    stages: Stages = [[(4, 8)], [(0, 11)]]
    packed = pack_stages(stages, [(2, 0), (5, 1), (4, 1)])
    assert packed.verdict == "fits"
    check_starts(stages, [(2, 0), (5, 1), (4, 1)], packed.starts)
    assert pack_stages([[(6, 8)], [(0, 11)]], [(2, 0), (5, 1), (4, 1)]).verdict == "impossible"


def test_a_thing_cannot_wait_for_the_room() -> None:
    stages: Stages = [[(0, 6)], [(0, 20)]]
    assert pack_stages(stages, [(8, 0)]).verdict == "impossible"
    assert pack_stages(stages, [(8, 1)]) == ("fits", (0,), 0)


def test_touching_intervals_are_one() -> None:
    assert pack_stages([[(3, 6), (0, 3)]], [(6, 0)]).starts == (0,)


@pytest.mark.parametrize(
    ("stages", "items", "message"),
    [
        ([[(0, 6)], [(1, 9)]], [], "0 to 6 HP is free at stage 0, but not at stage 1"),
        ([[(0, 6)]], [(2, 1)], "stage 1 is not one of the 1 stages"),
        ([[(6, 0)]], [], "ends before it starts"),
        ([[(0, 6)]], [(0, 0)], "a thing of 0 HP"),
    ],
)
def test_stages_that_make_no_sense_are_refused(stages: Stages, items: list[tuple[int, int]], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        pack_stages(stages, items)


@settings(deadline=None, derandomize=True)
@given(RUNS, ITEMS)
def test_verdict_and_places_agree_with_trying_everything(runs: list[int], items: list[int]) -> None:
    least = least_left_out(runs, items)
    packed = pack(runs, items)
    assert packed.verdict == ("impossible" if least else "fits")
    if packed.verdict == "fits":
        check_places(runs, items, packed.places)
    chosen = most_that_fits(runs, items)
    assert chosen.proved
    assert chosen.left_out_width == least == sum(items[index] for index in chosen.left_out)
    check_places(runs, items, chosen.places)


@settings(deadline=None, derandomize=True)
@given(st.data(), st.lists(st.integers(5, 40), min_size=1, max_size=6), st.lists(st.integers(2, 20), max_size=16))
def test_the_order_does_not_change_the_verdict(data: st.DataObject, runs: list[int], items: list[int]) -> None:
    shuffled = pack(data.draw(st.permutations(runs)), data.draw(st.permutations(items)))
    assert shuffled[::2] == pack(runs, items)[::2]


@settings(deadline=None, derandomize=True)
@given(growing_racks())
def test_stages_agree_with_trying_everything(rack: tuple[Stages, list[tuple[int, int]]]) -> None:
    stages, items = rack
    packed = pack_stages(stages, items)
    assert packed.verdict == ("fits" if starts_exist(stages, items) else "impossible")
    if packed.verdict == "fits":
        check_starts(stages, items, packed.starts)


@settings(deadline=None, derandomize=True)
@given(RUNS, ITEMS)
def test_one_stage_is_plain_packing(runs: list[int], items: list[int]) -> None:
    stage = [(10_000 * row, 10_000 * row + length) for row, length in enumerate(runs)]
    grown = pack_stages([stage, stage], [(width, index % 2) for index, width in enumerate(items)])
    assert grown.verdict == pack(runs, items).verdict

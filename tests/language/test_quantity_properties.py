"""Numbers stay exact whatever is written: hypotheses over measures, sums, tolerances, ranges and how they are shown."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackspec.language.lines import read_shape
from rackspec.language.quantity import MOST_DIGITS, Money, Quantity, plain_number, read_number, show, show_hp
from rackspec.language.units import BASE_SYMBOL, UNITS
from rackspec.language.values import Value

exactly_read = settings(deadline=None, max_examples=150)

whole_numbers = st.integers(0, 10**6)
decimals = st.builds(
    lambda whole, part: f"{whole}.{part}", whole_numbers, st.text("0123456789", min_size=1, max_size=8)
)
fractions = st.builds(lambda over, under: f"{over}/{under}", whole_numbers, st.integers(1, 999))
mixed = st.builds(lambda whole, fraction: f"{whole} {fraction}", whole_numbers, fractions)
numbers = st.one_of(whole_numbers.map(str), decimals, fractions, mixed)
signs = st.sampled_from(["", "+", "-"])
SPELLINGS = sorted(spelling for spelling in UNITS if "_" not in spelling)
"""Names with an underscore are for pint; a builder writes 3U, not 3rack_unit."""
units = st.sampled_from(SPELLINGS)
lengths = st.sampled_from([spelling for spelling in SPELLINGS if UNITS[spelling].dimension == "length"])
exact = st.fractions(min_value=-(10**9), max_value=10**9, max_denominator=10**6)


def value_of(text: str) -> Value:
    """The value that a text is, read as a builder's line would be."""
    shape = read_shape(f"word {text}")
    assert shape.slips == (), (text, shape.slips)
    assert len(shape.values) == 2, shape.values
    return shape.values[1]


def quantity_of(text: str) -> Quantity:
    """The quantity that a text is."""
    value = value_of(text)
    assert value.slip is None, value.slip
    assert isinstance(value.data, Quantity)
    return value.data


def by_hand(number: str) -> Fraction:
    """The value of a number, worked out by Python's own reading of its parts."""
    sign = -1 if number.startswith("-") else 1
    return sign * sum((Fraction(part) for part in number.lstrip("+-").split()), Fraction(0))


# --- reading


@exactly_read
@given(signs, numbers)
def test_a_number_is_what_it_says(sign: str, number: str) -> None:
    """Whole, decimal, fraction and mixed number, exactly."""
    value = read_number(sign + number)
    assert type(value) is Fraction
    assert value == by_hand(sign + number)


@exactly_read
@given(signs, numbers, units)
def test_a_measure_is_number_times_unit(sign: str, number: str, unit: str) -> None:
    """In base units, with all three ends alike, and never a float."""
    quantity = quantity_of(f"{sign}{number}{unit}")
    assert quantity.dimension == UNITS[unit].dimension
    assert quantity.value == by_hand(sign + number) * UNITS[unit].factor
    assert quantity.low == quantity.value == quantity.high
    assert quantity.exact
    assert {type(quantity.low), type(quantity.value), type(quantity.high)} == {Fraction}


@exactly_read
@given(signs, numbers, units)
def test_a_quantity_keeps_its_text(sign: str, number: str, unit: str) -> None:
    """Reading what was kept gives the same quantity again."""
    quantity = quantity_of(f"{sign}{number}{unit}")
    assert quantity_of(quantity.text) == quantity


@exactly_read
@given(st.integers(MOST_DIGITS + 1, 900), st.sampled_from(["", "."]))
def test_a_number_that_cannot_be_meant(digits: int, point: str) -> None:
    """More digits than anything measured has: a slip, in any form."""
    number = "7" + point + "3" * digits
    with pytest.raises(ValueError, match="too many digits"):
        read_number(number)
    value = value_of(number + "mm")
    assert value.data is None
    assert value.slip is not None
    assert value.slip.rule == "line-not-understood"


@exactly_read
@given(st.integers(0, 10**12), st.integers(0, 99), st.sampled_from(["EUR", "GBP", "XTS"]))
def test_a_sum_of_money_is_exact(whole: int, cents: int, currency: str) -> None:
    """In its own currency."""
    data = value_of(f"{whole}.{cents:02d} {currency}").data
    assert isinstance(data, Money)
    assert (data.value, data.currency) == (Fraction(whole * 100 + cents, 100), currency)
    assert type(data.value) is Fraction


# --- the same length in other words


@exactly_read
@given(st.integers(-9_999, 9_999))
def test_hp_and_millimetres_and_inches(hp: int) -> None:
    """1HP = 5.08mm = 1/5in (IEC 60297-3-101), for every count of them."""
    sign = "-" if hp < 0 else ""
    same = {
        quantity_of(f"{hp}HP").value,
        quantity_of(f"{sign}{abs(hp) * 508 // 100}.{abs(hp) * 508 % 100:02d}mm").value,
        quantity_of(f"{sign}{abs(hp)}/5in").value,
        quantity_of(f"{hp * 200}thou").value,
    }
    assert same == {Fraction(hp * 508, 100)}


@exactly_read
@given(st.integers(0, 999))
def test_rack_units_and_inches(units_high: int) -> None:
    """1U = 44.45mm = 1 3/4in (IEC 60297-3-100), for every count of them."""
    same = {
        quantity_of(f"{units_high}U").value,
        quantity_of(f"{units_high * 7}/4in").value,
        quantity_of(f"{units_high * 4445 // 100}.{units_high * 4445 % 100:02d}mm").value,
    }
    assert same == {Fraction(units_high * 4445, 100)}


def test_one_length_in_many_words() -> None:
    """84HP, as six people would write it."""
    written = ("84HP", "16.8in", "16 4/5in", "426.72mm", "42.672cm", "400mm plus 26.72mm", "0.42672m", "1.4ft")
    assert {quantity_of(text).value for text in written} == {Fraction("426.72")}


@exactly_read
@given(st.integers(0, 10**6))
def test_amperes_and_milliamperes(current: int) -> None:
    """The decimal point moves and nothing is lost."""
    assert quantity_of(f"{current}mA").value == quantity_of(f"{current // 1000}.{current % 1000:03d}A").value == current


# --- sums, tolerances, ranges


@exactly_read
@given(
    st.lists(st.tuples(st.sampled_from(["plus", "minus"]), numbers, lengths), min_size=1, max_size=5), numbers, lengths
)
def test_a_sum_is_the_sum(terms: list[tuple[str, str, str]], number: str, unit: str) -> None:
    """Terms in different units, added and taken away."""
    text = f"{number}{unit}" + "".join(f" {sign} {other}{of}" for sign, other, of in terms)
    expected = by_hand(number) * UNITS[unit].factor
    for sign, other, of in terms:
        expected += (1 if sign == "plus" else -1) * by_hand(other) * UNITS[of].factor
    quantity = quantity_of(text)
    assert quantity.value == quantity.low == quantity.high == expected
    assert quantity_of(quantity.text) == quantity


@exactly_read
@given(numbers, lengths, numbers, lengths)
def test_the_order_of_a_sum_does_not_matter(first: str, unit: str, second: str, other: str) -> None:
    """a plus b is b plus a, and taking b away again gives a."""
    one, two = f"{first}{unit}", f"{second}{other}"
    assert quantity_of(f"{one} plus {two}").value == quantity_of(f"{two} plus {one}").value
    assert quantity_of(f"{one} plus {two} minus {two}").value == quantity_of(one).value


@exactly_read
@given(numbers, lengths, numbers, lengths)
def test_a_tolerance_lies_around_its_value(number: str, unit: str, off: str, of: str) -> None:
    """Both ends equally far away, and the nominal value is kept."""
    quantity, plain = quantity_of(f"{number}{unit} +-{off}{of}"), quantity_of(f"{number}{unit}")
    assert quantity.value == plain.value
    assert quantity.low <= quantity.value <= quantity.high
    assert quantity.high - quantity.value == quantity.value - quantity.low == by_hand(off) * UNITS[of].factor
    assert quantity_of(f"{number}{unit} ± {off}{of}")[:4] == quantity[:4]


@exactly_read
@given(numbers, lengths, numbers, lengths, numbers, lengths)
def test_two_limits(number: str, unit: str, up: str, of: str, down: str, other: str) -> None:
    """Upper and lower limit, each with its own unit."""
    quantity = quantity_of(f"{number}{unit} +{up}{of}/-{down}{other}")
    assert quantity.low <= quantity.value <= quantity.high
    assert quantity.high == quantity.value + by_hand(up) * UNITS[of].factor
    assert quantity.low == quantity.value - by_hand(down) * UNITS[other].factor
    assert quantity_of(quantity.text) == quantity


@exactly_read
@given(signs, numbers, lengths, signs, numbers, lengths)
def test_a_tolerance_has_no_sign_of_its_own(sign: str, number: str, unit: str, other: str, off: str, of: str) -> None:
    """However it is written, its lower end is never above its upper end; if it is taken at all."""
    shape = read_shape(f"word {sign}{number}{unit} +- {other}{off}{of}")
    if shape.slips or any(value.slip for value in shape.values):
        return
    quantity = shape.values[1].data
    assert quantity.low <= quantity.value <= quantity.high


@exactly_read
@given(signs, numbers, lengths, signs, numbers, lengths)
def test_a_range_is_in_order(sign: str, number: str, unit: str, other: str, second: str, of: str) -> None:
    """Nominal in the middle; one that runs backwards is a slip, and is read as it was meant."""
    first, last = quantity_of(f"{sign}{number}{unit}"), quantity_of(f"{other}{second}{of}")
    value = value_of(f"{first.text}..{last.text}")
    quantity = value.data
    assert isinstance(quantity, Quantity)
    assert quantity.low == min(first.value, last.value)
    assert quantity.high == max(first.value, last.value)
    assert quantity.value == (quantity.low + quantity.high) / 2
    assert type(quantity.value) is Fraction
    assert (value.slip is not None) == (first.value > last.value)
    if value.slip is not None:
        assert value.slip.mend is not None
        assert quantity_of(value.slip.mend)[:4] == quantity[:4]


@exactly_read
@given(numbers, units, numbers, units, st.sampled_from([" plus ", " minus ", "..", " +-"]))
def test_kinds_are_never_mixed(number: str, unit: str, second: str, other: str, sign: str) -> None:
    """A length and a current have no sum, no tolerance and no range."""
    value = value_of(f"{number}{unit}{sign}{second}{other}")
    if UNITS[unit].dimension == UNITS[other].dimension:
        assert value.data is not None
    else:
        assert value.data is None
        assert value.slip is not None
        assert value.slip.rule == "wrong-dimension"


# --- showing


@exactly_read
@given(exact, st.integers(0, 6))
def test_a_shown_number_is_cut_towards_zero(value: Fraction, places: int) -> None:
    """What is shown is never further from zero than the value; if it is less, it says so with ``~``."""
    text = plain_number(value, places)
    shown = Fraction(text.removeprefix("~"))
    assert abs(shown) <= abs(value) < abs(shown) + Fraction(1, 10**places)
    assert text.startswith("~") == (shown != value)
    assert shown == 0 or (shown < 0) == (value < 0)


@exactly_read
@given(exact, st.integers(0, 6))
def test_a_shown_number_is_short(value: Fraction, places: int) -> None:
    """No zeros behind the last place that counts, no minus in front of nothing, no exponent."""
    text = plain_number(value, places).removeprefix("~")
    assert text != "-0"
    assert len(text.partition(".")[2]) <= places
    assert not ("." in text and text.endswith(("0", ".")))
    assert set(text) <= set("-.0123456789")


@exactly_read
@given(st.integers(-(10**9), 10**9), st.sampled_from(sorted(BASE_SYMBOL)))
def test_what_is_shown_can_be_read_again(thousandths: int, dimension: str) -> None:
    """A value that ends within three places comes back as it was, in any dimension."""
    value = Fraction(thousandths, 1000)
    text = show(value, dimension)
    if not text.startswith("~"):
        again = quantity_of(text)
        assert (again.dimension, again.value) == (dimension, value)


@exactly_read
@given(exact, st.sampled_from(sorted(BASE_SYMBOL)))
def test_what_is_cut_says_so(value: Fraction, dimension: str) -> None:
    """``~`` stands in front if and only if the text is not the whole value."""
    text = show(value, dimension)
    bare = text.replace("~", "", 1)
    assert ("~" in text) == (quantity_of(bare).value != value)


@exactly_read
@given(st.integers(-(10**6), 10**6))
def test_hp_are_shown_as_hp(hundredths: int) -> None:
    """A length that is a whole number of hundredths of one HP comes back from its HP."""
    value = Fraction(hundredths, 100) * UNITS["HP"].factor
    assert quantity_of(show_hp(value)).value == value


def test_a_third_is_never_a_round_number() -> None:
    """Neither up nor down, and with its sign behind the mark."""
    assert plain_number(Fraction(1, 3)) == "~0.333"
    assert plain_number(Fraction(2, 3)) == "~0.666"
    assert plain_number(Fraction(-2, 3)) == "~-0.666"
    assert plain_number(Fraction(1, 10_000)) == "~0"
    assert plain_number(Fraction(-1, 10_000)) == "~0"
    assert plain_number(Fraction(7, 2), 0) == "~3"

"""Every unit of grammar/units.txt goes in; pint (0.25.3, BSD-3) and scipy.constants (1.17.1, BSD-3) must agree with it.

The values behind both packages: the international inch, foot, pound and ounce (agreement of 1959) and the SI prefixes
(BIPM, SI brochure). HP and U are in neither package: IEC 60297-3-101 and -3-100 are their sources, see test_lengths.py.
"""

from __future__ import annotations

from fractions import Fraction
from math import isclose
from pathlib import Path
from typing import Any
from unicodedata import normalize

import pint
import pytest
import scipy.constants

import rackspec
from rackspec.language.folder import grammar_text
from rackspec.language.foreign import in_our_units
from rackspec.language.units import BASE_SYMBOL, UNITS, Unit

BY_NAME: dict[str, Unit] = {unit.name: unit for unit in UNITS.values()}
ONLY_OURS = {"horizontal_pitch", "rack_unit", "square_millimetre"}
"""Names that pint's default registry has not: HP and U are units of this trade, mm2 it has only as a power of mm."""


@pytest.fixture(scope="module")
def same_file(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """pint's own reading of our definitions file."""
    path = tmp_path_factory.mktemp("units") / "units.txt"
    path.write_text(grammar_text("units.txt"), "utf-8")
    return pint.UnitRegistry(str(path), non_int_type=Fraction)


@pytest.fixture(scope="module")
def default_registry() -> Any:
    """pint's default registry, with exact numbers."""
    return pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize("spelling", sorted(UNITS))
def test_pint_reads_the_same_file_alike(same_file: Any, spelling: str) -> None:
    """pint (0.25.3 and 0.26.2) on our file: the same name, dimension and exact factor behind every spelling.

    A raised figure is ours: ``mm²`` is ``mm2``, and pint takes no such name.
    """
    ours = UNITS[spelling]
    assert ours is UNITS[spelling.replace("²", "2")]
    name = same_file.get_name(spelling.replace("²", "2"))
    factor, reference = same_file.get_root_units(name)
    assert name == ours.name
    assert Fraction(factor) == ours.factor
    assert same_file.get_dimensionality(name) == {f"[{ours.dimension}]": 1}
    assert reference == same_file.get_root_units(same_file.get_name(BASE_SYMBOL[ours.dimension]))[1]


@pytest.mark.parametrize("dimension", sorted(BASE_SYMBOL))
def test_no_unit_is_lost(same_file: Any, dimension: str) -> None:
    """pint 0.25.3 on our file: it finds the same units in each dimension as our own reader."""
    theirs = {str(unit) for unit in same_file.get_compatible_units(UNITS[BASE_SYMBOL[dimension]].name, "root")}
    assert theirs == {unit.name for unit in UNITS.values() if unit.dimension == dimension}


def test_one_file_only() -> None:
    """The table is made from the file in grammar/ and not from a copy that lies somewhere else."""
    path = Path(rackspec.__file__).parents[1] / "grammar" / "units.txt"
    assert not path.exists() or path.read_text("utf-8") == grammar_text("units.txt")


@pytest.mark.parametrize("name", sorted(set(BY_NAME) - ONLY_OURS))
def test_ratios_are_those_of_pints_default_registry(default_registry: Any, name: str) -> None:
    """Each unit against the base unit of its dimension, by full names, exactly (pint 0.25.3, its own definitions).

    Full names because its short ones mean other things: see test_short_names_are_traps.
    """
    ours = BY_NAME[name]
    reference = UNITS[BASE_SYMBOL[ours.dimension]].name
    assert default_registry.Quantity(Fraction(1), name).to(reference).magnitude == ours.factor


def test_square_millimetre_is_the_square_of_the_millimetre(default_registry: Any) -> None:
    """1 mm2 is 1e-6 m2 (SI); pint 0.25.3 has it as a power only."""
    square = default_registry.Quantity(UNITS["mm2"].factor, "millimetre**2")
    assert square.to("metre**2").magnitude == Fraction(1, 1_000_000)


def test_short_names_are_traps(default_registry: Any) -> None:
    """Why the default registry must not read specs: in pint 0.25.3 ``mil`` is an angle and ``U`` counts enzymes."""
    assert default_registry.get_name("U") == "enzyme_unit"
    assert default_registry.get_dimensionality("mil") == {}
    assert default_registry.Quantity(1, "mil").is_compatible_with("degree")
    assert UNITS["U"].dimension == UNITS["thou"].dimension == "length"
    assert "mil" not in UNITS
    assert not any(name in default_registry for name in ("horizontal_pitch", "rack_unit"))


METRE = Fraction(1000)
KILOGRAM = Fraction(1000)


@pytest.mark.parametrize(
    ("spelling", "constant", "base_units_in_one"),
    [
        ("mm", scipy.constants.milli, METRE),
        ("cm", scipy.constants.centi, METRE),
        ("um", scipy.constants.micro, METRE),
        ("in", scipy.constants.inch, METRE),
        ("ft", scipy.constants.foot, METRE),
        ("thou", scipy.constants.mil, METRE),
        ("g", scipy.constants.gram, KILOGRAM),
        ("mg", scipy.constants.milli * scipy.constants.gram, KILOGRAM),
        ("lb", scipy.constants.pound, KILOGRAM),
        ("oz", scipy.constants.ounce, KILOGRAM),
        ("mA", scipy.constants.milli, Fraction(1000)),
        ("uA", scipy.constants.micro, Fraction(1000)),
        ("mV", scipy.constants.milli, Fraction(1)),
        ("mW", scipy.constants.milli, Fraction(1)),
        ("mm2", scipy.constants.milli**2, METRE**2),
        ("deg", scipy.constants.degree, 180 / Fraction(scipy.constants.pi)),
        ("d", scipy.constants.day, Fraction(1, 86_400)),
    ],
)
def test_factors_are_those_of_scipy(spelling: str, constant: float, base_units_in_one: Fraction) -> None:
    """scipy.constants 1.17.1 gives SI units as floats: equal up to their rounding (1e-15)."""
    assert isclose(float(UNITS[spelling].factor), constant * float(base_units_in_one), rel_tol=1e-15)


def test_alternative_spellings_are_one_unit() -> None:
    """Micro is written u, µ (U+00B5) or μ (U+03BC), which Unicode folds into one (NFKC); all are one prefix."""
    assert normalize("NFKC", "\u00b5") == "\u03bc"
    for symbol in "mA":
        assert UNITS[f"u{symbol}"] == UNITS[f"\u00b5{symbol}"] == UNITS[f"\u03bc{symbol}"]
    assert UNITS["mm2"] == UNITS["mm²"]
    assert UNITS["deg"] == UNITS["°"]


@pytest.mark.parametrize(
    ("number", "unit", "expected", "symbol"),
    [
        ("1", "yard", scipy.constants.yard * 1000, "mm"),
        ("1/3", "yard", scipy.constants.foot * 1000, "mm"),
        ("1", "mile", scipy.constants.mile * 1000, "mm"),
        ("72", "point", 72 * scipy.constants.point * 1000, "mm"),
        ("1", "nautical_mile", scipy.constants.nautical_mile * 1000, "mm"),
        ("3", "dm", 3 * scipy.constants.deci * 1000, "mm"),
        ("1", "carat", scipy.constants.carat * 1000, "g"),
        ("1", "kA", scipy.constants.kilo * 1000, "mA"),
        ("0.012", "kV", 12.0, "V"),
        ("0.06", "kW", 60.0, "W"),
        ("2", "cm²", 2 * scipy.constants.centi**2 * 1e6, "mm2"),
    ],
)
def test_remedies_for_foreign_units(number: str, unit: str, expected: float, symbol: str) -> None:
    """What a remedy offers for a unit that is not the language's is right (scipy.constants 1.17.1; SI prefixes)."""
    offered = in_our_units(number, unit)
    assert offered.endswith(symbol), offered
    assert isclose(float(offered.removesuffix(symbol)), expected, rel_tol=1e-12)


@pytest.mark.parametrize(("number", "unit"), [("1", "stone"), ("1", "mil"), ("1", "gauss"), ("1", "florble")])
def test_no_remedy_where_none_is_exact(number: str, unit: str) -> None:
    """Nothing is offered that has more than three places (a stone is 6350.29318 g), or is no length, mass … at all."""
    assert in_our_units(number, unit) == ""

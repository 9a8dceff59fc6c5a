"""Command lines that are read without a parser: the same options as with one, and nothing that only one can read."""

from __future__ import annotations

import pytest

from rackspec.cli.inspect import Options, plain_options
from rackspec.cli.main import parser_of


@pytest.mark.parametrize(
    "given",
    [
        [],
        ["a"],
        ["-"],
        ["a", "b c", "-"],
        ["--no-cache"],
        ["--no-cache", "a"],
        ["--on", "2026-11-25"],
        ["--on", "2026-11-25", "a", "b", "--no-cache"],
        ["--on", "2026-11-25", "--on", "2026-11-26", "a"],
        ["--on", ""],
    ],
)
def test_the_same_options_with_and_without_a_parser(given: list[str]) -> None:
    """Field by field."""
    with_parser = Options(**vars(parser_of("inspect").parse_args(given)))
    assert plain_options(given) == with_parser._replace(also=(), write=())
    assert (with_parser.also, with_parser.write) == ([], [])


@pytest.mark.parametrize(
    "given",
    [["--"], ["--on"], ["--on", "--no-cache"], ["--on=2026-11-25"], ["--no-c"], ["-h"], ["a", "--fail-at", "error"]],
)
def test_the_rest_is_left_to_the_parser(given: list[str]) -> None:
    """It knows what is wrong with it, or what it means."""
    assert plain_options(given) is None

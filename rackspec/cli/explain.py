"""``rackspec explain``: in: a word, out: its page: a rule, word, value, unit, limit or command, or a list of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rackspec.cli.main import COMMANDS, DONE, Failure
from rackspec.language.suggest import did_you_mean
from rackspec.views.explanations import explanation, suggestions

if TYPE_CHECKING:
    import argparse


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    help_text = "a word, a rule, a unit, a value (M3x6), a command, or a list: rules, words, units, limits"
    parser.add_argument("word", metavar="WORD", nargs="+", help=help_text)


def run(options: argparse.Namespace) -> int:
    """Print a page."""
    asked = " ".join(" ".join(options.word).split())
    if not asked:
        raise Failure("explain takes a word, a rule, a unit, a command, or a list: rules, words, units, limits")
    page = explanation(asked, COMMANDS)
    if page is None:
        near = suggestions(asked, COMMANDS)
        hint = (
            did_you_mean(near) if near else "'rackspec explain words' and 'rackspec explain rules' list what there is"
        )
        raise Failure(f"nothing is known about '{asked}'; {hint}")
    print(page, end="")
    return DONE

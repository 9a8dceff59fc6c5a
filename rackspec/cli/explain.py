"""``rackspec explain``: in: a word, out: its page: a rule, word of the language, unit or limit, or a list of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rackspec.cli.main import DONE, Failure
from rackspec.language.suggest import did_you_mean, nearest
from rackspec.views.explanations import explanation, topics

if TYPE_CHECKING:
    import argparse


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    help_text = "a word, a rule, a unit, or a list: rules, words, limits"
    parser.add_argument("word", metavar="WORD", nargs="+", help=help_text)


def run(options: argparse.Namespace) -> int:
    """Print a page."""
    asked = " ".join(options.word)
    page = explanation(asked)
    if page is None:
        near = nearest(asked, topics())
        hint = (
            did_you_mean(near) if near else "'rackspec explain words' and 'rackspec explain rules' list what there is"
        )
        raise Failure(f"nothing is known about '{asked}'; {hint}")
    print(page, end="")
    return DONE

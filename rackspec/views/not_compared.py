"""A comment of a review where not everything could be compared: in: reasons, out: the page as text.

It begins as any comment of a comparison does, so that an earlier one, which is no longer true, is found and replaced.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackspec.views.comparison_markdown import MARK
from rackspec.views.findings_markdown import cell
from rackspec.views.text import counted

MOST = 20
"""Reasons that are listed; the others are counted."""
HEAD = f"{MARK}\n\n## rackspec compare\n\n"
IN_PART = "not everything could be read: what is told as new or gone may only be what was not read"
"""Stands before the verdict."""


def not_compared_markdown(reasons: Sequence[str]) -> str:
    """The page where there is no verdict."""
    return f"{HEAD}**not compared: {cell(reasons[0])}**\n" + _listed(reasons[1:], len(reasons))


def in_part_markdown(page: str, reasons: Sequence[str]) -> str:
    """The page of a comparison, which says before its verdict what was not read."""
    assert page.startswith(HEAD)
    return f"{HEAD}**{IN_PART}**\n{_listed(reasons, len(reasons))}\n{page.removeprefix(HEAD)}"


def _listed(reasons: Sequence[str], all_reasons: int) -> str:
    """Reasons as a list."""
    lines = [f"- {cell(reason)}" for reason in reasons[:MOST]]
    if len(reasons) > MOST:
        lines.append(f"- and {counted(len(reasons) - MOST, 'more reason')} of {all_reasons}")
    return "".join(f"{line}\n" for line in ["", *lines]) if lines else ""

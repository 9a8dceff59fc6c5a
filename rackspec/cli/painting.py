"""Colour: in: a stream and the environment, out: whether and how to colour what is written to it."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from rackspec.views.text import Painter


def is_coloured(stream: TextIO) -> bool:
    """Whether to colour for a stream: only a terminal gets colour, and only where nobody asked for none."""
    is_terminal = stream.isatty()
    if os.environ.get("NO_COLOR") or (not is_terminal and not os.environ.get("FORCE_COLOR")):
        return False
    return os.environ.get("TERM") != "dumb" or bool(os.environ.get("FORCE_COLOR"))


def painter(stream: TextIO) -> Painter:
    """What colours for a stream, or leaves everything plain."""
    return painter_for(is_coloured(stream))


def painter_for(coloured: bool) -> Painter:
    """What colours, or leaves everything plain."""
    if coloured:
        from rackspec.views.colour import paint

        return paint
    from rackspec.views.text import plain

    return plain

"""Where the grammar folder is: in: nothing, out: the text of one of its files.

A wheel carries the folder inside the package; an editable install and a bare checkout have it beside the package.
"""

from __future__ import annotations

import os

PACKAGE = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))


def grammar_folder() -> str:
    """The folder that holds rackspec.lark, words.txt and units.txt."""
    inside = os.path.join(PACKAGE, "grammar")
    return inside if os.path.isdir(inside) else os.path.join(os.path.dirname(PACKAGE), "grammar")


def grammar_text(name: str) -> str:
    """The text of the file ``name`` of the grammar folder."""
    with open(os.path.join(grammar_folder(), name), encoding="utf-8") as file:
        return file.read()

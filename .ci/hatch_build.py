"""What a wheel gets besides the package: in: a checkout (or an sdist), out: the grammar folder and its prepared tables.

Building the tables takes lark longer than reading a small rack, so each wheel brings them. An editable install gets
nothing: there the grammar is edited, and ``rackspec/language/grammar.py`` keeps its tables beside the bytecode.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

# in a process of its own: the backend may have imported another rackspec, and -B keeps the checkout free of bytecode
WRITE = """
import sys
sys.path.insert(0, sys.argv[1])
from rackspec.language import grammar
grammar.write_prepared(sys.argv[2])
"""


class CustomBuildHook(BuildHookInterface[Any]):
    """Run by hatchling for each wheel."""

    _folder: tempfile.TemporaryDirectory[str] | None = None

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Add the files, unless ``version`` is ``editable``."""
        if version == "editable":
            return
        self._folder = tempfile.TemporaryDirectory(prefix="rackspec-tables-")
        tables = os.path.join(self._folder.name, "prepared")
        subprocess.run([sys.executable, "-B", "-c", WRITE, self.root, tables], check=True)
        os.chmod(tables, 0o644)
        build_data["force_include"][os.path.join(self.root, "grammar")] = "rackspec/grammar"
        build_data["force_include"][tables] = "rackspec/language/prepared"

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:  # noqa: ARG002
        """Remove what was only needed for building."""
        if self._folder is not None:
            self._folder.cleanup()

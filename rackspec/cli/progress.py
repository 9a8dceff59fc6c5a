"""How far a long run is: in: counts, out: one line on a terminal that is gone when the run is over."""

from __future__ import annotations

import sys
import time

BEFORE = 1.0
"""Seconds in which nothing is shown: most runs are over by then."""
BETWEEN = 0.1


class Progress:
    """A line on standard error, if that is a terminal."""

    def __init__(self, whole: int) -> None:
        self.whole = whole
        self.done = 0
        self._shows = sys.stderr.isatty()
        self._next = time.monotonic() + BEFORE
        self._wide = 0

    def told(self, more: int) -> None:
        """So many more are done."""
        self.done = min(self.done + more, self.whole)
        now = time.monotonic() if self._shows else 0.0
        if not self._shows or now < self._next:
            return
        self._next = now + BETWEEN
        line = f"{self.done} of {self.whole} files"
        self._wide = max(self._wide, len(line))
        sys.stderr.write(f"\r{line}")
        sys.stderr.flush()

    def end(self) -> None:
        """Wipe the line."""
        if self._wide:
            sys.stderr.write("\r" + " " * self._wide + "\r")
            sys.stderr.flush()
            self._wide = 0

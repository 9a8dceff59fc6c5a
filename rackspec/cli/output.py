"""Standard streams as commands see them: in: text, out: UTF-8 bytes. A reader that has seen enough is no fault.

The same bytes come out whatever the locale is. A stream that cannot be written is remembered, and makes the run fail;
one whose reader has gone away is written no further, and changes nothing.
"""

from __future__ import annotations

import io
import os
import sys
from typing import TextIO


class Output(io.TextIOBase):
    """A standard stream that never raises; ``fault`` says why it could not be written, if so."""

    def __init__(self, stream: TextIO | None) -> None:
        self._stream = stream
        self._open = stream is not None
        self.fault = "" if stream is not None else "it is closed"
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")

    @property
    def encoding(self) -> str:  # type: ignore[override]
        """Always UTF-8."""
        return "utf-8"

    def isatty(self) -> bool:
        """Whether it is a terminal."""
        return self._stream is not None and self._stream.isatty()

    def fileno(self) -> int:
        """The descriptor below it. Raises OSError where there is none."""
        if self._stream is None:
            raise OSError("closed")
        return self._stream.fileno()

    def write(self, text: str) -> int:
        """Write, unless that has failed before."""
        if self._open and self._stream is not None:
            try:
                self._stream.write(text)
            except (OSError, ValueError) as error:
                self._stop(error)
        return len(text)

    def write_bytes(self, data: bytes) -> None:
        """Write bytes as they are, behind what was written before."""
        buffer = getattr(self._stream, "buffer", None)
        if buffer is None:
            self.write(data.decode("utf-8", "replace"))
            return
        self.flush()
        if self._open:
            try:
                buffer.write(data)
            except (OSError, ValueError) as error:
                self._stop(error)

    def flush(self) -> None:
        """Hand on what was written."""
        if self._open and self._stream is not None:
            try:
                self._stream.flush()
            except (OSError, ValueError) as error:
                self._stop(error)

    def _stop(self, error: Exception) -> None:
        """Write no further. What is still in the buffer goes nowhere, so that Python has nothing to complain about."""
        self._open = False
        if not isinstance(error, BrokenPipeError):
            self.fault = error.strerror or str(error) if isinstance(error, OSError) else str(error)
        try:
            if self._stream is not None:
                nowhere = os.open(os.devnull, os.O_WRONLY)
                os.dup2(nowhere, self._stream.fileno())
                os.close(nowhere)
        except (OSError, ValueError):
            pass


def read_standard_input() -> bytes:
    """All of standard input. Raises OSError where it is closed."""
    if sys.stdin is None:
        raise OSError(0, "it is closed", "standard input")
    return sys.stdin.buffer.read()

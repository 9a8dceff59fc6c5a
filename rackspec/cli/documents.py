"""Documents beside the text for people: in: what ``--write`` says, out: files; what cannot be written is told."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence

from rackspec.cli.main import Failure
from rackspec.cli.writing import write_whole


def targets(written: Sequence[str], kinds: Sequence[str]) -> list[tuple[str, str]]:
    """The documents to write, as (kind, file). Raises Failure."""
    found = []
    for item in written:
        kind, equals, path = item.partition("=")
        if not equals or not path:
            raise Failure(f"--write takes KIND=FILE, such as json=findings.json, not '{item}'")
        if kind not in kinds:
            raise Failure(f"--write knows no kind '{kind}'; known: {', '.join(kinds)}")
        found.append((kind, path))
    if sum(path == "-" for _, path in found) > 1:
        raise Failure("only one document can go to standard output")
    return found


def to_standard_output(documents: Iterable[tuple[str, str]]) -> bool:
    """Whether a document takes standard output, so that text for people goes elsewhere."""
    return any(path == "-" for _, path in documents)


def write_documents(documents: Iterable[tuple[str, str]]) -> list[str]:
    """Write texts, given as (file, text); each that could not be written, with the reason."""
    failed = []
    for path, text in documents:
        if path == "-":
            sys.stdout.write(text)
            continue
        try:
            write_whole(path, text)
        except OSError as error:
            failed.append(f"{path}: {error.strerror}")
    return failed

"""Documents beside the text for people: in: what ``--write`` says, out: files; what cannot be written is told."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence

from rackspec.cli.main import Failure
from rackspec.cli.writing import keep_specs, write_whole


def targets(written: Sequence[str], kinds: Sequence[str], read: Sequence[str] = ()) -> list[tuple[str, str]]:
    """The documents to write, as (kind, file), none of which is a spec or one of the files to ``read``.

    Raises Failure.
    """
    found: list[tuple[str, str]] = []
    for item in written:
        kind, equals, path = item.partition("=")
        if not equals or not path:
            raise Failure(f"--write takes KIND=FILE, such as json=findings.json, not '{item}'")
        if kind not in kinds:
            raise Failure(f"--write knows no kind '{kind}'; known: {', '.join(kinds)}")
        if path != "-":
            keep_specs(path, read)
            same = [other for _, other in found if other != "-" and os.path.realpath(other) == os.path.realpath(path)]
            if same and (os.path.isfile(path) or not os.path.exists(path)):
                raise Failure(f"{path} is named for two documents; each needs a file of its own")
        elif to_standard_output(found):
            raise Failure("only one document can go to standard output")
        found.append((kind, path))
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

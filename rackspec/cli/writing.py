"""Writing files: in: a path and a text or bytes, out: all of it in the file, or nothing changed at all."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterable

from rackspec.cli.main import Failure
from rackspec.files import SUFFIX


def write_whole(path: str, content: str | bytes) -> None:
    """Write a text (as UTF-8) or bytes through a temporary file in the same folder and a rename, so that no
    half-written file is ever seen.

    The rights of a file that is replaced are kept. Raises OSError.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    target = os.path.realpath(path)
    if os.path.exists(path) and not os.access(path, os.W_OK):  # a new file in its place would not ask
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), path)
    if os.path.exists(path) and not os.path.isfile(path):
        with open(path, "wb") as special:  # a device or pipe cannot be replaced
            special.write(data)
        return
    try:
        _replace(target, data)
    except OSError as error:
        raise OSError(error.errno, error.strerror, path) from None  # nobody knows the name of the temporary file


def keep_specs(path: str, read: Iterable[str] = ()) -> None:
    """Hold back a text for a machine or a page that would take the place of a spec, or of a file that is ``read``.

    Raises Failure.
    """
    if path.endswith(SUFFIX) or os.path.realpath(path).endswith(SUFFIX):
        raise Failure(f"{path} would be overwritten, and is a spec by its name; name another file to write to")
    if os.path.isfile(path) and any(os.path.realpath(path) == os.path.realpath(other) for other in read):
        raise Failure(f"{path} would be overwritten, and is to be read; name another file to write to")


def _replace(target: str, data: bytes) -> None:
    """Put a new file in the place of ``target``, with the rights it had."""
    import tempfile  # most runs write no file, and it takes a tenth of a short one

    handle, temporary = tempfile.mkstemp(dir=os.path.dirname(target), prefix=".rackspec-")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        mode = os.stat(target).st_mode & 0o777 if os.path.exists(target) else 0o666 & ~_mask()
        os.chmod(temporary, mode)
        os.replace(temporary, target)
    except BaseException:
        os.unlink(temporary)
        raise


def _mask() -> int:
    """The mask of rights for new files."""
    mask = os.umask(0)
    os.umask(mask)
    return mask

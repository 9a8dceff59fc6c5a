"""Writing files: in: a path and a text, out: the whole text in the file, or nothing changed at all."""

from __future__ import annotations

import os
import tempfile


def write_whole(path: str, text: str) -> None:
    """Write a text through a temporary file in the same folder and a rename, so that no half-written file is ever seen.

    The rights of a file that is replaced are kept. Raises OSError.
    """
    folder = os.path.dirname(os.path.abspath(path))
    target = os.path.realpath(path)
    if os.path.exists(target) and not os.path.isfile(target):
        with open(target, "w", encoding="utf-8") as special:  # a device or pipe cannot be replaced
            special.write(text)
        return
    handle, temporary = tempfile.mkstemp(dir=os.path.dirname(target) or folder, prefix=".rackspec-")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
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

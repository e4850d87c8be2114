"""Files that somebody gave: ordinary ones only, and never more of them than asked for."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path


def check_ordinary(path: Path) -> None:
    """Refuse what is no ordinary file, without opening it: a pipe would wait, and a device may never end.

    An IsADirectoryError if it is a directory, an OSError if it is not there or neither a file nor a directory.
    """
    mode = path.stat().st_mode
    if stat.S_ISDIR(mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if not stat.S_ISREG(mode):
        raise OSError(errno.EINVAL, "no ordinary file")


def read_given(path: Path, *, most: int) -> bytes:
    """Read an ordinary file.

    Its content, or the first `most` + 1 [bytes]: enough to know that it is too large. An OSError if it is no ordinary
    file, or cannot be read.
    """
    check_ordinary(path)
    with path.open("rb") as file:
        return file.read(most + 1)

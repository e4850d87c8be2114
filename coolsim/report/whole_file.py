"""Files that are whole or not there: written under a temporary name in the same folder, then renamed."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import stat
import tempfile
from pathlib import Path

from coolsim.errors import OutputError

_ADVICE = {
    errno.ENOENT: ("there is no such folder", "Create the folder or give another path"),
    errno.ENOTDIR: ("a part of the path is a file, not a folder", "Give another path"),
    errno.EISDIR: ("it is a directory", "Give the name of a file in it"),
    errno.EACCES: ("no permission to write there", "Change the permissions of the folder or give another path"),
    errno.EPERM: ("no permission to write there", "Change the permissions of the folder or give another path"),
    errno.EROFS: ("the file system is read-only", "Give a path on another one"),
    errno.ENOSPC: ("the disk is full", "Free some space or give a path on another disk"),
    errno.EDQUOT: ("the disk quota is used up", "Free some space or give a path on another disk"),
    errno.ENAMETOOLONG: ("the name is too long", "Give a shorter one"),
    errno.EFBIG: ("the file is too large for the file system", "Give a path on another disk"),
}

_SUFFIX = ".part"
# What tempfile.mkstemp makes of the name of a file.
_LEFT_BEHIND = re.compile(r"\..{1,40}\.[a-z0-9_]{8}\.part", re.DOTALL)
_DAY = 86400.0  # s


def write_bytes(path: Path | str, content: bytes) -> Path:
    """Write a file so that it is either complete or, on any failure, as it was before; OutputError if it cannot be."""
    path = Path(path)
    try:
        _replace(path, content)
    except (OSError, ValueError) as error:
        raise refused(path, error) from error
    return path


def write_text(path: Path | str, text: str) -> Path:
    """Write a text as UTF-8, with its line ends as they are; see `write_bytes`."""
    return write_bytes(path, text.encode("utf-8"))


def append_bytes(path: Path, content: bytes) -> Path:
    """Add lines at the end of a file in one piece, so that no kill leaves half of them; OutputError if it cannot be.

    The system puts what two commands add at once one behind the other.
    """
    try:
        flags = os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0)
        handle = os.open(path, flags, 0o666)
        try:
            if (written := os.write(handle, content)) < len(content):
                # The disk is full: half a line is no use to anybody.
                os.ftruncate(handle, os.fstat(handle).st_size - written)
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            os.fsync(handle)
        finally:
            os.close(handle)
    except (OSError, ValueError) as error:
        raise refused(path, error) from error
    return path


def try_folder(folder: Path) -> None:
    """Find out whether a folder takes new files, by making one and deleting it; OutputError if it does not.

    Permissions do not tell: root has them all, and a file system may be read-only or full.
    """
    try:
        handle, temporary = tempfile.mkstemp(prefix=".coolsim.", suffix=_SUFFIX, dir=folder)
        os.close(handle)
        os.unlink(temporary)
    except OSError as error:
        raise refused(folder, error) from error


def refused(path: Path, error: OSError | ValueError) -> OutputError:
    """Word what the file system says about a file that is to be written: which, what happened and what to do."""
    if isinstance(error, OSError):
        unknown = (error.strerror or str(error), "Give another path")
        reason, advice = _ADVICE.get(error.errno or 0, unknown)
        return OutputError(f"{path}: cannot be written: {reason}. {advice}.")
    # Python's own words for a NUL or half a surrogate pair in a path.
    return OutputError(f"{str(path)!r}: cannot be written: not a possible name ({error}). Give another path.")


def _replace(path: Path, content: bytes) -> None:
    # A link is written through, as every editor does; os.replace would put a file in its place.
    target = path.resolve() if path.is_symlink() else path
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    handle, temporary = tempfile.mkstemp(prefix=f".{target.name[:40]}.", suffix=_SUFFIX, dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            _clear(target.parent, os.fstat(handle).st_mtime)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, _mode(target))
        os.replace(temporary, target)
    except BaseException:
        # An interrupt, too, must not leave the temporary file behind.
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise


def _clear(folder: Path, now: float) -> None:
    """Delete temporary files that a kill left behind; a younger one may be another command's, at work."""
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if _LEFT_BEHIND.fullmatch(entry.name) is None:
                continue
            with contextlib.suppress(OSError):
                found = entry.stat(follow_symlinks=False)
                if stat.S_ISREG(found.st_mode) and now - found.st_mtime > _DAY:
                    os.unlink(entry.path)


def _mode(target: Path) -> int:
    """Permissions of the file that is replaced, or those a new file would get: mkstemp's are its owner's only."""
    with contextlib.suppress(FileNotFoundError):
        return target.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask

"""Standard output and standard error, whatever stands behind them: nobody, a full disk, a reader that went away."""

from __future__ import annotations

import errno
import io
import os
import select
import sys
from typing import TextIO

from coolsim.errors import OutputError


class _Output(io.FileIO):
    """Standard output: a reader that went away has read enough, anything else that fails is said once."""

    def write(self, data: object) -> int:
        """Write bytes, all to nowhere once the reader is gone."""
        try:
            return _written(self, data)
        except BrokenPipeError:
            _drop(self)
        except OSError as error:
            _drop(self)
            reason = "it is closed" if error.errno == errno.EBADF else error.strerror
            raise OutputError(
                f"standard output: cannot be written: {reason}. Send it somewhere else; files were not written."
            ) from error
        return len(memoryview(data))  # type: ignore[arg-type]


class _Notes(io.FileIO):
    """Standard error: if it fails there is nowhere left to say so, and the exit code stays."""

    def write(self, data: object) -> int:
        """Write bytes, or leave it."""
        try:
            return _written(self, data)
        except OSError:
            _drop(self)
        return len(memoryview(data))  # type: ignore[arg-type]


def guard_streams() -> None:
    """Put streams in the place of Python's that know what to do when they fail.

    They write what a terminal lacks a letter for, too. A stream that was closed (``>&-``) is there again and fails when
    it is written to; its number is taken, or the next file that is opened would get it, and what is printed with it.
    """
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            number = os.open(os.devnull, os.O_RDONLY)
            # Read-only: whoever writes is told that nobody is there.
            setattr(sys, name, os.fdopen(number, mode, encoding="utf-8", closefd=False))
    sys.stdout = _guarded(sys.stdout, _Output)
    sys.stderr = _guarded(sys.stderr, _Notes)


def _guarded(stream: TextIO, kind: type[io.FileIO]) -> TextIO:
    raw = kind(stream.fileno(), "w", closefd=False)
    return io.TextIOWrapper(
        io.BufferedWriter(raw), encoding=stream.encoding, errors="replace", line_buffering=raw.isatty()
    )


def _written(raw: io.FileIO, data: object) -> int:
    """Write and wait for a reader that is slow, where the stream does not wait by itself."""
    while (count := io.FileIO.write(raw, data)) is None:  # type: ignore[arg-type]
        select.select([], [raw], [])
    return count


def _drop(raw: io.FileIO) -> None:
    """Send what comes from now on nowhere, or Python fails on it again when it exits."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, raw.fileno())
    os.close(nowhere)

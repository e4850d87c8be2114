"""What a sweep has found so far, in one file that survives an interruption.

One JSON object in each line, ``{"point": NAME, "answers": {...}}``, appended whole. Lines go to the disk at once but
are forced onto the medium only every second: a power cut costs a second of work, a slow disk does not slow the sweep.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import time
from pathlib import Path
from types import TracebackType
from typing import Any, BinaryIO, NoReturn, Self

from coolsim.answers.checked import checked_answers
from coolsim.errors import OutputError, ResultFileError

_BETWEEN_SYNCS = 1.0
_LARGEST_FILE = 500_000_000  # bytes; a line takes 1.5 kB
_LONGEST_LINE = 100_000
_LONGEST_NAME = 100
_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EFBIG: "the file is too large for the file system, or for the limit set for this process",
    errno.ENOENT: "there is no such folder",
    errno.ENOTDIR: "a part of the path is a file, not a folder",
    errno.EISDIR: "it is a directory",
    errno.EACCES: "no permission to write there",
    errno.EROFS: "the file system is read-only",
}


class Journal:
    """The file of a sweep, read when it is opened and written line by line.

    `done` holds answers by the name of their point, `asked` the names that were looked for, and `passed_over` the
    numbers of the lines that hold no answers as this version gives them; those are left as they are. A torn last
    line, left by a crash, is dropped. Opening raises ResultFileError if no line is a record, and OutputError if the
    file cannot be read.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.done: dict[str, dict[str, Any]] = {}
        self.asked: set[str] = set()
        self.passed_over: tuple[int, ...] = ()
        self._handle: int | None = None
        self._length = 0
        self._synced_at = float("-inf")
        self._read()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def add(self, name: str, answers: dict[str, Any]) -> None:
        """Append a line; OutputError if it cannot be written: the lines before it are kept, and no half of it is."""
        line = json.dumps({"point": name, "answers": answers}, allow_nan=False).encode() + b"\n"
        try:
            if self._handle is None:
                self._open()
            self._append(line)
            self.done[name] = answers
            self._sync()
        except OSError as error:
            raise self._failed(error) from error

    def close(self) -> None:
        """Force everything onto the medium and close the file."""
        if self._handle is None:
            return
        handle, self._handle = self._handle, None
        try:
            os.fsync(handle)
        except OSError as error:
            raise self._failed(error) from error
        finally:
            os.close(handle)

    def remove(self) -> None:
        """Delete the file, unless it holds points of another sweep or lines that were passed over."""
        self.close()
        if self.done.keys() <= self.asked and not self.passed_over:
            with contextlib.suppress(FileNotFoundError):
                self.path.unlink()

    def _read(self) -> None:
        if self.path.exists() and not self.path.is_file():
            raise OutputError(f"{self.path}: cannot be a journal: it is no ordinary file. Give the name of a file.")
        try:
            with self.path.open("rb") as file:
                if os.fstat(file.fileno()).st_size > _LARGEST_FILE:
                    raise ResultFileError(
                        f"{self.path}: larger than {_LARGEST_FILE // 1_000_000} MB, and the file is left as it is. Give"
                        " another journal."
                    )
                self._take_lines(file)
        except FileNotFoundError:
            return
        except OSError as error:
            raise OutputError(
                f"{self.path}: cannot be read: {_REASONS.get(error.errno or 0, error.strerror)}. Give another journal."
            ) from error

    def _take_lines(self, file: BinaryIO) -> None:
        wrong, records, number = [], 0, 0
        while line := file.readline(_LONGEST_LINE):
            number += 1
            whole = line.endswith(b"\n")
            rest = line
            while rest and not rest.endswith(b"\n"):
                # The rest of a line that is longer than any record.
                rest = file.readline(_LONGEST_LINE)
            if not rest:
                if not line.startswith(b'{"point": '[: len(line)]):
                    raise self._foreign(number)
                break
            self._length = file.tell()
            record = _record(line) if whole else None
            records += record is not None
            name, answers = (None, None) if record is None else (record["point"], checked_answers(record["answers"]))
            if isinstance(name, str) and len(name) <= _LONGEST_NAME and answers is not None:
                self.done[name] = answers
            else:
                wrong.append(number)
        if wrong and not records:
            raise self._foreign(wrong[0])
        self.passed_over = tuple(wrong)

    def _foreign(self, number: int) -> ResultFileError:
        return ResultFileError(
            f"{self.path}: line {number} is not a record of a sweep, and the file is left as it is. Give another"
            " journal, or delete this one to begin again."
        )

    def _open(self) -> None:
        self._handle = os.open(self.path, os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o666)
        # A torn last line goes, or the next one would be glued to it.
        if os.fstat(self._handle).st_size > self._length:
            os.ftruncate(self._handle, self._length)

    def _append(self, line: bytes) -> None:
        if self._handle is None:
            return
        try:
            written = 0
            while written < len(line):
                written += os.write(self._handle, line[written:])
            self._length += len(line)
        except BaseException:
            # A full disk or an interrupt: what reached the disk of this line is no use to anybody.
            with contextlib.suppress(OSError):
                os.ftruncate(self._handle, self._length)
            raise

    def _sync(self) -> None:
        now = time.monotonic()
        if self._handle is not None and now - self._synced_at >= _BETWEEN_SYNCS:
            os.fsync(self._handle)
            self._synced_at = now

    def _failed(self, error: OSError) -> OutputError:
        reason = _REASONS.get(error.errno or 0, error.strerror or str(error))
        return OutputError(
            f"{self.path}: cannot be written: {reason}. {len(self.done)} finished"
            f" {'point is' if len(self.done) == 1 else 'points are'} kept in it; correct that, or give another journal,"
            " and the same command goes on from there."
        )


def _record(line: bytes) -> dict[str, Any] | None:
    """Read a line; None if it is no record of a point."""
    try:
        record = json.loads(line, parse_constant=_no_number)
    except (ValueError, RecursionError):
        return None
    return record if isinstance(record, dict) and record.keys() == {"point", "answers"} else None


def _no_number(word: str) -> NoReturn:
    raise ValueError(f"{word} is no number of JSON")

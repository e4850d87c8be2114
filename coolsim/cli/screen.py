"""What goes to standard output, and what to standard error."""

from __future__ import annotations

import json
import os
import re
import shutil
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from coolsim.solve.integrate import Progress

_RED, _DIM, _PLAIN = "\x1b[1;31m", "\x1b[2m", "\x1b[0m"
_ERASE_LINE = "\r\x1b[K"
_BETWEEN_UPDATES = 0.1  # s
_BAR = 30
# A help text of 80 columns, less its margins and the mark at the end of a broken line.
_LONGEST_EXAMPLE = 80 - 4 - 2


def example(*commands: str) -> str:
    r"""Write the end of a help text: commands to copy, which click must not reflow (``\b``)."""
    lines = [line for one in commands for line in _folded(one)]
    return "\n".join(["\b", "Example:" if len(commands) == 1 else "Examples:", *(f"  {line}" for line in lines)])


def _folded(command: str) -> list[str]:
    """Break a long command before options, so that it can still be copied into a shell as it stands."""
    lines = [""]
    for number, part in enumerate(re.split(r" (?=--)", command)):
        if number and len(lines[-1]) + 1 + len(part) > _LONGEST_EXAMPLE:
            lines[-1] += " \\"
            lines.append(f"    {part}")
        else:
            lines[-1] += f" {part}" if number else part
    return lines


def say(text: str) -> None:
    """Write a result to standard output.

    Whoever closed the other end has read enough: the rest is dropped without a word, and the command goes on to
    write the files it was asked for. What else can fail is an `OutputError`; see `coolsim.cli.streams`.
    """
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def say_json(document: dict[str, Any]) -> None:
    """Write one JSON document to standard output; what is not a finite number has no place in it."""
    say(json.dumps(document, indent=2, allow_nan=False))


def complain(text: str) -> None:
    """Write an error to standard error."""
    _to_stderr(f"{_painted('error:', _RED)} {text}\n")


def warn(text: str) -> None:
    """Write to standard error what was not as it should be, and did not stop the command."""
    _to_stderr(f"warning: {text}\n")


class Screen:
    """Notes beside the result, on standard error; quiet leaves them out."""

    def __init__(self, *, quiet: bool = False) -> None:
        self._quiet = quiet
        self._live = not quiet and sys.stderr.isatty() and os.environ.get("TERM") != "dumb"
        self._shown_at = float("-inf")

    def wrote(self, path: Path) -> None:
        """Say which file was written."""
        if not self._quiet:
            _to_stderr(f"wrote {path}\n")

    def tell(self, text: str) -> None:
        """Say more about what was written."""
        if not self._quiet:
            _to_stderr(f"{text}\n")

    def hint(self, text: str) -> None:
        """Say what to try next, to a person: on a terminal only, so that logs and pipes hold no advice."""
        if self._live:
            _to_stderr(_painted(f"Next: {text}", _DIM) + "\n")

    @contextmanager
    def progress(self, label: str) -> Iterator[Callable[[Progress], None] | None]:
        """Give what a simulation calls after each step; None where nobody watches."""

        def show(progress: Progress) -> None:
            minutes = int(progress.time // 60)
            self._show(f"{label}: {minutes // 60}:{minutes % 60:02d} h, hottest wax {progress.hottest:.0f} °C")

        with self._line():
            yield show if self._live else None

    @contextmanager
    def bar(self, label: str) -> Iterator[Callable[[int, int], None] | None]:
        """Give what is called with the number of finished runs and of all; None where nobody watches."""

        def show(done: int, total: int) -> None:
            filled = _BAR * done // max(total, 1)
            self._show(f"{label}: [{'#' * filled}{'.' * (_BAR - filled)}] {done} of {total}", now=done >= total)

        with self._line():
            yield show if self._live else None

    @contextmanager
    def count(self, label: str) -> Iterator[Callable[[int], None] | None]:
        """Give what is called with the number of finished runs, where nobody knows how many it will be."""
        with self._line():
            yield (lambda done: self._show(f"{label} {done}")) if self._live else None

    @contextmanager
    def _line(self) -> Iterator[None]:
        """Take the line of progress away at the end, however it comes."""
        try:
            yield
        finally:
            if self._live:
                _to_stderr(_ERASE_LINE)

    def _show(self, line: str, *, now: bool = False) -> None:
        """Renew the line of progress, but not more often than anybody can read."""
        if now or time.monotonic() - self._shown_at >= _BETWEEN_UPDATES:
            self._shown_at = time.monotonic()
            _to_stderr(_ERASE_LINE + line[: shutil.get_terminal_size().columns - 1])


def _painted(text: str, colour: str) -> str:
    # https://no-color.org and https://force-color.org: any value but the empty one counts; no colour wins.
    if os.environ.get("NO_COLOR"):
        return text
    on_terminal = sys.stderr.isatty() and os.environ.get("TERM") != "dumb"
    return f"{colour}{text}{_PLAIN}" if on_terminal or os.environ.get("FORCE_COLOR") else text


def _to_stderr(text: str) -> None:
    sys.stderr.write(text)
    sys.stderr.flush()

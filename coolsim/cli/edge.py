"""Where errors become a message and an exit code.

====  =====================================================================
code  meaning
====  =====================================================================
0     done
1     a bug: anything that coolsim did not raise on purpose
2     usage: an unknown option, a missing argument
3     a file that was given is not valid: scenario, unit, material, result
4     the simulation failed, or an output could not be written
130   interrupted
====  =====================================================================
"""

from __future__ import annotations

import io
import os
import sys
import traceback
from types import TracebackType
from typing import Any

import typer
from typer.core import TyperGroup

from coolsim.cli.screen import complain
from coolsim.errors import CoolsimError, OutputError, SolverError

FAILED = 4
INVALID = 3
INTERRUPTED = 130


class CommandGroup(TyperGroup):
    """The commands, with the errors of coolsim caught round them."""

    def invoke(self, ctx: Any) -> Any:
        """Run a command; an error of coolsim becomes one message and the exit code that fits."""
        try:
            return super().invoke(ctx)
        except CoolsimError as error:
            complain(str(error))
            raise typer.Exit(FAILED if isinstance(error, SolverError | OutputError) else INVALID) from None
        except KeyboardInterrupt:
            complain("interrupted; files that were not finished are not there")
            raise typer.Exit(INTERRUPTED) from None


def report_bug(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    """Take the place of Python's traceback; it is shown on request."""
    if os.environ.get("COOLSIM_TRACEBACK", "") not in ("", "0"):
        traceback.print_exception(kind, error, trace)
        return
    said = " ".join(str(error).split())
    complain(
        f"this is a bug in coolsim ({kind.__name__}: {said}). Please report it with the command and the scenario;"
        " COOLSIM_TRACEBACK=1 shows where it happened."
    )


def accept_any_letter() -> None:
    """Keep a terminal that lacks a letter, or a file name that is no text, from ending the program."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")

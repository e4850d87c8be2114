"""Where errors become a message and an exit code.

====  =====================================================================
code  meaning
====  =====================================================================
0     done
1     a bug: anything that coolsim did not raise on purpose
2     usage: an unknown option, a missing argument, a value that is wrong
3     a file that was given is not valid: scenario, unit, material, result
4     the simulation failed, the memory ran out, an output could not be written,
      or a check missed
129   ended with its terminal (SIGHUP)
130   interrupted (Ctrl-C, SIGINT)
143   terminated (SIGTERM)
====  =====================================================================
"""

from __future__ import annotations

import os
import traceback
from collections.abc import Callable
from types import TracebackType
from typing import Any, NoReturn

import typer
from typer.core import TyperGroup

from coolsim.cli.old_names import OLD_NAMES, today
from coolsim.cli.screen import complain, warn
from coolsim.cli.signals import how_it_ended
from coolsim.cli.usage import fault, no_command
from coolsim.errors import CoolsimError, OutputError, SolverError

FAILED = 4
INVALID = 3
MISUSED = 2
CURIOUS = "For the curious"
"""The group of commands that the help only names, in one line."""

_NOT_THERE = "files that were not finished are not there"


# typer does not offer the class by name; click, of which older releases are made, calls it UsageError.
_UsageError: Any = typer.BadParameter.__base__


class CommandGroup(TyperGroup):
    """The commands, with the errors of coolsim and those of usage caught round them.

    `whole` makes the group of all commands where this one has only the command that was called.
    """

    whole: Callable[[], Any] | None = None

    def with_all(self) -> Any:
        """Return the group with all commands."""
        return self if self.whole is None else self.whole()

    def make_context(self, info_name: str | None, args: list[str], parent: Any = None, **extra: Any) -> Any:
        """Read what stands before the command."""
        # The reader takes words off the list.
        self._arguments = list(args)
        try:
            return super().make_context(info_name, args, parent, **extra)
        except _UsageError as error:
            self._refuse(error)
        except OutputError as error:
            # The help and the version are printed while the words are read.
            complain(str(error))
            raise typer.Exit(FAILED) from None

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command; an old name is told the new one, a word that is none gets a suggestion."""
        if args[0] in OLD_NAMES:
            warn(f"`coolsim {args[0]}` is called `coolsim {OLD_NAMES[args[0]]}` now.")
            args = self._arguments = today(args)
        if not ctx.resilient_parsing and args[0] not in self.commands:
            complain(f"{no_command(args[0], list(self.commands))}\nSee `coolsim --help`.")
            raise typer.Exit(MISUSED)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write the commands by groups: what each does, and of the last group their names alone."""
        groups: dict[str, list[str]] = {}
        for name, command in self.commands.items():
            groups.setdefault(str(getattr(command, "rich_help_panel", "")), []).append(name)
        curious = groups.pop(CURIOUS, [])
        # All groups have their texts in one column.
        width = max(len(name) for names in groups.values() for name in names)
        for group, names in groups.items():
            with formatter.section(group):
                formatter.write_dl(
                    [(name.ljust(width), self.commands[name].get_short_help_str(formatter.width)) for name in names]
                )
        with formatter.section(CURIOUS):
            formatter.write_text(f"{', '.join(curious)}: see `coolsim COMMAND --help`.")

    def invoke(self, ctx: Any) -> Any:
        """Run a command; an error becomes one message and the exit code that fits."""
        try:
            return super().invoke(ctx)
        except _UsageError as error:
            self._refuse(error)
        except CoolsimError as error:
            complain(str(error))
            raise typer.Exit(FAILED if isinstance(error, SolverError | OutputError) else INVALID) from None
        except MemoryError:
            complain(f"the memory ran out. Give fewer workers or a coarser grid (run.refinement); {_NOT_THERE}")
            raise typer.Exit(FAILED) from None
        except KeyboardInterrupt as error:
            said, code = how_it_ended(error)
            complain("; ".join([said, *getattr(error, "__notes__", [_NOT_THERE])]))
            raise typer.Exit(code) from None

    def _refuse(self, error: Any) -> NoReturn:
        # What is wrong with one command may be right for another.
        complain(fault(error, self._arguments, self.with_all()))
        raise typer.Exit(MISUSED) from None


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

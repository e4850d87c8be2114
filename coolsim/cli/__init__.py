"""The command line: the only place that prints or sets an exit code.

Nothing heavier than typer is imported here, and of the commands only the one that is called; each imports what it
needs when it runs, so that all of them start quickly.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Annotated

import typer
from typer.main import get_command

from coolsim._version import __version__
from coolsim.cli.command import Command
from coolsim.cli.edge import CURIOUS, CommandGroup, report_bug
from coolsim.cli.screen import example
from coolsim.cli.signals import ended_by_signals
from coolsim.cli.streams import guard_streams

GROUPS: dict[str, tuple[str, ...]] = {
    "A jar": ("new", "run", "pour", "whatif", "repair", "box"),
    "A day": ("today", "day", "log"),
    "How sure": ("spread", "fit"),
    "Pages": ("make",),
    CURIOUS: ("check", "keys", "materials", "sweep", "convection", "verify", "completion"),
}
"""The commands as the help shows them; each is the function of its name in the file of its name in `commands/`."""

_OBJECTS_BETWEEN_SEARCHES = 200_000


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"coolsim {__version__}")
        raise typer.Exit


def _options(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and exit.")
    ] = False,
) -> None:
    """Take the options that stand before a command; without one, show the help."""
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


def app_for(words: Sequence[str] = ()) -> typer.Typer:
    """Make the command line with the one command that the first of some words names; with all of them if it is none."""
    app = typer.Typer(
        cls=CommandGroup,
        name="coolsim",
        help="How soft-wax candles cool and set in their jars: bare on a bench, or in a cardboard box.",
        epilog=example("coolsim run", "coolsim new jar.toml", "coolsim today jar.toml --room 17C"),
        invoke_without_command=True,
        # `coolsim completion` has scripts that need no program to run on each press of a key.
        add_completion=False,
        context_settings={"help_option_names": ["-h", "--help"]},
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    app.callback()(_options)
    names = {name: group for group, names in GROUPS.items() for name in names}
    for name in [one for one in words[:1] if one in names] or names:
        command: Command = getattr(import_module(f"coolsim.cli.commands.{name}"), name)
        command.add_to(app, group=names[name])
    return app


def main() -> None:
    """Run the command line and exit with its code."""
    sys.excepthook = report_bug
    guard_streams()
    # What starting makes is kept to the end: looking through it for what nobody needs takes a tenth of the time.
    gc.set_threshold(_OBJECTS_BETWEEN_SEARCHES)
    # None of pydantic's plugins has a part in this; it would look through all that is installed for them.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    with ended_by_signals():
        group = get_command(app_for(sys.argv[1:]))
        group.whole = lambda: get_command(app_for())  # type: ignore[attr-defined]
        group(prog_name="coolsim")

"""The command line: the only place that prints or sets an exit code.

Nothing heavier than typer is imported here; each command imports what it needs when it is called, so that
``coolsim --help`` is quick.
"""

from __future__ import annotations

import sys
from typing import Annotated

import typer
from typer.main import get_command

from coolsim._version import __version__
from coolsim.cli.command import Command
from coolsim.cli.commands.box import box
from coolsim.cli.commands.check import check
from coolsim.cli.commands.completion import completion
from coolsim.cli.commands.convection import convection
from coolsim.cli.commands.day import day
from coolsim.cli.commands.fit import fit
from coolsim.cli.commands.keys import keys
from coolsim.cli.commands.make import make
from coolsim.cli.commands.materials import materials
from coolsim.cli.commands.new import new
from coolsim.cli.commands.pour import pour
from coolsim.cli.commands.repair import repair
from coolsim.cli.commands.runs import run
from coolsim.cli.commands.spread import spread
from coolsim.cli.commands.sweep import sweep
from coolsim.cli.commands.today import today
from coolsim.cli.edge import CURIOUS, CommandGroup, report_bug
from coolsim.cli.screen import example
from coolsim.cli.signals import ended_by_signals
from coolsim.cli.streams import guard_streams

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


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"coolsim {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and exit.")
    ] = False,
) -> None:
    """Take the options that stand before a command; without one, show the help."""
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


GROUPS: dict[str, tuple[Command, ...]] = {
    "A jar": (new, check, run, pour, repair, box),
    "A day": (today, day),
    "How sure": (spread, fit),
    "Pages": (make,),
    CURIOUS: (keys, materials, sweep, convection, completion),
}
"""The commands as the help shows them."""

for _group, _commands in GROUPS.items():
    for _command in _commands:
        _command.add_to(app, group=_group)


def main() -> None:
    """Run the command line and exit with its code."""
    sys.excepthook = report_bug
    guard_streams()
    with ended_by_signals():
        get_command(app)(prog_name="coolsim")

"""The command that lists the keys of a scenario."""

from __future__ import annotations

from typing import Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.screen import say, say_json
from coolsim.cli.usage import did_you_mean


@command(
    "List the keys that a scenario may have.",
    "coolsim keys",
    "coolsim keys pour",
    "coolsim keys wax.latent_heat",
    asks=("json",),
)
def keys(asked: Asked, names: Annotated[list[str] | None, typer.Argument(metavar="TABLE", hidden=True)] = None) -> None:
    """List the keys that a scenario may have: what to write, the default, and where it comes from.

    Without a TABLE those that a maker sets, and what the tables are about; with one, or several, every key of it: those
    that a maker sets first, those for fitting and research last. A single key goes by its whole name.
    """
    from coolsim.report.text.keys import keys_data, keys_text
    from coolsim.scenario import key_tables

    tables = {table.name: table for table in key_tables()}
    single = {key.name: table for table in tables.values() for key in table.keys}
    chosen = []
    for name in names or ():
        asked_for = name.strip("[]")
        if asked_for in tables and asked_for:
            chosen.append(tables[asked_for])
        elif asked_for in single:
            chosen.append(single[asked_for].only(asked_for))
        else:
            ending = [key for key in single if key.rpartition(".")[2] == asked_for]
            advice = (
                f"Did you mean '{ending[0]}'?"
                if ending
                else did_you_mean(asked_for, [*tables, *single])
                or f"Tables are {', '.join(table for table in tables if table)}."
            )
            raise typer.BadParameter(f"a scenario has no table or key '{name}'. {advice}", param_hint="'TABLE'")
    if asked.json:
        say_json({"keys": keys_data(chosen)})
    else:
        say(keys_text(chosen))
        if not chosen:
            asked.screen.hint("`coolsim keys pour` lists the keys of a table.")

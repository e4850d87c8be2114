"""The command that lists the catalogue of materials."""

from __future__ import annotations

from typing import Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.screen import say, say_json
from coolsim.cli.usage import did_you_mean


@command(
    "List the materials of the catalogue.",
    "coolsim materials",
    "coolsim materials soft-vegetable glass",
    "coolsim materials --all --json",
    asks=("json",),
)
def materials(
    asked: Asked,
    names: Annotated[list[str] | None, typer.Argument(metavar="NAME", hidden=True)] = None,
    everything: Annotated[bool, typer.Option("--all", help="Show every value of the whole catalogue.")] = False,
) -> None:
    """List the materials of the catalogue.

    With a NAME, or several, every value of it with its range, how far it can be trusted, and its source.
    """
    from coolsim.report.text.materials import catalogue_data, catalogue_names, catalogue_overview, catalogue_text

    known = catalogue_names()
    for name in names or ():
        if name not in known:
            advice = did_you_mean(name, known) or f"Choose from {', '.join(known)}."
            raise typer.BadParameter(f"no material '{name}' in the catalogue. {advice}", param_hint="'NAME'")
    chosen = known if everything or not names else names
    if asked.json:
        say_json({"materials": catalogue_data(chosen)})
    elif names or everything:
        say(catalogue_text(chosen))
    else:
        say(catalogue_overview())
        asked.screen.hint("`coolsim materials soft-vegetable` shows ranges and sources.")

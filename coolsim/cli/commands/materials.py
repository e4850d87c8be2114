"""The command that lists the catalogue of materials."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.options import FIGURE
from coolsim.cli.screen import say, say_json
from coolsim.cli.usage import did_you_mean


@command(
    "List the materials of the catalogue.",
    "coolsim materials",
    "coolsim materials soft-vegetable glass",
    "coolsim materials soft-vegetable --figure",
    "coolsim materials --all --json",
    asks=(*FIGURE, "json", "force"),
)
def materials(
    asked: Asked,
    names: Annotated[list[str] | None, typer.Argument(metavar="NAME", hidden=True)] = None,
    everything: Annotated[bool, typer.Option("--all", help="Show every value of the whole catalogue.")] = False,
    figure: Annotated[
        bool, typer.Option("--figure", help="Draw how much of each wax is liquid, as it cools and as it melts.")
    ] = False,
) -> None:
    """List the materials of the catalogue.

    With a NAME, or several, every value of it with its range, how far it can be trusted, and its source; with --figure
    a picture of how waxes freeze as well.
    """
    from coolsim.model.catalogue import TRADE_NAMES
    from coolsim.report.text.materials import catalogue_data, catalogue_names, catalogue_overview, catalogue_text

    known = catalogue_names()
    names = [TRADE_NAMES.get(name, name) for name in names or ()]
    for name in names:
        if name not in known:
            advice = did_you_mean(name, known) or f"Choose from {', '.join(known)}."
            raise typer.BadParameter(f"no material '{name}' in the catalogue. {advice}", param_hint="'NAME'")
    drawn = _drawn(names) if figure or asked.figures is not None else ()
    target = asked.figure([], f"{drawn[0]}-freezing" if len(drawn) == 1 else "freezing", drawn=bool(drawn))
    asked.claim(*target, inputs=[])
    chosen = known if everything or not names else names
    if asked.json:
        say_json({"materials": catalogue_data(chosen)})
    elif names or everything:
        say(catalogue_text(chosen))
    else:
        say(catalogue_overview())
        asked.screen.hint("`coolsim materials soft-vegetable` shows ranges and sources.")
    if target:
        from coolsim.model.materials import catalogue_wax
        from coolsim.report.figures.freezing import draw_freezing

        asked.draw(target, draw_freezing([catalogue_wax(name) for name in drawn]))


def _drawn(names: Sequence[str]) -> tuple[str, ...]:
    """Name the waxes of a figure; others are refused."""
    from coolsim.model.catalogue import NEVER_SETS
    from coolsim.model.materials import wax_names
    from coolsim.report.figures.freezing import MOST_WAXES

    waxes = [name for name in wax_names() if name not in NEVER_SETS]
    stray = next((name for name in names if name not in waxes), None)
    if stray is not None or not 1 <= len(names) <= MOST_WAXES:
        found = f"it draws waxes, not '{stray}'" if stray is not None else f"it draws 1 to {MOST_WAXES} waxes"
        raise typer.BadParameter(f"{found}; name some of {', '.join(waxes)}.", param_hint="'--figure'")
    return tuple(dict.fromkeys(names))

"""The command that lists the catalogue of materials."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
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
    a picture of how waxes freeze as well. Waxes that `coolsim fit --keep` kept here, or in a folder above, are listed
    and shown as well.
    """
    from coolsim.model.catalogue import TRADE_NAMES
    from coolsim.report.text.kept import kept_data, kept_overview
    from coolsim.report.text.materials import catalogue_data, catalogue_names, catalogue_overview, catalogue_text
    from coolsim.scenario.kept import kept_waxes, read_kept, wax_kept

    kept = {name: (file, read_kept(file)) for name, file in kept_waxes("here").items()}
    known = (*catalogue_names(), *kept)
    names = [TRADE_NAMES.get(name, name) for name in names or ()]
    for name in names:
        if name not in known:
            advice = did_you_mean(name, known) or f"Choose from {', '.join(known)}."
            raise typer.BadParameter(f"no material '{name}' in the catalogue. {advice}", param_hint="'NAME'")
    drawn = _drawn(names, kept) if figure or asked.figures is not None else ()
    target = asked.figure([], f"{drawn[0]}-freezing" if len(drawn) == 1 else "freezing", drawn=bool(drawn))
    asked.claim(*target, inputs=[])
    chosen = known if everything or not names else names
    stored, own = [name for name in chosen if name not in kept], [name for name in chosen if name in kept]
    if asked.json:
        mine = {name: kept_data(*kept[name]) for name in own}
        say_json({"materials": catalogue_data(stored) | mine})
    elif names or everything:
        told = [catalogue_text(stored)] if stored else []
        say("\n\n".join([*told, *(kept[name][0].read_text(encoding="utf-8").strip() for name in own)]))
    else:
        say(catalogue_overview())
        if kept:
            say(f"\n{kept_overview(kept)}")
        asked.screen.hint("`coolsim materials soft-vegetable` shows ranges and sources.")
    if target:
        from coolsim.model.materials import catalogue_wax
        from coolsim.report.figures.freezing import draw_freezing

        waxes = [wax_kept(kept[name][1]) if name in kept else catalogue_wax(name) for name in drawn]
        asked.draw(target, draw_freezing(waxes))


def _drawn(names: Sequence[str], kept: Iterable[str]) -> tuple[str, ...]:
    """Name the waxes of a figure; others are refused."""
    from coolsim.model.catalogue import NEVER_SETS
    from coolsim.model.materials import wax_names
    from coolsim.report.figures.freezing import MOST_WAXES

    waxes = [name for name in (*wax_names(), *kept) if name not in NEVER_SETS]
    stray = next((name for name in names if name not in waxes), None)
    if stray is not None or not 1 <= len(names) <= MOST_WAXES:
        found = f"it draws waxes, not '{stray}'" if stray is not None else f"it draws 1 to {MOST_WAXES} waxes"
        raise typer.BadParameter(f"{found}; name some of {', '.join(waxes)}.", param_hint="'--figure'")
    return tuple(dict.fromkeys(names))

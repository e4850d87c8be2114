"""The table `[melt]`: how the molten wax stirs itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from coolsim.model.problem import Melt
from coolsim.scenario.table import ESTIMATE, Doubt, Fault, Show, Table, like
from coolsim.scenario.values import Choice, Number, Quantity


class MeltTable(Table):
    """How the molten wax stirs itself."""

    mixing: Annotated[str, Choice(("stratified", "effective", "none"))] = like(
        Melt, "mixing", "Melt that settles into layers; one that only conducts better; or pure conduction."
    )
    flows_above: Annotated[float, Quantity("fraction", "0 %", "99 %", "90 %")] = like(
        Melt,
        "flows_above",
        "Liquid share above which wax circulates.",
        source=ESTIMATE,
        doubt=Doubt(0.5, 0.99, "estimate: slushy to rigid crystals", "ends", "log of the rest"),
        spread=True,
        fit=True,
        behind="Rim, wick and top",
        matters=lambda file: file.melt.mixing != "none",
    )
    feeds_above: Annotated[float, Quantity("fraction", "0 %", "99 %", "35 %")] = like(
        Melt,
        "feeds_above",
        "Liquid share above which wax still creeps; below it a place counts as set.",
        source=ESTIMATE,
        doubt=Doubt(0.2, 0.5, kind="ends"),
        spread=True,
        behind="Fully set and the last liquid",
    )
    relaxation: Annotated[float, Quantity("duration", "5 s", "1 h", "90 s")] = like(
        Melt,
        "relaxation",
        "Time in which the melt settles into layers.",
        source="computed independently: fitted to a resolved flow computation",
        doubt=Doubt(60.0, 150.0, "estimate: about the value fitted to a resolved flow computation", "ends"),
        spread=True,
        matters=lambda file: file.melt.mixing == "stratified",
    )
    conductivity_factor: Annotated[float, Number(1.0, 100.0)] = like(
        Melt,
        "conductivity_factor",
        "With effective mixing: how much better wax that circulates conducts than its liquid at rest.",
        source="computed independently: best fit to a resolved flow computation but for the top",
    )


def melt_of(melt: MeltTable) -> Melt:
    """Build the law of the melt."""
    return Melt(**melt.given(*MeltTable.model_fields))


def feeding_outlasts_flow(melt: MeltTable, show: Show) -> Iterator[Fault]:
    """Find fault with wax that circulates but does not creep."""
    if melt.feeds_above > melt.flows_above:
        yield (
            "melt.feeds_above",
            f"found {show(melt.feeds_above, 'fraction')}, but wax that circulates (melt.flows_above,"
            f" {show(melt.flows_above, 'fraction')}) also creeps, give at most that",
        )

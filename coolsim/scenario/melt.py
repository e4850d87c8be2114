"""The table `[melt]`: how the molten wax stirs itself."""

from __future__ import annotations

from typing import Annotated

from coolsim.model.problem import Melt
from coolsim.scenario.mush import MushTable, softness_of
from coolsim.scenario.table import Doubt, TomlTable, like
from coolsim.scenario.values import Choice, Number, Quantity


class MeltTable(TomlTable):
    """How the molten wax stirs itself."""

    mixing: Annotated[str, Choice(("stratified", "effective", "none"))] = like(
        Melt, "mixing", "Melt that settles into layers; one that only conducts better; or pure conduction."
    )
    flows_above: Annotated[float | None, Quantity("fraction", "0 %", "99 %", "95 %")] = like(
        Melt,
        "flows_above",
        "Liquid share above which wax circulates, instead of the one that its softness gives.",
        shown="where `[mush]` stops a buoyancy of 0.44 Pa, 96 %",
        matters=lambda file: file.melt.mixing != "none",
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


def melt_of(melt: MeltTable, mush: MushTable, kind: str) -> Melt:
    """Build the law of the melt of a kind of wax."""
    return Melt(softness=softness_of(mush, kind), **melt.given(*MeltTable.model_fields))

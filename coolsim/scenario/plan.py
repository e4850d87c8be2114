"""The table `[plan]`: what sheet, day plan and label say about the batch beside the physics."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from coolsim.scenario.calendar import ClockTime, Hours
from coolsim.scenario.table import TomlTable, key, like
from coolsim.scenario.values import Quantity, Text
from coolsim.scenario.wax import WaxTable


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What sheet, day plan and label say about a batch.

    Number and fragrance may be empty; the load is the mass of oil in the mass of the mix [-]. The start is after
    midnight [s], if it is stated; melting lasts until the oil is added, resting from there to the pour, and the cure
    from the pour to the first test burn [s]. The workshop is open from and until so long after midnight [s]; None if
    somebody is always there.
    """

    number: str = ""
    fragrance: str = ""
    load: float = 0.0
    start: float | None = None
    melting: float = 3600.0
    resting: float = 900.0
    cure: float = 14 * 86400.0
    open: tuple[float, float] | None = None


class PlanTable(TomlTable):
    """The batch: what its sheet, its day and its label say."""

    number: Annotated[str, Text(40)] = key(
        "Number or name of the batch, for the sheet.", default="", shown="a line to write it on"
    )
    start: Annotated[float | None, ClockTime()] = key(
        "When weighing and melting begin; without `pour.clock`, the time of the pour follows from it.",
        default=None,
        shown="so long before the pour as melting takes",
    )
    melting: Annotated[float, Quantity("duration", "5 min", "24 h", "1 h")] = like(
        Plan,
        "melting",
        "From the start of melting until the oil is added, by your own watch.",
        source="estimate: common practice for about 1 kg, no source",
    )
    resting: Annotated[float, Quantity("duration", "2 min", "5 h", "15 min")] = like(
        Plan,
        "resting",
        "From adding the oil until the pour: two minutes of stirring and the way down to the pour temperature.",
        source="estimate: common practice, no source",
    )
    cure: Annotated[float, Quantity("duration", "0 d", "365 d", "14 d")] = key(
        "Time from the pour to the first test burn.",
        source="estimate: common practice, no source",
        default=Plan.cure,
        shown=f"{Plan.cure / 86400:g} d",
    )
    open: Annotated[tuple[float, float] | None, Hours()] = key(
        "When somebody is in the workshop; what falls after closing is left overnight.", default=None, shown="always"
    )


def plan_of(plan: PlanTable, wax: WaxTable) -> Plan:
    """Build the plan."""
    return Plan(fragrance=wax.fragrance, load=wax.fragrance_load, **plan.given(*PlanTable.model_fields))

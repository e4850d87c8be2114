"""The answers of a day in five lines: how hot to pour, three times, and how the top will look."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from coolsim.report.blocks import Block, Column, Note, Table
from coolsim.report.text.day_plan import closed_notes, plan_cells, plan_data
from coolsim.report.text.page import as_text
from coolsim.report.text.pour import off_text, rejected_text
from coolsim.report.wording import temperature_text, top_text
from coolsim.solve.result import Result
from coolsim.studies.pour.choose import PourChoice, degrees_text
from coolsim.studies.workshop.day_plan import DayPlan, StepName
from coolsim.units import System

_LINES: dict[StepName, str] = {
    "wick": "Straighten the wick until",
    "still": "Leave it until",
    "lid": "Put the lid on from",
}


def today_blocks(
    choice: PourChoice, plan: DayPlan, result: Result, *, poured: float, warmed: float | None, units: System
) -> list[Block]:
    """Write how hot to pour, when what may be done, and how the top will look.

    The plan and the result are those of the pour that is recommended [°C], where only a warmed jar [°C] lets one pass
    into that, and else of the scenario's own; of jars in a box the result is that of the least flat.
    """
    rows = [("Pour at", _pour(choice, poured, warmed, units))]
    rows += [(told, plan_cells(name, [plan])[0]) for name, told in _LINES.items()]
    rows.append(("The top will be", top_text(result, units)))
    return [
        Note(f"{plan.title}, room at {temperature_text(choice.room, units)}"),
        Table(columns=(Column(width=27), Column(width=53)), rows=tuple(rows), gap=0),
        *map(Note, closed_notes([plan])),
    ]


today_text = as_text(today_blocks)


def _pour(choice: PourChoice, poured: float, warmed: float | None, units: System) -> str:
    pour = degrees_text(poured, units)
    if warmed is not None:
        return f"{pour}, into a jar that is warmed to {degrees_text(warmed, units)}"
    if choice.recommended is None:
        return f"none passes ({rejected_text(choice)}); told for {pour}"
    return f"{choice.advised(units)}{off_text(choice, units)}"


def today_data(
    choice: PourChoice, plan: DayPlan, results: Sequence[Result], *, poured: float, warmed: float | None
) -> dict[str, Any]:
    """Give the same as plain data: in SI and °C, the unit at the end of each name.

    `poured` is the pour of the plan, `warmed` the jar that would let it pass [°C].
    """
    return {
        "place": choice.place,
        "room_C": choice.room,
        "recommended_C": None if choice.recommended is None else choice.recommended.pour,
        "as_good_C": [one.pour for one in choice.as_good],
        "poured_C": poured,
        "warmed_jar_C": warmed,
        "plan": plan_data(plan),
        "depth_m": max((top.depth for one in results if (top := one.shrinkage) is not None), default=None),
    }

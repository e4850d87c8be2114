"""Melts in turn: jars, amounts and times of each, as text and as data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from coolsim.overview import hours_minutes
from coolsim.report.blocks import Column, Table
from coolsim.report.text.amounts import mass_text
from coolsim.report.text.day_plan import plan_data, plan_text
from coolsim.report.text.page import text_of
from coolsim.report.wording import keyed, temperature_text
from coolsim.studies.workshop.day_plan import StepName
from coolsim.studies.workshop.melts import MeltInTurn, Turn, more_than_usual, shares_a_box
from coolsim.studies.workshop.moments import moment_text
from coolsim.studies.workshop.portions import Portion, numbers_text
from coolsim.units import System, format_quantity

_COLUMNS = tuple(Column(width=width, right=number > 1) for number, width in enumerate((4, 10, 8, 7, 13, 13, 13)))
_SIDE_BY_SIDE = 3
_BEFORE_THE_POUR: tuple[StepName, ...] = ("weigh", "oil", "pour")


def many(turns: Sequence[Turn]) -> bool:
    """Tell whether a batch takes more than one melt."""
    return len(turns) > 1


def turns_text(turns: Sequence[Turn], *, units: System) -> str:
    """Write the melts of a day, one below the other: jars, what is weighed, and what the pitcher does when.

    With a clock, the times of each melt's jars stand side by side below it; without one they count from their own pour
    and are those of the first melt.
    """
    first = turns[0].plan
    rows = []
    for turn in turns:
        steps = {step.name: step.time for step in turn.plan.steps}
        # Without oil the wax is taken out when it is hot.
        steps.setdefault("oil", turn.plan.before.oil - turn.plan.before.pour)
        times = [steps[name] for name in _BEFORE_THE_POUR]
        told = [
            "–" if time is None else moment_text(turn.poured + time, first.clock, first.units, day=first.day)
            for time in times
        ]
        if turn.portion is not None:
            rows.append((*_head(turn.portion, units), *told))
    parts = [_table(("In the water", "Out, oil in", "Pour"), rows)]
    if first.clock is None:
        heading = "When (middle)" if first.cases else "When"
        parts.append(plan_text([first], [heading], scenarios=[turns[0].scenario], units=units))
    else:
        for at in range(0, len(turns), _SIDE_BY_SIDE):
            beside = turns[at : at + _SIDE_BY_SIDE]
            names = [f"Melt {at + number}" for number, _ in enumerate(beside, start=1)]
            parts.append(plan_text([turn.plan for turn in beside], names, units=units))
    return "\n\n".join(parts)


def turns_notes(turns: Sequence[Turn], *, units: System) -> Iterator[str]:
    """Say what happens between two melts, and what the times of their jars rest on; of one, if it is a large one."""
    scenario = turns[0].scenario
    if not many(turns):
        most, portion = more_than_usual(scenario), turns[0].portion
        if most is not None and portion is not None:
            yield (
                f"One melt of {mass_text(portion.wax, units)} of wax is planned for all jars; a pitcher of usual size"
                f" takes {mass_text(most, units)} in flakes. State yours in [melting], or batch.melt, and melts are"
                " planned in turn."
            )
        return
    between = format_quantity(scenario.bath.between, "duration")
    water = turns[1].water
    hot = (
        "the water stays hot, which the times of their own melting do not count"
        if water is None
        else f"the water stays hot: the second melt begins in water of {temperature_text(water, units)}"
    )
    yield (
        f"One pitcher is used {len(turns)} times. From each pour it takes {between} (melting.between, an estimate)"
        " until the jars are filled and the pitcher, wiped clean and filled with flakes again, is back in the water;"
        f" {hot}."
    )
    if turns[0].plan.clock is None:
        yield (
            "The times of the melts count from the pour of the first one, those of the day from the pour of each melt."
        )
    if shares_a_box(scenario, tuple(turn.portion for turn in turns if turn.portion is not None)):
        yield (
            "The run has all jars of the box poured at once. They are not: so what must wait waits for the last melt in"
            " every column, since the box would be warmer still had all been poured then. Beside empty places, or jars"
            " that have cooled, wax holds a wick sooner than this says: straighten wicks at once."
        )
    elif scenario.jar.places is not None:
        yield "Each box is filled from one melt."


def melts_text(melts: Sequence[MeltInTurn], *, units: System) -> str:
    """Write the melts of a batch in turn, by the time since the pitcher was first put into the water."""
    rows = []
    for one in melts:
        times = (0.0, one.melting.oil_at, one.melting.pour)
        rows.append((*_head(one.portion, units), *(hours_minutes(one.begins + time) for time in times)))
    return _table(("In the water", "Out, oil in", "Pour"), rows)


def _table(times: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    headings = ("Melt", "Jars", "Wax", "Oil", *times)
    return text_of([Table(columns=_COLUMNS, headings=headings, rows=tuple(rows), ruled=True)])


def _head(portion: Portion, units: System) -> tuple[str, str, str, str]:
    return str(portion.number), numbers_text(portion), mass_text(portion.wax, units), mass_text(portion.oil, units)


def turns_data(turns: Sequence[Turn]) -> list[dict[str, Any]]:
    """Give the melts of a day as plain data, each with its plan; empty without a batch."""
    return [
        {**_portion_data(turn.portion), "poured_after_first_s": turn.poured, "water_C": turn.water}
        | plan_data(turn.plan)
        for turn in turns
        if turn.portion is not None
    ]


def melts_data(melts: Sequence[MeltInTurn]) -> list[dict[str, Any]]:
    """Give the melts of a batch in turn as plain data, in seconds since the pitcher was first put into the water."""
    return [
        {
            **_portion_data(one.portion),
            "in_water_s": one.begins,
            "water_C": one.melting.bath.at(0.0),
            "all_melted_s": one.begins + one.melting.all_melted,
            "oil_at_s": one.begins + one.melting.oil_at,
            "pour_s": one.begins + one.melting.pour,
        }
        for one in melts
    ]


def _portion_data(portion: Portion) -> dict[str, Any]:
    return {"melt": portion.number, "first_jar": portion.first, "last_jar": portion.last} | keyed(
        portion, "wax_kg oil_kg"
    )

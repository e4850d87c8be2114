"""The plan of the day: what may be done when, by the clock if the scenario says when the wax is poured."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from coolsim.report.wording import difference_text, hours_minutes, temperature_text
from coolsim.scenario import Scenario
from coolsim.solve.result import Events, Result
from coolsim.units import System

PLAN_NOTE = (
    "“Until” is rounded down, “from” is rounded up, to five minutes (below half an hour to one). The plan holds as long"
    " as the room keeps the temperature of the pour; a draught, a neighbour jar or another room moves it."
)
"""What stands under the plan."""

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
_DAY = 86400.0
_ROUND, _ROUND_EARLY, _EARLY = 300.0, 60.0, 1800.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRow:
    """One line of the plan.

    Parameters
    ----------
    what : str
        What is to be done, or left.
    why : str
        What the wax is doing.
    times : tuple of float or None
        Times after the pour [s], one for each run, rounded to the safe side; None for what was not reached.
    """

    what: str
    why: str
    times: tuple[float | None, ...]


def plan_rows(runs: Sequence[tuple[Scenario, Result]], units: System) -> tuple[PlanRow, ...]:
    """Make the plan of the day.

    Parameters
    ----------
    runs : sequence of (Scenario, Result)
        Each jar and its run.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    tuple of PlanRow
        In the order of the day.

    Raises
    ------
    ValueError
        If a run holds no wax.
    """
    found: list[Events] = []
    for scenario, result in runs:
        if result.events is None:
            raise ValueError(f"'{scenario.title}' holds no wax, so there is no plan")
        found.append(result.events)
    margins = dict.fromkeys(difference_text(scenario.jar.answers.cool_within, units) for scenario, _ in runs)
    pours = dict.fromkeys(temperature_text(scenario.jar.pour, units) for scenario, _ in runs)
    cold = f"the hottest wax is within {' or '.join(margins)} of the room"

    def row(what: str, why: str, time: Callable[[Events], float | None], rounded: Callable[[float], int]) -> PlanRow:
        return PlanRow(what=what, why=why, times=tuple(_rounded(time(one), rounded) for one in found))

    return (
        PlanRow(what="Pour", why=f"wax at {' or '.join(pours)}; wick straight", times=(0.0,) * len(found)),
        row("Straighten a leaning wick until", "the top closes round it", lambda one: one.wick_free_until, math.floor),
        row("Do not move the jar until", "liquid wax would slop and tear", lambda one: one.fully_set, math.ceil),
        row("Look at the top from", "the wax is solid throughout", lambda one: one.solid_throughout, math.ceil),
        row("Put the lid on from", cold, lambda one: one.cool, math.ceil),
        row("Stick the label on from", "glass and wax are cold", lambda one: one.cool, math.ceil),
    )


def _rounded(time: float | None, to: Callable[[float], int]) -> float | None:
    if time is None:
        return None
    step = _ROUND_EARLY if time < _EARLY else _ROUND
    return step * to(time / step)


def moment_text(time: float, clock: float | None, units: System) -> str:
    """Write a moment of the plan.

    Parameters
    ----------
    time : float
        After the pour [s].
    clock : float or None
        When the wax is poured, after midnight [s].
    units : {"metric", "us"}
        Units of the workshop: with 24 hours, or with 12.

    Returns
    -------
    str
        The time of day, with the day if it is another one; hours and minutes after the pour without a clock.

    Examples
    --------
    >>> moment_text(12600.0, 37800.0, "metric"), moment_text(53400.0, 37800.0, "metric")
    ('14:00', 'next day 1:20')
    >>> moment_text(12600.0, 37800.0, "us"), moment_text(12600.0, None, "us")
    ('2:00 pm', '3:30 h')
    """
    if clock is None:
        return f"{hours_minutes(time)} h"
    days, rest = divmod(clock + time, _DAY)
    hour, minute = divmod(round(rest) // 60, 60)
    told = f"{hour}:{minute:02d}" if units == "metric" else f"{(hour - 1) % 12 + 1}:{minute:02d} {'ap'[hour // 12]}m"
    if not days:
        return told
    return f"next day {told}" if days == 1 else f"{days:.0f} days later {told}"


def day_text(day: datetime.date) -> str:
    """Write a day so that nobody takes the month for the day.

    Parameters
    ----------
    day : datetime.date
        The day.

    Returns
    -------
    str
        Day, month and year, whatever the language of the computer.

    Examples
    --------
    >>> day_text(datetime.date(2026, 3, 14))
    '14 March 2026'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def plan_cells(row: PlanRow, runs: Sequence[tuple[Scenario, Result]], units: System) -> list[str]:
    """Write the times of a line of the plan.

    Parameters
    ----------
    row : PlanRow
        The line.
    runs : sequence of (Scenario, Result)
        Each jar and its run.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    list of str
        One for each run.
    """
    cells = []
    for time, (scenario, result) in zip(row.times, runs, strict=True):
        if time is None:
            cells.append(f"not within {hours_minutes(result.time[-1])} h")
            continue
        told = moment_text(time, scenario.pour_clock, units)
        cells.append(told if scenario.pour_clock is None or not time else f"{told}  (+{hours_minutes(time)})")
    return cells


def plan_text(runs: Sequence[tuple[Scenario, Result]], names: Sequence[str], *, units: System) -> str:
    """Write the plan of the day as plain text.

    Parameters
    ----------
    runs : sequence of (Scenario, Result)
        Each jar and its run.
    names : sequence of str
        What they are called, in short.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        A table of at most 80 columns.
    """
    lines = [f"{'The day':<34}" + "".join(f"{name[:22]:<23}" for name in names), "-" * 80]
    for row in plan_rows(runs, units):
        lines.append(f"{row.what:<34}" + "".join(f"{cell:<23}" for cell in plan_cells(row, runs, units)))
    return "\n".join(line.rstrip() for line in (*lines, "-" * 80))

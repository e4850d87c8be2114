"""The plan of the day in words: as a table, and as data for machines."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from coolsim.overview import hours_minutes
from coolsim.report.blocks import Column, Table
from coolsim.report.text.page import WIDTH
from coolsim.report.wording import difference_text, temperature_text
from coolsim.scenario import Scenario
from coolsim.studies.workshop.day_plan import STEPS, DayPlan, StepName, step_label
from coolsim.studies.workshop.moments import moment_text
from coolsim.units import System, format_quantity

_LOOK = (
    " look before you touch. The plan holds as long as the room keeps to the scenario; a draught, a neighbouring jar or"
    " another room moves it."
)
_MIDDLE_NOTE = (
    "All times are rounded to the safe side, to five minutes (below half an hour to one): what must be over by then,"
    " and all before the pour, down; what must wait, up. That does not cover how far a computed time is off, some 10 to"
    f" 20 % in still air (from memory):{_LOOK}"
)
_SAFE_NOTE = (
    "Times after the pour are on the safe side, estimates: nine of ten jars are ready by then, and nine of ten wicks"
    " are still free; the middle value is in brackets. They are those of `coolsim spread` ({cases} cases), rounded to"
    " the same side, to five minutes (below half an hour to one), as all times are. The error of the model and slips of"
    f" the hand are not in them:{_LOOK}"
)
_BOX_NOTE = "It holds for every jar of the box: the first counts for the wick, the last for all that waits."
_COMPUTED_NOTE = (
    "How long the wax takes until the pour is that of `coolsim day --only melting`, an estimate: watch a thermometer in"
    " the wax."
)
_MELTING_NOTE = (
    "How long the wax takes until the pour is not computed: plan.melting and plan.resting, estimates unless you state"
    " your own."
)
_MARK = "*"
_MANY_HOURS = 48 * 3600.0
_LABELS, _TIMES, _GAP = 31, 22, 2


def plan_names(plans: Sequence[DayPlan]) -> tuple[StepName, ...]:
    """List every step that one of the plans has, in the order of the day."""
    return tuple(name for name in STEPS if any(plan.step(name) for plan in plans))


def plan_reason(name: StepName, plans: Sequence[DayPlan], scenarios: Sequence[Scenario], units: System) -> str:
    """Say what the wax is doing at a step."""
    either = " or ".join
    pours = dict.fromkeys(temperature_text(one.jar.pour, units) for one in scenarios)
    margins = dict.fromkeys(difference_text(one.jar.answers.cool_within, units) for one in scenarios)
    stirring = dict.fromkeys(format_quantity(plan.before.stirred - plan.before.oil, "duration") for plan in plans)
    cures = dict.fromkeys(f"{plan.cure / 86400.0:g} d" for plan in plans)
    return {
        "weigh": "jars and wicks at hand",
        "melted": "no lump is left in it",
        "oil": f"for {either(stirring)}, slowly",
        "pour": f"at {either(pours)}, wick straight",
        "wick": "then the wax holds it",
        "skin": "it bears a fingertip",
        "still": "soft wax would slop",
        "top": "it sinks no more",
        "lid": f"within {either(margins)} of the room",
        "label": "glass and wax are cold",
        "burn": f"cured for {either(cures)}",
    }[name]


def _note(plan: DayPlan) -> str:
    """Say how the times are meant, and how far they hold."""
    return _SAFE_NOTE.format(cases=plan.cases) if plan.cases else _MIDDLE_NOTE


def plan_notes(plans: Sequence[DayPlan]) -> tuple[str, ...]:
    """Say how the times are meant."""
    notes = list(dict.fromkeys(map(_note, plans)))
    if any(plan.kinds > 1 for plan in plans):
        notes.append(_BOX_NOTE)
    if any(plan.before.estimated for plan in plans):
        notes.append(_MELTING_NOTE)
    if any(plan.before.computed for plan in plans):
        notes.append(_COMPUTED_NOTE)
    notes += dict.fromkeys(
        f"The batch takes {plan.before.melts} melts: these are the times of the first; `coolsim day` plans all."
        for plan in plans
        if plan.before.melts > 1
    )
    notes += [too_soon_text(plan) for plan in plans if plan.too_soon]
    return tuple(notes)


def times_note(plan: DayPlan) -> str:
    """Say how the times are meant where there is room for a line only."""
    if not plan.cases:
        return "Times are rounded to the safe side, but computed ones may be off by 10 to 20 %."
    return (
        "Nine of ten jars are ready by these times, and nine of ten wicks still free (estimates); the middle value is"
        " in brackets."
    )


def too_soon_text(plan: DayPlan) -> str:
    """Say what the scenario has happen before the plan allows it."""
    told = ", ".join(
        f"{happens} at {moment_text(time, plan.clock, plan.units, day=plan.day)}" for time, happens in plan.too_soon
    )
    return (
        f"Sooner than this plan allows, the scenario of '{plan.title}' has {told}. The times are computed with that;"
        " soft wax slops when it is carried, so change [day] or keep to the plan."
    )


def plan_cells(name: StepName, plans: Sequence[DayPlan]) -> list[str]:
    """Write the time of a step in each plan, with a mark where it falls after closing (`closed_notes`).

    By the clock, with hours and minutes after the pour, if there is one; the middle of its band stands in brackets.
    """
    return [f"{_cell(plan, name)}{f' {_MARK}' if _closed(plan, name) else ''}" for plan in plans]


def closed_notes(plans: Sequence[DayPlan]) -> tuple[str, ...]:
    """Say what to do with what is marked in the cells."""
    told = dict.fromkeys(_closed(plan, name) for plan in plans for name in STEPS)
    return tuple(f"{_MARK} {one[:1].upper()}{one[1:]}." for one in told if one is not None)


def _closed(plan: DayPlan, name: StepName) -> str | None:
    step = plan.step(name)
    return None if step is None else plan.closed(step)


def _cell(plan: DayPlan, name: StepName) -> str:
    step = plan.step(name)
    if step is None:
        return "–"
    since = ""
    if plan.clock is not None and step.time and abs(step.time) < _MANY_HOURS:
        since = f" {'-' if step.time < 0.0 else '+'}{hours_minutes(abs(step.time))}"
    return plan.line(step, since=since)


def plan_text(
    plans: Sequence[DayPlan], names: Sequence[str], *, scenarios: Sequence[Scenario] = (), units: System = "metric"
) -> str:
    """Set plans side by side under short names; with its scenario one plan says what the wax is doing at each step."""
    rows: list[tuple[str, ...]] = []
    for name in plan_names(plans):
        if scenarios:
            why = _closed(plans[0], name) or plan_reason(name, plans, scenarios, units)
            rows.append((step_label(name), _cell(plans[0], name), why))
        else:
            rows.append((step_label(name), *plan_cells(name, plans)))
    columns, each = [Column(width=_LABELS)], (WIDTH - _LABELS - _GAP) // len(plans) - _GAP
    if scenarios:
        columns += [Column(width=_TIMES), Column(width=WIDTH - _LABELS - _TIMES - 2 * _GAP)]
    else:
        columns += [Column(width=each)] * len(plans)
    headings = ("The day", *names, *([""] if scenarios else []))
    return Table(columns=tuple(columns), headings=headings, rows=tuple(rows), gap=_GAP, ruled=True).text()


def plan_data(plan: DayPlan) -> dict[str, Any]:
    """Give the plan of the day as plain data that `json.dumps` takes, in SI.

    ``cases`` are behind the bands, ``changes_too_soon`` is what the scenario has happen before the plan allows it.
    ``after_pour_s`` of a step is the safe end of its band, ``middle_s`` its middle, both rounded to the safe side,
    negative before the pour; ``low_s`` and ``high_s`` are the ends of the band, all four counted from the pour. What is
    not reached is None, and so are they without a band. ``opens_s`` is when the workshop opens again, for what falls
    after closing; ``moment`` is day and time of the workshop as in ISO 8601 without a time zone, None without a date or
    a clock.
    """
    return {
        "title": plan.title,
        "date": None if plan.day is None else plan.day.isoformat(),
        "pour_clock_s": plan.clock,
        "melting_estimated": plan.before.estimated,
        "looked_ahead_s": plan.reach,
        "cure_s": plan.cure,
        "cases": plan.cases,
        "changes_too_soon": [{"at_s": time, "happens": happens} for time, happens in plan.too_soon],
        "steps": [
            {
                "name": step.name,
                "what": step.what,
                "bound": step.bound,
                "after_pour_s": step.time,
                "middle_s": step.middle,
                "low_s": _finite(step.low),
                "high_s": _finite(step.high),
                "late_share": step.late,
                "opens_s": step.opens,
                "moment": None if (moment := plan.moment(step)) is None else moment.isoformat(timespec="minutes"),
            }
            for step in plan.steps
        ],
    }


def _finite(time: float | None) -> float | None:
    return None if time is None or not math.isfinite(time) else time

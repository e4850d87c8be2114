"""The plan of the day as a file for a calendar (iCalendar)."""

from __future__ import annotations

import datetime
import json
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import replace

from coolsim._version import __version__
from coolsim.errors import ScenarioError
from coolsim.report.blocks import HARD_SPACE
from coolsim.report.text.day_plan import plan_reason, times_note
from coolsim.report.wording import caution_for
from coolsim.scenario import Scenario
from coolsim.studies.workshop.day_plan import DayPlan, PlanStep, StepName

_LONGEST_LINE = 75
_NEW_PARAGRAPH = "\n\n"
_SHORT = datetime.timedelta(minutes=5)
_REMINDER = datetime.timedelta(minutes=10)
# What lasts from one step to another; all else is a reminder of a few minutes.
_SINCE: dict[StepName, StepName] = {"wick": "pour", "still": "pour"}
_LASTS_UNTIL: dict[StepName, StepName] = {"weigh": "oil"}
# Names made from a content are the same wherever and whenever they are made (RFC 9562, version 5).
_NAMESPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "coolsim.day-plan")


def calendar_needs(scenario: Scenario) -> None:
    """Raise a ScenarioError if day or clock are missing, which a calendar needs."""
    faults = []
    if scenario.date is None:
        faults.append(f"{scenario.where}: date: missing, and a calendar needs it. Give a day such as '2026-03-14'.")
    if scenario.pour_clock is None and scenario.plan.start is None:
        faults.append(
            f"{scenario.where}: pour.clock: missing, and a calendar needs it. Give a time of day such as '10:30', here"
            " or as plan.start."
        )
    if faults:
        raise ScenarioError(faults)


def calendar_text(scenario: Scenario, plan: DayPlan | Sequence[DayPlan]) -> str:
    r"""Write the plan of a day as an iCalendar file.

    Parameters
    ----------
    scenario : Scenario
        The jar; it states day and clock.
    plan : DayPlan or sequence of DayPlan
        Its plan; of melts in turn, that of each, under a title of its own.

    Returns
    -------
    str
        Lines that end in CR LF, as the standard asks; equal for equal scenarios, since nothing in it comes from the
        clock of the computer. Steps that were not reached are left out.

    Raises
    ------
    ScenarioError
        If day or clock are missing.

    Notes
    -----
    Times are *floating*: those of the clock on the wall, without a time zone. A scenario knows no place, and the wax
    is looked at where the jar stands. In the night in which the clock is changed the plan is an hour off.

    The stamp of the events is the midnight of the day of the plan, and their names are made from the scenario, so that
    the same plan that is read in twice is there once.

    References
    ----------
    Desruisseaux, B. (2009). RFC 5545: Internet calendaring and scheduling core object specification (iCalendar).

    Examples
    --------
    >>> from coolsim import built_in_pair, calendar_text, plan_day, simulate, with_overrides
    >>> quick = {"run.refinement": 0.5, "run.tolerance": "1 K", "plan.start": "9:00", "date": "2026-03-14"}
    >>> jar = with_overrides(built_in_pair()[0], quick)
    >>> lines = calendar_text(jar, plan_day(jar, simulate(jar.jar))).split("\r\n")
    >>> lines[0], lines[7], lines[8]
    ('BEGIN:VCALENDAR', 'DTSTART:20260314T090000', 'DTEND:20260314T100000')
    """
    calendar_needs(scenario)
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:-//coolsim//coolsim {__version__}//EN", "CALSCALE:GREGORIAN"]
    for one in [plan] if isinstance(plan, DayPlan) else plan:
        for step in one.steps:
            lines += _event(scenario, one, step)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in _folded(line))


def _event(scenario: Scenario, plan: DayPlan, step: PlanStep) -> Iterator[str]:
    moment = _when(plan, step)
    if moment is None or plan.day is None:
        return
    start, end = _span(plan, step, moment)
    about = json.dumps(scenario.data, sort_keys=True) + step.name + plan.title.removeprefix(scenario.title)
    about += "" if plan.cases else "middle"
    summary = _escaped(f"{step.what}: {plan.title}")
    reason = plan_reason(step.name, [plan], [scenario], plan.units)
    told = f"{reason[:1].upper()}{reason[1:]}. {_bound(plan, step)}"
    yield "BEGIN:VEVENT"
    yield f"UID:{uuid.uuid5(_NAMESPACE, about)}"
    yield f"DTSTAMP:{_floating(datetime.datetime.combine(plan.day, datetime.time()))}Z"
    yield f"DTSTART:{_floating(start)}"
    yield f"DTEND:{_floating(end)}"
    yield f"SUMMARY:{summary}"
    yield f"DESCRIPTION:{_escaped(told + _NEW_PARAGRAPH + caution_for([scenario]))}"
    yield "TRANSP:TRANSPARENT"
    yield from _alarm(step, end - start, summary)
    yield "END:VEVENT"


def _when(plan: DayPlan, step: PlanStep | None) -> datetime.datetime | None:
    """Tell when a step can be done: what falls after closing, when the workshop opens again."""
    if step is not None and step.opens is not None:
        step = replace(step, time=step.opens)
    return None if step is None else plan.moment(step)


def _span(plan: DayPlan, step: PlanStep, moment: datetime.datetime) -> tuple[datetime.datetime, datetime.datetime]:
    start = _when(plan, plan.step(_SINCE.get(step.name, step.name)))
    end = _when(plan, plan.step(_LASTS_UNTIL.get(step.name, step.name)))
    if start is None or end is None or start >= end:
        return moment, moment + _SHORT
    return start, end


def _bound(plan: DayPlan, step: PlanStep) -> str:
    told = ", ".join(filter(None, (plan.line(step).replace(HARD_SPACE, " "), plan.closed(step))))
    note = "" if step.low is None else f" {times_note(plan)}"
    return f"{'At' if step.bound == 'at' else step.bound.capitalize()} {told}.{note}"


def _alarm(step: PlanStep, lasts: datetime.timedelta, summary: str) -> Iterator[str]:
    """Remind at the beginning, of what is forbidden at its end, and of what will be too late a little before."""
    trigger = "TRIGGER:PT0S"
    if step.name == "still":
        trigger = "TRIGGER;RELATED=END:PT0S"
    elif step.bound == "until" and lasts > _REMINDER:
        trigger = f"TRIGGER;RELATED=END:-PT{_REMINDER // datetime.timedelta(minutes=1)}M"
    yield from ("BEGIN:VALARM", "ACTION:DISPLAY", f"DESCRIPTION:{summary}", trigger, "END:VALARM")


def _floating(moment: datetime.datetime) -> str:
    # Not strftime: it leaves out leading zeros of early years on some systems.
    return f"{moment.isoformat(timespec='seconds').replace('-', '').replace(':', '')}"


def _escaped(text: str) -> str:
    for plain, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\r\n", "\\n"), ("\n", "\\n")):
        text = text.replace(plain, written)
    return text


def _folded(line: str) -> Iterator[str]:
    """Break a line after at most 75 octets, never within a letter; what goes on begins with a blank."""
    part = ""
    for letter in line:
        if len((part + letter).encode()) > _LONGEST_LINE:
            yield part
            part = " "
        part += letter
    yield part

"""The plan of the day: what may be done when, from the scale to the first test burn, on the safe side."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from coolsim.errors import ScenarioError
from coolsim.overview import COMPUTED, Overview, OverviewTable, hours_minutes
from coolsim.scenario import Scenario, changed
from coolsim.scenario.calendar import ClockTime
from coolsim.solve.result import Result
from coolsim.studies.spread.spread import Spread
from coolsim.studies.workshop.moments import day_text, moment_text
from coolsim.studies.workshop.preparation import Preparation, preparation
from coolsim.tables import HARD_SPACE
from coolsim.units import System, format_quantity

StepName = Literal["weigh", "melted", "oil", "pour", "wick", "skin", "still", "top", "lid", "label", "burn"]
Bound = Literal["at", "from", "until"]

STEPS: dict[StepName, tuple[str, Bound]] = {
    "weigh": ("Weigh, begin to melt", "at"),
    "melted": ("See whether all wax has melted", "from"),
    "oil": ("Add the oil and stir", "at"),
    "pour": ("Pour", "at"),
    "wick": ("Straighten a leaning wick", "until"),
    "skin": ("Look if the top is closed", "from"),
    "still": ("Do not move the jar", "until"),
    "top": ("Look at the top", "from"),
    "lid": ("Put the lid on", "from"),
    "label": ("Stick the label on", "from"),
    "burn": ("First test burn", "from"),
}
"""What is to be done, or left, in the order of the day, and how its time is meant."""

TOO_LATE_AFTER: frozenset[StepName] = frozenset({"wick"})
"""Steps that must be over by their time; all others after the pour must wait for it."""

RESTS_ON: dict[StepName, str] = {
    "wick": "wick_free_until_s",
    "skin": "top_closed_s",
    "still": "fully_set_s",
    "top": "top_final_s",
    "lid": "cool_s",
    "label": "cool_s",
    "burn": "cool_s",
}
"""Answers on which the time of a step rests."""

_DAY = 86400.0
_ROUND, _ROUND_EARLY, _EARLY = 300.0, 60.0, 1800.0
# Of a step of rounding: a time that lies on it but for round-off stays there.
_ROUND_OFF = 1e-6


def step_label(name: StepName) -> str:
    """Write what stands before the time of a step, with "from" or "until" at its end.

    >>> step_label("still"), step_label("pour")
    ('Do not move the jar until', 'Pour')
    """
    what, bound = STEPS[name]
    return what if bound == "at" else f"{what} {bound}"


_WAITS_FOR: dict[str, StepName] = {"out of the box": "still", "into the box": "still", "lid on": "lid"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanStep:
    """One of `STEPS` and when it is done.

    Parameters
    ----------
    name : str
        Which step.
    time : float or None
        Its time after the pour, the safe end of its band where it has one, rounded to the safe side [s]; None for what
        was not reached.
    middle : float or None
        The same with the scenario's own values alone [s].
    low, high : float or None
        After the pour, one case in ten comes before `low` and one after `high` [s]; infinite where that is after the
        end of the run, None without a band.
    late : float
        Share of the cases that have not got there by the end of the run [-].
    opens : float or None
        After the pour, when the workshop opens again [s], if the time of what must wait falls after closing.
    """

    name: StepName
    time: float | None
    middle: float | None = None
    low: float | None = None
    high: float | None = None
    late: float = 0.0
    opens: float | None = None

    @property
    def what(self) -> str:
        """What is to be done, or left."""
        return STEPS[self.name][0]

    @property
    def bound(self) -> Bound:
        """Whether it is done at the time, from then on, or until then."""
        return STEPS[self.name][1]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class DayPlan(Overview):
    """The plan of a day for one jar. A notebook shows it as a table; `print` writes the same as lines.

    Parameters
    ----------
    title : str
        Which jar.
    steps : tuple of PlanStep
        In the order of the day.
    day : datetime.date or None
        Day from whose midnight the clock counts, if it is stated.
    clock : float or None
        When the wax is poured, after that midnight [s]; None if no clock time is stated.
    reach : float
        How far the run looked ahead [s].
    before : Preparation
        How long the wax takes until it may be poured.
    cure : float
        From the pour to the first test burn at the earliest [s].
    units : {"metric", "us"}
        Units of the workshop.
    kinds : int
        How many kinds of place the plan covers, in a box of several jars [-].
    changes : tuple of (float, str)
        When after the pour [s] the scenario has something happen to the jar, and what.
    cases : int
        How many cases are behind the bands of the times [-]; none of them has one if there are none.
    horizon : float
        How far the cases looked ahead at most [s].

    Examples
    --------
    >>> from coolsim import built_in_pair, plan_day, simulate, with_overrides
    >>> quick = {"run.refinement": 0.5, "run.tolerance": "1 K", "pour.clock": "16:00", "date": "2026-02-20"}
    >>> jar = with_overrides(built_in_pair()[0], quick)
    >>> plan = plan_day(jar, simulate(jar.jar))
    >>> print(plan.moment(plan.step("still")), plan.told(plan.step("burn")))
    2026-02-20 17:50:00 6 Mar 16:00
    """

    title: str
    steps: tuple[PlanStep, ...]
    day: datetime.date | None
    clock: float | None
    reach: float
    before: Preparation
    cure: float
    units: System
    kinds: int = 1
    changes: tuple[tuple[float, str], ...] = ()
    cases: int = 0
    horizon: float = 0.0

    @property
    def too_soon(self) -> tuple[tuple[float, str], ...]:
        """Changes of the scenario that come before the plan lets the jar be moved, or lidded [s]."""
        return tuple(
            (time, happens)
            for time, happens in self.changes
            if (name := _WAITS_FOR.get(happens)) is not None
            and (step := self.step(name)) is not None
            and (step.time is None or time < step.time)
        )

    def __repr__(self) -> str:
        return f"<DayPlan {self.title!r}: {len(self.steps)} steps>"

    def step(self, name: StepName) -> PlanStep | None:
        """Return a step; None if the plan lacks it."""
        return next((one for one in self.steps if one.name == name), None)

    def moment(self, step: PlanStep) -> datetime.datetime | None:
        """Tell day and clock time of a step; None if day or clock are not stated, or it was not reached."""
        if self.day is None or self.clock is None or step.time is None:
            return None
        midnight = datetime.datetime.combine(self.day, datetime.time())
        return midnight + datetime.timedelta(seconds=round(self.clock + step.time))

    def told(self, step: PlanStep) -> str:
        """Write the time of a step: by the clock if there is one, else counted from the pour."""
        if step.time is not None:
            return self._told(step.time)
        if step.name == "burn":
            return "not known"
        if step.late and step.middle is not None:
            return f"not within {hours_minutes(self.horizon)} h in {max(round(10 * step.late), 1)} of 10 cases"
        return f"not within {hours_minutes(self.reach)} h"

    def line(self, step: PlanStep, *, since: str = "") -> str:
        """Write the time of a step, `since` behind it, and the middle of its band in brackets where it is another."""
        told = f"{self.told(step)}{since}"
        if not self.cases or step.middle is None or step.middle == step.time:
            return told
        middle = self._told(step.middle).replace(" ", HARD_SPACE)
        return f"{told} ({middle})"

    def closed(self, step: PlanStep) -> str | None:
        """Say what to do if the time of a step falls after closing; None if it does not."""
        if step.opens is None or self.clock is None:
            return None
        opens = moment_text((self.clock + step.opens) % _DAY, 0.0, self.units)
        return f"after closing: leave it overnight, from {opens}"

    def _told(self, time: float) -> str:
        return moment_text(time, self.clock, self.units, day=self.day)

    def overview(self) -> OverviewTable:
        """Return the steps with their times, as a notebook shows them."""
        day = "" if self.day is None else f", {day_text(self.day)}"
        rows = tuple(
            (step_label(one.name), ", ".join(filter(None, (self.line(one), self.closed(one))))) for one in self.steps
        )
        return OverviewTable(title=f"{self.title}{day}", rows=rows, notes=(COMPUTED,))


def begun_at(scenario: Scenario, start: str) -> Scenario:
    """Let weighing and melting begin at another time of day.

    What the scenario says about start and pour no longer counts. The time of the pour follows here where the room
    goes by the clock; else that is left to `plan_day`.

    >>> from coolsim import built_in_pair
    >>> begun_at(built_in_pair()[0], "9:00").plan.start / 3600.0
    9.0
    """
    try:
        begun = ClockTime().read(start)
    except ValueError as error:
        raise ScenarioError(f"{scenario.where}: plan.start: {error}.") from None
    if not callable(scenario.jar.room.temperature):
        return changed(scenario, {"plan.start": begun, "pour.clock": None})
    ready = _rounded(begun + preparation(scenario).pour, math.ceil, _ROUND)
    if ready >= _DAY:
        raise ScenarioError(
            f"{scenario.where}: plan.start: found {format_quantity(begun, 'clock')}, but then the wax is poured after"
            " midnight, and this room changes by the clock. Leave the start out and give pour.clock."
        )
    return changed(scenario, {"plan.start": begun, "pour.clock": ready})


def plan_day(
    scenario: Scenario,
    result: Result | Sequence[Result],
    *,
    doubt: Spread | None = None,
    before: Preparation | None = None,
    units: System | None = None,
) -> DayPlan:
    """Make the plan of a day.

    Parameters
    ----------
    scenario : Scenario
        The jar. If it states only one of `plan.start` and `pour.clock`, the other follows from `before`.
    result : Result or sequence of Result
        Its run; of jars in one box, all of them, as `BoxResult.results` has them.
    doubt : Spread, optional
        How far the times may be off: `coolsim.spread` of the scenario, as `coolsim.studies.workshop.doubt.doubt_of`
        makes it. With it each time is the safe end of its band, 10 % for what must be over by then and 90 % for what
        must wait; without it the middle value.
    before : Preparation, optional
        How long the wax takes until it may be poured; `preparation` of the scenario if left out.
    units : {"metric", "us"}, optional
        Units of the workshop; those of the scenario if left out.

    Returns
    -------
    DayPlan
        What may be done when. What must be over by its time is rounded down, what must wait for it up, to five
        minutes, below half an hour after the pour to one; before the pour all is rounded down, so that somebody is
        there in time. Of several jars the first one counts for what must be over, the last one for what must wait.

    Raises
    ------
    ScenarioError
        If the scenario says when to begin and when to pour, and the wax is not ready by then.
    ValueError
        If the run is none of a jar.

    Examples
    --------
    >>> from coolsim import built_in_pair, plan_day, simulate, with_overrides
    >>> quick = {"run.refinement": 0.5, "run.tolerance": "1 K", "plan.start": "18:00", "date": "2026-03-14"}
    >>> jar = with_overrides(built_in_pair()[0], quick)
    >>> print(plan_day(jar, simulate(jar.jar)))
    Tumbler, bare on the bench, 14 March 2026
    Weigh, begin to melt             18:00
    Add the oil and stir             19:00
    Pour                             19:15
    Straighten a leaning wick until  19:55
    Look if the top is closed from   20:00
    Do not move the jar until        21:05
    Look at the top from             22:05
    Put the lid on from              15 Mar 2:05
    Stick the label on from          15 Mar 2:05
    First test burn from             28 Mar 19:15
    ...
    """
    results = [result] if isinstance(result, Result) else list(result)
    events = [one.required_events() for one in results]
    before = before or preparation(scenario)
    start, clock = _start_and_pour(scenario, before)
    cool = _last([one.cool for one in events])
    found: dict[StepName, float | None] = {"weigh": start}
    if before.melted is not None:
        found["melted"] = start + before.melted
    if scenario.plan.load:
        found["oil"] = before.oil - before.pour
    found |= {
        "pour": 0.0,
        "wick": _first([one.wick_free_until for one in events]),
        "skin": _last([one.top_closed for one in events]),
        "still": _last([one.fully_set for one in events]),
        "top": _last([one.top_final for one in events]),
        "lid": cool,
        "label": cool,
        "burn": cool,
    }
    return DayPlan(
        title=scenario.title,
        steps=tuple(_step(scenario, name, time, clock, doubt) for name, time in found.items()),
        day=scenario.date,
        clock=clock,
        reach=float(results[0].time[-1]),
        before=before,
        cure=scenario.plan.cure,
        units=units or scenario.units,
        kinds=len(results),
        changes=results[0].changes,
        cases=0 if doubt is None else sum(row.answers is not None for row in doubt.rows),
        horizon=scenario.jar.horizon,
    )


def safe_share(name: StepName, doubt: Spread | None) -> float | None:
    """By what factor the safe end of the time of a step differs from its middle [-]; None if it is not reached.

    >>> safe_share("still", None)
    1.0
    """
    band = None if doubt is None else doubt.answer(RESTS_ON[name])
    if band is None or band.low is None or band.high is None:
        return 1.0
    end = _end(name, band.nominal, band.low, band.high)
    return None if end is None or band.nominal is None else end / band.nominal


def _step(scenario: Scenario, name: StepName, own: float | None, clock: float | None, doubt: Spread | None) -> PlanStep:
    """Make a step of its time with the values of the scenario, after the pour [s], and of how far that may be off."""
    cure, pour = scenario.plan.cure if name == "burn" else -math.inf, clock or 0.0
    middle = None if own is None else max(own, cure)
    band = doubt.answer(RESTS_ON[name]) if doubt is not None and name in RESTS_ON else None
    if band is None or band.low is None or band.high is None:
        time = _safe(name, middle, pour)
        return PlanStep(name=name, time=time, middle=time, opens=_opens(scenario, name, time, clock))
    low, high = max(band.low, cure), max(band.high, cure)
    time = _safe(name, _end(name, middle, low, high), pour)
    return PlanStep(
        name=name,
        time=time,
        middle=_safe(name, middle, pour),
        low=low,
        high=high,
        late=1.0 - band.occurs,
        opens=_opens(scenario, name, time, clock),
    )


def _end(name: StepName, middle: float | None, low: float, high: float) -> float | None:
    """Take the end of a band that is safe [s], never on the other side of the middle; None for what is not reached."""
    own = math.inf if middle is None else middle
    end = min(own, low) if name in TOO_LATE_AFTER else max(own, high)
    return end if math.isfinite(end) else None


def _opens(scenario: Scenario, name: StepName, time: float | None, clock: float | None) -> float | None:
    """Tell when the workshop opens, after the pour [s], if what must wait falls into the hours when it is closed."""
    hours = scenario.plan.open
    if hours is None or clock is None or time is None or time <= 0.0 or name in TOO_LATE_AFTER:
        return None
    opens, closes = hours
    of_day = (clock + time) % _DAY
    if opens <= of_day <= closes:
        return None
    return time + opens - of_day + (_DAY if of_day > closes else 0.0)


def _first(times: Sequence[float | None]) -> float | None:
    reached = [time for time in times if time is not None]
    return min(reached, default=None)


def _last(times: Sequence[float | None]) -> float | None:
    reached = [time for time in times if time is not None]
    return max(reached) if len(reached) == len(times) else None


def _start_and_pour(scenario: Scenario, before: Preparation) -> tuple[float, float | None]:
    """Tell when melting starts, after the pour [s], and when the wax is poured, after midnight [s], if known."""
    start, pour = scenario.plan.start, scenario.pour_clock
    if start is None:
        clock = pour or 0.0
        return _rounded(clock - before.pour, math.floor, _ROUND) - clock, pour
    ready = _rounded(start + before.pour, math.ceil, _ROUND)
    if pour is None:
        return start - ready, ready
    if start + before.pour > pour:
        begin, found = (format_quantity(moment, "clock") for moment in (start, pour))
        raise ScenarioError(
            f"{scenario.where}: pour.clock: found {found}, but wax that is put on at {begin} (plan.start) is ready"
            f" {hours_minutes(before.pour)} h later. Pour at {moment_text(ready, 0.0, 'metric')}, or begin earlier, or"
            " leave out one of the two: it follows from the other."
        )
    return start - pour, pour


def _safe(name: StepName, time: float | None, pour: float) -> float | None:
    """Round a time after the pour to the safe side [s]."""
    if time is None or name in ("weigh", "pour"):
        return time
    early = 0.0 <= time < _EARLY
    to = math.floor if time < 0.0 or name in TOO_LATE_AFTER else math.ceil
    return _rounded(pour + time, to, _ROUND_EARLY if early else _ROUND) - pour


def _rounded(time: float, to: Callable[[float], int], step: float) -> float:
    inwards = _ROUND_OFF if to is math.floor else -_ROUND_OFF
    return step * to(time / step + inwards)

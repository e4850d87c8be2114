"""What the sliders of the page move through: every number and text that it shows, worked out before.

The page itself adds up clock times and looks things up; all else is here, in the words of the other pages.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from coolsim.answers.answer import Value, number_of
from coolsim.answers.catalogue import LEAST_LENGTH, in_group
from coolsim.answers.text import value_text
from coolsim.answers.verdict import Band, depth_band
from coolsim.model.section import Integers
from coolsim.overview import hours_minutes
from coolsim.report.figures.animation import animation_times
from coolsim.report.page.outlines import Picture, pictures, profile
from coolsim.report.page.words import hard
from coolsim.report.text.day_plan import plan_names, plan_reason
from coolsim.report.text.limits import breach_notes
from coolsim.report.text.pour import off_text, rejected_text
from coolsim.report.wording import length_text, shape_text, temperature_text
from coolsim.scenario import Scenario, changed
from coolsim.solve.curves import temperature_of_point, usual_points
from coolsim.solve.result import Result
from coolsim.studies.pour.by_degree import ByDegree
from coolsim.studies.pour.choose import Candidate, PourChoice, degrees_text
from coolsim.studies.spread.spread import Spread
from coolsim.studies.sweep.sweep import NO_LIMITS
from coolsim.studies.workshop.day_plan import RESTS_ON, TOO_LATE_AFTER, DayPlan, StepName, safe_share, step_label
from coolsim.units import System

FRAMES = 48
"""Pictures of the cut jar that its slider moves through, and those of the events besides [-]."""

_BANDS: dict[System, tuple[float, ...]] = {"metric": (2.0, 5.0, 10.0), "us": (4.0, 10.0, 20.0)}  # degrees of a band
_MOST_BANDS = 24
_KEY_OF_A_CLASS = " (vessel.shock_limit)"


@dataclass(frozen=True, slots=True, kw_only=True)
class PagedJar:
    """One jar of a page: its run, how far its times may be off, its plan, and its answers degree by degree.

    `short` is what it is called in a column.
    """

    scenario: Scenario
    result: Result
    doubt: Spread | None
    plan: DayPlan
    chart: ByDegree
    short: str

    def number(self, key: str) -> float | None:
        """Return an answer of the own run."""
        return self.candidate(*self.chart.own).number(key)

    def candidate(self, room: int, pour: int) -> Candidate:
        """Return what is known in a room and at a pour, by their numbers [-]."""
        return self.chart.choices[room].candidates[pour]

    @property
    def candidates(self) -> list[Candidate]:
        """All of them, room by room."""
        return [one for choice in self.chart.choices for one in choice.candidates]


def times_of(jars: Sequence[PagedJar]) -> list[float]:
    """Choose the times of the pictures [s]: dense where much happens, with all events."""
    results = [one.result for one in jars]
    times = [float(time) for time in animation_times(results, frames=FRAMES)]
    events = {time for jar in jars for time, _, _ in events_of(jar)}
    return sorted({*times, *events})


def events_of(jar: PagedJar) -> list[tuple[float, str, str]]:
    """List what happens to a jar: time [s], what it is called, and the time as it is written."""
    answers = jar.candidate(*jar.chart.own).answers or {}
    times = [(answer, number_of(answers[answer.key])) for answer in in_group("setting")]
    found = [(time, answer.label, value_text(answer, time, "metric")) for answer, time in times if time is not None]
    found += [(time, happens.capitalize(), hours_minutes(time)) for time, happens in jar.result.changes]
    return sorted(one for one in found if one[0] <= jar.result.time[-1])


def levels_of(jars: Sequence[PagedJar], units: System) -> list[float]:
    """Choose between which temperatures [°C] the bands of the wax lie, at round degrees of the workshop."""
    factor, shift = (1.8, 32.0) if units == "us" else (1.0, 0.0)
    low = min(float(one.result.temperature_map(float(one.result.time[-1]))[_wax(one.result)].min()) for one in jars)
    high = max(one.scenario.jar.pour for one in jars)
    first, last = factor * low + shift, factor * high + shift
    step = next((one for one in _BANDS[units] if (last - first) / one <= _MOST_BANDS), _BANDS[units][-1])
    degrees = np.arange(np.floor(first / step), np.ceil(last / step) + 1) * step
    return [(float(degree) - shift) / factor for degree in degrees]


def _wax(result: Result) -> tuple[Integers, Integers]:
    cells = result.required_wax().cells
    return result.grid.row[cells], result.grid.column[cells]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A jar at all times of its slider: pictures, and what a thermometer and a ruler would show; see `SEEN`."""

    pictures: tuple[Picture, ...]
    seen: tuple[tuple[str, ...], ...]


def shown_at(jar: PagedJar, times: Sequence[float], levels: Sequence[float], units: System) -> Shown:
    """Draw a jar and read it off at all times [s], with bands between levels of temperature [°C]."""
    # What is hotter than the last level, by round-off, belongs to the last band.
    drawn = pictures(jar.result, times, [*levels[:-1], levels[-1] + 1.0])
    return Shown(pictures=tuple(drawn), seen=_seen_at(jar, times, units))


def page_data(
    jars: Sequence[PagedJar], times: Sequence[float], shown: Sequence[Shown], units: System
) -> dict[str, Any]:
    """Gather what the script of a page looks up."""
    plans, first = [one.plan for one in jars], jars[0]
    scenarios = [one.scenario for one in jars]
    poured = [[_poured_at(one, pour) for one in scenarios] for pour in first.chart.pours]
    found: dict[str, Any] = {
        "units": units,
        "own": list(first.chart.own),
        "rooms": [degrees_text(room, units) for room in first.chart.rooms],
        "pours": [degrees_text(pour, units) for pour in first.chart.pours],
        "clock": first.plan.clock,
        "day": None if first.plan.day is None else first.plan.day.isoformat(),
        "open": list(first.scenario.plan.open or ()),
        "late": sorted(TOO_LATE_AFTER),
        "steps": [
            {
                "name": name,
                "label": step_label(name),
                "why": [plan_reason(name, plans, poured[pour], units) for pour in range(len(poured))]
                if name == "pour"
                else [plan_reason(name, plans, scenarios, units)],
            }
            for name in plan_names(plans)
        ],
        "times": [f"{hours_minutes(time)} h" for time in times],
        "jars": [_jar_data(one, times, seen, units) for one, seen in zip(jars, shown, strict=True)],
    }
    found = _hard(found)
    digest = hashlib.sha256(json.dumps(found, sort_keys=True).encode()).hexdigest()
    return {"id": digest[:16], **found}


def _hard(found: Any) -> Any:
    if isinstance(found, str):
        return hard(found)
    if isinstance(found, dict):
        return {key: _hard(one) for key, one in found.items()}
    return [_hard(one) for one in found] if isinstance(found, list | tuple) else found


def _poured_at(scenario: Scenario, pour: float) -> Scenario:
    return changed(scenario, {**NO_LIMITS, "pour.temperature": pour})


def _jar_data(jar: PagedJar, times: Sequence[float], shown: Shown, units: System) -> dict[str, Any]:
    notes = [
        notes_of(jar, room, pour, units) for room in range(len(jar.chart.rooms)) for pour in range(len(jar.chart.pours))
    ]
    known = list(dict.fromkeys(note for told in notes for note in told))
    return {
        "short": jar.short,
        "cases": jar.plan.cases,
        "steps": {name: _step_data(jar, name) for name in plan_names([jar.plan])},
        "top": [top_of(jar, one.answers or {}, units) for one in jar.candidates],
        "dips": [_dips(one.answers or {}) for one in jar.candidates],
        "profile": profile(jar.result.shrinkage) if jar.result.shrinkage else [],
        "breaks": [breaks_text(one) for one in jar.candidates],
        "advice": [advice_of(choice, units) for choice in jar.chart.choices],
        "notes": [[known.index(note) for note in told] for told in notes],
        "said": known,
        "events": [[nearest(times, time), f"{what} {told}"] for time, what, told in events_of(jar)],
        "seen": shown.seen,
        "wax": [[one.wax, one.top, one.soft, one.front, one.stiff, one.cavity] for one in shown.pictures],
        "bands": [one.bands for one in shown.pictures],
    }


def _step_data(jar: PagedJar, name: StepName) -> dict[str, Any]:
    """Give safe end and middle of a time in all rooms and at all pours, not rounded [s]; None if not reached."""
    step = jar.plan.step(name)
    if step is None:
        raise ValueError(f"the plan of '{jar.plan.title}' has no step {name}")
    if name not in RESTS_ON:
        return {"always": step.time}
    share, cure = safe_share(name, jar.doubt), jar.plan.cure if name == "burn" else 0.0
    middles = [one.number(RESTS_ON[name]) for one in jar.candidates]
    return {
        "at": [None if share is None or one is None else round(max(share * one, cure), 1) for one in middles],
        "middle": [None if one is None else round(max(one, cure), 1) for one in middles],
        "never": jar.plan.told(step)
        if step.time is None
        else f"not within {hours_minutes(jar.scenario.jar.horizon)} h",
    }


def notes_of(jar: PagedJar, room: int, pour: int, units: System) -> list[str]:
    """Say which limits a pour breaks in a room, both by their numbers [-], and what mends it."""
    candidate, own = jar.candidate(room, pour), jar.scenario.jar
    air = own.room if (room, pour) == jar.chart.own else replace(own.room, temperature=candidate.room)
    poured = replace(own, pour=candidate.pour, room=air)
    answers = dict(candidate.answers or {})
    if "skin stays" in candidate.rejected:
        answers |= {"skin_formed_s": 0.0, "skin_melted_again_s": None}
    told = breach_notes(poured, stated=jar.scenario.pour_limits, answers=[answers], units=units)
    return [one.replace(_KEY_OF_A_CLASS, "").replace("`", "").removeprefix("Note: ") for one in told]


def breaks_text(candidate: Candidate) -> str:
    """Name the limits that a pour breaks; empty if it keeps all."""
    return ", ".join(candidate.rejected)


def advice_of(choice: PourChoice, units: System) -> str:
    """Say how hot to pour in a room, as `coolsim today` does."""
    if choice.recommended is None:
        return f"none passes ({rejected_text(choice)})"
    return f"{choice.advised(units)}{off_text(choice, units)}"


def top_of(jar: PagedJar, answers: Mapping[str, Value], units: System) -> str:
    """Say what the top is, its band as wide as that of the own run in proportion."""
    dish, hole = (number_of(answers[key]) or 0.0 for key in ("dish_m", "hole_m"))
    own, band = jar.number("depth_m") or 0.0, depth_band(jar.result) or Band(low=0.0, high=0.0)
    depth = dish + hole
    if own > LEAST_LENGTH and depth > 0.0:
        scaled = Band(low=band.low * depth / own, high=band.high * depth / own)
    else:
        scaled = Band(low=band.low + depth - own, high=band.high + depth - own)
    return shape_text(dish, hole, scaled, jar.result.answers, units)


def _dips(answers: Mapping[str, Value]) -> list[float]:
    """Depth of rim, half the radius and middle below where it was poured to [mm]."""
    rim, dish, hole = (number_of(answers[key]) or 0.0 for key in ("rim_dip_m", "dish_m", "hole_m"))
    return [round(1e3 * one, 2) for one in (rim, rim + dish, rim + dish + hole)]


def _seen_at(jar: PagedJar, times: Sequence[float], units: System) -> tuple[tuple[str, ...], ...]:
    result, wax = jar.result, jar.result.required_wax()
    shown = [min(time, float(result.time[-1])) for time in times]
    points = usual_points(wax)
    curves = [temperature_of_point(result, *points[name]) for name in ("centre", "near the glass", "surface centre")]
    curves.append(result.history.room)
    degrees = [
        [temperature_text(float(np.interp(time, result.time, curve)), units, digits=0) for time in shown]
        for curve in curves
    ]
    solid = [f"{100.0 * share:.0f} %" for share in np.interp(shown, result.time, result.solid_fraction())]
    fallen = [length_text(top.centre_dip, units) for top in result.tops_at(shown)]
    return tuple(zip(*degrees, solid, fallen, strict=True))


SEEN = ("In the middle", "Near the wall", "Top, in the middle", "Room", "Solid", "Middle has sunk")
"""What stands beside the cut jar at each time."""


def nearest(times: Sequence[float], time: float) -> int:
    """Find the picture nearest to a time [s]."""
    return min(range(len(times)), key=lambda index: abs(times[index] - time))


def degrees_of(levels: Sequence[float], units: System) -> list[str]:
    """Write the levels between bands of temperature."""
    return [temperature_text(one, units, digits=0) for one in levels]

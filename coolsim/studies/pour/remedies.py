"""What to change where no pour temperature passes: each change is run with this very jar before it is advised."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

from coolsim.errors import ScenarioError
from coolsim.scenario import Scenario, changed
from coolsim.studies.pour.changes import COVER, ChangeName, WorkshopChange, change_to
from coolsim.studies.pour.choose import PourChoice, PourStudy, Stand, choices_of, common_changes, usual_pours
from coolsim.studies.pour.limits import Limit
from coolsim.studies.sweep.journal import Journal
from coolsim.studies.sweep.sweep import Point, Study, SweptRow, point_of, run_studies, swept

RemedyChange = ChangeName | Literal["allow longer"]

_WARMER_JAR, _OTHER_ROOM = (10.0, 20.0, 30.0), (3.0, 6.0, 9.0)
_POURS = 7
_SAME = 0.01  # Nobody measures a room or a pour to this [K].
_OF_THE_PAPERS: frozenset[Limit] = frozenset({"cloudy", "too near freezing", "wax maker's limit", "fragrance limit"})
_TOO_COLD: frozenset[Limit] = frozenset({"jar shock", "skin stays"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """A change that was tried, and the candidates with it; None for one that is not possible for this jar.

    `value` is that of the change [its unit], or for "allow longer" the time to which it goes [s].
    """

    change: RemedyChange
    value: float | str | None
    choice: PourChoice | None

    @property
    def helps(self) -> bool:
        """Whether some pour passes with the change."""
        return self.choice is not None and self.choice.recommended is not None


Remedies = dict[tuple[Stand, float], tuple[Remedy, ...]]
"""What was tried, by place and room temperature [°C], where no pour passes."""


def only_papers_reject(choice: PourChoice) -> bool:
    """Tell whether the data sheets and the margin leave no pour at all, whatever the workshop changes."""
    return all(_OF_THE_PAPERS.intersection(one.rejected) for one in choice.candidates)


def warmed_jar(tried: Sequence[Remedy]) -> tuple[float, float] | None:
    """Tell how warm the jar must be, and the pour for it [°C], if warming it was tried and helps."""
    for one in tried:
        if one.change == "warm the jar" and isinstance(one.value, float) and one.choice is not None:
            best = one.choice.recommended
            return None if best is None else (one.value, best.pour)
    return None


def try_remedies(
    study: PourStudy,
    choice: PourChoice,
    *,
    executor: Executor | None = None,
    workers: int | None = None,
    journal: Journal | Path | None = None,
    on_row: Callable[[SweptRow, int, int], None] | None = None,
) -> tuple[Remedy, ...]:
    """Try what could help where no pour temperature passes, with the options of `sweep`; `workers` is a number [-].

    Returned is each change with the least step that helps, or the largest that was tried if none does; those that
    help first.
    """
    asked = remedies_study(study, choice, on_row)
    (found,) = run_studies([asked], executor=executor, workers=workers, journal=journal)
    return found


def remedies_study(
    study: PourStudy, choice: PourChoice, on_row: Callable[[SweptRow, int, int], None] | None = None
) -> Study[tuple[Remedy, ...]]:
    """Ask for the runs of `try_remedies`, and tell `on_row` of each as `sweep` does."""
    if only_papers_reject(choice):
        return ()
    scenario = study.scenario(choice.place)
    steps: dict[RemedyChange, list[tuple[float | str | None, PourChoice | tuple[Point, ...]]]] = {}
    for change in _changes(scenario, choice):
        asked = _told(study, choice, change) or _points(study, choice, change)
        if change.in_reach and asked:
            steps.setdefault(change.name, []).append((change.value, asked))
    by_change: dict[RemedyChange, Remedy] = {}
    # The least step of every change in one sweep, then the next step of those that have not helped.
    for number in range(max(map(len, steps.values()), default=0)):
        tried = [
            (name, *several[number])
            for name, several in steps.items()
            if number < len(several) and not (name in by_change and by_change[name].helps)
        ]
        points = [point for *_, asked in tried if isinstance(asked, tuple) for point in asked]
        rows = iter((yield from swept(points, on_row)) if points else ())
        for name, value, asked in tried:
            if isinstance(asked, tuple):
                (asked,) = choices_of([next(rows) for _ in asked], study)
            by_change[name] = Remedy(change=name, value=value, choice=asked)
    longer = _longer(study, choice)
    if longer is not None:
        by_change["allow longer"] = longer
    return tuple(sorted(by_change.values(), key=lambda remedy: not remedy.helps))


def _changes(scenario: Scenario, choice: PourChoice) -> Iterator[WorkshopChange]:
    """List the changes, each from its least step to its largest."""
    broken = {limit for one in choice.candidates for limit in one.rejected}
    jar, surround = scenario.jar, scenario.jar.surround
    # A fixed temperature of the jar stays fixed while the room changes.
    if broken & _TOO_COLD:
        yield from (change_to(scenario, "warm the jar", choice.jar + more) for more in _WARMER_JAR)
        yield from (change_to(scenario, "warm the room", choice.room + more) for more in _OTHER_ROOM)
        if jar.room.air_speed:
            yield change_to(scenario, "still air")
        if surround is not None and surround.flaps == "open":
            yield change_to(scenario, "close the flaps")
        elif surround is not None and not surround.cover:
            yield change_to(scenario, "cover the flaps", COVER)
    if "too slow" in broken:
        yield from (change_to(scenario, "cool the room", choice.room - less) for less in _OTHER_ROOM)
        if surround is not None and surround.flaps == "closed":
            yield change_to(scenario, "open the flaps")


def _told(study: PourStudy, choice: PourChoice, change: WorkshopChange) -> PourChoice | None:
    """Find what the study says of a room itself, if some pour passes there or all usual ones were tried."""
    if change.name not in ("warm the room", "cool the room") or not isinstance(change.value, float):
        return None
    for one in study.choices:
        stands_alike = one.place == choice.place and abs(one.room - change.value) < _SAME
        if stands_alike and one.jar == (choice.jar if choice.jar != choice.room else one.room):
            usual = usual_pours(change.scenario, hottest_jar=one.jar, margin=study.margin)
            tried = [candidate.pour for candidate in one.candidates]
            if one.recommended is not None or all(any(abs(a - b) < _SAME for b in tried) for a in usual):
                return one
    return None


def _points(study: PourStudy, choice: PourChoice, change: WorkshopChange) -> tuple[Point, ...]:
    scenario = change.scenario
    here: dict[str, Any] = {"room.temperature": choice.room}
    if choice.jar != choice.room:
        here["vessel.temperature"] = choice.jar
    always = {**common_changes(scenario, study.time_allowed), **here, **change.values}
    try:
        hot = changed(scenario, {**always, "pour.temperature": choice.candidates[-1].pour})
    except ScenarioError:
        # Too warm a room, say, for this wax to set in: no advice.
        return ()
    pours = usual_pours(scenario, hottest_jar=hot.jar.vessel_start, margin=study.margin)
    step = max(1, -(-len(pours) // _POURS))
    # The rows of a sweep are told apart by the number of their scenario, that of its stand in the study.
    number = list(study.stands).index(choice.place)
    points = [
        point_of(scenario, {**always, "pour.temperature": pour}, number=number) for pour in pours[::-1][::step][::-1]
    ]
    return tuple(point for point in points if point.fault is None)


def _longer(study: PourStudy, choice: PourChoice) -> Remedy | None:
    """Find the least time that lets some candidate pass; no run is needed for it."""
    slow = [one for one in choice.candidates if one.rejected == ("too slow",) and one.number("fully_set_s") is not None]
    if not slow:
        return None
    quickest = min(slow, key=lambda one: one.number("fully_set_s") or 0.0)
    passing = PourChoice(
        place=choice.place, room=choice.room, jar=choice.jar, candidates=(replace(quickest, rejected=()),)
    )
    return Remedy(change="allow longer", value=quickest.number("fully_set_s"), choice=passing)


def limits_met(choices: Sequence[PourChoice]) -> tuple[Limit, ...]:
    """List the limits that reject candidates, the most frequent first."""
    counted: dict[Limit, int] = {}
    for choice in choices:
        for one in choice.candidates:
            for limit in one.rejected:
                counted[limit] = counted.get(limit, 0) + 1
    return tuple(sorted(counted, key=lambda limit: -counted[limit]))

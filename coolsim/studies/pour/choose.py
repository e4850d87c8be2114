"""How hot to pour: candidates of the pour temperature, checked against every limit, bare and boxed together."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

from coolsim.answers.answer import Value, number_of
from coolsim.answers.catalogue import BY_KEY, skin_stays
from coolsim.answers.text import value_text
from coolsim.errors import ScenarioError
from coolsim.model.jar import Jar
from coolsim.model.materials import coldest_pour
from coolsim.model.properties import METAL_CONDUCTIVITY
from coolsim.overview import COMPUTED, Overview, OverviewTable
from coolsim.scenario import Scenario, built_in_pair, changed, one_jar, one_place
from coolsim.scenario.plausible import limits_of
from coolsim.studies.sweep.journal import Journal
from coolsim.studies.sweep.sweep import NO_LIMITS, SweptRow, point_of, sweep
from coolsim.units import System, format_quantity, parse_quantity

Stand = Literal["bare", "boxed"]
Limit = Literal[
    "cloudy",
    "too near freezing",
    "wax maker's limit",
    "fragrance limit",
    "jar shock",
    "skin stays",
    "too slow",
    "failed",
    "passes too seldom",
]

AS_GOOD = 0.02
"""Candidates whose dish and cavity together are this little larger than the least are as good: the grid of the study
tells them no better apart [-]."""

_LOST_AND_SET = ("Dish and cavity", f"{BY_KEY['fully_set_s'].label} [h:mm]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One pour temperature in one room [°C], bare or boxed, with the answers of its run and the limits that it breaks.

    Where cases were drawn, `passes` is the share of them in which it keeps all limits [-], and `breaks` has the
    limits that it breaks in some, with the share in which it does [-].
    """

    place: Stand
    room: float
    jar: float
    pour: float
    answers: dict[str, Value] | None
    rejected: tuple[Limit, ...]
    fault: str | None = None
    passes: float | None = None
    breaks: tuple[tuple[Limit, float], ...] = ()

    def number(self, name: str) -> float | None:
        """Return an answer that is a number, by its key; None if there is none."""
        return None if self.answers is None else number_of(self.answers[name])

    @property
    def lost(self) -> float:
        """Volume of dish and cavity together [m3]; infinite if the run failed."""
        dish, cavity = self.number("dish_volume_m3"), self.number("cavity_volume_m3")
        return math.inf if dish is None or cavity is None else dish + cavity


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class PourChoice(Overview):
    """The candidates for one place and one room [°C], from the coldest pour to the hottest."""

    place: Stand
    room: float
    jar: float
    candidates: tuple[Candidate, ...]

    @property
    def recommended(self) -> Candidate | None:
        """The middle one of those as good as the best, away from limits on both sides; None if none passes."""
        good = self.as_good
        return good[(len(good) - 1) // 2] if good else None

    @property
    def as_good(self) -> tuple[Candidate, ...]:
        """Those round the one with the least dish and cavity, it included, that pass and cannot be told from it."""
        best = min((one for one in self.candidates if not one.rejected), key=lambda one: one.lost, default=None)
        if best is None:
            return ()
        most = best.lost * (1.0 + AS_GOOD)
        first = last = self.candidates.index(best)
        good = [not one.rejected and one.lost <= most for one in self.candidates]
        while first > 0 and good[first - 1]:
            first -= 1
        while last + 1 < len(good) and good[last + 1]:
            last += 1
        return self.candidates[first : last + 1]

    def __repr__(self) -> str:
        return f"<PourChoice {self.place}, room at {format_quantity(self.room, 'temperature')}>"

    def overview(self) -> OverviewTable:
        """Return the candidates, as a notebook shows them."""
        return OverviewTable(
            title=f"{self.place.capitalize()}, room at {format_quantity(self.room, 'temperature')}",
            headings=("Pour at", *_LOST_AND_SET, "Breaks"),
            rows=tuple(
                (
                    format_quantity(one.pour, "temperature"),
                    *_lost_and_set(one, "metric"),
                    ", ".join(one.rejected) or "no limit",
                )
                for one in self.candidates
            ),
            notes=(COMPUTED,),
        )


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class PourStudy(Overview):
    """The answer to how hot to pour. A notebook shows it as a table; `print` writes the same as lines.

    Parameters
    ----------
    bare, boxed : Scenario
        What was simulated.
    twin : {"bare", "boxed"}
        Which of the two the scenario does not describe itself.
    choices : tuple of PourChoice
        One for each place and room, rooms from cold to warm, bare before boxed.
    time_allowed : float
        Within what time a jar must be fully set [s].
    margin : float
        How far above the start of freezing a pour must be [K].
    own_grid : bool
        Whether the runs were cut as finely as the scenario asks, rather than a quarter more coarsely.
    made_up : bool
        Whether that other one was derived, rather than given.
    cases : int or None
        In how many cases each pour was tried [-]; None if only with the values of the scenario.
    share : float
        In which share of the cases a pour must pass [-].
    varied : tuple of str
        Keys that differ from case to case.

    Examples
    --------
    >>> from coolsim import PourStudy, built_in_pair
    >>> bare, boxed = built_in_pair()
    >>> PourStudy(bare=bare, boxed=boxed, twin="boxed", choices=(), time_allowed=57600.0, margin=8.0, own_grid=True)
    <PourStudy of 'Tumbler, bare on the bench' and 'Tumbler, one of six in an open box': 0 choices>
    """

    bare: Scenario
    boxed: Scenario
    twin: Stand
    choices: tuple[PourChoice, ...]
    time_allowed: float
    margin: float
    own_grid: bool
    made_up: bool = True
    cases: int | None = None
    share: float = 1.0
    varied: tuple[str, ...] = ()

    def scenario(self, place: Stand) -> Scenario:
        """Return the scenario of a place."""
        return self.bare if place == "bare" else self.boxed

    def __repr__(self) -> str:
        return f"<PourStudy of {self.bare.title!r} and {self.boxed.title!r}: {len(self.choices)} choices>"

    def overview(self) -> OverviewTable:
        """Return the recommended pours, as a notebook shows them."""
        return OverviewTable(
            title="How hot to pour",
            headings=("Place", "Room", "Pour at", "As good", *_LOST_AND_SET),
            rows=tuple(_overview_row(choice, self.bare.units) for choice in self.choices),
            notes=(COMPUTED,),
        )


def _overview_row(choice: PourChoice, units: System) -> tuple[str, ...]:
    room = format_quantity(choice.room, "temperature", system=units)
    best = choice.recommended
    if best is None:
        limits = dict.fromkeys(limit for one in choice.candidates for limit in one.rejected)
        return choice.place, room, f"none passes: {', '.join(limits)}", "", "", ""
    pours = [format_quantity(one.pour, "temperature", system=units) for one in (best, *choice.as_good)]
    as_good = f"{pours[1]} to {pours[-1]}" if len(pours) > 2 else ""
    return choice.place, room, pours[0], as_good, *_lost_and_set(best, units)


def _lost_and_set(one: Candidate, units: System) -> tuple[str, str]:
    lost = None if one.answers is None else one.lost
    fully_set = BY_KEY["fully_set_s"]
    return value_text(BY_KEY["dish_volume_m3"], lost, units), value_text(fully_set, one.number(fully_set.key), units)


TIME_ALLOWED = 16 * 3600.0
"""Within what time a jar must be fully set unless the caller says otherwise: poured in the afternoon, moved the next
morning; an estimate [s]."""

MARGIN = 8.0
"""How far above the start of freezing a pour must be unless the caller says otherwise, an estimate [K]. From nearer,
the melt comes close to freezing in its first minute, before a first skin can be told from setting."""

_STATED: dict[str, Limit] = {"wax.highest_temperature": "wax maker's limit", "wax.fragrance_limit": "fragrance limit"}
_COARSER, _LONGER = 0.75, 4.0
_LEAST_REFINEMENT, _LARGEST_TOLERANCE = 0.5, 1.0
_ABOVE_FREEZING, _BEYOND_SHOCK = 35.0, 3.0
_LEAST_SPAN = 10.0
_ROUND_OFF = 1e-6
_STEPS: dict[System, tuple[float, ...]] = {"metric": (0.5, 1.0, 2.0, 5.0), "us": (1.0, 2.0, 4.0, 10.0)}
_MOST_STEPS = 21


def bare_and_boxed(scenario: Scenario) -> tuple[Scenario, Scenario, Stand]:
    """Set a scenario beside its twin without or with a box; the third tells which of the two was made up.

    The box of a bare jar is that of the built-in pair. Board under the jar changes what its foot stands on, so the
    twin has the usual contact for that (`vessel.foot` left out) instead of the scenario's.
    """
    one_place(one_jar(scenario))
    if scenario.jar.water is not None:
        raise ScenarioError(
            f"{scenario.where}: surround.kind: found 'water', but this chooses one pour for the bench and one for the"
            " box. Leave [surround] out, or try pours in the water with"
            " `coolsim sweep --over pour.temperature=60C:70C:5K`."
        )
    if scenario.jar.surround is None:
        box = built_in_pair()[1].file.surround
        return scenario, changed(scenario, {"surround": box, "vessel.foot": None}), "boxed"
    changes: dict[str, Any] = {"surround": None}
    if scenario.jar.surround.under_layers:
        changes["vessel.foot"] = None
    return changed(scenario, changes), scenario, "bare"


def usual_pours(scenario: Scenario, *, hottest_jar: float, margin: float = MARGIN) -> tuple[float, ...]:
    """List about twenty pour temperatures [°C], round in the units of the scenario, for jars up to the hottest [°C].

    They go from the margin above freezing [K] up to the limit that is stated for wax or fragrance, or a little
    above the limit of thermal shock, and at most 35 K above the start of freezing.
    """
    starts = scenario.jar.wax.freezing_starts
    low = starts + margin
    high = min(starts + _ABOVE_FREEZING, *scenario.pour_limits.values(), limits_of("pour.temperature")[1])
    if not is_metal(scenario.jar):
        high = min(high, hottest_jar + scenario.jar.vessel.shock_limit + _BEYOND_SHOCK)
    high = max(high, low + _LEAST_SPAN)
    factor, shift = (1.8, 32.0) if scenario.units == "us" else (1.0, 0.0)
    first, last = low * factor + shift, high * factor + shift
    step = next((one for one in _STEPS[scenario.units] if (last - first) / one < _MOST_STEPS), _STEPS["us"][-1])
    start = math.ceil(first / step - _ROUND_OFF)
    end = math.floor(last / step + _ROUND_OFF)
    return tuple((index * step - shift) / factor for index in range(start, end + 1))


def cloudy_pours(scenario: Scenario) -> tuple[float, ...]:
    """List up to two pours of wax that has begun to set [°C], at whole degrees: the coldest, and one half-way up."""
    starts = scenario.jar.wax.freezing_starts
    coldest = coldest_pour(scenario.jar.wax, scenario.file.pour.thickest)
    factor, shift = (1.8, 32.0) if scenario.units == "us" else (1.0, 0.0)
    degrees = {math.ceil(pour * factor + shift - _ROUND_OFF) for pour in (coldest, 0.5 * (coldest + starts))}
    pours = sorted((degree - shift) / factor for degree in degrees)
    return tuple(pour for pour in pours if pour < starts - _ROUND_OFF)


def possible_rooms(scenario: Scenario, rooms: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sort out rooms in which this wax would not set: those that are possible, and those left out."""
    points = [point_of(scenario, {"room.temperature": _celsius(room)}) for room in rooms]
    if all(point.fault for point in points):
        raise ScenarioError(dict.fromkeys(point.fault or "" for point in points))
    kept = tuple(room for room, point in zip(rooms, points, strict=True) if point.fault is None)
    return kept, tuple(room for room in rooms if room not in kept)


def few_pours(scenario: Scenario, rooms: Sequence[str], *, most: int) -> tuple[float, ...]:
    """Thin the usual pours [°C] out to at most so many [-], evenly apart, the hottest among them, for a quick chart."""
    warmest = max(_celsius(room) for room in rooms)
    start = scenario.jar.vessel.start
    pours = usual_pours(scenario, hottest_jar=warmest if start is None else start)
    return pours[:: -max(1, math.ceil(len(pours) / most))][::-1]


def choose_pour(
    scenario: Scenario,
    *,
    beside: Scenario | None = None,
    rooms: Sequence[str] | None = None,
    pours: Sequence[str | float] | None = None,
    jar: str | None = None,
    time_allowed: float = TIME_ALLOWED,
    margin: float = MARGIN,
    own_grid: bool = False,
    executor: Executor | None = None,
    workers: int | None = None,
    journal: Journal | Path | None = None,
    on_row: Callable[[SweptRow, int, int], None] | None = None,
) -> PourStudy:
    """Find how hot to pour, bare and boxed.

    Parameters
    ----------
    scenario : Scenario
        The jar, bare or boxed.
    beside : Scenario, optional
        The other of the two; derived as by `bare_and_boxed` if left out.
    rooms : sequence of str, optional
        Room temperatures as a scenario states them; its own if left out.
    pours : sequence of str or float, optional
        Pour temperatures, with units or [°C]; those of `cloudy_pours` and `usual_pours` if left out.
    jar : str, optional
        Temperature of the jar when the wax is poured; its own, or that of the room, if left out.
    time_allowed : float
        Within what time a jar must be fully set [s].
    margin : float
        How far above the start of freezing a pour must be [K].
    own_grid : bool
        Whether to cut the runs as finely as the scenario asks. Otherwise cells are a third larger and steps may err
        four times as much. That halves the time; for the built-in pair it moves dish and cavity together by up to 6 %,
        the time to set by 0.1 %, and no verdict on the first skin.
    executor, workers, journal, on_row
        As for `sweep`. `workers` is a number of processes [-].

    Returns
    -------
    PourStudy
        Every candidate with its numbers and the limits that reject it.

    Raises
    ------
    ScenarioError
        If a room, a jar or a pour is not possible.

    Examples
    --------
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> from coolsim import built_in_pair, choose_pour, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> with ThreadPoolExecutor(max_workers=1) as executor:
    ...     study = choose_pour(quick, pours=["60 °C", "66 °C"], executor=executor)
    >>> print(study)
    How hot to pour
    Place  Room   Pour at  As good  Dish and cavity  Fully set [h:mm]
    bare   21 °C  60 °C             4.8 mL           1:49
    boxed  21 °C  60 °C             3.9 mL           2:37
    Computed, not measured. Hot wax burns ...
    >>> print(study.choices[0])
    Bare, room at 21 °C
    Pour at  Dish and cavity  Fully set [h:mm]  Breaks
    60 °C    4.8 mL           1:49              no limit
    66 °C    4.3 mL           1:54              jar shock
    Computed, not measured. Hot wax burns ...
    """
    bare, boxed, twin = bare_and_boxed(scenario)
    if beside is not None:
        if (beside.jar.surround is None) == (scenario.jar.surround is None):
            raise ScenarioError(
                f"{beside.where}: found a scenario that is {'bare' if beside.jar.surround is None else 'boxed'} like"
                f" {scenario.where}. Give one bare and one boxed."
            )
        bare, boxed = (beside, boxed) if twin == "bare" else (bare, beside)
    always = common_changes(scenario, time_allowed, own_grid=own_grid)
    if jar is not None:
        always["vessel.temperature"] = _celsius(jar)
    at_room: list[dict[str, Any]] = [{"room.temperature": _celsius(room)} for room in rooms or ()] or [{}]
    chosen = _pours(scenario, rooms, pours, jar, margin)
    points = [
        point_of(one, {**always, **room, "pour.temperature": pour}, number=number)
        for number, one in enumerate((bare, boxed))
        for room in at_room
        for pour in chosen
    ]
    faults = list(dict.fromkeys(point.fault for point in points if point.fault))
    if faults:
        raise ScenarioError(faults)
    rows = sweep(points, executor=executor, workers=workers, journal=journal, on_row=on_row)
    study = PourStudy(
        bare=bare,
        boxed=boxed,
        twin=twin,
        choices=(),
        time_allowed=time_allowed,
        margin=margin,
        own_grid=own_grid,
        made_up=beside is None,
    )
    choices = choices_of(rows, study)
    # Rows come place by place; people look room by room.
    ordered = sorted(choices, key=lambda choice: (choice.room, choice.place))
    return replace(study, choices=tuple(ordered))


def choices_of(rows: Sequence[SweptRow], study: PourStudy) -> tuple[PourChoice, ...]:
    """Hold runs against the limits of a study and gather them by place and room, in the order in which those appear.

    The runs are those of the study's bare scenario (number 0) and its boxed one (number 1).
    """
    places: tuple[Stand, Stand] = ("bare", "boxed")
    groups: dict[tuple[Stand, float, float], list[Candidate]] = {}
    for row in rows:
        candidate = _candidate(row, places[row.point.scenario], study)
        groups.setdefault((candidate.place, candidate.room, candidate.jar), []).append(candidate)
    return tuple(
        PourChoice(place=place, room=room, jar=jar, candidates=_with_skins(sorted(found, key=lambda one: one.pour)))
        for (place, room, jar), found in groups.items()
    )


def _with_skins(candidates: Sequence[Candidate]) -> tuple[Candidate, ...]:
    """Let a skin that stays at one pour stay at all colder ones.

    They hold less heat to melt it. That a run names no skin there only says that its melt came near freezing too soon
    for a first skin to be told from setting.
    """
    found: list[Candidate] = []
    stays = False
    for one in reversed(candidates):
        stays = stays or "skin stays" in one.rejected
        if stays and one.answers is not None and "skin stays" not in one.rejected:
            one = replace(one, rejected=(*one.rejected, "skin stays"))
        found.append(one)
    return tuple(found[::-1])


def _candidate(row: SweptRow, place: Stand, study: PourStudy) -> Candidate:
    scenario = study.scenario(place)
    poured = row.point.jar or scenario.jar
    room, pour = poured.room.at(0.0), poured.pour
    jar = at_the_pour(poured)
    broken = list(_limits_of_pour(scenario, pour=pour, jar=jar, margin=study.margin))
    if row.answers is None:
        broken.append("failed")
    else:
        broken += ["skin stays"] if skin_stays(row.answers) else []
        broken += ["too slow"] if too_slow(row.answers, study.time_allowed) else []
    return Candidate(
        place=place, room=room, jar=jar, pour=pour, answers=row.answers, rejected=tuple(broken), fault=row.fault
    )


def _limits_of_pour(scenario: Scenario, *, pour: float, jar: float, margin: float) -> list[Limit]:
    broken: list[Limit] = []
    starts = scenario.jar.wax.freezing_starts
    if pour < starts - _ROUND_OFF:
        broken.append("cloudy")
    elif pour < starts + margin - _ROUND_OFF:
        broken.append("too near freezing")
    broken += [_STATED[key] for key, limit in scenario.pour_limits.items() if pour > limit + _ROUND_OFF]
    if not is_metal(scenario.jar) and pour - jar > scenario.jar.vessel.shock_limit + _ROUND_OFF:
        broken.append("jar shock")
    return broken


def at_the_pour(jar: Jar) -> float:
    """Temperature of a jar when the wax is poured [°C]: its own, or that of the room."""
    return jar.room.at(0.0) if jar.vessel.start is None else jar.vessel.start


def too_slow(answers: Mapping[str, Value], time_allowed: float) -> bool:
    """Whether a jar is not fully set within a time [s]."""
    fully_set = number_of(answers["fully_set_s"])
    return fully_set is None or fully_set > time_allowed


def is_metal(jar: Jar) -> bool:
    """Tell whether the jar is metal, which thermal shock does not harm."""
    return jar.vessel.material.conductivity > METAL_CONDUCTIVITY


def _celsius(temperature: str | float) -> float:
    return temperature if isinstance(temperature, float) else parse_quantity(str(temperature), "temperature")


def _pours(
    scenario: Scenario, rooms: Sequence[str] | None, pours: Sequence[str | float] | None, jar: str | None, margin: float
) -> tuple[float, ...]:
    own_room = scenario.jar.room.at(0.0)
    warmest = max((_celsius(room) for room in rooms), default=own_room) if rooms else own_room
    start = _celsius(jar) if jar is not None else scenario.jar.vessel.start
    if pours is None:
        usual = usual_pours(scenario, hottest_jar=warmest if start is None else start, margin=margin)
        return (*cloudy_pours(scenario), *usual)
    thickest = scenario.file.pour.thickest
    coldest = coldest_pour(scenario.jar.wax, thickest)
    frozen = [pour for pour in pours if _celsius(pour) < coldest - _ROUND_OFF]
    if frozen:
        system = scenario.units
        raise ScenarioError(
            f"{scenario.where}: pour.temperature: found a pour of {frozen[0]}, but below"
            f" {format_quantity(coldest, 'temperature', system=system, digits=1)} more than {100.0 * thickest:g} % of"
            " this wax with its fragrance is solid, and it no longer pours (pour.thickest). Give hotter pours."
        )
    return tuple(_celsius(pour) for pour in pours)


def common_changes(scenario: Scenario, time_allowed: float, *, own_grid: bool) -> dict[str, Any]:
    """List by dotted key what all runs share: limits judge instead of refusing, and there is time enough to set [s].

    Unless they keep the scenario's own grid, the runs are cut more coarsely; what is coarse already stays as it is.
    """
    changes: dict[str, Any] = {**NO_LIMITS}
    if scenario.jar.horizon < time_allowed:
        changes["run.horizon"] = time_allowed
    if not own_grid:
        own = scenario.jar.accuracy
        # What is coarse already stays as it is.
        if own.refinement * _COARSER >= _LEAST_REFINEMENT:
            changes["run.refinement"] = own.refinement * _COARSER
        if own.tolerance * _LONGER <= _LARGEST_TOLERANCE:
            changes["run.tolerance"] = own.tolerance * _LONGER
    return changes

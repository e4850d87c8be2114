"""How hot to pour: candidates of the pour temperature, checked against every limit, bare and boxed together."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal

from coolsim.answers.answer import Value, number_of
from coolsim.answers.catalogue import BY_KEY, skin_stays
from coolsim.answers.text import value_text
from coolsim.errors import ScenarioError
from coolsim.model.jar import Jar
from coolsim.model.materials import coldest_pour
from coolsim.overview import COMPUTED, Overview, OverviewTable
from coolsim.scenario import Scenario, built_in_pair, changed
from coolsim.scenario.plausible import limits_of
from coolsim.studies.pour.between import Between, swept_between
from coolsim.studies.pour.limits import FROM_BELOW, KEEP_OFF, MARGIN, ROUND_OFF, Limit, beyond, known_limits
from coolsim.studies.sweep.journal import Journal
from coolsim.studies.sweep.sweep import NO_LIMITS, Study, SweptRow, point_of, run_studies, swept
from coolsim.units import System, format_quantity, parse_quantity

Stand = Literal["bare", "boxed", "in water", "through its day", "box of jars"]

AS_GOOD = 0.1
"""Pours whose dish and cavity together are this little larger than the least are as good: nobody sees the rest [-]."""

_LOST_AND_SET = ("Sunk and cavity", f"{BY_KEY['fully_set_s'].label} [h:mm]")


def lost_volume(answers: Mapping[str, Value]) -> float:
    """Add sunk volume and cavity, by which tops are ranked [m3]; infinite if one of them is not there."""
    dish, cavity = (number_of(answers[key]) for key in ("dish_volume_m3", "cavity_volume_m3"))
    return math.inf if dish is None or cavity is None else dish + cavity


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
    def too_cold(self) -> Limit | None:
        """The limit that it breaks, and a hotter pour may keep, where only runs tell."""
        return self._broken(colder=True)

    @property
    def too_hot(self) -> Limit | None:
        """The limit that it breaks, and a colder pour may keep, where only runs tell."""
        return self._broken(colder=False)

    def _broken(self, *, colder: bool) -> Limit | None:
        if "passes too seldom" in self.rejected:
            # What rejects most of the cases says on which side it is.
            return "passes too seldom" if bool(self.breaks and self.breaks[0][0] in FROM_BELOW) is colder else None
        named: Limit = "skin stays" if colder else "too slow"
        return named if named in self.rejected else None

    @property
    def lost(self) -> float:
        """Sunk volume and cavity together [m3]; infinite if the run failed."""
        return math.inf if self.answers is None else lost_volume(self.answers)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """A limit that the pours of a choice run into, and the pour at which it lies [°C].

    Where only runs tell, that is midway between the last pour that breaks it and the first that does not.
    """

    limit: Limit
    pour: float


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class PourChoice(Overview):
    """The candidates for one place and one room [°C], from the coldest pour to the hottest.

    `known` tells at which pour those limits lie that are known without a run [°C].
    """

    place: Stand
    room: float
    jar: float
    candidates: tuple[Candidate, ...]
    known: Mapping[Limit, float] = field(default_factory=dict)

    @property
    def low(self) -> Wall | None:
        """The limit that a colder pour breaks first."""
        walls = [Wall(limit=limit, pour=at) for limit, at in self.known.items() if limit in FROM_BELOW]
        walls += self._found(lambda one: one.too_cold, range(len(self.candidates) - 1, -1, -1))
        return max(walls, key=lambda wall: wall.pour, default=None)

    @property
    def high(self) -> Wall | None:
        """The limit that a hotter pour breaks first."""
        walls = [Wall(limit=limit, pour=at) for limit, at in self.known.items() if limit not in FROM_BELOW]
        walls += self._found(lambda one: one.too_hot, range(len(self.candidates)))
        return min(walls, key=lambda wall: wall.pour, default=None)

    def _found(self, breaks: Callable[[Candidate], Limit | None], order: range) -> list[Wall]:
        """Find where a limit begins that only runs tell, coming from the pours that keep it."""
        for index in order:
            limit = breaks(self.candidates[index])
            if limit is not None:
                before = index - order.step
                nearest = self.candidates[before if 0 <= before < len(self.candidates) else index]
                return [Wall(limit=limit, pour=0.5 * (self.candidates[index].pour + nearest.pour))]
        return []

    def off(self, pour: float) -> float:
        """Tell how far a pour is off the nearest limit [K]; infinite if none is known."""
        return min(
            math.inf if self.low is None else pour - self.low.pour,
            math.inf if self.high is None else self.high.pour - pour,
        )

    @property
    def recommended(self) -> Candidate | None:
        """The middle one of those that are as good as the best, of two the colder one; None if none passes."""
        good = self.as_good
        return good[(len(good) - 1) // 2] if good else None

    @property
    def as_good(self) -> tuple[Candidate, ...]:
        """Those round the one with the least sunk volume and cavity, it included, that cannot be told from it.

        All of them pass, and are `KEEP_OFF` from every limit, or as far as any that passes.
        """
        passing = [one for one in self.candidates if not one.rejected]
        if not passing:
            return ()
        least = min(KEEP_OFF, max(self.off(one.pour) for one in passing)) - ROUND_OFF
        fit = [not one.rejected and self.off(one.pour) >= least for one in self.candidates]
        best = min((one for one, fits in zip(self.candidates, fit, strict=True) if fits), key=lambda one: one.lost)
        most = best.lost * (1.0 + AS_GOOD)
        good = [fits and one.lost <= most for one, fits in zip(self.candidates, fit, strict=True)]
        first = last = self.candidates.index(best)
        while first > 0 and good[first - 1]:
            first -= 1
        while last + 1 < len(good) and good[last + 1]:
            last += 1
        return self.candidates[first : last + 1]

    def advised(self, units: System) -> str:
        """Say the range of the pours that are as good, and the one to take; empty if none passes."""
        best = self.recommended
        if best is None:
            return ""
        first, last, say = (degrees_text(one.pour, units) for one in (self.as_good[0], self.as_good[-1], best))
        return say if first == last else f"{first.partition(' ')[0]} to {last}, say {say}"

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


def degrees_text(celsius: float, units: System) -> str:
    """Write a pour or a room [°C]: whole degrees without a decimal, in °F always whole."""
    whole = units == "us" or abs(celsius - round(celsius)) < _WHOLE
    return format_quantity(celsius, "temperature", system=units, digits=0 if whole else 1)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class PourStudy(Overview):
    """The answer to how hot to pour. A notebook shows it as a table; `print` writes the same as lines.

    Parameters
    ----------
    stands : mapping of str to Scenario
        How the jar stands, one way or two beside each other, and what was simulated for each: those of `stands_of`.
    own : str
        Which of them the scenario describes itself.
    choices : tuple of PourChoice
        One for each stand and room, rooms from cold to warm.
    time_allowed : float
        Within what time a jar must be fully set [s].
    margin : float
        How far above the start of freezing a pour must be [K].
    own_grid : bool
        Whether every pour was run, rather than some of them.
    made_up : bool
        Whether the other one was derived, rather than given.
    cases : int or None
        In how many cases each pour was tried [-]; None if only with the values of the scenario.
    share : float
        In which share of the cases a pour must pass [-].
    varied : tuple of str
        Keys that differ from case to case.
    between : Between or None
        How many of the pours were run, and how far the others may be off; None if nobody counted.

    Examples
    --------
    >>> from coolsim import PourStudy, built_in_pair
    >>> bare, boxed = built_in_pair()
    >>> stands = {"bare": bare, "boxed": boxed}
    >>> PourStudy(stands=stands, own="bare", choices=(), time_allowed=57600.0, margin=8.0, own_grid=True)
    <PourStudy of 'Tumbler, bare on the bench' and 'Tumbler, one of six in an open box': 0 choices>
    """

    stands: Mapping[Stand, Scenario]
    own: Stand
    choices: tuple[PourChoice, ...]
    time_allowed: float
    margin: float
    own_grid: bool
    made_up: bool = True
    cases: int | None = None
    share: float = 1.0
    varied: tuple[str, ...] = ()
    between: Between | None = None

    def scenario(self, place: Stand | None = None) -> Scenario:
        """Return the scenario of a stand, that of the study's own if none is named."""
        return self.stands[self.own if place is None else place]

    def alone(self, place: Stand) -> PourStudy:
        """Return what the study found for one of its stands."""
        return replace(
            self,
            stands={place: self.stands[place]},
            own=place,
            choices=tuple(choice for choice in self.choices if choice.place == place),
        )

    def nearest(self, room: float) -> tuple[PourChoice, ...]:
        """Return the choices for the room that is nearest to one.

        Parameters
        ----------
        room : float
            Temperature of that room [°C].

        Returns
        -------
        tuple of PourChoice
            One for each stand.
        """
        at = min((choice.room for choice in self.choices), key=lambda one: abs(one - room))
        return tuple(choice for choice in self.choices if choice.room == at)

    def __repr__(self) -> str:
        titles = " and ".join(repr(one.title) for one in self.stands.values())
        return f"<PourStudy of {titles}: {len(self.choices)} choices>"

    def overview(self) -> OverviewTable:
        """Return the recommended pours, as a notebook shows them."""
        return OverviewTable(
            title="How hot to pour",
            headings=("Place", "Room", "Pour at", *_LOST_AND_SET),
            rows=tuple(_overview_row(choice, self.scenario().units) for choice in self.choices),
            notes=(COMPUTED,),
        )


def _overview_row(choice: PourChoice, units: System) -> tuple[str, ...]:
    room = format_quantity(choice.room, "temperature", system=units)
    best = choice.recommended
    if best is None:
        limits = dict.fromkeys(limit for one in choice.candidates for limit in one.rejected)
        return choice.place, room, f"none passes: {', '.join(limits)}", "", ""
    return choice.place, room, choice.advised(units), *_lost_and_set(best, units)


def _lost_and_set(one: Candidate, units: System) -> tuple[str, str]:
    lost = None if one.answers is None else one.lost
    fully_set = BY_KEY["fully_set_s"]
    return value_text(BY_KEY["dish_volume_m3"], lost, units), value_text(fully_set, one.number(fully_set.key), units)


TIME_ALLOWED = 16 * 3600.0
"""Within what time a jar must be fully set unless the caller says otherwise: poured in the afternoon, moved the next
morning; an estimate [s]."""

_ABOVE_FREEZING, _BEYOND_SHOCK = 35.0, 1.0
_LEAST_SPAN = 5.0
_WHOLE = 0.01
_STEPS: dict[System, tuple[float, ...]] = {"metric": (1.0, 2.0, 5.0), "us": (1.0, 2.0, 4.0, 10.0)}
_MOST_STEPS = 21


def stands_of(scenario: Scenario) -> dict[Stand, Scenario]:
    """Set a scenario beside its twin without or with a box, where it has one.

    The box of a bare jar is that of the built-in pair; beside a box of jars stands one of them, bare on the bench.
    Board under the jar changes what its foot stands on, so the twin has the usual contact for that (`vessel.foot` left
    out) instead of the scenario's. A water bath and a day with changes have no twin.
    """
    jar = scenario.jar
    if jar.changes:
        return {"through its day": scenario}
    if jar.water is not None:
        return {"in water": scenario}
    if jar.surround is None:
        box = built_in_pair()[1].file.surround
        return {"bare": scenario, "boxed": changed(scenario, {"surround": box, "vessel.foot": None})}
    changes: dict[str, Any] = {"surround": None, "places": None}
    if jar.surround.under_layers:
        changes["vessel.foot"] = None
    return {"bare": changed(scenario, changes), "boxed" if jar.places is None else "box of jars": scenario}


def own_stand(scenario: Scenario, stands: Mapping[Stand, Scenario]) -> Stand:
    """Tell which of the stands is the scenario itself."""
    return next(place for place, one in stands.items() if one is scenario)


def usual_pours(scenario: Scenario, *, hottest_jar: float, margin: float = MARGIN) -> tuple[float, ...]:
    """List up to some twenty pours [°C], at whole degrees of the workshop, for a jar as warm as the hottest [°C].

    They go from the margin above freezing [K] up to the limit that is stated for wax or fragrance, or a little
    above the limit of thermal shock, and at most 35 K above the start of freezing. They depend on nothing else, so
    that every table, chart and page tries the same ones.
    """
    starts = scenario.jar.wax.freezing_starts
    low = starts + margin
    high = min(starts + _ABOVE_FREEZING, *scenario.pour_limits.values(), limits_of("pour.temperature")[1])
    shock = scenario.jar.vessel.shock_limit
    if shock is not None:
        high = min(high, hottest_jar + shock + _BEYOND_SHOCK)
    high = max(high, low + _LEAST_SPAN)
    factor, shift = (1.8, 32.0) if scenario.units == "us" else (1.0, 0.0)
    first, last = low * factor + shift, high * factor + shift
    step = next((one for one in _STEPS[scenario.units] if (last - first) / one < _MOST_STEPS), _STEPS["us"][-1])
    start = math.ceil(first / step - ROUND_OFF)
    end = math.floor(last / step + ROUND_OFF)
    return tuple((index * step - shift) / factor for index in range(start, end + 1))


def cloudy_pours(scenario: Scenario) -> tuple[float, ...]:
    """List up to two pours of wax that has begun to set [°C], at whole degrees: the coldest, and one half-way up."""
    starts = scenario.jar.wax.freezing_starts
    coldest = coldest_pour(scenario.jar.wax, scenario.file.pour.thickest)
    factor, shift = (1.8, 32.0) if scenario.units == "us" else (1.0, 0.0)
    degrees = {math.ceil(pour * factor + shift - ROUND_OFF) for pour in (coldest, 0.5 * (coldest + starts))}
    pours = sorted((degree - shift) / factor for degree in degrees)
    return tuple(pour for pour in pours if pour < starts - ROUND_OFF)


def with_own_room(scenario: Scenario, rooms: Sequence[str]) -> tuple[str, ...]:
    """Add the room of a scenario to a list of rooms, in its place from cold to warm."""
    own = scenario.jar.room.at(0.0)
    known = {_celsius(room): room for room in rooms}
    if all(abs(room - own) > _WHOLE for room in known):
        known[own] = format_quantity(own, "temperature", system=scenario.units, digits=2)
    return tuple(known[room] for room in sorted(known))


def possible_rooms(scenario: Scenario, rooms: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sort out rooms in which this wax would not set: those that are possible, and those left out."""
    points = [point_of(scenario, {"room.temperature": _celsius(room)}) for room in rooms]
    if all(point.fault for point in points):
        raise ScenarioError(dict.fromkeys(point.fault or "" for point in points))
    kept = tuple(room for room, point in zip(rooms, points, strict=True) if point.fault is None)
    return kept, tuple(room for room in rooms if room not in kept)


def choose_pour(
    scenario: Scenario,
    *,
    beside: Scenario | None = None,
    alone: bool = False,
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
    """Find how hot to pour.

    Parameters
    ----------
    scenario : Scenario
        The jar as it stands. A bare jar is tried in a box as well, and one in a box is tried bare; of a box of jars
        the worst one decides.
    beside : Scenario, optional
        The other of bare and boxed; derived as by `stands_of` if left out.
    alone : bool
        Whether to try the scenario as it stands and no other.
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
        Whether to run every pour. Otherwise some are run, a quarter to a half, and the others worked out from them
        (`coolsim.studies.pour.between`). For the built-in pair that moves times and tops by 1.2 % at most, the times of
        rim and first skin, next to a pour at which it stays, by half a minute, and no verdict.
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
    Place  Room   Pour at  Sunk and cavity  Fully set [h:mm]
    bare   21 °C  60 °C    4.8 mL           1:49
    boxed  21 °C  60 °C    3.8 mL           2:37
    Computed, not measured. Hot wax burns ...
    >>> print(study.choices[0])
    Bare, room at 21 °C
    Pour at  Sunk and cavity  Fully set [h:mm]  Breaks
    60 °C    4.8 mL           1:49              no limit
    66 °C    4.3 mL           1:54              jar shock
    Computed, not measured. Hot wax burns ...
    """
    study = pour_study(
        scenario,
        beside=beside,
        alone=alone,
        rooms=rooms,
        pours=pours,
        jar=jar,
        time_allowed=time_allowed,
        margin=margin,
        own_grid=own_grid,
        on_row=on_row,
    )
    (found,) = run_studies([study], executor=executor, workers=workers, journal=journal)
    return found


def pour_study(
    scenario: Scenario,
    *,
    beside: Scenario | None = None,
    alone: bool = False,
    rooms: Sequence[str] | None = None,
    pours: Sequence[str | float] | None = None,
    jar: str | None = None,
    time_allowed: float = TIME_ALLOWED,
    margin: float = MARGIN,
    own_grid: bool = False,
    on_row: Callable[[SweptRow, int, int], None] | None = None,
) -> Study[PourStudy]:
    """Ask for the runs of `choose_pour`, whose options these are: pours [°C], a duration [s] and a difference [K]."""
    stands = stands_of(scenario)
    own = own_stand(scenario, stands)
    if alone:
        stands = {own: scenario}
    elif beside is not None:
        stands = _beside(stands, own, beside)
    always = common_changes(scenario, time_allowed)
    if jar is not None:
        always["vessel.temperature"] = _celsius(jar)
    at_room: list[dict[str, Any]] = [{"room.temperature": _celsius(room)} for room in rooms or ()] or [{}]
    points = [
        point_of(one, {**always, **room, "pour.temperature": pour}, number=number)
        for number, one in enumerate(stands.values())
        for room in at_room
        for pour in _pours(scenario, room.get("room.temperature"), pours, jar, margin)
    ]
    faults = list(dict.fromkeys(point.fault for point in points if point.fault))
    if faults:
        raise ScenarioError(faults)
    between = None
    if own_grid:
        rows: Sequence[SweptRow] = yield from swept(points, on_row)
    else:
        rows, between = yield from swept_between(points, on_row)
    study = PourStudy(
        stands=stands,
        own=own,
        choices=(),
        time_allowed=time_allowed,
        margin=margin,
        own_grid=own_grid,
        made_up=beside is None,
        between=between,
    )
    # Rows come stand by stand; people look room by room.
    return replace(study, choices=tuple(sorted(choices_of(rows, study), key=lambda choice: choice.room)))


def _beside(stands: Mapping[Stand, Scenario], own: Stand, beside: Scenario) -> dict[Stand, Scenario]:
    """Put a scenario that is given in the place of the twin."""
    twin = next((place for place in stands if place != own), None)
    if twin is None or (beside.jar.surround is None) != (twin == "bare"):
        raise ScenarioError(
            f"{beside.where}: found a scenario that is {'bare' if beside.jar.surround is None else 'boxed'} like"
            f" {stands[own].where}. Give one bare and one boxed."
        )
    return {place: beside if place == twin else one for place, one in stands.items()}


def choices_of(rows: Sequence[SweptRow], study: PourStudy) -> tuple[PourChoice, ...]:
    """Hold runs against the limits of a study and gather them by stand and room, in the order in which those appear.

    The number of a row's scenario is that of its stand in the study.
    """
    places = tuple(study.stands)
    groups: dict[tuple[Stand, float, float], list[Candidate]] = {}
    limits: dict[tuple[Stand, float, float], dict[Limit, float]] = {}
    for row in rows:
        place = places[row.point.scenario]
        scenario = study.scenario(place)
        poured = row.point.jar or scenario.jar
        known = known_limits(poured, scenario.pour_limits, margin=study.margin)
        candidate = _candidate(row, place, poured, beyond(poured.pour, known), study.time_allowed)
        at = candidate.place, candidate.room, candidate.jar
        groups.setdefault(at, []).append(candidate)
        limits[at] = known
    return tuple(
        PourChoice(
            place=place,
            room=room,
            jar=jar,
            candidates=_with_skins(sorted(found, key=lambda one: one.pour)),
            known=limits[place, room, jar],
        )
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


def _candidate(row: SweptRow, place: Stand, poured: Jar, broken: list[Limit], time_allowed: float) -> Candidate:
    if row.answers is None:
        broken = [*broken, "failed"]
    else:
        broken = broken + ["skin stays"] * skin_stays(row.answers) + ["too slow"] * too_slow(row.answers, time_allowed)
    return Candidate(
        place=place,
        room=poured.room.at(0.0),
        jar=poured.vessel_start,
        pour=poured.pour,
        answers=row.answers,
        rejected=tuple(broken),
        fault=row.fault,
    )


def too_slow(answers: Mapping[str, Value], time_allowed: float) -> bool:
    """Whether a jar is not fully set within a time [s]."""
    fully_set = number_of(answers["fully_set_s"])
    return fully_set is None or fully_set > time_allowed


def _celsius(temperature: str | float) -> float:
    return temperature if isinstance(temperature, float) else parse_quantity(str(temperature), "temperature")


def _pours(
    scenario: Scenario, room: float | None, pours: Sequence[str | float] | None, jar: str | None, margin: float
) -> tuple[float, ...]:
    """List the pours for a room [°C], which are those that are given, or the usual ones."""
    if pours is None:
        own = scenario.jar.vessel.start
        air = scenario.jar.room.at(0.0) if room is None else room
        warmth = _celsius(jar) if jar is not None else air if own is None else own
        return (*cloudy_pours(scenario), *usual_pours(scenario, hottest_jar=warmth, margin=margin))
    thickest = scenario.file.pour.thickest
    coldest = coldest_pour(scenario.jar.wax, thickest)
    frozen = [pour for pour in pours if _celsius(pour) < coldest - ROUND_OFF]
    if frozen:
        system = scenario.units
        raise ScenarioError(
            f"{scenario.where}: pour.temperature: found a pour of {frozen[0]}, but below"
            f" {format_quantity(coldest, 'temperature', system=system, digits=1)} more than {100.0 * thickest:g} % of"
            " this wax with its fragrance is solid, and it no longer pours (pour.thickest). Give hotter pours."
        )
    return tuple(_celsius(pour) for pour in pours)


def common_changes(scenario: Scenario, time_allowed: float) -> dict[str, Any]:
    """List by dotted key what all runs share: limits judge instead of refusing, and there is time enough to set [s]."""
    changes: dict[str, Any] = {**NO_LIMITS}
    if scenario.jar.horizon < time_allowed:
        changes["run.horizon"] = time_allowed
    return changes

"""Questions about a box of jars: which one is last, how many go into a box, and how far apart they should stand."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from coolsim.errors import ScenarioError
from coolsim.model.jar import Jar
from coolsim.model.places import PlaceKind, Places
from coolsim.scenario import Scenario, changed
from coolsim.scenario.plausible import states
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.result import Events
from coolsim.solve.together import BoxResult, simulate_box
from coolsim.studies.pour.choose import TIME_ALLOWED
from coolsim.units import parse_quantity

_ROUND_OFF = 1e-9
_NO_PLACES = (
    "places: missing. Add a table [places] with rows, columns and inner size; `coolsim run` takes one jar as well."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceAnswers:
    """What comes out for the jars of one kind of place."""

    kind: PlaceKind
    events: Events
    top: Shrinkage

    @property
    def set_at(self) -> float:
        """When it is fully set [s]; infinite if not within the run."""
        return math.inf if self.events.fully_set is None else self.events.fully_set


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxAnswers:
    """What comes out for a box.

    Parameters
    ----------
    places : Places
        Where the jars stand.
    kinds : tuple of PlaceAnswers
        For each kind of place with jars, from the most exposed on.
    time_allowed : float
        Time allowed until all are fully set [s].

    Examples
    --------
    >>> from dataclasses import replace
    >>> from coolsim import Places, box_answers, built_in_pair, simulate_box, with_overrides
    >>> quick = with_overrides(built_in_pair()[1], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
    >>> places = Places(rows=1, columns=3, length=0.29, width=0.10, pitch_along=0.09, pitch_across=0.09)
    >>> answers = box_answers(simulate_box(replace(quick, places=places)))
    >>> answers.first.kind.name, answers.last.kind.name
    ('end', 'in the row')
    """

    places: Places
    kinds: tuple[PlaceAnswers, ...]
    time_allowed: float

    @property
    def first(self) -> PlaceAnswers:
        """Those that set first."""
        return min(self.kinds, key=lambda one: one.set_at)

    @property
    def last(self) -> PlaceAnswers:
        """Those that set last: the worst places."""
        return max(self.kinds, key=lambda one: one.set_at)

    @property
    def least_flat(self) -> PlaceAnswers:
        """Those whose middle and rim differ most."""
        return max(self.kinds, key=lambda one: abs(one.top.depth))

    @property
    def flattest(self) -> PlaceAnswers:
        """Those whose middle and rim differ least."""
        return min(self.kinds, key=lambda one: abs(one.top.depth))

    @property
    def passes(self) -> bool:
        """Whether all jars set in time."""
        return self.last.set_at <= self.time_allowed


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxTrial:
    """One way to fill a box.

    Parameters
    ----------
    rows, columns, jars : int
        Places, and how many jars stand in them [-].
    spacing : float or None
        Smallest distance between neighbouring jars [m]; None with one place.
    answers : BoxAnswers or None
        What comes out; None if it cannot be run.
    fault : str
        Why not; empty if it can.

    Examples
    --------
    >>> from coolsim import BoxTrial
    >>> BoxTrial(rows=1, columns=1, jars=1, spacing=None, answers=None, fault="too wide").passes
    False
    """

    rows: int
    columns: int
    jars: int
    spacing: float | None
    answers: BoxAnswers | None
    fault: str = ""

    @property
    def passes(self) -> bool:
        """Whether all jars set in time."""
        return self.answers is not None and self.answers.passes


def box_answers(found: BoxResult, *, time_allowed: float = TIME_ALLOWED) -> BoxAnswers:
    """Take the answers from the run of a box.

    Parameters
    ----------
    found : BoxResult
        The run.
    time_allowed : float
        Time allowed until all jars are fully set [s].

    Returns
    -------
    BoxAnswers
        Which jars are last and least flat, and whether all set in time.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from coolsim import Places, box_answers, built_in_pair, simulate_box, with_overrides
    >>> quick = with_overrides(built_in_pair()[1], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
    >>> places = Places(rows=2, columns=3, length=0.29, width=0.195, pitch_along=0.09, pitch_across=0.09)
    >>> answers = box_answers(simulate_box(replace(quick, places=places)), time_allowed=12 * 3600.0)
    >>> answers.last.kind.name, answers.passes
    ('edge', True)
    """
    kinds = []
    for kind, result in zip(found.kinds, found.results, strict=True):
        top = result.shrinkage
        if top is None:
            raise ValueError(f"'{result.name}' does not hold exactly one block of wax")
        kinds.append(PlaceAnswers(kind=kind, events=result.required_events(), top=top))
    return BoxAnswers(places=found.places, kinds=tuple(kinds), time_allowed=time_allowed)


def box_fillings(
    scenario: Scenario, *, time_allowed: float = TIME_ALLOWED, on_run: Callable[[int, int], None] | None = None
) -> tuple[BoxTrial, ...]:
    """Try how many jars may stand in a box of given size.

    Parameters
    ----------
    scenario : Scenario
        A scenario with a table `places`; its box keeps its size.
    time_allowed : float
        Time allowed until all jars are fully set [s].
    on_run : callable, optional
        Called with the number of finished runs and of all.

    Returns
    -------
    tuple of BoxTrial
        All rows and columns that fit, each spread evenly, from the fullest on. The first that passes is the answer.

    Raises
    ------
    ScenarioError
        If the scenario has no table `places`, or none of them can be run.

    Examples
    --------
    >>> from coolsim import box_fillings, built_in_pair, with_overrides
    >>> places = {"rows": 1, "columns": 2, "inner_length": "190 mm", "inner_width": "100 mm"}
    >>> alone = {"surround.gap": None, "surround.exposed_sides": None}
    >>> quick = {"run.refinement": 0.5, "run.tolerance": "1 K", **alone, "places": places}
    >>> [(trial.jars, trial.passes) for trial in box_fillings(with_overrides(built_in_pair()[1], quick))]
    [(2, True), (1, True)]
    """
    places = _places_of(scenario)
    diameter, least = scenario.jar.vessel.diameter, _least_distance(scenario)
    width, length = places.width, places.length
    fit = [math.floor((size + least) / (diameter + least) * (1.0 + _ROUND_OFF)) for size in (width, length)]
    square = abs(length - width) < _ROUND_OFF
    shapes = [
        (rows, columns)
        for rows in range(1, fit[0] + 1)
        for columns in range(1, fit[1] + 1)
        # A square box is the same from its other side.
        if rows <= columns or not square
    ]
    shapes.sort(key=lambda shape: (-shape[0] * shape[1], abs(shape[0] / width - shape[1] / length)))
    size = {"places.inner_length": length, "places.inner_width": width}
    always = {**size, "places.spacing": None, "places.to_wall": None, "places.empty": None}
    changes = [{**always, "places.rows": rows, "places.columns": columns} for rows, columns in shapes]
    return _tried(scenario, changes, time_allowed=time_allowed, on_run=on_run)


def box_spacings(
    scenario: Scenario,
    spacings: Sequence[str],
    *,
    time_allowed: float = TIME_ALLOWED,
    on_run: Callable[[int, int], None] | None = None,
) -> tuple[BoxTrial, ...]:
    """Try how far apart jars should stand, each time in a box that is as much larger.

    Parameters
    ----------
    scenario : Scenario
        A scenario with a table `places`; its rows, columns and the distance to the wall stay.
    spacings : sequence of str
        Smallest distances between neighbouring jars, with units.
    time_allowed : float
        Time allowed until all jars are fully set [s].
    on_run : callable, optional
        Called with the number of finished runs and of all.

    Returns
    -------
    tuple of BoxTrial
        One for each distance, in their order.

    Raises
    ------
    ScenarioError
        If the scenario has no table `places`, there is but one place, or no distance can be run.

    Examples
    --------
    >>> from coolsim import box_spacings, built_in_pair, with_overrides
    >>> places = {"rows": 1, "columns": 2, "spacing": "12 mm", "to_wall": "10 mm"}
    >>> alone = {"surround.gap": None, "surround.exposed_sides": None}
    >>> quick = {"run.refinement": 0.5, "run.tolerance": "1 K", **alone, "places": places}
    >>> trials = box_spacings(with_overrides(built_in_pair()[1], quick), ["5 mm", "40 mm"])
    >>> trials[0].answers.last.set_at > trials[1].answers.last.set_at
    True
    """
    places = _places_of(scenario)
    if places.rows * places.columns < 2:
        raise ScenarioError(f"{scenario.where}: places: found one place, which has no neighbours. Give more places.")
    changes = [spacing_values(scenario, parse_quantity(spacing, "length")) for spacing in spacings]
    return _tried(scenario, changes, time_allowed=time_allowed, on_run=on_run)


def spacing_values(scenario: Scenario, spacing: float) -> dict[str, Any]:
    """List by dotted key what puts jars a distance apart [m], in a box that grows with it, as far from its wall."""
    places = _places_of(scenario)
    along = places.length - (places.columns - 1) * places.pitch_along
    across = places.width - (places.rows - 1) * places.pitch_across
    to_wall = 0.25 * (along + across) - 0.5 * scenario.jar.vessel.diameter
    size = {"places.inner_length": None, "places.inner_width": None}
    return {**size, "places.to_wall": to_wall, "places.spacing": spacing}


def _tried(
    scenario: Scenario,
    changes: Sequence[dict[str, Any]],
    *,
    time_allowed: float,
    on_run: Callable[[int, int], None] | None,
) -> tuple[BoxTrial, ...]:
    trials = []
    for number, change in enumerate(changes, start=1):
        trials.append(_trial(scenario, change, time_allowed))
        if on_run is not None:
            on_run(number, len(changes))
    if all(trial.answers is None for trial in trials):
        raise ScenarioError(dict.fromkeys(trial.fault for trial in trials))
    return tuple(trials)


def _trial(scenario: Scenario, change: dict[str, Any], time_allowed: float) -> BoxTrial:
    try:
        tried = changed(scenario, change)
    except ScenarioError as error:
        own = _places_of(scenario)
        rows, columns = change.get("places.rows", own.rows), change.get("places.columns", own.columns)
        empty = () if "places.empty" in change else own.empty
        fault = " ".join(error.faults)
        return BoxTrial(
            rows=rows, columns=columns, jars=rows * columns - len(empty), spacing=None, answers=None, fault=fault
        )
    places = _places_of(tried)
    return BoxTrial(
        rows=places.rows,
        columns=places.columns,
        jars=places.jars,
        spacing=spacing_of(places, tried.jar.vessel.diameter),
        answers=box_answers(simulate_box(tried.jar), time_allowed=time_allowed),
    )


def spacing_of(places: Places, diameter: float) -> float | None:
    """Smallest distance between neighbouring jars of this diameter [m]; None with one place."""
    pitches = [
        pitch
        for pitch, count in ((places.pitch_along, places.columns), (places.pitch_across, places.rows))
        if count > 1
    ]
    return min(pitches) - diameter if pitches else None


def jar_in_box(scenario: Scenario) -> Jar:
    """Return the jars of a scenario that says how they stand in a box; ScenarioError if it does not."""
    _places_of(scenario)
    return scenario.jar


def _places_of(scenario: Scenario) -> Places:
    if scenario.jar.places is None:
        raise ScenarioError(f"{scenario.where}: {_NO_PLACES}")
    return scenario.jar.places


def _least_distance(scenario: Scenario) -> float:
    """Distance that the scenario wants between neighbours, or what a divider takes [m]."""
    places, surround = scenario.jar.places, scenario.jar.surround
    if places is None or surround is None:
        return 0.0
    divider = surround.layer if places.dividers else 0.0
    if not states(scenario, "places.spacing"):
        return divider
    return spacing_of(places, scenario.jar.vessel.diameter) or divider

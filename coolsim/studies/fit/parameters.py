"""What a fit is given and may change: jars with what was measured, fields of a scenario, errors of a thermometer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from coolsim.errors import ScenarioError
from coolsim.model.jar import Jar
from coolsim.model.places import Place
from coolsim.scenario import Scenario, changed
from coolsim.scenario.plausible import Plausible, limits_of
from coolsim.studies.fit.log import Log, Probe

MOST_SIGMAS = 4.0
"""Bounds of a parameter, in standard deviations from its centre [-]: twice the plausible range."""

_HALVINGS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Thermometer:
    """How far a thermometer can be trusted, as standard deviations; zero leaves an error out.

    They are those of the place of a probe, along r and along z [m], of its calibration [K], and of the time of the
    pour [s]. `lag` is the time by which a probe lags, taken as known [s].
    """

    place: float = 1e-3
    reading: float = 0.5
    clock: float = 30.0
    lag: float = 0.0


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing that was seen: its name, what it was and the standard deviation of that [s, m or m3]."""

    what: str
    value: float
    deviation: float


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Measured:
    """One jar and what was measured on it, by a thermometer or by hand.

    `stands` says in which row and column of its box, if it is one of several.
    """

    scenario: Scenario
    log: Log | None = None
    seen: tuple[Seen, ...] = ()
    stands: Place | None = None

    @property
    def name(self) -> str:
        """The name of its file, without ending, and where it stands in a box."""
        return jar_name(Path(self.scenario.where).stem, self.stands)

    @property
    def probes(self) -> tuple[Probe, ...]:
        """The probes of its log."""
        return self.log.probes if self.log is not None else ()


@dataclass(frozen=True, slots=True)
class Nuisance:
    """An error of the thermometer that the fit finds along with the fields: what it shifts, and of which probe.

    The clock is that of no probe, -1. `jar` is the number of the jar. `sigma` is its standard deviation before the fit
    [m, K or s]; `low` and `high` are bounds in standard deviations [-].
    """

    kind: str
    probe: int
    sigma: float
    low: float = -MOST_SIGMAS
    high: float = MOST_SIGMAS
    jar: int = 0


def jar_name(file: str, stands: Place | None) -> str:
    """Name a jar by its file, and by its place in a box."""
    return file if stands is None else f"{file} row {stands[0]} column {stands[1]}"


def nuisances_of(measured: Sequence[Measured], thermometer: Thermometer) -> tuple[Nuisance, ...]:
    """List the errors of the thermometers that a fit allows for, jar by jar; a probe in the wax stays in the wax."""
    return tuple(
        replace(error, jar=number)
        for number, one in enumerate(measured)
        for error in _errors_of(one.probes, thermometer, one.scenario.jar)
    )


def _errors_of(probes: Sequence[Probe], thermometer: Thermometer, jar: Jar) -> tuple[Nuisance, ...]:
    """List them for one jar.

    There is none of place on the axis along r, where the temperature is flat, of a mean, or of a probe in the
    glass.
    """
    found = []
    radius, depth = jar.vessel.inner_radius, jar.depth
    for index, probe in enumerate(probes):
        place = probe.place
        if thermometer.place > 0.0 and not isinstance(place, str) and place[0] <= radius and 0.0 <= place[1] <= depth:
            r, z = place
            if r > 0.0:
                found.append(Nuisance("r", index, thermometer.place, *_inside(r, radius, thermometer.place)))
            found.append(Nuisance("z", index, thermometer.place, *_inside(z, depth, thermometer.place)))
        if thermometer.reading > 0.0:
            found.append(Nuisance("reading", index, thermometer.reading))
    if thermometer.clock > 0.0 and probes:
        found.append(Nuisance("clock", -1, thermometer.clock))
    return tuple(found)


def _inside(place: float, extent: float, sigma: float) -> tuple[float, float]:
    return max(-MOST_SIGMAS, -place / sigma), min(MOST_SIGMAS, (extent - place) / sigma)


def field_bounds(scenario: Scenario, known: Plausible) -> tuple[float, float]:
    """Find how far a field may go, in standard deviations [-]: four, or less where the scenario has faults beyond."""
    limits = limits_of(known.key)

    def possible(sigmas: float) -> bool:
        value = value_at(known, sigmas)
        if not limits[0] <= value <= limits[1]:
            return False
        try:
            changed(scenario, {known.key: value})
        except ScenarioError:
            return False
        return True

    low, high = (_farthest(possible, sign * MOST_SIGMAS) for sign in (-1.0, 1.0))
    if not high - low > 0.1:
        raise ScenarioError(
            f"{known.key}: cannot be changed from {known.centre:g} either way. Leave it out of the fit."
        )
    return low, high


def _farthest(possible: Callable[[float], bool], end: float) -> float:
    if possible(end):
        return end
    inside, outside = 0.0, end
    for _ in range(_HALVINGS):
        middle = 0.5 * (inside + outside)
        inside, outside = (middle, outside) if possible(middle) else (inside, middle)
    return inside


def value_at(known: Plausible, sigmas: float) -> float:
    """Value of a field [SI, °C] at so many standard deviations from its centre [-]."""
    return known.from_space(known.to_space(known.centre) + known.sigma * sigmas)

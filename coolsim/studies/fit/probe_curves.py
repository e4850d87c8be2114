"""Runs of a fit: what probes, an eye, a ruler and a syringe would show, as plain arrays for other processes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from coolsim.answers.answer import Run, Value
from coolsim.answers.catalogue import BY_KEY, in_group
from coolsim.errors import CoolsimError, SolverError
from coolsim.model.jar import Jar
from coolsim.model.layout import problem_of
from coolsim.model.places import Place
from coolsim.model.section import Array
from coolsim.solve.curves import temperature_of_point, usual_points
from coolsim.solve.events import wax_body
from coolsim.solve.network import build
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate_many
from coolsim.solve.smooth import smooth
from coolsim.solve.together import simulate_box
from coolsim.studies.fit.log import ProbePlace
from coolsim.units import Kind

_LONGEST = 300.0  # Between points that are this far apart a curve is straight [s].


@dataclass(frozen=True, slots=True)
class Sight:
    """What can be seen of a jar without a thermometer: its kind, how a run has it, and what is measured."""

    kind: Kind
    read: Callable[[Run], Value]
    means: str = ""


EVENTS = MappingProxyType(
    {answer.key.removesuffix("_s").replace("_", " "): Sight("duration", answer.read) for answer in in_group("setting")}
)
"""Events that an eye can time, by the name under which they are given."""

RULER = MappingProxyType(
    {
        name: Sight(BY_KEY[key].kind or "length", BY_KEY[key].of, means)
        for name, key, means in (
            ("rim", "rim_dip_m", "wax at the glass, below the pour mark"),
            ("dish", "dish_m", "wax half-way in, below the wax at the glass"),
            ("middle", "depth_m", "wax in the middle, below the wax at the glass"),
            ("cavity", "cavity_volume_m3", "water that the hidden cavity takes once it is opened"),
        )
    }
)
"""What a ruler and a syringe measure on the set candle, by the name under which it is given."""

SIGHTS = MappingProxyType({**EVENTS, **RULER})


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class ProbeCurves:
    """What one run shows: temperature of each place, (np, nt), lag included [°C], and what was seen [s, m, m3].

    `liquid_left` is the liquid share in the last place to freeze at the end of the log, none if all is as solid as the
    room makes it [-].
    """

    time: Array
    temperature: Array
    seen: dict[str, float]
    liquid_left: float = 0.0


class Trial(NamedTuple):
    """A run that a fit asks for: a jar up to a horizon [s], and what is read of it.

    Those are probes at some places, which lag [s], the end of a log [s], and what can be seen. Of several jars in a box
    the one is read that `stands` in a row and column.
    """

    jar: Jar
    places: Sequence[ProbePlace]
    seen: Sequence[str]
    horizon: float
    lag: float
    logged: float
    stands: Place | None = None

    @property
    def run(self) -> Jar:
        """The jar as it is run: with probes however cool the wax is."""
        changes = tuple(change for change in self.jar.changes if change.time < self.horizon)
        jar = replace(self.jar, horizon=self.horizon, changes=changes)
        if self.places:
            jar = replace(jar, stop_when_cool=False)
        return jar


def probe_curves(trials: Sequence[Trial]) -> list[ProbeCurves | SolverError]:
    """Make the runs of trials together; in the place of one that fails, or ends before what was seen, is its error."""
    single = [number for number, trial in enumerate(trials) if trial.stands is None]
    results = dict(zip(single, simulate_many([trials[number].run for number in single]), strict=True))
    found: list[ProbeCurves | SolverError] = []
    for number, trial in enumerate(trials):
        try:
            result = results.pop(number) if trial.stands is None else simulate_box(trial.run).at(trial.stands)
            if isinstance(result, CoolsimError):
                raise result
            found.append(_read(trial, result))
        except SolverError as error:
            found.append(error)
    return found


def _read(trial: Trial, result: Result) -> ProbeCurves:
    curves = [
        result.mean_wax_temperature() if isinstance(place, str) else temperature_of_point(result, *place)
        for place in trial.places
    ]
    time = _closer(result.time)
    temperature = smooth(result.time, np.array(curves).T, time).T if curves else np.empty((0, len(time)))
    found = {}
    for name in trial.seen:
        value = SIGHTS[name].read(Run(result=result))
        if not isinstance(value, float):
            raise SolverError(
                f"'{name}' was not reached within {trial.horizon / 3600:.1f} h in a trial of the fit. Check what was"
                " seen, or leave it out."
            )
        found[name] = value
    return ProbeCurves(
        time=time,
        temperature=lagged(time, temperature, trial.lag),
        seen=found,
        liquid_left=_liquid_left(result, trial.logged) if trial.places else 0.0,
    )


def _closer(time: Array) -> Array:
    """Put times between those of long steps, which are late, where a curve is smooth."""
    step = np.diff(time)
    parts = np.ceil(step / _LONGEST).astype(int)
    shares = np.concatenate([np.arange(count) / count for count in parts])
    found: Array = np.append(np.repeat(time[:-1], parts) + shares * np.repeat(step, parts), time[-1])
    return found


def _liquid_left(result: Result, logged: float) -> float:
    solid = None if result.events is None else result.events.solid_throughout
    if solid is not None and solid <= logged:
        return 0.0
    return float(np.nanmax(result.liquid_map(min(logged, float(result.time[-1])))))


def usual_places(jar: Jar) -> dict[str, ProbePlace]:
    """Return the usual points of a jar's cooling curves by name."""
    wax = wax_body(build(problem_of(replace(jar, places=None, changes=()))))
    return dict(usual_points(wax)) if wax is not None else {}


def lagged(time: Array, temperature: Array, lag: float) -> Array:
    """Show what a slow probe shows, (..., nt) [°C], from the temperature round it, straight between times.

    Its time constant is `lag`, rho c d / (4 h) for a sheath of diameter d [s]. This is the exact answer of tau
    dP/dt + P = T on each straight piece; once settled P = T - tau dT/dt.
    """
    if lag <= 0.0:
        return temperature
    shown = np.array(temperature, dtype=float)
    for index in range(1, len(time)):
        step = time[index] - time[index - 1]
        slope = (temperature[..., index] - temperature[..., index - 1]) / step
        behind = shown[..., index - 1] - (temperature[..., index - 1] - lag * slope)
        shown[..., index] = temperature[..., index] - lag * slope + behind * np.exp(-step / lag)
    return shown

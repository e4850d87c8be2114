"""One run of a fit: what probes at stated places would show, as plain arrays that travel between processes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from coolsim.answers.answer import Run
from coolsim.answers.catalogue import in_group
from coolsim.errors import SolverError
from coolsim.model.jar import Jar
from coolsim.model.layout import problem_of
from coolsim.model.section import Array
from coolsim.solve.curves import temperature_of_point, usual_points
from coolsim.solve.events import wax_body
from coolsim.solve.network import build
from coolsim.solve.simulate import simulate
from coolsim.studies.fit.log import ProbePlace

EVENTS = MappingProxyType({answer.key.removesuffix("_s").replace("_", " "): answer for answer in in_group("setting")})
"""Events that an eye can time, by the name under which they are given."""

_LONGEST_STEP = 300.0


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class ProbeCurves:
    """What probes show in one run: temperature of each place, (np, nt), lag included [°C], and times of events [s]."""

    time: Array
    temperature: Array
    events: dict[str, float]


def probe_curves(
    jar: Jar, places: Sequence[ProbePlace], events: Sequence[str], horizon: float, lag: float
) -> ProbeCurves:
    """Run a jar up to a horizon [s], however cool the wax is, and read probes that lag [s], and events.

    Steps of at most five minutes are taken, so that a curve is straight between them. SolverError if the run fails,
    or ends before an event.
    """
    accuracy = replace(jar.accuracy, longest_step=_LONGEST_STEP)
    problem = replace(problem_of(replace(jar, accuracy=accuracy, horizon=horizon)), stop_when_cool=False)
    result = simulate(problem, name=jar.name)
    curves = [
        result.mean_wax_temperature() if isinstance(place, str) else temperature_of_point(result, *place)
        for place in places
    ]
    temperature = np.array(curves) if curves else np.empty((0, len(result.time)))
    times = {}
    for event in events:
        time = EVENTS[event].read(Run(result=result))
        if not isinstance(time, float):
            raise SolverError(
                f"'{event}' was not reached within {horizon / 3600:.1f} h in a trial of the fit. Check the time that"
                " was seen, or leave it out."
            )
        times[event] = time
    return ProbeCurves(time=result.time, temperature=lagged(result.time, temperature, lag), events=times)


def usual_places(jar: Jar) -> dict[str, ProbePlace]:
    """Return the usual points of a jar's cooling curves by name."""
    wax = wax_body(build(problem_of(jar)))
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

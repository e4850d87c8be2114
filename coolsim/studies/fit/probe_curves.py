"""One run of a fit: what probes, an eye, a ruler and a syringe would show, as plain arrays for other processes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from coolsim.answers.answer import Run, Value
from coolsim.answers.catalogue import BY_KEY, in_group
from coolsim.errors import SolverError
from coolsim.model.jar import Jar
from coolsim.model.layout import problem_of
from coolsim.model.places import Place
from coolsim.model.section import Array
from coolsim.solve.curves import temperature_of_point, usual_points
from coolsim.solve.events import wax_body
from coolsim.solve.network import build
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate
from coolsim.solve.together import simulate_box
from coolsim.studies.fit.log import ProbePlace
from coolsim.units import Kind

_LONGEST_STEP = 300.0


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


def probe_curves(
    jar: Jar,
    places: Sequence[ProbePlace],
    seen: Sequence[str],
    horizon: float,
    lag: float,
    logged: float,
    stands: Place | None = None,
) -> ProbeCurves:
    """Run a jar up to a horizon [s], and read probes that lag [s], a log's end [s], and what can be seen.

    Of several in a box all are run together, and the one is read that `stands` in a row and column. With probes it runs
    on however cool the wax is, in steps of at most five minutes, so that a curve is straight between them. SolverError
    if the run fails, or ends before what was seen.
    """
    jar = replace(jar, horizon=horizon, changes=tuple(change for change in jar.changes if change.time < horizon))
    if places:
        jar = replace(jar, accuracy=replace(jar.accuracy, longest_step=_LONGEST_STEP), stop_when_cool=False)
    result = simulate(jar) if stands is None else simulate_box(jar).at(stands)
    curves = [
        result.mean_wax_temperature() if isinstance(place, str) else temperature_of_point(result, *place)
        for place in places
    ]
    temperature = np.array(curves) if curves else np.empty((0, len(result.time)))
    found = {}
    for name in seen:
        value = SIGHTS[name].read(Run(result=result))
        if not isinstance(value, float):
            raise SolverError(
                f"'{name}' was not reached within {horizon / 3600:.1f} h in a trial of the fit. Check what was seen, or"
                " leave it out."
            )
        found[name] = value
    return ProbeCurves(
        time=result.time,
        temperature=lagged(result.time, temperature, lag),
        seen=found,
        liquid_left=_liquid_left(result, logged) if places else 0.0,
    )


def _liquid_left(result: Result, logged: float) -> float:
    solid = None if result.events is None else result.events.solid_throughout
    if solid is not None and solid <= logged:
        return 0.0
    return float(np.nanmax(result.liquid_map(min(logged, float(result.time[-1])))))


def probe_curves_if_any(
    jar: Jar,
    places: Sequence[ProbePlace],
    seen: Sequence[str],
    horizon: float,
    lag: float,
    logged: float,
    stands: Place | None = None,
) -> ProbeCurves | None:
    """Do as `probe_curves`, with its three times [s], and give None where the run fails or ends too early."""
    try:
        return probe_curves(jar, places, seen, horizon, lag, logged, stands)
    except SolverError:
        return None


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

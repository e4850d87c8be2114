"""Fitting a scenario to a thermometer and to events timed by eye."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import ExitStack
from dataclasses import dataclass

import numpy as np

from coolsim.errors import LogError, ScenarioError, UnitError
from coolsim.model.section import Array
from coolsim.scenario import Scenario, one_jar
from coolsim.scenario.plausible import Plausible, plausible, usable_keys
from coolsim.studies.fit.estimate import Estimate, directions, estimate
from coolsim.studies.fit.log import Log
from coolsim.studies.fit.log_model import LogModel
from coolsim.studies.fit.parameters import Nuisance, Seen, Thermometer, field_bounds, nuisances_of, value_at
from coolsim.studies.fit.probe_curves import EVENTS, ProbeCurves
from coolsim.studies.sweep.workers import local_workers, usual_workers
from coolsim.units import parse_quantity

TOLD, IN_PART = 0.5, 0.85
"""Up to these shares of its spread before the fit a value counts as known from the data, or known in part [-]."""

APART = 0.8
"""From this correlation on, two values cannot be told apart [-]."""

_TABLES = ("films", "wax", "melt", "mush")
_UNTOLD_PART = 0.35
_AT_BOUND = 0.02
_CONFIDENT = ("±", "+-", "+/-")


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedField:
    """One fitted value [SI, °C], rounded as the scenario states it.

    It lies between `low` and `high` with two chances in three: one standard deviation either way. `told` is the
    spread after the fit as a share of that before [-]; `at_bound` tells whether it ended at the end of the range
    that a fit may use.
    """

    known: Plausible
    value: float
    low: float
    high: float
    told: float
    at_bound: bool


@dataclass(frozen=True, eq=False, kw_only=True)
class Fit:
    """What a fit found.

    The parameters of `estimate` are the fields, then the errors of the thermometer; `errors` has each of those with
    its value and standard deviation [m, K or s]. `before` and `after` are curves and events without and with the
    fit; after it the found errors of the thermometer are in them: they are what it should have shown. `misfit` is
    the root mean square of model minus readings of each probe, before and after [K], `runs` the number of
    simulations it took [-].
    """

    scenario: Scenario
    log: Log | None
    seen: tuple[Seen, ...]
    fields: tuple[FittedField, ...]
    errors: tuple[tuple[Nuisance, float, float], ...]
    estimate: Estimate
    before: ProbeCurves
    after: ProbeCurves
    misfit: tuple[tuple[float, float], ...]
    runs: int

    @property
    def covariance(self) -> Array:
        """Covariance of the fields alone, (p, p), in standard deviations of their priors [-]."""
        count = len(self.fields)
        return self.estimate.covariance[:count, :count]

    @property
    def inseparable(self) -> tuple[tuple[str, str, float], ...]:
        """Pairs of fields that the data determine only together, and their correlation [-], the closest first."""
        spread = np.sqrt(np.diag(self.covariance))
        correlation = self.covariance / np.outer(spread, spread)
        pairs = [
            (one.known.key, other.known.key, float(correlation[i, j]))
            for i, one in enumerate(self.fields)
            for j, other in enumerate(self.fields[:i])
            if abs(correlation[i, j]) >= APART
        ]
        return tuple(sorted(pairs, key=lambda pair: -abs(pair[2])))

    @property
    def untold(self) -> tuple[tuple[float, tuple[tuple[str, float], ...]], ...]:
        """Combinations of fields that the data hardly fix: spread left [-], and key and share of each part [-]."""
        found = []
        for left, direction in directions(self.covariance):
            if left > IN_PART:
                parts = [(one.known.key, float(part)) for one, part in zip(self.fields, direction, strict=True)]
                chosen = sorted((one for one in parts if abs(one[1]) >= _UNTOLD_PART), key=lambda one: -abs(one[1]))
                found.append((left, tuple(chosen)))
        return tuple(found)


def usual_fields(scenario: Scenario) -> tuple[str, ...]:
    """List the fields that are fitted unless others are named: those marked for it of which a range is known.

    For water, which does not freeze here, these are the films and the foot.
    """
    found = usable_keys(scenario, lambda said: said.fit, tables=_TABLES)
    if any(key.startswith("wax.") for key in found):
        return found
    foot = usable_keys(scenario, lambda said: said.spread, tables=("vessel",))
    return tuple(key for key in (*found, *foot) if key.startswith("films.") or key == "vessel.foot")


def seen_event(text: str) -> Seen:
    """Read ``EVENT=TIME±SPREAD``, an event timed by eye; ``+-`` will do, and the spread is one sigma.

    >>> seen_event("top closed=2:10+-10 min")
    Seen(event='top closed', time=7800.0, spread=600.0)
    """
    name, _, rest = text.partition("=")
    event = " ".join(name.lower().replace("_", " ").replace("-", " ").split())
    if event not in EVENTS:
        raise LogError(f"seen: found {name.strip()!r}. Give one of {', '.join(EVENTS)}.")
    sign = next((sign for sign in _CONFIDENT if sign in rest), None)
    if sign is None:
        raise LogError(f"seen: found {text!r}. Say how sure the time is, as in '{event}=2:10±0:10'.")
    try:
        time, spread = (parse_quantity(part.strip(), "duration") for part in rest.split(sign, 1))
    except UnitError as error:
        raise LogError(f"seen: {event}: {error}.") from None
    if not (time > 0.0 and spread > 0.0):
        raise LogError(f"seen: found {text!r}. Give a time and a spread above zero.")
    return Seen(event, time, spread)


def fit_log(
    scenario: Scenario,
    log: Log | None,
    *,
    seen: Sequence[Seen] = (),
    fields: Sequence[str] | None = None,
    ranges: Mapping[str, tuple[float, float]] | None = None,
    thermometer: Thermometer | None = None,
    executor: Executor | None = None,
    workers: int | None = None,
    on_run: Callable[[int], None] | None = None,
) -> Fit:
    """Adjust fields of a scenario until its run shows what a thermometer logged and an eye saw.

    The values of the scenario are the most probable ones before the fit; `ranges` [SI, °C] replace built-in ones.
    Workers [-] are at most one for each field; with 1 the runs are made in this process. `on_run` is called with
    the number of runs so far. ScenarioError if a field cannot be fitted, or there is none; LogError if there is
    neither a log nor an event; SolverError if a run fails or a worker process ended unasked.

    Least squares with the plausible ranges as Gaussian priors: a range counts as four standard deviations, about
    the value of the scenario, evenly in factors where the value is a positive quantity. Bounds are four standard
    deviations either way. Errors of the thermometer (place, calibration, time of the pour) are found along with the
    fields, so that their doubt is in that of the fields.
    """
    one_jar(scenario)
    trust = thermometer or Thermometer()
    if log is None and not seen:
        raise LogError("nothing to fit to. Give a log or an event that was seen.")
    doubles = [one.event for index, one in enumerate(seen) if one.event in {other.event for other in seen[:index]}]
    if doubles:
        raise LogError(f"seen: found '{doubles[0]}' twice. Give each event once.")
    keys = tuple(fields) if fields is not None else usual_fields(scenario)
    if not keys or len(set(keys)) < len(keys):
        raise ScenarioError(f"fields: found {', '.join(keys) or 'none'}. Give each key to fit once.")
    stray = sorted(set(ranges or {}) - set(keys))
    if stray:
        raise ScenarioError(f"range: {stray[0]} is not fitted. Name it among the fields, or leave its range out.")
    known = [plausible(scenario, key, between=(ranges or {}).get(key)) for key in keys]
    probes = log.probes if log is not None else ()
    errors = nuisances_of(probes, trust, scenario.jar)
    bounds = [*(field_bounds(scenario, one) for one in known), *((one.low, one.high) for one in errors)]
    low, high = (np.array(ends) for ends in zip(*bounds, strict=True))
    with ExitStack() as stack:
        count = min(usual_workers() if workers is None else workers, len(known))
        if executor is None and count > 1:
            executor = stack.enter_context(local_workers(count))
        model = LogModel(
            scenario, known, errors, log, seen, low=low, high=high, lag=trust.lag, executor=executor, on_run=on_run
        )
        found = estimate(model, model.data, low=low, high=high)
        start = np.clip(np.zeros(len(low)), low, high)
        before, after = model.curves(start), model.curves(found.parameters)
        first = model.predict(start)
    return Fit(
        scenario=scenario,
        log=log,
        seen=tuple(seen),
        fields=fitted_fields(known, found, low, high),
        errors=tuple(
            (one, one.sigma * float(at), one.sigma * float(spread))
            for one, at, spread in zip(errors, found.parameters[len(known) :], found.told[len(known) :], strict=True)
        ),
        estimate=found,
        before=before,
        after=after,
        misfit=tuple((_rms(first, model, index), _rms(found.predicted, model, index)) for index in range(len(probes))),
        runs=model.runs,
    )


def fitted_fields(known: Sequence[Plausible], found: Estimate, low: Array, high: Array) -> tuple[FittedField, ...]:
    """Turn the parameters that a fit found, with the bounds of all of them, (p,) [-], into values of the fields."""
    values = []
    for index, one in enumerate(known):
        at, spread = float(found.parameters[index]), float(found.told[index])
        values.append(
            FittedField(
                known=one,
                value=rounded(one, value_at(one, at)),
                low=value_at(one, at - spread),
                high=value_at(one, at + spread),
                told=spread,
                at_bound=bool(min(at - low[index], high[index] - at) < _AT_BOUND),
            )
        )
    return tuple(values)


def rounded(known: Plausible, value: float) -> float:
    """Round a fitted value [SI, °C] to four digits, a temperature to 0.01 °C."""
    return round(value, 2) if known.kind == "temperature" else float(f"{value:.4g}")


def _rms(predicted: Array, model: LogModel, probe: int) -> float:
    data = model.data
    mine = data.group == probe
    return float(np.sqrt(np.mean((predicted[mine] - data.values[mine]) ** 2)))

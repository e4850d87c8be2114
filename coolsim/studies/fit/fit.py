"""Fitting scenarios of one wax to thermometers, to events timed by eye, and to what a ruler and a syringe measured."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import ExitStack
from dataclasses import dataclass

import numpy as np

from coolsim.errors import LogError, ScenarioError
from coolsim.model.catalogue import NEVER_SETS
from coolsim.model.section import Array
from coolsim.scenario import Scenario
from coolsim.scenario.plausible import Plausible, plausible, usable_keys
from coolsim.studies.fit.estimate import Data, Estimate, directions
from coolsim.studies.fit.left_open import left_open
from coolsim.studies.fit.log_model import LogModel
from coolsim.studies.fit.parameters import Measured, Nuisance, Thermometer, field_bounds, nuisances_of, value_at
from coolsim.studies.fit.probe_curves import RULER, ProbeCurves
from coolsim.studies.fit.search import search
from coolsim.studies.sweep.workers import local_workers, usual_workers

TOLD, IN_PART = 0.5, 0.85
"""Up to these shares of its deviation before the fit a value counts as known from the data, or known in part [-]."""

APART = 0.8
"""From this correlation on, two values cannot be told apart [-]."""

SOLID = 0.1
"""Wax counts as solid from this liquid share on: 90 % of its heat of freezing is out [-]."""

_ENDS = "wax.freezing_ends"
_TABLES = ("films", "wax", "melt")
_RULER_TABLES = ("mush", "wax")
_UNTOLD_PART = 0.35
_AT_BOUND, _AWAY = 0.02, 1.0  # A limit near the value before the fit is no sign of trouble.


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedField:
    """One fitted value [SI, °C], rounded as the scenario states it.

    It lies between `low` and `high` with 19 chances in 20. `told` is the width of that as a share of the one before
    the fit [-]; `at_bound` tells whether it ended at the end of the range that a fit may use, `cut_off` whether what
    was measured ends before it could show.
    """

    known: Plausible
    value: float
    low: float
    high: float
    told: float
    at_bound: bool
    cut_off: bool = False


@dataclass(frozen=True, eq=False, kw_only=True)
class FittedJar:
    """What was measured on one jar, and what its run shows without and with the fit.

    After the fit the found errors of the thermometer are in the curves: they are what it should have shown. `misfit` is
    the root mean square of model minus readings of each probe, before and after [K].
    """

    measured: Measured
    before: ProbeCurves
    after: ProbeCurves
    misfit: tuple[tuple[float, float], ...]

    @property
    def ends_early(self) -> bool:
        """Whether the log ends before the wax is solid."""
        freezes = self.measured.scenario.file.wax.kind not in NEVER_SETS
        return freezes and self.measured.log is not None and self.after.liquid_left > SOLID


@dataclass(frozen=True, eq=False, kw_only=True)
class Fit:
    """What a fit found.

    The parameters of `estimate` are the fields, then the errors of the thermometers; `errors` has each of those with
    its value and standard deviation [m, K or s]. `runs` is the number of simulations it took [-].
    """

    jars: tuple[FittedJar, ...]
    fields: tuple[FittedField, ...]
    errors: tuple[tuple[Nuisance, float, float], ...]
    estimate: Estimate
    runs: int

    @property
    def scenario(self) -> Scenario:
        """The scenario of the first jar."""
        return self.jars[0].measured.scenario

    @property
    def independent(self) -> float:
        """How many values that err each for itself were measured [-]."""
        seen = sum(len(jar.measured.seen) for jar in self.jars)
        probes = [probe for jar in self.jars for probe in jar.measured.probes]
        return seen + sum(
            len(probe.time) / together**2 for probe, together in zip(probes, self.estimate.together, strict=True)
        )

    @property
    def covariance(self) -> Array:
        """Covariance of the fields alone, (p, p), in standard deviations of their priors [-]."""
        count = len(self.fields)
        return self.estimate.covariance[:count, :count]

    @property
    def inseparable(self) -> tuple[tuple[str, str, float], ...]:
        """Pairs of fields that the data determine only together, and their correlation [-], the closest first."""
        deviation = np.sqrt(np.diag(self.covariance))
        correlation = self.covariance / np.outer(deviation, deviation)
        pairs = [
            (one.known.key, other.known.key, float(correlation[i, j]))
            for i, one in enumerate(self.fields)
            for j, other in enumerate(self.fields[:i])
            if abs(correlation[i, j]) >= APART
        ]
        return tuple(sorted(pairs, key=lambda pair: -abs(pair[2])))

    @property
    def untold(self) -> tuple[tuple[float, tuple[tuple[str, float], ...]], ...]:
        """Combinations of fields that the data hardly fix: deviation left [-], and key and share of each part [-]."""
        found = []
        for left, direction in directions(self.covariance):
            if left > IN_PART:
                parts = [(one.known.key, float(part)) for one, part in zip(self.fields, direction, strict=True)]
                chosen = sorted((one for one in parts if abs(one[1]) >= _UNTOLD_PART), key=lambda one: -abs(one[1]))
                found.append((left, tuple(chosen)))
        return tuple(found)


def usual_fields(measured: Sequence[Measured]) -> tuple[str, ...]:
    """List the fields that are fitted unless others are named: those marked for it of which a range is known.

    Those for the ruler are the softness and the shrinkage of the wax. For water, which does not freeze here, they are
    the films and the foot.
    """
    seen = [one.what in RULER for jar in measured for one in jar.seen]
    found: list[str] = []
    if any(jar.log is not None for jar in measured) or not all(seen):
        found += usable_keys(measured[0].scenario, lambda said: said.fit, tables=_TABLES)
        if not any(key.startswith("wax.") for key in found):
            foot = usable_keys(measured[0].scenario, lambda said: said.spread, tables=("vessel",))
            found = [key for key in (*found, *foot) if key.startswith("films.") or key == "vessel.foot"]
    if any(seen):
        found += usable_keys(measured[0].scenario, lambda said: said.ruler, tables=_RULER_TABLES)
    return tuple(dict.fromkeys(found))


def fit_measured(
    measured: Sequence[Measured],
    *,
    fields: Sequence[str] | None = None,
    ranges: Mapping[str, tuple[float, float]] | None = None,
    thermometer: Thermometer | None = None,
    executor: Executor | None = None,
    workers: int | None = None,
    on_run: Callable[[int], None] | None = None,
) -> Fit:
    """Adjust fields of scenarios until their runs show what was measured on each jar.

    The values of the scenarios are the most probable ones before the fit, and must agree; `ranges` [SI, °C] replace
    built-in ones. Workers [-] are at most one for each run that can be made at once; with 1 the runs are made in this
    process. `on_run` is called with the number of runs so far. ScenarioError if a field cannot be fitted, there is
    none, or the jars contradict each other; LogError if nothing was measured on one of them; SolverError if a run fails
    or a worker process ended unasked.

    Least squares with the plausible ranges as Gaussian priors: a range counts as four standard deviations, about
    the value of the scenario, evenly in factors where the value is a positive quantity. Bounds are four standard
    deviations either way. Errors of the thermometer (place, calibration, time of the pour) are found along with the
    fields, so that their doubt is in that of the fields.
    """
    trust = thermometer or Thermometer()
    for one in measured:
        _check_stands(one)
        if one.log is None and not one.seen:
            raise LogError(
                f"nothing to fit {one.scenario.where} to. Give a log, an event that was seen, or what a ruler measured."
            )
    keys = tuple(fields) if fields is not None else usual_fields(measured)
    if not keys or len(set(keys)) < len(keys):
        raise ScenarioError(f"fields: found {', '.join(keys) or 'none'}. Give each key to fit once.")
    stray = sorted(set(ranges or {}) - set(keys))
    if stray:
        raise ScenarioError(f"range: {stray[0]} is not fitted. Name it among the fields, or leave its range out.")
    known = _agreed(measured, keys, ranges or {})
    errors = nuisances_of(measured, trust)
    limits = np.array([[field_bounds(one.scenario, key) for key in known] for one in measured])
    ends = [*zip(limits[..., 0].max(axis=0), limits[..., 1].min(axis=0), strict=True)]
    low, high = (np.array(both) for both in zip(*ends, *((one.low, one.high) for one in errors), strict=True))
    with ExitStack() as stack:
        count = min(usual_workers() if workers is None else workers, (len(known) + 1) * len(measured))
        if executor is None and count > 1:
            executor = stack.enter_context(local_workers(count))
        model = LogModel(measured, known, errors, lag=trust.lag, executor=executor, workers=count, on_run=on_run)
        data = model.data
        found = left_open(model, data, search(model, data, fields=len(known), low=low, high=high), low=low, high=high)
        start = np.clip(np.zeros(len(low)), low, high)
        shown = [model.curves(start), model.curves(found.parameters)]
        misfits = iter(_misfits(model.predict(start), found.predicted, data))
    jars = tuple(
        FittedJar(measured=one, before=before, after=after, misfit=tuple(next(misfits) for _ in one.probes))
        for one, before, after in zip(measured, *shown, strict=True)
    )
    logged = [jar for jar in jars if jar.measured.log is not None]
    cut_off = (_ENDS,) if logged and all(jar.ends_early for jar in logged) else ()
    deviations = np.sqrt(np.diag(found.covariance))[len(known) :]
    return Fit(
        jars=jars,
        fields=fitted_fields(known, found, low, high, cut_off=cut_off),
        errors=tuple(
            (one, one.sigma * float(at), one.sigma * float(deviation))
            for one, at, deviation in zip(errors, found.parameters[len(known) :], deviations, strict=True)
        ),
        estimate=found,
        runs=model.runs,
    )


def _check_stands(measured: Measured) -> None:
    """Refuse a box of jars without the place of the jar that was measured, and a place where none stands."""
    where, places, stands = measured.scenario.where, measured.scenario.jar.places, measured.stands
    if places is None:
        if stands is not None:
            raise ScenarioError(f"{where}: places: missing, so no jar stands in row {stands[0]}, column {stands[1]}.")
        return
    inside = [place for place in places if place not in places.empty]
    if stands is None:
        raise ScenarioError(
            f"{where}: places: found {places.jars} jars in one box. Say which one was measured, as in 'row"
            f" {inside[0][0]} column {inside[0][1]}: top closed=2:10±0:10'."
        )
    if stands not in inside:
        raise ScenarioError(
            f"{where}: places: no jar stands in row {stands[0]}, column {stands[1]} of {places.rows} × {places.columns}"
            " places. Give the row and the column of the jar that was measured."
        )


def _agreed(
    measured: Sequence[Measured], keys: Sequence[str], ranges: Mapping[str, tuple[float, float]]
) -> list[Plausible]:
    """Find what is known of each key before the fit; all jars must say the same, and hold one wax."""
    first, *others = measured
    for other in others:
        if other.scenario.file.wax != first.scenario.file.wax:
            raise ScenarioError(
                f"wax: {first.scenario.where} and {other.scenario.where} do not state the same. One fit is for one wax:"
                " write the same table in both, or fit them one by one."
            )
    found = []
    for key in keys:
        known, *more = (plausible(one.scenario, key, between=ranges.get(key)) for one in measured)
        for one, other in zip(more, others, strict=True):
            if (one.centre, one.low, one.high) != (known.centre, known.low, known.high):
                raise ScenarioError(
                    f"{key}: found {known.raw(known.centre)} in {first.scenario.where} and {one.raw(one.centre)} in"
                    f" {other.scenario.where}. A fit gives it one value: state the same, or leave it out with --fields."
                )
        found.append(known)
    return found


def fitted_fields(
    known: Sequence[Plausible], found: Estimate, low: Array, high: Array, *, cut_off: Sequence[str] = ()
) -> tuple[FittedField, ...]:
    """Turn the parameters that a fit found, with the bounds of all of them, (p,) [-], into values of the fields.

    Keys that are `cut_off` are not shown by what was measured.
    """
    values = []
    for index, one in enumerate(known):
        at, ends = float(found.parameters[index]), found.interval[index]
        values.append(
            FittedField(
                known=one,
                value=rounded(one, value_at(one, at)),
                low=value_at(one, max(float(ends[0]), low[index])),
                high=value_at(one, min(float(ends[1]), high[index])),
                told=float(found.told[index]),
                at_bound=bool(abs(at) > _AWAY and min(at - low[index], high[index] - at) < _AT_BOUND),
                cut_off=one.key in cut_off,
            )
        )
    return tuple(values)


def rounded(known: Plausible, value: float) -> float:
    """Round a fitted value [SI, °C] to four digits, a temperature to 0.01 °C."""
    return round(value, 2) if known.kind == "temperature" else float(f"{value:.4g}")


def _misfits(before: Array, after: Array, data: Data) -> list[tuple[float, float]]:
    """Root mean square of model minus readings of each probe, before and after the fit [K]."""

    def of(predicted: Array, probe: int) -> float:
        mine = data.group == probe
        return float(np.sqrt(np.mean((predicted[mine] - data.values[mine]) ** 2)))

    return [(of(before, probe), of(after, probe)) for probe in range(int(data.group.max(initial=-1)) + 1)]

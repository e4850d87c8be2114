"""What a log shows as a function of the fields and of the errors of its thermometer; runs are shared between them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace

import numpy as np

from coolsim.errors import ScenarioError, SolverError
from coolsim.model.jar import Jar
from coolsim.model.section import Array
from coolsim.scenario import Scenario, changed
from coolsim.scenario.plausible import Plausible
from coolsim.studies.fit.estimate import Data
from coolsim.studies.fit.log import Log, Probe, ProbePlace
from coolsim.studies.fit.parameters import Nuisance, Seen, value_at
from coolsim.studies.fit.probe_curves import ProbeCurves, probe_curves
from coolsim.studies.sweep.workers import WORKER_LOST

# A difference of two runs needs no fine grid.
_COARSER, _COARSEST = 0.6, 0.5
# A model's times are trusted to this share of the time: the error of the default grid.
_TIMING = 0.005
# Derivatives serve until a field has moved by this share of their reach, or the reach has changed by this factor.
_NEAR, _ALIKE = 0.5, 2.0
_PLACE_STEP = 0.5e-3  # m
_CLOCK_STEP = 10.0  # s
_LEAST_NOISE = 0.05  # K
_AFTER_EVENT = 3.0


@dataclass(frozen=True, eq=False, slots=True)
class _Secants:
    """Derivatives by the fields, where they were taken and how far they reach."""

    parameters: Array
    reach: Array
    columns: Array

    def serve(self, parameters: Array, reach: Array) -> bool:
        near = np.abs(parameters - self.parameters) <= _NEAR * self.reach
        alike = np.maximum(reach / self.reach, self.reach / reach) <= _ALIKE
        return bool(np.all(near & alike))


class LogModel:
    """Predicts readings and events; parameters are the fields, then the errors of the thermometer, (p,) [-].

    `low` and `high` bound them, and probes lag by `lag` [s]. Without an executor the runs are made here; `on_run`
    is called with the number of runs so far.
    """

    def __init__(
        self,
        scenario: Scenario,
        fields: Sequence[Plausible],
        nuisances: Sequence[Nuisance],
        log: Log | None,
        seen: Sequence[Seen],
        *,
        low: Array,
        high: Array,
        lag: float = 0.0,
        executor: Executor | None = None,
        on_run: Callable[[int], None] | None = None,
    ) -> None:
        self._scenario, self._fields, self._nuisances = scenario, tuple(fields), tuple(nuisances)
        self._probes = log.probes if log is not None else ()
        self._seen, self._lag, self._low, self._high = tuple(seen), lag, low, high
        self._executor, self._on_run = executor, on_run
        clock = max((one.sigma * one.high for one in self._nuisances if one.kind == "clock"), default=0.0)
        self._horizon = (log.end if log is not None else 0.0) + clock + 60.0
        if self._seen:
            longest = max(self._horizon, _AFTER_EVENT * max(one.time for one in self._seen))
            self._horizon = max(self._horizon, min(longest, scenario.jar.horizon))
        self._base: dict[tuple[float, ...], ProbeCurves] = {}
        self._timings: dict[tuple[float, ...], Array] = {}
        self._kept: dict[tuple[float, ...], tuple[Array, Array]] = {}
        self._secants: _Secants | None = None
        self.runs = 0

    @property
    def data(self) -> Data:
        """What was measured."""
        groups = [np.full(len(probe.time), index) for index, probe in enumerate(self._probes)]
        least = [np.full(len(probe.time), _least_noise(probe)) for probe in self._probes]
        return Data(
            values=np.concatenate([*(probe.temperature for probe in self._probes), [one.time for one in self._seen]]),
            group=np.concatenate([*groups, np.full(len(self._seen), -1)]).astype(int),
            spread=np.concatenate([*least, [one.spread for one in self._seen]]),
        )

    def values(self, parameters: Array) -> dict[str, float]:
        """Values of the fields by key [SI, °C], for values of the parameters, (p,) [-]."""
        return {known.key: value_at(known, float(at)) for known, at in zip(self._fields, parameters, strict=False)}

    def predict(self, parameters: Array) -> Array:
        """Predict all data for values of the parameters, (p,) [-]."""
        return self._at(parameters)[0]

    def jacobian(self, parameters: Array, reach: Array) -> Array:
        """Give the derivatives of all data by the parameters, (p,) [-].

        Those by the fields are secants over a reach either way, (p,) [-], on a coarser grid; they are kept for values
        near by.
        """
        count = len(self._fields)
        if self._secants is None or not self._secants.serve(parameters[:count], reach[:count]):
            self._secants = _Secants(
                parameters[:count].copy(), reach[:count].copy(), self._by_fields(parameters, reach)
            )
        return np.column_stack([self._secants.columns, self._at(parameters)[1]])

    def timing(self, parameters: Array) -> Array:
        """Say how far each datum would move within the trust in the model's times, (p,) [-].

        Where the last liquid goes, a curve drops by kelvins within a minute. A model that is a little early there is
        not wrong by kelvins, and its derivatives hold for no distance.
        """
        key = tuple(map(float, parameters))
        if key not in self._timings:
            self._at(parameters)
            shown, offsets = self._base[key], self._offsets(parameters)
            middle, *ends = (self._read(shown, offsets, stretch=one) for one in (0.0, -_TIMING, _TIMING))
            self._timings[key] = np.max([np.abs(end - middle) for end in ends], axis=0)
        return self._timings[key]

    def _by_fields(self, parameters: Array, reach: Array) -> Array:
        offsets, moved, widths = self._offsets(parameters), [], []
        for index in range(len(self._fields)):
            ends = [
                min(max(parameters[index] + step, self._low[index]), self._high[index])
                for step in (-reach[index], reach[index])
            ]
            moved += [np.array([*parameters[:index], end, *parameters[index + 1 :]]) for end in ends]
            widths.append(ends[1] - ends[0])
        shown = self._runs(moved, [self._points(offsets)] * len(moved), for_slope=True)
        read = [self._read(one, offsets) for one in shown]
        columns = [(read[2 * index + 1] - read[2 * index]) / width for index, width in enumerate(widths)]
        return np.column_stack(columns)

    def curves(self, parameters: Array) -> ProbeCurves:
        """Curves of the probes and the events for values of the parameters, (p,) [-]; readings' own error included."""
        offsets = self._offsets(parameters)
        (shown,) = self._runs([parameters], [self._points(offsets)])
        shift = np.array([offsets.get(("reading", index), 0.0) for index in range(len(self._probes))])
        clock = offsets.get(("clock", -1), 0.0)
        events = {name: time - clock for name, time in shown.events.items()}
        return ProbeCurves(time=shown.time - clock, temperature=shown.temperature + shift[:, None], events=events)

    def _at(self, parameters: Array) -> tuple[Array, Array]:
        key = tuple(map(float, parameters))
        if key not in self._kept:
            offsets = self._offsets(parameters)
            moved = [self._moved(one, offsets) for one in self._nuisances]
            points = self._points(offsets)
            shifted = [self._points({**offsets, **more}) for _, more in moved]
            # The places that only an error of a probe moves are read from the same run.
            extra = [point for points in shifted for point in points]
            (shown,) = self._runs([parameters], [[*points, *extra]])
            count = len(points)
            own = replace(shown, temperature=shown.temperature[:count])
            base = self._read(own, offsets)
            self._base[key] = own
            columns = []
            for number, (step, more) in enumerate(moved):
                at = count * (number + 1)
                other = replace(shown, temperature=shown.temperature[at : at + count])
                columns.append((self._read(other, {**offsets, **more}) - base) / step)
            self._kept[key] = base, np.column_stack(columns) if columns else np.empty((len(base), 0))
        return self._kept[key]

    def _offsets(self, parameters: Array) -> dict[tuple[str, int], float]:
        errors = parameters[len(self._fields) :]
        return {(one.kind, one.probe): one.sigma * float(at) for one, at in zip(self._nuisances, errors, strict=True)}

    def _moved(
        self, one: Nuisance, offsets: Mapping[tuple[str, int], float]
    ) -> tuple[float, dict[tuple[str, int], float]]:
        """Step of an error in its standard deviations, and the offset after it; the step keeps a probe in the wax."""
        size = {"clock": _CLOCK_STEP, "reading": one.sigma}.get(one.kind, _PLACE_STEP) / one.sigma
        at = offsets[one.kind, one.probe] / one.sigma
        step = size if at + size <= one.high else -size
        return step, {(one.kind, one.probe): offsets[one.kind, one.probe] + step * one.sigma}

    def _points(self, offsets: Mapping[tuple[str, int], float]) -> list[ProbePlace]:
        points: list[ProbePlace] = []
        for index, probe in enumerate(self._probes):
            if isinstance(probe.place, str):
                points.append(probe.place)
                continue
            r, z = probe.place
            points.append((abs(r + offsets.get(("r", index), 0.0)), z + offsets.get(("z", index), 0.0)))
        return points

    def _read(self, shown: ProbeCurves, offsets: Mapping[tuple[str, int], float], *, stretch: float = 0.0) -> Array:
        clock = offsets.get(("clock", -1), 0.0)
        parts = [
            np.interp((1.0 + stretch) * probe.time + clock, shown.time, curve) + offsets.get(("reading", index), 0.0)
            for index, (probe, curve) in enumerate(zip(self._probes, shown.temperature, strict=True))
        ]
        return np.concatenate([*parts, [shown.events[one.event] - clock for one in self._seen]])

    def _runs(
        self, tried: Sequence[Array], points: Sequence[Sequence[ProbePlace]], *, for_slope: bool = False
    ) -> list[ProbeCurves]:
        jars = [self._jar(parameters, for_slope=for_slope) for parameters in tried]
        events = [one.event for one in self._seen]
        count = len(jars)
        arguments = (jars, points, [events] * count, [self._horizon] * count, [self._lag] * count)
        shown = []
        try:
            mapped = map if self._executor is None else self._executor.map
            for one in mapped(probe_curves, *arguments):
                shown.append(one)
                self.runs += 1
                if self._on_run is not None:
                    self._on_run(self.runs)
        except BrokenProcessPool as error:
            raise SolverError(f"{WORKER_LOST}.") from error
        return shown

    def _jar(self, parameters: Array, *, for_slope: bool) -> Jar:
        try:
            jar = changed(self._scenario, self.values(parameters)).jar
        except ScenarioError as error:
            raise SolverError(
                f"the fit reached values that contradict each other: {' '.join(str(error).split())} Give a narrower"
                " --range, or fit fewer fields."
            ) from error
        if not for_slope:
            return jar
        refinement = min(jar.accuracy.refinement, max(_COARSER * jar.accuracy.refinement, _COARSEST))
        return replace(jar, accuracy=replace(jar.accuracy, refinement=refinement))


def _least_noise(probe: Probe) -> float:
    """Noise of a thermometer with this resolution, at least [K]."""
    steps = np.diff(np.unique(probe.temperature))
    return max(_LEAST_NOISE, float(steps.min()) / np.sqrt(12.0) if len(steps) else 0.0)

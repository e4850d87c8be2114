"""What is measured as a function of the fields and of the errors of thermometers; runs are shared between them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace

import numpy as np

from coolsim.errors import ScenarioError, SolverError
from coolsim.model.jar import Jar
from coolsim.model.section import Array
from coolsim.scenario import changed
from coolsim.scenario.plausible import Plausible
from coolsim.studies.fit.estimate import Data
from coolsim.studies.fit.log import Probe, ProbePlace
from coolsim.studies.fit.parameters import Measured, Nuisance, value_at
from coolsim.studies.fit.probe_curves import EVENTS, RULER, ProbeCurves, Trial, probe_curves
from coolsim.studies.sweep.chunks import chunks_of
from coolsim.studies.sweep.workers import WORKER_LOST

# Where the search goes, and what runs near it show, needs no fine grid, and no short steps.
_COARSER, _COARSEST = 0.5, 0.5
_LONGER, _LONGEST = 4.0, 0.8
# A model's times are trusted to this share of the time: the error of the default grid.
_TIMING = 0.005
_PLACE_STEP = 0.5e-3  # m
_CLOCK_STEP = 10.0  # s
_LEAST_NOISE = 0.05  # K
_AFTER_EVENT = 3.0


_Offsets = dict[tuple[int, str, int], float]


class LogModel:
    """Predicts readings and what was seen, jar by jar; parameters are the fields, then the errors of thermometers.

    Probes lag by `lag` [s]. Without an executor the runs are made here, else by so many workers [-]; `on_run` is called
    with the number of runs so far.
    """

    def __init__(
        self,
        measured: Sequence[Measured],
        fields: Sequence[Plausible],
        nuisances: Sequence[Nuisance],
        *,
        lag: float = 0.0,
        executor: Executor | None = None,
        workers: int = 1,
        on_run: Callable[[int], None] | None = None,
    ) -> None:
        self._measured, self._fields, self._nuisances = tuple(measured), tuple(fields), tuple(nuisances)
        self._lag = lag
        self._executor, self._workers, self._on_run = executor, workers, on_run
        clock = max((one.sigma * one.high for one in self._nuisances if one.kind == "clock"), default=0.0)
        self._horizons = [_horizon(one, clock) for one in self._measured]
        self._base: dict[tuple[float, ...], list[ProbeCurves]] = {}
        self._kept: dict[tuple[float, ...], tuple[Array, Array]] = {}
        self.runs = 0

    @property
    def data(self) -> Data:
        """What was measured."""
        values: list[Array | list[float]] = []
        deviation: list[Array | list[float]] = []
        group: list[Array] = []
        probes = 0
        for one in self._measured:
            for probe in one.probes:
                values.append(probe.temperature)
                deviation.append(np.full(len(probe.time), _least_noise(probe)))
                group.append(np.full(len(probe.time), probes))
                probes += 1
            values.append([seen.value for seen in one.seen])
            deviation.append([seen.deviation for seen in one.seen])
            group.append(np.full(len(one.seen), -1))
        return Data(
            values=np.concatenate(values), group=np.concatenate(group).astype(int), deviation=np.concatenate(deviation)
        )

    def values(self, parameters: Array) -> dict[str, float]:
        """Values of the fields by key [SI, °C], for values of the parameters, (p,) [-]."""
        return {known.key: value_at(known, float(at)) for known, at in zip(self._fields, parameters, strict=False)}

    def predict(self, parameters: Array) -> Array:
        """Predict all data for values of the parameters, (p,) [-]."""
        return self._at(parameters)[0]

    def near(self, fields: Array, *, needed: int = 0) -> tuple[Array, Array]:
        """Predict all data on a coarser grid for thermometers without errors, for values of the fields, (m, p) [-].

        Give the values that can be run, and the predictions, (m, n); others are left out, but for the first that are
        `needed` [-].
        """
        possible = [one for number, one in enumerate(fields) if number < needed or self._possible(one)]
        offsets = self._offsets(np.zeros(len(self._fields) + len(self._nuisances)))
        shown = self._runs(possible, [self._points(offsets)] * len(possible), coarse=True, needed=needed)
        made = [number for number, jars in enumerate(shown) if jars]
        values = [possible[number] for number in made]
        data = [self._read(shown[number], offsets) for number in made]
        return np.reshape(values, (len(made), len(self._fields))), np.reshape(data, (len(made), len(self.data.values)))

    def by_errors(self, parameters: Array) -> Array:
        """Give the derivatives of all data by the errors of thermometers, (n, k)."""
        return self._at(parameters)[1]

    def timing(self, parameters: Array) -> Array:
        """Say how far each datum would move within the trust in the model's times, (n,).

        Where the last liquid goes, a curve drops by kelvins within a minute. A model that is a little early there is
        not wrong by kelvins, and its derivatives hold for no distance.
        """
        self._at(parameters)
        shown, offsets = self._base[tuple(map(float, parameters))], self._offsets(parameters)
        middle, *ends = (self._read(shown, offsets, stretch=one) for one in (0.0, -_TIMING, _TIMING))
        moved: Array = np.max([np.abs(end - middle) for end in ends], axis=0)
        return moved

    def curves(self, parameters: Array) -> tuple[ProbeCurves, ...]:
        """Curves and sights of each jar for values of the parameters, (p,) [-]; readings' own error included."""
        self._at(parameters)
        offsets, jars = self._offsets(parameters), self._base[tuple(map(float, parameters))]
        found = []
        for number, (one, shown) in enumerate(zip(self._measured, jars, strict=True)):
            shift = np.array([offsets.get((number, "reading", index), 0.0) for index in range(len(one.probes))])
            clock = offsets.get((number, "clock", -1), 0.0)
            found.append(
                replace(
                    shown,
                    time=shown.time - clock,
                    temperature=shown.temperature + shift[:, None],
                    seen={name: value - clock * (name in EVENTS) for name, value in shown.seen.items()},
                )
            )
        return tuple(found)

    def _at(self, parameters: Array) -> tuple[Array, Array]:
        key = tuple(map(float, parameters))
        if key not in self._kept:
            offsets = self._offsets(parameters)
            moved = [self._moved(one, offsets) for one in self._nuisances]
            points = self._points(offsets)
            # The places that only an error of a probe moves are read from the same run.
            shifted = [
                self._points(offsets | more)[one.jar] for one, (_, more) in zip(self._nuisances, moved, strict=True)
            ]
            every = [
                [
                    *own,
                    *(
                        place
                        for one, places in zip(self._nuisances, shifted, strict=True)
                        if one.jar == jar
                        for place in places
                    ),
                ]
                for jar, own in enumerate(points)
            ]
            (shown,) = self._runs([parameters], [every])
            own = [
                replace(one, temperature=one.temperature[: len(places)])
                for one, places in zip(shown, points, strict=True)
            ]
            base = self._read(own, offsets)
            self._base[key] = own
            columns, taken = [], [len(places) for places in points]
            for one, (step, more) in zip(self._nuisances, moved, strict=True):
                first, last = taken[one.jar], taken[one.jar] + len(points[one.jar])
                taken[one.jar] = last
                other = replace(shown[one.jar], temperature=shown[one.jar].temperature[first:last])
                jars = [*own[: one.jar], other, *own[one.jar + 1 :]]
                columns.append((self._read(jars, offsets | more) - base) / step)
            self._kept[key] = base, np.column_stack(columns) if columns else np.empty((len(base), 0))
        return self._kept[key]

    def _offsets(self, parameters: Array) -> _Offsets:
        errors = parameters[len(self._fields) :]
        return {
            (one.jar, one.kind, one.probe): one.sigma * float(at)
            for one, at in zip(self._nuisances, errors, strict=True)
        }

    def _moved(self, one: Nuisance, offsets: _Offsets) -> tuple[float, _Offsets]:
        """Step of an error in its standard deviations, and the offset after it; the step keeps a probe in the wax."""
        size = {"clock": _CLOCK_STEP, "reading": one.sigma}.get(one.kind, _PLACE_STEP) / one.sigma
        name = one.jar, one.kind, one.probe
        step = size if offsets[name] / one.sigma + size <= one.high else -size
        return step, {name: offsets[name] + step * one.sigma}

    def _points(self, offsets: _Offsets) -> list[list[ProbePlace]]:
        """Places of the probes of each jar."""
        jars: list[list[ProbePlace]] = []
        for jar, one in enumerate(self._measured):
            points: list[ProbePlace] = []
            for index, probe in enumerate(one.probes):
                if isinstance(probe.place, str):
                    points.append(probe.place)
                    continue
                r, z = probe.place
                off = (offsets.get((jar, along, index), 0.0) for along in ("r", "z"))
                points.append((abs(r + next(off)), z + next(off)))
            jars.append(points)
        return jars

    def _read(self, jars: Sequence[ProbeCurves], offsets: _Offsets, *, stretch: float = 0.0) -> Array:
        parts: list[Array | list[float]] = []
        for jar, (one, shown) in enumerate(zip(self._measured, jars, strict=True)):
            clock = offsets.get((jar, "clock", -1), 0.0)
            parts += [
                np.interp((1.0 + stretch) * probe.time + clock, shown.time, curve)
                + offsets.get((jar, "reading", index), 0.0)
                for index, (probe, curve) in enumerate(zip(one.probes, shown.temperature, strict=True))
            ]
            parts.append([shown.seen[seen.what] - clock * (seen.what in EVENTS) for seen in one.seen])
        return np.concatenate(parts)

    def _runs(
        self,
        tried: Sequence[Array],
        points: Sequence[Sequence[Sequence[ProbePlace]]],
        *,
        coarse: bool = False,
        needed: int = 1,
    ) -> list[list[ProbeCurves]]:
        """Run all jars at each of some places; nothing where one of them fails, unless it is needed."""
        trials = [
            Trial(
                jar,
                places,
                [seen.what for seen in one.seen],
                horizon,
                self._lag,
                one.log.end if one.log else 0.0,
                one.stands,
            )
            for parameters, each in zip(tried, points, strict=True)
            for one, jar, places, horizon in zip(
                self._measured, self._jars(parameters, coarse=coarse), each, self._horizons, strict=True
            )
        ]
        count = len(self._measured)
        chunks = chunks_of(dict(enumerate(trial.jar for trial in trials)), self._workers)
        shown: dict[int, ProbeCurves | None] = {}
        try:
            mapped = map if self._executor is None or len(chunks) == 1 else self._executor.map
            asked = [[trials[number] for number in chunk] for chunk in chunks]
            for chunk, found in zip(chunks, mapped(probe_curves, asked), strict=True):
                for number, one in zip(chunk, found, strict=True):
                    if isinstance(one, SolverError):
                        if number < needed * count:
                            raise one
                        shown[number] = None
                    else:
                        shown[number] = one
                    self.runs += 1
                    if self._on_run is not None:
                        self._on_run(self.runs)
        except BrokenProcessPool as error:
            raise SolverError(f"{WORKER_LOST}.") from error
        grouped = [[shown[first + jar] for jar in range(count)] for first in range(0, len(trials), count)]
        return [[one for one in jars if one is not None] if None not in jars else [] for jars in grouped]

    def _possible(self, fields: Array) -> bool:
        try:
            self._jars(fields)
        except SolverError:
            return False
        return True

    def _jars(self, parameters: Array, *, coarse: bool = False) -> list[Jar]:
        try:
            jars = [changed(one.scenario, self.values(parameters)).jar for one in self._measured]
        except ScenarioError as error:
            raise SolverError(
                f"the fit reached values that contradict each other: {' '.join(str(error).split())} Give a narrower"
                " --range, or fit fewer fields."
            ) from error
        return [_coarser(jar) for jar in jars] if coarse else jars


def _coarser(jar: Jar) -> Jar:
    refinement = min(jar.accuracy.refinement, max(_COARSER * jar.accuracy.refinement, _COARSEST))
    tolerance = max(jar.accuracy.tolerance, min(_LONGER * jar.accuracy.tolerance, _LONGEST))
    return replace(jar, accuracy=replace(jar.accuracy, refinement=refinement, tolerance=tolerance))


def _horizon(one: Measured, clock: float) -> float:
    """How long a jar must be run [s]: over its log, well past the events, and until it is cool for a ruler."""
    end = (one.log.end if one.log is not None else 0.0) + clock + 60.0
    longest = max(end, one.scenario.jar.horizon)
    if any(seen.what in RULER for seen in one.seen):
        return longest
    late = max((seen.value for seen in one.seen), default=0.0)
    return min(max(end, _AFTER_EVENT * late), longest)


def _least_noise(probe: Probe) -> float:
    """Noise of a thermometer with this resolution, at least [K]."""
    steps = np.diff(np.unique(probe.temperature))
    return max(_LEAST_NOISE, float(steps.min()) / np.sqrt(12.0) if len(steps) else 0.0)

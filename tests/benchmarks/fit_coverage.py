"""How many true values lie in the 95 % intervals of a fit: truths drawn from what the fit holds plausible.

Each truth has its own fields and its own errors of the thermometer, and is read with noise that comes anew with each
reading (even truths) or drifts over a quarter of an hour (odd ones), as a model that misses something errs. By itself:
``python -m tests.benchmarks.fit_coverage bare 0 40``.
"""

import sys
import time
from dataclasses import dataclass

import numpy as np

from coolsim.errors import ScenarioError
from coolsim.scenario import changed, with_overrides
from coolsim.scenario.plausible import plausible
from coolsim.studies.fit.estimate import SIGMAS_EITHER_WAY
from coolsim.studies.fit.fit import fit_measured, usual_fields
from coolsim.studies.fit.log import Log, Probe
from coolsim.studies.fit.parameters import Measured, Seen, Thermometer, field_bounds, value_at
from coolsim.studies.fit.probe_curves import Trial, probe_curves
from tests.support.pair import closed_pair

COARSE = {"run.refinement": 0.5, "run.tolerance": "0.5 K"}
EVERY, LONGEST, PLACE = 300.0, 14 * 3600.0, (0.0, 0.03)
DRIFT, WHITE, LINKED = 900.0, 0.2, 0.2  # s, K
STANDS = ("bare", "boxed")  # and "ruler", both together


@dataclass(frozen=True)
class Found:
    """One fit: in standard deviations from the centre, the true values, and the ends of their intervals."""

    keys: tuple[str, ...]
    truth: np.ndarray
    ends: np.ndarray
    runs: int

    @property
    def inside(self):
        return (self.ends[:, 0] <= self.truth) & (self.truth <= self.ends[:, 1])


def drawn(scenarios, keys, random):
    """Draw values within the plausible ranges that all scenarios can have, and their jars."""
    known = [plausible(scenarios[0], key) for key in keys]
    bounds = np.array([field_bounds(scenarios[0], one) for one in known])
    while True:
        at = random.normal(size=len(known))
        if np.abs(at).max() <= 2.0 and np.all((at >= bounds[:, 0]) & (at <= bounds[:, 1])):
            values = {one.key: value_at(one, x) for one, x in zip(known, at, strict=True)}
            try:
                return at, [changed(scenario, values).jar for scenario in scenarios]
            except ScenarioError:
                continue


def fitted(stand, seed):
    return with_a_ruler(seed) if stand == "ruler" else with_a_thermometer(stand, seed)


def outcome(measured, keys, truth):
    fit = fit_measured(measured, workers=1)
    return Found(keys=keys, truth=truth, ends=fit.estimate.interval[: len(keys)], runs=fit.runs)


def with_a_thermometer(stand, seed):
    scenario = with_overrides(closed_pair()[STANDS.index(stand)], COARSE)
    random = np.random.default_rng([seed, STANDS.index(stand)])
    nothing = Probe(name="axis", place=PLACE, time=np.empty(0), temperature=np.empty(0))
    keys = usual_fields([Measured(scenario=scenario, log=Log(where="", probes=(nothing,), how=()))])
    truth, (jar,) = drawn([scenario], keys, random)
    trust = Thermometer()
    place, reading, clock = random.normal(size=3) * (trust.place, trust.reading, trust.clock)
    shown = probe_curves([Trial(jar, [(PLACE[0], PLACE[1] + place)], [], LONGEST + 4.0 * trust.clock, 0.0, LONGEST)])[0]
    at = np.arange(EVERY, LONGEST, EVERY)
    noise = random.normal(0.0, WHITE if seed % 2 == 0 else 0.5 * WHITE, len(at))
    if seed % 2:
        link, drift = np.exp(-EVERY / DRIFT), random.normal(0.0, LINKED)
        for index in range(len(at)):
            drift = link * drift + np.sqrt(1.0 - link**2) * random.normal(0.0, LINKED)
            noise[index] += drift
    values = np.interp(at + clock, shown.time, shown.temperature[0]) + reading + noise
    probe = Probe(name="axis", place=PLACE, time=at, temperature=values)
    return outcome([Measured(scenario=scenario, log=Log(where="log.csv", probes=(probe,), how=()))], keys, truth)


def with_a_ruler(seed):
    """A bare and a boxed jar of one wax."""
    pair = [with_overrides(one, COARSE) for one in closed_pair()]
    random = np.random.default_rng([seed, 2])
    names = {"rim": 0.3e-3, "dish": 0.5e-3, "middle": 0.5e-3, "cavity": 1e-6}
    keys = usual_fields([Measured(scenario=pair[0], seen=(Seen("dish", 1e-3, 1e-3),))])
    truth, jars = drawn(pair, keys, random)
    measured = []
    for scenario, jar in zip(pair, jars, strict=True):
        shown = probe_curves([Trial(jar, [], list(names), jar.horizon, 0.0, 0.0)])[0].seen
        seen = tuple(Seen(name, shown[name] + random.normal(0.0, spread), spread) for name, spread in names.items())
        measured.append(Measured(scenario=scenario, seen=seen))
    return outcome(measured, keys, truth)


def main(stand, first, last):
    hits, runs = [], []
    for seed in range(int(first), int(last)):
        began = time.process_time()
        found = fitted(stand, seed)
        hits.append(found.inside)
        runs.append(found.runs)
        widths = (found.ends[:, 1] - found.ends[:, 0]) / (2.0 * SIGMAS_EITHER_WAY)
        off = (found.truth - found.ends.mean(axis=1)) / (0.5 * (found.ends[:, 1] - found.ends[:, 0]))
        print(
            f"{stand} {seed}: {found.inside.astype(int)}, widths left {widths.round(2)}, off in half widths"
            f" {off.round(2)}, {found.runs} runs, {time.process_time() - began:.0f} s CPU",
            flush=True,
        )
    share = dict(zip(found.keys, np.mean(hits, axis=0).round(2).tolist(), strict=True))
    print(
        f"{stand}: {np.sum(hits)} of {np.size(hits)}, {100 * np.mean(hits):.1f} %; by key {share}; {np.mean(runs)} runs"
    )


if __name__ == "__main__":
    main(*sys.argv[1:])

"""A fit finds the values that a log was made with, and says how sure it is.

The logs are synthetic: runs of the product's own model with other values, read at a place 1 mm from the stated one,
with noise. So they test the estimation, not the model.
"""

import numpy as np
import pytest

from coolsim.errors import LogError, ScenarioError
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.fit.fit import fit_log, seen_event
from coolsim.studies.fit.log import Log, Probe

COARSE = {"run.refinement": 0.5, "run.tolerance": "0.5 K"}
TRUTH = {"films.side_factor": 1.15, "wax.freezing_starts": "45 °C"}
NOISE = 0.2
STATED, TRUE = (0.0, 0.035), (0.0, 0.036)
SEEDS = range(5)


@pytest.fixture(scope="module")
def scenario():
    return with_overrides(built_in_pair()[0], COARSE)


@pytest.fixture(scope="module")
def true_run(scenario):
    return simulate(with_overrides(scenario, TRUTH).jar)


def log_of(run, seed):
    time = np.arange(180.0, 4 * 3600.0, 180.0)
    exact = np.interp(time, run.time, run.temperature_at(*TRUE))
    noisy = exact + np.random.default_rng(seed).normal(0.0, NOISE, len(time))
    return Log(where="log.csv", probes=(Probe(name="axis", place=STATED, time=time, temperature=noisy),), how=())


@pytest.fixture(scope="module")
def fits(scenario, true_run):
    return [fit_log(scenario, log_of(true_run, seed), fields=tuple(TRUTH), workers=1) for seed in SEEDS]


def test_stated_intervals_hold_the_true_values(fits):
    # Ten values; of sixteen with three more seeds 10 lay within one standard deviation, 14 within two, all within 2.3.
    # With intervals that are right, fewer than seven of ten within two have a chance below 1 in 1000, and one beyond
    # four has one of 1 in 1500.
    off = []
    for fit in fits:
        for field, true in zip(fit.fields, (1.15, 45.0), strict=True):
            spread = 0.5 * (field.high - field.low)
            off.append(abs(field.value - true) / spread)
    assert sum(one <= 2.0 for one in off) >= 7
    assert max(off) < 4.0


def test_the_log_narrows_what_was_known_before(fits):
    for fit in fits:
        assert all(field.told < 0.7 for field in fit.fields)


def test_an_event_seen_by_eye_is_enough_to_move_a_field(scenario):
    usual = simulate(scenario.jar).events.top_closed
    late = seen_event(f"top closed={(usual + 1200.0) / 60.0:.0f} min±2 min")
    fit = fit_log(scenario, None, seen=[late], fields=("films.top_factor",), workers=1)
    # A top that closes later loses less heat.
    assert fit.fields[0].value < scenario.jar.top_factor


def test_what_cannot_be_fitted_is_refused(scenario):
    with pytest.raises(LogError, match="nothing to fit to"):
        fit_log(scenario, None)
    seen = [seen_event("top closed=2:10±0:10")]
    with pytest.raises(ScenarioError):
        fit_log(scenario, None, seen=seen, fields=("title",), workers=1)
    with pytest.raises(LogError, match="twice"):
        fit_log(scenario, None, seen=seen * 2, workers=1)

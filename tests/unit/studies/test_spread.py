"""Bands, shares of the cases and curves of a spread, and what becomes of runs that fail."""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from scipy.stats import norm

from coolsim.answers.catalogue import COMPARED
from coolsim.errors import ScenarioError, SolverError
from coolsim.scenario import with_overrides
from coolsim.scenario.values import raw_quantity
from coolsim.solve.simulate import simulate
from coolsim.studies.spread import spread as module
from coolsim.studies.spread.inputs import spread_inputs, value_at_level
from coolsim.studies.spread.spread import quantile, spread
from coolsim.studies.sweep.point import run_cases
from tests.support.pair import closed_pair

QUICK = with_overrides(closed_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
RANGES = {"wax.latent_heat": (60e3, 220e3)}
RUNS = 32


def run(scenario=QUICK, **options):
    with ThreadPoolExecutor(1) as executor:
        return spread(scenario, executor=executor, **options)


@pytest.fixture(scope="module")
def found():
    return run(keys=list(RANGES), ranges=RANGES, runs=RUNS)


def test_the_band_of_one_monotonic_input_is_that_of_its_own_quantiles(found):
    # More latent heat sets later, so the quantiles of the time are the times at the quantiles. Of 32 even draws one
    # lies in each thirty-second of the levels: the 10 % quantile between the levels 3/32 and 4/32, and so on. The time
    # is not quite straight in the latent heat: measured 0.12 %.
    (known,) = spread_inputs(QUICK, list(RANGES), ranges=RANGES)
    answer = found.answer("fully_set_s")
    for share, value in ((0.1, answer.low), (0.5, answer.median), (0.9, answer.high)):
        below, above = (
            simulate(
                with_overrides(QUICK, {known.key: raw_quantity(value_at_level(known, level), "latent_heat")}).jar
            ).events.fully_set
            for level in (share - 1 / RUNS, share + 1 / RUNS)
        )
        assert 0.998 * below <= value <= 1.002 * above


def test_one_input_explains_it_all(found):
    effects = found.answer("fully_set_s").effects
    # The ends of a triangle are thinly drawn: a cubic in the level is not all of it.
    assert effects.shares[0] > 0.9
    assert effects.trends[0] > 0.0


def test_quantiles_are_those_of_numpy_and_hold_with_infinite_ones():
    values = norm.ppf(np.random.default_rng(0).permutation(np.linspace(0.005, 0.995, 100)))
    for share in (0.1, 0.5, 0.9):
        assert quantile(values, share) == np.quantile(values, share, method="inverted_cdf")
    late = np.where(np.arange(10) < 6, np.arange(10.0), np.inf)
    assert quantile(late, 0.5) == 4.0
    assert quantile(late, 0.9) == np.inf


def test_every_case_has_one_kind_of_top_and_the_bands_hold_the_median(found):
    shares = {one.name: one.share for one in found.chances}
    assert sum(share for name, share in shares.items() if name.startswith("the top is")) == pytest.approx(
        shares["it is fully set within the run"]
    )
    assert {one.name for one in found.answers} == {answer.key for answer in COMPARED}
    assert found.bands
    for band in found.bands:
        assert (band.low <= band.median).all()
        assert (band.median <= band.high).all()
        # All start at the pour, or at the temperature of the jar, which were not varied.
        assert band.low[0] == pytest.approx(band.high[0], rel=1e-12)


def test_times_after_the_end_of_the_run_are_later_and_not_left_out():
    short = with_overrides(QUICK, {"run.horizon": "115 min"})
    # As stated it sets at 1:53; with more latent heat after the end of the run.
    answer = run(short, keys=list(RANGES), ranges=RANGES, runs=16).answer("fully_set_s")
    assert 0.2 < answer.occurs < 0.8
    assert answer.high == np.inf
    assert answer.low < 115 * 60.0
    assert answer.effects is None


def test_a_run_that_fails_is_told_and_left_out(monkeypatch):
    count = 0

    def sometimes(jars, points):
        nonlocal count
        count += 1
        outcomes = run_cases(jars, points)
        return [{"fault": "made up for this test"}, *outcomes[1:]] if count == 2 else outcomes

    monkeypatch.setattr(module, "run_cases", sometimes)
    found = run(keys=["films.side_factor"], runs=16)
    assert [row.fault for row in found.rows].count("made up for this test") == 1
    assert found.answer("fully_set_s").occurs == 1.0
    monkeypatch.setattr(module, "run_cases", lambda jars, points: [{"fault": "made up for this test"}] * len(jars))
    with pytest.raises(SolverError, match="made up"):
        run(keys=["films.side_factor"], runs=8)


def test_own_grid_runs_as_the_scenario_asks():
    scenario = with_overrides(QUICK, {"run.refinement": 0.6, "run.tolerance": "0.5 K"})
    for own_grid, expected in ((False, (0.5, 0.8)), (True, (0.6, 0.5))):
        found = run(scenario, keys=["films.side_factor"], runs=8, own_grid=own_grid)
        assert (found.refinement, found.tolerance) == expected


def test_a_number_of_workers_below_one_is_refused():
    with pytest.raises(ScenarioError, match="workers: found 0"):
        spread(QUICK, workers=0)


def test_what_the_coarser_cut_does_to_an_answer_is_taken_out_of_all_cases():
    def outcomes(hole, closed):
        answers = {answer.key: None for answer in COMPARED}
        return [
            {"answers": {**answers, "hole_m": one, "top_closed_s": other}}
            for one, other in zip(hole, closed, strict=True)
        ]

    # Each hole comes out a quarter deeper; of the times most are not reached.
    coarse = outcomes([1e-3, 2e-3, 4e-3, 3e-3, 8e-3], [None, None, None, 60.0, 60.0])
    fine = [*outcomes([1.25e-3, 2.5e-3, 5e-3], [None, None, 30.0]), {"fault": "made up for this test"}]
    factors = module._factors(coarse, fine)
    assert factors == {"hole_m": 1.25}
    moved = module._corrected(coarse[-1]["answers"], factors)
    assert moved == {**coarse[-1]["answers"], "hole_m": 1e-2}


def test_as_stated_is_the_run_as_the_scenario_asks_for_it():
    scenario = with_overrides(QUICK, {"run.refinement": 0.6, "run.tolerance": "0.5 K"})
    told = []
    with ThreadPoolExecutor(1) as executor:
        found = spread(
            scenario,
            keys=["films.side_factor"],
            runs=8,
            executor=executor,
            on_run=lambda done, total: told.append((done, total)),
        )
    # Runs that go together differ by round-off from one by itself.
    assert found.nominal.answers["fully_set_s"] == pytest.approx(simulate(scenario.jar).events.fully_set, rel=1e-9)
    # The stated values, eight cases, and half of these once more on the own cut.
    assert told[-1] == (13, 13)

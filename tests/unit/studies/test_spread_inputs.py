"""What a spread draws: values from triangles, evenly, and the same ones for the same seed."""

import numpy as np
import pytest
from scipy.stats import qmc, triang

from coolsim.errors import ScenarioError
from coolsim.scenario import with_overrides
from coolsim.studies.spread.inputs import sample_inputs, spread_inputs, usual_inputs, value_at_level
from tests.support.pair import closed_pair

BARE, BOXED = closed_pair()


@pytest.mark.parametrize("key", ["room.temperature", "films.side_factor", "mush.gels_at"])
def test_values_are_those_of_a_triangle(key):
    # scipy.stats.triang is the outside law; the space is that in which the input is spread evenly.
    (known,) = spread_inputs(BARE, [key])
    low, high, mode = (known.to_space(end) for end in (known.low, known.high, known.centre))
    law = triang((mode - low) / (high - low), low, high - low)
    for level in (0.0, 0.05, 0.4, 0.5, 0.8, 1.0):
        # Round-off of a square root near the ends.
        assert known.to_space(value_at_level(known, level)) == pytest.approx(law.ppf(level), abs=1e-9 * (high - low))


def test_a_seed_gives_its_draws_again_and_more_runs_begin_with_the_same():
    inputs = spread_inputs(BARE, ["films.side_factor", "wax.latent_heat"])
    few, again = (sample_inputs(BARE, inputs, runs=16, seed=3) for _ in range(2))
    many, other = sample_inputs(BARE, inputs, runs=64, seed=3), sample_inputs(BARE, inputs, runs=16, seed=4)
    assert few.points == again.points
    assert many.points[:16] == few.points
    assert other.points != few.points


def test_draws_are_spread_more_evenly_than_chance_would():
    inputs = spread_inputs(BARE, ["films.side_factor", "wax.latent_heat", "room.temperature"])
    levels = sample_inputs(BARE, inputs, runs=64, seed=0).levels
    assert levels.shape == (64, 3)
    by_chance = [qmc.discrepancy(np.random.default_rng(seed).random((64, 3))) for seed in range(20)]
    assert qmc.discrepancy(levels) < 0.5 * min(by_chance)


def test_draws_that_are_no_scenario_are_passed_over_and_counted():
    # Freezing cannot end above its start: these ranges overlap.
    ranges = {"wax.freezing_starts": (36.0, 50.0), "wax.freezing_ends": (20.0, 44.0)}
    inputs = spread_inputs(BARE, list(ranges), ranges=ranges)
    found = sample_inputs(BARE, inputs, runs=64, seed=0)
    assert len(found.points) == len(found.levels) == 64
    assert found.passed_over > 0
    assert all(point.fault is None for point in found.points)


def test_what_a_scenario_states_is_not_varied_unless_it_is_named():
    stated = with_overrides(BARE, {"wax.latent_heat": "120 kJ/kg"})
    varied, left = usual_inputs(stated)
    assert "wax.latent_heat" in left
    assert "wax.latent_heat" not in varied
    assert "wax.latent_heat" in usual_inputs(BARE)[0]
    assert "wax.latent_heat" in [known.key for known in spread_inputs(stated, ["usual", "wax.latent_heat"])]


def test_keys_without_a_part_in_the_scenario_are_not_varied():
    assert "surround.conductivity" not in usual_inputs(BARE)[0]
    assert "surround.conductivity" in usual_inputs(BOXED)[0]
    assert "melt.relaxation" not in usual_inputs(with_overrides(BARE, {"melt.mixing": "none"}))[0]


@pytest.mark.parametrize(
    ("keys", "ranges", "told"),
    [
        (["wax.latnt_heat"], {}, "Did you mean"),
        (["title"], {}, "holds no quantity or number"),
        (["surround.gap"], {}, "has no box"),
        (["films.side_factor", "films.side_factor"], {}, "found twice"),
        (["films.side_factor"], {"films.top_factor": (0.5, 2.0)}, "has a range, but is not varied"),
        (["room.temperature"], {"room.temperature": (25.0, 15.0)}, "runs backwards"),
        (["room.temperature"], {"room.temperature": (-40.0, 25.0)}, "but the key takes"),
        (["room.temperature"], {"room.temperature": (22.0, 25.0)}, "Give a range that holds it"),
    ],
)
def test_keys_and_ranges_that_cannot_be_are_refused(keys, ranges, told):
    with pytest.raises(ScenarioError, match=told):
        spread_inputs(BARE, keys, ranges=ranges)


@pytest.mark.parametrize("runs", [7, 8193])
def test_too_few_and_too_many_runs_are_refused(runs):
    with pytest.raises(ScenarioError, match="Give a number from 8 to 8192"):
        sample_inputs(BARE, spread_inputs(BARE, ["films.side_factor"]), runs=runs, seed=0)


def test_ranges_that_are_mostly_impossible_are_refused():
    # Most pours of this range are colder than the start of freezing.
    cold, ranges = with_overrides(BARE, {"pour.temperature": "48 °C"}), {"pour.temperature": (0.0, 49.0)}
    with pytest.raises(ScenarioError, match=r"draws are not possible scenarios.*Give narrower"):
        sample_inputs(cold, spread_inputs(cold, list(ranges), ranges=ranges), runs=64, seed=0)

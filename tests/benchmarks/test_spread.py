"""A spread of as many cases as usual, and what the coarse cut of its runs saves. Counts and ratios are asserted."""

import pytest

from coolsim import simulate
from coolsim.scenario import changed
from coolsim.studies.spread.spread import RUNS, coarse_cut, spread
from tests.benchmarks.processes import best_cpu
from tests.support.pair import closed_pair


@pytest.mark.parametrize("number", [0, 1], ids=["bare", "boxed"])
def test_the_coarse_cut_has_a_third_of_the_cells_and_fewer_steps(number, note):
    scenario = closed_pair()[number]
    cells, steps, seconds = [], [], []
    for cut in ({}, coarse_cut(scenario)):
        taken, result = best_cpu(simulate, changed(scenario, cut).jar, repeats=3)
        cells.append(len(result.block))
        steps.append(len(result.time))
        seconds.append(taken)
    note(
        f"a case of a spread, {scenario.title}",
        f"{1e3 * seconds[1]:6.0f} ms CPU, {cells[1]} of {cells[0]} cells, {steps[1]} of {steps[0]} steps",
    )
    # Cells twice as long both ways would be a fourth of them; thin layers keep their least number.
    assert cells[1] < 0.4 * cells[0]
    assert steps[1] < 0.8 * steps[0]


def test_a_spread_of_the_usual_number_of_cases(benchmark):
    found = benchmark.pedantic(lambda: spread(closed_pair()[1]), rounds=1)
    assert [row.fault for row in found.rows] == [None] * RUNS

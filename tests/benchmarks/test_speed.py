"""Cost of a whole jar on finer grids. Ratios within one run and counts are asserted, never times."""

import math

import pytest
from made_up_jars import tumbler

from coolsim.model.problem import Accuracy
from coolsim.solve.simulate import simulate
from tests.benchmarks.processes import best_cpu


@pytest.mark.parametrize("boxed", [False, True], ids=["bare", "boxed"])
def test_cost_of_a_jar_grows_hardly_faster_than_its_cells(boxed, note):
    refinements, cells, seconds, work = (1.0, 2.0, 4.0), [], [], []
    for refinement, repeats in zip(refinements, (5, 3, 2), strict=True):
        jar = tumbler(boxed=boxed, accuracy=Accuracy(refinement=refinement))
        taken, result = best_cpu(simulate, jar, repeats=repeats)
        assert result.ledger.closed
        cells.append(len(result.block))
        seconds.append(taken)
        work.append(result.history.newton)
        note(
            f"{jar.name}, {'boxed' if boxed else 'bare'}, grid {refinement:g}x",
            f"{1e3 * taken:6.0f} ms CPU, {cells[-1]} cells, {len(result.time)} steps, {work[-1]} Newton iterations",
        )
    exponent = math.log(seconds[-1] / seconds[0]) / math.log(cells[-1] / cells[0])
    note("  growth", f"cells^{exponent:.2f}   (asserted: at most 1.2)")
    assert exponent <= 1.2
    # Alternating directions need half as many steps more on a finer grid: the work per cell is that of more Newton
    # iterations, as fronts cross more cells. Measured 2.0 (bare) and 2.6 times as many.
    assert work[-1] < 3.5 * work[0]

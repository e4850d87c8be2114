"""Work and speed: `python -m pytest tests/benchmarks`. Ratios within one run and counts are asserted, never times."""

import math
import time

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from coolsim.model.problem import Accuracy
from coolsim.solve.simulate import simulate
from coolsim.solve.wax_body import last_above
from tests.benchmarks.reference_cylinder import ALL_SOLID, HORIZON, LeanEquations, stated_for_coolsim
from tests.support.freezing_cases import tumbler

ACCURATE = 2e-3  # in the time until all is solid, for both engines


def best_cpu(work, *, repeats):
    """Least CPU time of several repeats [s], and what the work returned."""
    best, outcome = math.inf, None
    for _ in range(repeats):
        before = time.process_time()
        outcome = work()
        best = min(best, time.process_time() - before)
    return best, outcome


# Candidate settings from the loosest on; each engine gets the quickest of those that are accurate enough.
OURS = ((12, 28, 4.0), (12, 28, 3.0), (12, 28, 2.0), (14, 30, 3.0), (16, 36, 4.0), (16, 36, 2.0), (20, 44, 2.0))
LIBRARY = ((1e-1, 5.0), (1e-1, 1.0), (3e-2, 1.0), (1e-2, 1.0), (1e-2, 0.3), (1e-3, 0.1))
LIBRARY_CELLS = (16, 36)


def our_run(radial_cells, axial_cells, tolerance):
    problem = stated_for_coolsim(radial_cells=radial_cells, axial_cells=axial_cells, tolerance=tolerance)
    result = simulate(problem)
    assert result.ledger.closed
    return result.events.solid_throughout


def library_run(relative, kelvin, *, with_bands):
    equations = LeanEquations(*LIBRARY_CELLS)
    found = solve_ivp(
        equations.rate,
        (0.0, HORIZON),
        equations.start,
        method="LSODA",
        rtol=relative,
        atol=kelvin * 900.0 * 2200.0,
        lband=LIBRARY_CELLS[0],
        uband=LIBRARY_CELLS[0],
        jac=equations.bands if with_bands else None,
    )
    return float(last_above(found.t, found.y.max(axis=0) - equations.solidus))


def quickest_accurate(run, settings):
    """CPU time [s], setting and relative deviation of the quickest setting that is accurate enough."""
    found = []
    for setting in settings:
        deviation = run(*setting) / ALL_SOLID - 1.0
        if abs(deviation) < ACCURATE:
            seconds, _ = best_cpu(lambda setting=setting: run(*setting), repeats=5)
            found.append((seconds, setting, deviation))
    assert found, "no setting is accurate enough"
    return min(found)


def test_bands_of_the_library_case_are_the_derivative_of_its_rate():
    equations = LeanEquations(4, 6)
    enthalpy = np.linspace(0.9, 1.1, 24) * equations.solidus
    bands = equations.bands(0.0, enthalpy)
    for cell in range(24):
        step = np.zeros(24)
        step[cell] = 1.0
        column = equations.rate(0.0, enthalpy + step) - equations.rate(0.0, enthalpy)
        for other in range(max(0, cell - 4), min(24, cell + 5)):
            # Round-off of a difference of rates of some 1e4 W/m3.
            assert bands[4 + other - cell, cell] == pytest.approx(column[other], abs=1e-9)


def test_freezing_cylinder_takes_a_sixth_of_what_a_library_integrator_needs(note):
    ours, our_setting, our_deviation = quickest_accurate(our_run, OURS)
    library, relative, deviation = quickest_accurate(lambda *one: library_run(*one, with_bands=False), LIBRARY)
    with_bands, *_ = quickest_accurate(lambda *one: library_run(*one, with_bands=True), LIBRARY)
    note("freezing cylinder, coolsim", f"{1e3 * ours:6.1f} ms CPU at {our_setting}, {100 * our_deviation:+.3f} %")
    note("freezing cylinder, LSODA banded", f"{1e3 * library:6.1f} ms CPU at {relative}, {100 * deviation:+.3f} %")
    note("  ratio", f"{library / ours:6.1f}   (asserted: at least 6)")
    note("  with a Jacobian written by hand", f"{1e3 * with_bands:6.1f} ms CPU, ratio {with_bands / ours:.1f}")
    assert library / ours >= 6.0


@pytest.mark.parametrize("boxed", [False, True], ids=["bare", "boxed"])
def test_cost_of_a_jar_grows_hardly_faster_than_its_cells(boxed, note):
    refinements, cells, seconds, work = (1.0, 2.0, 4.0), [], [], []
    for refinement, repeats in zip(refinements, (5, 3, 2), strict=True):
        jar = tumbler(boxed=boxed, accuracy=Accuracy(refinement=refinement))
        taken, result = best_cpu(lambda jar=jar: simulate(jar), repeats=repeats)
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
    # Alternating directions need hardly more steps on a finer grid: the work per cell is that of more Newton
    # iterations, as fronts cross more cells.
    assert work[-1] < 2.0 * work[0]

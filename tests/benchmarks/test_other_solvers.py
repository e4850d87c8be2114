"""One freezing cylinder with coolsim and with four other ways, all to the same error, in one run.

CPU times are the least of several, with the methods taking turns, so that what else the machine does falls on all.
Ratios and counts are asserted, never times; the bounds are about half of what was measured.
"""

from pathlib import Path

import numpy as np
import pytest

from coolsim.studies.verify.reference_cylinder import SOLIDUS
from tests.benchmarks.freezing_cylinder import METHODS
from tests.benchmarks.processes import best_cpu, used_by
from tests.support.lean_equations import LeanEquations

ACCURATE = 2e-3  # in the time until all is solid
QUICK = 1.0  # s
TOP_FOLDER = Path(__file__).parents[2]
OURS, RK23, LSODA, BY_HAND, BDF, FEM_EVEN, FEM, FIPY_EVEN, FIPY = METHODS


def quickest_accurate(method):
    """CPU time [s], setting and outcome of the quickest setting that is accurate enough."""
    found = []
    for setting in method.settings:
        seconds, outcome = best_cpu(method.run, *setting)
        if abs(outcome.deviation) < ACCURATE:
            if seconds < QUICK:
                again, _ = best_cpu(method.run, *setting, repeats=3)
                seconds = min(seconds, again)
            found.append((seconds, setting, outcome))
    assert found, f"no setting of {method.name} is accurate enough"
    return min(found, key=lambda one: one[0])


@pytest.fixture(scope="module")
def measured():
    """CPU time [s], setting and outcome of each method, the quick ones timed in turns."""
    found = {method: list(quickest_accurate(method)) for method in METHODS}
    for _ in range(7):
        for method in METHODS:
            row = found[method]
            if row[0] < QUICK:
                row[0] = min(row[0], best_cpu(method.run, *row[1])[0])
    return found


def test_bands_of_the_library_case_are_the_derivative_of_its_rate():
    equations = LeanEquations(4, 6)
    enthalpy = np.linspace(0.9, 1.1, 24) * SOLIDUS
    bands = equations.bands(0.0, enthalpy)
    for cell in range(24):
        step = np.zeros(24)
        step[cell] = 1.0
        column = equations.rate(0.0, enthalpy + step) - equations.rate(0.0, enthalpy)
        for other in range(max(0, cell - 4), min(24, cell + 5)):
            # Round-off of a difference of rates of some 1e4 W/m3.
            assert bands[4 + other - cell, cell] == pytest.approx(column[other], abs=1e-9)


def test_freezing_cylinder_costs_a_fraction_of_what_other_solvers_need(measured, show_table):
    ours = measured[OURS][0]
    lines = [f"{'':<25}{'grid':>7}{'error':>9}{'steps':>7}{'solved':>8}{'CPU ms':>9}{'ratio':>7}{'MB':>6}"]
    ratio = {}
    for number, method in enumerate(METHODS):
        seconds, setting, outcome = measured[method]
        ratio[method] = seconds / ours
        _, peak = used_by(
            "-m",
            "tests.benchmarks.freezing_cylinder",
            str(number),
            str(method.settings.index(setting)),
            folder=TOP_FOLDER,
        )
        lines.append(
            f"{method.name:<25}{setting[0]:>4}×{setting[1]}{100 * outcome.deviation:>+7.2f} %{outcome.steps:>7}"
            f"{outcome.solved:>8}{1e3 * seconds:>9.0f}{seconds / ours:>7.{0 if seconds > 10 * ours else 1}f}"
            f"{peak / 1e6:>6.0f}"
        )
    show_table("\n".join(lines))
    # The aims are 10 for the best of `solve_ivp` and 300 for both libraries. The first is not reached on a grid as
    # coarse as this error allows, the second only by FiPy with even steps.
    assert min(ratio[one] for one in (RK23, LSODA, BY_HAND, BDF)) >= 2.0
    assert ratio[LSODA] >= 6.0
    assert ratio[FEM_EVEN] >= 120.0
    assert ratio[FEM] >= 6.0
    assert ratio[FIPY_EVEN] >= 250.0
    assert ratio[FIPY] >= 50.0
    _, _, outcome = measured[OURS]
    # Measured: 70 steps with 300 Newton iterations; alternating steps solve twice each, in some two iterations.
    assert outcome.steps <= 90
    assert outcome.solved <= 400


def test_lead_over_other_solvers_grows_with_the_grid(show_table):
    grids = ((12, 28), (24, 56), (48, 112))
    others = ((RK23, (1e-2, 1.0)), (BY_HAND, (1e-2, 0.3)), (FEM, (1000.0, 2.0)), (FIPY, (1000.0, 2.0)))
    names = ("solve_ivp, RK23", "solve_ivp, LSODA by hand", "scikit-fem, steps to suit", "FiPy, steps to suit")
    ours = [best_cpu(OURS.run, *grid, 3.0, repeats=3) for grid in grids]
    lines = [f"{'CPU ms, and error':<26}" + "".join(f"{f'{r}×{z}':>9}{'':>8}" for r, z in grids)]

    def add_line(name, row):
        figures = (f"{1e3 * seconds:>9.0f}{100 * outcome.deviation:>+6.2f} %" for seconds, outcome in row)
        lines.append(f"{name:<26}" + "".join(figures))

    add_line("coolsim", ours)
    lead = []
    for name, (method, setting) in zip(names, others, strict=True):
        theirs = [best_cpu(method.run, *grid, *setting) for grid in grids]
        add_line(name, theirs)
        lead.append([seconds / own for (seconds, _), (own, _) in zip(theirs, ours, strict=True)])
    show_table("\n".join(lines))
    # A grid twice as fine takes an explicit method four times the steps, and a band twice the width; here alternating
    # directions leave the steps as they are.
    assert ours[-1][1].steps <= 1.3 * ours[0][1].steps
    assert ours[-1][1].solved <= 2.0 * ours[0][1].solved
    # The aim of ten times less than the best of `solve_ivp` is reached with cells of 1.5 mm.
    assert min(lead[0][1], lead[1][1]) >= 7.0
    assert min(lead[0][2], lead[1][2]) >= 25.0
    assert lead[2][2] >= 20.0
    assert lead[3][2] >= 50.0

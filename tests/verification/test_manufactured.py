"""Manufactured solutions: a field is chosen, the heat source it needs is derived, and the solver has to find it back.

The two fields are those that an independent finite-volume code was measured with for this project (orders 1.99 to 2.00
in space). Derivatives are written out by hand; a wrong one would leave an error that no refinement removes.
"""

import numpy as np
import pytest

from coolsim.model.problem import Boundary
from coolsim.model.section import Span
from coolsim.solve import integrate
from coolsim.studies.verify.problems import FIXED, Layer, cylinder, fixed_steps, inert, measured_orders, run, wax

RADIUS, HEIGHT, HEAT = 0.04, 0.08, 1.8e6
WAVE = np.pi / (2 * HEIGHT)
INNER, OUTER = 0.0355, 0.0385
# The field stays inside, just: k(T) is a table of 512 pieces over this range, and over 120 K their jumps of k would
# show at 32 cells (half a millikelvin).
LOW, HIGH = 38.0, 72.0


def rising(temperature):
    return 0.25 * (1 + (temperature - 40) / 200)


def field(r, z, t):
    bell = 30 * np.exp(-t / 600) * (1 - (r / RADIUS) ** 2 / 2) * np.cos(WAVE * z)
    return 40 + bell + 5 * (r / RADIUS) ** 2 * (z / HEIGHT) ** 2


def source(r, z, t):
    decay = 30 * np.exp(-t / 600)
    shape, wave = 1 - (r / RADIUS) ** 2 / 2, np.cos(WAVE * z)
    along_r = r / RADIUS**2 * (-decay * wave + 10 * (z / HEIGHT) ** 2)
    along_z = -decay * shape * WAVE * np.sin(WAVE * z) + 10 * (r / RADIUS) ** 2 * z / HEIGHT**2
    spread = 2 * (-decay * wave + 10 * (z / HEIGHT) ** 2) / RADIUS**2
    spread = spread - decay * shape * WAVE**2 * wave + 10 * (r / RADIUS) ** 2 / HEIGHT**2
    rate = -decay * shape * wave / 600
    return HEAT * rate - rising(field(r, z, t)) * spread - 0.25 / 200 * (along_r**2 + along_z**2)


# k rises straight with T: a wax that "freezes" over the whole range, with next to no latent heat.
RISING = wax(
    conductivity=(rising(LOW), rising(HIGH)),
    heat_capacity=(HEAT / 900.0, HEAT / 900.0),
    density=900.0,
    latent_heat=1e-6,
    freezing=(LOW, HIGH),
)


def smooth_run(cells, step, horizon=300.0):
    """Chosen field on `cells` by twice as many; the flat bottom is a plane of symmetry."""
    edge = {"film": FIXED, "air": field}
    problem = cylinder(
        [Layer(part="body", material=RISING, length=RADIUS, cells=cells, start=0.0)],
        axial=(Span(name="height", length=HEIGHT, cells=2 * cells),),
        boundaries=(
            Boundary(name="side", part="body", facing="outwards", **edge),
            Boundary(name="top", part="body", facing="up", **edge),
        ),
        horizon=horizon,
        accuracy=fixed_steps(step),
        start=lambda r, z: field(r, z, 0.0),
        source=source,
    )
    return run(problem)


def layered_field(r, z, t):
    decay = 30 * np.exp(-t / 600) * np.cos(WAVE * z)
    inside, outside = 1 - (r / INNER) ** 2 / 2, 0.5 - 0.2 * np.log(np.maximum(r, 1e-9) / INNER)
    return 40 + decay * np.where(r <= INNER, inside, outside)


def layered_source(r, z, t):
    decay = 30 * np.exp(-t / 600) * np.cos(WAVE * z)
    above = layered_field(r, z, t) - 40
    within = -1.76e6 * above / 600 + 0.2 * (2 * decay / INNER**2 + WAVE**2 * above)
    beyond = -2.0e6 * above / 600 + 1.0 * WAVE**2 * above
    return np.where(r <= INNER, within, beyond)


def layered_run(cells, step):
    edge = {"film": FIXED, "air": layered_field}
    problem = cylinder(
        [
            Layer(part="core", material=inert(0.2, 1.76e6), length=INNER, cells=cells, start=0.0),
            Layer(part="wall", material=inert(1.0, 2.0e6), length=OUTER - INNER, cells=max(2, cells // 8), start=0.0),
        ],
        axial=(Span(name="height", length=HEIGHT, cells=2 * cells),),
        boundaries=(
            Boundary(name="side", part="wall", facing="outwards", **edge),
            Boundary(name="top of the core", part="core", facing="up", **edge),
            Boundary(name="top of the wall", part="wall", facing="up", **edge),
        ),
        horizon=300.0,
        accuracy=fixed_steps(step),
        start=lambda r, z: layered_field(r, z, 0.0),
        source=layered_source,
    )
    return run(problem)


def deviation(done, exact, time=300.0):
    grid = done.result.grid
    r, z = np.meshgrid(grid.r, grid.z)
    return float(np.sqrt(np.mean((done.at(time) - exact(r, z, time)) ** 2)))


CASES = pytest.mark.parametrize(
    ("solve", "exact"), [(smooth_run, field), (layered_run, layered_field)], ids=["k(T)", "layers"]
)
# 0.2: a scheme of first order would show 1; the wall of few cells costs the coarsest pair 0.1.
SECOND_ORDER = pytest.approx(2.0, abs=0.2)


@CASES
def test_error_falls_with_the_square_of_the_cell(solve, exact):
    # Steps of 1 s add at most 3e-5 K, a twentieth of the error on the finest grid: see the next test.
    errors = [deviation(solve(cells, 1.0), exact) for cells in (8, 16, 32)]
    assert measured_orders(errors) == SECOND_ORDER
    assert errors[-1] < 1e-3  # kelvin, of a field that spans 30: (1/32)^2 of it is 0.03; measured 0.0005 and 0.0006


@pytest.mark.parametrize("whole", [False, True], ids=["alternating directions", "both together"])
@CASES
def test_error_falls_with_the_square_of_the_step(solve, exact, whole, monkeypatch):
    monkeypatch.setattr(integrate, "holds_metal", lambda _: whole)
    # Against a run with steps of half a second on the same grid, so that the error in space drops out.
    fine = solve(12, 0.5).at(300.0)
    errors = [float(np.sqrt(np.mean((solve(12, step).at(300.0) - fine) ** 2))) for step in (50.0, 25.0, 12.5)]
    assert measured_orders(errors) == SECOND_ORDER
    # And against the chosen field itself, on cells that do not hide the step: (12.5 s/600 s)^2 of 30 K is 0.013 K, and
    # half of that is half again what the less accurate of the two ways of stepping was measured with.
    assert deviation(solve(32, 12.5), exact) < 6.5e-3

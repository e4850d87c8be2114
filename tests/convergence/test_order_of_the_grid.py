"""How fast the error of smooth cooling and of a heated belt falls as cells get smaller.

Exact values: the long bar by its Bessel series (computed independently, 200 terms), the hollow cylinder of the
published NAFEMS axisymmetric steady thermal benchmark by independent computation (59.8205 °C; 59.82 °C published).
Orders on manufactured fields are measured in `tests/verification/test_manufactured.py`.
"""

import numpy as np
import pytest

from coolsim.model.problem import Accuracy, Boundary
from coolsim.model.section import Span
from coolsim.studies.verify.problems import FIXED, Layer, cylinder, inert, measured_orders, on_axis, run

# 0.2: a boundary or an axis treated to first order would show 1.
SECOND_ORDER = pytest.approx(2.0, abs=0.2)


def bar_errors(cells):
    """Errors of centre, surface and mean at Bi 1, Fo 0.5, as shares of the excess temperature at the start."""
    radius, conductivity, capacity = 0.04, 0.2, 1.8e6
    time = 0.5 * radius**2 * capacity / conductivity
    bar = run(
        cylinder(
            [Layer(part="bar", material=inert(conductivity, capacity), length=radius, cells=cells, start=121.0)],
            boundaries=[Boundary(name="side", part="bar", facing="outwards", film=conductivity / radius)],
            horizon=1.05 * time,
            accuracy=Accuracy(tolerance=3e-4, first_step=0.05, longest_step=60.0),  # adds less than 2e-6
        )
    )
    found = on_axis(bar.result.grid.r, bar.at(time)[0]), bar.surface("side", time)[0], bar.mean(time)
    return np.abs((np.array(found) - 21.0) / 100.0 - (0.548586, 0.352786, 0.447384))


def belt_error(cell):
    fixed = {"part": "ring", "film": FIXED, "air": 0.0}
    lengths = {"below": 0.04, "belt": 0.06, "above": 0.04}
    ring = run(
        cylinder(
            [Layer(part="ring", material=inert(52.0, 1e6), length=0.08, cells=round(0.08 / cell), start=0.0)],
            inner_radius=0.02,
            axial=[Span(name=name, length=length, cells=round(length / cell)) for name, length in lengths.items()],
            boundaries=[
                Boundary(name="outside", facing="outwards", **fixed),
                Boundary(name="top", facing="up", **fixed),
                Boundary(name="bottom", facing="down", **fixed),
                Boundary(name="belt", part="ring", facing="inwards", flux=5e5, spans=("belt",)),
            ],
            horizon=400.0,
            accuracy=Accuracy(tolerance=0.05, first_step=0.01, longest_step=4.0),
        )
    )
    grid = ring.result.grid
    above, beyond = np.searchsorted(grid.z, 0.04), np.searchsorted(grid.r, 0.04)
    return abs(ring.at(400.0)[above - 1 : above + 1, beyond - 1 : beyond + 1].mean() - 59.8205)


def test_bar_that_cools_through_a_film_converges_with_the_square_of_the_cell():
    errors = np.array([bar_errors(cells) for cells in (5, 10, 20)])
    centre, surface, mean = errors.T
    assert measured_orders(centre) == SECOND_ORDER
    assert measured_orders(mean) == SECOND_ORDER
    # Here the leading errors of profile and film cancel at the surface, so it has no order: 7e-5 on five cells.
    assert surface.max() < 1e-4
    # A thirteenth of (1/20)^2; measured 8e-5 and 1.8e-4.
    assert errors[-1].max() < 2e-4


def test_heated_hollow_cylinder_converges_with_the_square_of_the_cell():
    errors = [belt_error(cell) for cell in (10e-3, 5e-3, 2.5e-3)]
    assert measured_orders(errors) == SECOND_ORDER
    assert errors[-1] < 0.04  # kelvin; a quarter of the 0.15 K stated for 5 mm

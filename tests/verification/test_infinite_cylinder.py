"""A long bar that cools through a film: the series against its tabulated numbers, and coolsim against both."""

import pytest
from held import held
from scipy.special import j0, j1

from coolsim.model.problem import Accuracy, Boundary
from coolsim.studies.verify.bars import LONG_BAR, POINTS, eigenvalues, series
from coolsim.studies.verify.problems import Layer, cylinder, inert, on_axis, run

TABULATED = 1e-6  # the numbers have six decimals


def test_bar_follows_the_series():
    held(LONG_BAR)


@pytest.mark.parametrize(
    ("biot", "root", "coefficient"),
    [
        (0.1, 0.4417, 1.0246),
        (0.5, 0.9408, 1.1143),
        (1.0, 1.2558, 1.2071),
        (2.0, 1.5994, 1.3384),
        (5.0, 1.9898, 1.5029),
        (10.0, 2.1795, 1.5677),
    ],
)
def test_first_term_of_the_series_is_the_one_of_the_textbook(biot, root, coefficient):
    z = eigenvalues(biot)[0]
    # Four decimals in the table of one-term coefficients; its equation is published, its values were recomputed.
    assert z == pytest.approx(root, abs=5.1e-5)
    assert 2.0 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2) == pytest.approx(coefficient, abs=5.1e-5)


@pytest.mark.parametrize(("biot", "fourier", "centre", "surface", "mean"), POINTS)
def test_series_gives_the_tabulated_numbers(biot, fourier, centre, surface, mean):
    assert series(biot, fourier) == pytest.approx((centre, surface, mean), abs=TABULATED)


def test_long_shaft_of_the_textbook_cools_on_its_axis_as_the_series_says():
    # Cengel, Heat Transfer, problem 11-41 (setup published): D 0.35 m, k 14.9, rho 7900, c 477, alpha 3.95e-6 m2/s,
    # from 400 to 150 °C with h 60 for 20 min. Exact 385.73 °C (computed independently); the printed 390 °C is the
    # first term alone, outside its range at Fo 0.155.
    radius, conductivity, diffusivity, film, time = 0.175, 14.9, 3.95e-6, 60.0, 1200.0
    centre, _, _ = series(film * radius / conductivity, diffusivity * time / radius**2)
    exact = 150.0 + 250.0 * centre
    shaft = run(
        cylinder(
            [
                Layer(
                    part="shaft",
                    material=inert(conductivity, conductivity / diffusivity),
                    length=radius,
                    cells=50,
                    start=400.0,
                )
            ],
            boundaries=[Boundary(name="side", part="shaft", facing="outwards", film=film)],
            horizon=time,
            room=150.0,
            accuracy=Accuracy(tolerance=0.02),
        )
    )
    assert exact == pytest.approx(385.73, abs=0.005)  # two decimals are given
    # 0.125 K: the 5e-4 of 50 cells on 250 K.
    assert on_axis(shaft.result.grid.r, shaft.at(time)[0]) == pytest.approx(exact, abs=0.125)

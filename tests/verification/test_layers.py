"""Layers, heat put in through a face, sources and a conductivity that follows temperature."""

import functools

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import j0, j1, y0, y1

from coolsim.model.problem import Accuracy, Boundary, Contact
from coolsim.model.section import Span
from coolsim.studies.verify.problems import FIXED, Layer, column, cylinder, inert, on_axis, run, wax

# --- steady tube of two layers ----------------------------------------------------------------------


def test_steady_tube_of_two_layers_is_exact_on_any_grid():
    # The tube of Holman, Heat Transfer, example 2-2 (type of problem published): radii 1, 2 and 5 cm, k 19 and
    # 0.2 W/m/K, 600 and 100 °C. 680.30 W/m and 596.05 °C between the layers, computed independently.
    heat = 500.0 / (np.log(2.0) / (2 * np.pi * 19.0) + np.log(2.5) / (2 * np.pi * 0.2))
    between = 600.0 - heat * np.log(2.0) / (2 * np.pi * 19.0)
    assert heat == pytest.approx(680.30, abs=0.005)
    assert between == pytest.approx(596.05, abs=0.005)
    tube = run(
        cylinder(
            [
                Layer(part="steel", material=inert(19.0, 1e4), length=0.01, cells=3, start=596.0),
                Layer(part="cover", material=inert(0.2, 1e4), length=0.03, cells=5, start=300.0),
            ],
            inner_radius=0.01,
            boundaries=[
                Boundary(name="bore", part="steel", facing="inwards", film=FIXED, air=600.0),
                Boundary(name="outside", part="cover", facing="outwards", film=FIXED, air=100.0),
            ],
            horizon=3000.0,
            # The slowest part has died away by e^-50 long before; small steps at first keep the jump from ringing.
            accuracy=Accuracy(tolerance=0.01, first_step=1e-3, longest_step=2.0),
        )
    )
    # 1e-6: a logarithm of radii is the exact resistance of a ring, so eight cells are enough. What is left is the
    # film of 1e12 W/m2/K that stands for a given temperature, and the last of the start.
    assert tube.flow("outside") == pytest.approx(heat, rel=1e-6)
    assert tube.flow("bore") == pytest.approx(-heat, rel=1e-6)
    r, field = tube.result.grid.r, tube.at(3000.0)[0]
    exact = np.where(
        r < 0.02,
        600.0 - heat * np.log(r / 0.01) / (2 * np.pi * 19.0),
        100.0 + heat * np.log(0.05 / r) / (2 * np.pi * 0.2),
    )
    assert field == pytest.approx(exact, rel=1e-6)


def test_contact_between_two_layers_adds_its_resistance():
    # The same tube with a contact of 500 W/m2/K between the layers: one more resistance 1/(h A) in the series.
    heat = 500.0 / (
        np.log(2.0) / (2 * np.pi * 19.0) + 1.0 / (500.0 * 2 * np.pi * 0.02) + np.log(2.5) / (2 * np.pi * 0.2)
    )
    tube = run(
        cylinder(
            [
                Layer(part="steel", material=inert(19.0, 1e4), length=0.01, cells=3, start=596.0),
                Layer(part="cover", material=inert(0.2, 1e4), length=0.03, cells=5, start=300.0),
            ],
            inner_radius=0.01,
            boundaries=[
                Boundary(name="bore", part="steel", facing="inwards", film=FIXED, air=600.0),
                Boundary(name="outside", part="cover", facing="outwards", film=FIXED, air=100.0),
            ],
            contacts=[Contact(parts=("cover", "steel"), conductance=500.0)],
            horizon=3000.0,
            accuracy=Accuracy(tolerance=0.01, first_step=1e-3, longest_step=2.0),
        )
    )
    assert tube.flow("outside") == pytest.approx(heat, rel=1e-6)  # exact on any grid, as above


# --- transient bar of two layers --------------------------------------------------------------------

INNER, OUTER = 0.0355, 0.0385
K_INNER, K_OUTER, C_INNER, C_OUTER, FILM = 0.20, 1.0, 1.76e6, 2.0e6, 9.5
HISTORY = [
    (600.0, 69.932, 56.152, 55.254),
    (1800.0, 65.166, 46.017, 45.348),
    (3600.0, 53.225, 38.050, 37.589),
    (7200.0, 36.944, 29.359, 29.133),
    (14400.0, 24.863, 23.025, 22.970),
]


class TwoLayers:
    """Eigenfunctions J0 inside, A J0 + B Y0 outside, orthogonal with the weight C(r) r."""

    def __init__(self, terms=40):
        grid = np.linspace(1e-6, 0.15, 60_000)
        values = self._robin(grid)
        change = np.flatnonzero(np.sign(values[:-1]) != np.sign(values[1:]))[:terms]
        self.roots = [brentq(self._robin, grid[n], grid[n + 1], xtol=1e-15) for n in change]

    def _outside(self, root):
        """A and B that keep temperature and flux continuous at the interface."""
        x, y = root * INNER * np.sqrt(C_INNER / K_INNER), root * INNER * np.sqrt(C_OUTER / K_OUTER)
        ratio = np.sqrt(K_INNER * C_INNER / (K_OUTER * C_OUTER))
        wronskian = 2.0 / (np.pi * y)  # J1 Y0 - J0 Y1
        a = (ratio * j1(x) * y0(y) - j0(x) * y1(y)) / wronskian
        b = (j0(x) * j1(y) - ratio * j1(x) * j0(y)) / wronskian
        return a, b

    def _robin(self, root):
        a, b = self._outside(root)
        speed = root * np.sqrt(C_OUTER / K_OUTER)
        y = speed * OUTER
        return K_OUTER * speed * (a * j1(y) + b * y1(y)) - FILM * (a * j0(y) + b * y0(y))

    def _shape(self, root, r):
        a, b = self._outside(root)
        outside = root * np.maximum(r, INNER) * np.sqrt(C_OUTER / K_OUTER)
        return np.where(r <= INNER, j0(root * r * np.sqrt(C_INNER / K_INNER)), a * j0(outside) + b * y0(outside))

    def temperature(self, r, time):
        """Temperature at radii [m] after a time [s], cooled from 70 °C to 21 °C."""
        places, weights = np.polynomial.legendre.leggauss(200)
        total = np.zeros(len(r))
        for root in self.roots:
            above = below = 0.0
            for start, end, capacity in ((0.0, INNER, C_INNER), (INNER, OUTER, C_OUTER)):
                at = 0.5 * (end - start) * places + 0.5 * (end + start)
                # A hair inside the interval, so that the interface counts to the right layer.
                shape = self._shape(root, at)
                weight = 0.5 * (end - start) * weights * capacity * at
                above += (weight * shape).sum()
                below += (weight * shape**2).sum()
            total += above / below * self._shape(root, r) * np.exp(-(root**2) * time)
        return 21.0 + 49.0 * total


@pytest.fixture(scope="module")
def two_layers():
    return TwoLayers()


@pytest.fixture(scope="module")
def jar_of_two_layers():
    return run(
        cylinder(
            [
                Layer(part="inner", material=inert(K_INNER, C_INNER), length=INNER, cells=40, start=70.0),
                Layer(part="wall", material=inert(K_OUTER, C_OUTER), length=OUTER - INNER, cells=4, start=70.0),
            ],
            boundaries=[Boundary(name="side", part="wall", facing="outwards", film=FILM)],
            horizon=15_000.0,
            accuracy=Accuracy(tolerance=0.01, first_step=0.1),
        )
    )


@pytest.mark.parametrize(("time", "centre", "at_inner", "at_outer"), HISTORY)
def test_series_for_two_layers_gives_the_tabulated_numbers(two_layers, time, centre, at_inner, at_outer):
    # Three decimals; computed independently.
    assert two_layers.temperature(np.array([0.0, INNER, OUTER]), time) == pytest.approx(
        [centre, at_inner, at_outer], abs=6e-4
    )


@pytest.mark.parametrize(("time", "centre", "at_inner", "at_outer"), HISTORY)
def test_bar_in_a_wall_with_mass_follows_the_series(jar_of_two_layers, two_layers, time, centre, at_inner, at_outer):
    jar, grid = jar_of_two_layers, jar_of_two_layers.result.grid
    field = jar.at(time)[0]
    # 0.05 K: stated. It is a thousandth of the 49 K; a wall without mass would be off by 4.2 K at 600 s.
    assert on_axis(grid.r, field) == pytest.approx(centre, abs=0.05)
    assert jar.surface("side", time)[0] == pytest.approx(at_outer, abs=0.05)
    # Half a cell beyond the last two of the inner layer.
    assert 1.5 * field[39] - 0.5 * field[38] == pytest.approx(at_inner, abs=0.05)
    assert field == pytest.approx(two_layers.temperature(grid.r, time), abs=0.05)


# --- hollow cylinder with a heated belt -------------------------------------------------------------


@functools.cache
def heated_belt(cell):
    """The hollow cylinder on square cells [m], run to rest; return the temperature at r = z = 0.04 m."""
    fixed = functools.partial(Boundary, part="ring", film=FIXED, air=0.0)
    ring = run(
        cylinder(
            [Layer(part="ring", material=inert(52.0, 1e6), length=0.08, cells=round(0.08 / cell), start=0.0)],
            inner_radius=0.02,
            axial=(
                Span(name="below", length=0.04, cells=round(0.04 / cell)),
                Span(name="belt", length=0.06, cells=round(0.06 / cell)),
                Span(name="above", length=0.04, cells=round(0.04 / cell)),
            ),
            boundaries=[
                fixed(name="outside", facing="outwards"),
                fixed(name="top", facing="up"),
                fixed(name="bottom", facing="down"),
                Boundary(name="belt", part="ring", facing="inwards", flux=5e5, spans=("belt",)),
            ],
            horizon=400.0,
            accuracy=Accuracy(tolerance=0.05, first_step=0.01, longest_step=4.0),
        )
    )
    grid, field = ring.result.grid, ring.at(400.0)
    above, beyond = np.searchsorted(grid.z, 0.04), np.searchsorted(grid.r, 0.04)
    # The point is a corner of four cells.
    return field[above - 1 : above + 1, beyond - 1 : beyond + 1].mean(), ring


# The published axisymmetric steady thermal benchmark of NAFEMS: k 52 W/m/K, 5e5 W/m2 into the bore for
# 0.04 m < z < 0.10 m, the rest of the bore insulated, the other faces at 0 °C. 59.82 °C; 59.8205 °C computed
# independently.
@pytest.mark.parametrize(
    ("cell", "tolerance"),
    [
        (5e-3, 0.15),  # stated for 5 mm
        (1.25e-3, 0.02),  # stated for 1.25 mm; second order would allow 0.15/16 = 0.01 K, the figure has 0.005 K
    ],
)
def test_heated_hollow_cylinder_meets_the_published_benchmark(cell, tolerance):
    temperature, _ = heated_belt(cell)
    assert temperature == pytest.approx(59.82, abs=tolerance)


def test_heat_that_leaves_the_hollow_cylinder_is_the_heat_put_in():
    _, ring = heated_belt(5e-3)
    heat = 5e5 * 2 * np.pi * 0.02 * 0.06
    assert ring.flow("belt") == pytest.approx(-heat, rel=1e-12)
    # 1e-6: at rest.
    assert sum(ring.flow(name) for name in ("outside", "top", "bottom")) == pytest.approx(heat, rel=1e-6)


# --- slab with a source and a conductivity that rises with temperature --------------------------------


def test_slab_with_a_source_and_rising_conductivity_meets_the_textbook():
    # Arpaci, Conduction Heat Transfer, example 3-8 (published): length 10, source 5, k = 2 (1 + 0.01 T), 0 °C on one
    # face and none of the heat through the other: 87.0828693387 there. A wax that freezes from 100 to 0 °C, the
    # range of the slab and more, has a conductivity that is straight in temperature.
    material = wax(
        conductivity=(2.0, 4.0), heat_capacity=(1.0, 1.0), density=1.0, latent_heat=1.0, freezing=(0.0, 100.0)
    )
    exact = (np.sqrt(1.0 + 0.02 * 5.0 * 10.0**2 / (2 * 2.0)) - 1.0) / 0.01
    assert exact == pytest.approx(87.0828693387, abs=1e-10)
    cells = 40
    slab = run(
        column(
            [Layer(part="slab", material=material, length=10.0, cells=cells, start=50.0)],
            boundaries=[Boundary(name="end", part="slab", facing="up", film=FIXED, air=0.0)],
            horizon=400.0,
            accuracy=Accuracy(tolerance=0.01, first_step=1e-3, longest_step=1.0),
            source=lambda r, z, time: np.full_like(r, 5.0),
        )
    )
    grid, field = slab.result.grid, slab.at(400.0)[:, 0]
    # 0.02 K: second order in cells, T'' h^2/8 = 0.01 K at the cold face where the curvature is largest.
    assert on_axis(grid.z, field) == pytest.approx(exact, abs=0.02)
    profile = (np.sqrt(1.0 + 0.02 * 5.0 * (10.0**2 - grid.z**2) / (2 * 2.0)) - 1.0) / 0.01
    assert field == pytest.approx(profile, abs=0.02)

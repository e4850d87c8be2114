"""Freezing from a cold wall into a deep melt, against similarity solutions.

With a sharp freezing point the front is at X = 2 lam sqrt(alpha_s t) (Stefan, one region; Neumann, two regions). The
package freezes over a range, so a sharp point is stated as a range of 0.1 K about it; how much that matters is a test
of its own. With a wide range there are three zones (Lunardini's solution).
"""

import functools
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.special import erf, erfc

from coolsim.model.problem import Accuracy, Boundary
from coolsim.model.section import Span
from coolsim.studies.verify.problems import FIXED, Layer, column, cylinder, reference_wax, run, wax

ROOT_PI = np.sqrt(np.pi)
SHARP = 0.1  # width of the range that stands for a freezing point [K]
TABULATED = 6e-7  # roots with six decimals

# --- closed forms -----------------------------------------------------------------------------------


def one_region(stefan):
    """Root of sqrt(pi) lam exp(lam^2) erf(lam) = Ste."""
    return brentq(lambda x: ROOT_PI * x * np.exp(x * x) * erf(x) - stefan, 1e-9, 5.0, xtol=1e-14)


def two_regions(stefan_solid, stefan_liquid, ratio):
    """Root lam of the balance at the front; `ratio` is alpha_s/alpha_l."""

    def balance(x):
        solid = stefan_solid * np.exp(-x * x) / erf(x)
        liquid = stefan_liquid * np.exp(-ratio * x * x) / (np.sqrt(ratio) * erfc(x * np.sqrt(ratio)))
        return (solid - liquid) / ROOT_PI - x

    return brentq(balance, 1e-9, 3.0, xtol=1e-14)


@dataclass(frozen=True, kw_only=True)
class Zones:
    """Frozen wax, mush and melt: k [W/m/K] and rho c [J/m3/K] of each, and the heat of freezing [J/m3]."""

    wall: float
    solidus: float
    liquidus: float
    start: float
    conductivity: tuple[float, float, float]
    capacity: tuple[float, float, float]
    latent: float
    mush_follows_fraction: bool

    def mush_conductivity(self, temperature):
        """k of the mush: one value, or straight from frozen to liquid as in the package."""
        frozen, mush, liquid = self.conductivity
        if not self.mush_follows_fraction:
            return mush
        return frozen + (liquid - frozen) * (temperature - self.solidus) / (self.liquidus - self.solidus)

    @functools.cached_property
    def fronts(self):
        """Solidus and liquidus as x/sqrt(t) [m/s^0.5], and the mush between as a function of that."""
        at = brentq(lambda x: self._shot(x)[0], *self._bracket(), xtol=1e-16)
        _, liquidus, mush = self._shot(at)
        return at, liquidus, mush

    def _bracket(self):
        # Near the wall the flux is too large, far from it too small.
        places = np.geomspace(0.02, 2.0, 40) * np.sqrt(self.conductivity[0] / self.capacity[0])
        for near, far in pairwise(places):
            if self._shot(far)[0] < 0.0:
                return near, far
        raise ValueError("no solidus in the range searched")

    def _shot(self, at):
        """Imbalance of the flux at the liquidus, the liquidus and the mush if the solidus is `at`."""
        alpha = self.conductivity[0] / self.capacity[0]
        flux = self.conductivity[0] * (self.solidus - self.wall) * _gauss(at, alpha) / erf(at / (2 * np.sqrt(alpha)))
        capacity = self.capacity[1] + self.latent / (self.liquidus - self.solidus)

        def slopes(x, state):
            gradient = state[1] / self.mush_conductivity(state[0])
            return [gradient, -0.5 * x * capacity * gradient]

        def reached(_, state):
            return state[0] - self.liquidus

        reached.terminal = True
        # A flux of this kind has died away, as exp(-x^2), ten of its own lengths farther.
        end = at + 20.0 * np.sqrt(max(self.conductivity) / capacity)
        mush = solve_ivp(
            slopes, (at, end), [self.solidus, flux], events=reached, rtol=1e-10, atol=1e-12, dense_output=True
        )
        if not len(mush.t_events[0]):
            return -flux, np.inf, mush.sol  # the heat is used up in the mush: too little flux
        liquidus, flux = mush.t_events[0][0], mush.y_events[0][0][1]
        alpha = self.conductivity[2] / self.capacity[2]
        needed = self.conductivity[2] * (self.start - self.liquidus) * _gauss(liquidus, alpha)
        return flux - needed / erfc(liquidus / (2 * np.sqrt(alpha))), liquidus, mush.sol

    def roots(self):
        """Front positions as gamma and psi of the published solution: gamma by the mush, psi by the frozen zone."""
        solidus, liquidus, _ = self.fronts
        capacity = self.capacity[1] + self.latent / (self.liquidus - self.solidus)
        gamma = liquidus / (2 * np.sqrt(self.conductivity[1] / capacity))
        return gamma, solidus / (2 * np.sqrt(self.conductivity[0] / self.capacity[0]))

    def wall_flux(self, time):
        """Heat flow into the wall [W/m2]."""
        alpha = self.conductivity[0] / self.capacity[0]
        gradient = (self.solidus - self.wall) / erf(self.roots()[1]) / np.sqrt(np.pi * alpha * time)
        return self.conductivity[0] * gradient

    def temperature(self, x, time):
        """Temperature at depths [m] after a time [s]."""
        solidus, liquidus, mush = self.fronts
        place = x / np.sqrt(time)
        frozen, melt = (2 * np.sqrt(self.conductivity[n] / self.capacity[n]) for n in (0, 2))
        in_frozen = self.wall + (self.solidus - self.wall) * erf(place / frozen) / erf(solidus / frozen)
        in_melt = self.start - (self.start - self.liquidus) * erfc(place / melt) / erfc(liquidus / melt)
        in_mush = mush(np.clip(place, solidus, liquidus))[0]
        return np.where(place < solidus, in_frozen, np.where(place < liquidus, in_mush, in_melt))


def _gauss(place, alpha):
    return np.exp(-(place**2) / (4 * alpha)) / np.sqrt(np.pi * alpha)


# --- one and two regions ------------------------------------------------------------------------------

CONTRAST = 30.0  # freezing point less wall in the runs without units [K]
FREEZES = 55.0


def freeze(material, *, start, wall, depth, horizon, cells, stretch=30.0, radial=False):
    """Run a melt that lies on a wall, or round a pipe of 100 m radius, where a layer does not feel the curvature."""
    layer = Layer(part="wax", material=material, length=depth, cells=cells, start=start, finer="start", stretch=stretch)
    accuracy = Accuracy(tolerance=0.05, first_step=1e-3)
    if radial:
        radius = 100.0
        law = Boundary(name="wall", part="wax", facing="inwards", film=FIXED, air=wall)
        ring = Span(name="height", length=1.0 / (2 * np.pi * radius), cells=1)  # 1 m2 at the wall
        problem = cylinder(
            [layer], boundaries=[law], horizon=horizon, inner_radius=radius, axial=(ring,), accuracy=accuracy
        )
    else:
        law = Boundary(name="wall", part="wax", facing="down", film=FIXED, air=wall)
        problem = column([layer], boundaries=[law], horizon=horizon, accuracy=accuracy)
    return run(problem)


def sharp(point, width=SHARP):
    return (point - 0.5 * width, point + 0.5 * width)


@pytest.mark.parametrize(
    ("stefan", "root"), [(0.1, 0.22001627), (0.2, 0.30642391), (0.3, 0.36988022), (0.5, 0.46478592), (1.0, 0.62006263)]
)
def test_root_of_one_region_is_the_tabulated_one(stefan, root):
    # Eight decimals, computed independently.
    assert one_region(stefan) == pytest.approx(root, abs=6e-9)


# Stefan numbers of solid and liquid, and lam for alpha_s/alpha_l = 1.5; computed independently.
TWO_REGIONS = [
    (0.1, 0.0, 0.220016),
    (0.1, 0.1, 0.193280),
    (0.1, 0.2, 0.171275),
    (0.1, 0.3, 0.153014),
    (0.3, 0.0, 0.369880),
    (0.3, 0.1, 0.339409),
    (0.3, 0.2, 0.313147),
    (0.3, 0.3, 0.290309),
    (0.5, 0.0, 0.464786),
    (0.5, 0.1, 0.432619),
    (0.5, 0.2, 0.404485),
    (0.5, 0.3, 0.379660),
]


@pytest.mark.parametrize(("stefan_solid", "stefan_liquid", "root"), TWO_REGIONS)
def test_root_of_two_regions_is_the_tabulated_one(stefan_solid, stefan_liquid, root):
    assert two_regions(stefan_solid, stefan_liquid, 1.5) == pytest.approx(root, abs=TABULATED)


@pytest.mark.parametrize(
    ("stefan_solid", "stefan_liquid", "root"), [*TWO_REGIONS, (0.2, 0.0, 0.30642391), (1.0, 0.0, 0.62006263)]
)
def test_front_follows_the_similarity_solution_at_every_stefan_number(stefan_solid, stefan_liquid, root):
    latent = 180e3
    capacity = stefan_solid * latent / CONTRAST
    material = wax(
        conductivity=(0.24, 0.16),  # alpha_s/alpha_l = 1.5 with one heat capacity
        heat_capacity=(capacity, capacity),
        density=850.0,
        latent_heat=latent,
        freezing=sharp(FREEZES),
    )
    alpha, time = 0.24 / (850.0 * capacity), 3600.0
    front = 2 * root * np.sqrt(alpha * time)
    # Without superheat the melt at the upper end of the range is at rest and need not be deep.
    depth = 1.5 * front if stefan_liquid == 0 else front + 6.5 * np.sqrt(alpha * time / 1.5)
    cooling = freeze(
        material,
        start=sharp(FREEZES)[1] + CONTRAST * stefan_liquid / stefan_solid,
        wall=FREEZES - CONTRAST,
        depth=depth,
        horizon=time,
        cells=50 if stefan_liquid == 0 else 90,
        stretch=5.0 if stefan_liquid == 0 else 60.0,
    )
    # 0.5 %: stated. The front crosses 35 to 40 cells, each of which holds it up until it is frozen.
    assert cooling.frozen_depth(time) == pytest.approx(front, rel=5e-3)


# Reference wax from 75 °C against a wall at 21 °C: time, front [m] and wall flux [W/m2], computed independently.
REFERENCE = [
    (600.0, 6.2685e-3, 1354.778),
    (1800.0, 10.8574e-3, 782.182),
    (3600.0, 15.3547e-3, 553.086),
    (7200.0, 21.7149e-3, 391.091),
]


def reference_root():
    alpha = 0.24 / (850 * 2100), 0.16 / (850 * 2300)
    return two_regions(2100 * 34 / 180e3, 2300 * 20 / 180e3, alpha[0] / alpha[1])


@functools.cache
def reference_run(direction="axial", width=SHARP, cells=160):
    return freeze(
        reference_wax(sharp(FREEZES, width)),
        start=75.0,
        wall=21.0,
        depth=0.16,  # 6.6 sqrt(alpha t) of the melt after two hours: nothing is felt at its far end
        horizon=7600.0,
        cells=cells,
        radial=direction == "radial",
    )


@pytest.mark.parametrize(("time", "front", "flux"), REFERENCE)
def test_root_of_the_reference_wax_gives_the_tabulated_fronts_and_fluxes(time, front, flux):
    root, alpha = reference_root(), 0.24 / (850 * 2100)
    assert root == pytest.approx(0.348958827369, abs=1e-12)
    assert 2 * root * np.sqrt(alpha * time) == pytest.approx(front, abs=6e-8)  # mm with four decimals
    assert 0.24 * 34 / erf(root) / np.sqrt(np.pi * alpha * time) == pytest.approx(flux, abs=6e-4)  # three decimals


@pytest.mark.parametrize("direction", ["axial", "radial"])
@pytest.mark.parametrize(("time", "front", "flux"), REFERENCE)
def test_reference_wax_freezes_from_the_wall_as_the_similarity_solution_says(direction, time, front, flux):
    cooling = reference_run(direction)
    # 0.5 % of the front, 0.3 % of the heat (Q = 2 q t): stated. A cell is 1 % of the first front and 2 % of the last.
    assert cooling.frozen_depth(time) == pytest.approx(front, rel=5e-3)
    assert cooling.lost("wall", time) == pytest.approx(2 * flux * time, rel=3e-3)
    # The flux as the heat of the tenth of the time around: 0.03 % from its curvature, the rest as for the heat. It
    # must be a mean because a cell that freezes holds the flux up.
    mean = (cooling.lost("wall", 1.05 * time) - cooling.lost("wall", 0.95 * time)) / (0.1 * time)
    assert mean == pytest.approx(flux, rel=3e-3)


@pytest.mark.parametrize("direction", ["axial", "radial"])
@pytest.mark.parametrize("time", [one[0] for one in REFERENCE])
def test_temperatures_on_both_sides_of_a_sharp_front_are_the_exact_ones(direction, time):
    root, solid, liquid = reference_root(), 0.24 / (850 * 2100), 0.16 / (850 * 2300)
    cooling = reference_run(direction, cells=220)
    grid, field = cooling.result.grid, cooling.at(time)
    x, found = (grid.r - 100.0, field[0]) if direction == "radial" else (grid.z, field[:, 0])
    front = 2 * root * np.sqrt(solid * time)
    exact = np.where(
        x < front,
        21.0 + 34.0 * erf(x / (2 * np.sqrt(solid * time))) / erf(root),
        75.0 - 20.0 * erfc(x / (2 * np.sqrt(liquid * time))) / erfc(root * np.sqrt(solid / liquid)),
    )
    outside_front_cells = np.abs(x - front) > 3 * np.interp(front, x, np.gradient(x))
    # 0.2 K: stated, of 54 K. The cell that the front passes through stays at 55 °C until it is frozen, so within a few
    # cells of it the field goes in steps of a cell's share of the gradient, up to 0.7 K.
    assert found[outside_front_cells] == pytest.approx(exact[outside_front_cells], abs=0.2)


def test_narrower_ranges_approach_the_sharp_front():
    exact = REFERENCE[-1][1]
    wide, narrow, narrower = (
        abs(reference_run(width=width).frozen_depth(7200.0) / exact - 1.0) for width in (4.0, 1.0, SHARP)
    )
    # A range of 4 K about the freezing point is an eighth of the 34 K between it and the wall and moves the front by
    # more than the tolerance of the sharp checks; 0.1 K does not: what is left there is the grid.
    assert wide > 5e-3
    assert narrow < wide / 2
    assert narrower < 1e-3


# --- three zones ----------------------------------------------------------------------------------------

# Parameters as published with an open soil-freezing code for its comparison with Lunardini's solution (the first case
# of the InterFrost benchmark); roots and fronts recomputed independently to six digits.
SOIL = functools.partial(
    Zones,
    wall=-6.0,
    liquidus=0.0,
    start=4.0,
    conductivity=(3.462696, 2.939946, 2.417196),
    capacity=(690030.0, 690030.0, 690030.0),
    latent=1680 * 334560 * (0.2 - 0.0782),
)
SOIL_FRONTS = [  # solidus; gamma, psi; liquidus and solidus after 24 h [m]
    (-1.0, 2.060039, 0.137387, 0.249712, 0.180928),
    (-4.0, 1.397316, 0.061727, 0.333797, 0.081290),
]
WAX_ZONES = functools.partial(
    Zones,
    wall=21.0,
    solidus=50.0,
    liquidus=57.0,
    start=75.0,
    conductivity=(0.24, 0.20, 0.16),
    capacity=(850 * 2100.0, 850 * 2200.0, 850 * 2300.0),
    latent=850 * 180e3,
)
DAY = 86400.0


@pytest.mark.parametrize(("solidus", "gamma", "psi", "liquidus_at", "solidus_at"), SOIL_FRONTS)
def test_three_zones_with_one_conductivity_of_the_mush_have_the_published_fronts(
    solidus, gamma, psi, liquidus_at, solidus_at
):
    zones = SOIL(solidus=solidus, mush_follows_fraction=False)
    assert zones.roots() == pytest.approx((gamma, psi), abs=TABULATED)
    assert zones.fronts[1] * np.sqrt(DAY) == pytest.approx(liquidus_at, abs=TABULATED)
    assert zones.fronts[0] * np.sqrt(DAY) == pytest.approx(solidus_at, abs=TABULATED)


def test_three_zones_of_the_reference_wax_have_the_tabulated_fronts():
    zones = WAX_ZONES(mush_follows_fraction=False)
    # Eight decimals, and millimetres and watts with four; computed independently.
    assert zones.roots() == pytest.approx((1.60644686, 0.29757525), abs=1e-8)
    assert zones.fronts[0] * 60.0 == pytest.approx(13.0938e-3, abs=6e-8)
    assert zones.fronts[1] * 60.0 == pytest.approx(17.6986e-3, abs=6e-8)
    assert zones.wall_flux(3600.0) == pytest.approx(547.2846, abs=6e-5)


# The mush of the package conducts by its liquid fraction, straight from frozen to liquid, so the published solution
# with one conductivity in the mush can be stated only where frozen and liquid conduct alike. With unlike ones the same
# similarity equation is solved with the straight law (its liquidus is 1.5 to 3.6 % nearer to the wall).
@pytest.mark.parametrize("alike", [True, False], ids=["one conductivity", "by fraction"])
@pytest.mark.parametrize("solidus", [-1.0, -4.0])
def test_soil_freezes_over_a_range_as_the_three_zones_say(solidus, alike):
    if alike:
        zones = SOIL(solidus=solidus, conductivity=(2.939946,) * 3, mush_follows_fraction=False)
    else:
        zones = SOIL(solidus=solidus, mush_follows_fraction=True)
    soil = freeze(
        wax(
            conductivity=(zones.conductivity[0], zones.conductivity[2]),
            heat_capacity=(690.03, 690.03),
            density=1000.0,
            latent_heat=zones.latent / 1000.0,
            freezing=(solidus, 0.0),
        ),
        start=4.0,
        wall=-6.0,
        depth=3.5,  # 6.4 sqrt(alpha t) after a day
        horizon=DAY,
        cells=200,
    )
    z, found = soil.result.grid.z, soil.at(DAY)[:, 0]
    # 0.03 K and 1 mm: stated; the fronts lie in cells of 2 to 8 mm and are read between their middles.
    assert found == pytest.approx(zones.temperature(z, DAY), abs=0.03)
    assert np.interp(solidus, found, z) == pytest.approx(zones.fronts[0] * np.sqrt(DAY), abs=1e-3)
    assert np.interp(0.0, found, z) == pytest.approx(zones.fronts[1] * np.sqrt(DAY), abs=1e-3)
    if solidus == -1.0 and not alike:
        # A narrow mush is little changed by the law of its conductivity: the published field and solidus hold as well.
        published = SOIL(solidus=solidus, mush_follows_fraction=False)
        assert found == pytest.approx(published.temperature(z, DAY), abs=0.03)
        assert np.interp(solidus, found, z) == pytest.approx(SOIL_FRONTS[0][4], abs=1e-3)


def test_reference_wax_freezes_over_its_range_as_the_three_zones_say():
    zones = WAX_ZONES(mush_follows_fraction=True)
    cooling = freeze(reference_wax((50.0, 57.0)), start=75.0, wall=21.0, depth=0.11, horizon=3900.0, cells=200)
    z, found = cooling.result.grid.z, cooling.at(3600.0)[:, 0]
    # 0.5 %, 0.3 % and 0.2 K as for the sharp front.
    assert np.interp(50.0, found, z) == pytest.approx(zones.fronts[0] * 60.0, rel=5e-3)
    assert np.interp(57.0, found, z) == pytest.approx(zones.fronts[1] * 60.0, rel=5e-3)
    assert cooling.lost("wall", 3600.0) / 7200.0 == pytest.approx(zones.wall_flux(3600.0), rel=3e-3)
    assert found == pytest.approx(zones.temperature(z, 3600.0), abs=0.2)
    # With one conductivity of 0.20 W/m/K in the mush, the mean of the two, the frozen side is the same within 0.5 %.
    assert np.interp(50.0, found, z) == pytest.approx(13.0938e-3, rel=5e-3)
    assert cooling.lost("wall", 3600.0) / 7200.0 == pytest.approx(547.2846, rel=3e-3)

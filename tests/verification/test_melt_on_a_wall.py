"""A melt poured on a thick cold wall: the two meet at one temperature and stay there while a layer freezes.

Frozen layer, melt and wall are all deep, so everything goes with x/sqrt(t). Iron on copper is problem 2.6 of
Ghosh & Mallik, Manufacturing Science (data published); its answers, and those for wax on glass, were computed
independently. (The 982 °C quoted elsewhere in that book for the first does not satisfy its own equations.)
"""

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erf, erfc

from coolsim.model.materials import Wax
from coolsim.model.problem import Accuracy
from coolsim.studies.verify.problems import Layer, column, inert, reference_wax, run, wax

WIDTH = 0.1  # range that stands for the freezing point [K]


@dataclass(frozen=True, kw_only=True)
class Pour:
    """A melt that freezes at one temperature, and the wall it is poured on (k, rho c)."""

    metal: Wax
    freezes: float
    start: float
    wall: tuple[float, float]
    wall_start: float

    @property
    def solid(self):
        return self.metal.conductivity_solid, self.metal.density * self.metal.heat_capacity_solid

    @property
    def liquid(self):
        return self.metal.conductivity_liquid, self.metal.density * self.metal.heat_capacity_liquid

    def interface(self, lam):
        """Temperature that lets as much heat into the wall as comes out of a frozen layer 2 lam sqrt(alpha t)."""
        into, out = effusivity(self.wall), effusivity(self.solid) / erf(lam)
        return (into * self.wall_start + out * self.freezes) / (into + out)

    def root(self):
        """Solve the balance at the front for lam."""
        solid, liquid = (k / c for k, c in (self.solid, self.liquid))

        def balance(lam):
            out = effusivity(self.solid) * (self.freezes - self.interface(lam)) * np.exp(-(lam**2)) / erf(lam)
            ratio = np.sqrt(solid / liquid)
            superheat = self.start - self.freezes
            reaching = effusivity(self.liquid) * superheat * np.exp(-((lam * ratio) ** 2)) / erfc(lam * ratio)
            return (out - reaching) / np.sqrt(np.pi) - self.metal.density * self.metal.latent_heat * lam * np.sqrt(
                solid
            )

        return brentq(balance, 1e-6, 3.0, xtol=1e-14)

    def front(self, time):
        return 2 * self.root() * np.sqrt(self.solid[0] / self.solid[1] * time)


def effusivity(material):
    return np.sqrt(material[0] * material[1])


IRON = Pour(
    metal=wax(
        conductivity=(83.0, 83.0),
        heat_capacity=(670.0, 670.0),
        density=7850.0,
        latent_heat=272e3,
        freezing=(1540.0 - WIDTH, 1540.0),
    ),
    freezes=1540.0,
    start=1540.0,
    wall=(398.0, 8960.0 * 376.0),
    wall_start=28.0,
)
ON_GLASS = Pour(
    metal=reference_wax((55.0 - 0.5 * WIDTH, 55.0 + 0.5 * WIDTH)),
    freezes=55.0,
    start=75.0,
    wall=(1.0, 2.0e6),
    wall_start=21.0,
)


def poured(pour, *, time, wall_depth, melt_depth, melt=None):
    """Run a pour on a wall and return it with the temperature between the two."""
    problem = column(
        [
            Layer(
                part="wall",
                material=inert(*pour.wall),
                length=wall_depth,
                cells=100,
                start=pour.wall_start,
                finer="end",
                stretch=40.0,
            ),
            Layer(
                part="melt",
                material=melt or pour.metal,
                length=melt_depth,
                cells=120,
                start=pour.start,
                finer="start",
                stretch=30.0,
            ),
        ],
        boundaries=(),
        horizon=time,
        # A ten-thousandth of the difference, and a first step that the thinnest cells can follow.
        accuracy=Accuracy(tolerance=1e-3 * (pour.start - pour.wall_start), first_step=1e-6 * time),
    )
    done = run(problem)
    grid, field = done.result.grid, done.at(time)[:, 0]
    below, above = 99, 100
    height = np.diff(grid.z_edges)
    k_above = melt.conductivity if melt else pour.solid[0]
    from_below, to_above = 2 * pour.wall[0] / height[below], 2 * k_above / height[above]
    return done, (from_below * field[below] + to_above * field[above]) / (from_below + to_above)


def test_iron_on_copper_has_the_root_and_interface_of_the_data():
    assert IRON.root() == pytest.approx(0.81625, abs=6e-6)  # five decimals
    assert IRON.interface(IRON.root()) == pytest.approx(680.5, abs=0.06)  # one decimal


def test_iron_freezes_on_a_copper_block_as_the_similarity_solution_says():
    done, between = poured(IRON, time=10.0, wall_depth=0.25, melt_depth=0.03)
    # 0.5 % of the front, as for every sharp front. 2 K between them: the same share, 0.15 %, of the 1512 K as the
    # 0.2 K (of 54 K) allowed for wax.
    assert done.frozen_depth(10.0) == pytest.approx(IRON.front(10.0), rel=5e-3)
    assert between == pytest.approx(680.5, abs=2.0)


def test_wax_on_glass_has_the_tabulated_interface_and_front():
    root = ON_GLASS.root()
    assert ON_GLASS.interface(root) == pytest.approx(44.641, abs=6e-4)  # three decimals
    assert ON_GLASS.front(60.0) == pytest.approx(1.0321e-3, abs=6e-8)  # millimetres with four


def test_wax_freezes_on_thick_glass_as_the_similarity_solution_says():
    done, between = poured(ON_GLASS, time=60.0, wall_depth=0.04, melt_depth=0.017)
    assert done.frozen_depth(60.0) == pytest.approx(1.0321e-3, rel=5e-3)  # 0.5 %, as for every sharp front
    assert between == pytest.approx(44.641, abs=0.2)  # 0.2 K, as for every temperature at a sharp front


def test_melt_that_does_not_freeze_meets_the_glass_at_the_contact_temperature():
    # Effusivities weigh the two temperatures: 36.304 °C, three decimals, computed independently.
    hot, cold = effusivity(ON_GLASS.liquid), effusivity(ON_GLASS.wall)
    exact = (hot * 75.0 + cold * 21.0) / (hot + cold)
    assert exact == pytest.approx(36.304, abs=6e-4)
    done, between = poured(ON_GLASS, time=60.0, wall_depth=0.04, melt_depth=0.017, melt=inert(*ON_GLASS.liquid))
    # 0.02 K: smooth on either side, so the error is that of second order in cells, far below the 0.2 K of a front.
    assert between == pytest.approx(exact, abs=0.02)
    z, field = done.result.grid.z - 0.04, done.at(60.0)[:, 0]
    wall, melt = (2 * np.sqrt(k / c * 60.0) for k, c in (ON_GLASS.wall, ON_GLASS.liquid))
    profile = np.where(
        z < 0,
        21.0 + (exact - 21.0) * erfc(np.maximum(-z, 0.0) / wall),
        75.0 - (75.0 - exact) * erfc(np.maximum(z, 0.0) / melt),
    )
    assert field == pytest.approx(profile, abs=0.02)

"""The stratified melt against what was seen in a cylinder of liquid with a free surface.

Source: Evans, L. B., Reid, R. C. and Drake, E. M. (1968), Transient natural convection in a vertical cylinder, AIChE
Journal, March 1968 (abstract read). A cylinder partially filled with mixtures of water and glycerine, with uniform heat
flux at its wall, Prandtl numbers 2 to 8000, one to three times as deep as wide. Three regions: a thin layer that rises
along the wall, a region at the top where it mixes, and a core that falls slowly in plug flow, whose temperature varies
in the vertical but not in the horizontal direction. What was computed so agreed with the thermocouples.

Melt of wax has a Prandtl number of some 200. Cooled at its wall it does the same upside down.
"""

import functools

import numpy as np
import pytest

from coolsim.model.problem import Accuracy, Boundary, Melt, Problem
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.freezing_problems import CONDUCTION, made_up_wax, one_block

# Liquid at every temperature here; as in `test_resolved_melt.py`.
WAX = made_up_wax(
    freezing=(35.0, 45.0), conductivity_solid=0.22, conductivity_liquid=0.165, density=880.0, latent_heat=130e3
)
RADIUS, CELLS, SECONDS = 0.034, 16, 1800.0
START = 75.0
CORE = 0.85  # of the radius; the layer at the wall of a jar is some millimetres thick


@functools.cache
def run(flux, depth, *, stirs=True):
    """Liquid of a depth in diameters with a flux through its wall [W/m2], every other face insulated."""
    result = simulate(
        Problem(
            section=one_block(
                WAX,
                radius=RADIUS,
                height=2.0 * depth * RADIUS,
                radial_cells=CELLS,
                axial_cells=2 * CELLS * depth,
                start=START,
            ),
            boundaries=(Boundary(name="side", part="wax", facing="outwards", flux=flux),),
            room=START,
            melt=Melt() if stirs else CONDUCTION,
            accuracy=Accuracy(tolerance=0.1),
            horizon=SECONDS,
            stop_when_cool=False,
        )
    )
    assert result.ledger.closed
    return result


def core(result, time=SECONDS):
    """Temperatures of the core, from the floor up and from the axis outwards [°C]."""
    return result.temperature_map(time)[:, result.wax.r < CORE * RADIUS]


CASES = [(flux, depth) for flux in (100.0, -60.0) for depth in (1, 3)]


@pytest.mark.parametrize(("flux", "depth"), CASES)
def test_core_varies_with_height_and_not_with_radius(flux, depth):
    temperatures = core(run(flux, depth))
    across = np.ptp(temperatures, axis=1)
    # The melt settles within 90 s, in which a flux at the wall drives wall and core apart a little.
    assert across.max() < 0.1 * np.ptp(temperatures)
    assert (np.diff(temperatures.mean(axis=1)) > 0.0).all()


@pytest.mark.parametrize(("flux", "depth"), CASES)
def test_what_the_wall_heats_ends_up_on_top_and_what_it_cools_on_the_floor(flux, depth):
    change = core(run(flux, depth)).mean(axis=1) - START
    mean = 2.0 * flux * SECONDS / (RADIUS * WAX.density * WAX.heat_capacity_liquid)
    assert run(flux, depth).mean_wax_temperature()[-1] - START == pytest.approx(mean, rel=1e-6)
    first, last = (change[-1], change[0]) if flux > 0.0 else (change[0], change[-1])
    assert first / mean > 1.2
    assert last / mean < 0.8


@pytest.mark.parametrize(("flux", "depth"), CASES)
def test_the_far_end_of_the_core_changes_last(flux, depth):
    # Heated, the core falls, and each height gets what was above it; cooled, it rises.
    heights = np.array([core(run(flux, depth), time).mean(axis=1) for time in np.arange(0.0, SECONDS + 1.0, 300.0)])
    steps = np.sign(flux) * np.diff(heights, axis=0)
    assert (steps > 0.0).all()
    early = steps[0] if flux < 0.0 else steps[0][::-1]
    assert early[0] > 2.0 * early[-1]


@pytest.mark.parametrize("flux", [100.0, -60.0])
def test_a_melt_that_only_conducts_does_the_opposite(flux):
    # So the tests above can fail: rings round the wall, the same at every height.
    temperatures = core(run(flux, 1, stirs=False))
    assert np.ptp(temperatures, axis=1).min() > 0.99 * np.ptp(temperatures)

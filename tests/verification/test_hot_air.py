"""Hot air on a set top against closed forms, and against what everybody sees who has done it."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erf, erfc, erfcx

from coolsim.model.hot_air import TOP, HotAir, under_hot_air
from coolsim.model.problem import Accuracy, Boundary, with_stirred_wax
from coolsim.model.section import Span
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.repair.melted_top import melted_depth
from coolsim.studies.repair.repair import repair
from coolsim.studies.verify.problems import UNIT_AREA, Layer, cylinder, reference_wax
from tests.support.pair import closed_pair

CONDUCTIVITY, CAPACITY, START = 0.24, 850.0 * 2100.0, 21.0  # of the frozen reference wax
DEPTH, CELLS = 0.03, 120


def column(hot, *, clear, seconds, width=0.5):
    """A column of frozen wax, heated from above, that is 30 mm deep: 60 s of heat do not reach its floor."""
    wax = replace(reference_wax((clear - 5.0 - width, clear - 5.0)), clear_point=clear)
    problem = cylinder(
        [Layer(part="wax", material=wax, length=UNIT_AREA, cells=1, start=START)],
        axial=(Span(name="height", length=DEPTH, cells=CELLS, finer="end", stretch=20.0),),
        boundaries=(Boundary(name=TOP, part="wax", facing="up", film=5.0),),
        horizon=seconds,
        room=START,
        accuracy=Accuracy(tolerance=0.02, first_step=0.01, longest_step=0.5),
    )
    result = simulate(with_stirred_wax(under_hot_air(problem, hot)))
    assert result.ledger.closed
    return result


def test_below_the_clear_point_it_is_a_half_space_under_a_film():
    # Conduction into a half-space whose surface has a film (textbook, from memory): with H = h sqrt(alpha t)/k,
    # (T - T0)/(Tair - T0) = erfc(s) - exp(2 s H + H^2) erfc(s + H), s = x/(2 sqrt(alpha t)).
    hot = HotAir(air=120.0, film=40.0, stirring=1.0)
    result = column(hot, clear=115.0, seconds=60.0)
    alpha, time = CONDUCTIVITY / CAPACITY, result.time[-1]
    biot = hot.film * np.sqrt(alpha * time) / CONDUCTIVITY
    for depth in (0.2e-3, 1e-3, 3e-3, 6e-3):
        s = depth / (2.0 * np.sqrt(alpha * time))
        share = erfc(s) - np.exp(-(s**2)) * erfcx(s + biot)
        expected = START + (hot.air - START) * share
        # 0.2 K of a rise of 60 K: cells of 0.1 mm, steps that err by 0.02 K each.
        assert result.temperature_at(0.0, DEPTH - depth)[-1] == pytest.approx(expected, abs=0.2)


def neumann(air, clear, latent):
    """Front X = 2 lam sqrt(alpha_l t) of melting from a wall, two regions (Neumann's solution, textbook)."""
    liquid, solid = 0.16 / (850.0 * 2300.0), CONDUCTIVITY / CAPACITY
    ratio = np.sqrt(liquid / solid)

    def balance(x):
        given = 0.16 * (air - clear) * np.exp(-x * x) / (erf(x) * np.sqrt(liquid))
        taken = CONDUCTIVITY * (clear - START) * np.exp(-((x * ratio) ** 2)) / (erfc(x * ratio) * np.sqrt(solid))
        return given - taken - x * np.sqrt(np.pi * liquid) * 850.0 * latent

    return 2.0 * brentq(balance, 1e-6, 3.0) * np.sqrt(liquid)


def test_wax_melts_at_its_clear_point_as_neumann_says():
    result = column(HotAir(air=150.0, film=1e6, stirring=1.0), clear=60.0, seconds=60.0)
    # On heating the curve lies 5 K higher than on cooling: a front at 55 °C would be 9 % deeper.
    expected = neumann(150.0, 60.0 - 0.25, 180e3) * np.sqrt(result.time)
    depth = melted_depth(result)[:, 0]
    late = result.time > 10.0
    # 1 %: a range of 0.5 K for a point, sensible heat at the colder freezing point (5 K of 200 J/kg/K in 180 kJ/kg).
    # Another 1.5 %: what runs is counted, and within a cell the heat is taken as straight across the front.
    assert depth[late] == pytest.approx(expected[late], rel=0.025)


def test_a_melt_that_is_stirred_melts_deeper_and_stays_colder():
    still, stirred = (column(HotAir(stirring=one), clear=60.0, seconds=40.0, width=8.0) for one in (1.0, 5.0))
    assert melted_depth(stirred)[-1, 0] > 1.1 * melted_depth(still)[-1, 0]
    top = DEPTH - 0.1e-3
    assert stirred.temperature_at(0.0, top)[-1] < still.temperature_at(0.0, top)[-1] - 5.0


@pytest.fixture(scope="module")
def tumbler():
    return repair(with_overrides(closed_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"}))


def test_a_minute_melts_a_few_millimetres(tumbler):
    # Common practice, no source: a few millimetres in tens of seconds, and a jar that cannot be held by its rim then.
    half, whole = (np.interp(time, tumbler.seconds, 1e3 * tumbler.depth_in_middle) for time in (30.0, 60.0))
    assert 1.0 < half < whole < 5.0
    assert tumbler.touch < 30.0


def test_a_pit_that_was_melted_sets_flat_within_half_an_hour_and_cools_for_an_hour(tumbler):
    # Common practice, no source: melted deep enough to run, the top sets level.
    assert tumbler.verdict == "a pit at the wick"
    assert tumbler.after.verdict == "flat"
    assert max(tumbler.after.touchable_after, tumbler.after.set_after) < 1800.0 < tumbler.after.cool_after


def test_glass_at_the_rim_warms_like_a_corner_under_a_film():
    # A corner heated on both faces is the product of two half-spaces (textbook, from memory): the missing share of its
    # temperature is that of a half-space, squared. Glass of the catalogue: k 1.0 W/m/K, rho c 2500 x 840 J/m3/K.
    fine = repair(closed_pair()[0])
    glass, hot = fine.scenario.jar.vessel.material, fine.hot_air
    alpha = glass.conductivity / (glass.density * glass.heat_capacity)
    time = 10.0
    biot = hot.on_glass * hot.film * np.sqrt(alpha * time) / glass.conductivity
    expected = hot.air - (hot.air - START) * erfcx(biot) ** 2
    # 4 K: after 10 s the heat is 4 mm deep, in a wall of 3.5 mm and half cells of 2 mm.
    assert np.interp(time, fine.seconds, fine.rim) == pytest.approx(expected, abs=4.0)

"""A jar in a water bath: the water against the reference equation of state, the films, the level on the wall."""

from dataclasses import replace

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from coolsim import WaterBath, load_results, save_results, simulate, with_overrides
from coolsim.errors import MaterialError
from coolsim.model.films import film_on_face_down, film_on_upright_wall
from coolsim.model.layout import problem_of
from coolsim.model.section import Span
from coolsim.model.water import WATER_HIGHEST, WATER_LOWEST, water
from tests.support.pair import closed_pair

IN_WATER = with_overrides(
    closed_pair()[0],
    {
        "support": {"kind": "rack"},
        "surround": {"kind": "water", "temperature": "15 °C"},
        "run.refinement": 0.5,
        "run.tolerance": "1 K",
    },
)
# Foot to wax, and rim.
LEVEL, RIM = IN_WATER.jar.vessel.base + IN_WATER.jar.depth, IN_WATER.jar.vessel.height


@pytest.fixture(scope="module")
def cooled():
    return simulate(IN_WATER.jar)


def at_depth(depth):
    return replace(IN_WATER.jar, water=WaterBath(temperature=15.0, depth=depth))


@pytest.mark.parametrize("temperature", [10.0, 20.0, 40.0, 60.0, 80.0, 99.0])
def test_water_agrees_with_the_reference_equation_of_state(temperature):
    def reference(key):
        return PropsSI(key, "T", temperature + 273.15, "P", 101325.0, "Water")

    found = water(temperature)
    assert found.density == pytest.approx(reference("D"), rel=0.001)
    # As the docstring says: a constant heat capacity is 0.6 % off at boiling, the fit of the expansion 1.5 %.
    assert found.heat_capacity == pytest.approx(reference("C"), rel=0.015)
    assert found.conductivity == pytest.approx(reference("L"), rel=0.015)
    assert found.kinematic_viscosity == pytest.approx(reference("V") / reference("D"), rel=0.015)
    assert found.expansion == pytest.approx(reference("isobaric_expansion_coefficient"), rel=0.02)


def test_water_that_is_ice_or_steam_is_refused():
    for temperature in (WATER_LOWEST - 0.1, WATER_HIGHEST + 0.1):
        with pytest.raises(MaterialError, match="the properties of water hold"):
            water(temperature)


def mean_size_of_the_expansion(mean, difference):
    at = mean + difference * (np.arange(1000) - 499.5) / 1000
    return np.mean([water(float(one)).expansion for one in at])


@pytest.mark.parametrize(("mean", "difference"), [(4.0, 2.0), (4.0, 8.0), (6.0, 12.0), (3.0, 8.0), (10.0, 20.0)])
def test_a_film_on_both_sides_of_4_degrees_moves_by_the_mean_size_of_its_expansion(mean, difference):
    # The slope of the density is taken as straight: within 2 % up to 20 K.
    found = water(mean, difference).expansion
    assert found == pytest.approx(mean_size_of_the_expansion(mean, difference), rel=0.02)


@pytest.mark.parametrize(("mean", "difference"), [(10.0, 8.0), (40.0, 60.0), (1.0, 4.0)])
def test_a_film_on_one_side_of_4_degrees_moves_by_the_expansion_in_its_middle(mean, difference):
    assert water(mean, difference) == water(mean)


def test_the_film_of_a_tall_wall_grows_without_a_jump_where_its_flow_becomes_turbulent():
    # Ra = 1e9 at 4 K: with a jump there a thin wall in a deep bath has no temperature to settle at.
    warmer = np.linspace(52.0, 61.0, 901)
    films = np.array([film_on_upright_wall(float(one), 51.0, height=0.25, fluid=water) for one in warmer])
    growth = films[1:] / films[:-1]
    assert growth.min() > 1.0
    assert growth.max() < 1.01


def test_still_water_takes_the_heat_of_a_wall_some_hundred_times_as_well_as_air():
    in_air, in_water = (film_on_upright_wall(25.0, 15.0, height=0.067, **how) for how in ({}, {"fluid": water}))
    # Nusselt number of Churchill & Chu, put down by hand: Ra 5.6e7, Pr 7.05, 50.2.
    assert in_water == pytest.approx(50.2 * 0.598 / 0.067, rel=0.02)  # rounded properties
    assert 50.0 < in_water / in_air < 200.0


def test_what_is_under_water_has_its_film_and_no_radiation_and_what_is_above_the_air():
    laws = {one.name: one for one in problem_of(at_depth(0.05)).boundaries}
    side, base, dry = laws["glass under water"], laws["underside"], laws["glass outside"]
    assert side.film(30.0, 15.0) == film_on_upright_wall(30.0, 15.0, height=0.05, diameter=0.078, fluid=water)
    assert base.film(30.0, 15.0) == film_on_face_down(30.0, 15.0, diameter=0.078, fluid=water)
    assert (side.air, side.emissivity, base.air, base.emissivity) == (15.0, 0.0, 15.0, 0.0)
    assert dry.emissivity == IN_WATER.jar.vessel.emissivity
    assert (side.spans, dry.spans) == (("base", "wax"), ("over the water", "headspace"))


def test_a_film_that_is_stated_is_that_of_side_and_base():
    stated = problem_of(with_overrides(IN_WATER, {"surround.film": "900 W/m2K"}).jar)
    assert [one.film for one in stated.boundaries if one.air == 15.0] == [900.0, 900.0]


def test_a_bath_left_at_its_default_reaches_the_level_of_the_wax_and_cuts_no_cells(cooled):
    assert IN_WATER.jar.water.depth == LEVEL
    assert "over the water" not in cooled.grid.axial_span
    assert cooled.held[0].top == LEVEL


@pytest.mark.parametrize("depth", [0.004, 0.03, LEVEL - 0.003, LEVEL + 0.004, RIM])
def test_cells_end_at_the_level_wherever_it_is(depth):
    result = simulate(at_depth(depth))
    assert np.abs(result.grid.z_edges - depth).min() < 1e-12
    assert result.ledger.closed
    assert result.wax.z_edges[-1] == pytest.approx(IN_WATER.jar.depth)


def test_the_deeper_the_bath_the_sooner_the_jar_is_fully_set(cooled):
    half = simulate(at_depth(0.5 * LEVEL))
    bare = simulate(with_overrides(closed_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar)
    assert cooled.events.fully_set < half.events.fully_set < bare.events.fully_set


def test_hot_water_keeps_the_wax_melted():
    result = simulate(with_overrides(IN_WATER, {"surround.temperature": "80 °C", "run.horizon": "2 h"}).jar)
    assert result.events.fully_set is None
    # The base is hotter than the pour after two hours.
    assert result.temperature_at(0.0, 0.001)[-1] > IN_WATER.jar.pour


def test_parts_of_a_span_keep_the_widths_of_its_cells():
    for finer in ("end", "start", "evenly"):
        whole = Span(name="wax", length=0.06, cells=48, finer=finer, stretch=12.0)
        # On an edge of the whole no width changes at all.
        edge = float(whole.edges()[19])
        lower, upper = whole.parted(edge, name="rest")
        joined = [*lower.edges(), *(edge + upper.edges()[1:])]
        assert joined == pytest.approx(whole.edges(), abs=1e-12)


def test_a_jar_in_water_in_a_box_on_a_bench_or_under_the_water_is_no_problem_to_run():
    bare, boxed = (one.jar for one in closed_pair())
    for jar in (replace(bare, water=IN_WATER.jar.water), replace(boxed, water=IN_WATER.jar.water)):
        with pytest.raises(ValueError, match="a jar in water stands on a rack, without a box"):
            problem_of(jar)
    with pytest.raises(ValueError, match=r"water 90\.0 mm deep stands above the brim"):
        problem_of(at_depth(0.09))


def test_a_wall_that_holds_next_to_nothing_does_not_swing_in_ice_cold_water():
    # Found by random scenarios: the film at 4 °C was that of water that does not move, and the face was thrown from one
    # side of it to the other: 700,000 steps for an hour. It takes some 160.
    foil = {
        "vessel": {
            "material": "of our own",
            "conductivity": "1 W/mK",
            "density": "10 kg/m3",
            "heat_capacity": "0.1 kJ/kgK",
            "diameter": "265 mm",
            "height": "300 mm",
            "wall": "0.15 mm",
            "base": "0.1 mm",
        },
        "pour": {"temperature": "45 °C", "level": "198 mm"},
        "surround.temperature": "0 °C",
        "room.temperature": "0 °C",
        "run.tolerance": "0.2 K",
        "run.horizon": "1 h",
    }
    steps = []

    def count(progress):
        steps.append(progress.time)
        assert len(steps) < 1000, f"still at {progress.time:.0f} s"

    found = simulate(with_overrides(IN_WATER, foil).jar, on_step=count)
    assert found.history.surface.min() > -0.5
    assert found.ledger.closed


def test_a_saved_run_still_knows_the_water(cooled, tmp_path):
    ((_, again),) = load_results(save_results(tmp_path / "water.npz", [(IN_WATER, cooled)]))
    assert again.held == cooled.held

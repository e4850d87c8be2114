"""Wax in a water bath: times against closed forms, what hurries it, and what never melts."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import trapezoid

from coolsim import melt_batch, plan_day, simulate, with_overrides
from coolsim.errors import ScenarioError
from coolsim.model.bath import Bath, fill_of, melting_wax
from coolsim.model.materials import catalogue_wax, liquid_density, viscosity
from coolsim.studies.workshop import melting as module
from coolsim.studies.workshop.preparation import preparation
from tests.support.pair import closed_pair

BASE = with_overrides(closed_pair()[0], {"batch.melt": "900 g"})
WAX = melting_wax(catalogue_wax("soft-vegetable"))


def run(**keys):
    return melt_batch(with_overrides(BASE, {name.replace("__", "."): value for name, value in keys.items()}))


@pytest.fixture(scope="module")
def usual():
    return melt_batch(BASE)


def test_the_film_of_the_melt_is_that_of_an_open_library():
    # `ht`, an open library of heat transfer: Churchill and Chu for an upright plate.
    import ht

    wall, melt, height = 80.0, 60.0, 0.05
    wax = WAX.wax
    density = liquid_density(wax, 70.0)
    kinematic = viscosity(wax, 70.0) / density
    prandtl = kinematic * density * wax.heat_capacity_liquid / wax.conductivity_liquid
    # The library has g = 9.80665 m/s2, this project 9.81: no difference to four digits.
    grashof = 9.81 * wax.expansion_liquid * (wall - melt) * height**3 / kinematic**2
    expected = ht.conv_free_immersed.Nu_vertical_plate_Churchill(prandtl, grashof) * wax.conductivity_liquid / height
    assert WAX.film(wall, melt, height) == pytest.approx(expected, rel=1e-6)


def test_melt_that_warms_in_water_follows_the_exponential_of_a_lumped_body(usual, monkeypatch):
    # Without loss from the top: dT/dt = UA (Tw - T)/(m c), the lumped body of the textbooks.
    monkeypatch.setattr(module, "film_on_face_up", lambda *_, **__: 0.0)
    monkeypatch.setattr(module, "radiation_film", lambda *_, **__: 0.0)
    found = run()
    bath, wax = found.bath, WAX.wax
    wetted = fill_of(bath, WAX, solid=0.0, melt=0.9).wetted
    area = bath.floor + math.pi * bath.diameter * min(wetted, bath.water_depth)
    conductance = area / (1.0 / bath.water_film + 1.0 / bath.stirred_film)
    rate = conductance / (0.9 * wax.heat_capacity_liquid)
    begins = float(np.interp(found.all_melted, found.time, found.temperature))
    time = math.log((85.0 - begins) / (85.0 - bath.oil_at)) / rate
    # The solver keeps to 1e-7; 0.2 % of the wax count as melted when they are not.
    assert found.oil_at - found.all_melted == pytest.approx(time, rel=1e-4)


def test_the_heat_that_went_in_is_what_wax_takes_that_is_melted(usual):
    taken = []
    film = 1.0 / usual.bath.water_film + 1.0 / usual.bath.stirred_film
    melting = usual.time <= usual.all_melted
    for temperature, melted in zip(usual.temperature[melting], usual.melted[melting], strict=True):
        fill = fill_of(usual.bath, WAX, solid=0.9 * (1.0 - melted), melt=0.9 * melted)
        wet = usual.bath.floor + math.pi * usual.bath.diameter * min(fill.wetted, usual.bath.water_depth)
        dry = math.pi * usual.bath.diameter * max(min(fill.level, usual.bath.water_depth) - fill.wetted, 0.0)
        contact = 1.0 / usual.bath.water_film + 1.0 / usual.bath.contact
        taken.append(wet * (85.0 - temperature) / film + dry * (85.0 - WAX.clear) / contact)
    heat = trapezoid(taken, usual.time[melting])
    end = float(usual.temperature[melting][-1])
    needed = 0.9 * (WAX.to_clear(21.0) + WAX.wax.heat_capacity_liquid * (end - WAX.clear))
    # Traces of 0.2 % at the beginning and at the end, and 241 points of a curve that is steep at first.
    assert heat == pytest.approx(needed, rel=0.01)


def test_the_way_down_without_air_would_last_and_in_it_follows_its_own_rate(usual):
    down = usual.time > usual.oil_at
    temperature, time = usual.temperature[down], usual.time[down]
    assert temperature[-1] == pytest.approx(usual.scenario.jar.pour)
    assert (np.diff(temperature) < 0.0).all()
    # Some 1 K a minute: a litre of wax in a jug that stands in a room (common practice, no source).
    assert 0.4 < (temperature[0] - temperature[-1]) / (time[-1] - time[0]) * 60.0 < 1.5


def test_nine_hundred_grams_take_about_an_hour():
    # Common practice, no source: water heated with the pitcher in it, stirred now and then, so more than never and less
    # than all the time.
    slow = [["0 min", "20 °C"], ["25 min", "85 °C"]]
    always, never = (run(melting__water=slow, melting__stirring=stirring).oil_at / 60.0 for stirring in (True, False))
    assert 40.0 < always < 60.0 < never < 100.0


def test_flakes_take_the_heat_of_their_stable_form(usual):
    # From 21 °C to the clear point: heat capacity, and what of the heat of melting is not melted in a room.
    wax = catalogue_wax("soft-vegetable")
    solid = 1.0 - float(np.interp(21.0, *np.array(wax.melting).T))
    needed = 2000.0 * (wax.clear_point - 21.0) + solid * wax.melting_heat
    # 2 %: the heat capacity of mush lies between those of solid and liquid, 5 % apart.
    assert WAX.to_clear(21.0) == pytest.approx(needed, rel=0.02)
    assert run(wax__melting_heat="128 kJ/kg").all_melted < 0.9 * usual.all_melted


def test_times_run_forwards_and_all_melts(usual):
    assert 0.0 < usual.all_melted < usual.oil_at < usual.stirred < usual.pour
    assert usual.melted[0] < 0.01
    assert usual.melted[-1] == 1.0
    assert (np.diff(usual.melted) >= 0.0).all()
    # Flakes heap up higher than their melt stands.
    assert usual.level[0] > 1.5 * usual.level[-1]
    # The cold oil cools the wax: the mix of two bodies, by hand.
    oil = usual.oil * usual.bath.oil_heat_capacity
    wax = 0.9 * WAX.wax.heat_capacity_liquid
    assert usual.after_oil == pytest.approx((wax * 75.0 + oil * 21.0) / (wax + oil), abs=1e-3)


def test_what_hurries_it_and_what_does_not(usual):
    assert run(melting__stirring=False).all_melted > 1.5 * usual.all_melted
    assert run(melting__water="95 °C").all_melted < usual.all_melted
    assert run(melting__water_depth="20 mm").all_melted > usual.all_melted
    assert run(melting__start="30 °C").all_melted < usual.all_melted
    assert run(batch__melt="500 g").all_melted < usual.all_melted


def test_melt_that_is_not_stirred_gets_hotter_than_its_last_flakes():
    found = run(melting__stirring=False)
    assert found.temperature.max() > found.bath.oil_at + 1.0
    assert "stir while it melts" in found.warnings[0]


def test_water_follows_its_rows():
    bath = Bath(water=((60.0, 20.0), (660.0, 80.0)))
    assert [bath.at(time) for time in (0.0, 60.0, 360.0, 660.0, 9000.0)] == [20.0, 20.0, 50.0, 80.0, 80.0]


def test_melt_fills_the_air_between_the_flakes_first():
    bath = replace(Bath(), stirring=False)
    dry, half, full = (fill_of(bath, WAX, solid=1.0 - share, melt=share) for share in (0.0, 0.2, 1.0))
    assert dry.wetted == 0.0
    assert dry.level == pytest.approx(1.0 / WAX.wax.density_solid / 0.55 / bath.floor)
    # 45 % of what lies between the wall and the flakes is free for the melt; all above it is dry.
    melt = 0.2 / liquid_density(WAX.wax, WAX.clear) / bath.floor
    assert half.wetted == pytest.approx(melt / 0.45)
    assert half.level == pytest.approx(0.8 / WAX.wax.density_solid / 0.55 / bath.floor)
    assert half.wetted < half.level < dry.level
    assert full.wetted == full.level == pytest.approx(1.0 / liquid_density(WAX.wax, WAX.clear) / bath.floor)
    assert full.heap == 0.0


def test_a_scenario_with_the_table_plans_its_day_by_it():
    stated = with_overrides(
        BASE, {"melting.water": "85 °C", "run.refinement": 0.5, "run.tolerance": "1 K", "pour.clock": "16:00"}
    )
    found = melt_batch(stated)
    before = preparation(stated)
    assert (before.melted, before.oil, before.pour) == (found.all_melted, found.oil_at, found.pour)
    assert before.computed
    assert "melted" in [step.name for step in plan_day(stated, simulate(stated.jar)).steps]
    # One's own watch knows better.
    assert not preparation(with_overrides(stated, {"plan.melting": "50 min"})).computed
    assert preparation(BASE).estimated


@pytest.mark.parametrize(
    ("overrides", "told"),
    [
        ({"melting.water": "49 °C"}, "it never melts. Give hotter water"),
        ({"melting.oil_at": "48 °C", "pour.temperature": "47 °C"}, "not above the clear point"),
        ({"melting.water": [["0 min", "95 °C"], ["30 min", "70 °C"]]}, "the wax never gets there"),
        ({"wax.highest_temperature": "70 °C"}, "above wax.highest_temperature"),
        ({"batch.melt": "2 kg"}, r"Give a larger pitcher, or melt at most \d+ g at once"),
        ({"melting.oil_at": "66 °C"}, "less than the pour at 65 °C"),
        ({"batch": None}, "batch: missing"),
        ({"batch.flash_point": "80 °C"}, "flash point"),
        ({"melting.water": [["10 min", "85 °C"], ["5 min", "20 °C"]]}, "out of order"),
        ({"melting.water": [["10 min"]]}, "row 1: found"),
        ({"melting.water": []}, "1 to 24 rows"),
    ],
)
def test_what_cannot_be_is_refused_in_words(overrides, told):
    with pytest.raises(ScenarioError, match=told):
        melt_batch(with_overrides(BASE, overrides))

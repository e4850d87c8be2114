"""Dry air against the reference equation of state, and the edges of its range."""

import math

import pytest
from CoolProp.CoolProp import PropsSI

from coolsim.errors import MaterialError
from coolsim.model.air import AIR_HIGHEST, AIR_LOWEST, dry_air, rayleigh_number

ONE_ATMOSPHERE = 101325.0


@pytest.mark.parametrize("temperature", [-30.0, -10.0, 0.0, 20.0, 40.0, 60.0, 100.0, 150.0, 200.0, 250.0])
def test_air_agrees_with_the_reference_equation_of_state(temperature):
    # 0.5 %: the film laws themselves are good to 5 to 15 %. What is left out (pressure terms) is largest,
    # 0.49 %, for the expansion coefficient at -30 °C.
    def reference(key):
        return PropsSI(key, "T", temperature + 273.15, "P", ONE_ATMOSPHERE, "Air")

    density, heat_capacity = reference("D"), reference("C")
    conductivity, viscosity = reference("L"), reference("V")
    air = dry_air(temperature)
    assert air.density == pytest.approx(density, rel=0.005)
    assert air.heat_capacity == pytest.approx(heat_capacity, rel=0.005)
    assert air.conductivity == pytest.approx(conductivity, rel=0.005)
    assert air.kinematic_viscosity == pytest.approx(viscosity / density, rel=0.005)
    assert air.diffusivity == pytest.approx(conductivity / density / heat_capacity, rel=0.005)
    assert air.prandtl == pytest.approx(viscosity * heat_capacity / conductivity, rel=0.005)
    assert air.expansion == pytest.approx(reference("isobaric_expansion_coefficient"), rel=0.005)


@pytest.mark.parametrize(
    ("temperature", "density", "conductivity", "kinematic_viscosity", "prandtl"),
    [
        # Values of the reference equation of state (CoolProp), rounded.
        (20.0, 1.2046, 0.02587, 1.511e-5, 0.708),
        (40.0, 1.1274, 0.02735, 1.700e-5, 0.706),
        (60.0, 1.0596, 0.02880, 1.897e-5, 0.703),
    ],
)
def test_air_agrees_with_tabulated_values(temperature, density, conductivity, kinematic_viscosity, prandtl):
    # 0.5 %, as above; the rounding of the table is below 0.1 %.
    air = dry_air(temperature)
    assert air.density == pytest.approx(density, rel=0.005)
    assert air.conductivity == pytest.approx(conductivity, rel=0.005)
    assert air.kinematic_viscosity == pytest.approx(kinematic_viscosity, rel=0.005)
    assert air.prandtl == pytest.approx(prandtl, rel=0.005)


@pytest.mark.parametrize("temperature", [-30.1, 250.1, math.nan, math.inf])
def test_air_outside_its_range_is_refused_with_the_range(temperature):
    with pytest.raises(MaterialError, match="-30 to 250 °C") as caught:
        dry_air(temperature)
    assert isinstance(caught.value, ValueError)


def test_both_ends_of_the_range_belong_to_it():
    assert dry_air(AIR_LOWEST).density > dry_air(AIR_HIGHEST).density


def test_rayleigh_number_agrees_with_the_reference_equation_of_state():
    kelvin = 30.5 + 273.15

    def reference(key):
        return PropsSI(key, "T", kelvin, "P", ONE_ATMOSPHERE, "Air")

    buoyancy = 9.80665 * reference("isobaric_expansion_coefficient") * 19.0 * 0.075**3
    rayleigh = buoyancy * reference("D") ** 2 * reference("C") / (reference("V") * reference("L"))
    # 1 %: three properties of 0.25 % or better enter.
    assert rayleigh_number(40.0, 21.0, length=0.075) == pytest.approx(rayleigh, rel=0.01)


def test_rayleigh_number_does_not_ask_which_side_is_warmer():
    assert rayleigh_number(40.0, 21.0, length=0.075) == rayleigh_number(21.0, 40.0, length=0.075) > 0.0

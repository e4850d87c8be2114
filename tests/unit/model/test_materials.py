import dataclasses
import math
import re

import ht
import numpy as np
import pytest

from coolsim.errors import MaterialError
from coolsim.model import catalogue
from coolsim.model.materials import (
    Inert,
    Wax,
    catalogue_inert,
    catalogue_wax,
    inert_names,
    liquid_density,
    viscosity,
    wax_names,
    with_fragrance,
)

PLAIN = catalogue_wax("soft-vegetable")


def every_value():
    for name, values in {**catalogue.WAXES, **catalogue.INERTS}.items():
        for key, value in values.items():
            yield f"{name}-{key}", value
    for table in (catalogue.EMISSIVITIES, catalogue.FLUTE_HEIGHTS, catalogue.CONTACTS):
        yield from table.items()
    yield "tin-wall", catalogue.TIN_WALL
    yield "fragrance-molar-mass", catalogue.FRAGRANCE_MOLAR_MASS


def test_every_catalogue_value_lies_in_its_range_and_names_its_source_and_unit():
    def holds(value):
        told = value.source.strip() and value.unit.strip()
        if value.low is None or value.high is None:
            return told and value.low is value.high
        return told and value.low <= value.nominal <= value.high and value.low < value.high

    assert [name for name, value in every_value() if not holds(value)] == []


def test_a_value_marked_as_published_names_a_document_or_a_kind_of_table():
    published = {name: value.source for name, value in every_value() if value.mark == "published"}
    assert published
    document = re.compile(r"doi:|\b(19|20)\d\d\b|\btables\b")
    assert [name for name, source in published.items() if not document.search(source)] == []


@pytest.mark.parametrize("name", wax_names())
def test_every_catalogue_wax_can_be_built_and_is_its_nominal_values(name):
    wax = catalogue_wax(name)
    assert wax.name == name
    assert wax.freezing[0][1] == 0.0
    assert wax.freezing[-1][1] == 1.0
    for key, value in catalogue.WAXES.get(name, {}).items():
        # Water has a range for the table, of which the catalogue states the very end.
        found = wax.freezing[0][0] if (name, key) == ("water", "freezing_ends") else getattr(wax, key)
        assert found == value.nominal, key


@pytest.mark.parametrize("name", inert_names())
def test_every_catalogue_inert_can_be_built_and_is_its_nominal_values(name):
    inert = catalogue_inert(name)
    assert inert.name == name
    assert {key: value.nominal for key, value in catalogue.INERTS[name].items()} == {
        "conductivity": inert.conductivity,
        "density": inert.density,
        "heat_capacity": inert.heat_capacity,
    }


@pytest.mark.parametrize(
    ("name", "in_library"),
    [
        ("oak", "Oak"),
        ("plywood", "Wood, plywood 500 kg/m^3"),
        ("particleboard", "Wood, particleboard, 600 kg/m^3"),
        ("steel", "Metals, steel"),
        ("aluminium", "Metals, aluminium alloys"),
        ("granite", "Stone, granite"),
        ("marble", "Stone, marble"),
        ("slate", "Stone, slate"),
        ("glass", "Siding, Architectural (soda-lime float) glass"),
    ],
)
def test_building_materials_are_those_of_the_open_library(name, in_library):
    # ht 1.2 (PyPI), its tables of EN 12524 and ASHRAE values; 1e-9 leaves room for rounding only.
    inert = catalogue_inert(name)
    assert inert.conductivity == pytest.approx(ht.k_material(in_library), rel=1e-9)
    assert inert.density == pytest.approx(ht.rho_material(in_library), rel=1e-9)
    assert inert.heat_capacity == pytest.approx(ht.Cp_material(in_library), rel=1e-9)


def test_vegetable_liquid_density_is_lunds_relation_for_hydrogenated_soybean_oil():
    # Lund as quoted in JAOCS 76:1415 (1999). 0.12 kg/m3: the catalogue has 877 for 876.9.
    def lund(temperature):
        return 912.1 - 0.64 * (temperature - 15.0)

    for temperature in (50.0, 70.0, 90.0):
        assert liquid_density(PLAIN, temperature) == pytest.approx(lund(temperature), abs=0.12)


def test_vegetable_latent_heat_lies_between_alpha_tristearin_and_cocoa_butter():
    # Wesdorp's correlation for the alpha form, 2.39 n - 16.3 kJ/mol, n = 54 carbons in three stearic chains,
    # and the molar mass of tristearin C57H110O6. Cocoa butter 157 kJ/kg: Beckett (ed.) 2009.
    molar_mass = 57 * 12.011 + 110 * 1.008 + 6 * 15.999
    tristearin = (2.39 * 54 - 16.3) * 1e6 / molar_mass
    assert tristearin == pytest.approx(126e3, rel=0.01)  # as quoted, to three digits
    assert tristearin < PLAIN.latent_heat < 157e3


@pytest.mark.parametrize(
    ("name", "temperature", "low", "high"),
    [
        ("soft-vegetable", 60.0, 15e-3, 28e-3),
        ("soft-vegetable", 80.0, 9e-3, 16e-3),
        ("paraffin", 60.0, 3e-3, 7e-3),
        ("paraffin", 80.0, 2e-3, 5e-3),
        ("beeswax", 80.0, 10e-3, 20e-3),
    ],
)
def test_the_viscosity_law_stays_in_the_known_range_at_both_temperatures(name, temperature, low, high):
    # Ranges from memory.
    assert low < viscosity(catalogue_wax(name), temperature) < high


def test_the_viscosity_law_has_its_slope_in_inverse_kelvin():
    # mu(80 °C)/mu(60 °C) = exp[2900 (1/353.15 - 1/333.15)] = 0.6108, worked out by hand to four digits.
    assert viscosity(PLAIN, 80.0) / viscosity(PLAIN, 60.0) == pytest.approx(0.6108, abs=5e-5)


@pytest.mark.parametrize("law", [liquid_density, viscosity])
@pytest.mark.parametrize("temperature", [46.4, 120.1, math.nan])
def test_laws_of_the_liquid_are_refused_outside_the_liquid(law, temperature):
    with pytest.raises(MaterialError, match=r"outside the liquid range of the law, 46\.5 to 120 °C"):
        law(PLAIN, temperature)


@pytest.mark.parametrize("name", ["soft-vegetable", "paraffin", "beeswax", "coconut-blend"])
def test_total_shrinkage_agrees_with_the_two_densities(name):
    # Independent columns of the catalogue, rounded to a percent.
    wax = catalogue_wax(name)
    assert wax.total_shrinkage == pytest.approx(1 - wax.density_liquid / wax.density_solid, abs=0.01)


@pytest.mark.parametrize("name", [name for name in wax_names() if name not in catalogue.NEVER_SETS])
def test_freezing_itself_shrinks_the_wax_beside_its_liquid_and_solid_contraction(name):
    wax = catalogue_wax(name)
    law, starts = wax.volume, wax.freezing_starts
    assert law.as_liquid(starts) - law.as_solid(starts) > 0.01


@pytest.mark.parametrize("curve", [((35.0, 0.0), (45.0, 1.0)), ((5.0, 0.0), (20.0, 0.15), (45.0, 1.0)), PLAIN.freezing])
def test_the_total_shrinkage_is_met_at_20_degrees_whatever_the_curve(curve):
    wax = dataclasses.replace(PLAIN, freezing=curve)
    left = np.array([wax.liquid_at(20.0)])
    # Round-off.
    assert 1.0 / wax.volume.density(np.array([20.0]), left) == pytest.approx(1.0 - wax.total_shrinkage, rel=1e-14)
    assert wax.volume.density(np.array([wax.density_liquid_at]), np.array([1.0])) == pytest.approx(1.0, rel=1e-14)
    # On the way there it contracts all the time.
    temperature = np.linspace(10.0, wax.density_liquid_at, 200)
    liquid = np.interp(temperature, *np.array(curve).T)
    assert (np.diff(wax.volume.density(temperature, liquid)) < 0.0).all()


def test_wax_that_never_freezes_in_the_room_has_the_volume_of_its_liquid():
    oil = dataclasses.replace(PLAIN, freezing=((-20.0, 0.0), (10.0, 1.0)))
    assert oil.volume.as_solid(np.array([20.0])) == oil.volume.as_liquid(np.array([20.0]))


def test_the_thermal_density_is_that_of_the_liquid_halfway_to_freezing():
    assert PLAIN.density == liquid_density(PLAIN, 58.25)


@pytest.mark.parametrize(
    ("name", "median", "latent_heat"),
    [("paraffin-54-narrow", 53.8, 170e3), ("paraffin-55-broad", 53.7, 129e3), ("paraffin-47", 44.0, 133e3)],
)
def test_paraffin_grades_keep_their_measured_curve_and_its_latent_heat(name, median, latent_heat):
    # Barz, Bres & Emhofer 2022, doi:10.3384/ecp19363.
    wax = catalogue_wax(name)
    assert dict(wax.freezing)[median] == 0.5
    assert wax.latent_heat == latent_heat
    assert [fraction for _, fraction in wax.freezing] == [0.0, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 1.0]


def test_a_measured_curve_is_drawn_on_straight_to_its_ends():
    # 49.7 - 48.9 = 0.8 K for the 5 % above 5 %, 56.3 - 55.9 = 0.4 K for the 5 % below 95 %.
    wax = catalogue_wax("paraffin-55-broad")
    assert wax.freezing[0] == pytest.approx((48.1, 0.0))
    assert wax.freezing_ends == 49.7
    assert wax.freezing_starts == pytest.approx(56.7)


def test_fragrance_lowers_the_freezing_range_as_an_ideal_solution():
    # By hand: x = (0.08/0.20)/(0.08/0.20 + 0.92/0.885) = 0.27786, dT = 8.31446 T^2 x/(0.885 L): with 128 kJ/kg
    # 2.0837 K at 46.5 °C and 1.7923 K at 23.3 °C, with the 162 kJ/kg of melting 1.7120 K at 52.8 °C.
    scented = with_fragrance(PLAIN, 0.08)
    assert PLAIN.freezing_starts - scented.freezing_starts == pytest.approx(2.0837, abs=2e-4)
    assert PLAIN.freezing_ends - scented.freezing_ends == pytest.approx(1.7923, abs=2e-4)
    assert PLAIN.clear_point - scented.clear_point == pytest.approx(1.7120, abs=2e-4)


def test_fragrance_does_not_freeze_so_latent_heat_goes_with_the_share_of_wax():
    scented = with_fragrance(PLAIN, 0.10)
    assert scented.latent_heat == pytest.approx(0.9 * PLAIN.latent_heat, rel=1e-15)
    assert scented.melting_heat == pytest.approx(0.9 * PLAIN.melting_heat, rel=1e-15)


def test_fragrance_keeps_the_liquid_fractions_of_a_measured_curve():
    plain = catalogue_wax("paraffin-47")
    scented = with_fragrance(plain, 0.05)
    assert [f for _, f in scented.freezing] == [f for _, f in plain.freezing]


@pytest.mark.parametrize("name", catalogue.PARAFFIN_CURVES)
def test_a_paraffin_with_a_measured_curve_clears_as_far_above_its_start_of_freezing_as_paraffin(name):
    plain, measured = catalogue_wax("paraffin"), catalogue_wax(name)
    lag = plain.clear_point - plain.freezing_starts
    assert measured.clear_point - measured.freezing_starts == pytest.approx(lag, rel=1e-12)
    assert lag > 0.0
    assert measured.latent_heat == catalogue.PARAFFIN_CURVES[name].latent_heat


def test_without_fragrance_the_wax_is_unchanged():
    assert with_fragrance(PLAIN, 0.0) == PLAIN


def test_heavier_oil_lowers_the_freezing_range_less():
    light = with_fragrance(PLAIN, 0.08, molar_mass_oil=0.15)
    heavy = with_fragrance(PLAIN, 0.08, molar_mass_oil=0.25)
    assert light.freezing_starts < heavy.freezing_starts < PLAIN.freezing_starts


def test_a_given_molar_mass_of_the_wax_replaces_its_own():
    changed = dataclasses.replace(PLAIN, molar_mass=0.5)
    assert with_fragrance(PLAIN, 0.08, molar_mass_wax=0.5).freezing == with_fragrance(changed, 0.08).freezing


@pytest.mark.parametrize("load", [-0.01, 0.151, 8.0, math.nan])
def test_a_fragrance_load_outside_its_range_is_refused(load):
    with pytest.raises(MaterialError, match=r"must lie between 0 and 0\.15"):
        with_fragrance(PLAIN, load)


@pytest.mark.parametrize("option", ["molar_mass_wax", "molar_mass_oil"])
@pytest.mark.parametrize("molar_mass", [0.0, -0.2, math.nan, math.inf])
def test_an_impossible_molar_mass_is_refused(option, molar_mass):
    with pytest.raises(MaterialError, match="molar mass"):
        with_fragrance(PLAIN, 0.08, **{option: molar_mass})


@pytest.mark.parametrize("build", [catalogue_wax, catalogue_inert])
def test_an_unknown_material_is_refused_with_the_list(build):
    with pytest.raises(MaterialError, match=r"no material 'butter' in the catalogue; choose from \w"):
        build("butter")


@pytest.mark.parametrize("field", ["conductivity", "density", "heat_capacity"])
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_an_inert_property_that_is_not_positive_and_finite_is_refused(field, value):
    properties = {"conductivity": 1.0, "density": 2500.0, "heat_capacity": 840.0, field: value}
    with pytest.raises(MaterialError, match=rf"glass: {field} is .*finite number above zero"):
        Inert(name="glass", **properties)


NUMBERS = [field.name for field in dataclasses.fields(Wax) if field.type in ("float", float)]


@pytest.mark.parametrize("value", [math.nan, math.inf, -300.0])
def test_an_impossible_number_in_any_field_of_a_wax_is_refused(value):
    assert len(NUMBERS) > 10
    for field in NUMBERS:
        with pytest.raises(MaterialError, match=rf"soft-vegetable: .*\b{field} "):
            dataclasses.replace(PLAIN, **{field: value})


@pytest.mark.parametrize(
    ("freezing", "fault"),
    [
        ((), "from liquid fraction 0 at its end to 1 at its start"),
        (((45.0, 1.0),), "from liquid fraction 0"),
        (((35.0, 0.1), (45.0, 1.0)), "from liquid fraction 0"),
        (((35.0, 0.0), (45.0, 0.9)), "from liquid fraction 0"),
        (((45.0, 0.0), (35.0, 1.0)), "must rise in temperature"),
        (((45.0, 0.0), (45.0, 1.0)), "must rise in temperature"),
        (((35.0, 0.0), (38.0, 0.6), (41.0, 0.5), (45.0, 1.0)), "must not fall in liquid fraction"),
        (((35.0, 0.0), (math.nan, 0.5), (45.0, 1.0)), "not finite"),
        (((35.0, 0.0), (40.0, math.nan), (45.0, 1.0)), "must not fall in liquid fraction"),
        (((-300.0, 0.0), (45.0, 1.0)), "below absolute zero"),
    ],
)
def test_a_freezing_curve_out_of_order_is_refused(freezing, fault):
    with pytest.raises(MaterialError, match=fault):
        dataclasses.replace(PLAIN, freezing=freezing)


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"clear_point": 44.0}, "clear_point is 44 °C and freezing starts at 46.5 °C"),
        ({"density_liquid_at": 40.0}, "density_liquid_at is 40 °C and freezing starts at 46.5 °C"),
        ({"melting_heat": 127e3}, "melting_heat is 127 kJ/kg and latent_heat 128 kJ/kg"),
        ({"melting": ((20.0, 0.1), (52.8, 1.0))}, "melting must run from liquid fraction 0"),
        (
            {"total_shrinkage": 0.03},
            "total_shrinkage is 3 %, but from 70 down to 20 °C the liquid alone would lose 3.65 % "
            r"\(expansion_liquid\), and the solid must be smaller than the liquid all the way up",
        ),
        # A solid that expands so much would float on its own melt.
        (
            {"expansion_solid": 3e-3},
            "the solid must be smaller than the liquid all the way up to the start of freezing",
        ),
        ({"expansion_solid": -1e-4}, "expansion_solid is -0.0001 1/K; it must not be below zero"),
        ({"expansion_solid": math.nan}, "expansion_solid is nan 1/K"),
        ({"melting_heat": 100e3}, "melting_heat is 100 kJ/kg and latent_heat 128 kJ/kg; the stable form takes"),
        ({"total_shrinkage": 1.0}, "must lie between 0 and 1"),
        ({"emissivity": 1.1}, "emissivity is 1.1"),
    ],
)
def test_properties_that_contradict_each_other_are_refused(changes, fault):
    with pytest.raises(MaterialError, match=fault):
        dataclasses.replace(PLAIN, **changes)


def test_all_faults_of_a_wax_are_named_at_once():
    with pytest.raises(MaterialError) as caught:
        dataclasses.replace(PLAIN, latent_heat=0.0, emissivity=2.0, clear_point=10.0)
    faults = str(caught.value).splitlines()
    assert [fault.split()[1] for fault in faults] == ["latent_heat", "emissivity", "clear_point"]

import math
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from coolsim.errors import UnitError
from coolsim.units import Kind, format_quantity, parse_quantity, units_of

KINDS = get_args(Kind)

# scipy multiplies rounded factors (foot cubed) and goes from °F to °C by way of kelvin: a few last places.
SCIPY_ROUNDING = 1e-14


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("1 mm", "length", constants.milli),
        ("1 cm", "length", constants.centi),
        ("1 m", "length", 1.0),
        ("1 in", "length", constants.inch),
        ("1 ft", "length", constants.foot),
        ("1 g", "mass", constants.gram),
        ("1 kg", "mass", 1.0),
        ("1 oz", "mass", constants.oz),
        ("1 lb", "mass", constants.lb),
        ("1 mL", "volume", constants.milli * constants.liter),
        ("1 cL", "volume", constants.centi * constants.liter),
        ("1 L", "volume", constants.liter),
        ("1 fl oz", "volume", constants.fluid_ounce_US),
        ("1 s", "duration", 1.0),
        ("1 min", "duration", constants.minute),
        ("1 h", "duration", constants.hour),
        ("1 d", "duration", constants.day),
        ("1 °C", "temperature", 1.0),
        ("1 F", "temperature", constants.convert_temperature(1.0, "F", "C")),
        ("1 K", "temperature", constants.convert_temperature(1.0, "K", "C")),
        ("1 K", "temperature_difference", 1.0),
        ("1 F", "temperature_difference", constants.degree_Fahrenheit),
        ("1 lb/ft3", "density", constants.lb / constants.foot**3),
        ("1 g/cm3", "density", constants.gram / constants.centi**3),
        ("1 g/mL", "density", 1000.0),
        ("1 kJ/kg", "latent_heat", constants.kilo),
        ("1 kJ/kgK", "heat_capacity", constants.kilo),
        ("1 kW/m2", "heat_flux", constants.kilo),
        ("1 mPas", "viscosity", constants.milli),
        ("1 g/mol", "molar_mass", constants.gram),
        ("1 kPa", "pressure", constants.kilo),
        ("1 MPa", "pressure", constants.mega),
        ("1 GPa", "pressure", constants.giga),
        ("1 bar", "pressure", constants.bar),
        ("1 %", "fraction", 0.01),
        ("1 per kg", "price_by_weight", 1.0),
        ("1 per g", "price_by_weight", constants.kilo),
        ("1 per lb", "price_by_weight", 1.0 / constants.lb),
        ("1 /oz", "price_by_weight", 1.0 / constants.oz),
        ("1 each", "price_each", 1.0),
    ],
)
def test_factors_are_those_of_scipy_constants(text, kind, expected):
    assert parse_quantity(text, kind) == pytest.approx(expected, rel=SCIPY_ROUNDING, abs=0)


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("35 mm", "length", 0.035),
        ("3 1/2 in", "length", 0.0889),
        ("1/2 in", "length", 0.0127),
        ("-3 1/2 in", "length", -0.0889),
        ("  90mm ", "length", 0.09),
        ("+.5 m", "length", 0.5),
        ("2e-3 m", "length", 0.002),
        ("20C", "temperature", 20.0),
        ("20 °C", "temperature", 20.0),
        ("212 °F", "temperature", 100.0),
        ("-40F", "temperature", -40.0),
        ("−5 °C", "temperature", -5.0),
        ("293.15 K", "temperature", 20.0),
        ("9 F", "temperature_difference", 5.0),
        ("5C", "temperature_difference", 5.0),
        ("5 K", "temperature_difference", 5.0),
        ("1 lb 4 oz", "mass", 20 * 0.028349523125),
        ("10 fl  oz", "volume", 10 * 2.95735295625e-5),
        ("2:35", "duration", 9300.0),
        ("14 d", "duration", 1209600.0),
        ("0:05", "duration", 300.0),
        ("26:00", "duration", 93600.0),
        ("18:30", "clock", 66600.0),
        ("0:00", "clock", 0.0),
        ("9", "clock", 32400.0),
        (" 9am ", "clock", 32400.0),
        ("9:15 AM", "clock", 33300.0),
        ("12 am", "clock", 0.0),
        ("12:30 p.m.", "clock", 45000.0),
        ("11pm", "clock", 82800.0),
        ("9.5 W/m2K", "film_coefficient", 9.5),
        ("9.5 W/m2/K", "film_coefficient", 9.5),
        ("9.5 W/m²K", "film_coefficient", 9.5),
        ("0.22 W/mK", "conductivity", 0.22),
        ("7.3e-4 1/K", "expansion", 7.3e-4),
        ("7 1/K", "expansion", 7.0),
        ("1/2 1/K", "expansion", 0.5),
        ("8 %", "fraction", 0.08),
        ("1/2 m/s", "speed", 0.5),
    ],
)
def test_quantities_are_read_as_people_write_them(text, kind, expected):
    # Exact but for one rounding: 293.15 - 273.15 is off by 5e-14.
    assert parse_quantity(text, kind) == pytest.approx(expected, rel=4e-16, abs=1e-13)


@pytest.mark.parametrize(
    ("text", "kind", "reason"),
    [
        ("90", "length", "(no unit)"),
        (90, "length", "(not a text; a value with a unit needs quotes)"),
        (0.5, "fraction", "needs quotes"),
        (True, "length", "needs quotes"),
        ("", "length", "(no number and unit)"),
        ("mm", "length", "(no number and unit)"),
        ("ninety mm", "length", "(no number and unit)"),
        ("nan mm", "length", "(no number and unit)"),
        ("inf mm", "length", "(no number and unit)"),
        ("1e999 mm", "length", "(too large for a number)"),
        ("3,5 mm", "length", "write a decimal point"),
        ("1,000 g", "mass", "write a decimal point"),
        ("1/0 in", "length", "(a fraction over zero)"),
        ("3-1/2 in", "length", "(no number and unit)"),
        ("1 2 mm", "length", "(no number and unit)"),
        ("٣ mm", "length", "(no number and unit)"),
        ("90 mmm", "length", "(unknown unit 'mmm'; did you mean 'mm'?)"),
        ("90 MM", "length", "did you mean 'mm'?"),
        ("90 furlongs", "length", "(unknown unit 'furlongs')"),
        ("90 g", "length", "('g' is a unit of a mass)"),
        ("14 days", "duration", "did you mean 'd'?"),
        ("5 m", "duration", "('m' is a unit of a length; did you mean 'min'?)"),
        ("5 celsius", "temperature_difference", "did you mean '°C'?"),
        ("5 kelvin", "temperature_difference", "did you mean 'K'?"),
        ("1 lb 3", "mass", "unknown unit 'lb 3'"),
        ("5 degrees", "temperature", "unknown unit 'degrees'"),
        ("20 celsius", "temperature", "did you mean '°C'?"),
        ("32 ounces", "mass", "did you mean 'oz'?"),
        ("0.08 -", "fraction", "(no number and unit)"),
        ("-300 °C", "temperature", "(below absolute zero)"),
        ("2:60", "duration", "an hour has 60 minutes"),
        ("24:00", "clock", "a day runs from 0:00 to 23:59"),
        ("12:60", "clock", "a day runs from 0:00 to 23:59"),
        ("24", "clock", "a day runs from 0:00 to 23:59"),
        ("13 pm", "clock", "am and pm go with hours from 1 to 12"),
        ("0:30 am", "clock", "am and pm go with hours from 1 to 12"),
        ("noon", "clock", "(no hour, and no hours:minutes)"),
        ("9:5", "clock", "(no hour, and no hours:minutes)"),
    ],
)
def test_what_is_no_quantity_is_refused_with_its_reason(text, kind, reason):
    with pytest.raises(UnitError) as caught:
        parse_quantity(text, kind)
    message = str(caught.value)
    assert message.startswith(f"found {text!r} (")
    assert reason in message
    assert ", expected a" in message
    assert message.endswith(f"(units: {', '.join(units_of(kind))})")


def test_the_message_says_what_was_found_what_is_expected_and_the_units():
    with pytest.raises(UnitError) as caught:
        parse_quantity("90", "length")
    assert str(caught.value) == ("found '90' (no unit), expected a length such as '90 mm' (units: mm, cm, m, in, ft)")


@pytest.mark.parametrize("kind", KINDS)
def test_the_example_in_every_message_is_itself_accepted(kind):
    with pytest.raises(UnitError) as caught:
        parse_quantity("nothing", kind)
    example = str(caught.value).split("such as '")[1].split("'")[0]
    assert math.isfinite(parse_quantity(example, kind))


@pytest.mark.parametrize("kind", KINDS)
def test_every_listed_unit_is_accepted(kind):
    for spelling in units_of(kind):
        text = "1:00" if spelling == "h:mm" else spelling.replace("h", "9") if kind == "clock" else f"300 {spelling}"
        assert math.isfinite(parse_quantity(text, kind))


@pytest.mark.parametrize(
    ("value", "kind", "options", "text"),
    [
        (65.0, "temperature", {}, "65 °C"),
        (65.0, "temperature", {"system": "us"}, "149 °F"),
        (-5.4, "temperature", {}, "-5 °C"),
        (-0.4, "temperature", {}, "0 °C"),
        (-0.04, "temperature", {"digits": 1}, "0.0 °C"),
        (5.0, "temperature_difference", {}, "5 °C"),
        (5.0, "temperature_difference", {"system": "us"}, "9 °F"),
        (0.0355, "length", {}, "35.5 mm"),
        (0.09, "length", {}, "90 mm"),
        (0.09, "length", {"digits": 1}, "90.0 mm"),
        (0.0889, "length", {"system": "us"}, "3 1/2 in"),
        (0.0889, "length", {"system": "us", "digits": 2}, "3.50 in"),
        (0.0793, "length", {"system": "us"}, "3 1/8 in"),
        (0.0254 * 0.97, "length", {"system": "us"}, "1 in"),
        (0.0043, "length", {"system": "us"}, "5/32 in"),
        (0.0254 / 32, "length", {"system": "us"}, "1/32 in"),
        (0.0003, "length", {"system": "us"}, "0.01 in"),
        (-0.0043, "length", {"system": "us"}, "-5/32 in"),
        (0.0, "length", {"system": "us"}, "0 in"),
        (0.250, "mass", {}, "250 g"),
        (0.9071847, "mass", {"system": "us"}, "2 lb"),
        (0.250, "mass", {"system": "us"}, "8.8 oz"),
        (0.4535, "mass", {"system": "us"}, "1 lb"),
        (0.550, "mass", {"system": "us"}, "1 lb 3.4 oz"),
        (0.550, "mass", {"system": "us", "digits": 2}, "1 lb 3.40 oz"),
        (-0.550, "mass", {"system": "us"}, "-1 lb 3.4 oz"),
        (0.0003, "volume", {}, "300 mL"),
        (0.000295735, "volume", {"system": "us"}, "10 fl oz"),
        (9300.0, "duration", {}, "2:35"),
        (2700.0, "duration", {}, "45 min"),
        (59.99 * 60, "duration", {}, "1:00"),
        (59.4 * 60, "duration", {}, "59 min"),
        (2 * 3600 - 1, "duration", {}, "2:00"),
        (30 * 3600.0, "duration", {}, "30:00"),
        (45.0, "duration", {}, "45 s"),
        (59.7, "duration", {}, "1 min"),
        (90.0, "duration", {"digits": 1}, "1.5 min"),
        (0.0, "duration", {}, "0 min"),
        (-9300.0, "duration", {}, "-2:35"),
        (-0.2, "duration", {}, "0 min"),
        (66600.0, "clock", {}, "18:30"),
        (86399.0, "clock", {}, "0:00"),
        (90000.0, "clock", {}, "1:00"),
        (0.08, "fraction", {}, "8 %"),
        (130e3, "latent_heat", {}, "130 kJ/kg"),
        (0.165, "conductivity", {}, "0.165 W/mK"),
        (20e-3, "viscosity", {}, "20 mPas"),
        (7.3e-4, "expansion", {}, "0.00073 1/K"),
        (100.0, "density", {}, "100 kg/m3"),
        (0.0, "pressure", {}, "0 Pa"),
        (0.44, "pressure", {}, "0.44 Pa"),
        (999.0, "pressure", {}, "999 Pa"),
        (1e3, "pressure", {"system": "us"}, "1 kPa"),
        (3e6, "pressure", {}, "3 MPa"),
    ],
)
def test_quantities_are_written_for_people(value, kind, options, text):
    assert format_quantity(value, kind, **options) == text


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_value_that_is_not_finite_is_not_written(value):
    with pytest.raises(UnitError, match="cannot be written as a length"):
        format_quantity(value, "length")


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind not in ("duration", "clock")])
def test_what_is_written_can_be_read_again(kind, system):
    # 0.25 and 12 decimals: far more than rounding to 12 places can change in any unit of the table.
    value = 0.25
    text = format_quantity(value, kind, system=system, digits=12)
    assert parse_quantity(text, kind) == pytest.approx(value, abs=1e-11)


@given(st.integers(min_value=1, max_value=59), st.integers(min_value=0, max_value=99))
def test_a_duration_survives_writing_and_reading(minutes, hours):
    seconds = 3600.0 * hours + 60.0 * minutes
    assert parse_quantity(format_quantity(seconds, "duration"), "duration") == seconds


@given(st.text(max_size=12), st.sampled_from(KINDS))
def test_any_text_is_either_a_finite_value_or_a_unit_error(text, kind):
    try:
        value = parse_quantity(text, kind)
    except UnitError:
        return
    assert math.isfinite(value)

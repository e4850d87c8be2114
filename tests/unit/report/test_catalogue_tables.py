"""The table of the catalogue has each value in its column."""

from coolsim.model.catalogue import FATS, INERTS, PARAFFIN_CURVES, WAXES
from coolsim.model.materials import catalogue_values
from coolsim.report.text.materials import catalogue_overview, catalogue_text


def line_of(name):
    """Cells of the line of a material."""
    (line,) = [line for line in catalogue_overview().splitlines() if line.split()[:1] == [name]]
    return line.split()[1:]


def test_each_wax_has_freezing_latent_heat_conductivities_and_density_in_their_columns():
    for name in (*WAXES, *FATS):
        values = catalogue_values(name)
        of = {key: f"{value.nominal:g}" for key, value in values.items()}
        assert line_of(name) == [
            of["freezing_starts"], "to", of["freezing_ends"], f"{values['latent_heat'].nominal / 1e3:g}",
            of["conductivity_solid"], "/", of["conductivity_liquid"],
            of["density_liquid"], "at", of["density_liquid_at"], "°C",
        ]  # fmt: skip
    for name, curve in PARAFFIN_CURVES.items():
        points = {share: temperature for temperature, share in curve.points}
        # Drawn on straight from 90 and 95 % to all liquid; nine tenths of the heat are out at 10 %.
        starts = 2.0 * points[0.95] - points[0.9]
        assert line_of(name)[:4] == [f"{starts:g}", "to", f"{points[0.1]:g}", f"{curve.latent_heat / 1e3:g}"]


def test_each_other_material_has_conductivity_density_and_heat_capacity_in_their_columns():
    for name, values in INERTS.items():
        assert line_of(name) == [f"{values[key].nominal:g}" for key in ("conductivity", "density", "heat_capacity")]


def test_a_range_stands_from_low_to_high_in_the_unit_of_its_value():
    value = WAXES["soft-vegetable"]["latent_heat"]
    (line,) = [line for line in catalogue_text(["soft-vegetable"]).splitlines() if line.startswith("latent_heat")]
    low, nominal, high = (f"{one / 1e3:g}" for one in (value.low, value.nominal, value.high))
    assert line.split() == ["latent_heat", nominal, "kJ/kg", f"({low}", "to", f"{high})"]

import re

from coolsim.report.estimates import estimates, estimates_note
from coolsim.scenario import with_overrides
from tests.support.pair import closed_pair

BARE, BOXED = closed_pair()


def keys(scenario):
    return {key for _, group in estimates(scenario) for key in group}


def test_the_values_of_the_catalogue_count_as_estimates_where_it_says_so():
    found = keys(BARE)
    # The catalogue marks these as estimates or of an assumed composition, and the density of the liquid as computed
    # independently.
    assert {"wax.latent_heat", "wax.freezing_starts", "wax.conductivity_solid"} <= found
    assert {f"mush.{name}" for name in ("stiffness", "exponent", "gels_at", "suction")} <= found
    assert "wax.density_liquid" not in found


def test_a_value_that_the_scenario_states_is_known():
    stated = with_overrides(BARE, {"wax.latent_heat": "125 kJ/kg", "mush.suction": "60 kPa"})
    assert keys(BARE) - keys(stated) == {"wax.latent_heat", "mush.suction"}
    # The pair states both.
    assert not {"vessel.foot", "vessel.shock_limit"} & keys(BARE)
    assert "vessel.foot" in keys(with_overrides(BARE, {"vessel.foot": None}))


def test_a_measured_freezing_curve_is_no_estimate():
    own = with_overrides(BARE, {"wax.freezing": [["45 °C", "100 %"], ["35 °C", "0 %"]]})
    assert not {"wax.freezing_starts", "wax.freezing_ends"} & keys(own)
    grade = with_overrides(BARE, {"wax.kind": "paraffin-54-narrow", "pour.temperature": "75 °C"})
    assert not {"wax.freezing_starts", "wax.freezing_ends", "wax.latent_heat"} & keys(grade)
    # Its other properties are those of paraffin, from memory.
    assert "wax.conductivity_solid" in keys(grade)


def test_what_is_not_there_is_not_estimated():
    assert not any(key.startswith("surround.") for key in keys(BARE))
    assert {"surround.conductivity", "support.contact"} <= keys(BOXED)
    plain = with_overrides(BARE, {"wax.fragrance_load": None})
    assert keys(BARE) - keys(plain) == {"wax.fragrance_molar_mass"}


def test_the_note_names_the_estimates_of_all_scenarios_once_beside_the_answers():
    note = estimates_note([BARE, BOXED])
    for key in keys(BARE) | keys(BOXED):
        assert len(re.findall(rf"{re.escape(key)}\b", note)) == 1
    assert "Rim, wick and top: mush.gels_at" in note
    assert note.startswith("Estimates.")

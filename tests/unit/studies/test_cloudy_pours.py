"""Pours of wax that has begun to set: how cold they may be, what they weigh, and how the study shows them."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from coolsim.errors import ScenarioError
from coolsim.model.materials import catalogue_wax, coldest_pour, liquid_density, poured_density
from coolsim.report.text.pour import DECIDES, decided, pour_text
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.pour.choose import choose_pour, cloudy_pours

COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}
BARE = with_overrides(built_in_pair()[0], COARSE)
WAX = catalogue_wax("soft-vegetable")


def test_the_coldest_pour_has_the_solid_share_that_still_pours():
    # From the curve itself, straight between its rows.
    assert WAX.liquid_at(coldest_pour(WAX, 0.1)) == pytest.approx(0.9, abs=1e-12)
    assert coldest_pour(WAX, 0.0) == WAX.freezing_starts


def test_a_cloudy_pour_is_denser_by_what_its_crystals_have_lost():
    cold = coldest_pour(WAX, 0.1)
    law = WAX.volume
    volume = 0.9 * float(law.as_liquid(cold)) + 0.1 * float(law.as_solid(cold))
    at_start = float(law.as_liquid(WAX.freezing_starts))
    assert poured_density(WAX, cold) == pytest.approx(
        liquid_density(WAX, WAX.freezing_starts) * at_start / volume, rel=1e-12
    )
    assert poured_density(WAX, 65.0) == liquid_density(WAX, 65.0)


def test_what_is_solid_in_the_pitcher_has_already_contracted():
    def lost(pour):
        return simulate(with_overrides(BARE, {"pour.temperature": pour}).jar).shrinkage.ledger.total

    # 10 % of the crystals, and 20 K of the liquid, are behind it: over 1.5 % of 235 mL.
    assert lost("62 °C") - lost("42 °C") > 3.5e-6


def test_wax_that_is_too_thick_is_refused_with_how_thick_and_how_hot():
    with pytest.raises(ScenarioError) as caught:
        with_overrides(BARE, {"pour.temperature": "40 °C"})
    assert str(caught.value).endswith(
        "starts to set at 44 °C, and 14.5 % of it is solid then, more than still pours (pour.thickest, 10 %), pour it"
        " at 42 °C or hotter."
    )
    with_overrides(BARE, {"pour.temperature": "40 °C", "pour.thickest": "20 %"})


def test_cloudy_pours_are_whole_degrees_between_the_thickest_and_the_first_crystals():
    jar = BARE.jar
    pours = cloudy_pours(BARE)
    assert pours == tuple(map(float, map(int, pours)))
    assert coldest_pour(jar.wax, 0.1) <= pours[0] < pours[-1] < jar.wax.freezing_starts
    american = cloudy_pours(with_overrides(BARE, {"units": "us"}))
    assert all(pour * 1.8 + 32.0 == pytest.approx(round(pour * 1.8 + 32.0), abs=1e-9) for pour in american)
    # A wax that freezes within half a degree has none.
    assert cloudy_pours(with_overrides(BARE, {"wax.freezing": [["45.2 °C", "100 %"], ["45 °C", "0 %"]]})) == ()


def test_the_study_shows_them_but_recommends_none_and_says_what_they_buy():
    with ThreadPoolExecutor(2) as executor:
        study = choose_pour(BARE, pours=["42 °C", "58 °C", "62 °C"], executor=executor)
    for choice in study.choices:
        assert "cloudy" in choice.candidates[0].rejected
        assert choice.recommended is None or choice.recommended.pour > 50.0
    first, _, cloudy = decided(study, "metric")
    assert first.startswith("Bare, room at 21 °C: poured at 58 °C to 62 °C, the middle ends ")
    assert "Poured cloudy, at 42 °C with " in first
    assert cloudy.startswith("Wax that is poured cloudy has lost part of its volume in the pitcher")
    assert DECIDES.startswith("The pour decides the first skin, the shock to the jar and the time, but hardly how deep")
    assert DECIDES in " ".join(pour_text(study, units="metric").split())

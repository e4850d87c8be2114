"""The limits of a pour that are known without a run, and what mends one that is planned beyond them."""

from dataclasses import replace

import pytest

from coolsim.model.jar import Vessel
from coolsim.model.materials import catalogue_inert
from coolsim.report.cautions import cautions
from coolsim.report.text.limits import breach_notes
from coolsim.report.text.runs import answers_data, titled_runs
from coolsim.report.text.scenario import noteworthy
from coolsim.report.wording import caution_for
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.pour.limits import KEEP_OFF, broken_limits, known_limits
from tests.support.pair import closed_pair

BARE, _ = closed_pair()
STAYS = {"skin_formed_s": 5.0, "skin_melted_again_s": None}


def poured(pour, *, jar=None, stated=None, units="metric", **vessel):
    one = replace(BARE.jar, pour=pour, vessel=replace(BARE.jar.vessel, start=jar, **vessel))
    return broken_limits(one, stated or {}, units=units)


def test_a_pour_that_keeps_all_limits_has_nothing_to_mend():
    assert poured(60.0) == ()
    # Exactly as hot as the glass bears.
    assert poured(63.0) == ()


def test_a_shock_is_mended_by_a_cooler_pour_or_a_warmer_jar_off_the_limit():
    (breach,) = poured(63.5)
    assert (breach.limit, breach.at) == ("jar shock", 63.0)
    assert (breach.pour, breach.jar) == (61.0, 24.0)
    for mended in (poured(breach.pour), poured(63.5, jar=breach.jar)):
        assert mended == ()
    # Both keep two kelvin off.
    assert 63.0 - breach.pour >= KEEP_OFF
    assert breach.jar + 42.0 - 63.5 >= KEEP_OFF


def test_no_remedy_breaks_another_limit_or_burns_a_hand():
    # 42 K above a jar of 6 °C is too near freezing; no jar is warmed above 60 °C.
    (breach,) = poured(60.0, jar=6.0)
    assert (breach.pour, breach.jar) == (None, 20.0)
    assert poured(110.0)[0].jar is None
    (near,) = poured(50.0, stated={"wax.fragrance_limit": 53.0})
    assert (near.limit, near.pour) == ("too near freezing", None)


def test_a_remedy_is_a_whole_degree_of_the_workshop():
    (breach,) = poured(65.0, units="us")
    assert [round(1.8 * one + 32.0, 9) for one in (breach.pour, breach.jar)] == [141.0, 77.0]


def test_a_pour_too_near_freezing_or_cloudy_is_named_with_the_pour_that_is_off_both():
    (near,), (cloudy,) = poured(50.0), poured(43.0)
    assert (near.limit, cloudy.limit) == ("too near freezing", "cloudy")
    # Freezing starts at 44.4 °C: 8 K and 2 K more, rounded up.
    assert near.pour == cloudy.pour == 55.0


def test_a_skin_that_stays_in_one_jar_of_a_box_is_a_breach():
    melts = {**STAYS, "skin_melted_again_s": 60.0}
    (found,) = broken_limits(replace(BARE.jar, pour=60.0), {}, answers=[melts, STAYS])
    assert (found.limit, found.pour) == ("skin stays", None)
    (told,) = breach_notes(replace(BARE.jar, pour=60.0), answers=[STAYS])
    assert told == (
        "Note: poured at 60 °C, the first skin at the wall stays and shows as rings; `coolsim pour` finds one that"
        " passes."
    )
    assert broken_limits(replace(BARE.jar, pour=60.0), {}, answers=[melts]) == ()


def test_what_is_broken_is_told_with_its_remedies():
    assert breach_notes(BARE.jar) == (
        "Note: the wax is 44 °C hotter than the jar, more than the shock limit of 42 °C (vessel.shock_limit); warm the"
        " jar to 25 °C, or pour at 61 °C.",
    )
    assert noteworthy(BARE, "metric") == breach_notes(BARE.jar)
    assert noteworthy(built_in_pair()[0], "metric") == ()


def test_metal_has_no_shock_limit_anywhere():
    steel = catalogue_inert("tinned-steel")
    vessel = Vessel(diameter=0.078, height=0.06, wall=0.0003, base=0.0003, material=steel)
    assert vessel.shock_limit is None
    assert replace(vessel, shock_limit=42.0).shock_limit is None
    assert replace(vessel, material=catalogue_inert("glass"), shock_limit=42.0).shock_limit == 42.0
    # Even where a scenario states one, for the glass before it.
    metal = {"vessel.material": "tinned-steel", "vessel.wall": "0.3 mm", "vessel.base": "0.3 mm"}
    tin = with_overrides(BARE, {**metal, "run.refinement": 0.5, "run.tolerance": "1 K"})
    assert "jar shock" not in known_limits(tin.jar, {})
    result = simulate(replace(tin.jar, pour=80.0))
    (answers,) = answers_data([("Tin", result)], jars=[tin.jar])
    assert answers["shock_limit_K"] is None
    told = " ".join(
        [
            *noteworthy(tin, "metric"),
            *cautions(titled_runs([("Tin", result)], jars=[tin.jar]), [tin], units="metric"),
            caution_for([tin]),
            caution_for([tin], short=True),
        ]
    )
    for word in ("shock", "crack cold", "Glass can", "42", "glass cracks"):
        assert word not in told
    assert "Metal gets as hot as the wax at once" in told


@pytest.mark.parametrize("short", [False, True])
def test_where_one_of_several_is_glass_the_caution_names_it(short):
    tin = with_overrides(BARE, {"vessel.material": "tinned-steel"})
    assert caution_for([tin, BARE], short=short) == caution_for([], short=short)
    assert "crack" in caution_for([BARE], short=short)

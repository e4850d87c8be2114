"""One run of a sweep as plain data: its name, and its numbers against the run itself."""

from dataclasses import replace

import pytest

from coolsim.answers.catalogue import ANSWERS, BY_KEY
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.sweep import point as module
from coolsim.studies.sweep.point import identity, run_jars
from tests.support.pair import closed_pair

BARE = with_overrides(closed_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})


@pytest.fixture(scope="module")
def answers():
    return run_jars([BARE.jar])[0]["answers"]


def test_a_name_is_of_the_jar_the_version_and_the_list_of_answers(monkeypatch):
    # Otherwise a journal of an older version would be taken for the answers of this one.
    name = identity(BARE.jar)
    assert identity(with_overrides(BARE, {"room.temperature": "69.8 °F"}).jar) == name
    assert identity(with_overrides(BARE, {"room.temperature": "20 °C"}).jar) != name
    night = {"pour.clock": "17:00", "room.lowest": "14 °C", "room.coldest": "5:00"}
    later = {**night, "room.coldest": "6:00"}
    assert identity(with_overrides(BARE, night).jar) != identity(with_overrides(BARE, later).jar)
    with monkeypatch.context() as changed:
        changed.setattr(module, "__version__", "0.0")
        assert identity(BARE.jar) != name
    with monkeypatch.context() as changed:
        # Other cells or steps.
        changed.setattr(module, "NUMERICS", 0)
        assert identity(BARE.jar) != name
    with monkeypatch.context() as changed:
        changed.setattr(module, "ANSWERS", (*ANSWERS, replace(ANSWERS[0], key="new_m")))
        assert identity(BARE.jar) != name


def test_the_numbers_are_those_of_the_run(answers):
    result = simulate(BARE.jar)
    top, events = result.shrinkage, result.events
    assert list(answers) == list(BY_KEY)
    assert (answers["rim_dip_m"], answers["centre_dip_m"]) == (top.rim_dip, top.centre_dip)
    assert (answers["rim_set_s"], answers["top_closed_s"]) == (events.rim_set, events.top_closed)
    assert (answers["wick_free_until_s"], answers["fully_set_s"]) == (events.wick_free_until, events.fully_set)
    assert (answers["skin_formed_s"], answers["skin_melted_again_s"]) == (
        events.first_skin.formed,
        events.first_skin.melted_again,
    )


def test_volumes_and_heights_fit_each_other(answers):
    parts = [answers[f"lost_{part}_m3"] for part in ("surface", "cavities", "pores", "solid")]
    # Round-off of sums over some hundred cells and steps.
    assert sum(parts) == pytest.approx(answers["lost_m3"], rel=1e-9)
    assert answers["depth_m"] == pytest.approx(answers["centre_dip_m"] - answers["rim_dip_m"], rel=1e-12)
    assert answers["depth_m"] == pytest.approx(answers["dish_m"] + answers["hole_m"], rel=1e-12)
    assert answers["void_volume_m3"] == answers["lost_cavities_m3"] + answers["lost_pores_m3"]
    area = answers["lost_surface_m3"] / answers["mean_dip_m"]
    # The built-in tumbler is 78 mm across with a wall of 3.5 mm: the wax has a diameter of 71 mm.
    assert area == pytest.approx(3.14159265 / 4 * 0.071**2, rel=1e-6)
    assert sum(answers[f"heat_share_{path}"] for path in ("top", "side", "base")) == pytest.approx(1.0, abs=1e-9)

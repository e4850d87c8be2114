"""The answers of all jars of a box as those of one, reckoned by hand."""

from dataclasses import replace

import pytest

from coolsim.answers.catalogue import ANSWERS, answers_of
from coolsim.answers.worst import answers_of_box, first_and_last, worst_answers
from coolsim.model.places import Places
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.solve.together import simulate_box
from coolsim.studies.sweep.point import run_cases, run_jars

NOTHING = {answer.key: None for answer in ANSWERS} | {"solid_share": 0.9}
EDGE = NOTHING | {
    "last_jar": "edge",
    "pour_C": 62.0,
    "skin_formed_s": 30.0,
    "skin_coldest_C": 40.0,
    "skin_coldest_at_s": 50.0,
    "skin_melted_again_s": 300.0,
    "wick_free_until_s": 2400.0,
    "top_closed_s": 2400.0,
    "fully_set_s": 9000.0,
    "dish_m": -0.003,
    "hole_m": 0.004,
    "cavity_volume_m3": 2e-6,
    "cavity_roof_m": 0.005,
    "heat_share_top": 0.3,
    "ledger_closed": True,
    "warnings": "Air is at its limit.",
}
INNER = NOTHING | {
    "last_jar": "inner",
    "pour_C": 62.0,
    "wick_free_until_s": 3000.0,
    "top_closed_s": 3000.0,
    "fully_set_s": 12000.0,
    "dish_m": 0.002,
    "hole_m": 0.001,
    "cavity_volume_m3": 1e-6,
    "cavity_roof_m": 0.002,
    "heat_share_top": 0.6,
    "ledger_closed": False,
    "warnings": "Air is at its limit.",
}


def test_each_answer_is_the_worst_that_a_jar_has():
    worst = worst_answers([EDGE, INNER])
    assert {key: value for key, value in worst.items() if value is not None} == {
        "last_jar": "inner",
        "pour_C": 62.0,
        # The only skin there is.
        "skin_formed_s": 30.0,
        "skin_coldest_C": 40.0,
        "skin_coldest_at_s": 50.0,
        "skin_melted_again_s": 300.0,
        "wick_free_until_s": 2400.0,
        "top_closed_s": 3000.0,
        "fully_set_s": 12000.0,
        # A bulge of 3 mm is farther from flat than a dish of 2 mm.
        "dish_m": -0.003,
        "hole_m": 0.004,
        # The roof is that of the largest cavity, not the thinnest one.
        "cavity_volume_m3": 2e-6,
        "cavity_roof_m": 0.005,
        "heat_share_top": 0.6,
        "ledger_closed": False,
        "solid_share": 0.9,
        "warnings": "Air is at its limit.",
    }
    assert worst_answers([INNER, EDGE]) == worst


def test_a_skin_that_stays_anywhere_stays_and_the_coldest_place_is_of_one_jar():
    stays = INNER | {"skin_formed_s": 20.0, "skin_coldest_C": 41.0, "skin_coldest_at_s": 30.0}
    worst = worst_answers([EDGE, stays])
    assert [worst[f"skin_{what}"] for what in ("formed_s", "coldest_C", "coldest_at_s", "melted_again_s")] == [
        20.0, 40.0, 50.0, None
    ]  # fmt: skip


def test_what_one_jar_does_not_reach_is_not_reached_but_its_wick_is_free_for_longer():
    never = INNER | {"fully_set_s": None, "wick_free_until_s": None, "top_closed_s": None}
    worst = worst_answers([EDGE, never])
    assert (worst["fully_set_s"], worst["top_closed_s"], worst["wick_free_until_s"]) == (None, None, 2400.0)
    assert worst["last_jar"] == "inner"
    assert first_and_last([never | {"solid_share": 0.5}, never, EDGE]) == (2, 0)


def test_all_warnings_are_told_once():
    hot = INNER | {"warnings": "The water is hot."}
    assert worst_answers([EDGE, hot, INNER])["warnings"] == "Air is at its limit. The water is hot."


@pytest.fixture(scope="module")
def three():
    """Three jars in a row: two ends and one between them."""
    jar = with_overrides(built_in_pair()[1], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
    return replace(jar, places=Places(rows=1, columns=3, length=0.28, width=0.10, pitch_along=0.085, pitch_across=0.09))


def test_a_point_of_a_sweep_has_the_worst_answers_of_its_box_and_a_case_the_curves_of_the_last_jar(three):
    found = simulate_box(three)
    worst, _ = answers_of_box(found, three)
    ends, middle = (answers_of(result, three) for result in found.results)
    answers = run_jars([three])[0]["answers"]
    assert answers == worst
    assert answers["last_jar"] == "in the row (row 1, column 2)"
    assert answers["fully_set_s"] == middle["fully_set_s"] > ends["fully_set_s"]
    assert answers["wick_free_until_s"] == ends["wick_free_until_s"] < middle["wick_free_until_s"]
    (case,) = run_cases([three], {})
    assert case["answers"] == answers
    assert case["curves"]["centre"][-1] == pytest.approx(found.results[1].temperature_at(0.0, 0.03)[-1], abs=0.3)
    assert len(case["time"]) == len(found.results[1].time)

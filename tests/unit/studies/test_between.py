"""Pours that are not run: their answers lie between those that are."""

import math
from concurrent.futures import ThreadPoolExecutor

import pytest

from coolsim.answers.catalogue import ANSWERS
from coolsim.report.text.pour import notes
from coolsim.scenario import with_overrides
from coolsim.studies.pour.between import SLACK, swept_between
from coolsim.studies.pour.choose import choose_pour
from coolsim.studies.sweep.sweep import sweep_points
from tests.support.made_up_runs import answered
from tests.support.pair import closed_pair

QUICK, BOXED = (with_overrides(one, {"run.refinement": 0.5, "run.tolerance": "0.2 K"}) for one in closed_pair())
NOTHING = {answer.key: None for answer in ANSWERS}


def answers(jar):
    """A dish that is smooth in pour and room, and a skin that melts from a pour on that depends on the room."""
    room, pour = jar.room.at(0.0), jar.pour
    melts = pour > 78.2 - room
    dish = 1e-3 * (2.0 + 0.05 * (pour - 60.0) + 2e-3 * (pour - 60.0) * (room - 20.0))
    beyond = pour + room - 78.2
    far = {"skin_warmest_K": 0.7 * beyond, "skin_rim_warmest_K": 1.2 * beyond}
    late = {"rim_set_s": 600.0 + 300.0 * beyond**0.5, "skin_melted_again_s": 200.0 * math.exp(-0.1 * beyond)}
    end = {"ended": "cool", **late} if melts else {"ended": "cold"}
    return {**NOTHING, "skin_formed_s": 8.0, "dish_m": dish, **far, **end}


def chart(rooms, pours):
    axes = {"room.temperature": [f"{room} °C" for room in rooms], "pour.temperature": [f"{pour} °C" for pour in pours]}
    return sweep_points([QUICK], axes, always={"report": None})


def test_a_turn_is_found_to_the_degree_and_what_is_smooth_is_met_with_few_runs():
    points, run = chart(range(15, 28), range(50, 66)), []

    def outcome(point):
        run.append(point)
        return {"answers": answers(point.jar)}

    rows, found = answered(swept_between(points), outcome)
    assert found.pours == len(points) == len(rows)
    assert found.runs == len(run) < 0.2 * len(points)
    assert found.off < 0.01
    for point, row in zip(points, rows, strict=True):
        true = answers(point.jar)
        assert row.point is point
        assert row.answers["ended"] == true["ended"]
        assert row.answers["dish_m"] == pytest.approx(true["dish_m"], rel=0.01, abs=SLACK["length"])
        for key in ("rim_set_s", "skin_melted_again_s"):
            # The one is straight in the root of how far it is from its turn, the other one's logarithm in the pour:
            # nothing of the other side is mixed in.
            if true[key] is None:
                assert row.answers[key] is None
            else:
                assert row.answers[key] == pytest.approx(true[key], rel=1e-6)


def test_few_pours_are_all_run():
    points = chart([20], range(56, 65))
    rows, found = answered(swept_between(points), lambda point: {"answers": answers(point.jar)})
    assert (found.runs, found.pours, found.off) == (9, 9, 0.0)
    assert [row.answers for row in rows] == [answers(point.jar) for point in points]


def test_a_run_that_fails_leaves_no_pour_beside_it_to_be_worked_out():
    points = chart([15], [50, 51, 52, 53, 57, 60, 61, 62, 63, 64, 65])
    rows, _ = answered(
        swept_between(points),
        lambda point: {"fault": "made up"} if point.jar.pour == 57.0 else {"answers": answers(point.jar)},
    )
    assert [row.fault for row in rows] == [None] * 4 + ["made up"] + [None] * 6


def test_a_study_that_works_pours_out_finds_what_running_all_of_them_finds():
    with ThreadPoolExecutor(1) as executor:
        some, every = (choose_pour(BOXED, alone=True, executor=executor, own_grid=own) for own in (False, True))
    assert every.between is None
    assert some.between.runs < some.between.pours == len(some.choices[0].candidates)
    for one, own in zip(some.choices[0].candidates, every.choices[0].candidates, strict=True):
        assert (one.pour, one.rejected) == (own.pour, own.rejected)
        # Measured: 0.3 %; the coarse cells of this test scatter more than those of a scenario.
        assert one.number("fully_set_s") == pytest.approx(own.number("fully_set_s"), rel=0.01)
        assert one.lost == pytest.approx(own.lost, rel=0.03)
    told = f"Of {some.between.pours} pours {some.between.runs} were run; the others were worked out from them."
    assert any(note.startswith(told) for note in notes(some, "metric"))
    assert not any("worked out" in note for note in notes(every, "metric"))

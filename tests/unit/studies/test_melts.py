"""Melts in turn: which jars each fills, when it is poured, and the plan of its jars, against hand arithmetic."""

import datetime
import math
from dataclasses import replace
from itertools import pairwise

import pytest

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import WAXES
from coolsim.scenario import load_scenario, with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.workshop.amounts import amounts
from coolsim.studies.workshop.day_plan import plan_day
from coolsim.studies.workshop.melting import melt_batch
from coolsim.studies.workshop.melts import melts_in_turn, more_than_usual, plan_turns, shares_a_box
from coolsim.studies.workshop.portions import most_wax, portions
from coolsim.studies.workshop.preparation import preparation
from tests.support.commands import SCENARIOS
from tests.support.made_up import made_up_spread
from tests.support.pair import closed_pair

QUICK = {"run.refinement": 0.5, "run.tolerance": "1 K"}
TWELVE = with_overrides(closed_pair()[0], {**QUICK, "batch.jars": 12, "batch.melt": "900 g"})
# An hour and a quarter until the pour, by one's own watch, and 15 minutes from a pour to the next melt.
WATCHED = with_overrides(TWELVE, {"plan.melting": "1 h", "plan.resting": "15 min", "plan.start": "9:00"})
# A pitcher that takes the wax of four jars, and water that is cold at first.
COMPUTED = with_overrides(
    TWELVE,
    {
        "batch.melt": None,
        "melting.pitcher_diameter": "115 mm",
        "melting.pitcher_height": "150 mm",
        "melting.water": [["0 min", "40 °C"], ["20 min", "85 °C"]],
    },
)


@pytest.fixture(scope="module")
def result():
    return simulate(TWELVE.jar)


@pytest.fixture
def plan(result):
    return lambda one, before: plan_day(one, result, before=before)


def jars(scenario):
    return [(one.first, one.last) for one in portions(scenario)]


def told(turns, name):
    return [turn.plan.told(turn.plan.step(name)) for turn in turns]


def test_a_pitcher_takes_the_flakes_that_reach_its_rim():
    # 55 % of pi/4 (115 mm)2 x 150 mm is wax of 930 kg/m3: 796.9 g.
    density = WAXES["soft-vegetable"]["density_solid"].nominal
    by_hand = 0.25 * math.pi * 0.115**2 * 0.150 * 0.55 * density
    assert most_wax(COMPUTED) == pytest.approx(by_hand, rel=1e-9)
    assert 1e3 * by_hand == pytest.approx(796.9, abs=0.1)
    # With 8 % of oil 866.2 g of mix; less 10 g they fill 4.1 jars of 206.9 g.
    assert jars(COMPUTED) == [(1, 4), (5, 8), (9, 12)]


@pytest.mark.parametrize(
    ("count", "expected"),
    [
        (4, [(1, 4)]),
        (5, [(1, 3), (4, 5)]),
        (12, [(1, 4), (5, 8), (9, 12)]),
        (13, [(1, 4), (5, 7), (8, 10), (11, 13)]),
        (1, [(1, 1)]),
    ],
)
def test_jars_are_parted_as_evenly_as_they_go(count, expected):
    # 900 g of wax fill 4 jars.
    assert jars(with_overrides(TWELVE, {"batch.jars": count})) == expected


def test_without_a_pitcher_and_a_melt_there_is_one_and_a_large_one_is_told():
    alone = with_overrides(TWELVE, {"batch.melt": None})
    assert jars(alone) == [(1, 12)]
    # A pitcher of 130 mm x 160 mm: 1086 g.
    assert 1e3 * more_than_usual(alone) == pytest.approx(1086.0, abs=1.0)
    assert more_than_usual(with_overrides(alone, {"batch.jars": 5})) is None
    assert more_than_usual(TWELVE) is None
    assert more_than_usual(COMPUTED) is None


def test_each_melt_leaves_something_behind_and_together_they_are_what_is_weighed():
    found = amounts(TWELVE)
    # 12 jars and 3 x 10 g; of each melt 4 jars and 10 g.
    assert found.mix == pytest.approx(12 * found.net_weight + 0.030, rel=1e-12)
    assert found.left_behind == pytest.approx(0.030)
    for one in found.portions:
        assert one.wax + one.oil == pytest.approx(4 * found.net_weight + 0.010, rel=1e-12)
    assert sum(one.wax for one in found.portions) == pytest.approx(found.wax, rel=1e-12)
    assert sum(one.oil for one in found.portions) == pytest.approx(found.oil, rel=1e-12)
    assert found.warnings == ()


def test_melts_follow_each_other_by_the_watch(plan):
    turns = plan_turns(WATCHED, plan)
    # 9:00 and 1:15 are 10:15; 15 minutes later the pitcher is in the water again.
    assert told(turns, "weigh") == ["9:00", "10:30", "12:00"]
    assert told(turns, "oil") == ["10:00", "11:30", "13:00"]
    assert told(turns, "pour") == ["10:15", "11:45", "13:15"]
    assert [turn.poured for turn in turns] == [0.0, 5400.0, 10800.0]
    assert [turn.water for turn in turns] == [None] * 3


def test_each_melt_has_the_times_of_its_own_jars(plan, result):
    turns = plan_turns(WATCHED, plan)
    first = plan_day(WATCHED, result)
    for turn in turns:
        # The same run: all times of its jars lie as much later as the pour.
        assert [(step.name, step.time) for step in turn.plan.steps if step.time >= 0.0] == [
            (step.name, step.time) for step in first.steps if step.time >= 0.0
        ]
        assert turn.plan.clock == first.clock + turn.poured
    assert [turn.plan.title.rpartition(", ")[2] for turn in turns] == [
        "melt 1 (jars 1 to 4)", "melt 2 (jars 5 to 8)", "melt 3 (jars 9 to 12)",
    ]  # fmt: skip


def test_the_time_between_two_melts_is_that_of_the_scenario_and_ends_on_five_minutes(plan):
    turns = plan_turns(with_overrides(WATCHED, {"melting.between": "21 min", "plan.start": "9:02"}), plan)
    # 9:02 and 1:15 end at 10:20; 21 minutes later it is 10:41, and 10:45 on the clock.
    assert told(turns, "pour")[0] == "10:20"
    assert told(turns, "weigh")[1] == "10:45"


def test_melts_after_midnight_are_on_the_next_day(plan):
    turns = plan_turns(with_overrides(WATCHED, {"plan.start": "21:30", "date": "2026-12-31"}), plan)
    assert told(turns, "pour") == ["22:45", "1 Jan 2027 0:15", "1 Jan 2027 1:45"]
    last = turns[-1].plan
    assert last.moment(last.step("pour")) == datetime.datetime(2027, 1, 1, 1, 45)


def test_without_a_clock_melts_count_from_the_first_pour(plan):
    turns = plan_turns(with_overrides(WATCHED, {"plan.start": None}), plan)
    assert [turn.poured for turn in turns] == [0.0, 5400.0, 10800.0]
    assert [turn.plan.clock for turn in turns] == [None] * 3
    assert told(turns, "weigh") == ["1:15 h before"] * 3


def test_the_first_melt_is_that_of_its_jars_alone_and_the_next_one_begins_in_hot_water():
    first, second, third = melts_in_turn(COMPUTED)
    four = {"batch.jars": 4}
    alone, hot = (melt_batch(with_overrides(COMPUTED, four | water)) for water in ({}, {"melting.water": "85 °C"}))
    assert first.melting.pour == alone.pour
    assert (first.begins, second.begins) == (0.0, alone.pour + 900.0)
    # Round-off of the water's rows.
    assert second.melting.pour == pytest.approx(hot.pour, rel=1e-9)
    assert second.melting.pour < first.melting.pour - 300.0
    assert third.begins == pytest.approx(second.begins + hot.pour + 900.0)


def test_water_that_still_warms_goes_on_where_it_is():
    slow = {"melting.water": [["0 min", "60 °C"], ["200 min", "90 °C"]], "melting.between": "0 s"}
    first, second, _ = melts_in_turn(with_overrides(COMPUTED, slow))
    at = first.melting.pour
    assert at < 12000.0
    assert second.melting.bath.at(0.0) == pytest.approx(60.0 + 30.0 * at / 12000.0)
    assert second.melting.bath.at(12000.0 - at) == pytest.approx(90.0)


def test_the_day_takes_the_times_of_the_melting(plan):
    turns = plan_turns(with_overrides(COMPUTED, {"plan.start": "9:00"}), plan)
    alone, hot = (
        preparation(with_overrides(COMPUTED, {"batch.jars": 4} | water)) for water in ({}, {"melting.water": "85 °C"})
    )
    assert [turn.plan.before.pour for turn in turns] == pytest.approx([alone.pour, hot.pour, hot.pour], rel=1e-9)
    assert [turn.water for turn in turns] == [40.0, 85.0, 85.0]
    pours = [turn.plan.clock for turn in turns]
    # Each begins and is poured on five minutes, never earlier than it is ready.
    for before, after in pairwise(pours):
        assert 900.0 + hot.pour <= after - before < 900.0 + hot.pour + 600.0
    assert preparation(COMPUTED).melts == 3
    assert preparation(COMPUTED).pour == alone.pour


def test_in_a_room_that_goes_by_the_clock_each_melt_has_a_jar_of_its_own(result):
    night = with_overrides(
        WATCHED, {"plan.start": None, "pour.clock": "20:00", "room.lowest": "14 °C", "room.coldest": "5:00"}
    )
    seen = []

    def plan(one, before):
        seen.append((one.pour_clock, one.jar.room.at(0.0)))
        return plan_day(one, result, before=before)

    turns = plan_turns(night, plan)
    assert [clock for clock, _ in seen] == [72000.0, 77400.0, 82800.0]
    # The later, the colder: the room is coldest at 5:00.
    assert seen[0][1] > seen[1][1] > seen[2][1]
    assert told(turns, "pour") == ["20:00", "21:30", "23:00"]


BOX = with_overrides(load_scenario(SCENARIOS / "box-2x3.toml"), {**QUICK, "batch.melt": "900 g"})


def test_in_a_box_that_is_filled_in_turn_what_must_wait_waits_for_the_last_melt(result):
    timed = with_overrides(BOX, {"plan.melting": "1 h", "plan.resting": "15 min", "pour.clock": "10:15"})

    def plan(one, before):
        return plan_day(one, result, before=before)

    first, last = plan_turns(timed, plan)
    assert (first.portion.jars, last.portion.jars) == (3, 3)
    for name in ("skin", "still", "top", "lid", "label"):
        assert told((first, last), name) == [last.plan.told(last.plan.step(name))] * 2
    alone = plan(timed, first.plan.before)
    assert first.plan.step("still").time == alone.step("still").time + last.poured
    assert first.plan.step("wick") == alone.step("wick")
    assert last.plan.step("burn").time == first.plan.step("burn").time == 14 * 86400.0
    # Without a cure all must be cold.
    first, last = plan_turns(with_overrides(timed, {"plan.cure": "0 d"}), plan)
    assert told((first, last), "burn") == told((first, last), "lid")


def test_a_band_moves_with_its_time(result):
    timed = with_overrides(BOX, {"plan.melting": "1 h", "plan.resting": "15 min", "pour.clock": "10:15"})

    def plan(one, before):
        found = plan_day(one, result, before=before)
        banded = [
            replace(step, low=step.time - 600.0, high=step.time + 600.0, opens=step.time + 3600.0)
            for step in found.steps
        ]
        return replace(found, steps=tuple(banded))

    first, last = plan_turns(timed, plan)
    early, late = (turn.plan.step("still") for turn in (first, last))
    for name in ("time", "middle", "low", "high", "opens"):
        assert getattr(early, name) == getattr(late, name) + last.poured


def test_in_a_box_that_is_filled_in_turn_the_bands_and_the_opening_hours_are_those_of_the_last_melt(result):
    timed = {"plan.melting": "1 h", "plan.resting": "15 min", "pour.clock": "10:15", "plan.open": "8:00 to 12:30"}

    def plan(one, before):
        return plan_day(one, result, doubt=made_up_spread(), before=before)

    first, last = plan_turns(with_overrides(BOX, timed), plan)
    lids = [turn.plan.step("lid") for turn in (first, last)]
    # Whatever they count from, it is the same moment; 8:00 on the next day is 21:45 h after the first pour.
    for name in ("time", "middle", "low", "high", "opens"):
        assert getattr(lids[0], name) == getattr(lids[1], name) + last.poured, name
    assert lids[0].opens == 21.75 * 3600.0


def test_boxes_that_are_filled_from_one_melt_each_are_as_they_were_run():
    # Twelve jars, six in a box: two melts of six fill a box each, three of four do not.
    for melt, shared in (("1.3 kg", False), ("900 g", True)):
        two = with_overrides(BOX, {"batch.jars": 12, "batch.melt": melt})
        assert shares_a_box(two, portions(two)) == shared
    assert not shares_a_box(TWELVE, portions(TWELVE))


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        (
            {"batch.melt": "150 g"},
            r"batch\.melt: the melt of 150 g fills no jar: one needs 199 g of wax\. Give more wax\.",
        ),
        ({"batch.melt": "3 kg", "melting.void": 0.4}, r"melting\.pitcher_height: found 160 mm, .* melt at most \d+ g"),
        (
            {"batch.melt": None, "melting.pitcher_height": "40 mm", "melting.pitcher_diameter": "60 mm"},
            "larger pitcher",
        ),
    ],
)
def test_what_no_melt_can_do_is_one_message(changes, message, plan):
    with pytest.raises(ScenarioError, match=message) as caught:
        plan_turns(with_overrides(TWELVE, changes), plan)
    assert len(caught.value.faults) == 1


def test_without_a_batch_there_is_one_plan(plan):
    (turn,) = plan_turns(with_overrides(TWELVE, {"batch": None}), plan)
    assert turn.portion is None
    assert turn.plan.title == TWELVE.title


def test_the_scenario_of_the_project_takes_three_melts(plan):
    twelve = load_scenario(SCENARIOS / "twelve-tumblers.toml")
    assert twelve.invented
    turns = plan_turns(twelve, plan)
    assert [turn.portion.jars for turn in turns] == [4, 4, 4]
    assert turns[0].plan.before == replace(preparation(twelve), melts=1)

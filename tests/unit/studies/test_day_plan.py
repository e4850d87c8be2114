"""The plan of the day: order, rounding to the safe side, and the calendar, held against Python's own datetime."""

import datetime
from dataclasses import replace

import pytest

from coolsim.errors import ScenarioError
from coolsim.report.text.day_plan import plan_notes
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.workshop.day_plan import STEPS, begun_at, plan_day
from coolsim.studies.workshop.moments import moment_text
from coolsim.studies.workshop.preparation import Preparation, must_set
from tests.support.pair import closed_pair

QUICK = {"run.refinement": 0.5, "run.tolerance": "1 K"}
BARE = with_overrides(closed_pair()[0], QUICK)
FIVE_MINUTES = 300.0


@pytest.fixture(scope="module")
def result():
    return simulate(BARE.jar)


def times(plan):
    return {step.name: step.time for step in plan.steps}


def with_events(result, **events):
    return replace(result, events=replace(result.events, **events))


def test_the_steps_are_those_of_the_trade_in_their_order(result):
    plan = plan_day(BARE, result)
    assert [step.name for step in plan.steps] == [name for name in STEPS if name != "melted"]
    found = [step.time for step in plan.steps]
    assert found == sorted(found)
    # An hour of melting and a quarter of an hour from the oil to the pour: the defaults of the scenario.
    assert found[:3] == [-4500.0, -900.0, 0.0]


@pytest.mark.parametrize("clock", ["10:30", "10:32", "0:01", "23:59", None])
@pytest.mark.parametrize("event", [1741.0, 1860.0, 7201.0, 7199.0, 7200.0])
def test_times_are_rounded_to_the_safe_side(result, clock, event):
    """Too early to forbid and too late to allow are the dangerous sides; five minutes bound what is lost to safety."""
    scenario = with_overrides(BARE, {"pour.clock": clock})
    names = ("wick_free_until", "top_closed", "fully_set", "top_final", "cool")
    plan = plan_day(scenario, with_events(result, **dict.fromkeys(names, event)))
    found = times(plan)
    assert event - FIVE_MINUTES < found["wick"] <= event
    for name in ("skin", "still", "top", "lid", "label"):
        assert event <= found[name] < event + FIVE_MINUTES
    on_a_mark = 60.0 if event < 1800.0 else FIVE_MINUTES
    for name in ("wick", "still"):
        assert ((plan.clock or 0.0) + found[name]) % on_a_mark == 0.0


def test_before_the_pour_somebody_is_there_in_time(result):
    plan = plan_day(with_overrides(BARE, {"pour.clock": "10:32"}), result)
    # 10:17 and 9:17, rounded down; the pour is when it was said to be.
    assert [plan.told(plan.step(name)) for name in ("weigh", "oil", "pour")] == ["9:15", "10:15", "10:32"]


def test_early_times_are_good_to_a_minute(result):
    found = times(plan_day(BARE, with_events(result, wick_free_until=1741.0, top_closed=1741.0)))
    assert (found["wick"], found["skin"]) == (29 * 60.0, 30 * 60.0)


def test_a_time_on_a_mark_stays_there(result):
    # A clock reads 12:30 for two hours after 10:30, whatever the round-off of the events.
    for event in (7200.0 + 1e-7, 7200.0 - 1e-7):
        found = times(plan_day(BARE, with_events(result, fully_set=event, wick_free_until=event)))
        assert (found["wick"], found["still"]) == (7200.0, 7200.0)


def test_from_the_start_follows_the_pour(result):
    plan = plan_day(with_overrides(BARE, {"plan.start": "9:02"}), result)
    # 9:02 and an hour and a quarter are 10:17; the clock shows the next five minutes.
    assert plan.clock == 3600.0 * 10 + 60.0 * 20
    assert plan.told(plan.step("weigh")) == "9:02"
    assert plan.told(plan.step("pour")) == "10:20"


def test_from_the_pour_follows_the_start_even_on_the_day_before(result):
    plan = plan_day(with_overrides(BARE, {"pour.clock": "0:30", "date": "2026-03-01"}), result)
    assert plan.moment(plan.step("weigh")) == datetime.datetime(2026, 2, 28, 23, 15)
    assert plan.told(plan.step("weigh")) == "28 Feb 23:15"


def test_start_and_pour_may_leave_time_to_spare_but_not_too_little(result):
    plan = plan_day(with_overrides(BARE, {"plan.start": "9:00", "pour.clock": "11:00"}), result)
    assert [plan.told(plan.step(name)) for name in ("weigh", "oil", "pour")] == ["9:00", "10:45", "11:00"]
    tight = with_overrides(BARE, {"plan.start": "9:00", "pour.clock": "10:10"})
    with pytest.raises(ScenarioError, match=r"pour\.clock: found 10:10, .* 9:00 .* ready 1:15 h later. Pour at 10:15"):
        plan_day(tight, result)


def test_a_clock_that_runs_backwards_is_refused():
    for pour in ("9:00", "8:59", "0:00"):
        with pytest.raises(ScenarioError, match=r"plan\.start: found 9:00.*run backwards"):
            with_overrides(BARE, {"plan.start": "9:00", "pour.clock": pour})


def test_a_preparation_that_runs_backwards_is_refused():
    for times_of_it in ((100.0, 50.0, 200.0, 300.0), (None, 200.0, 100.0, 300.0), (None, 100.0, 300.0, 200.0)):
        with pytest.raises(ValueError, match="run forwards"):
            Preparation(**dict(zip(("melted", "oil", "stirred", "pour"), times_of_it, strict=True)))


def test_a_preparation_that_is_known_takes_the_place_of_the_estimate(result):
    before = Preparation(melted=2400.0, oil=2700.0, stirred=2820.0, pour=3600.0)
    plan = plan_day(with_overrides(BARE, {"plan.start": "9:00"}), result, before=before)
    assert [plan.told(plan.step(name)) for name in ("melted", "oil", "pour")] == ["9:40", "9:45", "10:00"]
    assert not plan.before.estimated


def test_the_estimate_is_one_until_both_its_times_are_stated(result):
    assert plan_day(BARE, result).before.estimated
    assert plan_day(with_overrides(BARE, {"plan.melting": "40 min"}), result).before.estimated
    stated = with_overrides(BARE, {"plan.melting": "40 min", "plan.resting": "10 min"})
    assert not plan_day(stated, result).before.estimated


def test_without_oil_nothing_is_stirred_in(result):
    plan = plan_day(with_overrides(BARE, {"wax.fragrance_load": "0 %"}), result)
    assert plan.step("oil") is None
    assert plan.step("weigh") is not None


def test_the_test_burn_waits_for_the_cure_and_for_the_jar(result):
    cured = times(plan_day(with_overrides(BARE, {"plan.cure": "10 d"}), result))
    assert cured["burn"] == 10 * 86400.0
    at_once = times(plan_day(with_overrides(BARE, {"plan.cure": "0 d"}), result))
    assert at_once["burn"] == at_once["lid"] > 0.0


def test_of_several_jars_the_first_and_the_last_count(result):
    """A box is opened, moved and lidded as one: no jar may be worse off than alone."""
    names = ("wick_free_until", "top_closed", "fully_set", "top_final", "cool")
    early, late = (with_events(result, **dict.fromkeys(names, 3600.0 * hours)) for hours in (2, 4))
    for together in ((early, late), (late, early)):
        plan = plan_day(BARE, together)
        found = times(plan)
        assert found["wick"] == 2 * 3600.0
        assert {found[name] for name in ("skin", "still", "top", "lid", "label")} == {4 * 3600.0}
        assert plan.kinds == 2
    unset = with_events(result, **dict.fromkeys(names))
    found = times(plan_day(BARE, (early, unset)))
    assert found["wick"] == 2 * 3600.0
    assert {found[name] for name in ("skin", "still", "top", "lid", "label", "burn")} == {None}


def test_what_the_scenario_does_before_the_plan_allows_it_is_told(result):
    changes = ((3600.0, "draught of 1 m/s"), (7200.0, "out of the box"), (18000.0, "into the box"), (21000.0, "lid on"))
    events = {"fully_set": 4 * 3600.0, "cool": 6 * 3600.0}
    clocked = with_overrides(BARE, {"pour.clock": "17:00"})
    plan = plan_day(clocked, replace(with_events(result, **events), changes=changes))
    assert plan.too_soon == (changes[1], changes[3])
    assert "out of the box at 19:00, lid on at 22:50" in plan_notes([plan])[-1]
    unset = plan_day(clocked, replace(with_events(result, cool=None, fully_set=None), changes=changes))
    assert unset.too_soon == changes[1:]
    assert not any("Sooner" in note for note in plan_notes([plan_day(clocked, result)]))


def test_what_was_not_reached_is_said_so(result):
    plan = plan_day(BARE, with_events(result, cool=None, fully_set=None))
    assert times(plan)["still"] is None
    assert plan.told(plan.step("lid")).startswith("not within ")
    assert plan.told(plan.step("burn")) == "not known"


@pytest.mark.parametrize("hours", [3, 30, 24 * 14, 24 * 400])
def test_days_are_those_of_the_calendar(result, hours):
    day = datetime.date(2027, 12, 31)
    scenario = with_overrides(BARE, {"pour.clock": "22:15", "date": day.isoformat()})
    plan = plan_day(scenario, with_events(result, cool=3600.0 * hours))
    poured = datetime.datetime(2027, 12, 31, 22, 15)
    assert plan.moment(plan.step("lid")) == poured + datetime.timedelta(hours=hours)


def test_moments_with_twelve_hours():
    # Noon is 12 pm and midnight 12 am (common practice in the US, from memory).
    clock = [moment_text(0.0, 3600.0 * hour, "us") for hour in (0, 1, 11, 12, 13, 23)]
    assert clock == ["12:00 am", "1:00 am", "11:00 am", "12:00 pm", "1:00 pm", "11:00 pm"]
    assert moment_text(-3600.0, 1800.0, "us") == "day before 11:30 pm"
    assert moment_text(3 * 86400.0, 1800.0, "metric") == "3 days later 0:30"


def test_water_has_no_plan():
    water = with_overrides(BARE, {"wax.kind": "water"})
    with pytest.raises(ScenarioError, match=r"wax\.kind: found 'water'"):
        must_set(water)
    must_set(BARE)


def test_in_a_room_that_goes_by_the_clock_the_pour_follows_from_the_start():
    night = with_overrides(BARE, {"pour.clock": "17:00", "room.lowest": "14 °C", "room.coldest": "5:00"})
    begun = begun_at(night, "9:02")
    # An hour and a quarter later, rounded up to five minutes.
    assert begun.pour_clock == 3600.0 * 10 + 60.0 * 20
    assert begun.plan.start == 3600.0 * 9 + 60.0 * 2
    with pytest.raises(ScenarioError, match="poured after midnight, and this room changes by the clock"):
        begun_at(night, "23:30")
    with pytest.raises(ScenarioError, match=r"plan\.start: found '25:00'"):
        begun_at(night, "25:00")
    # Elsewhere the pour may well lie on the next day.
    assert begun_at(with_overrides(BARE, {"pour.clock": "17:00"}), "23:30").pour_clock is None

"""The plan of the day: order, rounding to the safe side, and the calendar, held against Python's own datetime."""

import datetime
import math
from dataclasses import replace

import pytest

from coolsim.errors import ScenarioError
from coolsim.overview import hours_minutes
from coolsim.report.text.day_plan import closed_notes, plan_cells, plan_data, plan_notes, plan_text
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.workshop.day_plan import STEPS, begun_at, plan_day
from coolsim.studies.workshop.moments import moment_text
from coolsim.studies.workshop.preparation import Preparation, must_set
from tests.support.made_up import made_up_spread
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


MINUTE, HOUR, DAY = 60.0, 3600.0, 86400.0
OWN = {
    "wick_free_until": 50 * MINUTE, "top_closed": 50 * MINUTE, "fully_set": 2 * HOUR, "top_final": 3 * HOUR,
    "cool": 7 * HOUR,
}  # fmt: skip


def doubt(late=0.0, **ends):
    """A spread with these ends of the band of each time [s], of which a share of the cases is not reached [-]."""
    made = made_up_spread()
    bands = {name: ends.get(name, (own, own)) for name, own in OWN.items()}
    answers = tuple(
        replace(one, low=bands[name][0], high=bands[name][1], occurs=1.0 - late)
        for one in made.answers
        if (name := one.name.removesuffix("_s")) in bands
    )
    return replace(made, answers=answers)


BAND = {
    "wick_free_until": (41 * MINUTE, 58 * MINUTE),
    "top_closed": (41 * MINUTE, 58 * MINUTE),
    "fully_set": (1.5 * HOUR, 2.51 * HOUR),
    "top_final": (2 * HOUR, 4 * HOUR),
    "cool": (6 * HOUR, 9 * HOUR),
}


def test_what_must_be_over_is_early_and_what_must_wait_is_late_in_its_band(result):
    plan = plan_day(BARE, with_events(result, **OWN), doubt=doubt(**BAND))
    # By hand: the end of the band, rounded away from the middle to five minutes.
    minutes = {name: time / MINUTE for name, time in times(plan).items()}
    assert (minutes["wick"], minutes["skin"]) == (40, 60)
    assert (minutes["still"], minutes["top"], minutes["lid"], minutes["label"]) == (155, 240, 540, 540)
    middle = {step.name: step.middle for step in plan.steps}
    assert middle == times(plan_day(BARE, with_events(result, **OWN)))
    assert plan.line(plan.step("wick")) == "0:40 h (0:50\N{NO-BREAK SPACE}h)"
    # The cure is no estimate, and the pour is when it is.
    assert plan.line(plan.step("burn")) == "14 d"
    assert plan.step("burn").high == 14 * DAY
    assert plan.line(plan.step("pour")) == "0:00 h"
    assert plan.cases == 8


def test_the_safe_end_is_never_on_the_other_side_of_the_middle(result):
    """Cells of a spread are longer, and ranges may be lopsided."""
    early = {name: (0.5 * own, 0.9 * own) for name, own in OWN.items()}
    late = {name: (1.1 * own, 1.5 * own) for name, own in OWN.items()}
    own = times(plan_day(BARE, with_events(result, **OWN)))
    assert times(plan_day(BARE, with_events(result, **OWN), doubt=doubt(**late)))["wick"] == own["wick"]
    found = times(plan_day(BARE, with_events(result, **OWN), doubt=doubt(**early)))
    assert {name: found[name] for name in ("skin", "still", "top", "lid")} == {
        name: own[name] for name in ("skin", "still", "top", "lid")
    }


def test_a_time_that_some_cases_do_not_reach_is_told_with_their_share(result):
    clocked = with_overrides(BARE, {"pour.clock": "10:00", "run.horizon": "20 h"})
    late = {**BAND, "cool": (6 * HOUR, math.inf)}
    plan = plan_day(clocked, with_events(result, **OWN), doubt=doubt(late=0.17, **late))
    lid, still = plan.step("lid"), plan.step("still")
    assert (lid.time, lid.middle, lid.low, lid.high) == (None, 7 * HOUR, 6 * HOUR, math.inf)
    assert plan_cells("lid", [plan]) == ["not within 20:00 h in 2 of 10 cases (17:00)"]
    assert plan.told(plan.step("burn")) == "not known"
    assert plan.told(still) == "12:35"
    data = {one["name"]: one for one in plan_data(plan)["steps"]}
    assert [data["lid"][key] for key in ("after_pour_s", "middle_s", "low_s", "high_s")] == [
        None, 7 * HOUR, 6 * HOUR, None,
    ]  # fmt: skip
    assert data["lid"]["late_share"] == pytest.approx(0.17)
    # Nor does the jar itself: then no case is to blame.
    unset = plan_day(clocked, with_events(result, **{**OWN, "cool": None}), doubt=doubt(late=0.9, **late))
    assert unset.told(unset.step("lid")) == f"not within {hours_minutes(result.time[-1])} h"


def test_a_wick_that_is_free_to_the_end_is_safe_as_long_as_in_nine_of_ten_cases(result):
    never = with_events(result, **{**OWN, "wick_free_until": None})
    assert times(plan_day(BARE, never, doubt=doubt(**BAND)))["wick"] == 40 * MINUTE
    assert times(plan_day(BARE, never))["wick"] is None


def test_the_first_burn_waits_for_the_last_jars_where_the_cure_is_short(result):
    short = with_overrides(BARE, {"plan.cure": "0.3 d"})
    plan = plan_day(short, with_events(result, **OWN), doubt=doubt(**BAND))
    burn = plan.step("burn")
    assert (burn.time, burn.middle) == (9 * HOUR, pytest.approx(0.3 * DAY, abs=FIVE_MINUTES))


def test_a_change_is_too_soon_from_the_safe_end_on(result):
    changes = ((2.2 * HOUR, "out of the box"), (8 * HOUR, "lid on"))
    run = replace(with_events(result, **OWN), changes=changes)
    assert plan_day(BARE, run).too_soon == ()
    assert plan_day(BARE, run, doubt=doubt(**BAND)).too_soon == changes


def test_the_notes_say_which_end_it_is(result):
    run = with_events(result, **OWN)
    assert "nine of ten jars are ready by then" in plan_notes([plan_day(BARE, run, doubt=doubt(**BAND))])[0]
    assert "(8 cases)" in plan_notes([plan_day(BARE, run, doubt=doubt(**BAND))])[0]
    assert plan_notes([plan_day(BARE, run)])[0].startswith("All times are rounded to the safe side")


@pytest.mark.parametrize(
    ("pour", "still", "lid"),
    [
        # Two hours and seven later; open until six, a moment on the stroke counts as open.
        ("10:00", None, None),
        ("11:00", None, None),
        ("11:05", None, 21 * HOUR - 5 * MINUTE),
        ("17:00", 15 * HOUR, 15 * HOUR),
        ("23:00", 9 * HOUR, 9 * HOUR),
        ("1:00", 7 * HOUR, None),
        ("6:00", None, None),
    ],
)
def test_what_falls_after_closing_is_left_overnight(result, pour, still, lid):
    hours = with_overrides(BARE, {"pour.clock": pour, "plan.open": "8:00 to 18:00"})
    plan = plan_day(hours, with_events(result, **OWN))
    found = {step.name: step.opens for step in plan.steps}
    assert (found["still"], found["lid"]) == (still, lid)
    # The time itself stays, and what must be over by then, or is before it, does not wait.
    assert times(plan)["lid"] == 7 * HOUR
    assert found["wick"] is found["pour"] is found["weigh"] is None
    without = plan_day(with_overrides(BARE, {"pour.clock": pour}), with_events(result, **OWN))
    assert all(step.opens is None for step in without.steps)


def test_left_overnight_is_said_on_the_line_of_the_step(result):
    hours = with_overrides(BARE, {"pour.clock": "12:00", "plan.open": "8:00 to 18:00", "date": "2026-03-14"})
    plan = plan_day(hours, with_events(result, **OWN))
    told = "after closing: leave it overnight, from 8:00"
    assert plan_cells("lid", [plan]) == ["19:00 +7:00 *"]
    assert plan_cells("still", [plan]) == ["14:00 +2:00"]
    assert closed_notes([plan, plan]) == ("* After closing: leave it overnight, from 8:00.",)
    assert plan_data(plan)["steps"][-3]["opens_s"] == 20 * HOUR
    lines = " ".join(plan_text([plan], ["When"], scenarios=[hours]).split())
    assert "19:00 +7:00 after closing: leave it overnight, from 8:00" in lines
    assert told in str(plan)
    # Without a clock nobody knows.
    unclocked = with_overrides(BARE, {"plan.open": "8:00 to 18:00"})
    assert plan_day(unclocked, with_events(result, **OWN)).step("lid").opens is None


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

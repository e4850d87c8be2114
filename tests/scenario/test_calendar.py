"""Days and times of day: read from text and from TOML's own, refused where they are none."""

import datetime
import json

import pytest

from coolsim.errors import ScenarioError
from coolsim.scenario import changed, load_scenario, with_overrides
from tests.support.pair import closed_pair

BARE = closed_pair()[0]


@pytest.mark.parametrize(
    ("text", "minutes"),
    [("0:00", 0), ("07:05", 425), ("23:59", 1439), ("12:15 am", 15), ("12:15 pm", 735), ("2:15PM", 855)],
)
def test_a_time_of_day_is_read_with_24_hours_or_with_12(text, minutes):
    assert with_overrides(BARE, {"pour.clock": text}).pour_clock == 60.0 * minutes


@pytest.mark.parametrize("raw", ["24:00", "10:60", "13:00 pm", "0:15 am", "10.30", "10:30:15", "", 1030, 24, -1, True])
def test_what_is_no_time_of_day_is_refused_with_an_example(raw):
    with pytest.raises(ScenarioError, match=r"pour\.clock: found .* such as '10:30'"):
        with_overrides(BARE, {"pour.clock": raw})


@pytest.mark.parametrize("text", ["8:00 to 17:30", "8 am - 5:30 pm", " 08:00–17:30 "])
def test_the_hours_of_the_workshop_are_two_times_of_a_day(text):
    opened = with_overrides(BARE, {"plan.open": text})
    assert opened.plan.open == (8 * 3600.0, 17.5 * 3600.0)
    again = changed(BARE, {"plan.open": opened.plan.open})
    assert (again.plan.open, again.data["plan"]["open"]) == (opened.plan.open, "8:00 to 17:30")
    assert BARE.plan.open is None


@pytest.mark.parametrize("raw", ["8:00", "18:00 to 8:00", "8:00 to 8:00", "8:00 to 25:00", "8 to 5 to 6", ["8:00"], 8])
def test_what_are_no_hours_is_refused_with_an_example(raw):
    with pytest.raises(ScenarioError, match=r"plan\.open: found .* such as '8:00 to 18:00'"):
        with_overrides(BARE, {"plan.open": raw})


@pytest.mark.parametrize(
    "raw", ["2026-02-30", "14.3.2026", "20260314", "tomorrow", 2026, "2026-03-14T10:30:00", "9999-12-31", "0001-01-01"]
)
def test_what_is_no_day_is_refused_with_an_example(raw):
    with pytest.raises(ScenarioError, match=r"date: found .* such as '2026-03-14'"):
        with_overrides(BARE, {"date": raw})


def test_a_plan_can_be_made_on_the_first_and_the_last_day():
    from coolsim.solve.simulate import simulate
    from coolsim.studies.workshop.day_plan import plan_day

    quick = {"run.refinement": 0.5, "run.tolerance": "1 K", "pour.clock": "0:05", "plan.cure": "365 d"}
    result = simulate(with_overrides(BARE, quick).jar)
    for day in ("1900-01-01", "2999-12-31"):
        plan = plan_day(with_overrides(BARE, {**quick, "date": day}), result)
        assert all(plan.moment(step) for step in plan.steps)
        assert all(plan.told(step) for step in plan.steps)


def test_days_and_times_may_be_those_of_toml_and_the_data_stay_plain(tmp_path):
    from commands import SCENARIOS

    text = (SCENARIOS / "tumbler-bare.toml").read_text(encoding="utf-8")
    path = tmp_path / "own.toml"
    path.write_text("date = 2026-03-14\n" + text.replace("[pour]", "[pour]\nclock = 10:30:00"), encoding="utf-8")
    scenario = load_scenario(path)
    assert (scenario.date, scenario.pour_clock) == (datetime.date(2026, 3, 14), 37800.0)
    again = with_overrides(scenario, json.loads(json.dumps(scenario.data)))
    assert (again.date, again.pour_clock) == (scenario.date, scenario.pour_clock)


def test_without_them_nothing_is_made_up():
    assert (BARE.author, BARE.date, BARE.pour_clock) == ("", None, None)

"""Days and times of day: read from text and from TOML's own, refused where they are none."""

import datetime
import json

import pytest

from coolsim.errors import ScenarioError
from coolsim.scenario import load_scenario, with_overrides
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

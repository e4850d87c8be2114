"""Exactly at a boundary: of a plan, of a log and its clock; and how large an effect is that is nothing but chance."""

from types import SimpleNamespace

import numpy as np
import pytest
from made_up import made_up_fit
from scipy.stats import chi2

from coolsim.errors import LogError, ScenarioError
from coolsim.report.text.day_plan import plan_cells, plan_data
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.fit.fit import fitted_fields
from coolsim.studies.fit.log import read_log
from coolsim.studies.repair.melted_top import melted_depth, reached
from coolsim.studies.spread.influence import main_effects
from coolsim.studies.workshop.day_plan import plan_day
from coolsim.studies.workshop.moments import moment_text
from coolsim.studies.workshop.preparation import Preparation
from tests.support.pair import closed_pair

BARE = closed_pair()[0]
READY = Preparation(melted=None, oil=3000.0, stirred=3120.0, pour=3600.0)


def planned(scenario=BARE, *, changes=(), closed=(7200.0,), **events):
    """The plan of one jar for each time at which a top closes, with other events made up."""
    names = ("wick_free_until", "fully_set", "top_final", "cool")
    results = [
        SimpleNamespace(
            required_events=lambda one=one: SimpleNamespace(
                **{**dict.fromkeys(names, 7200.0), **events, "top_closed": one}
            ),
            time=[0.0, 36000.0],
            changes=changes,
        )
        for one in closed
    ]
    return plan_day(scenario, results, before=READY)


def test_wax_that_is_ready_exactly_at_the_pour_may_be_poured():
    ready = with_overrides(BARE, {"plan.start": "9:00", "pour.clock": "10:00"})
    assert planned(ready).step("weigh").time == -3600.0
    with pytest.raises(ScenarioError, match="wax that is put on at 9:01"):
        planned(with_overrides(ready, {"plan.start": "9:01"}))


@pytest.mark.parametrize(("event", "rounded"), [(1740.0, 1740.0), (1799.0, 1800.0), (1800.0, 2040.0), (1801.0, 2040.0)])
def test_from_half_an_hour_on_times_are_those_of_five_minutes(event, rounded):
    # Poured at 10:01, so that minutes and five minutes are told apart: 10:35 is 34 minutes later.
    plan = planned(with_overrides(BARE, {"pour.clock": "10:01"}), closed=(event,))
    assert plan.step("skin").time == rounded


def test_of_several_jars_the_last_to_close_is_waited_for():
    assert planned(closed=(3600.0, 7200.0, 5400.0)).step("skin").time == 7200.0


def test_a_change_exactly_when_the_plan_allows_it_is_not_too_soon():
    happens = ((7200.0, "out of the box"), (10800.0, "lid on"))
    assert planned(changes=happens, cool=10800.0).too_soon == ()
    early = ((7199.0, "out of the box"), (10799.0, "lid on"))
    assert planned(changes=early, cool=10800.0).too_soon == early


def test_one_day_is_told_in_hours_and_two_in_days():
    told = [moment_text(24 * 3600.0 * days, None, "metric") for days in (1, 2)]
    assert told == ["24:00 h", "2 d"]


PLACES = {"axis": (0.0, 0.035)}


def log(folder, times, *, heading="axis [°C]", readings=(60, 59, 58, 57, 56), **how):
    path = folder / "log.csv"
    rows = (f"{time},{reading}\n" for time, reading in zip(times, readings, strict=False))
    path.write_text(f"time,{heading}\n" + "".join(rows), encoding="utf-8")
    return read_log(path, PLACES, between=(5.0, 80.0), **how).probes[0]


def test_readings_exactly_at_the_first_and_last_time_count(tmp_path):
    probe = log(tmp_path, (0, 10, 20, 30, 40), time_unit="min", first=600.0, last=1800.0)
    assert probe.time.tolist() == [600.0, 1200.0, 1800.0]
    assert probe.temperature.tolist() == [59.0, 58.0, 57.0]


def test_the_unit_of_a_heading_counts_before_that_of_the_call(tmp_path):
    probe = log(
        tmp_path, (0, 10, 20), time_unit="min", heading="axis [°F]", readings=(140, 131, 122), temperature_unit="C"
    )
    assert probe.temperature == pytest.approx([60.0, 55.0, 50.0])


@pytest.mark.parametrize(
    ("times", "pour_at", "since"),
    [
        (("9:40", "9:50", "10:00"), "9:30", [10, 20, 30]),
        (("9:40", "9:50", "10:00"), "9:50", [-10, 0, 10]),
        (("0:10", "0:20", "0:30"), "23:50", [20, 30, 40]),
        (("11:50 am", "12:10 pm", "1:05 pm"), None, [0, 20, 75]),
        (("11:50 pm", "12:10 am", "1:05 am"), None, [0, 20, 75]),
        (("12:10 am", "1:05 am", "1:10 am"), "12:00 am", [10, 65, 70]),
    ],
)
def test_a_clock_tells_the_time_since_the_pour(tmp_path, times, pour_at, since):
    found = log(tmp_path, times, pour_at=pour_at, first=-3600.0).time / 60.0
    assert found.tolist() == since


def test_a_clock_that_goes_back_a_little_is_no_midnight(tmp_path):
    with pytest.raises(LogError, match="line 3: the time goes back by 10 min"):
        log(tmp_path, ("9:40", "9:30", "9:50"))


@pytest.mark.parametrize("scale", [1e-6, 1.0, 3e4])
def test_a_trend_is_counted_in_standard_deviations_of_the_answer(scale):
    levels = (np.arange(64)[:, None] + 0.5) / 64
    (trend,) = main_effects(levels, scale * levels[:, 0]).trends
    # Half of the range over its standard deviation, 1 / sqrt(12); of 64 even values the sample's is 1.5 % larger.
    assert trend == pytest.approx(np.sqrt(3.0), rel=0.02)


def test_of_what_is_nothing_but_chance_little_is_left():
    # What noise gives is a chi-squared variable with as many degrees of freedom as the polynomial, over the runs.
    runs, draws = 64, 400
    random = np.random.default_rng(0)
    levels = (np.arange(runs)[:, None] + 0.5) / runs
    found = [main_effects(levels, random.normal(size=runs)) for _ in range(draws)]
    degree = found[0].degree
    assert degree > 1
    left = chi2(degree).expect(lambda x: x - degree, lb=degree)
    # The standard deviation of what is left is some two units, of the mean of 400 a tenth of one.
    assert runs * np.mean([one.shares[0] for one in found]) == pytest.approx(left, abs=0.35)
    beyond = np.mean([one.shares[0] > one.noise for one in found])
    # Four standard deviations of a share of 400.
    expected = chi2(degree).sf(degree + 2.0 * np.sqrt(2.0 * degree))
    assert beyond == pytest.approx(expected, abs=4.0 * np.sqrt(expected / draws))


def test_hours_after_the_pour_stand_beside_the_clock_up_to_two_days():
    clock = with_overrides(BARE, {"pour.clock": "10:00", "plan.cure": "1 d"})
    for hours, cell in ((30, "next day 16:00 +30:00"), (47, "2 days later 9:00 +47:00"), (48, "2 days later 10:00")):
        plan = planned(clock, cool=3600.0 * hours)
        assert plan_cells("lid", [plan]) == [cell]


def test_a_goal_that_is_met_exactly_and_no_more_is_reached():
    assert reached(np.array([0.0, 10.0, 20.0]), np.array([2.0, 0.0, 0.0])) == 10.0
    assert reached(np.array([0.0, 10.0]), np.array([0.0, 1.0])) == 0.0


def test_melted_depth_is_what_runs_in_each_column_by_the_heights_of_its_cells():
    # A fingertip marks wax down to 84.5 % liquid, and a dip of 1 mm levels in it from 93.8 %: by hand from the law.
    quick = {"run.refinement": 0.5, "run.tolerance": "1 K", "run.horizon": "1 h"}
    result = simulate(with_overrides(BARE, quick).jar)
    heights = np.diff(result.wax.z_edges)
    # Cells that are alike would not tell bottom from top.
    assert heights[0] != pytest.approx(heights[-1], rel=0.01)
    depth = melted_depth(result)
    for step in (0, len(result.time) // 2, -1):
        liquid = result.liquid_map(result.time[step])
        melted = np.where(liquid < 0.84488, 0.0, np.where(liquid > 0.93838, 1.0, (liquid - 0.84488) / 0.0935))
        # Within the cells at the two fronts the heat is straight: half a cell each.
        assert depth[step] == pytest.approx(heights @ melted, abs=heights.max())
    # The wax is neither all melt nor all firm in the end.
    assert 0.05 < depth[-1].mean() / heights.sum() < 0.95


def test_a_plan_for_machines_counts_from_the_pour_and_is_negative_before_it():
    data = plan_data(planned(with_overrides(BARE, {"pour.clock": "10:00", "date": "2026-03-14"})))
    steps = {one["name"]: (one["after_pour_s"], one["moment"]) for one in data["steps"]}
    assert steps["weigh"] == (-3600.0, "2026-03-14T09:00")
    assert steps["pour"] == (0.0, "2026-03-14T10:00")
    assert steps["still"] == (7200.0, "2026-03-14T12:00")


def test_a_fitted_value_lies_between_its_lower_and_its_upper_end():
    made = made_up_fit()
    low, high = np.full(2, -4.0), np.full(2, 4.0)
    (field,) = fitted_fields([made.fields[0].known], made.estimate, low, high)
    # Half a standard deviation up, from 0.3 below to 1.5 above; one is a quarter of the factors from 0.67 to 1.5.
    step = np.log(1.5 / 0.67) / 4.0
    ends = (np.exp(-0.3 * step), np.exp(0.5 * step), np.exp(1.5 * step))
    assert (field.low, field.value, field.high) == pytest.approx(ends, rel=1e-3)
    # 1.96 either way is all that was plausible before.
    assert (field.told, field.at_bound) == (pytest.approx(1.8 / 3.92), False)

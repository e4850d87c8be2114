"""What studies make of outcomes that are given to them: a spread, a fit, the limits of a pour. No run is made."""

from dataclasses import replace
from itertools import count

import numpy as np
import pytest

from coolsim.answers.catalogue import BY_KEY
from coolsim.scenario import with_overrides
from coolsim.studies.fit import log_model as fit_model
from coolsim.studies.fit.estimate import Data, estimate
from coolsim.studies.fit.log import Log, Probe
from coolsim.studies.fit.parameters import Measured, Nuisance, Seen
from coolsim.studies.fit.probe_curves import ProbeCurves
from coolsim.studies.pour import cases as pour_cases
from coolsim.studies.pour.cases import pours_in_most_cases
from coolsim.studies.pour.choose import AS_GOOD, PourStudy, choices_of
from coolsim.studies.pour.limits import MARGIN
from coolsim.studies.pour.remedies import limits_met
from coolsim.studies.spread import spread as spread_module
from coolsim.studies.spread.inputs import sample_inputs, sample_rows, spread_inputs, value_at_level
from coolsim.studies.spread.spread import spread_study
from coolsim.studies.sweep.sweep import SweptRow, sweep_points
from coolsim.studies.workshop import advice
from coolsim.units import parse_quantity
from tests.support.made_up_runs import answered
from tests.support.pair import closed_pair

BARE, BOXED = closed_pair()
NOTHING = {name: None for name in BY_KEY}
# Freezing cannot end above its start: these ranges overlap, and some of the draws are passed over.
RANGES = {"wax.freezing_starts": (36.0, 50.0), "wax.freezing_ends": (20.0, 44.0)}


def test_after_draws_are_passed_over_each_row_still_has_the_values_of_its_levels():
    inputs = spread_inputs(BARE, list(RANGES), ranges=RANGES)
    found = sample_inputs(BARE, inputs, runs=23, seed=0)
    assert found.passed_over > 0
    assert len(found.points) == len(found.levels) == 23
    for levels, point in zip(found.levels, found.points, strict=True):
        assert dict(point.at) == {
            known.key: known.raw(value_at_level(known, level)) for known, level in zip(inputs, levels, strict=True)
        }


def freezing_starts(point):
    return parse_quantity(dict(point.at)["wax.freezing_starts"], "temperature")


@pytest.mark.parametrize("runs", [32, 160], ids=["at once", "in parts"])
def test_effects_are_those_of_the_rows_that_were_run(runs):
    # The time to set is made up of one input alone; every fifth run fails.
    number = count()

    def outcome(point):
        if next(number) % 5 == 4:
            return {"fault": "made up for this test"}
        start = freezing_starts(point) if point.at else 43.0
        answers = {**NOTHING, "fully_set_s": 100.0 * start, "cavity_volume_m3": 1e-6 * start}
        return {"answers": answers, "time": np.array([0.0, 1.0]), "curves": {}}

    found = answered(spread_study(BARE, keys=list(RANGES), ranges=RANGES, runs=runs), outcome)
    assert found.passed_over > 0
    answer = found.answer("fully_set_s")
    done = [row for row in found.rows if row.answers is not None]
    assert [row.answers["fully_set_s"] for row in done] == [100.0 * freezing_starts(row.point) for row in done]
    # A triangle is no straight line in its level: a cubic explains nearly all.
    assert answer.effects.shares[0] > 0.95
    assert answer.effects.trends[0] > 0.0
    assert found.answer("cavity_volume_m3").effects.shares[0] > 0.95
    assert answer.nominal == 4300.0
    assert len(found.levels) == len(found.rows) == runs


def test_a_cavity_or_a_time_exactly_at_its_limit_counts():
    limits = BARE.jar.answers
    numbers = count()

    def outcome(_):
        # The first is the scenario as it stands; three of the ten are just below, two never set.
        number = next(numbers)
        cavity = limits.cavity_from * (1.0 - 1e-9 if number in (6, 7, 8) else 1.0)
        answers = {**NOTHING, "fully_set_s": None if number in (9, 10) else 3600.0, "cavity_volume_m3": cavity}
        return {"answers": answers, "time": np.array([0.0, 1.0]), "curves": {}}

    found = answered(spread_study(BARE, keys=["films.side_factor"], runs=10), outcome)
    chances = {one.name: one for one in found.chances}
    hidden = chances["there is a hidden cavity"]
    assert hidden.nominal
    # Those that have not set have no cavity yet.
    assert hidden.share == pytest.approx(0.5)
    assert chances["it is fully set within the run"].share == pytest.approx(0.8)
    answer = found.answer("fully_set_s")
    # A time of setting is known to be late where it is not reached, and does not occur there.
    assert (answer.occurs, answer.median, answer.high) == (0.8, 3600.0, np.inf)


class Straight:
    """A model that is linear in its parameters."""

    def __init__(self, slopes):
        self.slopes = slopes

    def predict(self, place):
        return self.slopes @ place

    def jacobian(self, place):
        return self.slopes

    def timing(self, place):
        return np.zeros(len(self.slopes))


@pytest.mark.parametrize(("link", "seed"), [(0.0, 1), (0.6, 2), (0.9, 3)])
def test_readings_that_err_together_count_for_less(link, seed):
    # An autoregression of first order: with the correlation c of neighbours the mean of many readings is as sure as
    # that of (1 - c)/(1 + c) times as many on their own (Bayley and Hammersley 1946, from memory).
    count, scatter = 4000, 0.5
    random = np.random.default_rng(seed).normal(0.0, 1.0, count)
    error = np.empty(count)
    error[0] = random[0]
    for at in range(1, count):
        error[at] = link * error[at - 1] + np.sqrt(1.0 - link**2) * random[at]
    slopes = np.column_stack([np.ones(count), np.linspace(-1.0, 1.0, count)])
    truth = np.array([0.4, -0.3])
    values, group = slopes @ truth + scatter * error, np.zeros(count, dtype=int)
    data = Data(values=values, group=group, deviation=np.full(count, 0.05))
    found = estimate(Straight(slopes), data, low=np.full(2, -4.0), high=np.full(2, 4.0))
    assert found.settled
    # Of 4000 readings scatter and correlation are known to some per cent; at 0.9 (1 + c)/(1 - c) is five times worse.
    assert found.noise[0] == pytest.approx(scatter, rel=0.15)
    factor = np.sqrt((1.0 + link) / (1.0 - link))
    assert found.together[0] == pytest.approx(factor, rel=0.15)
    noise = found.noise[0] * found.together[0]
    # The search ends when the noise stays within 5 %, so the covariance is within twice that.
    expected = np.linalg.inv(slopes.T @ slopes / noise**2 + np.eye(2))
    np.testing.assert_allclose(np.diag(found.covariance), np.diag(expected), rtol=0.11)
    assert np.all(np.abs(found.parameters - truth) < 4.0 * found.told)


STUDY = PourStudy(
    stands={"bare": BARE, "boxed": BOXED}, own="bare", choices=(), time_allowed=8 * 3600.0, margin=8.0, own_grid=False
)
MELTS = {**NOTHING, "skin_formed_s": 5.0, "skin_melted_again_s": 60.0, "fully_set_s": 3600.0}


def rejected(*, pour, study=STUDY, jar="21 °C", **answers):
    """Limits that a bare pour breaks whose run had these answers."""
    always = {"wax.highest_temperature": None, "wax.fragrance_limit": None, "vessel.temperature": jar}
    (point,) = sweep_points([study.stands["bare"]], {"pour.temperature": [pour]}, always=always)
    (choice,) = choices_of([SweptRow(point=point, answers={**MELTS, **answers}, fault=None)], study)
    return choice.candidates[0].rejected


def test_a_pour_exactly_at_a_limit_keeps_it_and_one_beyond_does_not():
    near = replace(STUDY, margin=51.0 - BARE.jar.wax.freezing_starts)
    assert rejected(study=near, pour="51 °C") == ()
    assert rejected(study=near, pour="50.99 °C") == ("too near freezing",)
    # The glass is trusted with 42 K.
    assert rejected(pour="63 °C") == ()
    assert rejected(pour="63.01 °C") == ("jar shock",)
    assert rejected(pour="63 °C", jar="20.99 °C") == ("jar shock",)
    cool = {"pour.temperature": "55 °C", "wax.highest_temperature": "60 °C", "wax.fragrance_limit": "58 °C"}
    stated = replace(STUDY, stands={"bare": with_overrides(BARE, cool), "boxed": BOXED})
    assert rejected(study=stated, pour="58 °C") == ()
    assert rejected(study=stated, pour="58.01 °C") == ("fragrance limit",)
    assert rejected(study=stated, pour="60 °C") == ("fragrance limit",)
    assert rejected(study=stated, pour="60.01 °C") == ("wax maker's limit", "fragrance limit")
    assert rejected(pour="60 °C", fully_set_s=8 * 3600.0) == ()
    assert rejected(pour="60 °C", fully_set_s=8 * 3600.0 + 1.0) == ("too slow",)


def test_a_pour_exactly_as_far_from_the_best_as_allowed_is_as_good():
    points = sweep_points([BARE], {"pour.temperature": ["56 °C", "58 °C", "60 °C"]}, always={"report": None})
    # Powers of two, so that the product is exact: 1.0 + AS_GOOD times the dish.
    dishes = (2.0**-18 * (1.0 + AS_GOOD), 2.0**-18, 2.0**-18 * (1.0 + AS_GOOD) * (1.0 + 1e-9))
    rows = [
        SweptRow(point=point, answers={**MELTS, "dish_volume_m3": dish, "cavity_volume_m3": 0.0}, fault=None)
        for point, dish in zip(points, dishes, strict=True)
    ]
    (choice,) = choices_of(rows, STUDY)
    assert [one.pour for one in choice.as_good] == [56.0, 58.0]


@pytest.fixture
def asked(monkeypatch):
    """What cases would run: scenarios of all points; each sets in half an hour at 60 °C, and keeps its skin below."""
    seen = []

    def run(wishes, executor, *, task, came, workers):
        (points,) = wishes
        for name, point in points.items():
            seen.append(point.jar)
            skin = {"skin_formed_s": 5.0, "skin_melted_again_s": 60.0 if point.jar.pour > 59.0 else None}
            came(name, {"answers": {**MELTS, **skin, "fully_set_s": 1800.0}})

    monkeypatch.setattr(pour_cases, "run_points", run)
    return seen


def choices(jar, *, study=STUDY):
    always = {"vessel.temperature": jar}
    points = sweep_points(list(study.stands.values()), {"pour.temperature": ["56 °C", "60 °C"]}, always=always)
    return choices_of([SweptRow(point=point, answers=MELTS, fault=None) for point in points], study)


def test_cases_run_with_the_jar_the_room_and_the_pour_that_were_asked_for(asked):
    study = replace(STUDY, choices=choices("33 °C"))
    found = pours_in_most_cases(study, cases=8, executor=object())
    assert len(asked) >= 8 * 2 * 2
    assert {jar.vessel.start for jar in asked} == {33.0}
    assert {jar.room.at(0.0) for jar in asked} == {21.0}
    assert {jar.pour for jar in asked} == {56.0, 60.0}
    assert {jar.surround is not None for jar in asked} == {False, True}
    for choice in found.choices:
        assert (choice.jar, choice.room) == (33.0, 21.0)
        assert [one.passes for one in choice.candidates] == [0.0, 1.0]


@pytest.mark.usefixtures("asked")
def test_a_pour_that_passes_in_exactly_the_share_asked_for_is_kept(monkeypatch):
    whole = pour_cases._judged

    def judged(choice, _, share):
        # Six of eight pass at 56 °C, and all at 60 °C.
        made = [(None, None)] * 6 + [("skin stays", None), ("too slow", None)]
        return whole(choice, made, share)

    monkeypatch.setattr(pour_cases, "_judged", judged)
    study = replace(STUDY, choices=choices("21 °C")[:1])
    exactly, more = (pours_in_most_cases(study, cases=8, share=one, executor=object()) for one in (0.75, 0.76))
    assert [one.rejected for one in exactly.choices[0].candidates] == [(), ()]
    assert [one.rejected for one in more.choices[0].candidates] == [("passes too seldom",), ()]
    assert exactly.choices[0].candidates[0].breaks == (("skin stays", 0.125), ("too slow", 0.125))


def test_errors_of_the_thermometer_shift_curves_and_predictions_alike(monkeypatch):
    # Straight curves of the place and the time: what is predicted can be read off them.
    def shown(trials):
        return [made_up(trial) for trial in trials]

    def made_up(trial):
        time = np.array([0.0, 3600.0])
        temperature = np.array([[70.0 + 1e3 * z, 40.0 + 1e3 * z] for _, z in trial.places]).reshape(-1, 2)
        values = {"top closed": 1800.0, "dish": 2e-3}
        return ProbeCurves(time=time, temperature=temperature, seen={name: values[name] for name in trial.seen})

    monkeypatch.setattr(fit_model, "probe_curves", shown)
    time = np.array([600.0, 1200.0, 1800.0])
    log = Log(where="log.csv", probes=(Probe(name="axis", place=(0.0, 0.03), time=time, temperature=time),), how=())
    errors = (Nuisance("z", 0, 1e-3), Nuisance("reading", 0, 0.5), Nuisance("clock", -1, 30.0))
    # The second jar has a log and errors of its own, and its ruler does not go by the clock.
    other = (Nuisance("z", 0, 1e-3, jar=1), Nuisance("clock", -1, 30.0, jar=1))
    known = spread_inputs(BARE, ["films.side_factor"])
    jars = [
        Measured(scenario=BARE, log=log, seen=(Seen("top closed", 1500.0, 60.0),)),
        Measured(scenario=BOXED, log=log, seen=(Seen("dish", 1e-3, 1e-3),)),
    ]
    model = fit_model.LogModel(jars, known, (*errors, *other))
    assert model.data.group.tolist() == [0, 0, 0, -1, 1, 1, 1, -1]
    place = np.array([0.0, 2.0, -1.0, 3.0, 1.0, -1.0])
    (curves, boxed), predicted = model.curves(place), model.predict(place)
    # 2 mm higher, 0.5 K less, and poured 90 s before the zero of the log.
    expected = 70.0 + 32.0 - 0.5 - (time + 90.0) / 120.0
    assert predicted[:3] == pytest.approx(expected)
    assert np.interp(time, curves.time, curves.temperature[0]) == pytest.approx(expected)
    assert predicted[3] == curves.seen["top closed"] == 1800.0 - 90.0
    # A standard deviation of each error, at the end of its column.
    columns = model.by_errors(place)
    np.testing.assert_allclose(columns[:3, :3], [[1.0, 0.5, -30.0 / 120.0]] * 3, rtol=1e-6)
    np.testing.assert_allclose(columns[3, :3], [0.0, 0.0, -30.0], atol=1e-6)
    # 1 mm higher, and poured 30 s after the zero of the log.
    assert predicted[4:7] == pytest.approx(70.0 + 31.0 - (time - 30.0) / 120.0)
    assert predicted[7] == boxed.seen["dish"] == 2e-3
    np.testing.assert_allclose(columns[4:7, 3:], [[1.0, -30.0 / 120.0]] * 3, rtol=1e-6)
    for untouched in (columns[:4, 3:], columns[4:, :3], columns[7]):
        assert not untouched.any()


def test_each_change_of_advice_gets_the_answers_of_its_own_run():
    # Each run is answered with what it was asked: the pour, the room and the depth of its scenario.
    def tried(scenario):
        (found,) = answered(
            advice.try_changes([(scenario, BOXED)]),
            lambda one: (
                {"fault": one.fault} if one.fault else {"answers": {"pour": one.jar.pour, "room": one.jar.room.at(0.0)}}
            ),
        )
        return found

    limits = {"pour.temperature": "57 °C", "wax.highest_temperature": "60 °C"}
    bare = with_overrides(BARE, limits)
    found = tried(bare)
    by_change = {one.change: one for one in found.trials}
    assert found.usual["pour"] == 57.0
    for change, table, off in (("warm the room", "room", 1.0), ("cool the room", "room", -1.0)):
        one = by_change[change]
        value = one.answers[table]
        assert value == one.value
        assert off * (value - 21.0) > 0.0
    step = by_change["pour hotter"].value - 57.0
    # Exactly at the limit of the data sheet it is tried, above it is not.
    for limit, fault in ((57.0 + step, None), (57.0 + step - 0.01, "against the data sheet")):
        stated = with_overrides(bare, {"wax.highest_temperature": f"{limit:g} °C"})
        found = tried(stated)
        assert next(one.fault for one in found.trials if one.change == "pour hotter") == fault
    margin = bare.jar.wax.freezing_starts + MARGIN
    for pour, fault in ((margin + step + 0.01, None), (margin + step - 0.01, "too near freezing")):
        found = tried(with_overrides(bare, {"pour.temperature": f"{pour:.6f} °C"}))
        assert next(one.fault for one in found.trials if one.change == "pour cooler") == fault


def test_limits_come_from_the_most_frequent_to_the_rarest():
    points = sweep_points([BARE], {"pour.temperature": ["50 °C", "56 °C", "64 °C", "65 °C"]}, always={"report": None})
    rows = [SweptRow(point=point, answers={**MELTS, "fully_set_s": 9 * 3600.0}, fault=None) for point in points]
    assert limits_met(choices_of(rows, STUDY)) == ("too slow", "jar shock", "too near freezing")


def test_draws_passed_over_are_counted_up_to_the_last_that_is_kept():
    faults = []

    def made(levels):
        faults.append("too low" if levels[0] < 0.4 else None)
        return len(faults), faults[-1]

    _, cases, passed_over = sample_rows(1, made, runs=9, seed=1)
    # Of 16 draws ten can be; those after the ninth of them are not made.
    assert (len(faults), faults.count(None)) == (14, 9)
    assert cases == tuple(number for number, fault in enumerate(faults, start=1) if fault is None)
    assert passed_over == 5


@pytest.mark.parametrize("count", [7, 23, 256])
def test_a_quantile_that_falls_between_two_cases_is_the_upper_one(count):
    values = np.random.default_rng(0).permutation(np.arange(float(count)))
    for share in (0.1, 0.5, 0.9):
        assert spread_module.quantile(values, share) == np.quantile(values, share, method="inverted_cdf")

"""A fit finds the values that a log was made with, and says how sure it is.

The logs are synthetic: runs of the product's own model with other values, read at a place 1 mm from the stated one,
with noise. So they test the estimation, not the model.
"""

from dataclasses import replace

import numpy as np
import pytest

from coolsim.errors import LogError, ScenarioError
from coolsim.model.jar import Change
from coolsim.report.text.fit import fit_text
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.fit.fit import fit_measured
from coolsim.studies.fit.log import Log, Probe
from coolsim.studies.fit.parameters import Measured, Seen
from coolsim.studies.fit.probe_curves import Trial, probe_curves
from coolsim.studies.fit.seen import seen_of, seen_on
from tests.support.pair import closed_pair

COARSE = {"run.refinement": 0.5, "run.tolerance": "0.5 K"}
TRUTH = {"films.side_factor": 1.15, "wax.latent_heat": "115 kJ/kg"}
NOISE = 0.2
STATED, TRUE = (0.0, 0.035), (0.0, 0.036)
SEEDS = range(5)


@pytest.fixture(scope="module")
def scenario():
    return with_overrides(closed_pair()[0], COARSE)


@pytest.fixture(scope="module")
def true_run(scenario):
    return simulate(with_overrides(scenario, TRUTH).jar)


def log_of(run, seed):
    return logged(run.time, run.temperature_at(*TRUE), seed)


def logged(times, temperature, seed, *, hours=4.0):
    time = np.arange(180.0, hours * 3600.0, 180.0)
    exact = np.interp(time, times, temperature)
    noisy = exact + np.random.default_rng(seed).normal(0.0, NOISE, len(time))
    return Log(where="log.csv", probes=(Probe(name="axis", place=STATED, time=time, temperature=noisy),), how=())


def fit_of(scenario, log=None, *, seen=(), **options):
    return fit_measured([Measured(scenario=scenario, log=log, seen=tuple(seen))], workers=1, **options)


@pytest.fixture(scope="module")
def fits(scenario, true_run):
    return [fit_of(scenario, log_of(true_run, seed), fields=tuple(TRUTH)) for seed in SEEDS]


def test_stated_intervals_hold_the_true_values(fits):
    # Ten values: of intervals that are right fewer than seven hold theirs with a chance of 1 in 1000. How many of 40
    # truths with all fields do is shown by tests/benchmarks/test_fit_intervals.py.
    inside = [
        field.low <= true <= field.high for fit in fits for field, true in zip(fit.fields, (1.15, 115e3), strict=True)
    ]
    assert sum(inside) >= 7


def test_the_log_narrows_what_was_known_before(fits):
    for fit in fits:
        assert all(field.told < 0.7 for field in fit.fields)


def test_an_event_seen_by_eye_is_enough_to_move_a_field(scenario):
    usual = simulate(scenario.jar).events.top_closed
    late = Seen("top closed", usual + 1200.0, 120.0)
    fit = fit_of(scenario, seen=[late], fields=("films.top_factor",))
    # A top that closes later loses less heat.
    assert fit.fields[0].value < scenario.jar.top_factor
    assert fit.fields[0].low < fit.fields[0].value < fit.fields[0].high


def test_a_log_that_ends_before_the_wax_is_solid_does_not_tell_where_freezing_ends(scenario):
    # With its fragrance 90 % of the heat would be out below the room; after eight hours the wax is as solid as
    # that makes it.
    shown = probe_curves([Trial(scenario.jar, [TRUE], [], 9 * 3600.0, 0.0, 0.0)])[0]
    logs = [logged(shown.time, shown.temperature[0], 0, hours=hours) for hours in (1.0, 8.0)]
    fits = [fit_of(scenario, log, fields=("wax.freezing_ends",)) for log in logs]
    assert [fit.jars[0].ends_early for fit in fits] == [True, False]
    assert [fit.fields[0].cut_off for fit in fits] == [True, False]
    text = " ".join(fit_text(fits[0], units="metric").split())
    assert "Warning: the log ends when the last place to freeze is still" in text
    assert "Hardly known from these data, and so left near the values before: wax.freezing_ends" in text


def test_a_trial_follows_the_day_of_the_jar(scenario):
    cold = Change(time=1800.0, happens="draught", foot=scenario.jar.vessel.foot, air_speed=2.0)
    by_day = replace(scenario.jar, changes=(cold,))
    names = ["fully set"]
    shown = probe_curves([Trial(by_day, [], names, by_day.horizon, 0.0, 0.0)])[0]
    assert shown.seen["fully set"] == simulate(by_day).events.fully_set
    still = probe_curves([Trial(scenario.jar, [], names, by_day.horizon, 0.0, 0.0)])[0]
    assert shown.seen["fully set"] < 0.95 * still.seen["fully set"]
    # What comes after what is looked at is left out; with a probe the run goes on when the wax is cool.
    early = probe_curves([Trial(replace(by_day, changes=(replace(cold, time=9000.0),)), [TRUE], [], 7200.0, 0.0, 0.0)])[
        0
    ]
    assert early.time[-1] == 7200.0
    late = probe_curves([Trial(by_day, [TRUE], [], 20 * 3600.0, 0.0, 0.0)])[0]
    assert late.time[-1] == 20 * 3600.0 > simulate(by_day).time[-1]


def seen_in(scenario, changes, names, spread):
    """What a ruler shows of a run with other values, a little off."""
    jar = with_overrides(scenario, changes).jar
    shown = probe_curves([Trial(jar, [], names, jar.horizon, 0.0, 0.0)])[0].seen
    return tuple(Seen(name, shown[name] + 0.3 * spread, spread) for name in names)


def test_ruler_on_a_bare_and_a_boxed_jar_tells_how_stiff_the_wax_is(scenario):
    # An invented wax, three times as stiff as the catalogue's: what a person would see of it, a sixth of a millimetre
    # off. Both jars tell more than one.
    pair = [scenario, with_overrides(closed_pair()[1], COARSE)]
    true = {"mush.stiffness": "9 MPa"}
    seen = [seen_in(one, true, ("rim", "dish", "middle"), 0.5e-3) for one in pair]
    jars = [Measured(scenario=one, seen=mine) for one, mine in zip(pair, seen, strict=True)]
    ranges = {"mush.stiffness": (3e5, 3e7)}
    both = fit_measured(jars, fields=["mush.stiffness"], ranges=ranges, workers=1)
    (field,) = both.fields
    assert field.low < 9e6 < field.high
    assert field.told < 0.85
    (alone,) = fit_measured(jars[:1], fields=["mush.stiffness"], ranges=ranges, workers=1).fields
    assert np.log(field.high / field.low) < np.log(alone.high / alone.low)


def test_fewer_readings_than_values_is_said_in_words(scenario):
    seen = seen_in(scenario, {}, ("dish", "rim"), 0.5e-3)
    fit = fit_of(scenario, seen=seen)
    assert [field.known.key for field in fit.fields] == ["mush.stiffness", "mush.suction", "wax.total_shrinkage"]
    text = " ".join(fit_text(fit, units="metric").split())
    assert "Two readings cannot tell three values: what they leave open is filled in from the plausible ranges." in text


def test_jars_of_one_fit_hold_one_wax(scenario):
    seen = (seen_of("dish=2 mm±0.5 mm")[1],)
    for changes, says in (
        ({"wax.latent_heat": "120 kJ/kg"}, "do not state the same. One fit is for one wax"),
        ({"mush.stiffness": "2 MPa"}, "mush.stiffness: found .* in .* and .* A fit gives it one value"),
    ):
        other = with_overrides(scenario, changes)
        with pytest.raises(ScenarioError, match=says):
            fit_measured([Measured(scenario=one, seen=seen) for one in (scenario, other)], workers=1)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("lunch=2:10±0:10", "found 'lunch'. Give one of rim set, wick free until, top closed"),
        ("dish=2 mm", "found 'dish=2 mm'. Say how sure it is, as in 'dish=2 mm±0.5 mm'."),
        ("dish=2±0.5", "dish: found '2'"),
        ("cavity=3 mm±1 mm", "cavity: found '3 mm'"),
        ("dish=2 mm±0 mm", "Give a deviation above zero, as in 'dish=2 mm±0.5 mm'."),
        ("top closed=0 min±5 min", "Give a time and a deviation above zero."),
    ],
)
def test_what_was_seen_is_refused_with_what_to_write(text, says):
    with pytest.raises(LogError, match=r"^seen: ") as found:
        seen_of(text)
    assert says in str(found.value)


def test_each_sight_belongs_to_a_jar():
    bare, boxed = seen_on(["bare: dish=3 mm+-0.5 mm", "boxed: top closed=3:10±0:10"], ["bare", "boxed"])
    assert (bare, boxed) == ((Seen("dish", 3e-3, 0.5e-3),), (Seen("top closed", 11400.0, 600.0),))
    for text, says in (
        ("dish=3 mm±1 mm", "Name its jar, as in 'bare: dish=3 mm±1 mm'."),
        ("bored: dish=3 mm±1 mm", "found the jar 'bored', but the scenarios are called 'bare' and 'boxed'."),
    ):
        with pytest.raises(LogError) as found:
            seen_on([text], ["bare", "boxed"])
        assert says in str(found.value)
    with pytest.raises(LogError, match="twice"):
        seen_on(["dish=3 mm±1 mm"] * 2, ["bare"])


def test_what_cannot_be_fitted_is_refused(scenario):
    with pytest.raises(LogError, match="nothing to fit"):
        fit_of(scenario)
    with pytest.raises(ScenarioError):
        fit_of(scenario, seen=[Seen("top closed", 7800.0, 600.0)], fields=("title",))


def test_a_fit_moves_the_curve_of_the_acids_by_its_two_ends(scenario):
    # Of a fat that freezes over 16 K, instead of the 23.2 K of the catalogue.
    truth = {"wax.freezing_starts": "44 °C", "wax.freezing_ends": "28 °C"}
    run = simulate(with_overrides(scenario, truth).jar)
    found = fit_of(scenario, logged(run.time, run.temperature_at(*STATED), 1, hours=6.0), fields=tuple(truth))
    for field, true in zip(found.fields, (44.0, 28.0), strict=True):
        assert abs(field.value - true) < 4.0 * 0.5 * (field.high - field.low)
        # Both are known to within a kelvin, from ranges of ten and nineteen.
        assert field.value == pytest.approx(true, abs=1.0)

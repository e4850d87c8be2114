"""What the report of a box says in words, and its plain data."""

import json
from dataclasses import replace

import pytest

from coolsim import Places, box_answers, box_fillings, box_spacings, simulate_box, with_overrides
from coolsim.errors import ScenarioError
from coolsim.model.jar import Change
from coolsim.report.text.box import box_data, box_sentences, box_text, fillings_text, trials_data
from tests.support.pair import closed_pair

QUICK = with_overrides(closed_pair()[1], {"run.refinement": 0.5, "run.tolerance": "1 K"})
HOUR = 3600.0
NINE = {"rows": 3, "columns": 3, "spacing": "10 mm", "to_wall": "10 mm"}


def run(rows, columns, **changes):
    size = {"length": 0.09 * columns, "width": 0.09 * rows, "pitch_along": 0.09, "pitch_across": 0.09}
    return simulate_box(replace(QUICK.jar, name="Jars", places=Places(rows=rows, columns=columns, **size), **changes))


@pytest.fixture(scope="module")
def nine():
    return run(3, 3)


def test_it_says_who_is_last_by_how_much_and_who_is_late(nine):
    # Between the last and the first.
    answers = box_answers(nine, time_allowed=4.0 * HOUR)
    last, flat, verdict = box_sentences(answers, units="metric")
    assert last.startswith("Last: inner (row 2, column 2), fully set at ")
    assert "first: corner (4 jars)" in last
    assert flat.startswith("Least flat: corner (4 jars), dish ")
    assert "flattest: inner (row 2, column 2), dish " in flat
    assert verdict == "All set within 4:00 h: no, not inner (row 2, column 2)."
    assert box_sentences(box_answers(nine), units="metric")[-1] == "All set within 16:00 h: yes."


def test_the_spread_is_that_between_first_and_last(nine):
    answers = box_answers(nine)
    times = [result.events.fully_set for result in nine.results]
    assert (answers.first.set_at, answers.last.set_at) == (min(times), max(times))
    data = box_data(nine, answers)
    assert data["spread_s"] == max(times) - min(times)
    assert [kind["kind"] for kind in data["kinds"]] == ["corner", "edge", "inner"]
    # No number that JSON does not know.
    json.dumps(data, allow_nan=False)


def test_jars_that_are_all_alike_are_told_in_one_sentence():
    found = run(2, 2)
    assert box_sentences(box_answers(found), units="metric")[0].startswith("All jars set alike: fully set at ")


def test_jars_that_do_not_set_are_named_and_stay_out_of_the_rest():
    found = run(1, 3, horizon=2 * HOUR)
    answers = box_answers(found)
    first, verdict = box_sentences(answers, units="us")
    assert first == "Not fully set within the run: end (2 jars) and in the row (row 1, column 2)."
    assert verdict.endswith("no, not end (2 jars) and in the row (row 1, column 2).")
    assert box_data(found, answers)["spread_s"] is None
    assert "–" in box_text(found, answers, units="us")


def test_lines_fit_a_terminal(nine):
    large = run(2, 12)
    for found in (nine, large):
        assert max(map(len, box_text(found, box_answers(found), units="us").splitlines())) <= 80


def test_a_filling_that_cannot_be_run_says_why_and_the_others_go_on():
    scenario = with_overrides(QUICK, {"surround.gap": None, "places": NINE})
    trials = box_fillings(scenario)
    # A square box: two rows of three are three rows of two.
    assert [(trial.rows, trial.columns) for trial in trials] == [(3, 3), (2, 3), (2, 2), (1, 3), (1, 2), (1, 1)]
    text = fillings_text(trials, "Nine", time_allowed=16 * HOUR, units="metric")
    assert "Largest filling that sets within 16:00 h: 9 jars in 3 × 3" in text
    assert trials[-1].answers is None
    assert "outside the range of the law" in trials[-1].fault
    assert text.count("Not run:") == 1
    data = trials_data(trials)
    assert data[0]["passes"] is True
    assert data[-1]["fault"] is not None
    json.dumps(data, allow_nan=False)


def test_the_box_of_a_spacing_is_larger_by_it():
    scenario = with_overrides(QUICK, {"surround.gap": None, "places": NINE})
    same, wider = box_spacings(scenario, ["10 mm", "30 mm"])
    assert same.answers.places == scenario.jar.places
    assert wider.answers.places.length - same.answers.places.length == pytest.approx(2 * 0.02)


def test_one_place_has_no_spacing():
    one = {"surround.gap": None, "places": {"rows": 1, "columns": 1, "to_wall": "12 mm"}}
    with pytest.raises(ScenarioError, match="one place, which has no neighbours"):
        box_spacings(with_overrides(QUICK, one), ["5 mm"])


def test_what_happens_on_the_way_is_told():
    out = Change(time=HOUR, happens="out of the box", foot=25.0, moved=True)
    found = run(1, 2, changes=(out,), horizon=2 * HOUR)
    assert "On the way: out of the box at 1:00 h." in box_text(found, box_answers(found), units="metric")

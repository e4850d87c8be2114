"""Sweeps go on past a failed point and resume from their journal; the pour is chosen among those that pass."""

from concurrent.futures import Executor, ThreadPoolExecutor

import pytest

from coolsim.errors import ScenarioError
from coolsim.scenario import with_overrides
from coolsim.studies.pour.choose import AS_GOOD, choose_pour
from coolsim.studies.pour.remedies import try_remedies
from coolsim.studies.sweep.sweep import sweep, sweep_points
from tests.support.pair import closed_pair

BARE = with_overrides(closed_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})


class Nobody(Executor):
    """Fails when it is given anything to do."""

    def submit(self, *_, **__):
        raise AssertionError("nothing was left to run")


@pytest.fixture
def one_thread():
    with ThreadPoolExecutor(1) as executor:
        yield executor


def test_rows_come_in_the_order_of_their_points_and_a_failed_one_says_why(one_thread):
    points = sweep_points([BARE], {"room.temperature": ["15 °C", "24 °C"], "pour.temperature": ["30 °C", "62 °C"]})
    rows = sweep(points, executor=one_thread)
    assert [row.point for row in rows] == list(points)
    assert [row.answers is None for row in rows] == [True, False, True, False]
    assert "pour.temperature" in rows[0].fault
    # A larger difference to the room drives more heat out.
    assert rows[1].answers["fully_set_s"] < rows[3].answers["fully_set_s"]


def test_what_the_journal_holds_is_not_run_again(one_thread, tmp_path):
    points = sweep_points([BARE], {"pour.temperature": ["58 °C", "62 °C"]})
    first = sweep(points, executor=one_thread, journal=tmp_path / "sweep.jsonl")
    again = sweep(points, executor=Nobody(), journal=tmp_path / "sweep.jsonl")
    assert [row.answers for row in again] == [row.answers for row in first]


def test_a_torn_last_line_is_run_again(one_thread, tmp_path):
    journal = tmp_path / "sweep.jsonl"
    points = sweep_points([BARE], {"pour.temperature": ["58 °C", "62 °C"]})
    first = sweep(points, executor=one_thread, journal=journal)
    journal.write_bytes(journal.read_bytes()[:-20])
    seen = []
    again = sweep(points, executor=one_thread, journal=journal, on_row=lambda row, *_: seen.append(row))
    assert len(seen) == 2
    assert [row.answers for row in again] == [row.answers for row in first]
    assert sweep(points, executor=Nobody(), journal=journal) == again


@pytest.mark.parametrize(
    ("axes", "told"), [({"pour.temprature": ["60 °C"]}, "Did you mean"), ({"pour.temperature": []}, "no values")]
)
def test_a_sweep_over_nothing_or_over_an_unknown_key_is_refused(axes, told):
    with pytest.raises(ScenarioError, match=told):
        sweep_points([BARE], axes)


def test_no_workers_are_refused():
    with pytest.raises(ScenarioError, match="workers"):
        sweep(sweep_points([BARE], {"pour.temperature": ["60 °C"]}), workers=0)


def test_the_recommended_pour_passes_every_limit_and_loses_hardly_more_than_the_least(one_thread):
    study = choose_pour(
        BARE, rooms=["21 °C"], pours=["46 °C", "58 °C", "62 °C", "70 °C"], executor=one_thread, own_grid=True
    )
    assert {choice.place for choice in study.choices} == {"bare", "boxed"}
    for choice in study.choices:
        rejected = {round(one.pour): set(one.rejected) for one in choice.candidates}
        # 70 °C into glass of 21 °C is 49 K, above the 42 K of the scenario; wax with 8 % oil starts to freeze at 43 °C.
        assert "jar shock" in rejected[70]
        assert "too near freezing" in rejected[46]
        passing = [one for one in choice.candidates if not one.rejected]
        assert choice.recommended in passing
        assert choice.recommended.lost <= (1.0 + AS_GOOD) * min(one.lost for one in passing)


def test_when_nothing_passes_the_remedies_are_tried_on_this_jar(one_thread):
    study = choose_pour(BARE, rooms=["5 °C"], pours=["60 °C"], executor=one_thread, own_grid=True)
    bare = next(choice for choice in study.choices if choice.place == "bare")
    assert bare.recommended is None
    remedies = try_remedies(study, bare, executor=one_thread)
    assert remedies

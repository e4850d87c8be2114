"""Several studies at one pool of workers: each is sent what it asked for, and none waits for another."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Event

import pytest

from coolsim.scenario import with_overrides
from coolsim.studies.sweep import sweep as module
from coolsim.studies.sweep.point import run_jars
from coolsim.studies.sweep.sweep import Wanted, run_studies, sweep_points, swept
from tests.support.pair import closed_pair

POURS = (60.0, 61.0, 62.0, 63.0)
COARSE = with_overrides(closed_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
ONE, TWO, THREE, FOUR = sweep_points([COARSE], {"pour.temperature": [f"{pour:g} °C" for pour in POURS]})


@pytest.fixture
def thread(monkeypatch):
    """One worker, which is given one chunk at a time."""
    monkeypatch.setattr(module, "AHEAD", 1)
    with ThreadPoolExecutor(1) as executor:
        yield executor


def asks(task, *wishes):
    """A study that asks for some points after others, and finds what it was sent."""
    found = []
    for points in wishes:
        found += yield Wanted(points=points, task=task)
    return found


def test_what_a_study_asks_for_next_is_run_before_what_waits_and_each_is_sent_its_own(thread):
    order, seen = [], []

    def task(name):
        def run(jars):
            order.append(name)
            return [{"answers": (name, jar.pour)} for jar in jars]

        return run

    studies = [asks(task("first"), [ONE], [THREE, FOUR]), asks(task("second"), [TWO, ONE])]
    found = run_studies(studies, executor=thread, workers=2, on_run=lambda done, total: seen.append((done, total)))
    assert found == [
        [{"answers": ("first", pour)} for pour in (60.0, 62.0, 63.0)],
        [{"answers": ("second", pour)} for pour in (61.0, 60.0)],
    ]
    assert order == ["first"] * 3 + ["second"] * 2
    assert [done for done, _ in seen] == [1, 2, 3, 4, 5]
    assert seen[-1] == (5, 5)


def test_more_is_run_while_a_study_still_makes_it_out(thread):
    begun = Event()

    def run(jars):
        begun.set()
        return [{"answers": jar.pour} for jar in jars]

    def asks_for_more():
        first = yield Wanted(points=[ONE], task=run)
        # In the middle of its way as at its begin.
        assert (yield Wanted(points=[TWO], task=run, more=True)) is None
        return first + (yield Wanted(points=[THREE, FOUR], task=run))

    def makes_out():
        assert (yield Wanted(points=[ONE], task=run, more=True)) is None
        # Nobody would wait for it if it were not run yet.
        assert begun.wait(timeout=60.0)
        return (yield Wanted(points=[TWO], task=run))

    found = run_studies([makes_out(), asks_for_more()], executor=thread, workers=1)
    assert [[one["answers"] for one in each] for each in found] == [[60.0, 61.0], [60.0, 61.0, 62.0, 63.0]]


def test_more_that_cannot_be_run_does_not_end_the_wait_for_what_can(thread):
    impossible = replace(TWO, jar=None, fault="no such jar")

    def asks_for_more():
        assert (yield Wanted(points=[ONE], task=run_jars, more=True)) is None
        return (yield Wanted(points=[impossible], task=run_jars))

    ((first, second),) = run_studies([asks_for_more()], executor=thread, workers=1)
    assert first["answers"]["fully_set_s"] > 0.0
    assert second == {"fault": "no such jar"}


def test_work_of_the_caller_is_done_while_runs_are_made(thread):
    done = Event()

    def beside():
        done.set()
        yield

    def waits(jars):
        return [{"answers": done.wait(timeout=60.0)} for _ in jars]

    assert run_studies([asks(waits, [ONE])], executor=thread, beside=beside()) == [[{"answers": True}]]


def test_only_plain_runs_are_kept_in_the_journal_and_taken_from_there(thread, tmp_path, monkeypatch):
    journal = tmp_path / "runs.jsonl"
    made = []

    def run(jars):
        made.extend(jar.pour for jar in jars)
        return run_jars(jars)

    def curves(jars):
        return run(jars)

    monkeypatch.setattr(module, "run_jars", run)
    for expected in ([60.0, 61.0, 62.0], [62.0]):
        made.clear()
        rows, other = run_studies([swept([ONE, TWO]), asks(curves, [THREE])], executor=thread, journal=journal)
        assert [row.answers["pour_C"] for row in rows] == [60.0, 61.0]
        assert other[0]["answers"]["pour_C"] == 62.0
        assert made == expected
    assert journal.read_bytes().count(b"\n") == 2

"""A sweep runs wherever an executor puts it: local processes, threads, a cluster."""

import signal
import subprocess
import sys
import time
from concurrent.futures import Executor, Future, ThreadPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from functools import partial

import pytest
from in_a_worker import blas_threads, die, die_once, die_with

from coolsim.errors import ScenarioError, SolverError
from coolsim.scenario import with_overrides
from coolsim.studies.fit.fit import fit_measured
from coolsim.studies.fit.parameters import Measured, Seen
from coolsim.studies.sweep.point import run_jars
from coolsim.studies.sweep.sweep import sweep, sweep_points
from coolsim.studies.sweep.workers import local_workers
from tests.support.nearly import nearly
from tests.support.pair import closed_pair

BARE = with_overrides(closed_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
ROOMS = {"room.temperature": ["18 °C", "22 °C", "26 °C"]}


@pytest.fixture(scope="module")
def points():
    return sweep_points([BARE], ROOMS)


@pytest.fixture(scope="module")
def expected(points):
    with ThreadPoolExecutor(1) as executor:
        rows = sweep(points, executor=executor)
    return [
        (point, {key: nearly(value) for key, value in answers.items()}, fault) for point, answers, fault in told(rows)
    ]


def told(rows):
    return [(row.point, row.answers, row.fault) for row in rows]


def test_local_processes_find_what_one_thread_finds(points, expected):
    assert told(sweep(points, workers=2)) == expected


def test_a_worker_loads_nothing_that_draws_or_reads_a_command_line():
    # In a process of its own: the fork server of this one may have been asked to load what draws.
    asks = (
        "from coolsim.studies.sweep.workers import local_workers\n"
        "with local_workers(1) as pool:\n"
        "    print(*pool.submit(eval, 'sorted(__import__(\"sys\").modules)').result())"
    )
    loaded = subprocess.run([sys.executable, "-c", asks], capture_output=True, text=True, check=True).stdout.split()
    assert "coolsim.studies.sweep.point" in loaded
    assert not {"matplotlib", "typer", "coolsim.cli", "coolsim.report"} & set(loaded)


def test_workers_leave_an_interrupt_to_the_command_so_that_the_run_in_hand_is_finished():
    with local_workers(1) as pool:
        assert pool.submit(signal.getsignal, signal.SIGINT).result() == signal.SIG_IGN


def test_a_run_that_nobody_waits_for_any_more_ends_at_once():
    given = []

    def interrupted():
        with local_workers(1) as pool:
            # Far longer than it takes to end a process.
            given.append(pool.submit(time.sleep, 300.0))
            while not given[0].running():
                time.sleep(0.01)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert isinstance(given[0].exception(), BrokenProcessPool)


def test_a_cancelled_run_can_be_given_up_by_a_pool_that_breaks():
    with local_workers(1) as pool:
        kind = type(pool.submit(int))
    answer = kind()
    answer.cancel()
    answer.set_exception(BrokenProcessPool())
    assert wait([answer], timeout=60.0).done


def test_workers_have_one_thread_for_algebra_unless_told_otherwise_and_the_caller_keeps_its_own(monkeypatch):
    monkeypatch.delenv("OPENBLAS_NUM_THREADS", raising=False)
    monkeypatch.delenv("OMP_NUM_THREADS", raising=False)
    monkeypatch.setenv("MKL_NUM_THREADS", "3")
    # A fork server that runs already has the environment it was started with; a process of its own shows this one.
    monkeypatch.setattr("coolsim.studies.sweep.workers.multiprocessing.get_all_start_methods", lambda: ["spawn"])
    with local_workers(1) as pool:
        assert pool.submit(blas_threads, None).result() == ["1", "3", "1"]
    assert blas_threads(None) == [None, "3", None]


@pytest.mark.parametrize("count", [0, 62])
def test_a_number_of_processes_that_no_system_can_wait_for_is_refused(count):
    # 61 is the most that `ProcessPoolExecutor` takes on Windows, as the documentation of concurrent.futures says.
    with pytest.raises(ScenarioError, match=f"found {count}. Give a number from 1 to 61"), local_workers(count):
        pass


def test_a_cluster_of_dask_finds_the_same(points, expected):
    distributed = pytest.importorskip("distributed")
    # Without its web pages: no port of its own, nothing to import for them.
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        assert told(sweep(points, executor=client.get_executor())) == expected


class Cluster:
    """Loses the node that has the second point."""

    def __init__(self, executor):
        self.executor, self.given = executor, 0

    def submit(self, function, *arguments):
        self.given += 1
        if self.given != 2:
            return self.executor.submit(function, *arguments)
        lost = Future()
        lost.set_exception(ConnectionError("the node has gone"))
        return lost


def test_a_lost_node_costs_its_point_and_not_the_sweep(points, expected):
    with ThreadPoolExecutor(1) as executor:
        rows = sweep(points, executor=Cluster(executor), workers=3)
    assert told([rows[0], rows[2]]) == [expected[0], expected[2]]
    assert rows[1].answers is None
    assert "ConnectionError: the node has gone" in rows[1].fault


def test_points_of_a_chunk_that_is_lost_are_run_one_by_one(points, expected):
    with ThreadPoolExecutor(1) as executor:
        cluster = Cluster(executor)
        assert told(sweep(points, executor=cluster, workers=2)) == expected
    # A chunk of one, one of two that is lost, and each of these.
    assert cluster.given == 4


def test_a_bug_in_one_run_of_a_chunk_costs_that_point(points, expected, monkeypatch):
    def wrong(jars):
        if points[1].jar in jars:
            raise ZeroDivisionError("made up for this test")
        return run_jars(jars)

    monkeypatch.setattr("coolsim.studies.sweep.sweep.run_jars", wrong)
    with ThreadPoolExecutor(1) as executor:
        rows = sweep(points, executor=executor, workers=1)
    assert told([rows[0], rows[2]]) == [expected[0], expected[2]]
    assert rows[1].fault == f"{points[1].where}: ZeroDivisionError: made up for this test"


def test_a_killed_worker_costs_no_point(points, expected, tmp_path, monkeypatch):
    monkeypatch.setattr("coolsim.studies.sweep.sweep.run_jars", partial(die_once, tmp_path / "killed"))
    assert told(sweep(points, workers=2)) == expected
    assert (tmp_path / "killed").exists()


def test_a_killed_worker_of_dask_costs_no_point(points, expected, tmp_path, monkeypatch):
    distributed = pytest.importorskip("distributed")
    monkeypatch.setattr("coolsim.studies.sweep.sweep.run_jars", partial(die_once, tmp_path / "killed"))
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        assert told(sweep(points, executor=client.get_executor())) == expected
    assert (tmp_path / "killed").exists()


def test_a_point_that_no_worker_survives_is_given_up_by_name_and_the_others_go_on(points, expected, monkeypatch):
    monkeypatch.setattr("coolsim.studies.sweep.sweep.run_jars", partial(die_with, points[1].jar))
    rows = sweep(points, workers=2)
    assert told([rows[0], rows[2]]) == [expected[0], expected[2]]
    assert rows[1].fault == (
        f"{points[1].where}: a worker process ended unasked, as it does when the memory runs out. Give fewer workers."
    )


def test_workers_that_die_with_every_point_are_one_clear_error(points, monkeypatch):
    monkeypatch.setattr("coolsim.studies.sweep.sweep.run_jars", die)
    with pytest.raises(SolverError, match=r"Give fewer workers\.$"):
        sweep(points, workers=1)


class Broken(Executor):
    def submit(self, *_):
        raise BrokenProcessPool


def test_workers_that_die_between_two_runs_are_the_same_error(points):
    with pytest.raises(SolverError, match="Give fewer workers"):
        sweep(points, executor=Broken())
    seen = Measured(scenario=BARE, seen=(Seen("fully set", 15000.0, 60.0),))
    with pytest.raises(SolverError, match="Give fewer workers"):
        fit_measured([seen], fields=("films.top_factor",), executor=Broken())


def test_a_point_without_memory_says_so_and_the_others_go_on(points, expected, monkeypatch):
    def greedy(jars):
        if points[1].jar in jars:
            raise MemoryError
        return run_jars(jars)

    monkeypatch.setattr("coolsim.studies.sweep.sweep.run_jars", greedy)
    with ThreadPoolExecutor(1) as executor:
        rows = sweep(points, executor=executor)
    assert told([rows[0], rows[2]]) == [expected[0], expected[2]]
    assert rows[1].fault == (
        f"{points[1].where}: the memory ran out. Give fewer workers or a coarser grid (run.refinement)."
    )


def test_an_interrupt_keeps_what_is_done_and_hands_out_no_more(points, expected, tmp_path, monkeypatch):
    monkeypatch.setattr("coolsim.studies.sweep.sweep.AHEAD", 1)

    def interrupted(*_):
        raise KeyboardInterrupt

    with ThreadPoolExecutor(1) as executor, pytest.raises(KeyboardInterrupt):
        sweep(points, executor=executor, workers=3, journal=tmp_path / "j.jsonl", on_row=interrupted)
    assert (tmp_path / "j.jsonl").read_bytes().count(b"\n") == 1
    seen = []
    with ThreadPoolExecutor(1) as executor:
        again = sweep(points, executor=executor, journal=tmp_path / "j.jsonl", on_row=lambda row, *_: seen.append(row))
    # The one that was done comes first, from the journal.
    assert told(seen)[0] == expected[0]
    assert told(again) == expected


def test_points_that_are_being_run_at_an_interrupt_are_kept(points, tmp_path):
    def interrupted(*_):
        raise KeyboardInterrupt

    with ThreadPoolExecutor(3) as executor, pytest.raises(KeyboardInterrupt):
        sweep(points, executor=executor, journal=tmp_path / "j.jsonl", on_row=interrupted)
    assert (tmp_path / "j.jsonl").read_bytes().count(b"\n") == 3

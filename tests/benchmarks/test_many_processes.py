"""What more processes than one cost, of this machine and of a cluster of dask: 1,000 coarse points.

Useful is the CPU time within the runs, of that of all processes: imports, workers, scheduler, making the points and
what travels are the rest. What it takes to start is told by itself, from a sweep of one point: a cluster stands already
when most sweeps begin. Beyond the processors of a machine further workers only add to the rest; what they would gain on
machines of their own is the useful share of their CPU time. Throughput is that of wall time against one process, and
says something on an idle machine alone.
"""

import json
from pathlib import Path

import pytest

from coolsim.studies.sweep.workers import usual_workers
from tests.benchmarks.processes import whole_process

POINTS = 1000
TOP_FOLDER = Path(__file__).parents[2]
WAYS = (("one", 1), ("local", 2), ("local", 4), ("local", 8), ("dask", 8))


@pytest.fixture(scope="module")
def measured():
    return {way: (swept(*way, 1), swept(*way, POINTS)) for way in WAYS}


def swept(kind, workers, count):
    words = ("-m", "tests.benchmarks.many_processes", kind, str(workers), str(count))
    used = whole_process(*words, folder=TOP_FOLDER)
    return json.loads(used["printed"]) | {"cpu": used["cpu"]}


def test_most_of_the_cpu_time_is_spent_in_the_runs(measured, show_table):
    one = measured["one", 1][1]
    lines = [f"{POINTS} coarse points on {usual_workers()} processors"]
    lines += [f"{'':<18}{'CPU s':>8}{'useful':>8}{'to start':>10}{'useful then':>13}{'throughput':>12}"]
    shares = {}
    for (kind, workers), (single, used) in measured.items():
        start = single["cpu"] - single["useful"]
        shares[kind, workers] = used["useful"] / (used["cpu"] - start)
        name = "one process" if kind == "one" else f"{kind}, {workers} workers"
        lines.append(
            f"{name:<18}{used['cpu']:8.1f}{100.0 * used['useful'] / used['cpu']:6.0f} %{start:8.1f} s"
            f"{100.0 * shares[kind, workers]:11.0f} %{one['wall'] / used['wall']:11.2f}x"
        )
    show_table("\n".join(lines))
    for way, (_, used) in measured.items():
        assert used["answers"] == POINTS, way
        # What a cluster does beside grows with the time that it stands, so with all else that the machine does.
        assert way[0] == "dask" or shares[way] >= 0.8, way

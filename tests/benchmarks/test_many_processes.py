"""What more processes than one cost, of this machine and of a cluster of dask: 1,000 coarse points.

Useful is the CPU time within the runs, of the CPU time of all processes from the first to the last: imports, workers,
scheduler and what travels between them are the rest. Beyond the processors of a machine further workers only add to the
rest; what they would gain on machines of their own is the useful share of their CPU time. Throughput is that of wall
time against one process, and says something on an idle machine alone.
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
    found = {}
    for kind, workers in WAYS:
        used = whole_process(
            "-m", "tests.benchmarks.many_processes", kind, str(workers), str(POINTS), folder=TOP_FOLDER
        )
        found[kind, workers] = json.loads(used["printed"]) | {"cpu": used["cpu"]}
    return found


def test_most_of_the_cpu_time_is_spent_in_the_runs(measured, show_table):
    one = measured["one", 1]
    lines = [f"{POINTS} coarse points on {usual_workers()} processors"]
    lines += [f"{'':<18}{'CPU s':>8}{'useful':>8}{'CPU against one':>17}{'throughput':>12}"]
    for (kind, workers), used in measured.items():
        name = "one process" if kind == "one" else f"{kind}, {workers} workers"
        lines.append(
            f"{name:<18}{used['cpu']:8.1f}{100.0 * used['useful'] / used['cpu']:7.0f} %"
            f"{used['cpu'] / one['cpu']:16.2f}x{one['wall'] / used['wall']:11.2f}x"
        )
    show_table("\n".join(lines))
    for way, used in measured.items():
        assert used["answers"] == POINTS, way
        assert used["useful"] >= 0.8 * used["cpu"], way

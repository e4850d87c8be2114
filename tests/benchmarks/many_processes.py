"""One sweep of coarse points by local worker processes or a cluster of dask: ``local 4 1000`` or ``dask 8 1000``.

Run as `python -m tests.benchmarks.many_processes`; prints how many answers came, the CPU time within the runs, and the
wall time from the first point handed out, or from the start of the cluster, to the last answer.
"""

import json
import sys
import time
from contextlib import contextmanager, nullcontext

from coolsim.scenario import with_overrides
from coolsim.studies.sweep.point import run_jars
from coolsim.studies.sweep.sweep import run_points, sweep_points
from coolsim.studies.sweep.workers import local_workers
from tests.support.pair import closed_pair

COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}


def timed_jars(jars):
    """Run jars, and tell with the first of them what CPU time all took [s], without what the worker does beside."""
    before = time.thread_time()
    found = run_jars(jars)
    return [{**found[0], "cpu": time.thread_time() - before}, *found[1:]]


class InThisProcess:
    """Runs what it is given at once."""

    def submit(self, task, *arguments):
        from concurrent.futures import Future

        done = Future()
        done.set_result(task(*arguments))
        return done


@contextmanager
def cluster_of_dask(workers):
    import dask
    from distributed import Client, LocalCluster

    with (
        # Else each worker looks a hundred times a second at what it is doing.
        dask.config.set({"distributed.worker.profile.enabled": False}),
        LocalCluster(n_workers=workers, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):
        yield client.get_executor()


def main(kind, workers, count):
    # The task as workers know it.
    from tests.benchmarks.many_processes import timed_jars

    rooms = [f"{15.0 + 10.0 * one / count:.4f} °C" for one in range(count)]
    points = sweep_points([with_overrides(closed_pair()[0], COARSE)], {"room.temperature": rooms})
    began = time.monotonic()
    makers = {"dask": cluster_of_dask, "local": local_workers, "one": lambda _: nullcontext(InThisProcess())}
    cpu, answers = [], []

    def came(_, outcome):
        cpu.append(outcome.get("cpu", 0.0))
        answers.append(outcome.get("answers"))

    with makers[kind](workers) as executor:
        run_points([dict(enumerate(points))], executor, task=lambda _: timed_jars, came=came, workers=workers)
        ended = time.monotonic()
    json.dump(
        {"answers": sum(one is not None for one in answers), "useful": sum(cpu), "wall": ended - began}, sys.stdout
    )


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))

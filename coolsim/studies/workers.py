"""Local worker processes for a sweep.

Workers come from a fork server where there is one. It imports the solver once, in a process without threads, and forks
each worker from there: two workers are ready after 0.48 s, and twenty hardly later. Plain ``fork`` of the caller takes
0.01 s, but copies whatever threads the caller has (those of BLAS or of a cluster's client) in the middle of what they
hold, which can hang a worker, and Python 3.12 warns of it. ``spawn`` takes 0.48 s for two workers as well, but every
further one imports everything again.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager

from coolsim.errors import ScenarioError

MOST_WORKERS = 61  # What Windows can wait for.
_BLAS_THREADS = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def usual_workers() -> int:
    """Count the processors that this process may use.

    Returns
    -------
    int
        Number of workers [-].
    """
    if hasattr(os, "sched_getaffinity"):
        return min(len(os.sched_getaffinity(0)), MOST_WORKERS)
    return min(os.cpu_count() or 1, MOST_WORKERS)


@contextmanager
def local_workers(count: int | None = None) -> Iterator[ProcessPoolExecutor]:
    """Start worker processes, and end them.

    Parameters
    ----------
    count : int, optional
        How many [-]; one for each processor if left out.

    Yields
    ------
    ProcessPoolExecutor
        The workers. They leave an interrupt to the process that started them.

    Raises
    ------
    ScenarioError
        If the count is not at least one.
    """
    if count is not None and not 1 <= count <= MOST_WORKERS:
        raise ScenarioError(f"workers: found {count}. Give a number from 1 to {MOST_WORKERS}.")
    method = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
    context = multiprocessing.get_context(method)
    if method == "forkserver":
        context.set_forkserver_preload(["coolsim.studies.point"])
    # Each worker has one processor: threads of BLAS on top would only wait for each other.
    before = {name: os.environ.get(name) for name in _BLAS_THREADS}
    os.environ.update({name: value or "1" for name, value in before.items()})
    pool = ProcessPoolExecutor(count or usual_workers(), mp_context=context, initializer=_leave_interrupts_alone)
    try:
        yield pool
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)


def _leave_interrupts_alone() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)

"""Local worker processes for a sweep.

Workers come from a fork server where there is one. It imports the solver once, in a process without threads, and forks
each worker from there: two workers are ready after 0.48 s, and twenty hardly later. Plain ``fork`` of the caller takes
0.01 s, but copies whatever threads the caller has (those of BLAS or of a cluster's client) in the middle of what they
hold, which can hang a worker, and Python 3.12 warns of it. ``spawn`` takes 0.48 s for two workers as well, but every
further one imports everything again.

A worker holds the reading end of a pipe whose other end only the process that started it has. When that is closed,
by whatever ends the process, the worker ends at once; the fork server then follows of itself. Without it a worker
would wait for work for ever.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, InvalidStateError, ProcessPoolExecutor
from contextlib import contextmanager, suppress
from multiprocessing import forkserver, resource_tracker
from threading import Thread
from typing import TYPE_CHECKING, Any

from coolsim.errors import ScenarioError

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

WORKER_LOST = "a worker process ended unasked, as it does when the memory runs out. Give fewer workers"
MOST_WORKERS = 61  # What Windows can wait for.
_BLAS_THREADS = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def usual_workers() -> int:
    """Count the processors that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return min(len(os.sched_getaffinity(0)), MOST_WORKERS)
    return min(os.cpu_count() or 1, MOST_WORKERS)


@contextmanager
def local_workers(count: int | None = None) -> Iterator[ProcessPoolExecutor]:
    """Start this many worker processes [-], one for each processor if left out, and end them.

    They leave an interrupt to the process that started them, and end with it.
    """
    if count is not None and not 1 <= count <= MOST_WORKERS:
        raise ScenarioError(f"workers: found {count}. Give a number from 1 to {MOST_WORKERS}.")
    method = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
    context = multiprocessing.get_context(method)
    if method == "forkserver":
        context.set_forkserver_preload(["coolsim.studies.sweep.point"])
    # Each worker has one processor: threads of BLAS on top would only wait for each other.
    before = {name: os.environ.get(name) for name in _BLAS_THREADS}
    os.environ.update({name: value or "1" for name, value in before.items()})
    _start_helpers(method)
    reader, writer = context.Pipe(duplex=False)
    pool = LocalWorkers(count or usual_workers(), mp_context=context, initializer=_begin, initargs=(reader,))
    try:
        yield pool
    except BaseException:
        # Nobody asks for what is still being run.
        writer.close()
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
        writer.close()
        reader.close()
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)


@contextmanager
def workers_for(runs: int, executor: Executor | None, workers: int | None) -> Iterator[Executor]:
    """Give the executor that a caller brings along, or local workers: so many [-], and no more than runs [-]."""
    if workers is not None and workers < 1:
        raise ScenarioError(f"workers: found {workers}. Give at least 1.")
    if executor is not None:
        yield executor
        return
    with local_workers(min(usual_workers() if workers is None else workers, runs)) as own:
        yield own


def _start_helpers(method: str) -> None:
    """Start the tracker of resources and the fork server so that they, and workers, outlive a closed terminal.

    A terminal that closes sends SIGHUP to all of them at once; they are to end with their owner, which tidies up.
    """
    if not hasattr(signal, "pthread_sigmask"):
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGHUP})
    try:
        resource_tracker.ensure_running()
        if method == "forkserver":
            forkserver.ensure_running()
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


class _GivenUpFuture(Future[Any]):
    """A future that a broken pool can give up when it is cancelled already; the usual one ends its thread by that."""

    def set_exception(self, exception: BaseException | None) -> None:
        try:
            super().set_exception(exception)
        except InvalidStateError:
            self.set_running_or_notify_cancel()


class LocalWorkers(ProcessPoolExecutor):
    """Local worker processes."""

    def submit(self, task: Callable[..., Any], /, *arguments: Any, **options: Any) -> Future[Any]:
        """Submit a task, whose future a broken pool can give up."""
        future = super().submit(task, *arguments, **options)
        future.__class__ = _GivenUpFuture
        return future


def _begin(owner: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with, args=(owner,), daemon=True).start()


def _end_with(owner: Connection) -> None:
    # Nothing is ever sent.
    with suppress(EOFError, OSError):
        owner.recv_bytes()
    os._exit(1)

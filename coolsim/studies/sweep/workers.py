"""Local worker processes for a sweep.

Workers come from a fork server where there is one. It imports the solver once, in a process without threads, and forks
each worker from there: it takes twice the time of ``import numpy`` for two workers, and hardly more for twenty. Plain
``fork`` of the caller takes 0.01 s, but copies whatever threads the caller has (those of BLAS or of a cluster's client)
in the middle of what they hold, which can hang a worker, and Python 3.12 warns of it. ``spawn`` is as quick for two
workers, but every further one imports everything again.

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
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from functools import partial
from multiprocessing import forkserver, resource_tracker
from threading import Thread
from typing import TYPE_CHECKING, Any

from coolsim.errors import ScenarioError

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.context import BaseContext

WORKER_LOST = "a worker process ended unasked, as it does when the memory runs out. Give fewer workers"
_SOLVER = "coolsim.studies.sweep.point"
MOST_WORKERS = 61  # What Windows can wait for.
_BLAS_THREADS = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def usual_workers() -> int:
    """Count the processors that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return min(len(os.sched_getaffinity(0)), MOST_WORKERS)
    return min(os.cpu_count() or 1, MOST_WORKERS)


def begin_early(*, loads: str = _SOLVER) -> None:
    """Let the fork server import what workers need while the caller still finds out what there is to run."""
    with _one_thread_each():
        _start_helpers(loads)


@contextmanager
def local_workers(count: int | None = None, *, loads: str = _SOLVER) -> Iterator[LocalWorkers]:
    """Start this many worker processes [-], one for each processor if left out, and end them.

    A fork server `loads` a module for all of them. They leave an interrupt to the process that started them, and end
    with it.
    """
    if count is not None and not 1 <= count <= MOST_WORKERS:
        raise ScenarioError(f"workers: found {count}. Give a number from 1 to {MOST_WORKERS}.")
    with _one_thread_each():
        context = _start_helpers(loads)
        reader, writer = context.Pipe(duplex=False)
        pool = LocalWorkers(
            partial(
                ProcessPoolExecutor,
                count or usual_workers(),
                mp_context=context,
                initializer=_begin,
                initargs=(reader,),
            )
        )
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


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Give each process that is started one processor: threads of BLAS on top would only wait for each other."""
    before = {name: os.environ.get(name) for name in _BLAS_THREADS}
    os.environ.update({name: value or "1" for name, value in before.items()})
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)


def _start_helpers(loads: str) -> BaseContext:
    """Start the tracker of resources and the fork server so that they, and workers, outlive a closed terminal.

    A terminal that closes sends SIGHUP to all of them at once; they are to end with their owner, which tidies up.
    """
    has_server = "forkserver" in multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if has_server else "spawn")
    if has_server:
        context.set_forkserver_preload([loads])
    if hasattr(signal, "pthread_sigmask"):
        before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGHUP})
        try:
            resource_tracker.ensure_running()
            if has_server:
                forkserver.ensure_running()
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
    return context


class _GivenUpFuture(Future[Any]):
    """A future that a broken pool can give up when it is cancelled already; the usual one ends its thread by that."""

    def set_exception(self, exception: BaseException | None) -> None:
        try:
            super().set_exception(exception)
        except InvalidStateError:
            self.set_running_or_notify_cancel()


class LocalWorkers(Executor):
    """Local worker processes. If one ends unasked, what all have in hand is lost, and the next task gets new ones."""

    def __init__(self, made: Callable[[], ProcessPoolExecutor]) -> None:
        self._made = made
        self._pool = made()

    def submit(self, task: Callable[..., Any], /, *arguments: Any, **options: Any) -> Future[Any]:
        """Submit a task, whose future a broken pool can give up."""
        try:
            future = self._pool.submit(task, *arguments, **options)
        except BrokenProcessPool:
            self._pool.shutdown()
            self._pool = self._made()
            future = self._pool.submit(task, *arguments, **options)
        future.__class__ = _GivenUpFuture
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """End the processes."""
        self._pool.shutdown(wait=wait, cancel_futures=cancel_futures)


def _begin(owner: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with, args=(owner,), daemon=True).start()


def _end_with(owner: Connection) -> None:
    # Nothing is ever sent.
    with suppress(EOFError, OSError):
        owner.recv_bytes()
    os._exit(1)

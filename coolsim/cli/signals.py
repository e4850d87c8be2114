"""Signals that ask a command to end: Ctrl-C, and those of whoever closes its terminal or shuts the computer down."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager

_SAID = {"SIGINT": "interrupted", "SIGTERM": "terminated", "SIGHUP": "ended with its terminal"}


class Ended(KeyboardInterrupt):
    """A signal asks the command to end; the studies take it for Ctrl-C, which it is most of the time."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number


@contextmanager
def ended_by_signals() -> Iterator[None]:
    """Let a signal end what is done meanwhile, unless whoever started the program has it ignored."""
    usual = (signal.SIG_DFL, signal.default_int_handler)
    there = [getattr(signal, name) for name in _SAID if hasattr(signal, name)]
    taken = [number for number in there if signal.getsignal(number) in usual]
    asked = False

    def end(number: int, _: object) -> None:
        nonlocal asked
        if not asked:
            asked = True
            raise Ended(number)
        # What is being cleaned up must not be broken off half-way; the runs that it waits for may be.
        from multiprocessing import active_children

        for worker in active_children():
            worker.kill()

    for number in taken:
        signal.signal(number, end)
    try:
        yield
    finally:
        # All is said and done: a late signal has nothing left to end.
        for number in taken:
            signal.signal(number, signal.SIG_IGN)


def how_it_ended(error: KeyboardInterrupt) -> tuple[str, int]:
    """Tell what ended a command, and the exit code [-] that shells give for it."""
    number = signal.Signals(error.number if isinstance(error, Ended) else signal.SIGINT)
    return _SAID[number.name], 128 + number

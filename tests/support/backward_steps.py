"""Implicit time steps for the operators of another library, with the enthalpy as what is stepped.

A library supplies one function that solves (stored + conduction + films) T = source for the temperatures. All that
has to do with freezing and time is here, so that two libraries differ in nothing but their operators.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from coolsim.solve.wax_body import last_above
from coolsim.studies.verify.reference_cylinder import POURED, SOLIDUS, capacity, temperature
from tests.support.second_opinion import backward_differences, polynomial_forecast

SETTLED = 1e-2  # K, of a Newton iteration
ITERATIONS_MOST = 20
LAST_STEP = 10.0  # s
ERROR_SHARE = 0.2  # of the distance between a quadratic forecast and the step, about 2/11 for even steps


@dataclass(frozen=True, kw_only=True)
class Stepped:
    """Enthalpies (nt, n) [J/m3] at the ends of the steps [s], volumes (n,) [m3], and how often was solved."""

    time: np.ndarray
    enthalpy: np.ndarray
    volume: np.ndarray
    solved: int

    @property
    def all_solid(self) -> float:
        """When the last place is frozen [s]."""
        return float(last_above(self.time, self.enthalpy.max(axis=1) - SOLIDUS))


def step_until_solid(
    solve: Callable[[np.ndarray, np.ndarray], np.ndarray],
    volume: np.ndarray,
    *,
    longest_step: float,
    tolerance: float | None = None,
) -> Stepped:
    """Step from the pour until all is solid.

    With a tolerance [K] by backward differences of second order and steps to suit, without one by backward Euler and
    even steps.
    """
    times, states, solved = [0.0], [np.full(len(volume), POURED)], 0
    dt = longest_step if tolerance is None else 1.0
    while states[-1].max() > SOLIDUS:
        guess = polynomial_forecast(times, states, times[-1] + dt)
        weights = (1.0, -1.0, 0.0) if tolerance is None else backward_differences(times, dt)
        enthalpy, iterations = _step(solve, volume / dt, weights, states, guess)
        solved += iterations
        if enthalpy is None:
            raise ArithmeticError(f"no convergence in a step of {dt:.1f} s from {times[-1]:.0f} s")
        factor = 1.0
        if tolerance is not None:
            factor = 1.3
            if len(times) > 3:
                error = ERROR_SHARE * np.sqrt(np.mean((temperature(enthalpy) - temperature(guess)) ** 2)) / tolerance
                factor = min(1.5, 0.9 * max(error, 1e-9) ** (-1.0 / 3.0))
                if error > 1.5:
                    dt *= max(0.2, factor)
                    continue
        times.append(times[-1] + dt)
        states.append(enthalpy)
        dt = min(dt * factor, longest_step)
        if tolerance is not None and len(times) > 3:
            left = [volume @ np.maximum(one - SOLIDUS, 0.0) for one in states[-2:]]
            # The vanishing of the last liquid is singular: long steps find it too late.
            dt = min(dt, max(LAST_STEP, 0.25 * left[1] * (times[-1] - times[-2]) / max(left[0] - left[1], 1e-30)))
    return Stepped(time=np.array(times), enthalpy=np.array(states), volume=volume, solved=solved)


def _step(solve, volume_per_time, weights, states, enthalpy):
    """Enthalpies after a step, or None, and the number of Newton iterations."""
    now, last, before = weights
    known = -last * states[-1] - (before * states[-2] if before else 0.0)
    for iteration in range(1, ITERATIONS_MOST + 1):
        warm, slope = temperature(enthalpy), capacity(enthalpy)
        stored = now * volume_per_time * slope
        linear = solve(stored, stored * warm + volume_per_time * (known - now * enthalpy))
        enthalpy = enthalpy + slope * (linear - warm)
        if np.abs(temperature(enthalpy) - linear).max() < SETTLED:
            return enthalpy, iteration
    return None, ITERATIONS_MOST

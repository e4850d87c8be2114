"""What a spread varies: keys of the scenario that are loosely known, drawn together from their plausible ranges."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np

from coolsim.errors import ScenarioError
from coolsim.model.section import Array
from coolsim.scenario import Scenario
from coolsim.scenario.plausible import Plausible, limits_of, plausible, states, usable_keys
from coolsim.studies.spread.sobol import sobol
from coolsim.studies.sweep.sweep import Point, point_of

USUAL = "usual"
"""Stands for the usual keys where keys are named."""

FEWEST_RUNS, MOST_RUNS = 8, 8192
"""Bounds of the number of runs [-]."""

_Drawn = TypeVar("_Drawn")

_PASSED_OVER = 0.5
_DEFAULT_ROUND_OFF = 1e-12
_TABLES = ("films", "wax", "melt", "mush", "vessel", "support", "surround")


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Sample:
    """A sample of the inputs.

    `levels` are the probability levels of each input in each draw, (n, p), evenly between 0 and 1 [-];
    `passed_over` counts the draws that were no possible scenario, in whose place later ones were taken [-].
    """

    levels: Array
    points: tuple[Point, ...]
    passed_over: int


def usual_inputs(scenario: Scenario) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sort the usual keys: those that are varied unless others are named, and those that the scenario states itself.

    Keys without a part in this scenario are in neither.
    """
    usual = usable_keys(scenario, lambda said: said.spread, tables=_TABLES)
    return (
        tuple(key for key in usual if not states(scenario, key)),
        tuple(key for key in usual if states(scenario, key)),
    )


def spread_inputs(
    scenario: Scenario, keys: Sequence[str] | None = None, *, ranges: Mapping[str, tuple[float, float]] | None = None
) -> tuple[Plausible, ...]:
    """Tell what is known of the keys that are varied; `ranges` [SI, °C] replace the built-in ones.

    `USUAL` among the keys stands for the usual ones, which are taken if no keys are given. ScenarioError if a key
    is named twice, cannot be varied, or its range is reversed, beyond what the key takes, or without the scenario's
    own value.
    """
    usual, stated = usual_inputs(scenario)
    named: list[str] = []
    for key in (USUAL,) if keys is None else keys:
        named += [one for one in usual if keys is None or one not in keys] if key == USUAL else [key]
    doubles = [key for index, key in enumerate(named) if key in named[:index]]
    if doubles:
        raise ScenarioError(f"{doubles[0]}: found twice among the keys to vary. Give each key once.")
    stray = sorted(set(ranges or {}) - set(named))
    if stray:
        raise ScenarioError(f"{stray[0]}: has a range, but is not varied. Name it among the keys, or leave it out.")
    if not named:
        why = f"it states {', '.join(stated)} itself" if stated else "no ranges are known for it"
        raise ScenarioError(f"{scenario.where}: nothing is left to vary: {why}. Name keys to vary anyway.")
    faults: list[str] = []
    found: list[Plausible] = []
    for key in named:
        between = (ranges or {}).get(key)
        try:
            if between is not None and not between[0] < between[1]:
                raise ScenarioError(f"{key}: found a range that runs backwards. Give the lower end first.")
            one = plausible(scenario, key, between=between)
            _check(scenario, one)
        except ScenarioError as error:
            faults += error.faults
        else:
            found.append(one)
    if faults:
        raise ScenarioError(faults)
    return tuple(found)


def value_at_level(known: Plausible, level: float) -> float:
    """Value of an input [SI, °C] below which this share of the cases lie [-].

    The density is a triangle: highest at the value of the scenario, nothing at the two ends of the range, straight
    in between, in the space in which the value is spread evenly (`coolsim.scenario.table.Space`). With ends a
    and b, width w = b - a and mode a + m w, the quantile at u is a + w sqrt(u m) up to u = m, and b - w sqrt((1 -
    u)(1 - m)) from there. An estimate: a range says how far a value may be off, and nobody measured how often it
    is.

    Equation (44) of `coolsim.theory`.
    """
    low, high = known.to_space(known.low), known.to_space(known.high)
    return known.from_space(low + (high - low) * float(_shares_at(known, np.array(level))))


def places_of(inputs: Sequence[Plausible], levels: Array) -> Array:
    """Tell where cases lie in the ranges of their inputs, evenly from -1 to 1 in the space of each, (n, p) [-]."""
    return (
        2.0 * np.column_stack([_shares_at(known, level) for known, level in zip(inputs, levels.T, strict=True)]) - 1.0
    )


def _shares_at(known: Plausible, level: Array) -> Array:
    """Give the shares of the way through the range [-] below which these shares of the cases lie [-]."""
    low, high, centre = (known.to_space(end) for end in (known.low, known.high, known.centre))
    mode = (centre - low) / (high - low)
    found: Array = np.where(level <= mode, np.sqrt(level * mode), 1.0 - np.sqrt((1.0 - level) * (1.0 - mode)))
    return found


def check_runs(runs: int) -> None:
    """Refuse a number of runs [-] that a spread cannot have."""
    if not FEWEST_RUNS <= runs <= MOST_RUNS:
        raise ScenarioError(f"runs: found {runs}. Give a number from {FEWEST_RUNS} to {MOST_RUNS}.")


def sample_inputs(
    scenario: Scenario, inputs: Sequence[Plausible], *, runs: int, seed: int, always: Mapping[str, Any] | None = None
) -> Sample:
    """Draw a low-discrepancy sample of the inputs: so many runs [-] from this seed [-].

    Equal seeds give equal draws, and more runs the same ones first; `always` are changes that hold for every draw,
    as for `coolsim.scenario.changed`. Some combinations are no scenario, such as freezing that ends above its
    start: they are passed over. ScenarioError if the number of runs is not allowed, or most of the draws are
    impossible.
    """
    levels, points, passed_over = sample_rows(
        len(inputs), lambda row: (one := _point(scenario, inputs, row, always or {}), one.fault), runs=runs, seed=seed
    )
    return Sample(levels=levels, points=points, passed_over=passed_over)


def sample_rows(
    columns: int, made: Callable[[Array], tuple[_Drawn, str | None]], *, runs: int, seed: int
) -> tuple[Array, tuple[_Drawn, ...], int]:
    """Draw so many rows [-] of a scrambled Sobol sequence from a seed [-], and pass those over that cannot be.

    `made` makes a case of the probability levels of the inputs [-], and says why it cannot be, or None. Returned
    are levels [-], cases, and how many were passed over [-].
    """
    check_runs(runs)
    count = 1 << (runs - 1).bit_length()
    while True:
        levels = sobol(columns, count, seed)
        kept: list[int] = []
        cases: list[_Drawn] = []
        faults: list[str] = []
        for index, row in enumerate(levels):
            case, fault = made(row)
            if fault is not None:
                faults.append(fault)
                continue
            kept.append(index)
            cases.append(case)
            if len(kept) == runs:
                return levels[kept], tuple(cases), len(faults)
        if len(kept) < _PASSED_OVER * count:
            raise ScenarioError(
                f"{len(faults)} of {count} draws are not possible scenarios; the first: {faults[0]} Give narrower"
                " ranges, or vary fewer keys."
            )
        count *= 2


def _point(scenario: Scenario, inputs: Sequence[Plausible], levels: Array, always: Mapping[str, Any]) -> Point:
    at = {
        known.key: known.as_written(value_at_level(known, level))
        for known, level in zip(inputs, map(float, levels), strict=True)
    }
    return point_of(scenario, {**always, **at}, at=[(known.key, known.raw(at[known.key])) for known in inputs])


def _check(scenario: Scenario, known: Plausible) -> None:
    low, high = limits_of(known.key)
    if known.low < low - _DEFAULT_ROUND_OFF or known.high > high + _DEFAULT_ROUND_OFF:
        raise ScenarioError(
            f"{known.key}: found a range from {known.raw(known.low)} to {known.raw(known.high)}, but the key takes"
            f" {known.raw(low)} to {known.raw(high)}. Give a range within that, as in '{known.key}=LOW:HIGH'."
        )
    if not known.low <= known.centre <= known.high:
        raise ScenarioError(
            f"{known.key}: found a range from {known.raw(known.low)} to {known.raw(known.high)}, but {scenario.where}"
            f" has {known.raw(known.centre)}. Give a range that holds it, as in '{known.key}=LOW:HIGH'."
        )

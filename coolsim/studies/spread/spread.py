"""How far the answers of a scenario spread when what is loosely known of it varies within its plausible ranges."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from coolsim.answers.answer import Answer, Value, number_of
from coolsim.answers.catalogue import BY_KEY, COMPARED, skin_stays
from coolsim.answers.text import value_text
from coolsim.answers.verdict import WORDS, verdict_of
from coolsim.errors import ScenarioError, SolverError
from coolsim.model.section import Array
from coolsim.overview import COMPUTED, Overview, OverviewTable
from coolsim.scenario import Scenario
from coolsim.scenario.plausible import Plausible
from coolsim.studies.spread.ends import ends_by_plane
from coolsim.studies.spread.influence import MainEffects, main_effects
from coolsim.studies.spread.inputs import FEWEST_RUNS, check_runs, places_of, sample_inputs, spread_inputs, usual_inputs
from coolsim.studies.spread.sobol import sobol
from coolsim.studies.sweep.point import run_cases
from coolsim.studies.sweep.sweep import NO_LIMITS, Study, SweptRow, Wanted, point_of, run_studies


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class SpreadAnswer:
    """How far one answer spreads [SI, °C].

    `nominal` is its value with the values of the scenario. One case in ten would lie below `low`, and one in ten above
    `high`, of the cases in which it occurs; a time of setting is infinite where it comes after the end of the run.
    `occurs` is the share of the cases in which it does [-]; `effects` is None where it occurs too seldom, hardly
    varies, or there are too few runs to tell.
    """

    name: str
    nominal: float | None
    low: float | None
    median: float | None
    high: float | None
    occurs: float
    effects: MainEffects | None

    @property
    def band(self) -> tuple[float | None, ...]:
        """As stated, low, median and high [SI, °C]."""
        return self.nominal, self.low, self.median, self.high


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Chance:
    """In how many of the cases something happens, as a share [-], and whether it does with the scenario's own values.

    `effects` says what decides it; None if it is nearly always the same, or there are too few runs to tell.
    """

    name: str
    nominal: bool
    share: float
    effects: MainEffects | None


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Band:
    """Temperature of a point over time [°C]: as stated, and below one case in ten, half of them, nine in ten.

    A run that is over counts with its last temperature.
    """

    name: str
    nominal: Array
    low: Array
    median: Array
    high: Array


@dataclass(frozen=True, eq=False, slots=True, kw_only=True, repr=False)
class Spread(Overview):
    """How far answers spread. A notebook shows it as a table; `print` writes the same as lines.

    Parameters
    ----------
    scenario : Scenario
        The scenario.
    inputs : tuple of Plausible
        What was varied, and over what range.
    stated : tuple of str
        Usual keys that were not varied, because the scenario states them.
    seed : int
        Seed of the draws [-].
    passed_over : int
        Draws that were no possible scenario [-].
    refinement, tolerance : float
        How finely the runs of the draws were cut: factor on the number of cells [-], and error allowed in one time
        step [K].
    nominal : SweptRow
        The run with the values of the scenario, as finely cut as it asks.
    rows : tuple of SweptRow
        The runs of the draws, their answers moved by what the cut does.
    levels : (n, p) ndarray
        Probability level of each input in each draw [-].
    answers : tuple of SpreadAnswer
        In the order of `coolsim.answers.catalogue.COMPARED`.
    chances : tuple of Chance
        What may happen or not.
    time : (nt,) ndarray
        Times of the bands [s].
    bands : tuple of Band
        The points of the cooling curves.

    Examples
    --------
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> from coolsim import built_in_pair, spread, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> with ThreadPoolExecutor(max_workers=1) as executor:
    ...     found = spread(quick, keys=["wax.latent_heat", "films.side_factor"], runs=8, executor=executor)
    >>> [known.key for known in found.inputs], found.levels.shape
    (['wax.latent_heat', 'films.side_factor'], (8, 2))
    """

    scenario: Scenario
    inputs: tuple[Plausible, ...]
    stated: tuple[str, ...]
    seed: int
    passed_over: int
    refinement: float
    tolerance: float
    nominal: SweptRow
    rows: tuple[SweptRow, ...]
    levels: Array
    answers: tuple[SpreadAnswer, ...]
    chances: tuple[Chance, ...]
    time: Array
    bands: tuple[Band, ...]

    def answer(self, name: str) -> SpreadAnswer:
        """Return the spread of the answer of this key."""
        found = {one.name: one for one in self.answers}
        return found[name]

    def __repr__(self) -> str:
        return f"<Spread of {self.scenario.title!r}: {len(self.rows)} runs over {len(self.inputs)} inputs>"

    def overview(self) -> OverviewTable:
        """Return the bands of the answers, as a notebook shows them."""
        units = self.scenario.units
        return OverviewTable(
            title=f"Spread: {self.scenario.title}",
            headings=("Answer", "As stated", "10 %", "Median", "90 %", "Occurs"),
            rows=tuple(
                (
                    BY_KEY[one.name].called,
                    *(value_text(BY_KEY[one.name], value, units) for value in one.band),
                    f"{100 * one.occurs:.0f} %",
                )
                for one in self.answers
            ),
            notes=(COMPUTED,),
        )


RUNS = 72
"""Runs of a spread, and of the plan of a day, unless the caller says otherwise [-]: the fewest that still rank 23
inputs."""

LOW, HIGH = 0.1, 0.9
"""Ends of the band [-]: eight cases in ten lie in it."""

REFINEMENT, TOLERANCE = 0.5, 0.8
"""How the runs of a spread are cut: factor on the number of cells [-], error allowed in one time step [K]."""

_FEWEST_AGAIN, _ONE_IN = 4, 32  # Draws that are run both ways: these at least, or one in so many.
_SOON = 64  # So many draws are being run while the others are made out; fewer would make small chunks.

_CaseAnswers = Mapping[str, Value]

_ENOUGH = 0.9
_TELLING = (0.05, 0.95)
_JUMPS = ("skin_melted_again_s", "rim_set_s")  # Of these a plane says little.
_EVERYWHERE = 1024
_TIMES, _EARLY = 201, 1.5


def spread(
    scenario: Scenario,
    *,
    keys: Sequence[str] | None = None,
    ranges: Mapping[str, tuple[float, float]] | None = None,
    runs: int = RUNS,
    seed: int = 0,
    own_grid: bool = False,
    executor: Executor | None = None,
    workers: int | None = None,
    on_run: Callable[[int, int], None] | None = None,
) -> Spread:
    """Run a scenario many times with values drawn from their plausible ranges.

    Parameters
    ----------
    scenario : Scenario
        The scenario; its values are the likeliest ones. Of a box of jars, the answers are the worst that its jars
        have, and the curves those of the jar that is set last.
    keys : sequence of str, optional
        Dotted keys to vary; "usual" among them stands for the usual ones, which are varied if this is left out: those
        that `coolsim.studies.spread.inputs.usual_inputs` lists and the scenario does not state itself.
    ranges : mapping of str to (float, float), optional
        Ranges to use instead of the built-in ones [SI, °C].
    runs : int
        How many draws [-]; powers of two fill the ranges the most evenly.
    seed : int
        Seed of the draws [-]. Equal seeds give equal answers.
    own_grid : bool
        Whether to cut the runs as finely as the scenario asks.
    executor : Executor, optional
        Who makes the runs; local worker processes if left out.
    workers : int, optional
        Number of local workers [-]; one for each processor if left out.
    on_run : callable, optional
        Called with the number of finished runs, and of all.

    Returns
    -------
    Spread
        Bands of the answers and curves, and what they depend on.

    Raises
    ------
    ScenarioError
        If a key cannot be varied, or a range, the number of runs or of workers is not possible.
    SolverError
        If the run with the scenario's own values fails, or fewer than eight of the draws can be run.

    Notes
    -----
    Each input is drawn on its own, from a triangle over its plausible range with its top at the value of the scenario
    (`coolsim.studies.spread.inputs.value_at_level`), by a scrambled Sobol sequence. A band holds what these inputs do
    and nothing else: not the error of the model. The draws are cut more coarsely than a single run. Some of them are
    run both ways, and each answer of all is moved by the median factor between the two (DEVELOPERS.md has what is
    left). Where all cases have an answer, and a plane over the inputs says most of it, the ends of its band are those
    of the plane and what it leaves (`coolsim.studies.spread.ends.ends_by_plane`), else those of the cases. Influence is
    that of each input by itself, see `coolsim.studies.spread.influence.main_effects`.

    Examples
    --------
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> from coolsim import built_in_pair, spread, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> with ThreadPoolExecutor(max_workers=1) as executor:
    ...     found = spread(quick, keys=["films.side_factor"], runs=8, executor=executor)
    >>> found
    <Spread of 'Tumbler, bare on the bench': 8 runs over 1 inputs>
    >>> time = found.answer("fully_set_s")
    >>> time.low < time.nominal < time.high
    True
    """
    study = spread_study(scenario, keys=keys, ranges=ranges, runs=runs, seed=seed, own_grid=own_grid)
    (found,) = run_studies([study], executor=executor, workers=workers, on_run=on_run)
    return found


def spread_study(
    scenario: Scenario,
    *,
    keys: Sequence[str] | None = None,
    ranges: Mapping[str, tuple[float, float]] | None = None,
    runs: int = RUNS,
    seed: int = 0,
    own_grid: bool = False,
) -> Study[Spread]:
    """Ask for the runs of `spread`, whose options these are: ranges [SI, °C], a number of runs and a seed [-]."""
    inputs = spread_inputs(scenario, keys, ranges=ranges)
    always = {**NO_LIMITS, **({} if own_grid else coarse_cut(scenario))}
    stated = point_of(scenario, NO_LIMITS)
    if stated.fault is not None:
        raise ScenarioError(stated.fault)
    check_runs(runs)
    # More draws are the same ones first, which are run while the others are made out.
    soon = runs if runs < 2 * _SOON else max(_SOON, runs // _ONE_IN)
    drawn = sample_inputs(scenario, inputs, runs=soon, seed=seed, always=always)
    again = drawn.points[: max(_FEWEST_AGAIN, runs // _ONE_IN)] if len(always) > len(NO_LIMITS) else ()
    fine = [replace(one, jar=replace(one.jar, accuracy=scenario.jar.accuracy)) for one in again if one.jar is not None]
    asked = Wanted(
        points=[stated, *drawn.points, *fine], task=partial(run_cases, points=dict(scenario.probes)), more=soon < runs
    )
    outcomes = yield asked
    if asked.more:
        drawn = sample_inputs(scenario, inputs, runs=runs, seed=seed, always=always)
        outcomes = yield Wanted(points=drawn.points[soon:], task=asked.task)
    own = slice(1 + soon, 1 + soon + len(fine))
    fine_outcomes, outcomes = outcomes[own], [*outcomes[: own.start], *outcomes[own.stop :]]
    factors = _factors(outcomes[1:], fine_outcomes)
    nominal, *rows = (
        SweptRow(point=point, answers=_corrected(outcome.get("answers"), by), fault=outcome.get("fault"))
        for point, outcome, by in zip((stated, *drawn.points), outcomes, [{}, *[factors] * runs], strict=True)
    )
    done = np.array([row.answers is not None for row in rows])
    if nominal.fault is not None:
        raise SolverError(nominal.fault)
    if done.sum() < FEWEST_RUNS:
        fault = next(row.fault for row in rows if row.fault is not None)
        raise SolverError(f"{np.sum(~done)} of {runs} runs failed; the first: {fault}")
    time, bands = _bands(outcomes[0], [outcome for outcome in outcomes[1:] if "curves" in outcome])
    answered = [row.answers for row in rows if row.answers is not None]
    chances = _chances(scenario, nominal.answers or {}, answered, drawn.levels[done])
    places = places_of(inputs, drawn.levels[done])
    everywhere = places_of(inputs, sobol(len(inputs), _EVERYWHERE, seed))
    return Spread(
        scenario=scenario,
        inputs=inputs,
        stated=usual_inputs(scenario)[1] if keys is None else (),
        seed=seed,
        passed_over=drawn.passed_over,
        refinement=always.get("run.refinement", scenario.jar.accuracy.refinement),
        tolerance=always.get("run.tolerance", scenario.jar.accuracy.tolerance),
        nominal=nominal,
        rows=tuple(rows),
        levels=drawn.levels,
        answers=tuple(
            _answer(answer, nominal.answers, answered, drawn.levels[done], (places, everywhere)) for answer in COMPARED
        ),
        chances=chances,
        time=time,
        bands=bands,
    )


def _factors(coarse: Sequence[Mapping[str, Any]], fine: Sequence[Mapping[str, Any]]) -> dict[str, float]:
    """Tell by how much the scenario's own cut moves each answer: the median over the first cases, run both ways [-]."""
    factors = {}
    for answer in COMPARED:
        if answer.kind != "temperature":
            both = [
                (number_of(one["answers"][answer.key]), number_of(other["answers"][answer.key]))
                for one, other in zip(coarse, fine, strict=False)
                if "answers" in one and "answers" in other
            ]
            ratios = [own / rough for rough, own in both if rough and own]
            if len(ratios) > len(fine) / 2:
                factors[answer.key] = float(np.median(ratios))
    return factors


def _corrected(answers: dict[str, Value] | None, factors: Mapping[str, float]) -> dict[str, Value] | None:
    if answers is None:
        return None
    moved = {key: number * factor for key, factor in factors.items() if (number := number_of(answers[key])) is not None}
    return {**answers, **moved}


def coarse_cut(scenario: Scenario) -> dict[str, Any]:
    """List by dotted key what cuts the runs of a scenario more coarsely; what is as coarse already is left as it is."""
    accuracy = scenario.jar.accuracy
    changes: dict[str, Any] = {}
    if accuracy.refinement > REFINEMENT:
        changes["run.refinement"] = REFINEMENT
    if accuracy.tolerance < TOLERANCE:
        changes["run.tolerance"] = TOLERANCE
    return changes


def quantile(values: Array, share: float) -> float:
    """Least of the values, infinite ones among them, that has at least this share [-] of them at or below it."""
    ordered = np.sort(values)
    return float(ordered[max(math.ceil(share * len(ordered) - 1e-9), 1) - 1])


def _number(answer: Answer, answers: _CaseAnswers | None) -> float:
    """Give an answer as a number: infinite for a time that is not reached, NaN for what is not there."""
    if answers is None or (answer.group == "top" and answers["fully_set_s"] is None):
        return math.nan
    number = number_of(answers[answer.key])
    return (math.inf if answer.waits else math.nan) if number is None else number


def _answer(
    answer: Answer,
    nominal: _CaseAnswers | None,
    cases: Sequence[_CaseAnswers],
    levels: Array,
    places: tuple[Array, Array],
) -> SpreadAnswer:
    values = np.array([_number(answer, case) for case in cases])
    finite = np.isfinite(values)
    occurs = float(np.mean(finite))
    known = values[~np.isnan(values)]
    own = _number(answer, nominal)
    ends: Sequence[float | None] | None = None
    if finite.all() and answer.key not in _JUMPS:
        ends = ends_by_plane(places[0], values, places[1], (LOW, 0.5, HIGH))
    low, median, high = ends or [quantile(known, share) if len(known) else None for share in (LOW, 0.5, HIGH)]
    return SpreadAnswer(
        name=answer.key,
        nominal=None if math.isnan(own) else own,
        low=low,
        median=median,
        high=high,
        occurs=occurs,
        effects=main_effects(levels[finite], values[finite]) if occurs >= _ENOUGH else None,
    )


def _chances(
    scenario: Scenario, nominal: _CaseAnswers, cases: Sequence[_CaseAnswers], levels: Array
) -> tuple[Chance, ...]:
    found = []
    for name, happens in _events_of(scenario).items():
        here = np.array([happens(case) for case in cases], dtype=float)
        share = float(here.mean())
        effects = main_effects(levels, here) if _TELLING[0] <= share <= _TELLING[1] else None
        found.append(Chance(name=name, nominal=happens(nominal), share=share, effects=effects))
    return tuple(found)


def _events_of(scenario: Scenario) -> dict[str, Callable[[_CaseAnswers], bool]]:
    limits = scenario.jar.answers

    def top(word: str) -> Callable[[_CaseAnswers], bool]:
        def is_so(answers: _CaseAnswers) -> bool:
            dish, hole = (_number(BY_KEY[key], answers) for key in ("dish_m", "hole_m"))
            return not math.isnan(hole) and verdict_of(dish, hole, limits) == word

        return is_so

    return {
        "a first skin forms at the glass": lambda answers: answers["skin_formed_s"] is not None,
        "the first skin stays": skin_stays,
        **{f"the top is {word}": top(word) for word in WORDS},
        "there is a hidden cavity": lambda answers: _number(BY_KEY["cavity_volume_m3"], answers) >= limits.cavity_from,
        "it is fully set within the run": lambda answers: answers["fully_set_s"] is not None,
    }


def _bands(nominal: Mapping[str, Any], cases: Sequence[Mapping[str, Any]]) -> tuple[Array, tuple[Band, ...]]:
    end = quantile(np.array([case["time"][-1] for case in cases]), HIGH)
    # Closer together at first, when all goes quickly.
    time = end * np.linspace(0.0, 1.0, _TIMES) ** _EARLY
    bands = []
    for name, own in nominal["curves"].items():
        curves = np.array([np.interp(time, case["time"], case["curves"][name]) for case in cases])
        curves = curves[~np.isnan(curves).any(axis=1)]
        if not len(curves) or np.isnan(own).any():
            continue
        low, median, high = np.quantile(curves, [LOW, 0.5, HIGH], axis=0, method="inverted_cdf")
        bands.append(Band(name=name, nominal=np.interp(time, nominal["time"], own), low=low, median=median, high=high))
    return time, tuple(bands)

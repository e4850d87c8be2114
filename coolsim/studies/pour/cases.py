"""How hot to pour when wax, films and contacts are loosely known: what passes in most of the cases."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Generator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import Any

from coolsim.answers.answer import Value
from coolsim.answers.catalogue import skin_stays
from coolsim.errors import ScenarioError
from coolsim.model.section import Array
from coolsim.scenario import changed
from coolsim.scenario.plausible import Plausible, limits_of
from coolsim.studies.pour.choose import Candidate, PourChoice, PourStudy, Stand, common_changes, too_slow
from coolsim.studies.pour.limits import ROUND_OFF, Limit
from coolsim.studies.spread.inputs import sample_rows, spread_inputs, usual_inputs, value_at_level
from coolsim.studies.spread.spread import coarse_cut
from coolsim.studies.sweep.point import run_jars
from coolsim.studies.sweep.sweep import NO_LIMITS, Point, point_of, run_points
from coolsim.studies.sweep.workers import workers_for

CASES, SHARE = 32, 0.8
"""Number of cases, and the share of them in which a pour must pass, unless the caller says otherwise [-]."""

_FIXED: frozenset[Limit] = frozenset({"wax maker's limit", "fragrance limit", "jar shock", "failed"})

_Name = tuple[int, int]  # of a search: the numbers of its choice and of its case
_Search = Generator[int, Mapping[str, Value] | None, tuple[Limit | None, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """The values of one case for each place, and where freezing starts with them [°C]."""

    changes: dict[Stand, dict[str, float]]
    starts: dict[Stand, float]


def pours_in_most_cases(
    study: PourStudy,
    *,
    cases: int = CASES,
    share: float = SHARE,
    seed: int = 0,
    executor: Executor | None = None,
    workers: int | None = None,
    on_run: Callable[[int, int], None] | None = None,
) -> PourStudy:
    """Judge the candidates of a study by how often they pass.

    Parameters
    ----------
    study : PourStudy
        A study with the values of the scenario.
    cases : int
        How many cases to draw [-].
    share : float
        In which share of them a pour must pass [-].
    seed : int
        Seed of the draws [-].
    executor : Executor, optional
        Who makes the runs; local worker processes if left out.
    workers : int, optional
        Number of local workers [-]; one for each processor if left out.
    on_run : callable, optional
        Called with the number of finished runs, and of all that are known to be needed so far.

    Returns
    -------
    PourStudy
        The same candidates and answers, each with the share of the cases in which it passes; what is recommended is
        chosen, by dish and cavity with the values of the scenario, among those that pass often enough.

    Raises
    ------
    ScenarioError
        If the number of cases or the share is not possible, or the scenarios state all that could be varied.

    Notes
    -----
    The cases vary the usual inputs of a spread, drawn as there; the same cases serve every room, place and pour, so
    that neighbours on the chart differ by room and pour alone. Limits of the data sheets and of thermal
    shock are as stated. Each case has its own start of freezing, and the margin above it.

    A hotter pour melts a first skin better and sets later. So in each case the coldest pour whose skin melts again and
    the hottest that sets in time are found by bisection, in some three runs instead of twenty. The runs are cut as
    those of a spread.

    Examples
    --------
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> from coolsim import built_in_pair, choose_pour, pours_in_most_cases, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> with ThreadPoolExecutor(max_workers=1) as executor:
    ...     study = choose_pour(quick, pours=["56 °C"], executor=executor)
    ...     often = pours_in_most_cases(study, cases=8, executor=executor)
    >>> [0.0 <= choice.candidates[0].passes <= 1.0 for choice in often.choices]
    [True, True]
    """
    if not 0.0 < share <= 1.0:
        raise ScenarioError(f"share: found {share:g}. Give a share above 0 % and up to 100 %.")
    varied, drawn = _draw(study, cases, seed)
    searches = {
        (number, index): _search(choice, case, study)
        for number, choice in enumerate(study.choices)
        for index, case in enumerate(drawn)
    }
    with workers_for(len(searches), executor, workers) as makers:
        found = _follow(searches, study, drawn, makers, workers, on_run)
    choices = tuple(
        _judged(choice, [found[number, index] for index in range(cases)], share)
        for number, choice in enumerate(study.choices)
    )
    return replace(study, choices=choices, cases=cases, share=share, varied=varied)


def _draw(study: PourStudy, cases: int, seed: int) -> tuple[tuple[str, ...], tuple[_Case, ...]]:
    """Draw the cases; return the keys that they vary, too."""
    scenarios = study.stands
    usual = {place: usual_inputs(scenario)[0] for place, scenario in scenarios.items()}
    keys = tuple(dict.fromkeys(key for place in usual for key in usual[place]))
    if not keys:
        raise ScenarioError(
            f"{study.scenario().where}: nothing is left to vary: it states all that is loosely known itself."
        )
    inputs = {place: spread_inputs(scenarios[place], usual[place]) for place in scenarios}
    hottest = limits_of("pour.temperature")[1]

    def made(levels: Array) -> tuple[_Case | None, str | None]:
        by_key = dict(zip(keys, levels, strict=True))
        changes, starts = {}, {}
        for place, scenario in scenarios.items():
            changes[place] = _values(inputs[place], by_key)
            try:
                # As hot as can be: whether a case can be must not depend on the pour.
                hot = changed(scenario, {**NO_LIMITS, **changes[place], "pour.temperature": hottest})
            except ScenarioError as error:
                return None, " ".join(str(error).splitlines())
            starts[place] = hot.jar.wax.freezing_starts
        return _Case(changes=changes, starts=starts), None

    _, drawn, _ = sample_rows(len(keys), made, runs=cases, seed=seed)
    return keys, tuple(case for case in drawn if case is not None)


def _values(inputs: Sequence[Plausible], levels: Mapping[str, float]) -> dict[str, float]:
    return {known.key: known.as_written(value_at_level(known, float(levels[known.key]))) for known in inputs}


def _search(choice: PourChoice, case: _Case, study: PourStudy) -> _Search:
    """Ask for the runs that tell at which pours a case passes; return the limit that it breaks at each, or None."""
    pours = [one.pour for one in choice.candidates]
    broken: list[Limit | None] = [None] * len(pours)
    least = case.starts[choice.place] + study.margin - ROUND_OFF
    open_ones = []
    for index, one in enumerate(choice.candidates):
        if one.pour < least:
            broken[index] = "cloudy" if one.pour < case.starts[choice.place] - ROUND_OFF else "too near freezing"
        elif not _FIXED.intersection(one.rejected):
            open_ones.append(index)
    known: dict[int, Mapping[str, Value] | None] = {}

    # The first of the open pours at which no skin stays, then the first that is too slow.
    ends: list[int] = []
    for first in (True, False):
        low, high = (0 if first else ends[0]), len(open_ones)
        # The end where most cases are decided is asked first.
        probe = low if first else high - 1
        while low < high:
            if open_ones[probe] not in known:
                known[open_ones[probe]] = yield open_ones[probe]
            answers = known[open_ones[probe]]
            if answers is None:
                return tuple("failed" for _ in pours)
            happens = not skin_stays(answers) if first else too_slow(answers, study.time_allowed)
            low, high = (low, probe) if happens else (probe + 1, high)
            probe = (low + high) // 2
        ends.append(low)
    for place, index in enumerate(open_ones):
        broken[index] = "skin stays" if place < ends[0] else "too slow" if place >= ends[1] else None
    return tuple(broken)


def _follow(
    searches: Mapping[_Name, _Search],
    study: PourStudy,
    drawn: Sequence[_Case],
    executor: Executor,
    workers: int | None,
    on_run: Callable[[int, int], None] | None,
) -> dict[_Name, tuple[Limit | None, ...]]:
    """Run what the searches ask for, all at once, until none asks any more."""
    found: dict[_Name, tuple[Limit | None, ...]] = {}
    answers: dict[_Name, Mapping[str, Value] | None] = {}
    done = total = 0

    def came(name: _Name, outcome: dict[str, Any]) -> None:
        nonlocal done
        answers[name] = outcome.get("answers")
        done += 1
        if on_run is not None:
            on_run(done, total)

    while len(found) < len(searches):
        points = {}
        for name, search in searches.items():
            if name not in found:
                try:
                    # What a search asked for last; nothing at first.
                    wanted = search.send(answers.pop(name, None))
                except StopIteration as end:
                    found[name] = end.value
                else:
                    points[name] = _point(study, study.choices[name[0]], drawn[name[1]], wanted)
        total = done + len(points)
        possible = {name: point for name, point in points.items() if point.fault is None}
        run_points([possible], executor, task=lambda _: run_jars, came=came, workers=workers)
    return found


def _point(study: PourStudy, choice: PourChoice, case: _Case, index: int) -> Point:
    scenario = study.scenario(choice.place)
    changes = {
        **common_changes(scenario, study.time_allowed),
        **coarse_cut(scenario),
        **case.changes[choice.place],
        "room.temperature": choice.room,
        "vessel.temperature": choice.jar,
        "pour.temperature": choice.candidates[index].pour,
    }
    return point_of(scenario, changes)


def _judged(choice: PourChoice, cases: Sequence[tuple[Limit | None, ...]], share: float) -> PourChoice:
    candidates: list[Candidate] = []
    for index, one in enumerate(choice.candidates):
        counted = Counter(case[index] for case in cases)
        fixed = tuple(limit for limit in one.rejected if limit in _FIXED)
        passes = 0.0 if fixed else counted[None] / len(cases)
        seldom: tuple[Limit, ...] = () if fixed or passes >= share - ROUND_OFF else ("passes too seldom",)
        breaks = tuple((limit, count / len(cases)) for limit, count in counted.most_common() if limit is not None)
        candidates.append(replace(one, rejected=(*fixed, *seldom), passes=passes, breaks=breaks))
    # Each case has its own start of freezing: where that limit lies, the shares say.
    known = {limit: at for limit, at in choice.known.items() if limit in _FIXED}
    return replace(choice, candidates=tuple(candidates), known=known)

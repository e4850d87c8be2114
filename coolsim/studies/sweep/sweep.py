"""Many runs: any key of a scenario over many values, several keys at once, over one or several scenarios."""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import chain, count, product
from pathlib import Path
from types import MappingProxyType
from typing import Any, Generic, TypeVar

from coolsim.answers.answer import Value
from coolsim.answers.catalogue import BY_KEY
from coolsim.answers.text import value_text
from coolsim.errors import ScenarioError, SolverError
from coolsim.model.jar import Jar
from coolsim.overview import COMPUTED, Overview, OverviewTable
from coolsim.scenario import Scenario, changed, with_overrides
from coolsim.scenario.keys import key_of
from coolsim.studies.sweep.chunks import chunks_of
from coolsim.studies.sweep.journal import Journal
from coolsim.studies.sweep.point import identity, run_jars
from coolsim.studies.sweep.workers import WORKER_LOST, LocalWorkers, usual_workers, workers_for
from coolsim.tables import HARD_SPACE

MOST_POINTS = 100_000
"""Most points of one sweep [-]."""

AHEAD = 64
"""How many chunks an executor is given before the first comes back [-]: enough for as many workers, few to cancel."""

MOST_ENDED = 3
"""How many workers may end with a point before it is given up, and how many points may be given up in a row [-]."""

SHOWN_AT_ONCE = 50
"""How many rows of a sweep are shown at a glance [-]; all of them are in it."""

NO_LIMITS: Mapping[str, Any] = MappingProxyType(
    {"wax.highest_temperature": None, "wax.fragrance_limit": None, "report": None}
)
"""Changes with which the limits of a data sheet refuse no pour; the study judges instead."""

Task = Callable[[Sequence[Jar]], Sequence[dict[str, Any]]]
"""What is done with the jars of a chunk: it travels between processes, and gives ``answers`` or ``fault`` for each."""

_Name = TypeVar("_Name")
_Found = TypeVar("_Found")
_Place = tuple[int, int]  # Study, and which of all points that it has asked for.

_SHOWN = tuple(BY_KEY[key] for key in ("top_closed_s", "fully_set_s", "dish_m", "hole_m"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One run of a sweep.

    `scenario` is the number of its scenario [-], `at` its keys and their raw values, `name` a hash of what decides
    its answers; a point that cannot be run has no jar and says why in `fault`.
    """

    scenario: int
    at: tuple[tuple[str, Any], ...]
    name: str = field(repr=False)
    jar: Jar | None = field(repr=False)
    where: str
    fault: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SweptRow:
    """What became of a point: its answers by key, or why it failed."""

    point: Point
    answers: dict[str, Value] | None
    fault: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Runs that a study asks for: of which points, what is done with them, and who is told of each that comes in.

    With `more` it asks for others of that task at once, while these are being made, and is sent what became of all.
    """

    points: Sequence[Point]
    task: Task
    told: Callable[[int, Mapping[str, Any]], None] | None = None
    more: bool = False


Study = Generator[Wanted, Sequence[dict[str, Any]], _Found]
"""A question that takes many runs: it asks for some, is sent what became of them, and returns what it has found."""


class Sweep(tuple[SweptRow, ...], Overview):
    """The rows of a sweep. A notebook shows them as a table; `print` writes the same as lines.

    Examples
    --------
    It is a tuple of `SweptRow`:

    >>> from coolsim import built_in_pair, sweep, sweep_points
    >>> points = sweep_points(built_in_pair()[:1], {"pour.temperature": ["20 °C", "62 °C"]})
    >>> rows = sweep(points[:1])
    >>> rows
    <Sweep of 1 points, 1 failed>
    >>> rows[0].fault
    'tumbler-bare.toml: pour.temperature: found 20 °C, but this wax with its fragrance starts to set ...'
    """

    __slots__ = ()

    def __repr__(self) -> str:
        failed = sum(row.answers is None for row in self)
        return f"<Sweep of {len(self)} points{f', {failed} failed' if failed else ''}>"

    def overview(self) -> OverviewTable:
        """Return the main answers of the first rows, as a notebook shows them."""
        rows = self[:SHOWN_AT_ONCE]
        several = len({row.point.scenario for row in self}) > 1
        keys = [key for key, _ in self[0].point.at] if self else []
        notes = [f"The first {len(rows)} of {len(self)} points."] if len(rows) < len(self) else []
        notes += dict.fromkeys(f"Failed: {row.fault}" for row in rows if row.fault is not None)
        return OverviewTable(
            title="Sweep [h:mm since the pour]",
            headings=(*(["Scenario"] if several else []), *keys, *(answer.called.capitalize() for answer in _SHOWN)),
            rows=tuple((*([row.point.where] if several else []), *_cells(row)) for row in rows),
            notes=(*notes, COMPUTED),
        )


def _cells(row: SweptRow) -> tuple[str, ...]:
    at = ("left out" if raw is None else str(raw) for _, raw in row.point.at)
    if row.answers is None:
        return (*at, "failed", *[""] * (len(_SHOWN) - 1))
    told = (value_text(answer, row.answers[answer.key], "metric") for answer in _SHOWN)
    return (*at, *(one.replace(" ", HARD_SPACE) for one in told))


def sweep_points(
    scenarios: Sequence[Scenario], axes: Mapping[str, Sequence[Any]], *, always: Mapping[str, Any] | None = None
) -> tuple[Point, ...]:
    """List the points of a sweep: each scenario at each combination of the values.

    Parameters
    ----------
    scenarios : sequence of Scenario
        One or several.
    axes : mapping of str to sequence
        Raw values by dotted key of a scenario. The last key changes quickest.
    always : mapping, optional
        Changes that hold at every point, as for `with_overrides`.

    Returns
    -------
    tuple of Point
        Those that are no possible scenario say so in `fault`.

    Raises
    ------
    ScenarioError
        If there is no scenario or no value, a key is unknown, there are too many points, or no point is possible.

    Examples
    --------
    >>> from coolsim import built_in_pair, sweep_points
    >>> points = sweep_points(built_in_pair(), {"pour.temperature": ["60 °C", "65 °C", "70 °C"]})
    >>> len(points), points[0].at
    (6, (('pour.temperature', '60 °C'),))
    """
    if not scenarios:
        raise ScenarioError("a sweep needs a scenario. Give at least one.")
    count = len(scenarios)
    for key, values in axes.items():
        key_of(key)
        if not values:
            raise ScenarioError(f"{key}: found no values. Give at least one.")
        count *= len(values)
    if count > MOST_POINTS:
        raise ScenarioError(f"found {count} points. Give fewer values; a sweep has at most {MOST_POINTS}.")
    points = [
        _point(scenario, partial(with_overrides, scenario, {**(always or {}), **dict(at)}), number, at)
        for number, scenario in enumerate(scenarios)
        for at in ([*zip(axes, values, strict=True)] for values in product(*axes.values()))
    ]
    if all(point.fault for point in points):
        raise ScenarioError([f"no point of the sweep is possible; the first: {points[0].fault}"])
    return tuple(points)


def sweep(
    points: Sequence[Point],
    *,
    executor: Executor | None = None,
    workers: int | None = None,
    journal: Journal | Path | None = None,
    on_row: Callable[[SweptRow, int, int], None] | None = None,
) -> Sweep:
    """Run the points of a sweep.

    Parameters
    ----------
    points : sequence of Point
        Of `sweep_points`.
    executor : Executor, optional
        Who runs them: any of `concurrent.futures`, or one with the same interface, as the `Client.get_executor()` of
        dask. Left out, local worker processes.
    workers : int, optional
        Number of local workers [-]; one for each processor if left out. Of an executor, how many it has: points are
        parted among them.
    journal : Journal or Path, optional
        Where finished points are kept. Those that it holds already are not run again.
    on_row : callable, optional
        Called with each row as it comes in, the number of rows so far, and of all.

    Returns
    -------
    Sweep
        A tuple with one `SweptRow` for each point, in their order. A point that failed says why; the others are not
        held up by it.

    Raises
    ------
    ScenarioError
        If the number of workers is not at least one.
    SolverError
        If worker processes end unasked with one point after the other, or with that of a pool that the caller brought.
    OutputError
        If the journal cannot be written; what was written before is kept.

    Notes
    -----
    Points of one grid are run together, in chunks (`coolsim.studies.sweep.chunks`), and a chunk is kept when it comes
    back. When the sweep is interrupted and there is a journal, chunks that are being run are waited for (some seconds)
    and kept in it; those not yet begun are dropped. What ends the process at once costs the chunks that are being run.

    A chunk that fails as a whole, since its node or its worker is lost or its memory runs out, is run again point by
    point. A point with which three workers ended is given up and says so.

    Examples
    --------
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> from coolsim import built_in_pair, sweep, sweep_points
    >>> coarse = {"run.refinement": 0.5, "run.tolerance": "1 K"}
    >>> points = sweep_points(built_in_pair()[:1], {"pour.temperature": ["62 °C", "66 °C"]}, always=coarse)
    >>> with ThreadPoolExecutor(max_workers=1) as executor:
    ...     print(sweep(points, executor=executor))
    Sweep [h:mm since the pour]
    pour.temperature  Top closed  Fully set  Dish    Hole
    62 °C             0:43        1:51       1.4 mm  4.2 mm
    66 °C             0:46        1:54       1.3 mm  4.3 mm
    Computed, not measured. Hot wax burns ...
    """
    (found,) = run_studies([swept(points, on_row)], executor=executor, workers=workers, journal=journal)
    return found


def swept(points: Sequence[Point], on_row: Callable[[SweptRow, int, int], None] | None = None) -> Study[Sweep]:
    """Ask for the runs of a sweep."""
    done = count(1)

    def row(index: int, outcome: Mapping[str, Any]) -> SweptRow:
        return SweptRow(point=points[index], answers=outcome.get("answers"), fault=outcome.get("fault"))

    def told(index: int, outcome: Mapping[str, Any]) -> None:
        if on_row is not None:
            on_row(row(index, outcome), next(done), len(points))

    outcomes = yield Wanted(points=points, task=run_jars, told=told)
    return Sweep(row(index, outcome) for index, outcome in enumerate(outcomes))


def run_studies(
    studies: Sequence[Study[_Found]],
    *,
    executor: Executor | None = None,
    workers: int | None = None,
    journal: Journal | Path | None = None,
    on_run: Callable[[int, int], None] | None = None,
    beside: Iterator[None] | None = None,
) -> list[_Found]:
    """Make the runs that studies ask for, those of all together, so that no worker waits for the end of one study.

    The executor, the number of workers [-] and the journal are those of `sweep`; answers alone are kept, not curves.
    `on_run` is told how many runs are done, and how many are known to be needed so far. `beside` is work of the
    caller, of which a piece is done while runs are being made.
    """
    with ExitStack() as stack:
        kept = stack.enter_context(Journal(journal)) if isinstance(journal, Path) else journal
        asking = _Asking(studies, kept, on_run)
        begun = asking.begin()
        if todo := next(filter(None, begun), None):
            makers = stack.enter_context(
                workers_for(len(todo) if len(studies) == 1 else MOST_POINTS, executor, workers)
            )
            run_points(
                chain([todo], begun),
                makers,
                task=asking.task,
                came=asking.came,
                workers=workers,
                journal=kept,
                beside=beside,
            )
    return [asking.found[number] for number in range(len(studies))]


class _Asking(Generic[_Found]):
    """What studies have asked for, and what they have found."""

    def __init__(
        self, studies: Sequence[Study[_Found]], kept: Journal | None, on_run: Callable[[int, int], None] | None
    ) -> None:
        self._studies, self._kept, self._on_run = studies, kept, on_run
        self._wanted: dict[int, Wanted] = {}
        self._outcomes: dict[int, dict[int, dict[str, Any]]] = {}
        self._before = [0] * len(studies)
        self._done = self._total = 0
        self.found: dict[int, _Found] = {}

    def begin(self) -> Iterator[dict[_Place, Point]]:
        """Let one study after the other begin, and give the points that it asks for first."""
        for number in range(len(self._studies)):
            yield from self._round(number)

    def task(self, place: _Place) -> Task:
        """Tell what is done with a point."""
        return self._wanted[place[0]].task

    def came(self, place: _Place, outcome: dict[str, Any]) -> dict[_Place, Point]:
        """Take what became of a point, and give those that are wanted next."""
        number = place[0]
        self._take(place, outcome)
        if len(self._outcomes[number]) < len(self._wanted[number].points):
            return {}
        return {place: point for todo in self._round(number) for place, point in todo.items()}

    def _round(self, number: int) -> Iterator[dict[_Place, Point]]:
        """Give what a study wants next, part after part if it asks for more at once."""
        yield self._next(number)
        while number not in self.found and self._wanted[number].more:
            yield self._next(number)

    def _take(self, place: _Place, outcome: dict[str, Any]) -> None:
        number, index = place
        self._outcomes[number][index] = outcome
        self._done += 1
        told = self._wanted[number].told
        if told is not None:
            told(index - self._before[number], outcome)
        if self._on_run is not None:
            self._on_run(self._done, self._total)

    def _next(self, number: int) -> dict[_Place, Point]:
        """Let a study go on until it asks for what has to be run."""
        known = {} if self._kept is None else self._kept.done
        todo: dict[_Place, Point] = {}
        while not todo:
            study, before = self._studies[number], self._outcomes.get(number)
            asked = self._wanted.get(number)
            try:
                # The outcomes of what it asked for last; nothing to begin with, or where it has more to ask.
                if before is None or (asked is not None and asked.more):
                    wanted = next(study)
                else:
                    wanted = study.send([before[index] for index in sorted(before)])
            except StopIteration as end:
                self.found[number] = end.value
                break
            if asked is not None and asked.more:
                first = self._before[number] + len(asked.points)
                self._wanted[number] = replace(wanted, points=[*asked.points, *wanted.points])
            else:
                first = self._before[number] = self._before[number] + len(before or ())
                self._wanted[number], self._outcomes[number] = wanted, {}
            self._total += len(wanted.points)
            keeps = wanted.task is run_jars
            if self._kept is not None and keeps:
                self._kept.asked.update(point.name for point in wanted.points)
            for index, point in enumerate(wanted.points, start=first):
                if point.fault is not None:
                    self._take((number, index), {"fault": point.fault})
                elif keeps and point.name in known:
                    self._take((number, index), {"answers": known[point.name]})
                else:
                    todo[number, index] = point
            if not wanted.more and len(self._outcomes[number]) < len(self._wanted[number].points):
                # What it asked for before is still being run.
                break
        return todo


def run_points(
    wishes: Iterable[Mapping[_Name, Point]],
    executor: Executor,
    *,
    task: Callable[[_Name], Task],
    came: Callable[[_Name, dict[str, Any]], Mapping[_Name, Point] | None],
    workers: int | None = None,
    journal: Journal | None = None,
    beside: Iterator[None] | None = None,
) -> None:
    """Hand points out to an executor in chunks, a few ahead, and take back what becomes of them.

    `wishes` say which points; those of the first are being run while the next is made out. `task` tells what is done
    with a point of a name; `came` is called with the name and the outcome of each, and may give further points, which
    are handed out first. `workers` is how many there are [-], one for each processor if left out. While runs are being
    made, `beside` is asked for piece after piece. When it is interrupted and there is a journal, chunks that are being
    run are waited for and kept; the others are dropped.

    If a local worker ends unasked, the points that were being run are run again at the end, one by one and nothing
    beside them, so that it is known with which of them workers end: it is given up, and the others are not. SolverError
    if there are only such points, or the process pool of a caller is lost.
    """
    points: dict[_Name, Point] = {}
    jars: dict[_Name, Jar] = {}
    makers = workers or usual_workers()
    # A pool begins what it has been given: at an interrupt that is waited for.
    ahead = makers + (beside is not None) if isinstance(executor, LocalWorkers) else AHEAD
    waiting: deque[tuple[_Name, ...]] = deque()
    running: dict[Future[Sequence[dict[str, Any]]], tuple[_Name, ...]] = {}
    suspects: deque[_Name] = deque()
    ended: Counter[_Name] = Counter()
    given_up: list[_Name] = []

    def chunks(more: Mapping[_Name, Point]) -> list[tuple[_Name, ...]]:
        points.update(more)
        alike: dict[Task, dict[_Name, Jar]] = {}
        for name, point in more.items():
            if point.jar is not None:
                alike.setdefault(task(name), {})[name] = jars[name] = point.jar
        return [chunk for group in alike.values() for chunk in chunks_of(group, makers)]

    def hand_out() -> None:
        if suspects and not (waiting or running):
            waiting.append((suspects.popleft(),))
        while waiting and len(running) < ahead:
            names = waiting.popleft()
            running[executor.submit(task(names[0]), [jars[name] for name in names])] = names

    def lost(names: Sequence[_Name]) -> Mapping[_Name, dict[str, Any]]:
        ended.update(names)
        suspects.extend(name for name in names if ended[name] < MOST_ENDED)
        given_up.extend(name for name in names if ended[name] >= MOST_ENDED)
        if len(given_up) >= min(MOST_ENDED, len(jars)):
            raise BrokenProcessPool
        return {name: {"fault": f"{points[name].where}: {WORKER_LOST}."} for name in names if name in given_up}

    def keep(future: Future[Sequence[dict[str, Any]]]) -> Mapping[_Name, dict[str, Any]]:
        names, error = running[future], future.exception()
        if error is not None:
            del running[future]
        if isinstance(error, BrokenProcessPool) and isinstance(executor, LocalWorkers):
            return lost(names)
        if len(names) > 1 and error is not None and not isinstance(error, BrokenProcessPool):
            waiting.extendleft((name,) for name in names)
            return {}
        given_up.clear()
        found = dict(zip(names, _outcomes(future, [points[name] for name in names]), strict=True))
        for name, outcome in found.items():
            if journal is None or task(name) is not run_jars or points[name].name in journal.done:
                continue
            if "answers" in outcome:
                journal.add(points[name].name, outcome["answers"])
        # Only now: an interrupt between two lines must not cost the others.
        running.pop(future, None)
        return found

    try:
        for wish in wishes:
            waiting.extend(chunks(wish))
            hand_out()
        while running:
            for _ in beside or ():
                if any(future.done() for future in running):
                    break
            done, _ = wait(running, return_when=FIRST_COMPLETED)
            for future in done:
                for name, outcome in keep(future).items():
                    waiting.extendleft(chunks(came(name, outcome) or {})[::-1])
            hand_out()
    except (KeyboardInterrupt, BrokenProcessPool) as error:
        if journal is not None:
            for future in running:
                future.cancel()
            wait(running)
            for future in [future for future in running if not future.cancelled() and future.exception() is None]:
                keep(future)
        if isinstance(error, KeyboardInterrupt):
            raise
        kept = "" if journal is None else f"; finished points are kept in {journal.path}"
        raise SolverError(f"{WORKER_LOST}{kept}.") from error
    finally:
        for future in running:
            future.cancel()


def _outcomes(future: Future[Sequence[dict[str, Any]]], points: Sequence[Point]) -> Sequence[dict[str, Any]]:
    error = future.exception()
    if error is None:
        return future.result()
    if isinstance(error, BrokenProcessPool):
        raise error
    why = f"{type(error).__name__}: {error}"
    if isinstance(error, MemoryError):
        why = "the memory ran out. Give fewer workers or a coarser grid (run.refinement)."
    # Else a bug, or a lost node of a cluster: it costs this point, not the sweep.
    return [{"fault": f"{point.where}: {why}"} for point in points]


def point_of(
    scenario: Scenario, values: Mapping[str, Any], *, number: int = 0, at: Sequence[tuple[str, Any]] = ()
) -> Point:
    """Make a point of a scenario with values in SI (°C), as for `coolsim.scenario.changed`.

    `number` [-] and `at` are those of the point: which scenario it is of, and what tells it from the others.
    """
    return _point(scenario, lambda: changed(scenario, values), number, at)


def _point(scenario: Scenario, made: Callable[[], Scenario], number: int, at: Sequence[tuple[str, Any]]) -> Point:
    try:
        jar = made().jar
    except ScenarioError as error:
        fault = " ".join(str(error).splitlines())
        return Point(scenario=number, at=tuple(at), name="", jar=None, where=scenario.where, fault=fault)
    return Point(scenario=number, at=tuple(at), name=identity(jar), jar=jar, where=scenario.where)

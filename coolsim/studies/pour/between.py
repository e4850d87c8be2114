"""Pours that are run, and the answers of the others from between them.

Answers are smooth in pour and room but for one kink: where a first skin begins to melt again, the times of skin and rim
begin, as the root of the distance from it. A pour between a colder and a warmer one of the same kind is of that kind;
what lies between two kinds is halved until no kind is open, and no verdict on a skin is worked out. Numbers come from
the smoothest surface through the runs (cubic kernel and plane; Duchon 1977, from memory). The pours farthest from all
runs are worked out, then run, until they come out as they were worked out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Generator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from coolsim.answers.answer import Value
from coolsim.answers.catalogue import BY_KEY, in_group, skin_stays
from coolsim.model.section import Array
from coolsim.studies.sweep.sweep import Point, Study, SweptRow, swept

WITHIN = 0.01
"""How far times and tops that are worked out may be off those of their own run [-] ..."""

SLACK = {"length": 0.05e-3, "volume": 0.05e-6}
"""... beyond what nobody measures of lengths [m] and volumes [m3]."""

_FEW = 10  # Fewer pours of a stand are all run.
_EVERY, _SHIFT = 8, 4  # Pours of a room.
_BOTH = 2
_CHECKED = 0.03  # Share of the pours that are worked out, then run, in a round.
_SCALE = 10.0  # K
_JUMPS = ("rim_set_s",)  # Begins at a length, not at nothing.
# Powers of times that go straight towards the kink, and how far below the least of the runs they may come.
_STRAIGHT, _BELOW = {"rim_set_s": 2.0, "skin_melted_again_s": -1.0}, 0.5
_TIMES = [answer.key for answer in in_group("setting")]
_KINDS = ["skin_formed_s", "skin_melted_again_s", *_TIMES]
_TOP = ("dish_m", "hole_m", "depth_m", "rim_dip_m", "centre_dip_m", "dish_volume_m3", "void_volume_m3")
# Times of skin and rim are left out: near the kink they are off by up to 8 %, a minute or less.
_COMPARED = {key: 0.0 for key in _TIMES if key not in _JUMPS} | {
    key: SLACK[BY_KEY[key].kind or "length"] for key in _TOP
}

_Answers = Mapping[str, Value]
_Search = Generator[list[int], None, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """How many of the pours were run [-], of how many, and how far those that were tried last were off at most [-]."""

    runs: int
    pours: int
    off: float


def swept_between(
    points: Sequence[Point], on_row: Callable[[SweptRow, int, int], None] | None = None
) -> Study[tuple[tuple[SweptRow, ...], Between]]:
    """Ask for the runs of some points of rooms and pours, and work out the others.

    `on_row` is told of the runs alone, and of how many are known to be needed so far.
    """
    rows: dict[int, SweptRow] = {}
    groups: dict[tuple[int, bool], list[int]] = {}
    jars = [point.jar for point in points]
    for index, jar in enumerate(jars):
        if jar is not None:
            cloudy = jar.pour < jar.wax.freezing_starts
            groups.setdefault((points[index].scenario, cloudy), []).append(index)
    groups = {name: group for name, group in groups.items() if len(group) >= _FEW}
    at = np.array([(jar.room.at(0.0), jar.pour) if jar is not None else (0.0, 0.0) for jar in jars]) / _SCALE
    searches = {name: _search(group, at, rows) for name, group in groups.items()}
    asked = set(range(len(points))).difference(*groups.values())
    off = 0.0
    while searches or asked:
        for name, search in list(searches.items()):
            try:
                asked.update(next(search))
            except StopIteration as end:
                off = max(off, end.value)
                del searches[name]
        order, before = sorted(asked), len(rows)

        def told(row: SweptRow, done: int, total: int, before: int = before) -> None:
            if on_row is not None:
                on_row(row, before + done, before + total)

        found = yield from swept([points[index] for index in order], told)
        rows.update(zip(order, found, strict=True))
        asked = set()
    between = Between(runs=len(rows), pours=len(points), off=off)
    for group in groups.values():
        for index, answers in _worked_out([one for one in group if one not in rows], group, at, rows).items():
            rows[index] = SweptRow(point=points[index], answers=answers, fault=None)
    return tuple(rows[index] for index in range(len(points))), between


def _search(group: Sequence[int], at: Array, rows: Mapping[int, SweptRow]) -> _Search:
    """Ask for the runs of a stand; return how far those that were worked out before were off [-]."""
    lines = [[one for one in group if at[one, 0] == room] for room in np.unique(at[group, 0])]
    lines = [sorted(line, key=lambda one: at[one, 1]) for line in lines]
    yield _first(lines)
    off = math.inf
    while True:
        while wanted := [one for line in lines for one in _midway(line, at, rows, group)]:
            yield wanted
        left = [one for one in group if one not in rows]
        if not left or off <= WITHIN:
            return 0.0 if math.isinf(off) else off
        tried: list[int] = []
        for _ in range(math.ceil(_CHECKED * len(group))):
            reach = [min(math.dist(at[one], at[run]) for run in (*tried, *(set(group) & rows.keys()))) for one in left]
            tried.append(left[int(np.argmax(reach))])
        expected = _worked_out(tried, group, at, rows)
        yield tried
        off = max(_off(answers, rows[one].answers) for one, answers in expected.items())


def _first(lines: Sequence[Sequence[int]]) -> list[int]:
    """Choose every so many pours, from room to room others, and both ends of the coldest and the warmest room."""
    chosen = [one for number, line in enumerate(lines) for one in line[(number * _SHIFT) % _EVERY :: _EVERY]]
    return list(dict.fromkeys([*chosen, lines[0][0], lines[0][-1], lines[-1][0], lines[-1][-1]]))


def _midway(line: Sequence[int], at: Array, rows: Mapping[int, SweptRow], group: Sequence[int]) -> list[int]:
    """Give the middle one of the pours of a room whose kind is open, or both of two."""
    undecided = [one for one in line if one not in rows and not _kinds(one, at, rows, group)]
    return undecided if len(undecided) == _BOTH else undecided[len(undecided) // 2 :][:1]


def _kinds(one: int, at: Array, rows: Mapping[int, SweptRow], group: Sequence[int]) -> set[object]:
    """Tell the kind of a pour: that of a run that is as cold or colder, and of one as warm or warmer."""
    runs = [run for run in group if run in rows]
    below = {_kind(rows[run]) for run in runs if np.all(at[run] <= at[one])}
    return below & {_kind(rows[run]) for run in runs if np.all(at[run] >= at[one])}


def _kind(row: SweptRow) -> object:
    """Tell runs apart whose answers do not go over into each other; one that failed is like no other."""
    answers = row.answers
    return object() if answers is None else tuple(not answers[key] for key in _KINDS)


def _worked_out(
    wanted: Sequence[int], group: Sequence[int], at: Array, rows: Mapping[int, SweptRow]
) -> dict[int, dict[str, Value]]:
    """Work out the answers of pours from the runs of their group; what is no number is that of the nearest pour."""
    runs = {one: answers for one in group if one in rows and (answers := rows[one].answers) is not None}
    weights: dict[tuple[int, ...], Array] = {}
    found = {}
    for place, one in enumerate(wanted):
        kinds = _kinds(one, at, rows, group)
        near = min(runs, key=lambda run: (_kind(rows[run]) not in kinds, math.dist(at[run], at[one])))
        answers = dict(runs[near])
        for key, value in answers.items():
            if isinstance(value, float) and value:
                alike = tuple(
                    run
                    for run, other in runs.items()
                    if other[key] and (key not in _JUMPS or _kind(rows[run]) == _kind(rows[near]))
                )
                if alike not in weights:
                    weights[alike] = _weights(at[list(alike)], at[list(wanted)])
                values = np.array([runs[run][key] for run in alike], float)
                if power := _STRAIGHT.get(key):
                    values **= power
                told = float(weights[alike][place] @ values)
                if power:
                    told = max(told, _BELOW * values.min()) ** (1.0 / power)
                answers[key] = float(f"{max(told, 0.0) if values.min() >= 0.0 else told:.10g}")
        found[one] = answers
    return found


def _weights(known: Array, wanted: Array) -> Array:
    """Weights of the known places in the smoothest surface through them, at the wanted ones."""
    middle, count = known.mean(axis=0), len(known)

    def terms(places: Array) -> Array:
        cubes = np.linalg.norm(places[:, None] - known[None], axis=-1) ** 3
        return np.column_stack([cubes, np.ones(len(places)), places - middle])

    upper = terms(known)
    whole = np.vstack([upper, np.hstack([upper[:, count:].T, np.zeros((3, 3))])])
    weights: Array = (terms(wanted) @ np.linalg.pinv(whole, hermitian=True))[:, :count]
    return weights


def _off(told: _Answers, run: _Answers | None) -> float:
    """How far times and tops are off those of a run, beyond the slack [-]."""
    if run is None or skin_stays(told) != skin_stays(run):
        return math.inf
    worst = 0.0
    for key, slack in _COMPARED.items():
        one, other = told[key], run[key]
        if isinstance(one, float) and isinstance(other, float) and other:
            worst = max(worst, (abs(one - other) - slack) / abs(other))
    return worst

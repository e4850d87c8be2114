"""Pours that are run, and the answers of the others from between them.

Answers are smooth in pour and room but for two turns: where a first skin melts again, and where the rim does, their
times begin. How far a run is from a turn is smooth as well, so that it tells on which side of it a pour is that lies
between runs. Pours too near to it are run, until each is surely on one side, or between a colder and a warmer one of
the same kind; no verdict on a skin that is open is worked out. Numbers come from the smoothest surface through the runs
(cubic kernel and second degree; Duchon 1977, from memory), times in their logarithm. The pours farthest from all runs
are worked out, then run, until they come out as they were worked out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Generator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from coolsim.answers.answer import Value, number_of
from coolsim.answers.catalogue import BY_KEY, in_group, skin_stays
from coolsim.model.section import Array
from coolsim.studies.sweep.sweep import Point, Study, SweptRow, swept

WITHIN = 0.01
"""How far times and tops that are worked out may be off those of their own run [-] ..."""

SLACK = {"length": 0.05e-3, "volume": 0.05e-6}
"""... beyond what nobody measures of lengths [m] and volumes [m3]."""

_FEW = 10  # Fewer pours of a stand are all run.
_SCALE = (7.0, 10.0)  # Of rooms and of pours [K]: answers bend more from room to room. In it are the next two.
_REACH, _MOST = 0.42, 14  # The first runs leave no pour farther than this from all of them, but they are no more.
_APART = 0.31  # Between pours near one turn that are run in a round.
_CHECKED, _LEAST_CHECKED = 0.02, 2  # Share of the pours that are worked out, then run, in a round, and how many.
_BENDS = 7  # So many runs are needed for a surface with a second degree.

_RIM = "rim_set_s"
_TURNS = {"skin_melted_again_s": "skin_warmest_K", _RIM: "skin_rim_warmest_K"}
"""Times that begin at a turn, by the answer that tells how far it is."""

# Next to a run a pour is surely on one side of a turn that is farther than this [K], and then farther than those tried
# last were off that were near it [K], but never nearer than the third; the farther from all runs, the less surely.
_SURE, _NEAR, _UNSURE, _LESS_SURE = 0.5, 2.0, 0.3, 5.0
_BENT, _FAR = 3.0, 20.0  # So far from the turn of the rim tops have bent; farther than any [K].

_TIMES = [answer.key for answer in in_group("setting")]
_KINDS = [*_TURNS, "skin_formed_s", *(key for key in _TIMES if key != _RIM)]
_TOPS = [answer.key for group in ("top", "losses") for answer in in_group(group)]
_TOP = ("dish_m", "hole_m", "depth_m", "rim_dip_m", "centre_dip_m", "dish_volume_m3", "void_volume_m3")
# Times of skin and rim are left out: near the turn they are off by up to a minute.
_COMPARED = {key: 0.0 for key in _TIMES if key != _RIM} | {key: SLACK[BY_KEY[key].kind or "length"] for key in _TOP}

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
    tried = _corners(group, at)
    tried += _farthest(group, at, tried, _MOST, beyond=_REACH)
    off, sure = math.inf, dict.fromkeys(_TURNS.values(), _SURE)
    expected: dict[int, dict[str, Value]] = {}
    checked: list[int] = []
    while True:
        yield tried
        runs = [one for one in group if one in rows]
        left = [one for one in group if one not in rows]
        if checked:
            off = max(_off(expected[one], rows[one].answers) for one in checked)
        for key in sure:
            if missed := [
                miss for one in expected if (miss := _missed(key, expected[one], rows[one].answers)) is not None
            ]:
                sure[key] = max(_UNSURE, *missed)
        wanted = _open(left, group, at, rows, sure)
        if not left or (off <= WITHIN and not wanted):
            return 0.0 if math.isinf(off) else off
        count = 0 if off <= WITHIN else max(_LEAST_CHECKED, math.ceil(_CHECKED * len(group)))
        checked = _farthest(group, at, [*runs, *wanted], count)
        tried = [*wanted, *checked]
        expected = _worked_out(tried, group, at, rows)


def _corners(group: Sequence[int], at: Array) -> list[int]:
    """List the coldest and the hottest pour of the coldest and of the warmest room."""
    rooms = [[one for one in group if at[one, 0] == room] for room in (at[group, 0].min(), at[group, 0].max())]
    return list(dict.fromkeys(end(room, key=lambda one: at[one, 1]) for room in rooms for end in (min, max)))


def _farthest(group: Sequence[int], at: Array, runs: Sequence[int], count: int, *, beyond: float = 0.0) -> list[int]:
    """List so many of the pours that are the farthest from all runs and from each other, as far as they are."""
    found: list[int] = []
    apart = np.min(np.linalg.norm(at[group][:, None] - at[runs][None], axis=-1), axis=1)
    while len(found) < count and apart.max() > beyond:
        found.append(group[int(np.argmax(apart))])
        apart = np.minimum(apart, np.linalg.norm(at[group] - at[found[-1]], axis=1))
    return found


def _open(
    left: Sequence[int], group: Sequence[int], at: Array, rows: Mapping[int, SweptRow], sure: Mapping[str, float]
) -> list[int]:
    """List pours whose kind is open: the nearest to each turn, and the middle ones of a room where no turn is told."""
    told = _worked_out(left, group, at, rows)
    if not told:
        # There is no run to tell anything from.
        return list(left)
    near: list[tuple[float, int, str]] = []
    lines: dict[float, list[int]] = {}
    kinds = _kinds(group, rows)
    for one in left:
        if _shared(one, at, kinds):
            continue
        margins = {key: number_of(told[one][key]) for key in sure}
        kind = _kind(told[one])[len(_TURNS) :]
        if None in margins.values() or kind not in _shared(one, at, kinds, beside=len(_TURNS)):
            lines.setdefault(at[one, 0], []).append(one)
        doubt = 1.0 + _LESS_SURE * min(math.dist(at[one], at[run]) for run in kinds)
        near += [
            (abs(margin), one, key)
            for key, margin in margins.items()
            if margin is not None and abs(margin) < doubt * sure[key]
        ]
    near += [(0.0, line[len(line) // 2], "") for line in lines.values()]
    found: list[tuple[int, str]] = []
    for _, one, key in sorted(near):
        if all(other != key or math.dist(at[one], at[run]) > _APART for run, other in found):
            found.append((one, key))
    return list(dict.fromkeys(one for one, _ in found))


def _missed(key: str, told: _Answers, run: _Answers | None) -> float | None:
    """By how much it was missed how far a run is from a turn that is near [K]."""
    one, other = number_of(told[key]), None if run is None else number_of(run[key])
    return None if one is None or other is None or abs(other) > _NEAR else abs(one - other)


def _kinds(group: Sequence[int], rows: Mapping[int, SweptRow]) -> dict[int, tuple[object, ...]]:
    """Tell the kind of each run of a group."""
    return {run: _kind(rows[run].answers) for run in group if run in rows}


def _shared(
    one: int, at: Array, kinds: Mapping[int, tuple[object, ...]], *, beside: int = 0
) -> set[tuple[object, ...]]:
    """Tell the kind of a pour: that of a run that is as cold or colder, and of one as warm or warmer."""
    places = at[list(kinds)]
    below, above = (
        {kind[beside:] for kind, there in zip(kinds.values(), side.all(axis=1), strict=True) if there}
        for side in (places <= at[one], places >= at[one])
    )
    return below & above


def _kind(answers: _Answers | None) -> tuple[object, ...]:
    """Tell runs apart whose answers do not go over into each other; one that failed is like no other."""
    return (object(),) * len(_KINDS) if answers is None else tuple(not answers[key] for key in _KINDS)


def _worked_out(
    wanted: Sequence[int], group: Sequence[int], at: Array, rows: Mapping[int, SweptRow]
) -> dict[int, dict[str, Value]]:
    """Work out the answers of pours from the runs of their group, if there are; no numbers are those of the nearest."""
    runs = {one: answers for one in group if one in rows and (answers := rows[one].answers) is not None}
    if not runs:
        return {}
    weights: dict[object, Array] = {}
    places = {"": at}

    def told(key: str, pours: Sequence[int]) -> Array:
        alike = [run for run, answers in runs.items() if answers[key]]
        over = key if key in _TURNS else "top" if key in _TOPS else ""
        name = over, tuple(alike), tuple(pours)
        if name not in weights:
            weights[name] = _weights(places[over][alike], places[over][list(pours)])
        values = np.array([runs[run][key] for run in alike], float)
        if BY_KEY[key].kind == "duration" and key != _RIM and values.min() > 0.0:
            return np.asarray(np.exp(weights[name] @ np.log(values)))
        found: Array = weights[name] @ values
        return np.maximum(found, 0.0) if values.min() >= 0.0 else found

    margins = {
        key: dict(zip(wanted, told(key, wanted), strict=True))
        for key in _TURNS.values()
        if any(answers[key] for answers in runs.values())
    }
    found, known = {}, _kinds(group, rows)
    for one in wanted:
        sides = [None if key not in margins else not margins[key][one] > 0.0 for key in _TURNS.values()]
        kinds = _shared(one, at, known)
        *_, nearest = min((not _fits(known[run], kinds, sides), math.dist(at[run], at[one]), run) for run in runs)
        found[one] = dict(runs[nearest])
    # Tops bend at the turn of the rim; times begin at their turn as a root.
    for turn, key in _TURNS.items():
        far = np.zeros(len(at))
        for one, answers in (*runs.items(), *found.items()):
            margin = number_of(answers[key])
            if margin is None:
                far[one] = _FAR if answers[turn] else -_FAR
            else:
                far[one] = margins[key][one] if one in found else margin
        places[turn] = np.column_stack([at, np.sqrt(np.clip(far, 0.0, _FAR))])
    # The rim is the last.
    places["top"] = np.column_stack([at, 0.5 * np.tanh(far / _BENT)])
    for key in BY_KEY:
        pours = [one for one in wanted if isinstance(value := found[one][key], float) and value]
        for one, number in zip(pours, told(key, pours) if pours else (), strict=True):
            found[one][key] = float(f"{number:.10g}")
    return found


def _fits(kind: tuple[object, ...], kinds: set[tuple[object, ...]], sides: Sequence[bool | None]) -> bool:
    """Tell whether a run is of the kind of a pour, or if that is open, on the same side of each turn that is told."""
    return kind in kinds if kinds else all(side in (None, own) for side, own in zip(sides, kind, strict=False))


def _weights(known: Array, wanted: Array) -> Array:
    """Weights of the known places in the smoothest surface through them, at the wanted ones.

    Written here because scipy.interpolate takes as long to import as two runs.
    """
    middle, count = known.mean(axis=0), len(known)

    def terms(places: Array) -> Array:
        cubes = np.linalg.norm(places[:, None] - known[None], axis=-1) ** 3
        room, pour = (places - middle).T[:2]
        bends = [room**2, room * pour, pour**2] if count >= _BENDS else []
        return np.column_stack([cubes, np.ones(len(places)), places - middle, *bends])

    upper = terms(known)
    more = upper.shape[1] - count
    whole = np.vstack([upper, np.hstack([upper[:, count:].T, np.zeros((more, more))])])
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

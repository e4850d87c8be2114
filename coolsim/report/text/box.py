"""The answers for a box of jars as a plan, a table, in words, and as plain data."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from coolsim.model.places import PlaceKind, Places
from coolsim.overview import NOT_REACHED, time_cell
from coolsim.report.blocks import Block, Column, Note, Row, Table
from coolsim.report.text.page import as_text
from coolsim.report.text.runs import answers_data
from coolsim.report.wording import difference_text, hours_minutes, keyed, length_text, listed, volume_text
from coolsim.solve.together import BoxResult
from coolsim.studies.workshop.boxes import BoxAnswers, BoxTrial, PlaceAnswers
from coolsim.units import System

_PLAN, _WIDEST, _NARROWEST = 72, 8, 7
_SAME_TIME = 60.0


def box_blocks(found: BoxResult, answers: BoxAnswers, *, units: System) -> list[Block]:
    """Write the plan of a box, the answers for each kind of place, and which jars are last."""
    places, first = found.places, found.results[0]
    changes = ", ".join(f"{happens} at {hours_minutes(time)} h" for time, happens in first.changes)
    warnings = dict.fromkeys(warning for result in found.results for warning in result.warnings)
    return [
        Note(
            f"{found.name}: {_jars(places.jars)} in {places.rows} × {places.columns} places,"
            f" {length_text(places.length, units)} × {length_text(places.width, units)} inside"
        ),
        *([Note(f"On the way: {changes}.")] if changes else []),
        _plan(answers),
        _table(answers, first.answers.cool_within, units),
        *map(Note, box_sentences(answers, units=units)),
        *(Note(f"Warning: {text}") for text in warnings),
    ]


box_text = as_text(box_blocks)


def _plan(answers: BoxAnswers) -> Table:
    """When the jar in each place is fully set, the box seen from above."""
    places = answers.places
    found = {place: one.events.fully_set for one in answers.kinds for place in one.kind.places}
    each = min(_WIDEST, _PLAN // places.columns)
    gap = 2 if each >= _NARROWEST else 1
    numbers = range(1, places.columns + 1)
    rows = [[(row, column) for column in numbers] for row in range(1, places.rows + 1)]
    return Table(
        title="Fully set [h:mm since the pour], the box seen from above",
        columns=(Column(width=8 - gap), *[Column(width=max(each, 6) - gap, right=True)] * places.columns),
        headings=("  row", *map(str, numbers)),
        rows=tuple(
            (f"  {row[0][0]}", *(time_cell(found[place]) if place in found else "empty" for place in row))
            for row in rows
        ),
        gap=gap,
    )


def _table(answers: BoxAnswers, near: float, units: System) -> Table:
    rows = []
    for one in answers.kinds:
        events = one.events
        times = (events.rim_set, events.top_closed, events.fully_set, events.cool)
        depths = (one.top.dish, one.top.hole)
        shape = [NOT_REACHED if events.top_final is None else length_text(depth, units) for depth in depths]
        rows.append((one.kind.name, str(one.kind.count), *map(time_cell, times), *shape))
    return Table(
        columns=(Column(width=26), Column(width=6, right=True), *[Column(width=8, right=True)] * 6),
        headings=("Place [h:mm since pour]", "Jars", "Rim set", "Closed", "Set", "Lidded", "Dish", "Hole"),
        rows=tuple(rows),
        notes=(
            f"Closed: the top; set: fully, may be moved with care; lidded: within {difference_text(near, units)} of the"
            " room; dish: half-way in below the rim; hole: middle below half-way in (estimates).",
        ),
        gap=0,
        ruled=True,
    )


def box_sentences(answers: BoxAnswers, *, units: System) -> tuple[str, ...]:
    """Say which jars are last and by how much, which are least flat, and whether all set in time."""
    last, first = answers.last, answers.first
    late = [one for one in answers.kinds if one.set_at > answers.time_allowed]
    allowed = f"{hours_minutes(answers.time_allowed)} h"
    sentences = []
    if math.isinf(last.set_at):
        sentences.append(f"Not fully set within the run: {_named(one for one in late if math.isinf(one.set_at))}.")
    elif last.set_at - first.set_at < _SAME_TIME:
        sentences.append(f"All jars set alike: fully set at {hours_minutes(last.set_at)} h.")
    else:
        sentences.append(
            f"Last: {last.kind.called}, fully set at {hours_minutes(last.set_at)} h; first: {first.kind.called},"
            f" {hours_minutes(last.set_at - first.set_at)} h earlier."
        )
    least, most = answers.least_flat, answers.flattest
    if all(one.events.top_final is not None for one in answers.kinds):
        text = f"Least flat: {least.kind.called}, {_top(least, units)}"
        other = "" if least is most else f"; flattest: {most.kind.called}, {_dish_and_hole(most, units)}"
        sentences.append(f"{text}{other} (estimates).")
    sentences.append(f"All set within {allowed}: {f'no, not {_named(late)}' if late else 'yes'}.")
    return tuple(sentences)


def _named(places: Iterable[PlaceAnswers]) -> str:
    return listed([one.kind.called for one in places])


def _top(one: PlaceAnswers, units: System) -> str:
    return f"{_dish_and_hole(one, units)}, hidden cavity {volume_text(one.top.cavity_volume, units)}"


def _dish_and_hole(one: PlaceAnswers, units: System) -> str:
    return f"dish {length_text(one.top.dish, units)}, hole {length_text(one.top.hole, units)}"


def fillings_blocks(trials: Sequence[BoxTrial], name: str, *, time_allowed: float, units: System) -> list[Block]:
    """Write what comes out for each way to fill a box, the fullest first, and the largest that sets in time [s]."""
    allowed, fullest = f"{hours_minutes(time_allowed)} h", trials[0]
    best = next((one for one in trials if one.passes), None)
    answer = f"No filling sets within {allowed}. Open the flaps, take a cooler room, or allow more time."
    if best is not None:
        apart = "" if best.spacing is None else f", at least {_distance(best, units)} apart"
        answer = f"Largest filling that sets within {allowed}: {_jars(best.jars)} in {_shape(best)}{apart}."
        if best is not fullest and fullest.answers is not None:
            answer += f" With {fullest.jars} the last is set at {_time(fullest.answers.last)} h."
    return [Note(f"{name}: fillings of the box, jars spread evenly"), _trials(trials, units), Note(answer)]


fillings_text = as_text(fillings_blocks)


def spacings_blocks(trials: Sequence[BoxTrial], name: str, *, time_allowed: float, units: System) -> list[Block]:
    """Write what comes out for each distance between jars, and the least with which all set in time [s]."""
    passing = [one for one in trials if one.passes and one.spacing is not None]
    allowed = f"{hours_minutes(time_allowed)} h"
    answer = f"With none of these distances do all set within {allowed}."
    if passing:
        least = min(passing, key=lambda one: one.spacing or 0.0)
        answer = f"Least distance with which all set within {allowed}: {_distance(least, units)}."
    heading = f"{name}: distances between neighbouring jars, in a box that is as much larger"
    return [Note(heading), _trials(trials, units), Note(answer)]


spacings_text = as_text(spacings_blocks)


def _jars(count: int) -> str:
    return "1 jar" if count == 1 else f"{count} jars"


def _shape(trial: BoxTrial) -> str:
    return f"{trial.rows} × {trial.columns}"


def _distance(trial: BoxTrial, units: System) -> str:
    return NOT_REACHED if trial.spacing is None else length_text(trial.spacing, units)


def _time(one: PlaceAnswers) -> str:
    return time_cell(one.events.fully_set)


def _trials(trials: Sequence[BoxTrial], units: System) -> Table:
    rows: list[Row] = []
    for one in trials:
        start = (str(one.jars), _shape(one))
        if one.answers is None:
            rows.append((*start, "", "", "", "not run"))
            continue
        first, last = one.answers.first, one.answers.last
        where = "" if len(one.answers.kinds) == 1 else last.kind.name
        rows.append((*start, _distance(one, units), _time(first), _time(last), where, "yes" if one.passes else "no"))
    right = Column(width=9, right=True)
    return Table(
        columns=(
            Column(width=6, right=True), Column(width=7), right, right, right, Column(width=21), Column(width=7)
        ),
        headings=("Jars", "Places", "Apart", "First set", "Last set", "Where", "In time"),
        rows=tuple(rows),
        notes=tuple(f"Not run: {one.fault}" for one in trials if one.fault)[:1],
        ruled=True,
    )  # fmt: skip


def box_data(found: BoxResult, answers: BoxAnswers) -> dict[str, Any]:
    """Give the answers for a box as plain data, those of one jar of each kind of place as `answers_data` gives them.

    ``spread_s`` lies between the first and the last jar; it is None if one has not set.
    """
    last, first = answers.last, answers.first
    return {
        "places": shape_data(found.places),
        "jars": found.places.jars,
        "kinds": [
            {**kind_data(kind, last=kind == last.kind), "answers": answers_data([(kind.name, result)])[0]}
            for kind, result in zip(found.kinds, found.results, strict=True)
        ],
        "last": last.kind.name,
        "least_flat": answers.least_flat.kind.name,
        "spread_s": None if math.isinf(last.set_at) else last.set_at - first.set_at,
        "time_allowed_s": answers.time_allowed,
        "passes": answers.passes,
        "heat_given_off_J": found.ledger.given_off,
        "ledger_open_share": found.ledger.open_share,
    }


def kind_data(kind: PlaceKind, *, last: bool) -> dict[str, Any]:
    """Give a kind of place as plain data, and whether its jars are set last."""
    return {"kind": kind.name, "places": [list(place) for place in kind.places], "set_last": last}


def shape_data(places: Places) -> dict[str, Any]:
    """Give a box as plain data."""
    return {
        **keyed(places, "rows columns"),
        "inner_length_m": places.length,
        "inner_width_m": places.width,
        **keyed(places, "pitch_along_m pitch_across_m dividers"),
        "empty": [list(place) for place in places.empty],
    }


def trials_data(trials: Sequence[BoxTrial]) -> list[dict[str, Any]]:
    """Give trials of a box as plain data; ``fault`` is None if it was run."""
    return [_trial_data(one) for one in trials]


def _trial_data(one: BoxTrial) -> dict[str, Any]:
    answers = one.answers
    found = {
        "first_set_s": None if answers is None else answers.first.events.fully_set,
        "last_set_s": None if answers is None else answers.last.events.fully_set,
        "last": None if answers is None else answers.last.kind.name,
        "least_flat_m": None if answers is None else answers.least_flat.top.depth,
    }
    return {**keyed(one, "rows columns jars spacing_m"), **found, "passes": one.passes, "fault": one.fault or None}

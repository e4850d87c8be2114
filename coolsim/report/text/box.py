"""The answers for a box of jars as a plan, a table, in words, and as plain data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from coolsim.model.box import Box
from coolsim.overview import NOT_REACHED, time_cell
from coolsim.report.text.page import paragraph
from coolsim.report.text.runs import answers_data
from coolsim.report.wording import difference_text, hours_minutes, length_text, volume_text
from coolsim.solve.together import BoxResult
from coolsim.studies.workshop.boxes import BoxAnswers, BoxTrial, PlaceAnswers
from coolsim.units import System

_PLACE, _CELL, _MIDDLE, _WIDTH = 30, 8, 10, 80
_EMPTY = "empty"
_SAME_TIME = 60.0


def box_text(found: BoxResult, answers: BoxAnswers, *, units: System) -> str:
    """Write the plan of a box, the answers for each kind of place, and which jars are last.

    Parameters
    ----------
    found : BoxResult
        The run.
    answers : BoxAnswers
        Its answers.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        Lines of at most 80 columns.
    """
    warnings = dict.fromkeys(warning for result in found.results for warning in result.warnings)
    parts = [
        paragraph(f"{found.name}: {_shape(found.box)}, {length_text(found.box.length, units)}"
                  f" × {length_text(found.box.width, units)} inside"),
        *(paragraph(text) for text in _changes(found)),
        _plan(answers),
        _table(answers, found, units),
        *(paragraph(text) for text in box_sentences(answers, units=units)),
        *(paragraph(f"Warning: {text}") for text in warnings),
    ]  # fmt: skip
    return "\n\n".join(parts)


def _changes(found: BoxResult) -> list[str]:
    told = [f"{happens} at {hours_minutes(time)} h" for time, happens in found.results[0].changes]
    return [f"On the way: {', '.join(told)}."] if told else []


def _shape(box: Box) -> str:
    jars = "1 jar" if box.jars == 1 else f"{box.jars} jars"
    return f"{jars} in {box.rows} × {box.columns} places"


def _plan(answers: BoxAnswers) -> str:
    """When the jar in each place is fully set, the box seen from above."""
    box = answers.box
    found = {place: one.events.fully_set for one in answers.places for place in one.kind.places}
    width = min(_CELL, (_WIDTH - 8) // box.columns)
    lines = ["Fully set [h:mm since the pour], the box seen from above"]
    lines.append("  row   " + "".join(f"{number:>{width - 2}}  " for number in range(1, box.columns + 1)))
    for row in range(1, box.rows + 1):
        places = [(row, column) for column in range(1, box.columns + 1)]
        cells = (_EMPTY if place not in found else time_cell(found[place]) for place in places)
        lines.append(f"  {row:<6}" + "".join(f"{cell:>{width - 2}}  " for cell in cells))
    return "\n".join(line.rstrip() for line in lines)


def _table(answers: BoxAnswers, found: BoxResult, units: System) -> str:
    heads = ("Jars", "Rim set", "Closed", "Set", "Lidded", "Middle")
    lines = [_row("Place [h:mm since the pour]", heads), "-" * _WIDTH]
    for one in answers.places:
        events = one.events
        times = (events.rim_set, events.top_closed, events.fully_set, events.cool)
        middle = NOT_REACHED if events.fully_set is None else length_text(one.top.flatness, units)
        lines.append(_row(one.kind.name, (str(one.kind.count), *(time_cell(time) for time in times), middle)))
    lines.append(lines[1])
    near = found.results[0].answers.cool_within
    lines.append(
        paragraph(
            "Closed: the top; set: fully, may be moved with care; lidded: within"
            f" {difference_text(near, units)} of the room; middle: middle of the top minus its rim (estimate)."
        )
    )
    return "\n".join(lines)


def _row(label: str, cells: Sequence[str]) -> str:
    *times, middle = cells
    return f"{label:<{_PLACE}}{''.join(f'{cell:>{_CELL}}' for cell in times)}{middle:>{_MIDDLE}}"


def box_sentences(answers: BoxAnswers, *, units: System) -> tuple[str, ...]:
    """Say which jars are last and by how much, which are least flat, and whether all set in time.

    Parameters
    ----------
    answers : BoxAnswers
        The answers.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    tuple of str
        Sentences.
    """
    last, first = answers.last, answers.first
    late = [one for one in answers.places if one.set_at > answers.time_allowed]
    allowed = f"{hours_minutes(answers.time_allowed)} h"
    sentences = []
    if math.isinf(last.set_at):
        sentences.append(f"Not fully set within the run: {_listed([one for one in late if math.isinf(one.set_at)])}.")
    elif last.set_at - first.set_at < _SAME_TIME:
        sentences.append(f"All jars set alike: fully set at {hours_minutes(last.set_at)} h.")
    else:
        sentences.append(
            f"Last: {_called(last)}, fully set at {hours_minutes(last.set_at)} h; first: {_called(first)},"
            f" {hours_minutes(last.set_at - first.set_at)} h earlier."
        )
    least, most = answers.least_flat, answers.flattest
    if not math.isinf(last.set_at):
        text = f"Least flat: {_called(least)}, {_top(least, units)}"
        other = "" if least is most else f"; flattest: {_called(most)}, {length_text(most.top.flatness, units)}"
        sentences.append(f"{text}{other} (estimates).")
    sentences.append(f"All set within {allowed}: {f'no, not {_listed(late)}' if late else 'yes'}.")
    return tuple(sentences)


def _called(one: PlaceAnswers) -> str:
    row, column = one.kind.places[0]
    where = "" if ", row " in one.kind.name else f" (row {row}, column {column})"
    return f"{one.kind.name}{where}" if one.kind.count == 1 else f"{one.kind.name} ({one.kind.count} jars)"


def _listed(places: Sequence[PlaceAnswers]) -> str:
    words = [_called(one) for one in places]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _top(one: PlaceAnswers, units: System) -> str:
    cavity = volume_text(one.top.cavity_volume, units)
    return f"middle minus rim {length_text(one.top.flatness, units)}, hidden cavity {cavity}"


def fillings_text(trials: Sequence[BoxTrial], name: str, *, time_allowed: float, units: System) -> str:
    """Write what comes out for each way to fill a box, and the largest filling that passes.

    Parameters
    ----------
    trials : sequence of BoxTrial
        From the fullest on.
    name : str
        What the box is called.
    time_allowed : float
        Time allowed until all are fully set [s].
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        Lines of at most 80 columns.
    """
    passing = [one for one in trials if one.passes]
    allowed = f"{hours_minutes(time_allowed)} h"
    if passing:
        best = passing[0]
        answer = f"Largest filling that sets within {allowed}: {_filling(best, units)}."
        if best is not trials[0] and trials[0].answers is not None:
            answer += f" With {trials[0].jars} the last is set at {_time(trials[0].answers.last)} h."
    else:
        answer = f"No filling sets within {allowed}. Open the flaps, take a cooler room, or allow more time."
    return "\n\n".join(
        [paragraph(f"{name}: fillings of the box, jars spread evenly"), _trials(trials, units), paragraph(answer)]
    )


def spacings_text(trials: Sequence[BoxTrial], name: str, *, time_allowed: float, units: System) -> str:
    """Write what comes out for each distance between jars, and the least that passes.

    Parameters
    ----------
    trials : sequence of BoxTrial
        One for each distance.
    name : str
        What the box is called.
    time_allowed : float
        Time allowed until all are fully set [s].
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        Lines of at most 80 columns.
    """
    passing = [one for one in trials if one.passes and one.spacing is not None]
    allowed = f"{hours_minutes(time_allowed)} h"
    if passing:
        least = min(passing, key=lambda one: one.spacing or 0.0)
        answer = f"Least distance with which all set within {allowed}: {_distance(least, units)}."
    else:
        answer = f"With none of these distances do all set within {allowed}."
    heading = f"{name}: distances between neighbouring jars, in a box that is as much larger"
    return "\n\n".join([paragraph(heading), _trials(trials, units), paragraph(answer)])


def _filling(trial: BoxTrial, units: System) -> str:
    jars = "1 jar" if trial.jars == 1 else f"{trial.jars} jars"
    apart = "" if trial.spacing is None else f", at least {_distance(trial, units)} apart"
    return f"{jars} in {trial.rows} × {trial.columns}{apart}"


def _distance(trial: BoxTrial, units: System) -> str:
    return NOT_REACHED if trial.spacing is None else length_text(trial.spacing, units)


def _time(one: PlaceAnswers) -> str:
    return time_cell(one.events.fully_set)


def _trials(trials: Sequence[BoxTrial], units: System) -> str:
    def line(jars: str, shape: str, apart: str, first: str, last: str, where: str, passes: str) -> str:
        return f"  {jars:>4}  {shape:<9}{apart:>9}{first:>11}{last:>11}  {where:<23}{passes}".rstrip()

    lines = [line("Jars", "Places", "Apart", "First set", "Last set", "Where", "In time")]
    lines.append("-" * _WIDTH)
    for one in trials:
        shape = f"{one.rows} × {one.columns}"
        if one.answers is None:
            lines.append(line(str(one.jars), shape, "", "", "", "not run", ""))
            continue
        first, last = one.answers.first, one.answers.last
        passes = "yes" if one.passes else "no"
        where = "" if len(one.answers.places) == 1 else last.kind.name
        lines.append(line(str(one.jars), shape, _distance(one, units), _time(first), _time(last), where[:22], passes))
    lines.append(lines[1])
    faults = [one.fault for one in trials if one.fault]
    return "\n".join([*lines, *(paragraph(f"Not run: {fault}") for fault in faults[:1])])


def box_data(found: BoxResult, answers: BoxAnswers) -> dict[str, Any]:
    """Give the answers for a box as plain data.

    Parameters
    ----------
    found : BoxResult
        The run.
    answers : BoxAnswers
        Its answers.

    Returns
    -------
    dict
        ``box`` (``rows``, ``columns``, ``inner_length_m``, ``inner_width_m``, ``pitch_along_m``, ``pitch_across_m``,
        ``dividers``, ``empty``); ``jars`` [-]; ``kinds``: for each kind of place its ``kind``, its ``places`` (row and
        column) and the ``answers`` of one of its jars, as `answers_data` gives them; ``last`` and ``least_flat`` (names
        of kinds); ``spread_s`` between the first and the last jar, None if one has not set; ``time_allowed_s``;
        ``passes``; of the whole box ``heat_given_off_J`` and ``ledger_open_share`` [-].
    """
    last, first = answers.last, answers.first
    return {
        "box": shape_data(found.box),
        "jars": found.box.jars,
        "kinds": [
            {
                "kind": kind.name,
                "places": [list(place) for place in kind.places],
                "answers": answers_data([(kind.name, result)])[0],
            }
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


def shape_data(box: Box) -> dict[str, Any]:
    """Give a box as plain data.

    Parameters
    ----------
    box : Box
        The box.

    Returns
    -------
    dict
        As `box_data` says.
    """
    return {
        "rows": box.rows,
        "columns": box.columns,
        "inner_length_m": box.length,
        "inner_width_m": box.width,
        "pitch_along_m": box.pitch_along,
        "pitch_across_m": box.pitch_across,
        "dividers": box.dividers,
        "empty": [list(place) for place in box.empty],
    }


def trials_data(trials: Sequence[BoxTrial]) -> list[dict[str, Any]]:
    """Give trials of a box as plain data.

    Parameters
    ----------
    trials : sequence of BoxTrial
        The trials.

    Returns
    -------
    list of dict
        ``rows``, ``columns``, ``jars`` [-], ``spacing_m``, ``first_set_s``, ``last_set_s``, ``last`` (kind of place),
        ``least_flat_m`` (middle minus rim), ``passes``, ``fault`` (None if it was run).
    """
    return [_trial_data(one) for one in trials]


def _trial_data(one: BoxTrial) -> dict[str, Any]:
    answers = one.answers
    return {
        "rows": one.rows,
        "columns": one.columns,
        "jars": one.jars,
        "spacing_m": one.spacing,
        "first_set_s": None if answers is None else answers.first.events.fully_set,
        "last_set_s": None if answers is None else answers.last.events.fully_set,
        "last": None if answers is None else answers.last.kind.name,
        "least_flat_m": None if answers is None else answers.least_flat.top.flatness,
        "passes": one.passes,
        "fault": one.fault or None,
    }

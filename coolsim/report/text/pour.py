"""The choice of the pour temperature as text."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from coolsim.report.blocks import HARD_SPACE
from coolsim.report.text.page import paragraph
from coolsim.report.wording import difference_text, hours_minutes, in_units, temperature_text, volume_units
from coolsim.scenario import Scenario
from coolsim.studies.pour.choose import AS_GOOD, Candidate, PourChoice, PourStudy, Stand, is_metal
from coolsim.studies.pour.remedies import Remedies, Remedy, only_papers_reject
from coolsim.units import System, format_quantity

PLACES: dict[Stand, str] = {"bare": "Bare", "boxed": "In the box"}
"""What the places are called."""

_RULE = "-" * 80
_OVERVIEW = (8, 8, 8, 16, 13, 8, 7)
_COLUMNS = (8, 6, 7, 6, 7, 6, 6, 6)
_NONE = "–"
_STATED = {"wax.highest_temperature": "the wax maker's", "wax.fragrance_limit": "the fragrance's"}
_CHANGES = {
    "warm the jar": "warm the jar to {value}",
    "warm the room": "warm the room to {value}",
    "cool the room": "cool the room to {value}",
    "still air": "keep draughts off",
    "close the flaps": "close the flaps",
    "cover the flaps": "lay a towel of 10 mm over the flaps",
    "open the flaps": "open the flaps",
    "allow longer": "allow {value} h",
}


def pour_text(study: PourStudy, *, units: System, remedies: Remedies | None = None) -> str:
    """Write the choice of the pour temperature.

    Parameters
    ----------
    study : PourStudy
        The study.
    units : {"metric", "us"}
        Units of the workshop.
    remedies : dict, optional
        What was tried where no pour passes.

    Returns
    -------
    str
        The recommended pours first, then every candidate, in lines of at most 80 columns.
    """
    tried = remedies or {}
    parts = [paragraph(f"How hot to pour: {own_scenario(study).title}"), _overview(study, units)]
    for choice in study.choices:
        if choice.recommended is None:
            parts.append(paragraph(_nothing_passes(choice, tried.get((choice.place, choice.room), ()), study, units)))
    parts += [_table(choice, units) for choice in study.choices]
    parts += [paragraph(note) for note in notes(study, units)]
    return "\n\n".join(parts).replace(HARD_SPACE, " ")


def notes(study: PourStudy, units: System) -> list[str]:
    """Say what the study holds fixed.

    Parameters
    ----------
    study : PourStudy
        The study.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    list of str
        Paragraphs.
    """
    missing = [key for key in _STATED if key not in study.bare.pour_limits]
    unstated = f" The scenario states no {' and no '.join(missing)}: look at the data sheets." if missing else ""
    found = [
        f"Limits: {'; '.join(limits_text(study, units))}.{unstated} Among the pours that keep them,"
        f" those whose dish and cavity together are within {100 * AS_GOOD:g} % of the least (~) are as good; the middle"
        " one of them (>) is recommended, away from the limits on both sides."
    ]
    found.append(
        "middle: middle of the top minus its rim. level: mean fall of the whole surface. skin: when the first skin at"
        " the glass has melted again. set: fully set."
    )
    if study.twin == "bare":
        found.append("The scenario has a box; bare is the same jar without it.")
    else:
        box = study.boxed.jar.surround
        gap, headroom = (0.0, 0.0) if box is None else (box.gap, box.headroom)
        found.append(
            "The scenario has no box; the box here is that of the built-in pair, closed, with a gap of"
            f" {format_quantity(gap, 'length', system=units)} and a headroom of"
            f" {format_quantity(headroom, 'length', system=units)}."
        )
    if study.cases is not None:
        found.append(
            f"Each pour was held against the limits in {study.cases} cases (estimates), with values drawn as by"
            " `coolsim spread`, the same for every room and pour; it must keep all in at least"
            f" {100 * study.share:.0f}{HARD_SPACE}% of them. Dish, cavity and times are those with the scenario's own"
            f" values. Varied: {', '.join(study.varied)}."
        )
        if any(limit == "failed" for choice in study.choices for one in choice.candidates for limit, _ in one.breaks):
            found.append("Warning: some of the cases could not be computed; they count as not passing.")
    if not study.own_grid:
        found.append(
            "The runs are cut more coarsely than those of `coolsim run`: dish and cavity together differ by up to 6 %"
            " from its figures, times by about 1 %; `coolsim pour --help` names the option for the scenario's own cut."
        )
    return found


def limits_text(study: PourStudy, units: System) -> list[str]:
    """List the limits that a pour must keep.

    Parameters
    ----------
    study : PourStudy
        The study.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    list of str
        Clauses.
    """
    jar = study.bare.jar
    limits = [
        "the first skin at the glass melts again, or none forms",
        f"at least {difference_text(study.margin, units)} above the start of freezing at"
        f" {temperature_text(jar.wax.freezing_starts, units)}",
        "no thermal shock, as the jar is metal"
        if is_metal(jar)
        else f"at most {difference_text(jar.vessel.shock_limit, units)} above the jar",
        f"fully set within {_time(study.time_allowed)} h",
    ]
    return limits + [
        f"at most {temperature_text(study.bare.pour_limits[key], units)}, {whose} limit"
        for key, whose in _STATED.items()
        if key in study.bare.pour_limits
    ]


def remedy_text(remedy: Remedy, units: System) -> str:
    """Write what a change gives.

    Parameters
    ----------
    remedy : Remedy
        A change that was tried.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        A clause.
    """
    if remedy.value is None:
        value = ""
    elif remedy.change == "allow longer":
        value = _time(remedy.value)
    else:
        value = temperature_text(remedy.value, units)
    what = _CHANGES[remedy.change].format(value=value)
    best = None if remedy.choice is None else remedy.choice.recommended
    if best is None:
        return what
    return (
        f"{what}: then {_pour(best, units)} passes (dish and cavity {_volume(best.lost, units)},"
        f" set after {_time(best.number('fully_set_s'))} h)"
    )


def own_scenario(study: PourStudy) -> Scenario:
    """Return the scenario that the study was asked about.

    Parameters
    ----------
    study : PourStudy
        The study.

    Returns
    -------
    Scenario
        Not the twin.
    """
    return study.scenario("boxed" if study.twin == "bare" else "bare")


def _overview(study: PourStudy, units: System) -> str:
    volume, length = volume_units(units)[1], in_units("length", units)[2]
    lines = [
        _line("Recommended", "room", "jar", "pour", "as good", "dish+cavity", "middle", "set"),
        _line("", "", "", "", "", volume, length, "h:mm"),
        _RULE,
    ]
    for choice in study.choices:
        start = (
            PLACES[choice.place],
            *(temperature_text(value, units, digits=_digits(value, units)) for value in (choice.room, choice.jar)),
        )
        best = choice.recommended
        if best is None:
            lines.append(f"{_line(*start)}   none passes, see below")
            continue
        lines.append(
            _line(
                *start,
                _pour(best, units),
                _as_good(choice, units),
                _number(best.lost, units),
                _length(best.number("flatness_m"), units),
                _time(best.number("fully_set_s")),
            )
        )
    return "\n".join(line.rstrip() for line in (*lines, _RULE))


def _line(first: str, *cells: str) -> str:
    return f"{first:<12}" + "".join(f"{cell:>{width}}" for cell, width in zip(cells, _OVERVIEW, strict=False))


def _as_good(choice: PourChoice, units: System) -> str:
    if len(choice.as_good) < 2:
        return _NONE
    first, last = choice.as_good[0], choice.as_good[-1]
    return f"{_pour(first, units).partition(' ')[0]} to {_pour(last, units)}"


def _table(choice: PourChoice, units: System) -> str:
    volume_unit = volume_units(units)[1]
    _, _, length_unit = in_units("length", units)
    units_of_columns = ("", volume_unit, volume_unit, volume_unit, length_unit, length_unit, "min", "h:mm")
    names = ("pour", "dish", "cavity", "both", "middle", "level", "skin", "set")
    lines = [
        f"{PLACES[choice.place]}, room at {temperature_text(choice.room, units, digits=_digits(choice.room, units))},"
        f" jar at {temperature_text(choice.jar, units, digits=_digits(choice.jar, units))}",
        f"{_cells('', names)}  rejected by",
        _cells("", units_of_columns),
        _RULE,
    ]
    good = choice.as_good
    best = choice.recommended
    first = [] if best is None else [best]
    for one in [*first, *(one for one in choice.candidates if one is not best)]:
        mark = ">" if one is best else "~" if one in good else " "
        lines += _row(one, mark, units)
    return "\n".join(line.rstrip() for line in (*lines, _RULE))


def _row(one: Candidate, mark: str, units: System) -> list[str]:
    cells = [_pour(one, units)]
    if one.answers is not None:
        cells += [
            _number(one.number("dish_volume_m3"), units),
            _number(one.number("cavity_volume_m3"), units),
            _number(one.lost, units),
            _length(one.number("flatness_m"), units),
            _length(one.number("mean_dip_m"), units),
            _skin(one),
            _time(one.number("fully_set_s")),
        ]
    start = f"{_cells(mark, cells):<{1 + sum(_COLUMNS)}}"
    reasons = textwrap.wrap(_rejected(one), 80 - len(start) - 2) or [""]
    blank = " " * len(start)
    return [f"{start if index == 0 else blank}  {reason}" for index, reason in enumerate(reasons)]


def _rejected(one: Candidate) -> str:
    if one.passes is None or "passes too seldom" not in one.rejected:
        named = ", ".join(one.rejected)
        return named if one.passes is None or named else f"passes in {100 * one.passes:.0f} %"
    broken = ", ".join(f"{limit} {100 * share:.0f} %" for limit, share in one.breaks)
    return f"passes in {100 * one.passes:.0f} %: {broken}"


def _cells(mark: str, cells: Sequence[str]) -> str:
    return f"{mark:<1}" + "".join(f"{cell:>{width}}" for cell, width in zip(cells, _COLUMNS, strict=False))


def _skin(one: Candidate) -> str:
    if one.number("skin_formed_s") is None:
        return "none"
    gone = one.number("skin_melted_again_s")
    return "stays" if gone is None else f"{gone / 60.0:.1f}"


def _nothing_passes(choice: PourChoice, tried: Sequence[Remedy], study: PourStudy, units: System) -> str:
    where = f"{PLACES[choice.place]}, room at {temperature_text(choice.room, units)}"
    count = len(choice.candidates)
    text = f"{where}: none of the {count} pours passes" if count > 1 else f"{where}: this pour does not pass"
    if study.cases is not None:
        often = max(choice.candidates, key=lambda one: one.passes or 0.0)
        return (
            f"{text} in {100 * study.share:.0f}{HARD_SPACE}% of the cases ({_reasons(choice)}). {_pour(often, units)}"
            f" passes most often, in {100 * (often.passes or 0.0):.0f}{HARD_SPACE}%. Without cases, `coolsim pour`"
            " tries what to change."
        )
    text += f" ({_reasons(choice)})."
    if only_papers_reject(choice):
        return (
            f"{text} Every one is against the margin above freezing or against a limit stated for wax or fragrance; no"
            " change in the workshop helps. Give other pours, or ask the suppliers for another wax or fragrance."
        )
    helps = [remedy for remedy in tried if remedy.helps]
    rest = [remedy for remedy in tried if not remedy.helps]
    if helps:
        text += f" Tried, and it helps to {'; or to '.join(remedy_text(one, units) for one in helps)}."
    if rest:
        text += f" Tried without success: {'; '.join(remedy_text(one, units) for one in rest)}."
    other = next(
        (one for one in study.choices if one.place != choice.place and one.room == choice.room and one.recommended),
        None,
    )
    if other is not None and other.recommended is not None:
        how = "Put into the box" if other.place == "boxed" else "Left bare"
        text += f" {how}, {_pour(other.recommended, units)} passes."
    if not helps and other is None:
        text += " Nothing that was tried lets one pass: ask for a jar, wax or fragrance with other limits."
    return text


def _reasons(choice: PourChoice) -> str:
    counted: dict[str, int] = {}
    for one in choice.candidates:
        for limit in one.rejected:
            counted[limit] = counted.get(limit, 0) + 1
    return ", ".join(f"{limit}: {count} of {len(choice.candidates)}" for limit, count in counted.items())


def _pour(one: Candidate, units: System) -> str:
    return temperature_text(one.pour, units, digits=_digits(one.pour, units))


def _digits(celsius: float, units: System) -> int:
    shown = celsius if units == "metric" else 1.8 * celsius + 32.0
    return 0 if abs(shown - round(shown)) < 0.01 or units == "us" else 1


def _number(cubic_metres: float | None, units: System) -> str:
    factor, _ = volume_units(units)
    return _NONE if cubic_metres is None else f"{factor * cubic_metres:.{2 if units == 'metric' else 3}f}"


def _volume(cubic_metres: float, units: System) -> str:
    return f"{_number(cubic_metres, units)} {volume_units(units)[1]}"


def _length(metres: float | None, units: System) -> str:
    factor, _, _ = in_units("length", units)
    return _NONE if metres is None else f"{factor * metres:z.{1 if units == 'metric' else 2}f}"


def _time(seconds: float | None) -> str:
    return _NONE if seconds is None else hours_minutes(seconds)

"""The choice of the pour temperature: as text, as comma-separated values and as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from coolsim.answers.catalogue import BY_KEY
from coolsim.answers.text import value_text
from coolsim.overview import NOT_REACHED, time_cell
from coolsim.report.blocks import HARD_SPACE, Block, Column, Note, Row, Table
from coolsim.report.csv_text import csv_text
from coolsim.report.text.changes import change_text, made_up_box_note, value_data
from coolsim.report.text.page import as_text, wrapped
from coolsim.report.wording import (
    capital,
    difference_text,
    hours_minutes,
    in_units,
    keyed,
    length_text,
    narrow_cell,
    narrow_head,
    temperature_text,
)
from coolsim.studies.pour.choose import AS_GOOD, Candidate, PourChoice, PourStudy, Stand, Wall
from coolsim.studies.pour.choose import degrees_text as _degrees
from coolsim.studies.pour.limits import KEEP_OFF, STATED, Limit
from coolsim.studies.pour.remedies import Remedies, Remedy, only_papers_reject, warmed_jar
from coolsim.units import Kind, System

DECIDES = (
    "The pour decides the first skin, the shock to the jar and the time, but hardly how deep the middle sinks: that"
    " depends on how evenly the jar cools."
)
"""What the temperature of the pour decides, and what not."""

PLACES: dict[Stand, str] = {
    "bare": "Bare",
    "boxed": "In the box",
    "in water": "In the water",
    "through its day": "Through its day",
    "box of jars": "Box of jars",
}
"""What the places are called."""

_REASONS = 25
_SHORT: dict[Limit, str] = {
    "cloudy": "freezing",
    "too near freezing": "freezing",
    "skin stays": "skin",
    "jar shock": "shock",
    "wax maker's limit": "wax",
    "fragrance limit": "oil",
    "too slow": "time",
    "passes too seldom": "cases",
}
# What the limits are called in a narrow column.
_HARM: dict[Limit, str] = {
    "wax maker's limit": "the wax may discolour",
    "fragrance limit": "the fragrance evaporates or may catch fire",
}
_WHY = 69
_ROUND_OFF = 1e-6
_HOLLOW, _REST = (
    ("dish_volume_m3", "cavity_volume_m3"),
    ("depth_m", "mean_dip_m", "skin_melted_again_s", "fully_set_s"),
)
_LOST = "dish_volume_m3"  # dish and cavity together are written as each of them
# Columns of the file: name, answer, decimals.
_FILED = (
    ("dish", "dish_volume_m3", 3),
    ("cavity", "cavity_volume_m3", 3),
    ("middle below rim", "depth_m", 4),
    ("mean dip", "mean_dip_m", 4),
    ("skin melts again", "skin_melted_again_s", 0),
    ("top closed", "top_closed_s", 0),
    ("fully set", "fully_set_s", 0),
)


def pour_blocks(study: PourStudy, *, units: System, remedies: Remedies | None = None) -> list[Block]:
    """Write the recommended pours first, what was tried where none passes, then every candidate."""
    return [
        *_recommended(study, units, remedies or {}),
        *(_table(choice, units) for choice in study.choices),
        *map(Note, notes(study, units)),
    ]


def _recommended(study: PourStudy, units: System, tried: Remedies) -> list[Block]:
    """Write the recommended pours with their limits, and what was tried where none passes."""
    return [
        Note(f"How hot to pour: {study.scenario().title}"),
        _overview(study, units),
        _limits(study, units),
        Note(DECIDES),
        *map(Note, near_limits(study, units)),
        *(
            Note(_nothing_passes(choice, tried.get((choice.place, choice.room), ()), study, units))
            for choice in study.choices
            if choice.recommended is None
        ),
    ]


pour_text = as_text(pour_blocks)


def pour_summary_blocks(study: PourStudy, *, units: System, remedies: Remedies | None = None) -> list[Block]:
    """Write the recommended pours alone: in one room with their limits and what helps, of several rooms a line each."""
    tried = remedies or {}
    rests = [Note(told, rests=True) for told in notes(study, units)]
    if len({choice.room for choice in study.choices}) == 1:
        return [*_recommended(study, units, tried), *rests]
    return [Note(f"How hot to pour: {study.scenario().title}"), _by_room(study, units, tried), Note(DECIDES), *rests]


def _by_room(study: PourStudy, units: System, tried: Remedies) -> Table:
    """Write a line for each room: what to pour at each way, or what lets one pass, and what limits the pour."""
    places = list(study.stands)
    rows: list[Row] = []
    for room in dict.fromkeys(choice.room for choice in study.choices):
        here = {choice.place: choice for choice in study.choices if choice.room == room}
        cells = [_advice(here[place], tried.get((place, room), ()), units) for place in places]
        rows.append((_degrees(room, units), *cells, _between(list(here.values()))))
    marked = any(_near(choice) for choice in study.choices)
    return Table(
        columns=(Column(width=7, right=True), *[Column(width=26)] * len(places), Column(width=15)),
        headings=("room", *(PLACES[place] for place in places), "between"),
        rows=tuple(rows),
        notes=(f"!: less than {difference_text(KEEP_OFF, units)} from a limit; measure with care.",) if marked else (),
        ruled=True,
    )


def _advice(choice: PourChoice, tried: Sequence[Remedy], units: System) -> str:
    """Write the pour of a choice; where none passes, that of a jar that is warmed."""
    if choice.recommended is not None:
        return f"{choice.advised(units)}{' !' if _near(choice) else ''}"
    warmed = warmed_jar(tried)
    if warmed is None:
        return "none passes"
    jar, pour = (_degrees(one, units) for one in warmed)
    return f"none; jar at {jar}: {pour}"


def off_text(choice: PourChoice, units: System) -> str:
    """Say how near the recommended pour is to a limit, if it is nearer than it should be."""
    best = choice.recommended
    if best is None or not _near(choice):
        return ""
    return f", {difference_text(choice.off(best.pour), units)} from a limit"


def rejected_text(choice: PourChoice) -> str:
    """Name the limits between which no pour passes."""
    return _between([choice])


def _between(choices: Sequence[PourChoice]) -> str:
    walls = dict.fromkeys(_SHORT[wall.limit] for choice in choices for wall in (choice.low, choice.high) if wall)
    return ", ".join(walls)


def _near(choice: PourChoice) -> bool:
    best = choice.recommended
    return best is not None and choice.off(best.pour) < KEEP_OFF - _ROUND_OFF


def notes(study: PourStudy, units: System) -> list[str]:
    """Say how the pours were chosen, and what the study holds fixed."""
    missing = [key for key in STATED if key not in study.scenario().pour_limits]
    found = [
        f"Of the pours that pass and are {difference_text(KEEP_OFF, units)} from every limit, those whose dish and"
        f" cavity together are within {100 * AS_GOOD:g}{HARD_SPACE}% of the least are as good as the best (~); the"
        " middle one of them (>) is recommended. Where none is as far from its limits, those farthest from them are"
        " taken."
    ]
    if missing:
        found.append(f"The scenario states no {' and no '.join(missing)}: look at the data sheets.")
    if study.scenario().jar.vessel.shock_limit is None:
        found.append("Metal is safe from thermal shock.")
    found.append(
        "middle: middle of the top below its rim. level: mean fall of the whole surface. skin: when the first skin at"
        " the wall has melted again. set: fully set."
    )
    found += decided(study, units)
    found.append(_beside(study, units))
    if study.cases is not None:
        found.append(
            f"Each pour was checked against the limits in {study.cases} cases (estimates), with values drawn as by"
            " `coolsim spread`, the same for every room and pour; it must keep all in at least"
            f" {100 * study.share:.0f}{HARD_SPACE}% of them. Dish, cavity and times are those with the scenario's own"
            f" values. Varied: {', '.join(study.varied)}."
        )
        if any(limit == "failed" for choice in study.choices for one in choice.candidates for limit, _ in one.breaks):
            found.append("Warning: some of the cases could not be computed; they count as not passing.")
    made = study.between
    if made is not None and made.runs < made.pours:
        found.append(
            f"Of {made.pours} pours {made.runs} were run; the others were worked out from them. Those that were tried"
            f" came within {100 * made.off:.1f}{HARD_SPACE}% of their own runs, or nearer than anybody measures; next"
            " to a pour at which a skin stays, the times of rim and skin come within a minute. `coolsim pour --help`"
            " names the option that runs them all."
        )
    return found


def decided(study: PourStudy, units: System) -> list[str]:
    """Say what the pour temperature decides and what it does not, and what a cloudy pour buys."""
    found = []
    for choice in study.choices:
        clear = [one for one in choice.candidates if one.answers is not None and "cloudy" not in one.rejected]
        depths = [depth for one in clear if (depth := one.number("depth_m")) is not None]
        times = [time for one in clear if (time := one.number("fully_set_s")) is not None]
        if len(clear) < 2 or not depths or not times:
            continue
        shallow, deep = (length_text(end(depths), units) for end in (min, max))
        told = (
            f"{_where(choice, units)}: poured at {_degrees(clear[0].pour, units)} to {_degrees(clear[-1].pour, units)},"
            f" the middle ends {shallow} to {deep} below the rim, and the wax is set after"
            f" {hours_minutes(min(times))} to {hours_minutes(max(times))} h."
        )
        cloudy = next((one for one in choice.candidates if "cloudy" in one.rejected and one.answers is not None), None)
        if cloudy is not None:
            solid = 1.0 - study.scenario(choice.place).jar.wax.liquid_at(cloudy.pour)
            told += (
                f" Poured cloudy, at {_degrees(cloudy.pour, units)} with {100 * solid:.0f} % already solid:"
                f" {_told('depth_m', cloudy, units)}, set after {_told('fully_set_s', cloudy, units)} h."
            )
        found.append(told)
    if found:
        found.append(
            "Wax that is poured cloudy has lost part of its volume in the"
            " pitcher, but it sets on the wall at once and takes no more oil: try one jar (estimate)."
        )
    return found


def _told(key: str, of: Candidate, units: System) -> str:
    value = of.number(key)
    return NOT_REACHED if value is None else value_text(BY_KEY[key], value, units)


def limit_reasons(study: PourStudy, units: System) -> dict[Limit, tuple[str, str]]:
    """Say of each limit that a study holds its pours against why it is one, and which value states it."""
    scenario = study.scenario()
    jar, wall = scenario.jar, "metal" if scenario.jar.vessel.shock_limit is None else "glass"
    found: dict[Limit, tuple[str, str]] = {
        "skin stays": (
            f"a first skin that stays on the {wall} shows as rings; a hotter pour melts it",
            "from the runs",
        ),
        "too near freezing": (
            f"less than {difference_text(study.margin, units)} above the start of freezing at"
            f" {temperature_text(jar.wax.freezing_starts, units)}, wax sets on the {wall} at once",
            "--margin, an estimate",
        ),
    }
    if jar.vessel.shock_limit is not None:
        found["jar shock"] = (
            f"glass may crack where wax is more than {difference_text(jar.vessel.shock_limit, units)} hotter than it",
            "vessel.shock_limit",
        )
    for key, most in scenario.pour_limits.items():
        found[STATED[key]] = (f"above {temperature_text(most, units)} {_HARM[STATED[key]]}", key)
    found["too slow"] = (
        f"it is to be fully set within {hours_minutes(study.time_allowed)} h, before it is moved", "--within"
    )  # fmt: skip
    if study.cases is not None:
        found["passes too seldom"] = (
            f"it is to keep all limits in {100 * study.share:.0f}{HARD_SPACE}% of {study.cases} cases", "--share"
        )  # fmt: skip
    return found


def near_limits(study: PourStudy, units: System) -> list[str]:
    """Say where the recommended pour is nearer to a limit than it should be, since no other passes."""
    return [
        f"{_where(choice, units)}: no pour that passes is {difference_text(KEEP_OFF, units)} from every limit; this one"
        f" is {difference_text(choice.off(best.pour), units)} from the nearest. Pour and measure with care, or change"
        " jar or room."
        for choice in study.choices
        if (best := choice.recommended) is not None and _near(choice)
    ]


def _where(choice: PourChoice, units: System) -> str:
    return f"{PLACES[choice.place]}, room at {temperature_text(choice.room, units)}"


def _beside(study: PourStudy, units: System) -> str:
    """Say what stands beside the scenario."""
    if study.own == "in water":
        return "It stands in the water of the scenario; the bench and the box are not tried."
    if study.own == "through its day":
        return "It goes through the changes of the scenario; the bench and the box are not tried by themselves."
    if study.own == "box of jars":
        return "In the box of jars the worst jar decides; bare is one of them, alone on the bench."
    if study.own == "boxed":
        return "The scenario has a box; bare is the same jar without it."
    box = study.stands["boxed"].jar.surround
    if not study.made_up or box is None:
        return f"The scenario has no box; the box here is that of {study.stands['boxed'].where}."
    return made_up_box_note(box, units)


def remedy_text(remedy: Remedy, units: System) -> str:
    """Write what a change gives."""
    what = change_text(remedy.change, remedy.value, units)
    best = None if remedy.choice is None else remedy.choice.recommended
    if best is None:
        return what
    lost = f"{_lost(best, units)} {in_units('volume', units)[2]}"
    after = f"set after {time_cell(best.number('fully_set_s'))} h"
    return f"{what}: then {_degrees(best.pour, units)} passes (sunk volume and cavity {lost}, {after})"


def _overview(study: PourStudy, units: System) -> Table:
    rows: list[Row] = []
    for choice in study.choices:
        start = (PLACES[choice.place], _degrees(choice.room, units))
        best = choice.recommended
        walls = [_wall(wall, units) for wall in (choice.low, choice.high)]
        if best is None:
            rows.append((*start, "  none passes, see below", *walls, ""))
        else:
            rows.append((*start, f"  {choice.advised(units)}", *walls, *_cells(best, ("fully_set_s",), units)))
    return Table(
        columns=(
            Column(width=16), Column(width=7, right=True), Column(width=26),
            *(Column(width=width, right=True) for width in (14, 11, 6)),
        ),
        headings=("Recommended", "room", "  pour at", "not below", "not above", narrow_head("fully_set_s", units)),
        rows=tuple(rows),
        gap=0,
        ruled=True,
    )  # fmt: skip


def _wall(wall: Wall | None, units: System) -> str:
    return NOT_REACHED if wall is None else f"{_degrees(wall.pour, units).partition(' ')[0]} {_SHORT[wall.limit]}"


def _limits(study: PourStudy, units: System) -> Table:
    rows = []
    for limit, (why, source) in limit_reasons(study, units).items():
        first, *more = wrapped(f"{capital(why)} ({source}).", _WHY)
        rows += [(_SHORT[limit], first), *(("", line) for line in more)]
    columns = (Column(width=80 - _WHY), Column(width=_WHY))
    return Table(columns=columns, headings=("Limit", "why"), rows=tuple(rows), gap=0, ruled=True)


def _table(choice: PourChoice, units: System) -> Table:
    best = choice.recommended
    rows: list[Row] = []
    for one in (*([] if best is None else [best]), *(one for one in choice.candidates if one is not best)):
        mark = ">" if one is best else "~" if one in choice.as_good else ""
        hollow, rest = _cells(one, _HOLLOW, units), _cells(one, _REST, units)
        rows.append((mark, _degrees(one.pour, units), *hollow, _lost(one, units), *rest, f"  {_rejected(one)}"))
    return Table(
        title=f"{PLACES[choice.place]}, room at {_degrees(choice.room, units)}, jar at {_degrees(choice.jar, units)}",
        columns=(
            Column(width=1),
            *(Column(width=width, right=True) for width in (8, 6, 7, 6, 7, 6, 6, 6)),
            Column(width=_REASONS + 2),
        ),
        headings=(
            "", "pour", *(narrow_head(key, units) for key in _HOLLOW), narrow_head(_LOST, units, "both"),
            *(narrow_head(key, units) for key in _REST), "  rejected by",
        ),
        rows=tuple(rows),
        gap=0,
        ruled=True,
    )  # fmt: skip


def _cells(one: Candidate, keys: Sequence[str], units: System) -> list[str]:
    return ["" if one.answers is None else narrow_cell(key, one.answers, units) for key in keys]


def _lost(one: Candidate, units: System) -> str:
    return "" if one.answers is None else narrow_cell(_LOST, {_LOST: one.lost}, units)


def _rejected(one: Candidate) -> str:
    if one.passes is None or "passes too seldom" not in one.rejected:
        named = ", ".join(one.rejected)
        return named if one.passes is None or named else f"passes in {100 * one.passes:.0f} %"
    broken = ", ".join(f"{limit} {100 * share:.0f} %" for limit, share in one.breaks)
    return f"passes in {100 * one.passes:.0f} %: {broken}"


def _nothing_passes(choice: PourChoice, tried: Sequence[Remedy], study: PourStudy, units: System) -> str:
    where = _where(choice, units)
    count = len(choice.candidates)
    text = f"{where}: none of the {count} pours passes" if count > 1 else f"{where}: this pour does not pass"
    if study.cases is not None:
        often = max(choice.candidates, key=lambda one: one.passes or 0.0)
        most = f"{_degrees(often.pour, units)} passes most often, in {100 * (often.passes or 0.0):.0f}{HARD_SPACE}%"
        return (
            f"{text} in {100 * study.share:.0f}{HARD_SPACE}% of the cases ({_reasons(choice)}). {most}. Without cases,"
            " `coolsim pour` tries what to change."
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
        text += f" {how}, {_degrees(other.recommended.pour, units)} passes."
    if not helps and other is None:
        text += " Nothing that was tried lets one pass: ask for a jar, wax or fragrance with other limits."
    return text


def _reasons(choice: PourChoice) -> str:
    counted: dict[str, int] = {}
    for one in choice.candidates:
        for limit in one.rejected:
            counted[limit] = counted.get(limit, 0) + 1
    return ", ".join(f"{limit}: {count} of {len(choice.candidates)}" for limit, count in counted.items())


def pour_csv(study: PourStudy, *, units: System) -> str:
    """Write every candidate as comma-separated values."""

    def named(name: str, kind: Kind) -> str:
        return f"{name} [{in_units(kind, units)[2]}]"

    def field(value: float | None, kind: Kind, digits: int) -> str:
        factor, offset, _ = in_units(kind, units)
        return "" if value is None else f"{factor * value + offset:z.{digits}f}"

    answers = [(name, key, BY_KEY[key].kind or "fraction", digits) for name, key, digits in _FILED]
    heading = ["place", *(named(name, "temperature") for name in ("room", "jar", "pour")), "recommended", "rejected by"]
    heading += [*(named(name, kind) for name, _, kind, _ in answers), named("passes in", "fraction")]
    return csv_text(
        heading,
        (
            [
                one.place,
                *(field(value, "temperature", 2) for value in (one.room, one.jar, one.pour)),
                "yes" if one is choice.recommended else "as good" if one in choice.as_good else "no",
                "; ".join(one.rejected),
                *(field(one.number(key), kind, digits) for _, key, kind, digits in answers),
                field(one.passes, "fraction", 1),
            ]
            for choice in study.choices
            for one in choice.candidates
        ),
    )


def pour_data(study: PourStudy, *, remedies: Remedies | None = None) -> dict[str, Any]:
    """Give the study as plain data: in SI and °C, the unit at the end of each key."""
    tried = remedies or {}
    return {
        **keyed(study, "own time_allowed_s margin_K own_grid cases share"),
        "varied": list(study.varied),
        "limits": {
            limit: {"why": why, "from": source} for limit, (why, source) in limit_reasons(study, "metric").items()
        },
        "choices": [
            {
                **keyed(choice, "place room_C jar_C"),
                "recommended_C": None if choice.recommended is None else choice.recommended.pour,
                "as_good_C": [one.pour for one in choice.as_good],
                "not_below": _wall_data(choice.low),
                "not_above": _wall_data(choice.high),
                "candidates": [_candidate_data(one) for one in choice.candidates],
                "remedies": [_remedy_data(remedy) for remedy in tried.get((choice.place, choice.room), ())],
            }
            for choice in study.choices
        ],
    }


def _wall_data(wall: Wall | None) -> dict[str, Any] | None:
    return None if wall is None else {"limit": wall.limit, "pour_C": wall.pour}


def _candidate_data(one: Candidate) -> dict[str, Any]:
    return {
        "pour_C": one.pour,
        "rejected": list(one.rejected),
        "passes": one.passes,
        "breaks": dict(one.breaks),
        "fault": one.fault,
        "answers": one.answers,
    }


def _remedy_data(remedy: Remedy) -> dict[str, Any]:
    best = None if remedy.choice is None else remedy.choice.recommended
    return {
        "change": remedy.change,
        **value_data(remedy.change, remedy.value),
        "helps": remedy.helps,
        "recommended": None if best is None else _candidate_data(best),
    }

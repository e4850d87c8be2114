"""The batch sheet: one page to print, with what is planned and room for what is seen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from matplotlib.figure import Figure

from coolsim.answers.catalogue import BY_KEY, answers_of
from coolsim.errors import OutputError
from coolsim.model.places import PlaceKind
from coolsim.report.blocks import HARD_SPACE
from coolsim.report.cautions import Topic, cautions
from coolsim.report.figures.saving import save_pages
from coolsim.report.figures.style import LARGE, PAGE_WIDTH, SMALL, in_style
from coolsim.report.paper.box_page import box_page
from coolsim.report.paper.page import Frame, Paper, usual_paper
from coolsim.report.paper.typeset import POINT, SPACING, Writer, broken, text_width
from coolsim.report.text.amounts import mass_text, money_text, weighed_text
from coolsim.report.text.day_plan import closed_notes, plan_cells, plan_names, times_note, too_soon_text
from coolsim.report.text.runs import TitledRun, groups_of, titled_runs
from coolsim.report.text.scenario import scenario_summary
from coolsim.report.wording import capital, hours_minutes, length_text, temperature_text
from coolsim.scenario import Scenario
from coolsim.scenario.wording import INVENTED
from coolsim.solve.curves import outside_of_wall, starting_temperature
from coolsim.solve.result import Result
from coolsim.solve.together import BoxResult
from coolsim.studies.spread.spread import Spread
from coolsim.studies.workshop.amounts import Amounts, amounts
from coolsim.studies.workshop.boxes import box_answers
from coolsim.studies.workshop.day_plan import DayPlan, plan_day, step_label
from coolsim.studies.workshop.melts import Turn, plan_turns
from coolsim.studies.workshop.moments import day_text, moment_text
from coolsim.studies.workshop.portions import jars_text
from coolsim.units import System

_TOPICS: tuple[Topic, ...] = ("who comes first", "burns", "alone", "bath", "fire", "flash points", "shock", "still")
_SEEN_OF_THE_TOP = {
    "The top is": "The top is",
    # By itself, a part of the void is called what it is.
    **{BY_KEY[key].label: BY_KEY[key].label for key in ("dish_m", "hole_m", "rim_dip_m")},
    BY_KEY["cavity_volume_m3"].label: capital(BY_KEY["cavity_volume_m3"].called),
}
"""Labels of the table of answers, and what the sheet calls them."""
_BETWEEN = 0.3
_HALF = 0.5 * (PAGE_WIDTH - _BETWEEN)
_COLUMNS = (1.91, 2.03, _HALF - 3.94)
_CAUTION_SIZE = SMALL
_LINE = 0.24
_AFTER_ROW = 0.045
_FIELDS = (2.7, 2.2, 3.3, PAGE_WIDTH - 8.2)
_GAP = 0.12
_HOURS = (1, 2)
_MOST_MELTS = 4
_COUNT_NOTE = "With a sign, hours and minutes from the pour."
_FIELD = "______________"


def draw_batch_sheet(
    scenario: Scenario,
    found: Result | BoxResult,
    *,
    doubt: Spread | None = None,
    paper: Paper | None = None,
    units: System | None = None,
) -> Figure:
    """Draw the batch sheet.

    Parameters
    ----------
    scenario : Scenario
        A scenario with a table `batch`.
    found : Result or BoxResult
        Its run.
    doubt : Spread, optional
        How far its times may be off, as for `coolsim.plan_day`.
    paper : {"a4", "letter"}, optional
        The paper; the one that goes with the units if left out.
    units : {"metric", "us"}, optional
        Units of the workshop; those of the scenario if left out.

    Returns
    -------
    Figure
        One page on its side: amounts, temperatures, times and the top, each with room for what is seen, and cautions.
        Of jars in a box the first counts for what must be over, the last for what must wait, and the top is the worst;
        `write_batch_sheet` adds the plan of the box.

    Raises
    ------
    ScenarioError
        If the scenario has no table `batch`, or its clock times contradict each other.
    OutputError
        If a scenario with many changes and warnings does not fit on the page.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_batch_sheet, save_figure, simulate, with_overrides
    >>> six = with_overrides(built_in_pair()[0], {"batch.jars": 6, "run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> sheet = draw_batch_sheet(six, simulate(six.jar), paper="a4")
    >>> save_figure(sheet, "sheet.pdf")  # doctest: +SKIP
    >>> [round(25.4 * side) for side in sheet.get_size_inches()]
    [297, 210]
    """
    chosen = units or scenario.units
    results: tuple[Result, ...] = (found,) if isinstance(found, Result) else found.results
    # The top on the sheet is that of the least flat jar.
    worst = None if isinstance(found, Result) else box_answers(found).least_flat.kind
    result = results[0] if isinstance(found, Result) or worst is None else found.at(worst.places[0])
    weighed = amounts(scenario, units=chosen)
    turns = plan_turns(scenario, lambda one, before: plan_day(one, results, doubt=doubt, before=before, units=chosen))
    plan = turns[0].plan
    (run,) = titled_runs([(scenario.title, result)], jars=[scenario.jar])
    frame = Frame(paper=paper or usual_paper(chosen), title=scenario.title)

    def overfull() -> Figure:
        raise OutputError(
            f"{frame.title}: a batch sheet is one page, and the changes and warnings of this scenario do not fit on it."
            " Take the plan and the amounts from `coolsim day`."
        )

    with in_style():
        page = frame.page("Batch sheet")
        whole = frame.writer([page], overfull, bottom=0.0)
        _head(whole, scenario, result, weighed, chosen)
        told = " ".join(cautions([run], [scenario], units=chosen, topics=_TOPICS))
        bottom = frame.bottom + _height(told)
        foot = frame.writer([page], overfull, top=bottom, bottom=0.0)
        foot.text(told, size=_CAUTION_SIZE)
        left = frame.writer([page], overfull, top=whole.y, bottom=bottom, width=_HALF)
        _table(left, ("To weigh", "Planned", "Weighed"), _amount_rows(weighed, chosen))
        _table(left, ("Temperatures", "Predicted", "Measured"), _temperature_rows(scenario, result, chosen))
        right = frame.writer([page], overfull, top=whole.y, bottom=bottom, left=_HALF + _BETWEEN, width=_HALF)
        _table(right, ("Times", "Predicted", "Seen at"), _time_rows(plan))
        _table(right, ("Top, once cold", "Estimated", "Seen"), _top_rows(run, chosen))
        noted = (*_turns_note(turns), _times_note(scenario, weighed, plan, results, worst))
        left.text(" ".join(noted), size=SMALL, after=0.12)
        left.notes(_LINE, size=SMALL + 1.0, above=0.1)
        frame.foot(page, 1, of=1 if isinstance(found, Result) else 2)
    return page


def write_batch_sheet(
    scenario: Scenario,
    found: Result | BoxResult,
    path: Path | str,
    *,
    doubt: Spread | None = None,
    paper: Paper | None = None,
    units: System | None = None,
) -> Path:
    """Write the batch sheet as a PDF, with the plan of a box on a second page; a scenario writes the same bytes."""
    pages = [draw_batch_sheet(scenario, found, doubt=doubt, paper=paper, units=units)]
    if isinstance(found, BoxResult):
        chosen = units or scenario.units
        frame = Frame(paper=paper or usual_paper(chosen), title=scenario.title)
        pages.append(box_page(frame, found, units=chosen))
        with in_style():
            frame.foot(pages[-1], 2, of=2)
    return save_pages(pages, path, title=f"Batch sheet: {scenario.title}", author=scenario.author)


def _height(told: str) -> float:
    """Room that the cautions take at the foot [in]."""
    lines = broken(told, PAGE_WIDTH, _CAUTION_SIZE)
    return len(lines) * SPACING * _CAUTION_SIZE * POINT + 0.06


def _head(column: Writer, scenario: Scenario, result: Result, found: Amounts, units: System) -> None:
    plan = scenario.plan
    day = _FIELD if scenario.date is None else day_text(scenario.date)
    jars = f"{found.jars} jars, lids, labels" if found.jars > 1 else "1 jar, lid, label"
    _fields(column, (f"Batch {plan.number or _FIELD}", f"Date {day}", f"Made by {scenario.author or _FIELD}", jars))
    oil = f"Oil {plan.fragrance or _FIELD}" if plan.load else "No oil"
    _fields(column, (f"Wax, lot {_FIELD}", f"Wick {_FIELD}", oil, f"lot {_FIELD}" if plan.load else ""))
    told = scenario_summary(scenario, units=units, answers=[answers_of(result, scenario.jar)])
    about = " ".join(one.removeprefix(f"{scenario.title}: ") for one in told)
    column.text(about.replace(f"; runs for {hours_minutes(scenario.jar.horizon)} h at most", ""), size=SMALL, after=0.1)


def _fields(column: Writer, texts: Sequence[str]) -> None:
    cells = [_shortened(text, width - _GAP) for text, width in zip(texts, _FIELDS, strict=True)]
    column.row(cells, _FIELDS, size=LARGE, after=0.06, between=_GAP)


def _shortened(text: str, width: float) -> str:
    """Cut a text off where a field ends, with a mark that something is missing."""
    if text_width(text, LARGE) <= width:
        return text
    ends = (f"{text[:end].rstrip()}…" for end in range(len(text), 0, -1))
    return next(one for one in ends if text_width(one, LARGE) <= width)


def _table(column: Writer, heads: tuple[str, str, str], rows: Sequence[tuple[str, str]]) -> None:
    column.row(heads, _COLUMNS, size=SMALL + 1.0, bold=range(3), after=0.05, line=0.9)
    for row in rows:
        column.row((*row, ""), _COLUMNS, size=SMALL + 0.5, bold=(1,), after=_AFTER_ROW, line=0.3)
    column.gap(0.06)


def _amount_rows(found: Amounts, units: System) -> list[tuple[str, str]]:
    rows = [("Wax", mass_text(found.wax, units))]
    if found.oil:
        rows += [("Fragrance oil", mass_text(found.oil, units)), ("Together", mass_text(found.mix, units))]
    rows += [
        ("In each jar (net weight)", mass_text(found.net_weight, units)),
        ("Level of the hot wax", length_text(found.level_at_pour, units)),
        ("Wicks to cut", f"{found.wicks} of {length_text(found.wick, units)}"),
    ]
    if found.cost is not None:
        label = "Cost of a jar, in part" if found.cost.left_out else "Cost of a jar"
        rows.append((label, money_text(found.cost.jar, found.cost)))
    if found.filled is not None:
        rows.append((f"{mass_text(found.filled.wax, units)} of wax fill", f"{found.filled.jars} jars"))
    return rows


def _temperature_rows(scenario: Scenario, result: Result, units: System) -> list[tuple[str, str]]:
    jar = starting_temperature(result, "glass")
    rows = [
        ("Wax at the pour", temperature_text(scenario.jar.pour, units)),
        ("Jar at the pour", "–" if jar is None else temperature_text(jar, units)),
        ("Room at the pour", temperature_text(float(result.history.room[0]), units)),
    ]
    outside = outside_of_wall(result)
    if outside is not None and scenario.jar.surround is None:
        for hours in _HOURS:
            if 3600.0 * hours <= result.time[-1]:
                there = float(np.interp(3600.0 * hours, result.time, outside))
                rows.append((f"Outside of the jar after {hours} h", temperature_text(there, units)))
    return rows


def _top_rows(run: TitledRun, units: System) -> list[tuple[str, str]]:
    rows = [row for group in groups_of([run], units) for row in group.rows if row.label in _SEEN_OF_THE_TOP]
    return [(_SEEN_OF_THE_TOP[row.label], row.cell(run, units).replace(HARD_SPACE, " ")) for row in rows]


def _time_rows(plan: DayPlan) -> list[tuple[str, str]]:
    return [(step_label(name), plan_cells(name, [plan])[0]) for name in plan_names([plan])]


def _turns_note(turns: Sequence[Turn]) -> Iterator[str]:
    """Say when the melts after the first one are made; the times on the sheet are those of the first."""
    if len(turns) == 1:
        return
    first = turns[0].plan
    told = [
        f"{turn.portion.number} ({jars_text(turn.portion)}, {weighed_text(turn.portion, first.units)}) at"
        f" {moment_text(turn.poured, first.clock, first.units, day=first.day)}"
        for turn in turns
        if turn.portion is not None
    ]
    # Of many the first two and the last stand for all.
    shown = told if len(told) <= _MOST_MELTS else [*told[:2], f"… {told[-1]}"]
    since = "" if first.clock is not None else ", counted from the first pour"
    yield f"{len(told)} melts, poured{since}: {', '.join(shown)}. The times are those of melt 1; each has its own pour."


def _times_note(
    scenario: Scenario, found: Amounts, plan: DayPlan, results: Sequence[Result], worst: PlaceKind | None
) -> str:
    notes = [*closed_notes([plan]), times_note(plan), _COUNT_NOTE]
    if worst is not None and len(results) > 1:
        notes.append(
            "Of the jars in the box the first counts for the wick, the last for all that waits; the top is that of:"
            f" {worst.called}."
        )
    if plan.before.estimated:
        notes.append("Those before the pour are estimates.")
    notes += [f"Warning: {warning}" for warning in found.warnings]
    if plan.too_soon:
        notes.append(too_soon_text(plan))
    warnings = {told for result in results for told in result.warnings}
    if warnings:
        notes.append(f"The run has warnings ({len(warnings)}): `coolsim run` shows them.")
    if scenario.invented:
        notes.append(INVENTED)
    return " ".join(notes)

"""The batch sheet: one page to print, with what is planned and room for what is seen."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib.figure import Figure

from coolsim.report.amounts_text import mass_text
from coolsim.report.answers import groups_of
from coolsim.report.cautions import Topic, cautions
from coolsim.report.figure import LARGE, PAGE_WIDTH, SMALL, in_style, save_pages
from coolsim.report.paper import Frame, Paper, usual_paper
from coolsim.report.plan_text import plan_cells, plan_names
from coolsim.report.runs import HARD_SPACE, Run, runs_of
from coolsim.report.summary import scenario_summary
from coolsim.report.typeset import POINT, SPACING, Column, Writer, rule, wrapped
from coolsim.report.wording import length_text, temperature_text
from coolsim.scenario import Scenario
from coolsim.solve.curves import outside_of_wall, starting_temperature
from coolsim.solve.result import Result
from coolsim.studies.amounts import Amounts, amounts
from coolsim.studies.day_plan import DayPlan, day_text, plan_day, step_label
from coolsim.units import System

_TOPICS: tuple[Topic, ...] = ("who comes first", "burns", "alone", "bath", "fire", "flash points", "shock", "still")
_SEEN_OF_THE_TOP = ("The top is", "Middle minus rim", "Rim below the pour", "Dish", "Hidden cavity")
_BETWEEN = 0.3
_HALF = 0.5 * (PAGE_WIDTH - _BETWEEN)
_COLUMNS = (Column(width=2.2), Column(width=1.45), Column(width=_HALF - 3.65))
_CAUTION_SIZE = SMALL
_LINE = 0.24
_HOURS = (1, 2)
_TIMES_NOTE = "Times are rounded to the safe side and hold for the room of the plan; in brackets, hours and minutes from the pour."
_MELTING_NOTE = "Those before the pour are estimates."
_FIELD = "______________"


def draw_batch_sheet(
    scenario: Scenario, result: Result, *, paper: Paper | None = None, units: System | None = None
) -> Figure:
    """Draw the batch sheet.

    Parameters
    ----------
    scenario : Scenario
        A scenario with a table `batch`.
    result : Result
        Its run.
    paper : {"a4", "letter"}, optional
        The paper; the one that goes with the units if left out.
    units : {"metric", "us"}, optional
        Units of the workshop; those of the scenario if left out.

    Returns
    -------
    Figure
        One page on its side: amounts, temperatures, times and the top, each with room for what is seen, and cautions.

    Raises
    ------
    ScenarioError
        If the scenario has no table `batch`, or its clock times contradict each other.

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
    found, plan = amounts(scenario, units=chosen), plan_day(scenario, result, units=chosen)
    (run,) = runs_of([(scenario.title, result)], jars=[scenario.jar])
    frame = Frame(paper=paper or usual_paper(chosen), title=scenario.title)
    with in_style():
        page = frame.page("Batch sheet")
        whole = _writer(frame, page, top=frame.top)
        _head(whole, scenario, found, chosen)
        told = " ".join(cautions([run], [scenario], units=chosen, topics=_TOPICS))
        bottom = frame.bottom + _height(told)
        foot = _writer(frame, page, top=bottom)
        foot.text(told, size=_CAUTION_SIZE)
        left = _writer(frame, page, top=whole.y, bottom=bottom, width=_HALF)
        _table(left, "To weigh", ("Weighed",), _amount_rows(found, chosen))
        _table(left, "Temperatures", ("Measured",), _temperature_rows(scenario, result, chosen))
        _table(left, "Top and inside, cold (estimates)", ("Seen",), _top_rows(run, chosen))
        right = _writer(frame, page, top=whole.y, bottom=bottom, left=_HALF + _BETWEEN, width=_HALF)
        _table(right, "Times", ("Seen at",), _time_rows(plan))
        _notes(right, page, plan, result)
        frame.number([page])
    return page


def write_batch_sheet(
    scenario: Scenario, result: Result, path: Path | str, *, paper: Paper | None = None, units: System | None = None
) -> Path:
    """Write the batch sheet as a PDF.

    Parameters
    ----------
    scenario : Scenario
        A scenario with a table `batch`.
    result : Result
        Its run.
    path : Path or str
        Where to; an existing file is replaced.
    paper : {"a4", "letter"}, optional
        The paper; the one that goes with the units if left out.
    units : {"metric", "us"}, optional
        Units of the workshop; those of the scenario if left out.

    Returns
    -------
    Path
        The file. Its bytes are the same for the same scenario.

    Raises
    ------
    ScenarioError
        If the scenario has no table `batch`, or its clock times contradict each other.
    OutputError
        If the name does not end in .pdf, or the file cannot be written.
    """
    page = draw_batch_sheet(scenario, result, paper=paper, units=units)
    return save_pages([page], path, title=f"Batch sheet: {scenario.title}", author=scenario.author)


def _writer(
    frame: Frame, page: Figure, *, top: float, bottom: float = 0.0, left: float = 0.0, width: float = PAGE_WIDTH
) -> Writer:
    def overfull() -> Figure:
        raise ValueError("a batch sheet is one page, and this one does not fit on it")

    return Writer(start=overfull, pages=[page], left=frame.left + left, width=width, top=top, bottom=bottom)


def _height(told: str) -> float:
    """Room that the cautions take at the foot [in]."""
    lines = wrapped(told, PAGE_WIDTH, _CAUTION_SIZE)
    return len(lines) * SPACING * _CAUTION_SIZE * POINT + 0.06


def _head(column: Writer, scenario: Scenario, found: Amounts, units: System) -> None:
    plan = scenario.plan
    day = _FIELD if scenario.date is None else day_text(scenario.date)
    fields = [
        f"Batch {plan.number or _FIELD}",
        f"Date {day}",
        f"Made by {scenario.author or _FIELD}",
        f"{found.jars} jar{'s' if found.jars > 1 else ''}",
    ]
    column.text("    ".join(fields), size=LARGE, after=0.06)
    lots = [f"Wax, lot {_FIELD}"]
    if plan.load:
        lots.append(f"Oil{f' {plan.fragrance}' if plan.fragrance else ''}, lot {_FIELD}")
    column.text("    ".join([*lots, f"Wick {_FIELD}"]), size=LARGE, after=0.06)
    told = scenario_summary(scenario, units=units)
    column.text(" ".join(told), size=SMALL, after=0.1)


def _table(column: Writer, heading: str, seen: tuple[str], rows: Sequence[tuple[str, str]]) -> None:
    column.row((heading, "Planned", *seen), _COLUMNS, size=SMALL + 1.0, bold=range(3), after=0.05, line=0.9)
    for row in rows:
        column.row((*row, ""), _COLUMNS, size=SMALL + 0.5, bold=(1,), after=0.075, line=0.3)
    column.gap(0.07)


def _amount_rows(found: Amounts, units: System) -> list[tuple[str, str]]:
    rows = [("Wax", mass_text(found.wax, units))]
    if found.oil:
        rows += [("Fragrance oil", mass_text(found.oil, units)), ("Together", mass_text(found.mix, units))]
    rows += [
        ("In each jar (net weight)", mass_text(found.net_weight, units)),
        ("Level of the hot wax over the base", length_text(found.level_at_pour, units)),
    ]
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


def _top_rows(run: Run, units: System) -> list[tuple[str, str]]:
    rows = [row for group in groups_of([run], units) for row in group.rows if row.label in _SEEN_OF_THE_TOP]
    return [(row.label, row.cell(run, units).replace(HARD_SPACE, " ")) for row in rows]


def _time_rows(plan: DayPlan) -> list[tuple[str, str]]:
    return [(step_label(name), plan_cells(name, [plan])[0]) for name in plan_names([plan])]


def _notes(column: Writer, page: Figure, plan: DayPlan, result: Result) -> None:
    """Say how the times are meant, and leave lines to write on."""
    notes = [_TIMES_NOTE]
    if plan.before.estimated:
        notes.append(_MELTING_NOTE)
    notes += [f"Warning: {warning}" for warning in result.warnings]
    column.text(" ".join(notes), size=SMALL, after=0.12)
    column.text("Notes", size=SMALL + 1.0, weight="bold", after=_LINE)
    while column.y > column.bottom + 0.1:
        rule(page, column.left, column.left + column.width, column.y, linewidth=0.3)
        column.gap(_LINE)

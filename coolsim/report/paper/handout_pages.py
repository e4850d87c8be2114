"""The pages of a handout that are text and tables: cover, day plan, advice, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure

from coolsim.report.blocks import HARD_SPACE
from coolsim.report.cautions import cautions
from coolsim.report.estimates import estimates_note
from coolsim.report.figures.common import LARGE, PAGE_WIDTH, SMALL
from coolsim.report.paper.advice import ADVICE_NOTE, advice_cells, advice_heads, change_text, verdict_text
from coolsim.report.paper.page import PAPERS, Frame
from coolsim.report.paper.story import story
from coolsim.report.paper.typeset import Column, Writer, put, rule, wrapped
from coolsim.report.text.day_plan import plan_cells, plan_names, plan_notes, plan_reason
from coolsim.report.text.runs import TitledRun, groups_of, titled_runs
from coolsim.report.text.scenario import scenario_summary
from coolsim.scenario import Scenario
from coolsim.solve.result import Result
from coolsim.studies.workshop.advice import Advice
from coolsim.studies.workshop.day_plan import DayPlan, step_label
from coolsim.studies.workshop.moments import day_text
from coolsim.units import System

LEFT_OUT = ("From the axis", "Pores", "Volume lost", "Given off in all", "Energy ledger", "Ended")
"""Answers that are of no use to a class."""

_TITLE = 18.0
_LINE = "____________________"
_LEFT, _BETWEEN = 4.45, 0.25
_LINES = 0.33
_INVENTED = "The workshop and its figures are invented."


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheets:
    """What the pages of text share.

    Parameters
    ----------
    frame : Frame
        The paper.
    scenarios, results : tuple
        The two jars and their runs.
    names, tags : (str, str)
        What they are called in tables, and within a sentence.
    own : int
        Which of them the handout is about [-].
    derived : bool
        Whether the other one was made up from it.
    plans : (DayPlan, DayPlan)
        Their days.
    units : {"metric", "us"}
        Units of the workshop.
    """

    frame: Frame
    scenarios: tuple[Scenario, Scenario]
    results: tuple[Result, Result]
    names: tuple[str, str]
    tags: tuple[str, str]
    own: int
    derived: bool
    plans: tuple[DayPlan, ...]
    units: System

    @property
    def scenario(self) -> Scenario:
        """The scenario that the handout is about."""
        return self.scenarios[self.own]

    @property
    def runs(self) -> list[TitledRun]:
        """The runs with their jars."""
        return titled_runs(
            list(zip(self.names, self.results, strict=True)), jars=[scenario.jar for scenario in self.scenarios]
        )

    def writer(self, pages: list[Figure], heading: str, *, left: float = 0.0, width: float = PAGE_WIDTH) -> Writer:
        """Begin a column of text on the last of some pages.

        Parameters
        ----------
        pages : list of Figure
            The pages.
        heading : str
            What further pages are called.
        left, width : float
            The column, from the left edge of what is printed [in].

        Returns
        -------
        Writer
            At the top.
        """
        return Writer(
            start=lambda: self.frame.page(f"{heading} (continued)"),
            pages=pages,
            left=self.frame.left + left,
            width=width,
            top=self.frame.top,
            bottom=self.frame.bottom,
        )


def cover_page(sheets: Sheets) -> list[Figure]:
    """Draw who and when, what stands where, what happens, and the answers."""
    frame, scenario = sheets.frame, sheets.scenario
    width, height = PAPERS[frame.paper]
    page = Figure(figsize=(width, height))
    top = height - 0.5
    title = wrapped(scenario.title, PAGE_WIDTH, _TITLE, "bold")
    put(page, "\n".join(title), frame.left, top, size=_TITLE, weight="bold")
    top -= 0.34 * len(title) + 0.06
    author = f"By {scenario.author}" if scenario.author else f"By {_LINE}"
    day = f"Date {_LINE}" if scenario.date is None else day_text(scenario.date)
    beside = "" if sheets.derived else f"Beside: {sheets.scenarios[1 - sheets.own].title}  ·  "
    told = wrapped(f"{beside}How the wax cools and sets  ·  {author}  ·  {day}", PAGE_WIDTH, LARGE)
    put(page, "\n".join(told), frame.left, top, size=LARGE)
    top -= 0.2 * (len(told) - 1)
    top -= 0.26
    rule(page, frame.left, frame.left + PAGE_WIDTH, top, linewidth=1.0)
    pages, more = [page], [page]
    left = sheets.writer(pages, "The candle", width=_LEFT)
    left.top = left.y = top - 0.12
    _left_column(sheets, left)
    right = sheets.writer(more, "The answers", left=_LEFT + _BETWEEN, width=PAGE_WIDTH - _LEFT - _BETWEEN)
    right.top = right.y = top - 0.12
    _answers(sheets, right)
    return [*pages, *more[1:]]


def _left_column(sheets: Sheets, column: Writer) -> None:
    column.text("What stands where", size=LARGE, weight="bold")
    for name, scenario in zip(sheets.names, sheets.scenarios, strict=True):
        fill, place, *_ = scenario_summary(scenario, units=sheets.units)
        told = fill.removeprefix(f"{scenario.title}: ")
        place = f"{place.partition('; runs for')[0]}."
        column.text(f"{name}: {told} {place}", size=SMALL + 0.5, after=0.05)
    notes = []
    if sheets.derived:
        box = " The box is that of the built-in pair." if sheets.own == 0 else ""
        notes.append(f"The second of the two was made up from the scenario.{box}")
    if any(scenario.invented for scenario in sheets.scenarios):
        notes.append(_INVENTED)
    if notes:
        column.text(" ".join(notes), size=SMALL + 0.5, after=0.05)
    column.gap(0.06)
    column.text("What happens in the jar", size=LARGE, weight="bold")
    columns = (Column(width=0.95), Column(width=_LEFT - 0.95))
    for word, sentences in story(sheets.runs, sheets.tags, units=sheets.units):
        column.row((word, sentences), columns, bold=(0,), between=0.08, after=0.06)


def _answers(sheets: Sheets, column: Writer) -> None:
    column.text("The answers", size=LARGE, weight="bold")
    labels = 1.6
    each = 0.5 * (column.width - labels)
    columns = (Column(width=labels), Column(width=each), Column(width=each))
    column.row(("", *sheets.names), columns, size=SMALL, bold=(1, 2), line=0.8)
    for group in groups_of(sheets.runs, sheets.units):
        rows = [row for row in group.rows if row.label not in LEFT_OUT]
        if not rows:
            continue
        column.gap(0.01)
        column.text(group.heading, size=SMALL, weight="bold", after=0.016)
        for row in rows:
            cells = [row.cell(run, sheets.units).replace(HARD_SPACE, " ") for run in sheets.runs]
            column.row((f"  {row.label}", *cells), columns, size=SMALL, after=0.016)


def plan_page(sheets: Sheets) -> list[Figure]:
    """Draw the plan of the day."""
    heading = "The day"
    pages = [sheets.frame.page(heading)]
    column = sheets.writer(pages, heading)
    plan = sheets.plans[sheets.own]
    pour = plan.step("pour")
    day = "" if plan.day is None else f"{day_text(plan.day)}. "
    if plan.clock is None or pour is None:
        told = f"{day}Poured at {_LINE}. The times below count from the pour, in hours and minutes."
    else:
        told = f"{day}Poured at {plan.told(pour)}. Times of the clock; in brackets, hours and minutes from the pour."
    column.text(told, size=LARGE, after=0.2)
    widths = (2.4, 2.1, 1.9, 1.9, 1.7)
    columns = [Column(width=width) for width in widths]
    heads = ("What", "Why", *sheets.names, "What we saw")
    column.row(heads, columns, size=LARGE, bold=range(5), after=0.12, line=1.0)
    for name in plan_names(sheets.plans):
        why = plan_reason(name, sheets.plans, sheets.scenarios, sheets.units)
        cells = (step_label(name), why, *plan_cells(name, sheets.plans), "")
        column.row(cells, columns, size=LARGE, bold=(2, 3), after=0.12, line=0.5)
    column.gap(0.06)
    column.text(" ".join(plan_notes(sheets.plans)), size=SMALL + 0.5, after=0.14)
    column.text("Notes", size=LARGE, weight="bold", after=_LINES)
    while column.y > column.bottom:
        rule(pages[-1], column.left, column.left + PAGE_WIDTH, column.y, linewidth=0.3)
        column.gap(_LINES)
    return pages


def advice_pages(sheets: Sheets, found: Sequence[Advice]) -> list[Figure]:
    """Draw what to change when the top goes wrong, for each of the two jars."""
    heading = "When the top goes wrong"
    pages = [sheets.frame.page(heading)]
    column = sheets.writer(pages, heading)
    column.text(ADVICE_NOTE, size=SMALL + 0.5, after=0.1)
    columns = [
        Column(width=2.5), *(Column(width=0.95, right=True) for _ in range(4)), Column(width=PAGE_WIDTH - 6.3),
    ]  # fmt: skip
    for advice, name in zip(found, sheets.names, strict=True):
        column.row((name, *advice_heads(sheets.units), "Does it help?"), columns, bold=range(6), line=1.0)
        cells = advice_cells(advice.usual, sheets.units)
        column.row(("As it is", *cells, ""), columns, bold=range(6), line=0.5)
        for trial in advice.trials:
            cells = advice_cells(trial.answers, sheets.units)
            said = (change_text(trial, sheets.units), *cells, verdict_text(advice, trial))
            column.row(said, columns, line=0.3, after=0.05)
        column.gap(0.16)
    return pages


def caution_page(sheets: Sheets) -> list[Figure]:
    """Draw what can hurt, and what the figures rest on."""
    heading = "Cautions, and how far to trust these pages"
    pages = [sheets.frame.page(heading)]
    more = [pages[0]]
    half = 0.5 * (PAGE_WIDTH - _BETWEEN)
    left = sheets.writer(pages, heading, width=half)
    left.text("What can hurt", size=LARGE, weight="bold")
    for caution in cautions(sheets.runs, sheets.scenarios, units=sheets.units):
        left.point(caution)
    right = sheets.writer(more, heading, left=half + _BETWEEN, width=half)
    right.text("What the figures rest on", size=LARGE, weight="bold")
    for told in _rests(sheets):
        right.text(told)
    return [*pages, *more[1:]]


def _rests(sheets: Sheets) -> list[str]:
    told = [
        "Everything here is computed, not measured: heat conduction with freezing in wax, glass, board and bench, with"
        " a melt that stirs itself. Check it with a thermometer on your own jars.",
        "Published laws of free convection scatter by some 10 to 20 % (from memory), and so does a cooling time in"
        " still air. Dish and cavity are estimates.",
    ]
    if any(scenario.invented for scenario in sheets.scenarios):
        told.append(_INVENTED)
    told += [scenario.note for scenario in sheets.scenarios[sheets.own : sheets.own + 1] if scenario.note]
    told += [note for note in (estimates_note(sheets.scenarios),) if note]
    for run in sheets.runs:
        told += [f"Warning, {run.title}: {warning}" for warning in run.result.warnings]
    return told

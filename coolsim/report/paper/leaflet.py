"""The short handout: two pages for each participant, the jar and the day."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure

from coolsim.report.cautions import Topic, cautions
from coolsim.report.figures.style import LARGE, PAGE_WIDTH, SMALL
from coolsim.report.paper.page import Frame
from coolsim.report.text.day_plan import plan_cells, plan_names, plan_reason
from coolsim.report.text.runs import TitledRun
from coolsim.scenario import Scenario
from coolsim.studies.workshop.day_plan import DayPlan, step_label
from coolsim.studies.workshop.moments import day_text
from coolsim.units import System

_TOPICS: tuple[Topic, ...] = ("who comes first", "burns", "alone", "fire", "shock", "still")
_DAY_WIDTH, _BETWEEN = 6.5, 0.3
_EMPTY = "____________________"


def day_page(
    frame: Frame, plan: DayPlan, run: TitledRun, scenario: Scenario, *, notes: Sequence[str], units: System
) -> list[Figure]:
    """Draw the day of one jar with room for what is seen, and beside it what can hurt."""
    heading = "The day"
    pages = [frame.page(heading)]
    left = frame.writer(pages, heading, width=_DAY_WIDTH)
    pour = plan.step("pour")
    day = "" if plan.day is None else f"{day_text(plan.day)}. "
    if plan.clock is None or pour is None:
        left.text(f"{day}Poured at {_EMPTY}. Times count from the pour.", size=LARGE, after=0.16)
    else:
        left.text(f"{day}Poured at {plan.told(pour)}. With a sign: since the pour.", size=LARGE, after=0.16)
    columns = (1.95, 1.55, 1.75, _DAY_WIDTH - 5.25)
    left.row(("What", "Why", "When", "What we saw"), columns, size=LARGE, bold=range(4), after=0.1, line=1.0)
    for name in plan_names([plan]):
        why = plan_reason(name, [plan], [scenario], units)
        cells = (step_label(name), why, *plan_cells(name, [plan]), "")
        left.row(cells, columns, size=SMALL + 1.5, bold=(2,), after=0.1, line=0.5)
    left.text(" ".join(notes), size=SMALL, after=0.1)
    right = frame.writer([pages[0]], heading, left=_DAY_WIDTH + _BETWEEN, width=PAGE_WIDTH - _DAY_WIDTH - _BETWEEN)
    right.text("What can hurt", size=LARGE, weight="bold")
    for caution in cautions([run], [scenario], units=units, topics=_TOPICS):
        right.point(caution)
    return pages

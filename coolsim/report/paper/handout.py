"""The handout: one PDF to print for a class, bare beside boxed, that reads well in black and white."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from matplotlib.figure import Figure

from coolsim.answers.catalogue import BY_KEY, answers_of
from coolsim.answers.worst import answers_of_box, first_and_last
from coolsim.report.blocks import HARD_SPACE
from coolsim.report.cautions import cautions
from coolsim.report.estimates import estimates_note
from coolsim.report.figures.curves import draw_cooling_curves, draw_heat_shares
from coolsim.report.figures.pour_chart import draw_pour_chart
from coolsim.report.figures.saving import save_pages
from coolsim.report.figures.sections import draw_sections
from coolsim.report.figures.set_map import draw_set_map
from coolsim.report.figures.style import LARGE, PAGE_WIDTH, SMALL, Drawing, in_style, styled
from coolsim.report.figures.tops import draw_top_profiles, draw_tops
from coolsim.report.paper.advice import ADVICE_NOTE, advice_cells, advice_heads, effect_text
from coolsim.report.paper.box_page import box_page
from coolsim.report.paper.faults import faults_of
from coolsim.report.paper.leaflet import day_page
from coolsim.report.paper.page import PAPERS, Frame, Paper, figure_page, usual_paper
from coolsim.report.paper.story import story
from coolsim.report.paper.typeset import Writer, broken, put, rule
from coolsim.report.paper.workshop_pages import log_page, weigh_and_mend
from coolsim.report.text.changes import change_text
from coolsim.report.text.day_plan import (
    closed_notes,
    plan_cells,
    plan_names,
    plan_notes,
    plan_reason,
    times_note,
    too_soon_text,
)
from coolsim.report.text.pour import PLACES
from coolsim.report.text.runs import TitledRun, groups_of, titled_runs
from coolsim.report.text.scenario import noteworthy, scenario_summary
from coolsim.report.wording import capital, temperature_text, top_text
from coolsim.scenario import Scenario, with_overrides
from coolsim.scenario.wording import INVENTED
from coolsim.solve.result import Result
from coolsim.solve.together import BoxResult
from coolsim.studies.pour.choose import PourStudy
from coolsim.studies.repair.repair import Repair, to_repair
from coolsim.studies.spread.spread import Spread
from coolsim.studies.workshop.advice import Advice
from coolsim.studies.workshop.amounts import amounts
from coolsim.studies.workshop.day_plan import DayPlan, StepName, plan_day, step_label
from coolsim.studies.workshop.moments import day_text
from coolsim.studies.workshop.portions import batch_of_all
from coolsim.units import System

LEFT_OUT = tuple(
    BY_KEY[key].label
    for key in (
        "solid_s",
        "last_liquid_r_m",
        "dish_volume_m3",
        "lost_m3",
        "heat_given_off_J",
        "ledger_open_share",
        "ended",
    )
)
"""Labels of answers that are of no use to a class."""

_TITLE = 18.0
_COVER_PICTURE = 3.6
_IN_SHORT: tuple[StepName, ...] = ("pour", "wick", "still", "top", "lid")
_LINE = "____________________"
_LEFT, _BETWEEN = 4.45, 0.25
_LINES = 0.33
_MOST_MAPS = 4

_picture_page = styled(figure_page)
_FigurePage = tuple[str, Sequence[tuple[float, Callable[..., object]]], str]  # heading, drawings, caption


@dataclass(frozen=True, slots=True, kw_only=True)
class Jars:
    """A jar, or two side by side, bare before boxed if they differ in that, and their runs.

    It is about one of them (own [-]); the other one may be derived from it. Where a scenario is a box of jars, `boxes`
    has its run, and the result is that of the jar that is set last.
    """

    scenarios: tuple[Scenario, ...]
    results: tuple[Result, ...]
    own: int
    derived: bool
    boxes: tuple[BoxResult, ...] = ()

    @property
    def scenario(self) -> Scenario:
        """The scenario that the handout is about."""
        return self.scenarios[self.own]

    @property
    def run(self) -> TitledRun:
        """Its run."""
        return self.runs[self.own]

    @property
    def differ(self) -> bool:
        """Whether one is bare and the other boxed."""
        return len({one.jar.surround is None for one in self.scenarios}) > 1

    @property
    def tags(self) -> tuple[str, ...]:
        """What they are called within a sentence."""
        return ("bare", "in the box") if self.differ else ("(A)", "(B)")[: len(self.scenarios)]

    @property
    def names(self) -> tuple[str, ...]:
        """What they are called in tables and figures."""
        titles = [one.title for one in self.scenarios]
        if self.differ and self.derived:
            of_box = "One of them, bare" if self.boxes else "The same, bare"
            titles[1 - self.own] = "The same, in a box" if self.own == 0 else of_box
        elif not self.differ and len(titles) > 1:
            titles = [f"{letter}: {title}" for letter, title in zip("AB", titles, strict=True)]
        return tuple(titles)

    @property
    def runs(self) -> list[TitledRun]:
        """The runs with their jars."""
        return titled_runs(list(zip(self.names, self.results, strict=True)), jars=[one.jar for one in self.scenarios])

    def box_of(self, scenario: Scenario) -> BoxResult | None:
        """Return the run of the box that a scenario is; None for one jar."""
        return next((box for box in self.boxes if box.places == scenario.jar.places), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Handout(Jars):
    """What a handout shows beside its jars.

    The study is over several rooms, the chart lacks those left out because this wax would not set there. The advice is
    for its own jar (own [-]); `mended` is what hot air does to the top of that jar, the worst of a box, or why there is
    nothing to say of it. How far the times of each may be off makes the plan of the day safe; without it they are the
    middle values. `pictures` are pages of `draw_pictures`, for the same paper and units, if they are drawn already.
    """

    study: PourStudy
    advice: Advice
    mended: Repair | str
    left_out: tuple[str, ...] = ()
    doubts: tuple[Spread | None, ...] = ()
    pictures: tuple[Figure, ...] = ()

    def breaches(self, units: System, *, own: bool = False) -> tuple[str, ...]:
        """Say which limits the planned pours break, and what mends it: of all jars, or of its own."""
        told: list[str] = []
        for number, (scenario, result) in enumerate(zip(self.scenarios, self.results, strict=True)):
            if not own or number == self.own:
                box = self.box_of(scenario)
                found = answers_of(result, scenario.jar) if box is None else answers_of_box(box, scenario.jar)[0]
                told += noteworthy(scenario, units, answers=[found])
        # The names of keys are not for a class.
        return tuple(dict.fromkeys(one.replace(" (vessel.shock_limit)", "") for one in told))

    def plans(self, units: System) -> tuple[DayPlan, ...]:
        """Plan the day of each."""
        plans = []
        doubts = self.doubts or (None,) * len(self.results)
        for scenario, result, doubt in zip(self.scenarios, self.results, doubts, strict=True):
            box = self.box_of(scenario)
            plans.append(plan_day(scenario, result if box is None else box.results, doubt=doubt, units=units))
        return tuple(plans)


def about(scenario: Scenario) -> str:
    """Write what is stated of title, author and day in one line."""
    day = "" if scenario.date is None else day_text(scenario.date)
    return " · ".join(part for part in (scenario.title, scenario.author, day) if part)


def draw_handout(
    handout: Handout, *, short: bool = False, paper: Paper | None = None, units: System | None = None
) -> tuple[Figure, ...]:
    """Draw the pages of a handout, on their side: no letter smaller than 7 pt, nothing that needs colour.

    The short one has two pages, for each participant; the whole one is for the teacher.
    """
    frame, chosen = _frame(handout, paper, units)
    parts = _SHORT if short else _WHOLE
    with in_style():
        pages = [page for part in parts for page in part(handout, frame, chosen)]
        frame.number(pages)
    return tuple(pages)


def draw_pictures(jars: Jars, *, paper: Paper | None = None, units: System | None = None) -> Iterator[Figure]:
    """Draw those pages of a handout that show nothing but the runs of its jars, one after the other."""
    frame, chosen = _frame(jars, paper, units)
    for heading, drawings, caption in _pictures(jars):
        yield _picture_page(frame, heading, drawings, caption, units=chosen)


def _frame(jars: Jars, paper: Paper | None, units: System | None) -> tuple[Frame, System]:
    chosen = units or jars.scenario.units
    return Frame(paper=paper or usual_paper(chosen), title=about(jars.scenario)), chosen


def write_handout(
    handout: Handout, path: Path | str, *, short: bool = False, paper: Paper | None = None, units: System | None = None
) -> Path:
    """Write a handout as one PDF; the same handout writes the same bytes."""
    pages = draw_handout(handout, short=short, paper=paper, units=units)
    return save_pages(pages, path, title=handout.scenario.title, author=handout.scenario.author)


def map_times(scenario: Scenario) -> tuple[float, ...]:
    """Choose at most four of the times [s] that a scenario states for its temperature maps."""
    times = scenario.map_times
    if len(times) <= _MOST_MAPS:
        return times
    apart = (len(times) - 1) / (_MOST_MAPS - 1)
    return tuple(times[round(index * apart)] for index in range(_MOST_MAPS))


def _figure_pages(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    pictures = handout.pictures or draw_pictures(handout, paper=frame.paper, units=units)
    chart = ((1.0, partial(draw_pour_chart, handout.study)),)
    return [*pictures, _picture_page(frame, "How hot to pour", chart, _recommended(handout, units), units=units)]


def _pictures(jars: Jars) -> tuple[_FigurePage, ...]:
    runs = list(zip(jars.names, jars.results, strict=True))
    probes = jars.scenario.probes if all(one.probes == jars.scenario.probes for one in jars.scenarios) else {}
    return (
        (
            "When each place sets",
            ((4.0, partial(draw_set_map, runs)), (2.5, partial(draw_heat_shares, runs))),
            "Above: the wax cut through its axis. A line joins places that set at the same time after the pour; dark"
            " sets early, light sets late, and the cross marks the last liquid. Below: through which side the heat has"
            " left so far. What the top gives off closes the top early; what goes through side and base does not.",
        ),
        (
            "Temperatures inside and around",
            ((1.0, partial(draw_sections, runs, map_times(jars.scenario))),),
            "Jar, bench and box cut through the axis; light is hot, dark is cold. Outside the solid line the wax has"
            " set, outside the dashed line it is too stiff to be drawn down.",
        ),
        (
            "Cooling curves",
            ((1.0, partial(draw_cooling_curves, runs, points=probes)),),
            "Compare them with a thermometer of your own. Where a curve runs nearly level, the wax there is freezing:"
            " the heat of freezing keeps its temperature up.",
        ),
        (
            "The top, and what it hides",
            ((3.9, partial(draw_tops, runs)), (2.6, partial(draw_top_profiles, runs))),
            "Above, to scale: the top when it sinks no more, and the hollow under it if there is one. Below: the same"
            " tops over each other, with heights stretched. Estimates: they depend on how much the wax shrinks and on"
            " how soft it is when half frozen, which no data sheet says.",
        ),
    )


def _recommended(handout: Handout, units: System) -> str:
    """Say what the chart recommends for the room of the scenario, or the room of the chart that is nearest to it."""
    nearest = handout.study.nearest(handout.scenario.jar.room.at(0.0))
    told = [f"{PLACES[choice.place].lower()} {choice.advised(units) or 'none passes'}" for choice in nearest]
    own = "" if handout.differ else f" The chart is drawn for {handout.scenario.title}."
    if handout.left_out:
        own += f" Left out, as this wax would not set there: {', '.join(handout.left_out)}."
    return (
        "Find the room below, go up to the band, and pour at the number that stands in it."
        f" Room at {temperature_text(nearest[0].room, units)}: {'; '.join(told)}. `coolsim pour` prints every candidate"
        f" with its numbers.{own}"
    )


def _recommended_here(handout: Handout, units: System) -> str:
    """Say what the pours that were tried recommend."""
    nearest = handout.study.nearest(handout.scenario.jar.room.at(0.0))
    told = [f"{PLACES[choice.place].lower()} {one}" for choice in nearest if (one := choice.advised(units))]
    return f"Of the pours tried: {'; '.join(told)}." if told else "None of the pours tried passes."


def _cover_page(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    return [styled(_cover)(handout, frame, units)]


def _cover(handout: Handout, frame: Frame, units: System) -> Figure:
    """Draw who and when, the two jars, and the day in a few lines."""
    scenario = handout.scenario
    width, height = PAPERS[frame.paper]
    page = Drawing(figsize=(width, height), layout="constrained")
    top = height - 0.5
    title = broken(scenario.title, PAGE_WIDTH, _TITLE, "bold")
    put(page, "\n".join(title), frame.left, top, size=_TITLE, weight="bold")
    top -= 0.34 * len(title) + 0.06
    author = f"By {scenario.author}" if scenario.author else f"By {_LINE}"
    day = f"Date {_LINE}" if scenario.date is None else day_text(scenario.date)
    beside = "" if handout.derived else f"Beside: {handout.scenarios[1 - handout.own].title}  ·  "
    told = broken(f"{beside}How the wax cools and sets  ·  {author}  ·  {day}", PAGE_WIDTH, LARGE)
    put(page, "\n".join(told), frame.left, top, size=LARGE)
    top -= 0.2 * (len(told) - 1) + 0.26
    rule(page, frame.left, frame.left + PAGE_WIDTH, top, linewidth=1.0)
    heights = [height - top + 0.1, _COVER_PICTURE, top - 0.1 - _COVER_PICTURE]
    widths = [frame.left, PAGE_WIDTH, width - PAGE_WIDTH - frame.left]
    grid = page.add_gridspec(3, 3, height_ratios=heights, width_ratios=widths, wspace=0.0, hspace=0.0)
    draw_set_map(
        list(zip(handout.names, handout.results, strict=True)), units=units, into=page.add_subfigure(grid[1, 1])
    )
    column = frame.writer([page], "The day", top=heights[2] - 0.05)
    count = len(handout.runs)
    columns = (2.9, *[(PAGE_WIDTH - 2.9) / count] * count)
    bold = range(1, count + 1)
    column.row(("In short", *handout.names), columns, size=LARGE, bold=range(count + 1), after=0.08, line=1.0)
    plans = handout.plans(units)
    for name in _IN_SHORT:
        column.row((step_label(name), *plan_cells(name, plans)), columns, size=LARGE, bold=bold, after=0.08, line=0.4)
    tops = (top_text(run.result, units) for run in handout.runs)
    column.row(("The top will be", *tops), columns, size=LARGE, after=0.08, line=0.4)
    if breaches := handout.breaches(units):
        column.text(" ".join([*breaches, _recommended_here(handout, units)]), size=SMALL + 0.5, weight="bold")
    return page


def _answer_pages(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    """Draw what stands where, what happens, and the answers."""
    heading = "What happens"
    pages = [frame.page(heading)]
    more = [pages[0]]
    left = frame.writer(pages, heading, width=_LEFT)
    _left_column(handout, left, units)
    right = frame.writer(more, heading, left=_LEFT + _BETWEEN, width=PAGE_WIDTH - _LEFT - _BETWEEN)
    _answers(handout, right, units)
    return [*pages, *more[1:]]


def _left_column(handout: Handout, column: Writer, units: System) -> None:
    column.text("What stands where", size=LARGE, weight="bold")
    for name, scenario in zip(handout.names, handout.scenarios, strict=True):
        fill, place, *_ = scenario_summary(scenario, units=units)
        told = fill.removeprefix(f"{scenario.title}: ")
        place = f"{place.partition('; runs for')[0]}."
        column.text(f"{name}: {told} {place}", size=SMALL + 0.5, after=0.05)
    notes = []
    if handout.derived and len(handout.scenarios) > 1:
        made = " The box is that of the built-in pair." if handout.own == 0 else ""
        notes.append(f"The {'second' if handout.own == 0 else 'first'} of the two was made from the scenario.{made}")
    for box in handout.boxes:
        each = [answers_of(result) for result in box.results]
        last, worst = box.kinds[first_and_last(each)[1]], box.kinds[to_repair(box.results)]
        told = f"Of the jars in the box these pages show the one that is set last, {last.called}; the plan counts all."
        notes.append(told if worst is last else f"{told} Hot air is for the worst top, {worst.called}.")
    if any(scenario.invented for scenario in handout.scenarios):
        notes.append(INVENTED)
    if notes:
        column.text(" ".join(notes), size=SMALL + 0.5, after=0.05)
    column.gap(0.06)
    column.text("What happens in the jar", size=LARGE, weight="bold")
    columns = (0.95, _LEFT - 0.95)
    for word, sentences in story(handout.runs, handout.tags, units=units):
        column.row((word, sentences), columns, bold=(0,), between=0.08, after=0.06)


def _answers(handout: Handout, column: Writer, units: System) -> None:
    column.text("The answers", size=LARGE, weight="bold")
    labels = 1.6
    count = len(handout.runs)
    columns = (labels, *[(column.width - labels) / count] * count)
    column.row(("", *handout.names), columns, size=SMALL, bold=range(1, count + 1), line=0.8)
    for group in groups_of(handout.runs, units):
        rows = [row for row in group.rows if row.label not in LEFT_OUT]
        if not rows:
            continue
        column.gap(0.01)
        column.text(group.heading, size=SMALL, weight="bold", after=0.016)
        for row in rows:
            cells = [row.cell(run, units).replace(HARD_SPACE, " ") for run in handout.runs]
            column.row((f"  {row.label}", *cells), columns, size=SMALL, after=0.016)


def _plan_page(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    """Draw the plan of the day."""
    heading = "The day"
    pages = [frame.page(heading)]
    column = frame.writer(pages, heading)
    plans = handout.plans(units)
    plan = plans[handout.own]
    pour = plan.step("pour")
    day = "" if plan.day is None else f"{day_text(plan.day)}. "
    if plan.clock is None or pour is None:
        told = f"{day}Poured at {_LINE}. The times below count from the pour, in hours and minutes."
    else:
        told = f"{day}Poured at {plan.told(pour)}. Times of the clock; with a sign, hours and minutes from the pour."
    column.text(told, size=LARGE, after=0.2)
    count = len(plans)
    columns = (2.4, 2.1, *[3.8 / count] * count, 1.7)
    heads = ("What", "Why", *handout.names, "What we saw")
    column.row(heads, columns, size=LARGE, bold=range(len(heads)), after=0.12, line=1.0)
    for name in plan_names(plans):
        why = plan_reason(name, plans, handout.scenarios, units)
        cells = (step_label(name), why, *plan_cells(name, plans), "")
        column.row(cells, columns, size=LARGE, bold=range(2, 2 + count), after=0.12, line=0.5)
    column.gap(0.06)
    column.text(" ".join((*closed_notes(plans), *plan_notes(plans))), size=SMALL + 0.5, after=0.14)
    column.notes(_LINES, size=LARGE)
    return pages


def _weigh_pages(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    """Draw what to weigh out, and how to mend a top."""
    own = handout.scenario
    own = batch_of_all(own)
    found = amounts(own if own.batch is not None else with_overrides(own, {"batch.jars": 1}), units=units)
    return weigh_and_mend(frame, found, handout.run, own, handout.mended, units=units)


def _fault_pages(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    """Draw faults with cause and cure, and below the numbers of the runs behind them, for the jar it is about."""
    heading = "When the top goes wrong"
    pages = [frame.page(heading)]
    column = frame.writer(pages, heading)
    advice, plan = handout.advice, handout.plans(units)[handout.own]
    times = {step.name: plan.told(step) for step in plan.steps}
    columns: tuple[float, ...] = (1.45, 2.5, 2.15, PAGE_WIDTH - 6.1)
    column.row(("Fault", "Why it comes", "This jar", "What helps"), columns, bold=range(4), line=1.0)
    for fault in faults_of(handout.run, advice, moved=times["still"], straight=times["wick"], units=units):
        row = (fault.seen, fault.cause, fault.here, fault.cure)
        column.row(row, columns, bold=(0,), after=0.05, line=0.3)
    column.gap(0.12)
    columns, numbers = (2.5, *(4 * (0.95,)), PAGE_WIDTH - 6.3), range(1, 5)
    column.row(
        ("Tried with this jar", *advice_heads(units), "What it does"), columns, bold=range(6), right=numbers, line=1.0
    )
    cells = advice_cells(advice.usual, units)
    column.row(("As it is", *cells, ""), columns, bold=range(6), right=numbers, line=0.5)
    for trial in advice.trials:
        cells = advice_cells(trial.answers, units)
        said = (capital(change_text(trial.change, trial.value, units)), *cells, effect_text(advice, trial))
        column.row(said, columns, right=numbers, line=0.3, after=0.04)
    column.gap(0.08)
    column.text(ADVICE_NOTE, size=SMALL)
    return pages


def _box_pages(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    return [box_page(frame, box, units=units) for box in handout.boxes]


def _log_page(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    return log_page(frame, units=units)


def _jar_page(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    """Draw the cut jar with its set times beside the pours that are good for it."""
    own = handout.own
    runs = [(handout.scenario.title, handout.results[own])]
    chart = partial(draw_pour_chart, handout.study.alone(handout.study.own))
    drawings = ((4.0, partial(draw_set_map, runs)), (6.0, chart))
    top = top_text(handout.results[own], units)
    caption = (
        "Left: the wax cut through its axis. A line joins places that set at the same time after the pour; the cross is"
        f" the last liquid. The top will be {top}. Right: {_recommended(handout, units)}"
    )
    return [_picture_page(frame, "The jar, and how hot to pour", drawings, caption, units=units, across=True)]


def _own_day_page(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    plan = handout.plans(units)[handout.own]
    notes = [
        *handout.breaches(units, own=True),
        *closed_notes([plan]),
        times_note(plan),
        "Look before you touch.",
        *([too_soon_text(plan)] if plan.too_soon else []),
    ]
    return day_page(frame, plan, handout.run, handout.scenario, notes=notes, units=units)


def _caution_page(handout: Handout, frame: Frame, units: System) -> list[Figure]:
    """Draw what can hurt, and what the figures rest on."""
    heading = "Cautions, and how far to trust these pages"
    pages = [frame.page(heading)]
    more = [pages[0]]
    half = 0.5 * (PAGE_WIDTH - _BETWEEN)
    left = frame.writer(pages, heading, width=half)
    left.text("What can hurt", size=LARGE, weight="bold")
    for caution in cautions(handout.runs, handout.scenarios, units=units):
        left.point(caution)
    right = frame.writer(more, heading, left=half + _BETWEEN, width=half)
    right.text("What the figures rest on", size=LARGE, weight="bold")
    for told in _rests(handout):
        right.text(told)
    return [*pages, *more[1:]]


def _rests(handout: Handout) -> list[str]:
    told = [
        "Everything here is computed, not measured: heat conduction with freezing in wax, glass, board and bench, with"
        " a melt that stirs itself. Check it with a thermometer on your own jars.",
        "Published laws of free convection scatter by some 10 to 20 % (from memory), and so does a cooling time in"
        " still air. Dish, hole and void are estimates.",
    ]
    if any(scenario.invented for scenario in handout.scenarios):
        told.append(INVENTED)
    told += [scenario.note for scenario in handout.scenarios[handout.own : handout.own + 1] if scenario.note]
    told += [note for note in (estimates_note(handout.scenarios),) if note]
    for run in handout.runs:
        told += [f"Warning, {run.title}: {warning}" for warning in run.result.warnings]
    return told


_Part = Callable[[Handout, Frame, System], list[Figure]]
_SHORT: tuple[_Part, ...] = (_jar_page, _own_day_page)
_WHOLE: tuple[_Part, ...] = (
    _cover_page,
    _answer_pages,
    _figure_pages,
    _box_pages,
    _plan_page,
    _weigh_pages,
    _fault_pages,
    _log_page,
    _caution_page,
)

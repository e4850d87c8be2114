"""Commands that run many simulations: sweeps over keys of a scenario, and the choice of the pour temperature."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from coolsim._version import __version__
from coolsim.cli.edge import FAILED
from coolsim.cli.naming import file_stems, titles
from coolsim.cli.options import (
    FIGURES_FOLDER,
    FiguresOption,
    ForceOption,
    Format,
    FormatOption,
    JsonOption,
    NoFiguresOption,
    QuietOption,
    UnitsOption,
)
from coolsim.cli.outputs import make_folder
from coolsim.cli.screen import Screen, example, say, say_json, warn
from coolsim.cli.targets import Target, claim, in_folder, to_file
from coolsim.cli.values import blaming, changed, check_number
from coolsim.errors import ScenarioError, UnitError

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.studies.pour.choose import PourStudy
    from coolsim.studies.pour.remedies import Remedy
    from coolsim.studies.sweep.journal import Journal
    from coolsim.studies.sweep.sweep import SweptRow
    from coolsim.units import Kind, System

LONGEST = 72 * 3600.0
"""Longest time that an option may ask for [s]: the longest run of a scenario."""
_MOST_PAIRS = 10_000
_MOST_MARGIN = 50.0  # K
JOURNAL = Path("coolsim-journal.jsonl")

WorkersOption = Annotated[
    int | None, typer.Option("--workers", metavar="N", help="Worker processes; left out, one for each processor.")
]
JournalOption = Annotated[
    Path | None,
    typer.Option(
        "--journal",
        metavar="FILE",
        help=f"Where finished runs are kept, for the same command to go on from after an interruption; left out,"
        f" {JOURNAL} in the current folder, deleted at the end.",
        show_default=False,
    ),
]
_TableOption = Annotated[Path | None, typer.Option("--csv", metavar="FILE.csv", help="Write one row for each run.")]


def add_to(app: typer.Typer) -> None:
    """Add the commands of this module."""
    app.command(
        short_help="Find how hot to pour, bare and boxed.",
        epilog=example(
            "coolsim pour jar.toml --room 18C",
            "coolsim pour jar.toml --room 15C:27C:3K --figures charts --format pdf",
            "coolsim pour jar.toml --room 60F:80F --pour 125F:160F:5F --jar 90F --within 12h --units us",
            'coolsim pour jar.toml --room 15C:27C:3K --cases 32 --share "80 %"',
        ),
    )(pour)
    app.command(
        short_help="Run a scenario over many values of its keys.",
        epilog=example(
            "coolsim sweep jar.toml --over room.temperature=15C:27C:2K --csv rooms.csv",
            "coolsim sweep bare.toml boxed.toml --over pour.temperature=55C:70C:5K --over vessel.wall=2mm,3mm,4mm",
        ),
    )(sweep)


def pour(
    file: Annotated[Path, typer.Argument(metavar="FILE.toml", help="A scenario.", show_default=False)],
    room: Annotated[
        str | None,
        typer.Option(
            metavar="RANGE", help='Room: "18C", a list, or first:last:step ("15C:27C:3K"); left out, the scenario\'s.'
        ),
    ] = None,
    pour: Annotated[
        str | None,
        typer.Option(
            metavar="RANGE",
            help="Pours to try, written alike; left out, some twenty from above freezing to the limits.",
        ),
    ] = None,
    jar: Annotated[
        str | None,
        typer.Option(metavar="TEMPERATURE", help="Jar when the wax is poured; left out, the scenario's or the room's."),
    ] = None,
    within: Annotated[
        str | None, typer.Option(metavar="DURATION", help='Time allowed until fully set; left out, "16 h".')
    ] = None,
    margin: Annotated[
        str | None, typer.Option(metavar="DIFFERENCE", help='Least distance of a pour from freezing; left out, "8 K".')
    ] = None,
    cases: Annotated[
        int | None,
        typer.Option(
            metavar="N",
            help="Judge each pour by how many of N cases it passes in, drawn as by `coolsim spread`. With 32 it"
            " takes a few times as long.",
        ),
    ] = None,
    share: Annotated[
        str | None,
        typer.Option(metavar="PERCENTAGE", help='In which share of the cases a pour must pass; left out, "80 %".'),
    ] = None,
    own_grid: Annotated[
        bool, typer.Option("--own-grid", help="Cut the runs as finely as the scenario asks: twice as slow.")
    ] = False,
    figures: FiguresOption = None,
    no_figures: NoFiguresOption = False,
    format: FormatOption = Format.PNG,
    csv: _TableOption = None,
    workers: WorkersOption = None,
    journal: JournalOption = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Find how hot to pour, bare and boxed, and say why other pours are rejected.

    A pour passes if the first skin at the glass melts again, the jar is safe from thermal shock, the limits stated
    for wax and fragrance are kept, and the wax sets in time. Of those with the least dish and cavity the middle one
    is recommended. Where none passes, changes of jar, room or box are tried and what they give is printed. With a
    range of rooms a chart is drawn to pin to the wall. With --cases a pour must keep the limits in most of the cases,
    because wax and air are loosely known; changes are not tried then.
    """
    from coolsim.scenario import load_scenario, one_jar
    from coolsim.scenario.ranges import swept_values
    from coolsim.studies.pour.choose import MARGIN, TIME_ALLOWED

    check_workers(workers)
    scenario = one_jar(load_scenario(file))
    with blaming():
        rooms = None if room is None else swept_values("room.temperature", room, called="--room")
        pours = None if pour is None else swept_values("pour.temperature", pour, count=20, called="--pour")
        if jar is not None and len(swept_values("vessel.temperature", jar, called="--jar")) != 1:
            raise typer.BadParameter("give one temperature.", param_hint="'--jar'")
    check_places(scenario, rooms, pours, ("--room", "--pour"))
    several = (rooms is None or len(rooms) < 2) or (pours is not None and len(pours) < 2)
    if figures is not None and several:
        raise typer.BadParameter(
            "the chart needs several rooms and pours; give a range, as in --room 15C:27C.", param_hint="'--figures'"
        )
    folder = None if no_figures or several else figures or FIGURES_FOLDER
    figure = in_folder("--figures", folder, f"{next(file_stems([scenario]))}-pour.{format}")
    claim([*to_file("--csv", csv, ".csv"), *figure, journal_target(journal)], inputs=[file], force=force)
    screen = Screen(quiet=quiet)
    options: dict[str, Any] = {
        "rooms": rooms,
        "pours": pours,
        "jar": jar,
        "time_allowed": TIME_ALLOWED if within is None else quantity_of(within, "duration", "--within", most=LONGEST),
        "margin": MARGIN
        if margin is None
        else quantity_of(margin, "temperature_difference", "--margin", most=_MOST_MARGIN),
        "own_grid": own_grid,
        "workers": workers,
    }
    chosen: System = units.value if units is not None else scenario.units
    wanted = _cases(cases, share)
    with keep_runs(journal, screen) as kept:
        study, remedies = _study(scenario, options, kept, screen, wanted)
        _report_pour(study, remedies, chosen, json=json)
        _write_pour(study, csv=csv, figure=figure[0].path if figure else None, units=chosen, screen=screen)
    chart = f"`coolsim pour {shlex.quote(str(file))} --room 15C:27C` draws the chart for other rooms"
    handout = f"`coolsim handout {shlex.quote(str(file))}` prints pages for a workshop"
    screen.hint(f"{chart}; {handout}." if folder is None else f"{handout}.")


def sweep(
    files: Annotated[list[Path] | None, typer.Argument(metavar="FILE.toml", hidden=True)] = None,
    over: Annotated[
        list[str] | None,
        typer.Option(
            "--over",
            metavar="KEY=VALUES",
            help="A key of the scenario and its values: a list with commas, first:last or first:last:step, with units"
            ' ("room.temperature=15C:27C:2K"); may be given several times, for every combination.',
        ),
    ] = None,
    csv: _TableOption = None,
    workers: WorkersOption = None,
    journal: JournalOption = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Run scenarios over many values of their keys, and tabulate the answers.

    FILE.toml is a scenario; any number are swept alike, and the built-in pair without one. A point that fails is
    reported and the others go on; the exit code is then 4. After Ctrl-C the same command goes on where it was.
    """
    from coolsim.cli.commands.runs import read_scenarios
    from coolsim.scenario import built_in_pair
    from coolsim.studies.sweep.sweep import sweep as run_sweep
    from coolsim.studies.sweep.sweep import sweep_points

    check_workers(workers)
    with blaming(rest="--over"):
        axes = _axes(over or [])
    scenarios = read_scenarios(files) if files else list(built_in_pair())
    claim([*to_file("--csv", csv, ".csv"), journal_target(journal)], inputs=files or [], force=force)
    with blaming(rest="--over"):
        points = sweep_points(scenarios, axes)
    screen = Screen(quiet=quiet)
    chosen: System = units.value if units is not None else scenarios[0].units
    with keep_runs(journal, screen) as kept:
        rows = run_sweep(points, workers=workers, journal=kept, on_row=watch(screen, "sweep"))
        screen.clear()
        _report_sweep(rows, titles(scenarios), chosen, json=json)
        if csv is not None:
            from coolsim.report.text.sweep import sweep_csv
            from coolsim.report.whole_file import write_text

            screen.wrote(write_text(csv, sweep_csv(rows, titles(scenarios), units=chosen)))
    if any(row.fault is not None for row in rows):
        raise typer.Exit(FAILED)
    if csv is None:
        screen.hint("`--csv TABLE.csv` with the same command writes all answers to a file.")


def _cases(cases: int | None, share: str | None) -> tuple[int, float] | None:
    """Check number of cases and the share in which a pour must pass; None if none are to be drawn."""
    from coolsim.studies.pour.cases import SHARE
    from coolsim.studies.spread.inputs import FEWEST_RUNS, MOST_RUNS

    if cases is None:
        if share is not None:
            raise typer.BadParameter("it goes with --cases; give both, or leave it out.", param_hint="'--share'")
        return None
    check_number(cases, FEWEST_RUNS, MOST_RUNS, "--cases")
    least = SHARE if share is None else quantity_of(share, "fraction", "--share")
    if least > 1.0:
        raise typer.BadParameter(f"found '{share}'; give a share of at most 100 %.", param_hint="'--share'")
    return cases, least


def _study(
    scenario: Scenario, options: dict[str, Any], kept: Journal, screen: Screen, wanted: tuple[int, float] | None
) -> tuple[PourStudy, dict[Any, tuple[Remedy, ...]]]:
    from coolsim.studies.pour.choose import choose_pour
    from coolsim.studies.pour.remedies import try_remedies

    study = choose_pour(scenario, **options, journal=kept, on_row=watch(screen, "pours"))
    remedies: dict[Any, tuple[Remedy, ...]] = {}
    if wanted is not None:
        from coolsim.studies.pour.cases import pours_in_most_cases

        cases, share = wanted
        found = pours_in_most_cases(
            study, cases=cases, share=share, workers=options["workers"], on_run=screen.bar("cases")
        )
        screen.clear()
        return found, remedies
    for choice in study.choices:
        if choice.recommended is None:
            remedies[choice.place, choice.room] = try_remedies(
                study, choice, workers=options["workers"], journal=kept, on_row=watch(screen, "remedies")
            )
    screen.clear()
    return study, remedies


def _report_pour(study: PourStudy, remedies: dict[Any, tuple[Remedy, ...]], units: System, *, json: bool) -> None:
    from coolsim.report.estimates import estimates_note
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.pour import own_scenario, pour_text
    from coolsim.report.text.pour_data import pour_data
    from coolsim.report.wording import CAUTION

    scenario = own_scenario(study)
    if json:
        say_json(
            {
                "program": "coolsim",
                "version": __version__,
                "file": scenario.where,
                "invented": scenario.invented,
                **pour_data(study, remedies=remedies),
                "caution": CAUTION,
            }
        )
        return
    invented = "The workshop and its figures are invented." if scenario.invented else ""
    parts = [pour_text(study, units=units, remedies=remedies)]
    parts += [paragraph(note) for note in (invented, estimates_note([study.bare, study.boxed]), CAUTION) if note]
    say("\n\n".join(parts))


def _write_pour(study: PourStudy, *, csv: Path | None, figure: Path | None, units: System, screen: Screen) -> None:
    from coolsim.report.text.pour_data import pour_csv
    from coolsim.report.whole_file import write_text

    if csv is not None:
        screen.wrote(write_text(csv, pour_csv(study, units=units)))
    if figure is not None:
        from coolsim.report.figures.pour_chart import draw_pour_chart
        from coolsim.report.figures.saving import save_figure

        make_folder(figure.parent)
        screen.wrote(save_figure(draw_pour_chart(study, units=units), figure))


def _report_sweep(rows: tuple[SweptRow, ...], names: list[str], units: System, *, json: bool) -> None:
    from coolsim.report.text.sweep import sweep_data, sweep_text

    if json:
        say_json({"program": "coolsim", "version": __version__, "rows": sweep_data(rows, names)})
    else:
        say(sweep_text(rows, names, units=units))


def _axes(over: list[str]) -> dict[str, tuple[Any, ...]]:
    from coolsim.scenario.ranges import swept_values

    if not over:
        raise typer.BadParameter(
            "give at least one key with its values, as in --over room.temperature=15C:27C:2K.", param_hint="'--over'"
        )
    axes: dict[str, tuple[Any, ...]] = {}
    faults: list[str] = []
    for text in over:
        key, equals, values = text.partition("=")
        key = key.strip()
        if not equals or key in axes:
            found = f"found '{key}' twice" if key in axes else f"found '{text}'"
            raise typer.BadParameter(
                f"{found}; give each key once, with its values behind an equals sign.", param_hint="'--over'"
            )
        try:
            axes[key] = swept_values(key, values)
        except ScenarioError as error:
            faults += error.faults
    if faults:
        raise ScenarioError(faults)
    return axes


@contextmanager
def keep_runs(path: Path | None, screen: Screen) -> Iterator[Journal]:
    """Keep finished runs while a command lasts; the journal goes when all is written, unless it was asked for."""
    from coolsim.studies.sweep.journal import Journal

    try:
        with Journal(path or JOURNAL) as journal:
            if journal.passed_over:
                warn(_passed_over(journal))
            try:
                yield journal
            finally:
                screen.clear()
            if path is None:
                journal.remove()
    except KeyboardInterrupt as error:
        done = len(journal.done.keys() & journal.asked)
        runs = "run is" if done == 1 else "runs are"
        error.add_note(f"{done} finished {runs} kept in {journal.path}; the same command goes on from there")
        raise


def _passed_over(journal: Journal) -> str:
    first, count = journal.passed_over[0], len(journal.passed_over)
    which = f"line {first} holds" if count == 1 else f"{count} lines, the first of them line {first}, hold"
    these = "It is" if count == 1 else "They are"
    return (
        f"{journal.path}: {which} no answers as coolsim {__version__} gives them. {these} passed over, and those runs"
        " are made again."
    )


def watch(screen: Screen, label: str) -> Callable[[SweptRow, int, int], None] | None:
    """Return what a sweep calls after each run, to move the bar on a terminal."""
    show = screen.bar(label)
    return None if show is None else lambda _, done, total: show(done, total)


def check_workers(workers: int | None) -> None:
    """Refuse a number of workers that cannot be."""
    from coolsim.studies.sweep.workers import MOST_WORKERS

    check_number(workers, 1, MOST_WORKERS, "--workers")


def check_places(
    scenario: Scenario, rooms: Sequence[str] | None, pours: Sequence[str] | None, options: tuple[str, str]
) -> None:
    """Refuse rooms and pours that cannot be, and more pairs of them than anybody waits for."""
    from coolsim.scenario import with_overrides

    # A pour above the limits of the data sheets is tried, to say so.
    free = with_overrides(scenario, {"wax.highest_temperature": None, "wax.fragrance_limit": None})
    for room in rooms or ():
        changed(free, {"room.temperature": (options[0], room)})
    for pour in pours or ():
        changed(free, {"pour.temperature": (options[1], pour)})
    pairs = len(rooms or [""]) * len(pours or [""])
    if pairs > _MOST_PAIRS:
        raise typer.BadParameter(
            f"found {pairs} pairs of room and pour; give {_MOST_PAIRS} at most, by larger steps.",
            param_hint=f"'{options[0]}'",
        )


def journal_target(path: Path | None) -> Target:
    """Give the target of the journal of a command."""
    return Target(option="--journal", path=path or JOURNAL, appended=True)


def quantity_of(text: str, kind: Kind, option: str, *, zero: bool = False, most: float = float("inf")) -> float:
    """Read what an option gives; unless above zero (or zero, where allowed) and up to `most`, a fault of usage."""
    from coolsim.units import format_quantity, parse_quantity

    try:
        value = parse_quantity(text, kind)
    except UnitError as error:
        raise typer.BadParameter(f"{error}.", param_hint=f"'{option}'") from None
    if value < 0.0 or (value == 0.0 and not zero):
        wanted = "zero or more" if zero else "a value above zero"
        raise typer.BadParameter(f"found {text!r}; give {wanted}.", param_hint=f"'{option}'")
    if not value <= most:
        limit = f"{most / 3600.0:g} h" if kind == "duration" else format_quantity(most, kind)
        raise typer.BadParameter(f"found {text!r}; give {limit} at most.", param_hint=f"'{option}'")
    return value

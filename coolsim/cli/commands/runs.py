"""Commands that run scenarios, or draw saved runs again."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from coolsim._version import __version__
from coolsim.cli.naming import titles
from coolsim.cli.options import (
    CsvOption,
    ErrorOption,
    FiguresOption,
    ForceOption,
    Format,
    FormatOption,
    JsonOption,
    MeltRangeOption,
    NoFiguresOption,
    OnlyOption,
    QuietOption,
    SaveOption,
    Units,
    UnitsOption,
)
from coolsim.cli.outputs import Outputs, check_outputs, outputs_of, write_outputs
from coolsim.cli.screen import Screen, example, say, say_json
from coolsim.errors import ScenarioError

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.studies.checks.grid_error import GridError
    from coolsim.studies.checks.melt_range import MeltRange
    from coolsim.units import System


def add_to(app: typer.Typer) -> None:
    """Add the commands of this module."""
    app.command(
        short_help="Run scenarios side by side.",
        epilog=example(
            "coolsim compare",
            "coolsim compare bare.toml boxed.toml --units us",
            "coolsim compare *.toml --only set-times --format pdf",
        ),
    )(compare)
    app.command(
        short_help="Run one scenario.",
        epilog=example("coolsim run jar.toml", "coolsim run jar.toml --no-figures --csv jar.csv --save jar.npz"),
    )(run)
    app.command(
        short_help="Print and draw a saved result again.",
        epilog=example("coolsim redraw jar.npz", "coolsim redraw jar.npz --figures slides --format svg --units us"),
    )(redraw)


def compare(
    files: Annotated[
        list[Path] | None,
        typer.Argument(metavar="FILE.toml", hidden=True),
    ] = None,
    figures: FiguresOption = None,
    no_figures: NoFiguresOption = False,
    only: OnlyOption = None,
    format: FormatOption = Format.PNG,
    units: UnitsOption = None,
    csv: CsvOption = None,
    save: SaveOption = None,
    melt_range: MeltRangeOption = False,
    error: ErrorOption = False,
    json: JsonOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Run scenarios side by side: times, fronts and temperature maps.

    FILE.toml is a scenario; any number stand side by side. Without a file, coolsim runs the pair that comes with
    it: a jar on a wooden bench, and the same jar in a closed cardboard box. The temperature maps show the times
    that the first scenario asks for; the cooling curves are those of its points where all scenarios state the same.
    """
    outputs = outputs_of(figures=figures, no_figures=no_figures, only=only, format=format, csv=csv, save=save)
    scenarios = read_scenarios(files) if files else _pair()
    hint = "`coolsim new jar.toml` writes a scenario to fill in; `coolsim run jar.toml` runs it."
    _run_all(
        scenarios,
        outputs,
        inputs=files or [],
        force=force,
        melt_range=melt_range,
        error=error,
        units=units,
        json=json,
        screen=Screen(quiet=quiet),
        hint=hint,
    )


def run(
    file: Annotated[Path, typer.Argument(metavar="FILE.toml", help="A scenario.", show_default=False)],
    figures: FiguresOption = None,
    no_figures: NoFiguresOption = False,
    only: OnlyOption = None,
    format: FormatOption = Format.PNG,
    units: UnitsOption = None,
    csv: CsvOption = None,
    save: SaveOption = None,
    melt_range: MeltRangeOption = False,
    error: ErrorOption = False,
    json: JsonOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Run one scenario: times, fronts and temperature maps."""
    outputs = outputs_of(figures=figures, no_figures=no_figures, only=only, format=format, csv=csv, save=save)
    hint = f"`coolsim compare {shlex.quote(str(file))} OTHER.toml` sets it beside another scenario."
    _run_all(
        read_scenarios([file]),
        outputs,
        inputs=[file],
        force=force,
        melt_range=melt_range,
        error=error,
        units=units,
        json=json,
        screen=Screen(quiet=quiet),
        hint=hint,
    )


def redraw(
    file: Annotated[Path, typer.Argument(metavar="FILE.npz", help="A saved result.", show_default=False)],
    figures: FiguresOption = None,
    no_figures: NoFiguresOption = False,
    only: OnlyOption = None,
    format: FormatOption = Format.PNG,
    units: UnitsOption = None,
    csv: CsvOption = None,
    json: JsonOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Print tables and draw figures of a saved result, without running again."""
    from coolsim.report.saved.store import load_results

    outputs = outputs_of(figures=figures, no_figures=no_figures, only=only, format=format, csv=csv, save=None)
    scenarios, results = zip(*load_results(file), strict=True)
    check_outputs(outputs, scenarios, inputs=[file], force=force)
    screen = Screen(quiet=quiet)
    _report(scenarios, results, outputs, units=units, json=json, screen=screen)
    screen.hint(f"`coolsim animate {shlex.quote(str(file))}` shows it cool.")


def read_scenarios(files: Sequence[Path]) -> list[Scenario]:
    """Read scenarios of one jar each; the faults of all files are reported together."""
    from coolsim.scenario import load_scenario, one_jar

    scenarios: list[Scenario] = []
    faults: list[str] = []
    for file in files:
        try:
            scenarios.append(one_jar(load_scenario(file)))
        except ScenarioError as error:
            faults += error.faults
    if faults:
        raise ScenarioError(faults)
    return scenarios


def _pair() -> list[Scenario]:
    from coolsim.scenario import built_in_pair

    return list(built_in_pair())


def _run_all(
    scenarios: Sequence[Scenario],
    outputs: Outputs,
    *,
    inputs: Sequence[Path],
    force: bool,
    melt_range: bool,
    error: bool,
    units: Units | None,
    json: bool,
    screen: Screen,
    hint: str,
) -> None:
    from coolsim.solve.simulate import simulate
    from coolsim.studies.checks.grid_error import grid_error
    from coolsim.studies.checks.melt_range import melt_range as range_of

    check_outputs(outputs, scenarios, inputs=inputs, force=force)
    if melt_range and all(scenario.jar.melt.mixing == "none" for scenario in scenarios):
        raise ScenarioError(
            f"{scenarios[0].where}: melt.mixing: found 'none', so nothing circulates and melt.flows_above has no range."
            " Leave --melt-range out, or give 'stratified'."
        )
    results, ranges, errors = [], [], []
    try:
        for number, scenario in enumerate(scenarios, start=1):
            label = f"{scenario.title} ({number} of {len(scenarios)})" if len(scenarios) > 1 else scenario.title
            results.append(simulate(scenario.jar, on_step=screen.progress(label)))
            if melt_range:
                watch = screen.progress(f"{label}, other melts")
                ranges.append(range_of(scenario, known=results[-1], on_step=watch))
            if error or json:
                watch = screen.progress(f"{label}, coarser grid")
                errors.append(grid_error(scenario.jar, known=results[-1], on_step=watch))
    finally:
        screen.clear()
    _report(
        scenarios,
        results,
        outputs,
        ranges=ranges or None,
        errors=errors or None,
        units=units,
        json=json,
        screen=screen,
    )
    screen.hint(hint)


def _report(
    scenarios: Sequence[Scenario],
    results: Sequence[Result],
    outputs: Outputs,
    *,
    ranges: Sequence[MeltRange | None] | None = None,
    errors: Sequence[GridError | None] | None = None,
    units: Units | None,
    json: bool,
    screen: Screen,
) -> None:
    chosen: System = units.value if units is not None else scenarios[0].units
    if json:
        say_json(_document(scenarios, results, ranges, errors))
    else:
        say(_text(scenarios, results, ranges, errors, chosen))
    write_outputs(outputs, scenarios, results, units=chosen, screen=screen)


def _text(
    scenarios: Sequence[Scenario],
    results: Sequence[Result],
    ranges: Sequence[MeltRange | None] | None,
    errors: Sequence[GridError | None] | None,
    units: System,
) -> str:
    from coolsim.report.estimates import estimates_note
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.runs import answers_table
    from coolsim.report.wording import CAUTION

    runs = list(zip(titles(scenarios), results, strict=True))
    invented = "The workshop and its figures are invented." if any(one.invented for one in scenarios) else ""
    parts = [answers_table(runs, units=units, jars=[one.jar for one in scenarios], melt_ranges=ranges, errors=errors)]
    parts += [paragraph(note) for note in (invented, estimates_note(scenarios), CAUTION) if note]
    return "\n\n".join(parts)


def _document(
    scenarios: Sequence[Scenario],
    results: Sequence[Result],
    ranges: Sequence[MeltRange | None] | None,
    errors: Sequence[GridError | None] | None,
) -> dict[str, Any]:
    from coolsim.report.estimates import estimates
    from coolsim.report.text.runs import answers_data
    from coolsim.report.wording import CAUTION

    runs = list(zip(titles(scenarios), results, strict=True))
    answers = answers_data(runs, jars=[one.jar for one in scenarios], melt_ranges=ranges, errors=errors)
    return {
        "program": "coolsim",
        "version": __version__,
        "runs": [
            {
                "file": scenario.where,
                "invented": scenario.invented,
                **found,
                "estimates": {answer: list(keys) for answer, keys in estimates(scenario)},
            }
            for scenario, found in zip(scenarios, answers, strict=True)
        ],
        "caution": CAUTION,
    }

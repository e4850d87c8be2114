"""The command that tells how far the answers spread over what is loosely known."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim._version import __version__
from coolsim.cli.commands.studies import WorkersOption, check_workers
from coolsim.cli.edge import FAILED
from coolsim.cli.naming import file_stems
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
from coolsim.cli.screen import Screen, example, say, say_json
from coolsim.cli.targets import claim, in_folder, to_file
from coolsim.cli.values import blaming, check_number

if TYPE_CHECKING:
    from coolsim.studies.spread.found import Spread
    from coolsim.units import System

_NAME = "spread"
_MOST_SEED = 999_999


def add_to(app: typer.Typer) -> None:
    """Add the command of this module."""
    app.command(
        short_help="Tell how far the answers may be off.",
        epilog=example(
            "coolsim spread jar.toml",
            "coolsim spread jar.toml --vary usual --vary room.temperature=17C:25C --csv cases.csv",
            'coolsim spread jar.toml --vary "wax.latent_heat=120 kJ/kg:140 kJ/kg" --vary films.side_factor --runs 64',
        ),
    )(spread)


def spread(
    file: Annotated[Path, typer.Argument(metavar="FILE.toml", help="A scenario.", show_default=False)],
    vary: Annotated[
        list[str] | None,
        typer.Option(
            metavar="KEY[=LOW:HIGH]",
            help="A key to vary, over its built-in range or another one; may be given several times. 'usual' stands for"
            " the keys that are varied if this is left out: properties, films and contacts that the scenario does not"
            " state.",
        ),
    ] = None,
    runs: Annotated[
        int | None, typer.Option(metavar="N", help="How many runs; left out, 256. Powers of two are best.")
    ] = None,
    seed: Annotated[
        int, typer.Option(metavar="N", help=f"Another number, up to {_MOST_SEED}, gives another sample.")
    ] = 0,
    own_grid: Annotated[
        bool, typer.Option("--own-grid", help="Cut the runs as finely as the scenario asks: twice as slow.")
    ] = False,
    figures: FiguresOption = None,
    no_figures: NoFiguresOption = False,
    format: FormatOption = Format.PNG,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE.csv", help="Write one row for each run: inputs and answers.")
    ] = None,
    workers: WorkersOption = None,
    units: UnitsOption = None,
    json: JsonOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Tell how far the answers may be off, because wax, films and contacts are loosely known.

    The scenario is run many times with values drawn from their plausible ranges. Each answer comes as median and band:
    eight cases in ten lie in it. Answers that do not always occur come with their share of the cases. What the answers
    hang on is ranked: the first key on a line is the first to measure.
    """
    from coolsim.scenario import load_scenario, one_jar
    from coolsim.studies.spread.inputs import FEWEST_RUNS, MOST_RUNS
    from coolsim.studies.spread.spread import RUNS
    from coolsim.studies.spread.spread import spread as run_spread

    check_workers(workers)
    check_number(runs, FEWEST_RUNS, MOST_RUNS, "--runs")
    check_number(seed, 0, _MOST_SEED, "--seed")
    if no_figures and figures is not None:
        raise typer.BadParameter("it contradicts --figures; leave one out.", param_hint="'--no-figures'")
    folder = None if no_figures else figures or FIGURES_FOLDER
    scenario = one_jar(load_scenario(file))
    figure = in_folder("--figures", folder, f"{next(file_stems([scenario]))}-{_NAME}.{format}")
    claim([*to_file("--csv", csv, ".csv"), *figure], inputs=[file], force=force)
    screen = Screen(quiet=quiet)
    with blaming(where=scenario.where, rest="--vary" if vary else None):
        keys, ranges = _keys(vary or [])
        found = run_spread(
            scenario,
            keys=keys or None,
            ranges=ranges,
            runs=runs or RUNS,
            seed=seed,
            own_grid=own_grid,
            workers=workers,
            on_run=screen.bar("spread"),
        )
    screen.clear()
    chosen: System = units.value if units is not None else scenario.units
    _report(found, chosen, json=json)
    if csv is not None:
        from coolsim.report.text.sweep import sweep_csv
        from coolsim.report.whole_file import write_text

        screen.wrote(write_text(csv, sweep_csv(found.rows, [scenario.title], units=chosen)))
    if folder is not None:
        from coolsim.report.figures.saving import save_figure
        from coolsim.report.figures.spread import draw_spread

        make_folder(folder)
        screen.wrote(save_figure(draw_spread(found, units=chosen), figure[0].path))
    if any(row.fault is not None for row in found.rows):
        raise typer.Exit(FAILED)


def _keys(texts: list[str]) -> tuple[list[str], dict[str, tuple[float, float]]]:
    """Keys to vary, in the order given, and the ranges of those that have one."""
    from coolsim.scenario.ranges import stated_range

    keys: list[str] = []
    ranges: dict[str, tuple[float, float]] = {}
    for text in texts:
        key, equals, ends = (part.strip() for part in text.partition("="))
        if key in keys:
            raise typer.BadParameter(f"found '{key}' twice; give each key once.", param_hint="'--vary'")
        keys.append(key)
        if equals:
            ranges[key] = stated_range(key, ends, called=f"--vary {key}")
    return keys, ranges


def _report(found: Spread, units: System, *, json: bool) -> None:
    from coolsim.report.text.spread import spread_data, spread_text
    from coolsim.report.wording import CAUTION

    if json:
        document = {"program": "coolsim", "version": __version__, "file": found.scenario.where, **spread_data(found)}
        say_json({**document, "invented": found.scenario.invented, "caution": CAUTION})
        return
    say(spread_text(found, units=units))

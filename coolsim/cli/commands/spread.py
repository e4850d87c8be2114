"""The command that tells how far the answers spread over what is loosely known."""

from __future__ import annotations

from typing import Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.edge import FAILED
from coolsim.cli.given import read_scenario
from coolsim.cli.many import loading
from coolsim.cli.options import FIGURE, ScenarioFile, takes
from coolsim.cli.targets import to_file
from coolsim.cli.values import blaming, check_number

_MOST_SEED = 999_999
_TELLS, _DRAWS = "coolsim.report.text.spread", "coolsim.report.figures.spread"


@command(
    "Tell how far the answers may be off.",
    "coolsim spread jar.toml",
    "coolsim spread jar.toml --vary usual --vary room.temperature=17C:25C --csv cases.csv",
    'coolsim spread jar.toml --vary "wax.latent_heat=120 kJ/kg:140 kJ/kg" --vary films.side_factor --runs 64',
    asks=(*FIGURE, "own_grid", "table", "workers", "units", "estimates", "json", "force"),
)
def spread(
    asked: Asked,
    file: ScenarioFile,
    vary: Annotated[
        list[str] | None,
        takes(
            "KEY[=LOW:HIGH]",
            "A key to vary, over its built-in range or another one; may be given several times. 'usual' stands for"
            " the keys that are varied if this is left out: properties, films and contacts that the scenario does not"
            " state.",
        ),
    ] = None,
    runs: Annotated[int | None, takes("N", "How many runs; left out, 72. More rank the keys more finely.")] = None,
    seed: Annotated[
        int, typer.Option(metavar="N", help=f"Another number, up to {_MOST_SEED}, gives another sample.")
    ] = 0,
) -> None:
    """Tell how far the answers may be off, because wax, films and contacts are loosely known.

    The scenario is run many times with values drawn from their plausible ranges. Each answer comes as median and band:
    eight cases in ten lie in it. Answers that do not always occur come with their share of the cases. What the answers
    depend on is ranked: the first key on a line is the first to measure.
    """
    asked.begin_workers()
    from coolsim.studies.spread.inputs import FEWEST_RUNS, MOST_RUNS
    from coolsim.studies.spread.spread import RUNS, spread_study
    from coolsim.studies.sweep.sweep import run_studies

    check_number(runs, FEWEST_RUNS, MOST_RUNS, "--runs")
    check_number(seed, 0, _MOST_SEED, "--seed")
    scenario = read_scenario(file)
    figure = asked.figure([scenario], "spread")
    asked.claim(*to_file("--csv", asked.table, ".csv"), *figure, inputs=[file])
    with blaming(where=scenario.where, rest="--vary" if vary else None):
        keys, ranges = _keys(vary or [])
        with asked.screen.bar("spread") as on_run:
            study = spread_study(
                scenario, keys=keys or None, ranges=ranges, runs=runs or RUNS, seed=seed, own_grid=asked.own_grid
            )
            (found,) = run_studies(
                [study], workers=asked.workers, on_run=on_run, beside=loading(_TELLS, *([_DRAWS] if figure else []))
            )
    from coolsim.report.text.page import parted
    from coolsim.report.text.spread import spread_blocks, spread_data

    units = asked.system(scenario)
    answers, rests = parted(spread_blocks(found, units=units))
    asked.tell(scenario, lambda: [answers], lambda: spread_data(found), rests=lambda: [rests])
    if asked.table is not None:
        from coolsim.report.text.sweep import sweep_csv

        asked.write(asked.table, sweep_csv(found.rows, [scenario.title], units=units))
    if figure:
        from coolsim.report.figures.spread import draw_spread

        asked.draw(figure, draw_spread(found, units=units))
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

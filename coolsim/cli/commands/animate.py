"""The command that animates the section while it cools."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim.cli.commands.runs import read_scenarios
from coolsim.cli.commands.studies import LONGEST, quantity_of
from coolsim.cli.naming import file_stems, titles
from coolsim.cli.options import ForceOption, QuietOption, UnitsOption
from coolsim.cli.screen import Screen, example
from coolsim.cli.targets import claim, to_file
from coolsim.cli.values import check_number

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.units import System

_SAVED = ".npz"
# As in report/figures/animation.py, which imports matplotlib: too heavy for a help text. A test holds them together.
_FRAMES, _SECONDS, _MOST_FRAMES, _MOST_RUNS, _SHORTEST = 60, 12.0, 300, 4, 0.02
_MOST_SECONDS = 600.0


def add_to(app: typer.Typer) -> None:
    """Add the command of this module."""
    app.command(
        short_help="Write an animation of the section as a GIF.",
        epilog=example(
            "coolsim animate",
            "coolsim animate bare.toml boxed.toml --until 4h -o setting.gif",
            "coolsim animate jar.npz --frames 30 --seconds 6 --units us",
        ),
    )(animate)


def animate(
    files: Annotated[list[Path] | None, typer.Argument(metavar="FILE.toml", hidden=True)] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE.gif",
            help="The file to write; left out, NAME-cooling.gif in the current folder, after the first file.",
            show_default=False,
        ),
    ] = None,
    frames: Annotated[
        int, typer.Option(metavar="N", help=f"How many pictures; 2 to {_MOST_FRAMES}, evenly over the time.")
    ] = _FRAMES,
    seconds: Annotated[
        float, typer.Option(metavar="S", help=f"How long it plays; at most {_MOST_SECONDS:g}.")
    ] = _SECONDS,
    until: Annotated[
        str | None,
        typer.Option(metavar="DURATION", help='Time since the pour of the last picture, "4h"; left out, all of it.'),
    ] = None,
    units: UnitsOption = None,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write an animated GIF of the section while it cools, side by side under one clock.

    FILE.toml is a scenario, or a result that was saved with --save; up to four stand side by side. Without a file,
    coolsim takes the pair that comes with it. Colours are temperatures on one scale that stays, lines are the fronts.
    """
    _check(files or [], frames, seconds)
    end = None if until is None else quantity_of(until, "duration", "--until", most=LONGEST)
    screen = Screen(quiet=quiet)
    scenarios, known = _given(files or [])
    if len(scenarios) > _MOST_RUNS:
        raise typer.BadParameter(f"found {len(scenarios)} runs; give {_MOST_RUNS} at most.", param_hint="'FILE.toml'")
    path = output or Path(f"{next(file_stems(scenarios)) if files else 'pair'}-cooling.gif")
    claim(to_file("--output", path, ".gif"), inputs=files or [], force=force)
    results = _run(scenarios, known, screen)
    from coolsim.report.figures.animation import save_animation

    chosen: System = units.value if units is not None else scenarios[0].units
    runs = list(zip(titles(scenarios), results, strict=True))
    try:
        save_animation(
            path, runs, frames=frames, seconds=seconds, until=end, units=chosen, on_frame=screen.bar("pictures")
        )
    finally:
        screen.clear()
    screen.wrote(path)


def _check(files: Sequence[Path], frames: int, seconds: float) -> None:
    check_number(frames, 2, _MOST_FRAMES, "--frames")
    if not seconds >= frames * _SHORTEST:
        raise typer.BadParameter(
            f"found {seconds:g}; {frames} pictures need {frames * _SHORTEST:g} s at least, or programs slow them down.",
            param_hint="'--seconds'",
        )
    check_number(seconds, frames * _SHORTEST, _MOST_SECONDS, "--seconds")
    if len(files) > _MOST_RUNS:
        raise typer.BadParameter(f"found {len(files)} files; give {_MOST_RUNS} at most.", param_hint="'FILE.toml'")


def _given(files: Sequence[Path]) -> tuple[list[Scenario], list[Result | None]]:
    """Read scenarios and saved results in the order in which they were given; a scenario has no result yet."""
    if not files:
        from coolsim.scenario import built_in_pair

        pair = list(built_in_pair())
        return pair, [None] * len(pair)
    saved = [file for file in files if file.suffix.lower() == _SAVED]
    # All faults of scenarios are reported together.
    read = iter(read_scenarios([file for file in files if file not in saved]))
    scenarios: list[Scenario] = []
    results: list[Result | None] = []
    for file in files:
        if file not in saved:
            scenarios.append(next(read))
            results.append(None)
            continue
        from coolsim.report.saved.store import load_results

        for scenario, result in load_results(file):
            scenarios.append(scenario)
            results.append(result)
    return scenarios, results


def _run(scenarios: Sequence[Scenario], known: Sequence[Result | None], screen: Screen) -> list[Result]:
    from coolsim.solve.simulate import simulate

    labels = titles(scenarios)
    try:
        return [
            simulate(scenario.jar, on_step=screen.progress(label)) if result is None else result
            for scenario, label, result in zip(scenarios, labels, known, strict=True)
        ]
    finally:
        screen.clear()

"""The command that animates the section while it cools."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_runs, run_each
from coolsim.cli.naming import columns_of, file_stems, kinds_with_jars
from coolsim.cli.options import FilesOrPair, output, takes
from coolsim.cli.targets import to_file
from coolsim.cli.values import LONGEST, check_number, quantity_of

# As in report/figures/animation.py, which imports matplotlib: too heavy for a help text. A test holds them together.
_FRAMES, _SECONDS, _MOST_FRAMES, _MOST_RUNS, _SHORTEST = 60, 12.0, 300, 4, 0.02
_MOST_SECONDS = 600.0


@command(
    "Write an animation of the section as a GIF.",
    "coolsim animate",
    "coolsim animate bare.toml boxed.toml --until 4h -o setting.gif",
    "coolsim animate jar.npz --frames 30 --seconds 6 --units us",
    asks=("units", "force"),
)
def animate(
    asked: Asked,
    files: FilesOrPair = None,
    output: Annotated[Path | None, output("FILE.gif", "NAME-cooling.gif")] = None,
    frames: Annotated[
        int, typer.Option(metavar="N", help=f"How many pictures; 2 to {_MOST_FRAMES}, dense where much happens.")
    ] = _FRAMES,
    seconds: Annotated[
        float, typer.Option(metavar="S", help=f"How long it plays; at most {_MOST_SECONDS:g}.")
    ] = _SECONDS,
    until: Annotated[
        str | None, takes("DURATION", 'Time since the pour of the last picture, "4h"; left out, all of it.')
    ] = None,
) -> None:
    """Write an animated GIF of the section while it cools, side by side under one clock.

    FILE.toml is a scenario, or a result that was saved with --save; up to four stand side by side. Of a box of jars,
    those that are set first and last do. Without a file, coolsim takes the pair that comes with it. Left of the axis
    the jar is shown as it looks, right of it colours are temperatures on one scale that stays; lines are the fronts.
    """
    _check(files or [], frames, seconds)
    end = None if until is None else quantity_of(until, "duration", "--until", most=LONGEST)
    given = read_runs(files)
    scenarios = [scenario for scenario, _ in given]
    # Of a box those that are set first and last.
    shown = sum(min(len(kinds_with_jars(scenario)) or 1, 2) for scenario in scenarios)
    if shown > _MOST_RUNS:
        raise typer.BadParameter(f"found {shown} runs; give {_MOST_RUNS} at most.", param_hint="'FILE.toml'")
    path = output or Path(f"{next(file_stems(scenarios)) if files else 'pair'}-cooling.gif")
    asked.claim(*to_file("--output", path, ".gif"), inputs=files or [])
    columns = columns_of(scenarios, run_each(given, asked.screen))
    alike = {one.scenario.where for one in columns if one.is_set is not None}
    runs = [(one.title, one.result) for one in columns if one.is_set or one.scenario.where not in alike]
    from coolsim.report.figures.animation import save_animation

    with asked.screen.bar("pictures") as on_frame:
        save_animation(
            path, runs, frames=frames, seconds=seconds, until=end, units=asked.system(scenarios[0]), on_frame=on_frame
        )
    asked.screen.wrote(path)


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

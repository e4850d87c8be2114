"""The film: jars while they cool, as a GIF or an MP4."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import typer

from coolsim.cli.command import Asked
from coolsim.cli.given import read_runs, run_each
from coolsim.cli.naming import columns_of, file_stems, kinds_with_jars
from coolsim.cli.papers.piece import Piece
from coolsim.cli.targets import to_file
from coolsim.cli.values import LONGEST, check_number, quantity_of

# As in report/figures/animation.py, which imports matplotlib: too heavy for a help text. A test holds them together.
FRAMES, SECONDS, MOST_FRAMES, MOST_RUNS, SHORTEST = 96, 12.0, 300, 4, 0.02
MOST_SECONDS = 600.0


def _film(
    asked: Asked,
    files: Sequence[Path],
    output: Path | None,
    *,
    frames: int = FRAMES,
    seconds: float = SECONDS,
    until: str | None = None,
) -> None:
    _check(files, frames, seconds)
    end = None if until is None else quantity_of(until, "duration", "--until", most=LONGEST)
    given = read_runs(files)
    scenarios = [scenario for scenario, _ in given]
    # Of a box those that are set first and last.
    shown = sum(min(len(kinds_with_jars(scenario)) or 1, 2) for scenario in scenarios)
    if shown > MOST_RUNS:
        raise typer.BadParameter(f"found {shown} runs; give {MOST_RUNS} at most.", param_hint="'FILE'")
    path = output or Path(f"{next(file_stems(scenarios)) if files else 'pair'}-film.gif")
    asked.claim(*to_file("--output", path, ".gif", ".mp4"), inputs=files)
    if path.suffix.lower() == ".mp4":
        from coolsim.report.figures.mp4 import find_encoder

        find_encoder(path)
    columns = columns_of(scenarios, run_each(given, asked.screen))
    alike = {one.scenario.where for one in columns if one.is_set is not None}
    shortly = len(scenarios) == 1
    runs = [
        (f"{one.kind.called}, set {one.is_set}" if shortly and one.kind and one.is_set else one.title, one.result)
        for one in columns
        if one.is_set or one.scenario.where not in alike
    ]
    from coolsim.report.figures.animation import save_animation

    with asked.screen.bar("pictures") as on_frame:
        save_animation(
            path, runs, frames=frames, seconds=seconds, until=end, units=asked.system(scenarios[0]), on_frame=on_frame
        )
    asked.screen.wrote(path)


def _check(files: Sequence[Path], frames: int, seconds: float) -> None:
    check_number(frames, 2, MOST_FRAMES, "--frames")
    if not seconds >= frames * SHORTEST:
        raise typer.BadParameter(
            f"found {seconds:g}; {frames} pictures need {frames * SHORTEST:g} s at least, or programs slow them down.",
            param_hint="'--seconds'",
        )
    check_number(seconds, frames * SHORTEST, MOST_SECONDS, "--seconds")
    if len(files) > MOST_RUNS:
        raise typer.BadParameter(f"found {len(files)} files; give {MOST_RUNS} at most.", param_hint="'FILE'")


FILM = Piece(ending=".gif", takes=("frames", "seconds", "until"), make=_film)

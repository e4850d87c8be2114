"""The files of a run: figures, curves, and the whole result."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from coolsim.cli.command import Asked
from coolsim.cli.naming import Column, column_stems
from coolsim.cli.options import Figure
from coolsim.cli.targets import in_folder, make_folder, to_file
from coolsim.report.whole_file import write_bytes

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.units import System

_MANY, _MOST_BESIDE = 4, 3
_DRAWING = "coolsim.cli.figures"
_LONG = (Figure.TEMPERATURE_MAPS, Figure.SET_TIMES)


def check_outputs(asked: Asked, scenarios: Sequence[Scenario], *, inputs: Sequence[Path]) -> None:
    """Find out before a run that its results can be written; curves of several scenarios do not go to one file."""
    stems = column_stems(scenarios)
    if _is_table(asked.curves) and len(stems) > 1:
        found = f"{len(stems)} scenarios" if len(stems) == len(scenarios) else f"the {len(stems)} kinds of place"
        raise typer.BadParameter(
            f"found {str(asked.curves)!r} for {found}; give a folder, it gets a file for each.", param_hint="'--csv'"
        )
    targets = to_file("--save", asked.save, ".npz")
    if _is_table(asked.curves):
        targets += to_file("--csv", asked.curves, ".csv")
    else:
        targets += [one for stem in stems for one in in_folder("--csv", asked.curves, f"{stem}.csv")]
    folder = asked.folder()
    for name in asked.only or Figure:
        targets += in_folder("--figures", folder, asked.figure_name(scenarios, name))
    asked.claim(*targets, inputs=inputs)


def begin_beside(asked: Asked) -> None:
    """Let what `processes_beside` come from start while the command loads what it needs and reads its scenarios."""
    if _beside(asked):
        from coolsim.studies.sweep.workers import begin_early

        begin_early(loads=_DRAWING)


def _beside(asked: Asked) -> int:
    """Count the processes that draw: none unless there is much to draw, and a processor for it."""
    if asked.folder() is None or len(asked.only or Figure) < _MANY:
        return 0
    from coolsim.studies.sweep.workers import usual_workers

    count = min(usual_workers(), _MOST_BESIDE)
    return count if count > 1 else 0


@contextmanager
def processes_beside(asked: Asked) -> Iterator[Executor | None]:
    """Give processes that draw, or None. They load what draws, and the command itself need not."""
    count = _beside(asked)
    if not count:
        yield None
        return
    from coolsim.studies.sweep.workers import local_workers

    with local_workers(count, loads=_DRAWING) as helpers:
        # Nothing is asked of them yet: to start a worker is to wait for what the fork server loads.
        yield helpers


def write_outputs(
    asked: Asked, scenarios: Sequence[Scenario], columns: Sequence[Column], *, helpers: Executor | None
) -> None:
    """Write what was asked for and say so."""
    if asked.save is not None:
        from coolsim.report.saved.store import save_results

        asked.screen.wrote(save_results(asked.save, [(one.scenario, one.result) for one in columns]))
    units = asked.system(scenarios[0])
    if asked.curves is not None:
        from coolsim.report.text.curves import curves_csv

        if not _is_table(asked.curves):
            make_folder(asked.curves)
        for one in columns:
            path = asked.curves if _is_table(asked.curves) else asked.curves / f"{one.stem}.csv"
            text = curves_csv(one.result, units=units, points=one.scenario.probes)
            asked.write(path, text)
    if (folder := asked.folder()) is not None:
        make_folder(folder)
        runs, drawn = [(one.title, one.result) for one in columns], [one.scenario for one in columns]
        found = print_figures(runs, drawn, units=units, only=asked.only or (), kind=asked.format, helpers=helpers)
        for name, content in found.items():
            asked.screen.wrote(write_bytes(folder / asked.figure_name(scenarios, name), content))


def print_figures(
    runs: Sequence[tuple[str, Result]],
    scenarios: Sequence[Scenario],
    *,
    units: System,
    only: Sequence[Figure],
    kind: str,
    helpers: Executor | None,
) -> dict[Figure, bytes]:
    """Print figures as the content of files of a kind, in processes beside if there are some."""
    names = [one for one in Figure if not only or one in only]
    task = partial(_printed, runs, scenarios, units=units, kind=kind)
    if helpers is not None:
        # Each by itself, the long ones first: nobody knows which of them will be the slowest.
        futures = {name: helpers.submit(task, name) for name in sorted(names, key=lambda one: one not in _LONG)}
        with suppress(BrokenProcessPool):
            return {name: futures[name].result() for name in names}
    return {name: task(name) for name in names}


def _printed(
    runs: Sequence[tuple[str, Result]], scenarios: Sequence[Scenario], name: Figure, *, units: System, kind: str
) -> bytes:
    from coolsim.cli.figures import draw
    from coolsim.report.figures.saving import printed

    ((_, figure),) = draw(runs, scenarios, units=units, only=[name])
    return printed(figure, kind)


def _is_table(path: Path | None) -> bool:
    """Tell whether curves go to one file rather than to a folder."""
    return path is not None and path.suffix.lower() == ".csv"

"""The files of a run: figures, curves, and the whole result."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from contextlib import contextmanager
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

_MANY = 4


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


@contextmanager
def process_beside(asked: Asked) -> Iterator[Executor | None]:
    """Give a process that helps to draw, if there is much to draw and a processor for it.

    It loads what it draws with while the command still runs.
    """
    from coolsim.studies.sweep.workers import local_workers, usual_workers

    if asked.folder() is None or len(asked.only or Figure) < _MANY or usual_workers() == 1:
        yield None
        return
    with local_workers(1) as helper:
        helper.submit(load)
        yield helper


def load() -> None:
    """Import what draws."""
    import coolsim.cli.figures  # noqa: F401


def write_outputs(
    asked: Asked, scenarios: Sequence[Scenario], columns: Sequence[Column], *, helper: Executor | None
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
        from coolsim.cli.figures import print_figures

        make_folder(folder)
        runs, drawn = [(one.title, one.result) for one in columns], [one.scenario for one in columns]
        found = print_figures(runs, drawn, units=units, only=asked.only or (), kind=asked.format, helper=helper)
        for name, content in found.items():
            asked.screen.wrote(write_bytes(folder / asked.figure_name(scenarios, name), content))


def _is_table(path: Path | None) -> bool:
    """Tell whether curves go to one file rather than to a folder."""
    return path is not None and path.suffix.lower() == ".csv"

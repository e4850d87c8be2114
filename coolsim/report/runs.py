"""The runs of a table, and the lines it is made of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from coolsim.model.jar import Jar
from coolsim.solve.result import Events, Result, Skin
from coolsim.studies.grid_error import GridError
from coolsim.studies.melt_range import MeltRange
from coolsim.units import System

NOT_KNOWN = "–"
HARD_SPACE = "\N{NO-BREAK SPACE}"
"""Keeps a number and its unit in one line; the table puts an ordinary space in its place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What the answers are taken from.

    Parameters
    ----------
    title : str
        What the column is called.
    result : Result
        The run; it must hold wax.
    jar : Jar or None
        What was simulated, where it is known: it has the limit of thermal shock.
    melt_range : MeltRange or None
        The top over the range of the melt; None if the melt does not circulate, or nobody asked.
    error : GridError or None
        The numerical error of the answers; None if nobody asked.
    """

    title: str
    result: Result
    jar: Jar | None = None
    melt_range: MeltRange | None = None
    error: GridError | None = None

    @property
    def events(self) -> Events:
        """The events; ValueError if the run holds no wax."""
        if self.result.events is None:
            raise ValueError(f"'{self.title}' holds no wax, so it has no answers")
        return self.result.events

    @property
    def skin(self) -> Skin | None:
        """The first skin at the glass, if one forms."""
        return self.events.first_skin


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the table of answers.

    Parameters
    ----------
    label : str
        What the line is.
    cell : callable
        What a run and the units of the workshop give for it.
    """

    label: str
    cell: Callable[[Run, System], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Lines that belong together.

    Parameters
    ----------
    heading : str
        Over them.
    rows : tuple of Row
        The lines.
    """

    heading: str
    rows: tuple[Row, ...]


def runs_of(
    runs: Sequence[tuple[str, Result]],
    jars: Sequence[Jar | None] | None = None,
    melt_ranges: Sequence[MeltRange | None] | None = None,
    errors: Sequence[GridError | None] | None = None,
) -> list[Run]:
    """Join titles, results and what else is known.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results.
    jars : sequence of Jar or None, optional
        What was simulated, one for each run.
    melt_ranges : sequence of MeltRange or None, optional
        The top over the range of the melt, one for each run.
    errors : sequence of GridError or None, optional
        The numerical error, one for each run.

    Returns
    -------
    list of Run
        The same together.

    Raises
    ------
    ValueError
        If there is no run, if one holds no wax, or if there are not as many jars or ranges as runs.
    """
    if not runs:
        raise ValueError("there is no run to report")
    known: Sequence[Jar | None] = [None] * len(runs) if jars is None else jars
    ranges: Sequence[MeltRange | None] = [None] * len(runs) if melt_ranges is None else melt_ranges
    sure: Sequence[GridError | None] = [None] * len(runs) if errors is None else errors
    for found, what in ((known, "jar"), (ranges, "range"), (sure, "error")):
        if len(found) != len(runs):
            raise ValueError(f"there are {len(runs)} runs and {len(found)} {what}s; give one {what} for each run")
    joined = [
        Run(title=title, result=result, jar=jar, melt_range=melt, error=error)
        for (title, result), jar, melt, error in zip(runs, known, ranges, sure, strict=True)
    ]
    for run in joined:
        _ = run.events
    return joined

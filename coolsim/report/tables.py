"""Plain-text tables, at most 80 columns wide, and the curves as comma-separated values."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Mapping, Sequence

import numpy as np

from coolsim.model.jar import Jar
from coolsim.report.answers import answers_data, groups_of
from coolsim.report.csv_text import csv_text
from coolsim.report.error_answers import ERROR_NOTE, any_error
from coolsim.report.runs import HARD_SPACE, Run, runs_of
from coolsim.report.top_answers import MELT_NOTE, any_melt_range
from coolsim.report.wording import CAUTION, in_units
from coolsim.solve.curves import (
    PATHS,
    front_heights,
    front_radius,
    heat_shares,
    outside_of_wall,
    temperature_of_point,
    usual_points,
)
from coolsim.solve.result import Result
from coolsim.studies.grid_error import GridError
from coolsim.studies.melt_range import MeltRange
from coolsim.units import System

__all__ = ["CAUTION", "WIDTH", "answers_data", "answers_table", "curves_csv", "paragraph"]

WIDTH = 80
"""Widest line of a table [-]."""

_LABELS = 26
_BETWEEN = 2
_WIDEST_COLUMN = 26
_SIDE_BY_SIDE = 3


def answers_table(
    runs: Sequence[tuple[str, Result]],
    *,
    units: System = "metric",
    jars: Sequence[Jar | None] | None = None,
    melt_ranges: Sequence[MeltRange | None] | None = None,
    errors: Sequence[GridError | None] | None = None,
) -> str:
    """Write the answers of one or several runs side by side.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results.
    units : {"metric", "us"}
        Units of the workshop.
    jars : sequence of Jar or None, optional
        What was simulated, one for each run: with it the pour is held against the limit of thermal shock.
    melt_ranges : sequence of MeltRange or None, optional
        The top over the range of the melt, one for each run, as `melt_range` gives it.
    errors : sequence of GridError or None, optional
        The numerical error, one for each run, as `grid_error` gives it.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end. More than three runs come in blocks below each
        other. Warnings of the runs stand under the table.

    Raises
    ------
    ValueError
        If there is no run, or one holds no wax.

    Examples
    --------
    >>> from coolsim import built_in_pair, answers_table, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> print(answers_table([("Bare", simulate(quick.jar))], units="us"))
                                Bare
    ------------------------------------------------------
    At the pour
      Wax poured at             149 °F
      Jar at                    70 °F
    ...
    """
    joined = runs_of(runs, jars, melt_ranges, errors)
    blocks = -(-len(joined) // _SIDE_BY_SIDE)
    size = -(-len(joined) // blocks)
    parts = [_block(joined[at : at + size], units) for at in range(0, len(joined), size)]
    if any_melt_range(joined):
        parts.append(paragraph(MELT_NOTE))
    if any_error(joined):
        parts.append(paragraph(ERROR_NOTE))
    for run in joined:
        parts += [paragraph(f"Warning, {run.title}: {warning}") for warning in run.result.warnings]
    return "\n\n".join(parts)


def paragraph(text: str) -> str:
    """Break a text into lines of at most 80 columns.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        The lines.
    """
    return "\n".join(_wrapped(text, WIDTH))


def _block(runs: Sequence[Run], units: System) -> str:
    width = min(_WIDEST_COLUMN, (WIDTH - _LABELS) // len(runs) - _BETWEEN)
    lines = _row("", [run.title for run in runs], width)
    rule = "-" * (_LABELS + len(runs) * (_BETWEEN + width))
    lines.append(rule)
    for group in groups_of(runs, units):
        lines += _wrapped(group.heading, len(rule))
        for row in group.rows:
            lines += _row(row.label, [row.cell(run, units) for run in runs], width)
    return "\n".join(line.rstrip().replace(HARD_SPACE, " ") for line in (*lines, rule))


def _row(label: str, cells: Sequence[str], width: int) -> list[str]:
    columns = [[f"  {line}" for line in _wrapped(label, _LABELS - 2)], *(_wrapped(cell, width) for cell in cells)]
    return _beside(columns, [_LABELS, *([width] * len(cells))])


def table_lines(cells: Sequence[str], widths: Sequence[int]) -> list[str]:
    """Set the cells of a row beside each other, each broken to its width, two blanks between them.

    Parameters
    ----------
    cells : sequence of str
        What stands in the row.
    widths : sequence of int
        Columns of the terminal that each may take [-].

    Returns
    -------
    list of str
        The lines of the row.

    Examples
    --------
    >>> table_lines(["Do not move the jar until", "23:40"], [12, 5])
    ['Do not move   23:40', 'the jar            ', 'until              ']
    """
    return _beside([_wrapped(cell, width) for cell, width in zip(cells, widths, strict=True)], widths)


def _beside(columns: Sequence[list[str]], widths: Sequence[int]) -> list[str]:
    height = max(len(column) for column in columns)
    padded = [
        [_filled(line, size) for line in column + [""] * (height - len(column))]
        for column, size in zip(columns, widths, strict=True)
    ]
    return [(" " * _BETWEEN).join(parts) for parts in zip(*padded, strict=True)]


def _columns(text: str) -> int:
    """Columns that a text takes on a terminal: CJK letters take two, combining marks none."""
    return sum(
        0 if unicodedata.combining(letter) else 2 if unicodedata.east_asian_width(letter) in "WF" else 1
        for letter in text
    )


def _filled(text: str, width: int) -> str:
    return text + " " * (width - _columns(text))


def _wrapped(text: str, width: int) -> list[str]:
    if _columns(text) == len(text):
        return textwrap.wrap(text, width) or [""]
    # textwrap counts letters, not columns.
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}" if lines[-1] else word
        if _columns(joined) <= width:
            lines[-1] = joined
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if _columns(lines[-1] + letter) > width:
                lines.append("")
            lines[-1] += letter
    return lines


def curves_csv(
    result: Result, *, units: System = "metric", points: Mapping[str, tuple[float, float]] | None = None
) -> str:
    """Write the curves of a run against time.

    Parameters
    ----------
    result : Result
        The run; it must hold wax.
    units : {"metric", "us"}
        Units of the workshop; each is named in the first row.
    points : mapping of str to (float, float), optional
        Radius and height above the bottom of the wax [m] of the points, by name; the usual ones if left out or empty.

    Returns
    -------
    str
        Comma-separated values as in RFC 4180, one row for each step. A field is empty where there is nothing to
        state: no front any more, or no heat yet to take shares of.

    Raises
    ------
    ValueError
        If the run holds no wax, or a point is in the air.

    References
    ----------
    Shafranovich, Y. (2005). RFC 4180: Common format and MIME type for comma-separated values (CSV) files.

    Examples
    --------
    >>> from coolsim import built_in_pair, curves_csv, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> rows = curves_csv(simulate(quick.jar), points={"middle": (0.0, 0.03)}).splitlines()
    >>> rows[0].split(",")[:3]
    ['time [s]', 'middle [°C]', 'outside of the wall [°C]']
    """
    scale, offset, degree = in_units("temperature", units)
    length, _, unit = in_units("length", units)
    wax = result.required_wax()
    columns: dict[str, tuple[np.ndarray, int]] = {"time [s]": (result.time, 2)}

    def temperature(name: str, values: np.ndarray) -> None:
        columns[f"{name} [{degree}]"] = (scale * values + offset, 3)

    for name, (r, z) in (points or usual_points(wax)).items():
        temperature(name, temperature_of_point(result, r, z))
    outside = outside_of_wall(result)
    if outside is not None:
        temperature("outside of the wall", outside)
    temperature("mean of the wax", result.mean_wax_temperature())
    temperature("hottest wax", result.hottest_wax())
    for index, (name, _) in enumerate(result.nodes):
        temperature(name, result.history.nodes[:, index])
    temperature("room", result.history.room)
    columns["solid fraction [-]"] = (result.solid_fraction(), 5)
    columns[f"front radius at mid-height [{unit}]"] = (length * front_radius(result), 4)
    rise, down = front_heights(result)
    columns[f"front on the axis from below [{unit}]"] = (length * rise, 4)
    columns[f"front on the axis from above [{unit}]"] = (length * down, 4)
    shares = heat_shares(result)
    for path in PATHS:
        columns[f"share of heat through the {path} [-]"] = (shares[path], 5)
    fields = [_fields(values, digits) for values, digits in columns.values()]
    return csv_text(list(columns), zip(*fields, strict=True))


def _fields(values: np.ndarray, digits: int) -> list[str]:
    return ["" if np.isnan(value) else f"{value:z.{digits}f}" for value in values]

"""What is shown of an object at a glance: a small table, as HTML in a notebook and as text elsewhere.

It stands on the lowest floor, so that results and scenarios can show themselves without knowing the reports.
"""

from __future__ import annotations

import html
import math
import textwrap
from abc import ABC, abstractmethod
from dataclasses import dataclass

COMPUTED = "Computed, not measured. Hot wax burns and glass can crack: the data sheets of the suppliers come first."
"""Stands under what a run has answered."""

NOT_REACHED = "–"
_WIDTH = 80
# Colours are those of the notebook, light or dark.
_TABLE = "border-collapse:collapse;text-align:left"
_CELL = "text-align:left;vertical-align:top;padding:0.15em 0.8em 0.15em 0"
_TITLE = f"{_CELL};font-weight:bold"
_HEADING = f"{_TITLE};border-bottom:1px solid currentColor"
_NOTE = "max-width:45em;font-size:90%"


@dataclass(frozen=True, slots=True, kw_only=True)
class OverviewTable:
    """A small table.

    Parameters
    ----------
    title : str
        What stands above it.
    rows : tuple of tuple of str
        Cells; the first of a row names it.
    headings : tuple of str
        Names of the columns; empty if the rows say it all.
    notes : tuple of str
        What stands under it.
    """

    title: str
    rows: tuple[tuple[str, ...], ...]
    headings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    def text(self) -> str:
        """Write it as lines.

        Returns
        -------
        str
            Columns side by side.

        Examples
        --------
        >>> print(OverviewTable(title="Tumbler", rows=(("Rim set", "0:27"), ("Top closed", "2:01"))).text())
        Tumbler
        Rim set     0:27
        Top closed  2:01
        """
        lines = [self.headings, *self.rows] if self.headings else list(self.rows)
        widths = [max(len(line[column]) for line in lines) for column in range(len(lines[0]))] if lines else []
        written = ["  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)) for line in lines]
        notes = [line for note in self.notes for line in textwrap.wrap(note, _WIDTH)]
        return "\n".join(line.rstrip() for line in (self.title, *written, *notes))

    def html(self) -> str:
        """Write it for a notebook.

        Returns
        -------
        str
            One HTML table and its notes, without scripts; every text is escaped.

        Examples
        --------
        >>> "<td" in OverviewTable(title="Tumbler", rows=(("Rim set", "0:27"),)).html()
        True
        """
        parts = [
            f'<table style="{_TABLE}"><caption style="{_CELL};font-weight:bold">{html.escape(self.title)}</caption>'
        ]
        if self.headings:
            cells = (f'<th scope="col" style="{_HEADING}">{html.escape(name)}</th>' for name in self.headings)
            parts.append(f"<thead><tr>{''.join(cells)}</tr></thead>")
        parts.append("<tbody>")
        for name, *cells_of_row in self.rows:
            first = f'<th scope="row" style="{_CELL};font-weight:normal">{html.escape(name)}</th>'
            others = (f'<td style="{_CELL}">{html.escape(cell)}</td>' for cell in cells_of_row)
            parts.append(f"<tr>{first}{''.join(others)}</tr>")
        parts.append("</tbody></table>")
        parts += [f'<p style="{_NOTE}">{html.escape(note)}</p>' for note in self.notes]
        return "\n".join(parts)


class Overview(ABC):
    """An object that a notebook shows as a table and `print` as lines."""

    __slots__ = ()

    @abstractmethod
    def overview(self) -> OverviewTable:
        """Return what is shown of it."""

    def __str__(self) -> str:
        return self.overview().text()

    def _repr_html_(self) -> str:
        return self.overview().html()


def hours_minutes(seconds: float) -> str:
    """Write a time since the pour.

    Parameters
    ----------
    seconds : float
        The time [s].

    Returns
    -------
    str
        Hours and minutes, to the nearest minute.

    Examples
    --------
    >>> hours_minutes(9300.0)
    '2:35'
    """
    minutes = math.floor(seconds / 60.0 + 0.5)
    return f"{minutes // 60}:{minutes % 60:02d}"


def time_cell(time: object) -> str:
    """Write a time since the pour that may not have been reached.

    Parameters
    ----------
    time : float or None
        The time [s].

    Returns
    -------
    str
        Hours and minutes, or a dash.
    """
    return hours_minutes(time) if isinstance(time, float) else NOT_REACHED

"""The table of every page and notebook, as data, and its two renderers: text of at most 80 columns, and HTML.

It stands on the lowest floor, so that results and scenarios can show themselves without knowing the reports. Written by
hand because no library fits: `rich` (which typer brings) takes longer to load than a table to write, has no rows across
all columns and decides by the terminal; `tabulate` and `prettytable` are further packages, and neither breaks cells to
a width between others.
"""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

WIDTH = 80
"""Widest line of a page [-]."""

HARD_SPACE = "\N{NO-BREAK SPACE}"
"""Keeps a number and its unit in one line; in text an ordinary space takes its place."""

# Colours are those of the notebook, light or dark.
_TABLE = "border-collapse:collapse;text-align:left"
_CELL = "text-align:left;vertical-align:top;padding:0.15em 0.8em 0.15em 0"
_TITLE = f"{_CELL};font-weight:bold"
_HEADING = f"{_TITLE};border-bottom:1px solid currentColor"
_NOTE = "max-width:45em;font-size:90%"

Row = tuple[str, ...] | str


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column in text: width on a terminal [-], to which cells are broken, and whether they are set to the right."""

    width: int
    right: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table with its title and notes.

    The last cell of a row that has too few stands across the columns that are left; a text is a row of one cell. Line
    breaks in title and headings part their lines. Without `columns` each is as wide as its cells. Gap: blanks between
    two [-].
    """

    rows: tuple[Row, ...]
    headings: tuple[str, ...] = ()
    title: str = ""
    notes: tuple[str, ...] = ()
    columns: tuple[Column, ...] = ()
    gap: int = 2
    ruled: bool = False

    def text(self) -> str:
        """Write it as lines.

        Examples
        --------
        >>> print(Table(title="Tumbler", rows=(("Rim set", "0:27"), ("Top closed", "2:01"))).text())
        Tumbler
        Rim set     0:27
        Top closed  2:01
        """
        columns = self.columns or self._as_wide_as_needed()
        rule = ["-" * (sum(one.width for one in columns) + self.gap * (len(columns) - 1))] if self.ruled else []
        heads = [heading.split("\n") for heading in self.headings]
        head = [line for cells in zip_longest(*heads, fillvalue="") for line in self._row(cells, columns)]
        rows = [line for row in self.rows for line in self._row((row,) if isinstance(row, str) else row, columns)]
        title, notes = (
            [line for text in texts for line in wrapped(text, WIDTH)] for texts in (self.title.splitlines(), self.notes)
        )
        lines = [*title, *head, *rule, *rows, *rule, *notes]
        return "\n".join(lines).replace(HARD_SPACE, " ")

    def _as_wide_as_needed(self) -> tuple[Column, ...]:
        lines = [line for line in (self.headings, *self.rows) if isinstance(line, tuple)]
        return tuple(Column(width=max(map(columns_of, cells))) for cells in zip_longest(*lines, fillvalue=""))

    def _row(self, cells: Sequence[str], columns: Sequence[Column]) -> list[str]:
        """Write a row, cells broken into lines.

        Examples
        --------
        >>> table = Table(columns=(Column(width=12), Column(width=5, right=True)), rows=())
        >>> table._row(("Do not move the jar until", "3:40"), table.columns)
        ['Do not move    3:40', 'the jar', 'until']
        """
        if 0 < len(cells) < len(columns):
            columns, rest = columns[: len(cells) - 1], columns[len(cells) - 1 :]
            columns = [*columns, Column(width=sum(one.width for one in rest) + self.gap * (len(rest) - 1))]
        broken = [_broken(cell, column) for cell, column in zip(cells, columns, strict=True)]
        lines = (
            (" " * self.gap).join(_filled(line, column) for line, column in zip(parts, columns, strict=True))
            for parts in zip_longest(*broken, fillvalue="")
        )
        return [line.rstrip() for line in lines]

    def html(self) -> str:
        """Write it for a notebook: one HTML table and its notes, without scripts; every text is escaped.

        Examples
        --------
        >>> "<td" in Table(title="Tumbler", rows=(("Rim set", "0:27"),)).html()
        True
        """
        # Only a notebook needs it.
        from html import escape

        parts = [f'<table style="{_TABLE}"><caption style="{_TITLE}">{escape(self.title)}</caption>']
        if self.headings:
            heads = (f'<th scope="col" style="{_HEADING}">{escape(name)}</th>' for name in self.headings)
            parts.append(f"<thead><tr>{''.join(heads)}</tr></thead>")
        parts.append("<tbody>")
        rows = [(row,) if isinstance(row, str) else row for row in self.rows]
        most = max(map(len, (self.headings, *rows)))
        for name, *others in rows:
            first = f'<th scope="row" style="{_CELL};font-weight:normal">{escape(name)}</th>'
            cells = [first, *(f'<td style="{_CELL}">{escape(cell)}</td>' for cell in others)]
            if len(cells) < most:
                cells[-1] = f'{cells[-1][:3]} colspan="{most - len(others)}"{cells[-1][3:]}'
            parts.append(f"<tr>{''.join(cells)}</tr>")
        parts.append("</tbody></table>")
        parts += [f'<p style="{_NOTE}">{escape(note)}</p>' for note in self.notes]
        return "\n".join(parts)


def _broken(text: str, column: Column) -> list[str]:
    """Break a cell into lines; blanks in front of it stand in front of each."""
    indent = " " * (len(text) - len(text.lstrip(" ")))
    return [f"{indent}{line}" for line in wrapped(text.strip(" "), column.width - len(indent))]


def _filled(text: str, column: Column) -> str:
    blanks = " " * (column.width - columns_of(text))
    return blanks + text if column.right else text + blanks


def columns_of(text: str) -> int:
    """Columns that a text takes on a terminal [-]: CJK letters take two, combining marks none."""
    return sum(
        0 if unicodedata.combining(letter) else 2 if unicodedata.east_asian_width(letter) in "WF" else 1
        for letter in text
    )


def wrapped(text: str, width: int) -> list[str]:
    """Break a text into lines of a width [-]; a name with a hyphen stays whole, so that it can be copied."""
    if columns_of(text) == len(text):
        return textwrap.wrap(text, width, break_on_hyphens=False) or [""]
    # textwrap counts letters, not columns.
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}" if lines[-1] else word
        if columns_of(joined) <= width:
            lines[-1] = joined
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if columns_of(lines[-1] + letter) > width:
                lines.append("")
            lines[-1] += letter
    return lines

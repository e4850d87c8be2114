"""What a page says, as data: notes and tables. A renderer decides how it looks, as `coolsim.report.text.page`."""

from __future__ import annotations

from dataclasses import dataclass

HARD_SPACE = "\N{NO-BREAK SPACE}"
"""Keeps a number and its unit in one line; a renderer may put an ordinary space in its place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table.

    Parameters
    ----------
    width : int
        Columns of a terminal that it takes [-]; longer cells are broken into lines.
    heading : str
        What stands over it; a line break parts its lines.
    right : bool
        Whether its cells end under each other, as numbers do.
    """

    width: int
    heading: str = ""
    right: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table: a row is a tuple of cells, or a text that stands across all columns.

    Parameters
    ----------
    columns : tuple of Column
        The columns.
    rows : tuple of (tuple of str, or str)
        The rows, between two rules.
    gap : int
        Blanks between two columns [-].
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...] | str, ...]
    gap: int = 2

    @property
    def width(self) -> int:
        """Columns of a terminal that it takes [-]."""
        return sum(column.width for column in self.columns) + self.gap * (len(self.columns) - 1)


@dataclass(frozen=True, slots=True)
class Note:
    """A paragraph, broken into lines where the page is narrow.

    Parameters
    ----------
    text : str
        What it says.
    """

    text: str


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines that stay as they are.

    Parameters
    ----------
    lines : tuple of str
        The lines.
    """

    lines: tuple[str, ...]


Block = Note | Table | Lines

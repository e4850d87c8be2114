"""Pages as plain text of at most 80 columns: the only place that knows widths and wide letters.

Written by hand because no library fits: `rich` (which typer brings) takes longer to load than a table to write, has
no rows across all columns and decides by the terminal; `tabulate` and `prettytable` are further packages, and neither
breaks cells to a width between others.
"""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Sequence
from itertools import zip_longest

from coolsim.report.blocks import HARD_SPACE, Block, Column, Lines, Note, Table

WIDTH = 80
"""Widest line of a page [-]."""


def text_of(blocks: Iterable[Block]) -> str:
    """Write a page, its blocks parted by blank lines."""
    return "\n\n".join(_written(block) for block in blocks)


def paragraph(text: str) -> str:
    """Break a text into lines."""
    return "\n".join(wrapped(text, WIDTH))


def table_lines(table: Table) -> list[str]:
    """Write a table without rules.

    Examples
    --------
    >>> columns = (Column(width=12), Column(width=5, right=True))
    >>> table_lines(Table(columns=columns, rows=(("Do not move the jar until", "3:40"),)))
    ['Do not move    3:40', 'the jar', 'until']
    """
    return [line for row in table.rows for line in _row(table, row)]


def _written(block: Block) -> str:
    match block:
        case Note(text):
            return paragraph(text).replace(HARD_SPACE, " ")
        case Lines(lines):
            return "\n".join(lines)
        case Table():
            rule = "-" * block.width
            heads = [column.heading.split("\n") for column in block.columns]
            over = [line for cells in zip_longest(*heads, fillvalue="") for line in _row(block, cells)]
            return "\n".join([*(over if any(over) else []), rule, *table_lines(block), rule])


def _row(table: Table, row: Sequence[str] | str) -> list[str]:
    if isinstance(row, str):
        return [line.replace(HARD_SPACE, " ") for line in wrapped(row, table.width)]
    columns = [_cell(cell, column) for cell, column in zip(row, table.columns, strict=True)]
    lines = [
        (" " * table.gap).join(_filled(line, column) for line, column in zip(parts, table.columns, strict=True))
        for parts in zip_longest(*columns, fillvalue="")
    ]
    return [line.rstrip().replace(HARD_SPACE, " ") for line in lines]


def _cell(text: str, column: Column) -> list[str]:
    """Break a cell into lines; blanks in front of it stand in front of each."""
    indent = " " * (len(text) - len(text.lstrip(" ")))
    return [f"{indent}{line}" for line in wrapped(text.strip(" "), column.width - len(indent))]


def _filled(text: str, column: Column) -> str:
    blanks = " " * (column.width - _columns(text))
    return blanks + text if column.right else text + blanks


def _columns(text: str) -> int:
    """Columns that a text takes on a terminal: CJK letters take two, combining marks none."""
    return sum(
        0 if unicodedata.combining(letter) else 2 if unicodedata.east_asian_width(letter) in "WF" else 1
        for letter in text
    )


def wrapped(text: str, width: int) -> list[str]:
    """Break a text into lines of a width [-]."""
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

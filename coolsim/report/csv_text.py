"""Comma-separated values as in RFC 4180, which a spreadsheet shows and does not run."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

_RUN = ("=", "+", "-", "@", "\t", "\r", "\n")
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")


def csv_text(heading: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Write a table as comma-separated values under a row of headings.

    A text that a spreadsheet would take for a formula, by its first letter, gets an apostrophe in front; numbers stay
    as they are.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow([_shown(cell) for cell in heading])
    writer.writerows([_shown(cell) for cell in row] for row in rows)
    return text.getvalue()


def _shown(cell: str) -> str:
    # Spreadsheets look past blanks.
    runs = cell.lstrip(" ").startswith(_RUN) and not _NUMBER.fullmatch(cell)
    return f"'{cell}" if runs else cell

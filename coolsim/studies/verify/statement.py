"""Problem statements with reference values, for other codes and for the checks: Markdown, and CSV beside it.

They are the home of their numbers: the checks read them from here.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from coolsim.scenario.toml_file import parsed

FOLDER = Path(__file__).parent / "statements"
GIVEN = ["symbol", "value", "unit", "what"]


def statement(case: str) -> str:
    """Read a statement."""
    return (FOLDER / f"{case}.md").read_text(encoding="utf-8")


def given(case: str) -> Mapping[str, float]:
    """Read the numbers that a statement gives, by symbol: the rows under each heading `GIVEN`."""
    found: dict[str, float] = {}
    inside = False
    for line in statement(case).splitlines():
        row = [cell.strip() for cell in line.strip("|").split("|")] if line.startswith("|") else []
        if row == GIVEN:
            inside = True
        elif not row:
            inside = False
        elif inside and set(row[0]) != {"-"}:
            if row[0] in found:
                raise ValueError(f"{case}.md gives {row[0]} twice")
            found[row[0]] = float(row[1])
    return found


def data(case: str, name: str) -> dict[str, Any]:
    """Read the block of TOML of a name in a statement."""
    (block,) = re.findall(rf"^```toml {name}\n(.*?)^```$", statement(case), flags=re.MULTILINE | re.DOTALL)
    return parsed(block, f"{case}.md")


def rows(table: str) -> list[dict[str, str]]:
    """Read reference values row by row as they stand in a CSV, by the names of the columns."""
    with (FOLDER / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def values(table: str) -> dict[str, float]:
    """Read reference values of a table whose first column names them and whose second one has them."""
    return {name: float(value) for name, value, *_ in (row.values() for row in rows(table))}

"""The keys of a scenario: for people as a page, for machines as data."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from coolsim.report.blocks import Block, Column, Note, Row, Table
from coolsim.report.text.page import as_text
from coolsim.scenario import EVERYDAY, Key, KeyTable, key_tables, scenario_keys

_COLUMNS = (Column(width=29), Column(width=49))
_WRITING = (
    'A scenario is a TOML file. Values with a unit stand in quotes: "78 mm", "3 1/2 in", "65 °C", "150 F", "7 oz",'
    ' "8 %". A bare number where a unit is expected is refused, and so is a key that is not listed here.'
)


def keys_blocks(tables: Sequence[KeyTable] = ()) -> list[Block]:
    """Write the keys of some tables, or those that a maker sets and what the tables are about."""
    if not tables:
        everyday = [key for key in scenario_keys() if key.name in EVERYDAY]
        return [
            _entries(f"The {_count(len(everyday))} keys that a maker sets", everyday),
            Table(
                title="All tables",
                headings=("", "keys"),
                rows=tuple(
                    (f"[{table.name}]", f"{len(table.keys):4}", _plain(table.about))
                    for table in key_tables()
                    if table.name
                ),
                columns=(Column(width=12), Column(width=4), Column(width=60)),
                ruled=True,
            ),
            Note(_WRITING),
        ]
    return [block for table in tables for block in _of_table(table)]


keys_text = as_text(keys_blocks)


def keys_data(tables: Sequence[KeyTable] = ()) -> dict[str, Any]:
    """Give the keys of some tables, or of all, as plain data that `json.dumps` takes."""
    return {
        key.name: {
            "value": key.value,
            "default": key.default,
            "meaning": key.meaning,
            "source": key.source,
            "everyday": key.name in EVERYDAY,
            "loosely_known": _loose(key),
        }
        for table in tables or key_tables()
        for key in table.keys
    }


def _of_table(table: KeyTable) -> Iterable[Block]:
    everyday = [key for key in table.keys if key.name in EVERYDAY]
    loose = [key for key in table.keys if key not in everyday and _loose(key)]
    others = [key for key in table.keys if key not in everyday and key not in loose]
    yield Note(f"[{table.name}]  {_plain(table.about)}" if table.name else "Outside of all tables.")
    for title, keys in (
        ("What a maker sets", everyday),
        ("What can be set as well", others),
        ("For fitting and research: a spread varies these, or a fit adjusts them", loose),
    ):
        if keys:
            yield _entries(title, keys)


def _loose(key: Key) -> bool:
    return key.said.spread or key.said.fit or key.said.ruler


def _entries(title: str, keys: Iterable[Key]) -> Table:
    rows: list[Row] = []
    for key in keys:
        left_out = "required" if key.default == "required" else f"left out: {key.default}"
        meaning = f"{key.meaning} ({key.source})" if key.source else key.meaning
        rows += [(key.name, _plain(key.value)), ("", _plain(left_out)), ("", _plain(meaning))]
    return Table(title=title, columns=_COLUMNS, rows=tuple(rows), ruled=True)


def _plain(text: str) -> str:
    return text.replace("`", "")


def _count(number: int) -> str:
    return {16: "sixteen"}.get(number, str(number))

"""The keys of a scenario as a table for people, made from the descriptions of the fields."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pydantic.fields import FieldInfo

from coolsim.scenario.files import ScenarioFile, table_model
from coolsim.scenario.tables import Table
from coolsim.scenario.values import Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of a scenario.

    Parameters
    ----------
    name : str
        Dotted, the table in front.
    value : str
        What to write: kind, example and limits.
    default : str
        Value if left out, or "required".
    meaning : str
        What it is.
    source : str
        Where the default comes from; empty if there is nothing to say.
    """

    name: str
    value: str
    default: str
    meaning: str
    source: str


def scenario_keys() -> tuple[Key, ...]:
    """List the keys that a scenario may have.

    Returns
    -------
    tuple of Key
        In the order of the tables.

    Examples
    --------
    >>> next(key for key in scenario_keys() if key.name == "room.temperature").default
    '21 °C'
    """
    return tuple(_keys(ScenarioFile, ""))


def keys_table_markdown() -> str:
    """Write the keys as a Markdown table.

    Returns
    -------
    str
        One row for each key.
    """
    lines = ["| key | value | default | meaning |", "|---|---|---|---|"]
    for key in scenario_keys():
        meaning = f"{key.meaning} ({key.source})" if key.source else key.meaning
        cells = (f"`{key.name}`", key.value, key.default, meaning)
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def _keys(model: type[Table], prefix: str) -> Iterator[Key]:
    for name, field in model.model_fields.items():
        table = table_model(field.annotation)
        if table is not None:
            yield from _keys(table, f"{prefix}{name}.")
            continue
        value = next(spec for spec in field.metadata if isinstance(spec, Value))
        extra = field.json_schema_extra
        told = extra if isinstance(extra, dict) else {}
        yield Key(
            name=f"{prefix}{name}",
            value=value.describe(),
            default=str(told["shown"] or _default(field, value)),
            meaning=field.description or "",
            source=str(told["source"]),
        )


def _default(field: FieldInfo, value: Value) -> str:
    return "required" if field.is_required() else value.show(field.default)

"""What pydantic finds in a scenario file, in words for the person who wrote it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from coolsim.scenario.files import ScenarioFile, table_model
from coolsim.scenario.tables import Table
from coolsim.scenario.values import Quantity, Value
from coolsim.scenario.wording import key_text, nearest, shown


def file_faults(data: Mapping[Any, Any], *, most: int) -> tuple[list[tuple[str, str]], int]:
    """Check keys and values one by one.

    Parameters
    ----------
    data : mapping
        Parsed file.
    most : int
        How many keys at fault are looked at [-]: each is compared with all that there are.

    Returns
    -------
    faults : list of (str, str)
        Dotted key and message of each fault.
    more : int
        How many keys at fault there are beyond these [-].
    """
    try:
        ScenarioFile.model_validate(dict(data))
    except ValidationError as error:
        found = error.errors(include_url=False)
        return [fault for details in found[:most] for fault in _faults(details)], len(found[most:])
    return [], 0


def _faults(details: ErrorDetails) -> Iterator[tuple[str, str]]:
    place = details["loc"]
    key = key_text(place)
    match details["type"]:
        case "extra_forbidden":
            yield key, _unknown(place)
        case "missing":
            yield key, _missing(place)
        case "value_error":
            for line in str(details["ctx"]["error"]).splitlines():
                yield key, line
        case "invalid_key":
            yield key, "found a key that is not a text, give texts as keys"
        case _:
            # All that is left is a value where a table is due.
            yield key, f"found {shown(details['input'])} where a table is due, write its keys under [{key}]"


def _model_at(place: tuple[int | str, ...]) -> type[Table]:
    """Find the table that holds the key at this place."""
    model: type[Table] = ScenarioFile
    for part in place[:-1]:
        model = table_model(model.model_fields[str(part)].annotation) or model
    return model


def _tables() -> dict[str, type[Table]]:
    found = {}
    for name, field in ScenarioFile.model_fields.items():
        table = table_model(field.annotation)
        if table is not None:
            found[name] = table
    return found


def _unknown(place: tuple[int | str, ...]) -> str:
    name = str(place[-1])
    model = _model_at(place)
    close = nearest(name, model.model_fields)
    if close:
        return f"unknown key. Did you mean '{close}'?"
    owners = [f"[{table}]" for table, other in _tables().items() if name in other.model_fields]
    if owners:
        return f"unknown key. It belongs under {' or '.join(owners)}"
    if name in ScenarioFile.model_fields:
        return "unknown key. It belongs above the first table"
    return f"unknown key. Here there are {', '.join(model.model_fields)}"


def _missing(place: tuple[int | str, ...]) -> str:
    field = _model_at(place).model_fields[str(place[-1])]
    table = table_model(field.annotation)
    if table is not None:
        keys = [name for name, inner in table.model_fields.items() if inner.is_required()]
        # A support has no key that each kind needs.
        keys = keys or ["material", "thickness"]
        return f"missing. Add a table [{place[-1]}] with {', '.join(keys)}"
    value = next(spec for spec in field.metadata if isinstance(spec, Value))
    wanted = value.wanted() if isinstance(value, Quantity) else value.describe().replace("`", "")
    return f"missing. Give {wanted}"

"""Waxes that a maker kept under names of his own: a file each, in a folder that is looked for upwards.

A scenario that names one has its tables beside the name from then on, in the place of its kind: it can be saved,
changed and sent to a worker without the folder.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import Field

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import TRADE_NAMES
from coolsim.model.materials import wax_names
from coolsim.model.properties import Wax
from coolsim.scenario.file import faults_of
from coolsim.scenario.keys import all_keys
from coolsim.scenario.melt import MeltTable
from coolsim.scenario.mush import MushTable
from coolsim.scenario.table import TomlTable
from coolsim.scenario.toml_file import parsed, text_of
from coolsim.scenario.wax import WaxTable, freezing_is_stated_once, plain_wax_of, wax_is_possible
from coolsim.scenario.wording import sentence, shown, suggestion
from coolsim.units import format_quantity

KEPT_FOLDER = "coolsim-waxes"
"""Name of the folder."""

LONGEST_NAME = 40
"""Letters of a name at most [-]."""

_ENDING = ".toml"
_NOT_IN_FILES = re.compile(r'[<>:"/\\|?*]|^\.|[. ]$|^ |^(?:con|prn|aux|nul|com\d|lpt\d)(?:\.|$)', re.IGNORECASE)


class KeptTables(TomlTable):
    """What is kept of a wax."""

    wax: WaxTable
    mush: MushTable = Field(default_factory=MushTable.model_construct)
    melt: MeltTable = Field(default_factory=MeltTable.model_construct)


def kept_waxes(where: Path | str) -> dict[str, Path]:
    """List the waxes kept in the folders above a file, by name in order; the nearer folder wins.

    The folder of the file itself counts.
    """
    found: dict[str, Path] = {}
    for folder in Path(where).absolute().parents:
        # What a scenario is called need not be the name of a file, and a folder need not be open to all.
        with suppress(OSError, ValueError):
            for file in (folder / KEPT_FOLDER).glob(f"*{_ENDING}"):
                found.setdefault(_composed(file.stem), file)
    return dict(sorted(found.items()))


def kept_file(name: str, where: Path | str) -> Path:
    """Tell where a wax is kept under a name: in the nearest folder above a file, or in one beside it.

    ScenarioError if it can have no such name.
    """
    name = _composed(name)
    taken = (*wax_names(), *TRADE_NAMES)
    if name.casefold() in taken:
        raise ScenarioError(
            f"found '{name}', which is a wax of the catalogue already. Give a name of your own, such as 'spring batch'."
        )
    if not name.isprintable() or not 1 <= len(name) <= LONGEST_NAME or _NOT_IN_FILES.search(name):
        raise ScenarioError(
            f"found {shown(name)}, which cannot name a file everywhere. Give a name of 1 to {LONGEST_NAME} letters,"
            " digits and spaces, such as 'spring batch', without any of < > : \" / \\ | ? *."
        )
    beside, *above = (folder / KEPT_FOLDER for folder in Path(where).absolute().parents)
    return next((folder for folder in (beside, *above) if folder.is_dir()), beside) / f"{name}{_ENDING}"


def read_kept(file: Path) -> dict[str, Any]:
    """Read a kept wax: its name and its tables. ScenarioError with all its faults if it is none."""
    data = parsed(text_of(file, str(file)), str(file))
    tables, faults = faults_of(KeptTables, data)
    if not faults:
        for rule in (freezing_is_stated_once, wax_is_possible):
            faults += rule(tables.wax, format_quantity)
    if faults:
        raise ScenarioError([sentence(f"{file}: {key}: {message}") for key, message in faults])
    return {"name": _composed(file.stem), **data}


def wax_kept(kept: Mapping[str, Any]) -> Wax:
    """Build a kept wax, without fragrance."""
    tables = {name: value for name, value in kept.items() if name != "name"}
    return replace(plain_wax_of(KeptTables.model_validate(tables).wax), name=kept["name"])


def with_kept(data: Mapping[str, Any], where: str) -> Mapping[str, Any]:
    """Put the kept wax that a scenario names in the place of its name; the same if it names none that is kept."""
    wax = data.get("wax")
    kind = wax.get("kind") if isinstance(wax, Mapping) else None
    if not isinstance(wax, Mapping) or not isinstance(kind, str) or kind in (*wax_names(), *TRADE_NAMES):
        return data
    file = kept_waxes(where).get(_composed(kind))
    return data if file is None else {**data, "wax": {**wax, "kind": read_kept(file)}}


def unfolded(data: Mapping[str, Any]) -> Mapping[str, Any]:
    """Give a scenario the values of the kept wax that stands in the place of its kind; what it states itself wins."""
    kept = kept_in(data)
    if not kept:
        return data
    found = dict(data)
    for table in KeptTables.model_fields:
        own = {name: value for name, value in _table(data, table).items() if (table, name) != ("wax", "kind")}
        rivals = {rival for name in own for rival in _rivals(f"{table}.{name}")}
        known = {name: value for name, value in _table(kept, table).items() if name not in rivals}
        if known or table in data:
            found[table] = known | own
    found["wax"] = {"name": kept["name"], **found["wax"]}
    return found


def kept_in(data: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the kept wax that stands in the place of the kind, with its name; nothing if there is none."""
    kind = _table(data, "wax").get("kind")
    if not isinstance(kind, Mapping) or not isinstance(kind.get("name"), str) or not _table(kind, "wax"):
        return {}
    return kind


def or_kept(data: Mapping[str, Any], where: str) -> str:
    """Say which waxes are kept, as the end of a message about a kind that is not known; nothing if none was named."""
    kind, names = _table(data, "wax").get("kind"), tuple(kept_waxes(where))
    if kind is None or not names:
        return ""
    told = ", ".join(f"'{name}'" for name in names)
    return f", or of those that you kept {told}{suggestion(kind, names)}"


def _table(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = data.get(name)
    return found if isinstance(found, Mapping) else {}


def _rivals(key: str) -> tuple[str, ...]:
    known = all_keys().get(key)
    return () if known is None else tuple(known.said.instead)


def _composed(name: str) -> str:
    """Write letters with their accents as one, which file systems do not."""
    return unicodedata.normalize("NFC", name)

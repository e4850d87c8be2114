"""A fitted wax as its maker keeps it: a plain file with remarks, and what the screen says of it."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from coolsim.report.blocks import Block, Column, Table
from coolsim.report.text.fit import known_word, remarks, sources_text
from coolsim.report.text.page import as_text, wrapped
from coolsim.report.wording import capital, listed, temperature_text
from coolsim.scenario import Scenario
from coolsim.scenario.kept import KEPT_FOLDER, wax_kept
from coolsim.scenario.toml_file import toml_value
from coolsim.studies.fit.fit import Fit
from coolsim.studies.fit.own_wax import OwnWax, is_of_wax, kept_tables
from coolsim.units import System

_WIDTH, _ALIGNED = 96, 40
_LEAST = 0.005  # A share by which the heat differs that is worth a word.


def kept_text(fit: Fit, name: str, *, day: datetime.date) -> str:
    """Write a fitted wax as its maker keeps it."""
    told, scenario = remarks(fit), fit.scenario
    head = (
        f"{toml_value(name)}, a wax of your own, kept on {day.day} {day:%B %Y}.",
        f"Found by `coolsim fit` from {sources_text(fit)}, with the jar of {_plain(Path(scenario.where).name)}"
        f" ({_plain(scenario.title)}). Computed from a model, not measured: of 100 true values 95 lie between the ends"
        " that stand beside them. Oil, jar and room are not in it.",
        f"Scenarios beside the folder {KEPT_FOLDER}, or in folders below, get this wax by these two lines. What else"
        " they state under [wax] wins over what stands here.",
    )
    lines = [f"# {line}" for paragraph in head for line in wrapped(paragraph, _WIDTH)]
    lines += ["#   [wax]", f"#   kind = {toml_value(name)}"]
    for table, values in kept_tables(fit).items():
        lines += ["", f"[{table}]"]
        stated = {key: f"{key} = {toml_value(raw)}" for key, raw in values.items()}
        width = min(max(map(len, stated.values())), _ALIGNED)
        for key, line in stated.items():
            fitted = told.get(f"{table}.{key}")
            remark = fitted[1] if fitted else _stated(key, scenario)
            lines.append(f"{line:<{width}}  # {remark}{_before(fit, f'{table}.{key}')}")
    return "\n".join([*lines, ""])


def found_sentence(own: OwnWax, units: System) -> str:
    """Say what was found of a wax, if anything, and what that does to the jar of its maker."""
    told = []
    for one in own.fit.fields:
        if known_word(one) == "no":
            continue
        before = one.known.centre
        if one.known.key == "wax.freezing_starts":
            told.append(f"freezes from {temperature_text(one.value, units, digits=1)}")
        if one.known.key == "wax.latent_heat":
            share = one.value / before - 1.0
            told.append(
                f"gives {100 * abs(share):.0f} % {'more' if share > 0 else 'less'} heat than assumed"
                if abs(share) >= _LEAST
                else "gives as much heat as assumed"
            )
    late = earlier_text(own, "fully_set_s")
    told.append(f"your {jar_word(own)} is fully set {late}" if late else f"your {jar_word(own)} is not set in the run")
    return f"{capital(': '.join(filter(None, (', '.join(told[:-1]), told[-1]))))}."


def jar_word(own: OwnWax) -> str:
    """Call the jar by what it is: a jar, a tin or a box of several."""
    if own.scenario.jar.places is not None:
        return "box of jars"
    return "tin" if own.scenario.jar.vessel.material.is_metal else "jar"


def earlier_text(own: OwnWax, key: str) -> str:
    """Say by how much a time is sooner with the wax as found; nothing if it is not reached with both."""
    before, after = own.assumed[key], own.found[key]
    if not isinstance(before, float) or not isinstance(after, float):
        return ""
    # As the times are written, to the minute.
    minutes = math.floor(before / 60.0 + 0.5) - math.floor(after / 60.0 + 0.5)
    return f"{abs(minutes)} min {'sooner' if minutes > 0 else 'later'}" if minutes else "at the same time"


def not_kept(fit: Fit) -> str:
    """Name what was fitted and is not the wax's; nothing if all of it is."""
    others = [one.known.key for one in fit.fields if not is_of_wax(one.known.key)]
    return f"Not the wax's, and so not kept with it: {listed(others)}" if others else ""


def kept_note(fit: Fit, file: Path) -> str:
    """Say on the screen where a wax is kept, and what of the fit is not in it."""
    others = not_kept(fit)
    stays = f" {others}; --out writes what was found for this place." if others else ""
    return (
        f"Kept as '{file.stem}' in {file.parent}: scenarios beside that folder, or below, get it by wax.kind ="
        f" '{file.stem}'.{stays}"
    )


def kept_data(file: Path, tables: Mapping[str, Any]) -> dict[str, Any]:
    """Give a kept wax as plain data: its file, and its tables as it states them."""
    return {"file": str(file), **{name: value for name, value in tables.items() if name != "name"}}


def _overview(kept: Mapping[str, tuple[Path, Mapping[str, Any]]]) -> list[Block]:
    """List kept waxes with what matters most, and their folders."""
    rows = []
    for name, (file, tables) in kept.items():
        wax = wax_kept(tables)
        freezes = f"{wax.freezing_starts:g} to {wax.freezing_ends:.3g}"
        rows.append((name, freezes, f"{wax.latent_heat / 1e3:g}", f"  {file.parent}"))
    widths = ((22, False), (16, True), (13, True), (29, False))
    return [
        Table(
            columns=tuple(Column(width=width, right=right) for width, right in widths),
            headings=("wax of your own", "freezes from-to\n[°C]", "latent heat\n[kJ/kg]", "  kept in"),
            rows=tuple(rows),
            gap=0,
            ruled=True,
        )
    ]


kept_overview = as_text(_overview)


def _stated(key: str, scenario: Scenario) -> str:
    if key == "kind":
        return "wax of the catalogue that has all other values"
    return f"as {_plain(Path(scenario.where).name)} states it"


def _before(fit: Fit, key: str) -> str:
    return next((f", before {one.known.raw(one.known.centre)}" for one in fit.fields if one.known.key == key), "")


def _plain(text: str) -> str:
    """Leave out of a text what a comment of TOML must not hold."""
    return "".join(letter if letter.isprintable() else "?" for letter in text)

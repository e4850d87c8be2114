"""What if, in words: what each small change to a jar does, as a table and as plain data."""

from __future__ import annotations

from typing import Any

from coolsim.answers.catalogue import BY_KEY
from coolsim.answers.text import value_text
from coolsim.report.blocks import Block, Column, Note, Row, Table
from coolsim.report.text.changes import TURNS, change_text, value_data
from coolsim.report.text.page import wrapped
from coolsim.report.wording import (
    WORST_OF_A_BOX,
    capital,
    hours_minutes,
    length_text,
    narrow_cell,
    narrow_head,
    temperature_text,
)
from coolsim.studies.pour.changes import Change
from coolsim.studies.workshop.boxes import spacing_of
from coolsim.studies.workshop.whatif import TIMES_WITHIN, TOPS_WITHIN, Effect, Outcome, WhatIf
from coolsim.units import System

WORDS = {1: "better", 0: "no difference", -1: "worse"}
"""What a change is called by whether it helps."""

BETTER = (
    "Better means: fewer faults (a first skin that stays as rings, a pour beyond a limit, wax that is not set); where"
    " they are the same, less sunk; where that is no different, sooner set."
)
"""What better means, in one sentence."""

WITHIN = f"No different: times within {100 * TIMES_WITHIN:.0f} % and tops within {100 * TOPS_WITHIN:.0f} %."
"""What counts as no difference."""

_LOST = "dish_volume_m3"  # sunk volume and cavity together are written as each of them
_NO_ANSWER = "no answer"
_WIDTH = 39


def sunk_text(one: Outcome, units: System) -> str:
    """Write sunk volume and cavity together, with their unit; a dash for wax that is not set."""
    if one.lost is None:
        return value_text(BY_KEY[_LOST], None, units)
    head = narrow_head(_LOST, units, "both")
    return f"{narrow_cell(_LOST, {_LOST: one.lost}, units)} {head.rpartition(chr(10))[2]}"


def set_text(one: Outcome) -> str:
    """Write when it is fully set, with its unit; a dash if it is not within the run."""
    told = value_text(BY_KEY["fully_set_s"], one.set_at, "metric")
    return told if one.set_at is None or told.endswith("min") else f"{told} h"


def now_text(change: Change, units: System) -> str:
    """Say how it is without a change that has a value; empty for one without."""
    jar = change.scenario.jar
    if change.value is None or change.name in ("cover the flaps", "lay a towel under it"):
        return ""
    if change.name == "fill less" and isinstance(change.value, float):
        return f"{length_text(change.value * jar.depth, units)}, now {length_text(jar.depth, units)}"
    if change.name == "other wax":
        return f"now {change.scenario.file.wax.kind.replace('-', ' ')}"
    if change.name == "stand them apart":
        apart = None if jar.places is None else spacing_of(jar.places, jar.vessel.diameter)
        return "" if apart is None else f"now {length_text(apart, units)}"
    water = jar.room.at(0.0) if jar.water is None else jar.water.temperature
    now = {"jar": jar.vessel_start, "room": jar.room.at(0.0), "water": water}.get(
        change.name.rpartition(" ")[2], jar.pour
    )
    return f"now {temperature_text(now, units)}"


def what_text(change: Change, units: System) -> str:
    """Write a change with how it is now."""
    now = now_text(change, units)
    return f"{capital(change_text(change.name, change.value, units))}{f' ({now})' if now else ''}"


def word_of(found: WhatIf, one: Outcome) -> str:
    """Say in a word whether a change helps."""
    return _NO_ANSWER if one.answers is None else WORDS[found.effect(one).better]


def effect_text(found: WhatIf, one: Outcome) -> str:
    """Say what a change does: first what makes it better, or worse, then what speaks against that."""
    if one.answers is None:
        return one.fault or ""
    effect = found.effect(one)
    good, bad = _sides(effect)
    first, second, joined = (bad, good, ", though ") if effect.better < 0 else (good, bad, ", but ")
    return joined.join(", ".join(one) for one in (first, second) if one) or "top and time stay the same"


def _sides(effect: Effect) -> tuple[list[str], list[str]]:
    good, bad = [TURNS[one][0] for one in effect.ends], [TURNS[one][1] for one in effect.brings]
    if effect.top:
        share = f"{abs(100 * effect.share):.0f} %"
        (good if effect.top > 0 else bad).append(f"{share} {'less' if effect.top > 0 else 'more'} sunk")
    if effect.time:
        later = hours_minutes(abs(effect.later))
        (good if effect.time > 0 else bad).append(f"set {later} h {'sooner' if effect.time > 0 else 'later'}")
    return good, bad


def faults_text(usual: Outcome) -> str:
    """Say which faults the jar has as it is; empty if it has none."""
    return ", ".join(TURNS[one][1].replace(" then ", " ") for one in sorted(usual.faults))


def notes(found: WhatIf) -> list[str]:
    """Say what better means, what is counted, and what the numbers rest on."""
    told = [BETTER, WITHIN, "Sunk: sunk volume and hidden cavity together, as `coolsim pour` ranks its pours."]
    if any(one.change is not None and one.change.name == "other wax" for one in found.tried):
        told.append("The other wax has the values of the catalogue, most of them estimates, in place of your own.")
    if found.usual.scenario.jar.places is not None:
        told.append(WORST_OF_A_BOX)
    return told


def whatif_blocks(found: WhatIf, *, units: System) -> list[Block]:
    """Write the jar as it is and what each change does, what helps most first."""
    faults = faults_text(found.usual)
    rows: list[Row] = [("", "As it is", *_cells(found.usual, units), "")]
    rows += [f"     {line}" for line in wrapped(capital(faults), 74)] if faults else []
    for number, one in enumerate(found.tried, start=1):
        if one.change is not None:
            rows.append((str(number), what_text(one.change, units), *_cells(one, units), f" {word_of(found, one)}"))
            rows += [f"     {line}" for line in wrapped(capital(effect_text(found, one)), 74)]
    heads = (narrow_head(key, units) for key in ("fully_set_s", _LOST, "depth_m"))
    table = Table(
        columns=(
            Column(width=2, right=True),
            Column(width=_WIDTH),
            *[Column(width=6, right=True)] * 3,
            Column(width=14),
        ),
        headings=("", "What if", *heads, ""),
        rows=tuple(rows),
        gap=1,
        ruled=True,
    )
    return [Note(f"What if: {found.usual.scenario.title}"), table, Note(" ".join(notes(found)))]


def _cells(one: Outcome, units: System) -> list[str]:
    if one.answers is None:
        return ["–"] * 3
    lost = "–" if one.lost is None else narrow_cell(_LOST, {_LOST: one.lost}, units)
    return [narrow_cell("fully_set_s", one.answers, units), lost, narrow_cell("depth_m", one.answers, units)]


def whatif_data(found: WhatIf) -> dict[str, Any]:
    """Give the same as plain data: in SI and °C, the unit at the end of each key."""
    return {
        "better_means": BETTER,
        "times_within": TIMES_WITHIN,
        "tops_within": TOPS_WITHIN,
        "usual": _outcome_data(found.usual),
        "changes": [
            {
                "change": one.change.name,
                **value_data(one.change.name, one.change.value),
                "verdict": word_of(found, one),
                "says": effect_text(found, one),
                **_outcome_data(one),
            }
            for one in found.tried
            if one.change is not None
        ],
    }


def _outcome_data(one: Outcome) -> dict[str, Any]:
    return {
        "fully_set_s": one.set_at,
        "sunk_and_cavity_m3": one.lost,
        "faults": sorted(one.faults),
        "fault": one.fault,
        "answers": one.answers,
    }

"""What if, in words: what each small change to a jar does, as a table and as plain data."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coolsim.answers.catalogue import BY_KEY
from coolsim.answers.text import value_text
from coolsim.report.blocks import Block, Column, Note, Row, Table
from coolsim.report.text.changes import change_text, made_up_box_note, value_data
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
from coolsim.studies.pour.changes import WorkshopChange
from coolsim.studies.workshop.boxes import spacing_of
from coolsim.studies.workshop.whatif import LEAST_TIME, TIMES_WITHIN, TOPS_WITHIN, Fault, Outcome, WhatIf
from coolsim.units import System

WORDS = {1: "better", 0: "no difference", -1: "worse"}
"""What a change is called by whether it helps."""

BETTER = (
    "Better means: fewer faults (a first skin that stays as rings, a pour beyond a limit, wax that is not set); where"
    " they are the same, less sunk; where that is no different, sooner set."
)
"""What better means, in one sentence."""

WITHIN = (
    f"No different: times within {100 * TIMES_WITHIN:.0f} % or {LEAST_TIME / 60:.0f} minutes, tops within"
    f" {100 * TOPS_WITHIN:.0f} %."
)
"""What counts as no difference."""

_FAULTS: dict[Fault, tuple[str, str]] = {
    "skin stays": ("no more rings", "rings at the wall"),
    "jar shock": ("within the shock limit", "beyond the shock limit"),
    "too near freezing": ("clear of freezing", "poured too near freezing"),
    "cloudy": ("no longer cloudy", "poured cloudy"),
    "wax maker's limit": ("within the limit of the wax", "above the limit of the wax"),
    "fragrance limit": ("within the limit of the oil", "above the limit of the oil"),
    "not set": ("set within the run", "not set when the run ends"),
}
# What is said where a change ends a fault, and where it brings one.
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


def now_text(change: WorkshopChange, units: System) -> str:
    """Say how it is without a change that has a value; empty for one without."""
    jar = change.scenario.jar
    if change.value is None or change.name in ("cover the flaps", "lay a towel under it"):
        return ""
    if change.name == "fill less" and isinstance(change.value, float):
        return f"{length_text(change.value * jar.depth, units)}, now {length_text(jar.depth, units)}"
    if change.name == "other wax":
        return f"now {change.scenario.file.wax.called}"
    if change.name == "stand them apart":
        apart = None if jar.places is None else spacing_of(jar.places, jar.vessel.diameter)
        return "" if apart is None else f"now {length_text(apart, units)}"
    water = jar.room.at(0.0) if jar.water is None else jar.water.temperature
    now = {"jar": jar.vessel_start, "room": jar.room.at(0.0), "water": water}.get(
        change.name.rpartition(" ")[2], jar.pour
    )
    return f"now {temperature_text(now, units)}"


def what_text(change: WorkshopChange, units: System) -> str:
    """Write a change with how it is now."""
    now = now_text(change, units)
    return f"{capital(change_text(change.name, change.value, units))}{f' ({now})' if now else ''}"


def word_of(found: WhatIf, one: Outcome) -> str:
    """Say in a word whether a change helps."""
    return _NO_ANSWER if one.answers is None else WORDS[found.effect(one).better]


def effect_text(found: WhatIf, one: Outcome) -> str:
    """Say what a change does beside the faults that it brings: what decides first, then what speaks against that."""
    if one.answers is None:
        return one.fault or ""
    effect = found.effect(one)
    good, bad = [_FAULTS[fault][0] for fault in effect.ends], list[str]()
    if effect.top:
        share = f"{abs(100 * effect.share):.0f} %"
        (good if effect.top > 0 else bad).append(f"{share} {'less' if effect.top > 0 else 'more'} sunk")
    if effect.time:
        later = hours_minutes(abs(effect.later))
        (good if effect.time > 0 else bad).append(f"set {later} h {'sooner' if effect.time > 0 else 'later'}")
    worse = not effect.ends and (effect.top or effect.time) < 0
    first, second, joined = (bad, good, ", though ") if worse else (good, bad, ", but ")
    return joined.join(", ".join(side) for side in (first, second) if side) or "top and time no different"


def flag_text(found: WhatIf, one: Outcome) -> str:
    """Name the faults that a change brings; of the jar as it is, those that it has. Empty without any."""
    faults = one.faults if one is found.usual else found.effect(one).brings
    return faults_text(faults)


def faults_text(faults: Iterable[Fault]) -> str:
    """Name what speaks against a jar whatever its top; empty without any."""
    return capital(", ".join(_FAULTS[fault][1] for fault in sorted(faults)))


SUNK = "Sunk: sunk volume and hidden cavity together, as `coolsim pour` ranks its pours."
"""What is counted."""


def rests_on(found: WhatIf, units: System) -> list[str]:
    """Say what the numbers rest on: which box, which wax, which room and which jar of a box."""
    jar = found.usual.scenario.jar
    named = {one.change.name: one.change for one in found.tried if one.change is not None}
    boxed = named.get("put it into the box")
    told = []
    if boxed is not None and boxed.scenario.jar.surround is not None:
        told.append(made_up_box_note(boxed.scenario.jar.surround, units))
    if "other wax" in named:
        told.append("The other wax has the values of the catalogue, most of them estimates, in place of your own.")
    if callable(jar.room.temperature):
        told.append("A room that is warmed or cooled keeps that temperature all the time, in place of its own course.")
    if jar.places is not None:
        told.append(WORST_OF_A_BOX)
    return told


def whatif_blocks(found: WhatIf, *, units: System) -> list[Block]:
    """Write the jar as it is and what each change does, what helps most first."""
    rows: list[Row] = [("", "As it is", *_cells(found.usual, units), ""), *_said(flag_text(found, found.usual))]
    for number, one in enumerate(found.tried, start=1):
        if one.change is not None:
            rows.append((str(number), what_text(one.change, units), *_cells(one, units), f" {word_of(found, one)}"))
            rows += [*_said(flag_text(found, one)), *_said(effect_text(found, one), mark=" ")]
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
    return [
        Note(f"What if: {found.usual.scenario.title}"),
        table,
        Note(f"{BETTER} {WITHIN} {SUNK}"),
        *(Note(told, rests=True) for told in rests_on(found, units)),
    ]


def _said(told: str, *, mark: str = "!") -> list[str]:
    return [f"   {mark} {line}" for line in wrapped(capital(told), 74)] if told else []


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
                "brings": list(found.effect(one).brings),
                "ends": list(found.effect(one).ends),
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

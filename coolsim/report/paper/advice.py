"""What to change when the top goes wrong, in words and with the numbers of both runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from coolsim.answers.answer import Value
from coolsim.answers.catalogue import beyond_shock, skin_stays
from coolsim.report.blocks import Block, Column, Row, Table
from coolsim.report.text.changes import change_text
from coolsim.report.text.page import as_text, wrapped
from coolsim.report.wording import capital, hours_minutes, in_units, volume_units
from coolsim.studies.workshop.advice import ADVISED, SAME_WITHIN, Advice, TriedChange
from coolsim.units import System

ADVICE_NOTE = (
    "Each line is a run of this very jar with one thing changed; the line above them is the same jar as it is. Dish:"
    " how far the top half-way in lies below its rim. Hole: how far the middle lies below that. Cavity: the hollow"
    f" hidden under it. What changes by less than {100 * SAME_WITHIN:.0f} % is called the same: the model does not tell"
    " it apart. Change one thing at a time, and only within the data sheets of wax, fragrance and glass."
)
"""What stands by the table."""

_BETTER = {"dish_m": "flatter dish", "hole_m": "shallower hole", "cavity_volume_m3": "smaller cavity"}
_WORSE = {"dish_m": "deeper dish", "hole_m": "deeper hole", "cavity_volume_m3": "larger cavity"}
_NONE = "–"
_FIRST = 36


def effect_text(advice: Advice, trial: TriedChange) -> str:
    """Say what a change does: first what gets better, then what gets worse."""
    if trial.answers is None:
        known = trial.fault in ("against the data sheet", "too near freezing")
        return f"Not tried: {trial.fault if known else 'not possible for this jar and wax'}"
    effects = advice.effects(trial)
    if not effects:
        return "No answer: the wax did not set within the run"
    kept, broken = _turns(advice, trial.answers)
    better = [*(_BETTER[name] for name, effect in effects.items() if effect > 0), *kept]
    worse = [*(_WORSE[name] for name, effect in effects.items() if effect < 0), *broken]
    return capital(", but ".join(", ".join(one) for one in (better, worse) if one) or "the top stays the same")


def _turns(advice: Advice, answers: Mapping[str, Value]) -> tuple[list[str], list[str]]:
    """Say which limits are kept that were broken without the change, and which are broken that were kept."""
    turns = (
        (skin_stays, "the first skin then melts again", "the first skin at the wall then stays"),
        (beyond_shock, "no longer beyond the shock limit", "beyond the shock limit of the jar"),
    )
    before, after = ([breaks(one) for breaks, *_ in turns] for one in (advice.usual, answers))
    changed = list(zip(before, after, turns, strict=True))
    return (
        [ends for was, now, (_, ends, _) in changed if was and not now],
        [begins for was, now, (_, _, begins) in changed if now and not was],
    )


def advice_cells(answers: Mapping[str, Value] | None, units: System) -> list[str]:
    """Write dish, hole, cavity and when a run is fully set, without units."""
    if answers is None or not isinstance(answers["fully_set_s"], float):
        return [_NONE] * 4
    # Numbers below each other have the same decimals.
    digits, length, volume = 1 if units == "metric" else 2, in_units("length", units)[0], volume_units(units)[0]
    values = ((answers[one.key], length if one.kind == "length" else volume) for one in ADVISED)
    cells = [f"{factor * one:z.{digits}f}" if isinstance(one, int | float) else _NONE for one, factor in values]
    return [*cells, hours_minutes(answers["fully_set_s"])]


def advice_heads(units: System) -> list[str]:
    """Write the heads of these columns, with their units."""
    length, volume = in_units("length", units)[2], volume_units(units)[1]
    return [f"dish [{length}]", f"hole [{length}]", f"cavity [{volume}]", "set [h:mm]"]


def _changes(advice: Advice, name: str, units: System) -> Table:
    rows: list[Row] = [("As it is", *advice_cells(advice.usual, units))]
    for trial in advice.trials:
        rows.append((capital(change_text(trial.change, trial.value, units)), *advice_cells(trial.answers, units)))
        rows += [f"    {line}" for line in wrapped(effect_text(advice, trial), 76)]
    first = f"What to change\n{name[: _FIRST - 2]}"
    return Table(
        columns=(Column(width=_FIRST), *[Column(width=11, right=True)] * 4),
        headings=(first, *(head.replace(" ", "\n", 1) for head in advice_heads(units))),
        rows=tuple(rows),
        gap=0,
        ruled=True,
    )


def _tables(found: Sequence[Advice], names: Sequence[str], *, units: System) -> list[Block]:
    return [_changes(advice, name, units) for advice, name in zip(found, names, strict=True)]


advice_text = as_text(_tables)
"""Writes a table of changes for each scenario, at most 80 columns wide."""

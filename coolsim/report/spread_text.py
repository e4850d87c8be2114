"""How far answers spread, as text and as data."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Sequence
from typing import Any

from coolsim.report.estimates import estimates_note
from coolsim.report.pour_text import volume_units
from coolsim.report.tables import WIDTH, paragraph
from coolsim.report.wording import CAUTION, difference_text, hours_minutes, in_units, temperature_text
from coolsim.scenario.plausible import Plausible
from coolsim.studies.influence import MainEffects
from coolsim.studies.spread import HIGH, LOW, Spread, SpreadAnswer
from coolsim.units import System, format_quantity

_LABELS, _NUMBERS = 30, 10
_KEYS, _VALUES = 26, 14
_HANGS = 24
_RULE = "-" * WIDTH
_NONE = "–"
_SHOWN, _LEAST_SHOWN = 4, 0.05
_YOURS = "stated with the command"

_GROUPS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    (
        "First skin at the glass",
        (("Lowest temperature", "skin_coldest_C"), ("Melts again", "skin_melted_again_s")),
    ),
    (
        "Setting [h:mm since the pour]",
        (
            ("Rim set", "rim_set_s"),
            ("Wick free until", "wick_free_until_s"),
            ("Top closed", "top_closed_s"),
            ("Fully set", "fully_set_s"),
            ("Solid throughout", "solid_throughout_s"),
            ("May be lidded", "cool_s"),
        ),
    ),
    (
        "Top and inside (estimates)",
        (
            ("Middle minus rim", "flatness_m"),
            ("Rim below the pour", "rim_dip_m"),
            ("Middle below the pour", "centre_dip_m"),
            ("Dish", "dish_volume_m3"),
            ("Hidden cavity", "cavity_volume_m3"),
            ("Its roof under the top", "cavity_roof_m"),
        ),
    ),
    ("Last liquid and heat", (
        ("Last liquid above bottom", "last_liquid_above_bottom_m"),
        ("Heat through the top", "heat_share_top"),
        ("Heat through the side", "heat_share_side"),
        ("Heat through the base", "heat_share_base"),
    )),
)  # fmt: skip
LABELS = {name: label for _, rows in _GROUPS for label, name in rows}
"""What the answers are called."""


def spread_text(found: Spread, *, units: System) -> str:
    """Write how far answers spread.

    Parameters
    ----------
    found : Spread
        The spread.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        Bands of the answers, shares of the cases, what they hang on, what was varied and notes; lines of at most 80
        columns.
    """
    parts = [paragraph(f"Spread: {found.scenario.title}"), _answers(found, units), _chances(found), _influence(found)]
    parts += [_inputs(found, units), *(paragraph(note) for note in _notes(found, units))]
    return "\n\n".join(part for part in parts if part)


def spread_data(found: Spread) -> dict[str, Any]:
    """Give how far answers spread as plain data.

    Parameters
    ----------
    found : Spread
        The spread.

    Returns
    -------
    dict
        In SI and °C, the unit at the end of each name. A number that does not occur, or comes after the end of the
        runs, is None.
    """
    keys = [known.key for known in found.inputs]
    return {
        "title": found.scenario.title,
        "runs": len(found.rows),
        "seed": found.seed,
        "distribution": "triangular",
        "passed_over": found.passed_over,
        "refinement": found.refinement,
        "tolerance_K": found.tolerance,
        "band": [LOW, HIGH],
        "inputs": [
            {
                "key": known.key, "low": known.low, "likeliest": known.centre, "high": known.high,
                "even_in": known.space, "source": known.source,
            }
            for known in found.inputs
        ],
        "stated": list(found.stated),
        "answers": {
            one.name: {
                "as_stated": _finite(one.nominal), "low": _finite(one.low), "median": _finite(one.median),
                "high": _finite(one.high), "occurs": one.occurs, "influence": _effects(one.effects, keys),
            }
            for one in found.answers
        },
        "chances": [
            {
                "what": one.name, "as_stated": one.nominal, "share": one.share,
                "influence": _effects(one.effects, keys),
            }
            for one in found.chances
        ],
        "curves": {
            "time_s": found.time.tolist(),
            **{
                band.name: {
                    "as_stated_C": band.nominal.tolist(), "low_C": band.low.tolist(),
                    "median_C": band.median.tolist(), "high_C": band.high.tolist(),
                }
                for band in found.bands
            },
        },
        "failed": [row.fault for row in found.rows if row.fault is not None],
    }  # fmt: skip


def _finite(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else value


def _effects(effects: MainEffects | None, keys: Sequence[str]) -> dict[str, Any] | None:
    if effects is None:
        return None
    return {
        "shares": dict(zip(keys, effects.shares.tolist(), strict=True)),
        "trends": dict(zip(keys, effects.trends.tolist(), strict=True)),
        "unexplained": effects.unexplained,
        "chance": effects.noise,
        "degree": effects.degree,
    }


def _answers(found: Spread, units: System) -> str:
    heads = ("as stated", "10 %", "median", "90 %", "occurs")
    lines = [_row("", heads), _RULE]
    for heading, rows in _GROUPS:
        lines.append(heading)
        for label, name in rows:
            one = found.answer(name)
            unit, write = writer(name, units)
            cells = [write(value) for value in (one.nominal, one.low, one.median, one.high)]
            lines.append(_row(f"  {label}{f' [{unit}]' if unit else ''}", (*cells, _percent(one.occurs))))
    return "\n".join((*lines, _RULE))


def writer(name: str, units: System) -> tuple[str, Callable[[float | None], str]]:
    """Tell how an answer is written.

    Parameters
    ----------
    name : str
        Its name in `coolsim.studies.point.ANSWERS`, unit at the end.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    unit, write : str, callable
        The unit, empty for a time on the clock, and what turns a number into text.
    """
    symbol = name.rpartition("_")[2]
    if name == "skin_melted_again_s":
        return "min", _writes(1 / 60.0, 1)
    if symbol == "s":
        return "", lambda value: _NONE if value is None else "later" if math.isinf(value) else hours_minutes(value)
    if symbol == "C":
        scale, offset, degree = in_units("temperature", units)
        return degree, _writes(scale, 1, offset)
    if symbol == "m":
        factor, _, unit = in_units("length", units)
        return unit, _writes(factor, 1 if units == "metric" else 2)
    if symbol == "m3":
        factor, unit = volume_units(units)
        return unit, _writes(factor, 1 if units == "metric" else 2)
    return "%", _writes(100.0, 0)


def _writes(factor: float, digits: int, offset: float = 0.0) -> Callable[[float | None], str]:
    return lambda value: _NONE if value is None else f"{factor * value + offset:z.{digits}f}"


def _row(label: str, cells: Sequence[str]) -> str:
    return f"{label:<{_LABELS}}" + "".join(f"{cell:>{_NUMBERS}}" for cell in cells)


def _percent(share: float) -> str:
    # A case in a thousand is neither none nor all.
    shown = f"{100 * share:.0f}"
    return f"{shown} %" if shown not in ("0", "100") or share in (0.0, 1.0) else f"{100 * share:.1f} %"


def _chances(found: Spread) -> str:
    lines = [f"{'In how many of the cases':<{_LABELS}}{'as stated':>{_NUMBERS}}{'share':>{_NUMBERS}}", _RULE]
    for one in found.chances:
        if one.share > 0.0 or one.nominal:
            own = "yes" if one.nominal else "no"
            lines.append(f"{f'  {one.name}':<{_LABELS}}{own:>{_NUMBERS}}{_percent(one.share):>{_NUMBERS}}")
    return "\n".join((*lines, _RULE))


def _influence(found: Spread) -> str:
    named: list[tuple[str, MainEffects | None]] = []
    for name, label in LABELS.items():
        named.append((label, found.answer(name).effects))
    named += [(one.name[0].upper() + one.name[1:], one.effects) for one in found.chances]
    told = [(label, effects) for label, effects in named if effects is not None]
    if not told:
        return paragraph(
            f"What the answers hang on: {len(found.rows)} runs are too few to tell for {len(found.inputs)} inputs. Make"
            f" at least {3 * (len(found.inputs) + 1)} runs, or vary fewer keys."
        )
    lines = ["What the answers hang on, by the share of the variance", _RULE]
    for label, effects in told:
        text = _hangs_on([known.key for known in found.inputs], effects)
        block = textwrap.wrap(text, WIDTH - _HANGS - 2)
        first = textwrap.wrap(f"{label}", _HANGS - 1)
        for index in range(max(len(block), len(first))):
            left = first[index] if index < len(first) else ""
            right = block[index] if index < len(block) else ""
            lines.append(f"{left:<{_HANGS}}  {right}".rstrip())
    return "\n".join((*lines, _RULE))


def _hangs_on(keys: Sequence[str], effects: MainEffects) -> str:
    least = max(_LEAST_SHOWN, effects.noise)
    ranked = sorted(zip(effects.shares.tolist(), keys, effects.trends.tolist(), strict=True), reverse=True)
    shown = [(share, key, trend) for share, key, trend in ranked if share >= least][:_SHOWN]
    parts = [f"{'+' if trend > 0.0 else '-'}{key} {100 * share:.0f} %" for share, key, trend in shown]
    rest = f"not by one alone {100 * min(effects.unexplained, 1.0):.0f} %"
    return ", ".join(one.replace(" %", "\N{NO-BREAK SPACE}%") for one in (*(parts or ["none stands out"]), rest))


def _inputs(found: Spread, units: System) -> str:
    heads = ("from", "likeliest", "to")
    lines = [f"{'What was varied':<{_KEYS}}" + "".join(f"{head:>{_VALUES}}" for head in heads), _RULE]
    for known in found.inputs:
        cells = [value_text(known, value, units) for value in (known.low, known.centre, known.high)]
        mark = "yours" if known.source == _YOURS else known.source.partition(":")[0]
        mark = textwrap.shorten(mark, WIDTH - _KEYS - 3 * _VALUES - 1, placeholder="…")
        lines.append(f"{known.key:<{_KEYS}}" + "".join(f"{cell:>{_VALUES}}" for cell in cells) + f" {mark}")
    return "\n".join((*lines, _RULE))


def value_text(known: Plausible, value: float, units: System) -> str:
    """Write a value of an input.

    Parameters
    ----------
    known : Plausible
        The input.
    value : float
        Its value [SI, °C].
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        Number and unit.
    """
    if known.kind is None:
        return f"{value:.3g}"
    if known.kind == "duration":
        return f"{value:.0f} s"
    if known.kind == "temperature":
        return temperature_text(value, units, digits=1)
    return format_quantity(value, known.kind, system=units)


def _notes(found: Spread, units: System) -> list[str]:
    texts = [
        f"Estimates: {len(found.rows)} runs (seed {found.seed}) with values drawn on their own from these ranges. Each"
        " is likeliest at the scenario's value and gets rarer in a straight line to both ends (a triangle); nobody"
        " measured that. Eight cases in ten lie between 10 % and 90 %. The error of the model itself, draughts and"
        " slips of the hand come on top.",
    ]
    if found.stated:
        texts.append(
            f"Not varied, as the scenario states them: {', '.join(found.stated)}. `--vary usual --vary"
            f" {found.stated[0]}` varies one all the same."
        )
    effects = [one.effects for one in (*found.answers, *found.chances) if one.effects is not None]
    if effects:
        texts.append(
            "+ before a key: more of it gives a larger figure, - a smaller one. Shares are those of each key by itself"
            " (main effects, regression on the draws); inputs acting together and steps are what is not by one alone."
            f" Shares below {100 * max(_LEAST_SHOWN, *(one.noise for one in effects)):.0f} % are left out or may be"
            " chance."
        )
    own = found.scenario.jar.accuracy
    if (found.refinement, found.tolerance) != (own.refinement, own.tolerance):
        texts.append(
            f"Run on {found.refinement:g} times the usual number of cells each way, with errors of"
            f" {difference_text(found.tolerance, units)} in a step: 'as stated' differs from `coolsim run` by about 1 %"
            " in times and by 5 to 10 % in top and cavity. --own-grid runs as finely as the scenario asks."
        )
    if found.passed_over:
        texts.append(
            f"{found.passed_over} draws were no possible scenario, such as freezing that ends above its start, and were"
            " passed over."
        )
    failed = [row.fault for row in found.rows if row.fault is not None]
    if failed:
        texts.append(
            f"Warning: {len(failed)} of {len(found.rows)} runs failed and are left out; the first: {failed[0]}"
        )
    texts += ["The workshop and its figures are invented."] if found.scenario.invented else []
    return [*texts, estimates_note([found.scenario]), CAUTION]


def occurs_text(one: SpreadAnswer) -> str:
    """Write in how many cases an answer occurs, if not in all.

    Parameters
    ----------
    one : SpreadAnswer
        The answer.

    Returns
    -------
    str
        A clause; empty if it always occurs.
    """
    return "" if one.occurs == 1.0 else f"in {_percent(one.occurs)} of the cases"

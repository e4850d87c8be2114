"""How far answers spread, as text and as data."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from itertools import groupby
from typing import Any

from coolsim.answers.catalogue import COMPARED, HEADINGS
from coolsim.report.blocks import HARD_SPACE, Block, Column, Note, Row, Table
from coolsim.report.estimates import estimates
from coolsim.report.text.page import as_text
from coolsim.report.wording import WORST_OF_A_BOX, capital, column_of, difference_text, temperature_text
from coolsim.scenario.plausible import Plausible
from coolsim.studies.spread.influence import RUNS_FOR_EACH, MainEffects
from coolsim.studies.spread.spread import HIGH, LOW, Spread
from coolsim.units import System, format_quantity

_MARKS = 11
_SHOWN, _LEAST_SHOWN, _MOST_UNEXPLAINED = 4, 0.05, 0.7
_YOURS = "stated with the command"


def spread_blocks(found: Spread, *, units: System) -> list[Block]:
    """Write bands of the answers, shares of the cases, what they depend on, what was varied and notes."""
    return [
        Note(f"Spread: {found.scenario.title}"),
        *([] if found.scenario.jar.places is None else [Note(WORST_OF_A_BOX)]),
        _answers(found, units),
        _chances(found),
        _influence(found),
        _inputs(found, units),
        *(Note(text, rests=not text.startswith("Warning:")) for text in _notes(found, units)),
    ]


spread_text = as_text(spread_blocks)


def spread_data(found: Spread) -> dict[str, Any]:
    """Give how far answers spread as plain data: in SI and °C, the unit at the end of each name.

    A number that does not occur, or comes after the end of the runs, is None.
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


def _answers(found: Spread, units: System) -> Table:
    rows: list[Row] = []
    for group, answers in groupby(COMPARED, key=lambda answer: answer.group):
        rows.append(HEADINGS[group])
        for answer in answers:
            one = found.answer(answer.key)
            unit, write = column_of(answer, units)
            label = f"{answer.label} [{unit}]" if unit else capital(answer.called)
            rows.append((f"  {label}", *map(write, one.band), _percent(one.occurs)))
    return Table(
        columns=(Column(width=30), *[Column(width=10, right=True)] * 5),
        headings=("", "as stated", "10 %", "median", "90 %", "occurs"),
        rows=tuple(rows),
        gap=0,
        ruled=True,
    )


def _percent(share: float) -> str:
    # A case in a thousand is neither none nor all.
    shown = f"{100 * share:.0f}"
    return f"{shown} %" if shown not in ("0", "100") or share in (0.0, 1.0) else f"{100 * share:.1f} %"


def _chances(found: Spread) -> Table:
    return Table(
        columns=(Column(width=34), *[Column(width=10, right=True)] * 2),
        headings=("In how many of the cases", "as stated", "share"),
        rows=tuple(
            (f"  {capital(one.name)}", "yes" if one.nominal else "no", _percent(one.share))
            for one in found.chances
            if one.share > 0.0 or one.nominal
        ),
        gap=0,
        ruled=True,
    )


def _influence(found: Spread) -> Block:
    keys = [known.key for known in found.inputs]
    named = [(capital(answer.called), found.answer(answer.key).effects) for answer in COMPARED]
    named += [(capital(one.name), one.effects) for one in found.chances]
    told = [(label, _depends_on(keys, effects)) for label, effects in named if effects is not None and _tells(effects)]
    if not told:
        return Note(
            f"What the answers depend on: {len(found.rows)} runs are too few to tell for {len(keys)} inputs. Make at"
            f" least {RUNS_FOR_EACH * (len(keys) + 1)} runs, or vary fewer keys."
        )
    # The wick is often free until the very moment when the top closes.
    same = ((", ".join(label for label, _ in group), text) for text, group in groupby(told, key=lambda one: one[1]))
    return Table(
        title="What the answers depend on, by the share of the variance\n"
        "(+ more of it gives a larger figure, - a smaller one)",
        columns=(Column(width=22), Column(width=56)),
        rows=tuple(same),
        ruled=True,
    )


def _tells(effects: MainEffects) -> bool:
    return effects.unexplained <= _MOST_UNEXPLAINED


def _depends_on(keys: Sequence[str], effects: MainEffects) -> str:
    least = max(_LEAST_SHOWN, effects.noise)
    ranked = sorted(zip(effects.shares.tolist(), keys, effects.trends.tolist(), strict=True), reverse=True)
    shown = [(share, key, trend) for share, key, trend in ranked if share >= least][:_SHOWN]
    parts = [f"{'+' if trend > 0.0 else '-'}{key} {100 * share:.0f} %" for share, key, trend in shown]
    rest = f"not by one alone {100 * min(effects.unexplained, 1.0):.0f} %"
    return ", ".join(one.replace(" %", f"{HARD_SPACE}%") for one in (*(parts or ["none stands out"]), rest))


def _inputs(found: Spread, units: System) -> Table:
    rows = []
    for known in found.inputs:
        # What a published model gives is no published value.
        mark = known.source.partition(":")[0].partition(",")[0].removeprefix("published ")
        mark = "yours" if known.source == _YOURS else mark
        mark = textwrap.shorten(mark, _MARKS, placeholder="…")
        rows.append(
            (known.key, *(_input_text(known, one, units) for one in (known.low, known.centre, known.high)), f" {mark}")
        )
    return Table(
        columns=(Column(width=26), *[Column(width=14, right=True)] * 3, Column(width=_MARKS + 1)),
        headings=("What was varied", "from", "likeliest", "to", ""),
        rows=tuple(rows),
        gap=0,
        ruled=True,
    )


def _input_text(known: Plausible, value: float, units: System) -> str:
    """Write a value of an input [SI, °C] with its unit."""
    if known.kind is None:
        return f"{value:.3g}"
    if known.kind == "duration":
        return f"{value:.0f} s"
    if known.kind == "temperature":
        return temperature_text(value, units, digits=1)
    return format_quantity(value, known.kind, system=units)


def _notes(found: Spread, units: System) -> list[str]:
    texts = [
        f"Estimates: {len(found.rows)} runs (seed {found.seed}) with values drawn from these ranges, each on its own,"
        " likeliest at the scenario's value and rarer in a straight line towards both ends (a triangle); nobody"
        " measured that. Where a range is lopsided, the median is not what the scenario gives. Eight cases in ten lie"
        f" between 10{HARD_SPACE}% and 90{HARD_SPACE}%. The error of the model, draughts and slips of the hand are not"
        " in them."
    ]
    if found.stated:
        texts.append(
            f"Not varied, because the scenario states them: {', '.join(found.stated)}. `--vary usual --vary"
            f" {found.stated[-1]}` varies one anyway."
        )
    others = dict.fromkeys(key for _, keys in estimates(found.scenario) for key in keys)
    left = [key for key in others if key not in {known.key for known in found.inputs}]
    if left:
        texts.append(f"Estimated, too, but not varied: {', '.join(left)}.")
    every = [*(one.effects for one in found.answers), *(one.effects for one in found.chances)]
    told = [effects.noise for effects in every if effects is not None and _tells(effects)]
    if told:
        noise = max(_LEAST_SHOWN, *told)
        texts.append(
            "Shares are those of each key by itself (main effects, by regression on the draws); what keys do together,"
            f" and steps, are not by one alone. Shares below {100 * noise:.0f}{HARD_SPACE}% may be chance."
        )
    own = found.scenario.jar.accuracy
    if (found.refinement, found.tolerance) != (own.refinement, own.tolerance):
        texts.append(
            f"Cells are {own.refinement / found.refinement:.2g} times as long as those of `coolsim run`, and a step may"
            f" err by {difference_text(found.tolerance, units)}. Some cases were run both ways, and all answers are"
            f" moved by what that made: the ends of their bands are then within 2{HARD_SPACE}% of those without it, the"
            f" times of the first skin within 6{HARD_SPACE}%. --own-grid runs as finely as the"
            " scenario asks."
        )
    if found.passed_over:
        texts.append(
            f"{found.passed_over} draws were not possible scenarios, such as freezing that ends above its start, and"
            " were passed over."
        )
    failed = [row.fault for row in found.rows if row.fault is not None]
    if failed:
        texts.append(
            f"Warning: {len(failed)} of {len(found.rows)} runs failed and are left out; the first: {failed[0]}"
        )
    return texts

"""The checks against outside figures: as a page of text, and as data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite
from typing import Any

from coolsim.report.blocks import Block, Column, Lines, Note, Row, Table
from coolsim.report.text.page import as_text
from coolsim.studies.verify.case import KINDS, Case, Checked, evidence
from coolsim.studies.verify.not_validated import NOT_VALIDATED
from coolsim.studies.verify.statement import FOLDER

_MOST_MISSES = 12


def _verify_blocks(checked: Sequence[Checked], *, opened: bool = False) -> list[Block]:
    rows: list[Row] = [
        (
            one.case.id,
            one.case.title,
            str(len(one.values)),
            f"{one.worst:.2f}",
            f"{len(one.missed)} missed" if one.missed else "kept",
        )
        for one in checked
    ]
    cases = Table(
        title="Checks against outside figures",
        headings=("id", "what", "values", "error/\ntolerance", ""),
        columns=(
            Column(width=3),
            Column(width=44),
            Column(width=6, right=True),
            Column(width=9, right=True),
            Column(width=9),
        ),
        rows=tuple(rows),
        notes=("error/tolerance: the largest of a check; kept up to 1",),
        gap=1,
        ruled=True,
    )
    kinds = Table(
        title="By kind of evidence",
        headings=("", "checks", "values", "bias", "spread", "missed"),
        columns=(Column(width=25), *[Column(width=8, right=True)] * 5),
        rows=tuple(
            (
                f"{one.kind}  {KINDS[one.kind]}",
                str(one.cases),
                str(one.values),
                percent(one.bias),
                percent(one.spread, sign=False),
                str(one.missed),
            )
            for one in evidence(checked)
        ),
        notes=(
            "bias, spread: mean and standard deviation of the errors, each as a share of the reference, of temperatures"
            " as a share of the range that they lie in",
        ),
        gap=1,
        ruled=True,
    )
    how = [Lines(tuple(open_lines(one.case))) for one in checked if opened and one.case.problems]
    return [cases, kinds, *map(Note, misses(checked)), *how, Note(not_validated())]


verify_text = as_text(_verify_blocks)
"""Writes what was checked, by case and by kind of evidence, at most 80 columns wide."""


def open_lines(case: Case) -> Iterator[str]:
    """Say how each problem of a check is opened from Python, and where its statement for other codes is."""
    for name, _ in case.problems:
        yield f"{case.id} in Python{f', as {name}' if name else ''}:"
        yield f'  from coolsim.studies.verify.cases import problem_of; p = problem_of("{name or case.id}")'
    if case.statements:
        yield f"Its statement for other codes, with reference values: {', '.join(case.statements)} in"
        yield f"  {FOLDER}"


def percent(share: float | None, *, sign: bool = True) -> str:
    """Write a share [-] in per cent."""
    return "–" if share is None else f"{100.0 * share:{'+' if sign else ''}.2f} %"


def misses(checked: Sequence[Checked]) -> list[str]:
    """Say in one line each what is off by more than its tolerance."""
    said = [f"Missed in {one.case.id}: {miss}." for one in checked for miss in one.missed]
    more = [f"And {len(said) - _MOST_MISSES} more."] if len(said) > _MOST_MISSES else []
    return [*said[:_MOST_MISSES], *more]


def not_validated() -> str:
    """Say in one sentence where there is no outside figure."""
    return f"Not validated, since there are no outside figures: {'; '.join(_named())}."


def _named() -> list[str]:
    return [f"{what[0].lower()}{what[1:]}" for what, _ in NOT_VALIDATED[:-1]]


def verify_data(checked: Sequence[Checked]) -> dict[str, Any]:
    """Give what was checked as plain data that `json.dumps` takes."""
    return {
        "checks": {
            one.case.id: {
                "title": one.case.title,
                "kind": KINDS[one.case.kind],
                "setup": one.case.setup,
                "source": one.case.source,
                "mark": one.case.mark,
                "statements": list(one.case.statements),
                "kept": not one.missed,
                **{
                    name: [
                        {
                            "name": value.name,
                            "unit": value.unit,
                            "computed": value.computed if isfinite(value.computed) else None,
                            "reference": value.reference,
                            "tolerance": value.tolerance,
                            "kept": value.kept,
                        }
                        for value in values
                    ]
                    for name, values in (("values", one.values), ("orders", one.orders))
                },
            }
            for one in checked
        },
        "kinds": {
            KINDS[one.kind]: {
                "checks": one.cases,
                "values": one.values,
                "bias": one.bias,
                "spread": one.spread,
                "missed": one.missed,
            }
            for one in evidence(checked)
        },
        "missed": sum(len(one.missed) for one in checked),
        "not_validated": dict(NOT_VALIDATED),
    }

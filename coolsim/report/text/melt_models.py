"""The answers under each model of the melt as a table, in words, and as plain data."""

from __future__ import annotations

from typing import Any

from coolsim.answers.answer import Answer
from coolsim.answers.catalogue import BY_KEY, COMPARED
from coolsim.answers.text import value_text
from coolsim.report.blocks import Block, Column, Note, Table
from coolsim.report.text.page import as_text
from coolsim.report.wording import capital, listed
from coolsim.studies.checks.melt_models import DEPENDS_FROM, MODELS, MeltModels, Mixing
from coolsim.units import System


def model_title(model: Mixing, found: MeltModels) -> str:
    """Name a model of the melt, with the factor of an effective conductivity."""
    factor = found.scenario.jar.melt.conductivity_factor
    return {"stratified": "stratified", "effective": f"effective, {factor:g} ×", "none": "no mixing"}[model]


def melt_models_blocks(found: MeltModels, *, title: str, units: System) -> list[Block]:
    """Set the answers under each model side by side, and say which depend on it."""
    table = Table(
        title=title,
        columns=(Column(width=25), Column(width=14), *[Column(width=20)] * len(MODELS[1:])),
        headings=("  Melt", *(model_title(model, found) for model in MODELS)),
        rows=tuple(
            (f"  {capital(answer.called)}", *(_cell(found, answer, model, units) for model in MODELS))
            for answer in COMPARED
        ),
        gap=0,
        ruled=True,
    )
    return [table, *map(Note, dependence(found))]


melt_models_text = as_text(melt_models_blocks)


def dependence(found: MeltModels) -> tuple[str, ...]:
    """Say in words which answers depend on the model of the melt, and which do not."""
    limit = f"{100 * DEPENDS_FROM:.0f} %"
    depends = {answer.key: found.depends(answer.key) for answer in COMPARED}
    told = {known: [key for key, one in depends.items() if one is known] for known in (True, False, None)}
    sentences = []
    if told[True]:
        sentences.append(f"Depend on the model (more than {limit} off the stratified melt): {_listed(told[True])}.")
        effective = [name for name in told[True] if not _moves(found, name, "effective")]
        if effective:
            sentences.append(f"Of these an effective conductivity meets {_listed(effective)} within {limit}.")
    if told[False]:
        sentences.append(f"Do not (within {limit} in all three): {_listed(told[False])}.")
    if told[None]:
        sentences.append(f"No model has: {_listed(told[None])}.")
    return tuple(sentences)


def melt_models_data(found: MeltModels) -> dict[str, Any]:
    """Give the answers under each model as plain data.

    ``conductivity_factor`` [-], ``flows_above`` [-], ``relaxation_s``; ``depends_from`` [-]; and ``answers``: under the
    key of each ``depends``, and for each model its ``value`` in the unit of the key, and ``difference`` from the
    stratified melt [-]. What is not there is None.
    """
    melt = found.scenario.jar.melt
    return {
        "conductivity_factor": melt.conductivity_factor,
        "flows_above": melt.circulates_above,
        "relaxation_s": melt.relaxation,
        "depends_from": DEPENDS_FROM,
        "answers": {
            answer.key: {
                "depends": found.depends(answer.key),
                **{
                    model: {"value": found.value(answer.key, model), "difference": found.difference(answer.key, model)}
                    for model in MODELS
                },
            }
            for answer in COMPARED
        },
    }


def _moves(found: MeltModels, name: str, model: Mixing) -> bool:
    difference = found.difference(name, model)
    return difference is None or abs(difference) > DEPENDS_FROM


def _cell(found: MeltModels, answer: Answer, model: Mixing, units: System) -> str:
    value = found.value(answer.key, model)
    text = value_text(answer, value, units)
    if value is None and answer.key == "skin_melted_again_s":
        text = "it stays" if found.has_skin(model) else "no skin"
    difference = None if model == MODELS[0] else found.difference(answer.key, model)
    return text if difference is None else f"{text:<12}{_percent(difference):>6}"


def _percent(difference: float) -> str:
    return f"{100.0 * difference:+.0f} %".replace("-0 %", "+0 %")


def _listed(keys: list[str]) -> str:
    return listed([BY_KEY[key].called for key in keys])

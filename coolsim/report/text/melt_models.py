"""The answers under each model of the melt as a table, in words, and as plain data."""

from __future__ import annotations

from typing import Any

from coolsim.answers.answer import Answer
from coolsim.answers.catalogue import BY_KEY, COMPARED
from coolsim.answers.text import value_text
from coolsim.report.text.page import paragraph
from coolsim.studies.checks.melt_models import DEPENDS_FROM, MODELS, MeltModels, Mixing
from coolsim.units import System

_LABEL, _FIRST, _OTHER = 25, 14, 20


def model_title(model: Mixing, found: MeltModels) -> str:
    """Name a model of the melt.

    Parameters
    ----------
    model : {"stratified", "effective", "none"}
        The model.
    found : MeltModels
        Whose melt it is.

    Returns
    -------
    str
        With the factor of an effective conductivity.
    """
    factor = found.scenario.jar.melt.conductivity_factor
    return {"stratified": "stratified", "effective": f"effective, {factor:g} ×", "none": "no mixing"}[model]


def melt_models_text(found: MeltModels, *, title: str, units: System) -> str:
    """Write the answers under each model side by side, and say which depend on it.

    Parameters
    ----------
    found : MeltModels
        The runs.
    title : str
        What the jar is called.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        Lines of at most 80 columns.
    """
    heads = [model_title(model, found) for model in MODELS]
    lines = [paragraph(title), _row("Melt", heads[0], [(head, "") for head in heads[1:]])]
    rule = "-" * (_LABEL + _FIRST + len(heads[1:]) * _OTHER)
    lines.append(rule)
    for answer in COMPARED:
        cells = [
            (_cell(found, answer, model, units), _percent(found.difference(answer.key, model))) for model in MODELS[1:]
        ]
        label = answer.called
        lines.append(_row(label[0].upper() + label[1:], _cell(found, answer, MODELS[0], units), cells))
    table = "\n".join(line.rstrip() for line in (*lines, rule))
    return "\n\n".join([table, *(paragraph(sentence) for sentence in dependence(found))])


def dependence(found: MeltModels) -> tuple[str, ...]:
    """Say in words which answers depend on the model of the melt.

    Parameters
    ----------
    found : MeltModels
        The runs.

    Returns
    -------
    tuple of str
        Sentences: those that do, those that do not.
    """
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

    Parameters
    ----------
    found : MeltModels
        The runs.

    Returns
    -------
    dict
        ``conductivity_factor`` [-], ``flows_above`` [-], ``relaxation_s``; ``depends_from`` [-]; and ``answers``:
        under the name of each ``depends``, and for each model its ``value`` in the unit of the name, and
        ``difference`` from the stratified melt [-]. What is not there is None.
    """
    melt = found.scenario.jar.melt
    return {
        "conductivity_factor": melt.conductivity_factor,
        "flows_above": melt.flows_above,
        "relaxation_s": melt.relaxation,
        "depends_from": DEPENDS_FROM,
        "answers": {
            answer.key: {
                "depends": found.depends(answer.key),
                **{
                    model: {
                        "value": found.value(answer.key, model),
                        "difference": found.difference(answer.key, model),
                    }
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
    if value is not None or answer.key != "skin_melted_again_s":
        return value_text(answer, value, units)
    return "it stays" if found.has_skin(model) else "no skin"


def _percent(difference: float | None) -> str:
    return "" if difference is None else f"{100.0 * difference:+.0f} %".replace("-0 %", "+0 %")


def _row(label: str, first: str, others: list[tuple[str, str]]) -> str:
    cells = (f"{text:<{_OTHER - 8}}{percent:>6}  " if percent else f"{text:<{_OTHER}}" for text, percent in others)
    return f"  {label:<{_LABEL - 2}}{first:<{_FIRST}}{''.join(cells)}"


def _listed(names: list[str]) -> str:
    words = [BY_KEY[name].called for name in names]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"

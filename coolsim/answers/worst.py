"""The answers of all jars of a box as those of one: of each answer the worst end."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from coolsim.answers.answer import Answer, Value, number_of
from coolsim.answers.catalogue import ANSWERS, BY_KEY, answers_of, skin_stays
from coolsim.model.jar import Jar
from coolsim.solve.result import shrink_results
from coolsim.solve.together import BoxResult

Answers = Mapping[str, Value]
"""The answers of one run by key."""


def first_and_last(each: Sequence[Answers]) -> tuple[int, int]:
    """Find the jars that are set first and last, by index; those that never are go by the liquid they end with."""

    def key(index: int) -> tuple[float, float]:
        one = each[index]
        return _ranked(BY_KEY["fully_set_s"], one), -(number_of(one["solid_share"]) or 0.0)

    return min(range(len(each)), key=key), max(range(len(each)), key=key)


def worst_answers(each: Sequence[Answers]) -> dict[str, Value]:
    """Take of each answer the worst that jars of a box have, as `Answer.worst` says; warnings are those of all.

    A time that one jar does not reach is not reached, and a first skin that stays anywhere stays.
    """
    _, last = first_and_last(each)

    def deciding(answer: Answer) -> int:
        if answer.worst is None:
            return last
        if answer.worst in BY_KEY:
            return deciding(BY_KEY[answer.worst])
        end = max if answer.worst == "largest" else min
        return end(range(len(each)), key=lambda index: _ranked(answer, each[index]))

    found = {answer.key: each[deciding(answer)][answer.key] for answer in ANSWERS}
    told = dict.fromkeys(one["warnings"] for one in each if one["warnings"])
    return {**found, "warnings": " ".join(map(str, told)) or None}


def _ranked(answer: Answer, one: Answers) -> float:
    """Give a number of a jar by which it stands among others; what it lacks comes late, or does not count."""
    number = number_of(one[answer.key])
    if number is not None:
        return number if answer.worst == "least" else abs(number)
    counts = answer.waits or answer.worst == "least" or (answer.group == "skin" and skin_stays(one))
    return math.inf if counts else -math.inf


def answers_of_box(found: BoxResult, jar: Jar) -> tuple[dict[str, Value], int]:
    """Read the answers of all jars of a box as one, and the number of the kind of place that is set last."""
    shrink_results(found.results)
    each = [answers_of(result, jar, place=kind.called) for kind, result in zip(found.kinds, found.results, strict=True)]
    return worst_answers(each), first_and_last(each)[1]

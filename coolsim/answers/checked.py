"""Answers that come out of a file."""

from __future__ import annotations

import re

from coolsim.answers.answer import Answer, Value
from coolsim.answers.catalogue import ANSWERS, BY_KEY

# Control characters, which a terminal would obey, and halves of surrogate pairs, which no file takes.
_UNPRINTED = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff]")
_LARGEST = 1e12  # in any unit; no answer comes near


def checked_answers(raw: object) -> dict[str, Value] | None:
    """Take answers from what a file holds; None if `answers_of` could not have given them."""
    if not isinstance(raw, dict) or raw.keys() != BY_KEY.keys():
        return None
    answers = {answer.key: _checked(answer, raw[answer.key]) for answer in ANSWERS}
    # What is there and is no answer has come out as None, too.
    possible = all(value is not None or (BY_KEY[key].lacks and raw[key] is None) for key, value in answers.items())
    return answers if possible else None


def _checked(answer: Answer, raw: object) -> Value:
    if answer.form == "number":
        number = isinstance(raw, int | float) and not isinstance(raw, bool) and abs(raw) <= _LARGEST
        return float(raw) if number else None  # type: ignore[arg-type]
    if answer.form == "yes or no":
        return raw if isinstance(raw, bool) else None
    return raw if isinstance(raw, str) and not _UNPRINTED.search(raw) else None

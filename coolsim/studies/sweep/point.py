"""Runs of a sweep or a spread, as plain data that travels between processes and into a file.

This module is all that a worker process imports: nothing that draws, prints or reads a command line.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from typing import Any

import numpy as np

from coolsim._version import NUMERICS, __version__
from coolsim.answers.catalogue import ANSWERS, answers_of
from coolsim.answers.worst import answers_of_box
from coolsim.errors import CoolsimError
from coolsim.model.jar import Jar
from coolsim.solve.curves import outside_of_wall, temperature_of_point, usual_points
from coolsim.solve.result import Result, shrink_results
from coolsim.solve.simulate import simulate_many
from coolsim.solve.together import simulate_box


def identity(jar: Jar) -> str:
    """Name a point by what decides its answers: the jar, coolsim's version and numerics, and the list of answers."""
    whole = [__version__, NUMERICS, [answer.key for answer in ANSWERS], jar]
    return hashlib.sha256(json.dumps(whole, sort_keys=True, default=_fields).encode()).hexdigest()[:32]


def _fields(one: Any) -> dict[str, Any]:
    return {field.name: getattr(one, field.name) for field in fields(one)}


def run_jars(jars: Sequence[Jar]) -> list[dict[str, Any]]:
    """Run jars, or all jars of a box, and keep of each the ``answers``, or the ``fault`` why it cannot be run.

    The answers of a box are the worst that its jars have.
    """
    return [outcome if "fault" in outcome else {"answers": outcome["answers"]} for outcome in runs_of(jars)]


def runs_of(jars: Sequence[Jar]) -> Iterator[dict[str, Any]]:
    """Run jars and give ``answers``, ``result`` and all ``results``, or the ``fault``.

    Of a box the result is that of the jar that is set last, and there is one for each kind of place.
    """
    together = [index for index, jar in enumerate(jars) if jar.places is None]
    found = dict(zip(together, simulate_many([jars[index] for index in together]), strict=True))
    shrink_results(one for one in found.values() if isinstance(one, Result))
    for index, jar in enumerate(jars):
        try:
            # What has been read is let go: the results of a chunk are many.
            result = found.pop(index, None)
            if isinstance(result, CoolsimError):
                raise result
            if result is None:
                box = simulate_box(jar)
                answers, last = answers_of_box(box, jar)
                results, result = box.results, box.results[last]
            else:
                answers, results = answers_of(result, jar), (result,)
        except CoolsimError as error:
            yield {"fault": str(error)}
        else:
            yield {"answers": answers, "result": result, "results": results}


OUTSIDE = "outside of the wall"
"""Name of the curve of the outer face of the vessel."""


def run_cases(jars: Sequence[Jar], points: Mapping[str, tuple[float, float]]) -> list[dict[str, Any]]:
    """Run jars and keep of each ``answers``, ``time`` [s] and ``curves`` [°C] by name, or the ``fault`` why it fails.

    The curves are those of points by radius and height above the bottom of the wax [m], the usual ones of this very
    jar if there are none; a point that is not in the section of this jar is NaN. Those of a box are of the jar that is
    set last.
    """
    return [outcome if "fault" in outcome else _case(outcome, points) for outcome in runs_of(jars)]


def _case(outcome: Mapping[str, Any], points: Mapping[str, tuple[float, float]]) -> dict[str, Any]:
    result: Result = outcome["result"]
    curves = {}
    for name, (r, z) in (points or usual_points(result.required_wax())).items():
        try:
            curves[name] = temperature_of_point(result, r, z)
        except ValueError:
            # Jars of other sizes may be among those that are drawn.
            curves[name] = np.full(len(result.time), np.nan)
    outside = outside_of_wall(result)
    if outside is not None:
        curves[OUTSIDE] = outside
    return {"answers": outcome["answers"], "time": np.asarray(result.time), "curves": curves}

"""One run of a sweep or a spread, as plain data that travels between processes and into a file.

This module is all that a worker process imports: nothing that draws, prints or reads a command line.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

import numpy as np

from coolsim._version import __version__
from coolsim.answers.answer import Value
from coolsim.answers.catalogue import ANSWERS, answers_of
from coolsim.answers.worst import answers_of_box
from coolsim.errors import CoolsimError
from coolsim.model.jar import Jar
from coolsim.solve.curves import outside_of_wall, temperature_of_point, usual_points
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate
from coolsim.solve.together import simulate_box


def identity(jar: Jar) -> str:
    """Name a point by what decides its answers: the jar, the version of coolsim and the list of answers."""
    whole = json.dumps([__version__, [answer.key for answer in ANSWERS], asdict(jar)], sort_keys=True)
    return hashlib.sha256(whole.encode()).hexdigest()[:32]


def run_point(jar: Jar) -> dict[str, Any]:
    """Run a jar, or all jars of a box, and keep the ``answers``, or the ``fault`` why it cannot be run.

    The answers of a box are the worst that its jars have.
    """
    try:
        return {"answers": _run(jar)[1]}
    except CoolsimError as error:
        return {"fault": str(error)}


def _run(jar: Jar) -> tuple[Result, dict[str, Value]]:
    """Run a jar; of a box, the run of the jar that is set last."""
    if jar.places is None:
        result = simulate(jar)
        return result, answers_of(result, jar)
    found = simulate_box(jar)
    answers, last = answers_of_box(found, jar)
    return found.results[last], answers


OUTSIDE = "outside of the wall"
"""Name of the curve of the outer face of the vessel."""


def run_case(jar: Jar, points: Mapping[str, tuple[float, float]]) -> dict[str, Any]:
    """Run a jar and keep ``answers``, ``time`` [s] and ``curves`` [°C] by name, or the ``fault`` why it cannot be run.

    The curves are those of points by radius and height above the bottom of the wax [m], the usual ones of this very
    jar if there are none; a point that is not in the section of this jar is NaN. Those of a box are of the jar that is
    set last.
    """
    try:
        result, answers = _run(jar)
    except CoolsimError as error:
        return {"fault": str(error)}
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
    return {"answers": answers, "time": np.asarray(result.time), "curves": curves}

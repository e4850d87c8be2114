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
from coolsim.answers.catalogue import ANSWERS, answers_of
from coolsim.errors import CoolsimError
from coolsim.model.jar import Jar
from coolsim.solve.curves import outside_of_wall, temperature_of_point, usual_points
from coolsim.solve.simulate import simulate


def identity(jar: Jar) -> str:
    """Name a point by what decides its answers: the jar, the version of coolsim and the list of answers."""
    whole = json.dumps([__version__, [answer.key for answer in ANSWERS], asdict(jar)], sort_keys=True)
    return hashlib.sha256(whole.encode()).hexdigest()[:32]


def run_point(jar: Jar) -> dict[str, Any]:
    """Run a jar and keep its ``answers``, or the ``fault`` why it cannot be run."""
    try:
        result = simulate(jar)
    except CoolsimError as error:
        return {"fault": str(error)}
    return {"answers": answers_of(result, jar)}


OUTSIDE = "outside of the wall"
"""Name of the curve of the outer face of the vessel."""


def run_case(jar: Jar, points: Mapping[str, tuple[float, float]]) -> dict[str, Any]:
    """Run a jar and keep ``answers``, ``time`` [s] and ``curves`` [°C] by name, or the ``fault`` why it cannot be run.

    The curves are those of points by radius and height above the bottom of the wax [m], the usual ones of this very
    jar if there are none; a point that is not in the section of this jar is NaN.
    """
    try:
        result = simulate(jar)
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
    return {"answers": answers_of(result, jar), "time": np.asarray(result.time), "curves": curves}

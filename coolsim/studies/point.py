"""One run of a sweep, as plain data that travels between processes and into a file.

This module is all that a worker process imports: nothing that draws, prints or reads a command line.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from coolsim import __version__
from coolsim.answers.catalogue import ANSWERS, answers_of
from coolsim.errors import CoolsimError
from coolsim.scenario import one_jar, scenario_from_data
from coolsim.solve.simulate import simulate


def identity(data: Mapping[str, Any]) -> str:
    """Name a point by what decides its answers.

    Parameters
    ----------
    data : mapping
        The whole scenario with its changes, as `Scenario.data`.

    Returns
    -------
    str
        A hash of the data, the version of coolsim and the list of answers: equal for equal runs only.
    """
    whole = json.dumps([__version__, [answer.key for answer in ANSWERS], data], sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(whole.encode()).hexdigest()[:32]


def run_point(data: Mapping[str, Any], where: str) -> dict[str, Any]:
    """Run a scenario and keep its answers.

    Parameters
    ----------
    data : mapping
        The scenario, as `Scenario.data`.
    where : str
        What messages call it.

    Returns
    -------
    dict
        ``answers`` with the answers, or ``fault`` with a message if it cannot be run.
    """
    try:
        scenario = one_jar(scenario_from_data(data, where=where))
        result = simulate(scenario.jar)
    except CoolsimError as error:
        return {"fault": str(error)}
    return {"answers": answers_of(result, scenario.jar)}

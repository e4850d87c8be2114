"""One run of a sweep, as plain data that travels between processes and into a file.

This module is all that a worker process imports: nothing that draws, prints or reads a command line.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict
from typing import Any

from coolsim._version import __version__
from coolsim.answers.catalogue import ANSWERS, answers_of
from coolsim.errors import CoolsimError
from coolsim.model.jar import Jar
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

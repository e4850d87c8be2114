"""Names that commands had once: they go on working for one version, and say the new one."""

from __future__ import annotations

import shlex
from collections.abc import Sequence

OLD_NAMES = {
    "compare": "run",
    "redraw": "run",
    "handout": "make handout",
    "sheet": "make sheet",
    "label": "make label",
    "animate": "make film",
    "schedule": "day --only plan",
    "batch": "day --only amounts",
    "melting": "day --only melting",
    "melts": "convection",
}
"""What is typed today instead of a name that a command had once."""


def today(arguments: Sequence[str]) -> list[str]:
    """Put what is typed today in the place of an old name at the beginning of a command line.

    >>> today(["animate", "jar.toml"])
    ['make', 'film', 'jar.toml']
    """
    name, *rest = arguments
    return [*shlex.split(OLD_NAMES.get(name, shlex.quote(name))), *rest]

"""Cooling and freezing of soft-wax container candles, axisymmetric in r and z.

The public names are stated in ``__init__.pyi`` and looked up on first use, so that ``import coolsim`` stays quick: a
command that only prints its help must not pay for numpy.
"""

import re
from importlib import import_module
from pathlib import Path

_STATED = Path(__file__).with_suffix(".pyi").read_text(encoding="utf-8")
_HOMES = {
    name: home
    for home, names in re.findall(r"^from (\S+) import (\([^)]*\)|.+)$", _STATED, re.MULTILINE)
    for name in re.findall(r"(\w+) as \w+", names)
}
__all__ = sorted(_HOMES)


def __getattr__(name: str) -> object:
    """Import a public name from its module the first time it is asked for."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value: object = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names, those not yet imported included."""
    return sorted({*globals(), *_HOMES})

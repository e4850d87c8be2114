"""The LAPACK routines of the solver, without the rest of scipy.linalg.

``import scipy.linalg`` takes longer than a jar on a coarse grid: 0.15 s, for decompositions, matrix functions and a
good half of numpy's optional parts. The compiled module that holds the routines takes 5 ms, so it is loaded by itself,
from where scipy lies, under the name that scipy gives it: what imports scipy.linalg later finds it there. It is no
public name, and a scipy may not have it, or not let it be loaded alone (on Windows scipy has to be asked for the folder
of its libraries first). Then the routines come from ``scipy.linalg.lapack``, where they are public; they are the same.
"""

from __future__ import annotations

import sys
from importlib import import_module
from importlib.machinery import PathFinder
from importlib.util import module_from_spec
from pathlib import Path
from types import ModuleType

_NAME = "scipy.linalg._flapack"


def _compiled() -> ModuleType:
    """Load the compiled module alone; ImportError if it is not there or needs the rest."""
    if _NAME in sys.modules:
        return sys.modules[_NAME]
    folders = [str(Path(entry) / "scipy" / "linalg") for entry in sys.path]
    spec = PathFinder.find_spec(_NAME, folders)
    if spec is None or spec.loader is None:
        raise ImportError(name=_NAME)
    module = module_from_spec(spec)
    sys.modules[_NAME] = module
    try:
        spec.loader.exec_module(module)
    except BaseException:
        del sys.modules[_NAME]
        raise
    return module


def _routines() -> ModuleType:
    try:
        return _compiled()
    except ImportError:
        return import_module("scipy.linalg.lapack")


_lapack = _routines()
dptsv, dpbsv = _lapack.dptsv, _lapack.dpbsv

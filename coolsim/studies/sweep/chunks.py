"""Which runs go through the solver together: those of one grid, in chunks that leave work for every worker."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import TypeVar

from coolsim.model.jar import Jar
from coolsim.model.layout import problem_of

MOST, CELLS = 24, 40_000
"""Runs of a chunk at most, or as many as have so many cells, corners of nothing included [-]: beyond, the calls that
they share cost next to nothing, and an interruption more."""

_EACH, _LEAST = 2, 8
"""Chunks for each worker, so that none waits long for the last one, but no smaller ones than this if there are as many
runs for each [-]."""

_Name = TypeVar("_Name")
# Refinement, and cells of the spans along r and z without it [-].
_Grid = tuple[float, tuple[int, ...], tuple[int, ...]]


def chunks_of(jars: Mapping[_Name, Jar], workers: int) -> list[tuple[_Name, ...]]:
    """Part jars by name among so many workers [-]; what is run by itself anyway is a chunk of its own."""
    each = -(-len(jars) // workers)
    size = max(-(-each // _EACH), min(each, _LEAST))
    alone: list[tuple[_Name, ...]] = []
    alike: dict[_Grid, list[_Name]] = {}
    for name, jar in jars.items():
        if _goes_alone(jar):
            alone.append((name,))
        else:
            alike.setdefault(_grid(jar), []).append(name)
    chunks = []
    for (refinement, radial, axial), names in alike.items():
        most = max(MOST, round(CELLS / (sum(radial) * sum(axial) * refinement**2)))
        count = -(-len(names) // min(size, most))
        ends = [index * len(names) // count for index in range(count + 1)]
        chunks += [tuple(names[first:last]) for first, last in pairwise(ends)]
    return [*chunks, *alone]


def _goes_alone(jar: Jar) -> bool:
    """Tell whether a jar stands for a box of several, changes on the way, or needs the stepper for metal."""
    bench = jar.support.material
    metal = jar.vessel.material.is_metal or (bench is not None and bench.is_metal)
    return jar.places is not None or bool(jar.changes) or metal


def _grid(jar: Jar) -> _Grid:
    problem = problem_of(jar)
    radial, axial = (tuple(span.cells for span in along) for along in (problem.section.radial, problem.section.axial))
    return problem.accuracy.refinement, radial, axial

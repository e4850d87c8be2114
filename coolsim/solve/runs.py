"""Runs that go through the stepper together, each with its own step and clock.

A step of one run is some hundred calls on short arrays; many runs laid behind each other pay those calls once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coolsim.model.problem import Problem
from coolsim.model.section import Array, Integers

PerRun = float | Array
"""A number for each run: a plain one where there is one run, which numpy lays over anything by itself, else (b,)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What of a network belongs to one run.

    Its problem, and where its cells, faces, boundary laws, air gaps, nodes and node links are.
    """

    problem: Problem
    cells: slice
    faces: slice | Integers
    laws: slice | Integers
    gaps: slice
    nodes: slice
    links: slice


class Runs:
    """Which run each cell, face, law, gap, node and node link of a network belongs to.

    Made of the runs, and the numbers of faces, laws and links of the network [-].
    """

    def __init__(self, runs: Sequence[Run], *, faces: int, laws: int, links: int) -> None:
        self.problems = tuple(run.problem for run in runs)
        self.count = len(runs)
        self.single = self.count == 1
        self._first = np.array([run.cells.start for run in runs], dtype=np.int64)
        self._lengths = np.array([run.cells.stop - run.cells.start for run in runs], dtype=np.int64)
        numbers = np.arange(self.count)
        self.of_cell = np.repeat(numbers, self._lengths)
        self.of_face, self.of_law = np.zeros(faces, dtype=np.intp), np.zeros(laws, dtype=np.intp)
        for number, run in enumerate(runs):
            self.of_face[run.faces] = number
            self.of_law[run.laws] = number
        self.of_gap = np.repeat(numbers, [run.gaps.stop - run.gaps.start for run in runs])
        self.of_node = np.repeat(numbers, [run.nodes.stop - run.nodes.start for run in runs])
        self.of_link = np.repeat(numbers, [run.links.stop - run.links.start for run in runs])

    def each(self, values: Sequence[float]) -> PerRun:
        """Make a number for each run of a list of them [any unit]."""
        return values[0] if self.single else np.array(values)

    def of_one(self, values: PerRun, number: int) -> float:
        """Pick the value of a run by its number [-] among the values of all [any unit]."""
        return float(np.atleast_1d(values)[number])

    def to_list(self, values: PerRun) -> list[float]:
        """List the values of the runs [any unit]."""
        return [float(values)] if self.single else np.asarray(values).tolist()

    def over_cells(self, values: PerRun) -> PerRun:
        """Lay the values of the runs over their cells [any unit]."""
        return values if self.single else np.repeat(np.asarray(values), self._lengths)

    def over(self, values: PerRun, owner: Integers) -> PerRun:
        """Lay the values of the runs over what has these owners [any unit]."""
        return values if self.single else np.asarray(values).take(owner)

    def most(self, values: Array) -> list[float]:
        """Find the largest value among the cells of each run."""
        return [float(np.maximum.reduce(values))] if self.single else np.maximum.reduceat(values, self._first).tolist()

    def least(self, values: Array) -> list[float]:
        """Find the smallest value among the cells of each run."""
        return [float(np.minimum.reduce(values))] if self.single else np.minimum.reduceat(values, self._first).tolist()

    def total(self, values: Array) -> PerRun:
        """Sum the values of the cells of each run."""
        return float(np.add.reduce(values)) if self.single else np.add.reduceat(values, self._first)

    def most_of(self, values: Array, owner: Integers, *, nothing: float) -> list[float]:
        """Find the largest value among what has these owners, `nothing` where a run owns none [any unit]."""
        if self.single:
            return [float(np.maximum.reduce(values, initial=nothing))]
        found = np.full(self.count, nothing)
        np.maximum.at(found, owner, values)
        return found.tolist()

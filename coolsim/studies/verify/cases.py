"""The checks, in the order of the book."""

from __future__ import annotations

from coolsim.model.jar import Jar
from coolsim.model.problem import Problem
from coolsim.studies.verify.bars import LONG_BAR, SHORT_BAR
from coolsim.studies.verify.case import Case
from coolsim.studies.verify.contact import FIRST_SKIN, ON_A_WALL
from coolsim.studies.verify.contraction import CONTRACTION
from coolsim.studies.verify.from_a_wall import EVERY_STEFAN_NUMBER, FROZEN_SOIL, FROZEN_WAX, REFERENCE_WAX
from coolsim.studies.verify.inwards import FROM_ALL_FACES, INWARDS, REFERENCE_CYLINDER, SLICES
from coolsim.studies.verify.layers import BAR_IN_A_WALL, HEATED_BELT, HEATED_SLAB, STEADY_TUBE
from coolsim.studies.verify.libraries import CYLINDER_BY_LIBRARIES, FILMS_OF_A_LIBRARY
from coolsim.studies.verify.melt import STILL_MELT, STRATIFIED_MELT
from coolsim.studies.verify.mush import MUSH_JARS, MUSH_KEPT_BACK, MUSH_STANDS, MUSH_WAXES
from coolsim.studies.verify.practice import HOT_WATER, POUNDS_OF_WAX
from coolsim.studies.verify.published import FATS_MEASURED, PUBLISHED_FILMS
from coolsim.studies.verify.small_bodies import LUMPED_BODY, ROOM_AS_A_SINE, SHARED_AIR, WATER_JAR

CASES: tuple[Case, ...] = (
    LONG_BAR,
    SHORT_BAR,
    STEADY_TUBE,
    BAR_IN_A_WALL,
    EVERY_STEFAN_NUMBER,
    REFERENCE_WAX,
    FROZEN_WAX,
    FIRST_SKIN,
    ON_A_WALL,
    LUMPED_BODY,
    ROOM_AS_A_SINE,
    SHARED_AIR,
    WATER_JAR,
    CONTRACTION,
    HEATED_BELT,
    HEATED_SLAB,
    FROZEN_SOIL,
    PUBLISHED_FILMS,
    FATS_MEASURED,
    FILMS_OF_A_LIBRARY,
    CYLINDER_BY_LIBRARIES,
    INWARDS,
    FROM_ALL_FACES,
    SLICES,
    REFERENCE_CYLINDER,
    STRATIFIED_MELT,
    STILL_MELT,
    MUSH_STANDS,
    MUSH_JARS,
    MUSH_WAXES,
    MUSH_KEPT_BACK,
    POUNDS_OF_WAX,
    HOT_WATER,
)
"""By kind of evidence, and within it from the simple to the whole."""


def cases_of(name: str) -> tuple[Case, ...]:
    """Find the check of an id, or those of a problem statement; none if there is neither."""
    return tuple(case for case in CASES if name.upper() in (case.id, *case.statements))


def problem_of(name: str) -> Problem | Jar:
    """State one of the problems that a check, or the first check of a statement, runs: for `simulate`.

    Raises
    ------
    ValueError
        If there is no such check, or it is of a law and runs no problem.

    Examples
    --------
    >>> from coolsim import simulate
    >>> from coolsim.studies.verify.cases import problem_of
    >>> simulate(problem_of("V5")).ended
    'cool'
    """
    for case in cases_of(name):
        for statement, problem in case.problems:
            if name.upper() in (case.id, statement):
                return problem()
    raise ValueError(f"found '{name}', which is no check that runs a problem.")

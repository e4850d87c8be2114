"""The checks, in the order of the book."""

from __future__ import annotations

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

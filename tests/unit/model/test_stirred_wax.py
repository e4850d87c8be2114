"""A melt whose stirring is taken for a better conductivity."""

from dataclasses import replace

import numpy as np
import pytest
from made_up_jars import tumbler

from coolsim.errors import MaterialError
from coolsim.model.freezing import CellTables, enthalpy_at_fraction, enthalpy_table
from coolsim.model.layout import problem_of
from coolsim.model.materials import catalogue_wax
from coolsim.model.problem import Melt, with_stirred_wax
from coolsim.solve.simulate import simulate

WAX = catalogue_wax("soft-vegetable")  # 0.22 W/m/K solid, 0.165 liquid


def conductivity(table, fraction):
    tables = CellTables((table,), np.zeros(1, dtype=int))
    return float(tables.conductivity(tables.piece(np.array([enthalpy_at_fraction(table, fraction)])))[0])


def test_stirred_wax_conducts_better_only_where_it_circulates():
    plain, stirred = enthalpy_table(WAX), enthalpy_table(WAX.stirred(10.0, above=0.8))
    for fraction in (0.0, 0.4, 0.79):
        # One of 512 intervals across the freezing range.
        assert conductivity(stirred, fraction) == pytest.approx(conductivity(plain, fraction), rel=1e-9)
    for fraction in (0.82, 0.99, 1.0):
        assert conductivity(stirred, fraction) == pytest.approx(1.65, rel=1e-3)  # ten times 0.165 W/m/K


def test_stirred_wax_keeps_its_heat():
    plain, stirred = enthalpy_table(WAX), enthalpy_table(WAX.stirred(10.0, above=0.8))
    assert stirred.temperature == pytest.approx(plain.temperature, rel=1e-12)


def test_circulating_liquid_that_conducts_as_the_solid_is_refused():
    # The solver would take the equal figures for one conductivity at all fractions.
    with pytest.raises(MaterialError, match="change the factor"):
        replace(WAX, conductivity_liquid=0.125, conductivity_solid=0.25).stirred(2.0, above=0.8)


def test_factor_of_one_is_pure_conduction():
    jar = replace(tumbler(boxed=False), horizon=1800.0)
    runs = [
        simulate(replace(jar, melt=replace(jar.melt, **melt)))
        for melt in ({"mixing": "none"}, {"mixing": "effective", "conductivity_factor": 1.0})
    ]
    assert np.array_equal(runs[0].history.enthalpy, runs[1].history.enthalpy)


def test_other_melts_leave_the_problem_as_it_is():
    for mixing in ("stratified", "none"):
        problem = replace(problem_of(tumbler(boxed=False)), melt=Melt(mixing=mixing))
        assert with_stirred_wax(problem) is problem


def test_factor_below_one_is_refused():
    with pytest.raises(ValueError, match="conductivity_factor must be 1 or more"):
        Melt(mixing="effective", conductivity_factor=0.5)

"""How a span is cut: finer where it is asked for, and a doubled grid holds the edges of the coarse one."""

import numpy as np
import pytest

from coolsim.model.section import Span


def widths(finer, *, refinement=1.0, stretch=4.0):
    return np.diff(Span(name="x", length=0.06, cells=40, finer=finer, stretch=stretch).edges(refinement))


def test_cells_get_thinner_towards_the_end_that_is_asked_for():
    start, end, both = widths("start"), widths("end"), widths("both")
    assert (np.diff(start) > 0.0).all()
    assert end == pytest.approx(start[::-1], rel=1e-9)
    assert both == pytest.approx(both[::-1], rel=1e-9)
    assert (np.diff(both[:20]) > 0.0).all()
    # Half of a span that is finer at both ends is one of half the length and cells.
    half = np.diff(Span(name="x", length=0.03, cells=20, finer="start", stretch=4.0).edges())
    assert both[:20] == pytest.approx(half, rel=1e-9)
    assert widths("evenly") == pytest.approx(np.full(40, 0.0015), rel=1e-9)
    assert widths("end", stretch=1.0) == pytest.approx(np.full(40, 0.0015), rel=1e-9)


@pytest.mark.parametrize("finer", ["start", "end", "both"])
def test_the_widest_cell_is_as_many_times_the_thinnest_as_was_asked_for(finer):
    found = widths(finer, refinement=100.0)
    # In the limit of many cells; 4000 of them leave less than a thousandth.
    assert found.max() / found.min() == pytest.approx(4.0, rel=2e-3)
    assert found.sum() == pytest.approx(0.06, rel=1e-12)


@pytest.mark.parametrize("finer", ["evenly", "start", "end", "both"])
def test_a_doubled_grid_has_the_edges_of_the_coarse_one(finer):
    span = Span(name="x", length=0.06, cells=6, finer=finer, stretch=4.0)
    assert span.edges(2.0)[::2] == pytest.approx(span.edges(), abs=1e-15)

"""Figures that processes beside draw are those that the command itself draws, and it draws all without one."""

from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool

import pytest
from matplotlib.layout_engine import ConstrainedLayoutEngine

from coolsim.cli.options import Figure
from coolsim.cli.outputs import print_figures
from coolsim.report.figures.curves import draw_heat_shares
from coolsim.report.figures.saving import printed
from coolsim.studies.sweep.workers import local_workers
from tests.support.pair import closed_pair

FIGURES = (Figure.SET_TIMES, Figure.SOLID_FRONT, Figure.HEAT_SHARES, Figure.TOP_PROFILES)


class Lost:
    """An executor whose process ends unasked."""

    def submit(self, *_):
        future = Future()
        future.set_exception(BrokenProcessPool())
        return future


@pytest.fixture(scope="module")
def alone(pair):
    return print_figures(pair, closed_pair(), units="metric", only=FIGURES, kind="png", helpers=None)


def test_figures_drawn_beside_have_the_same_bytes_and_order(pair, alone):
    with local_workers(2) as helpers:
        beside = print_figures(pair, closed_pair(), units="metric", only=FIGURES, kind="png", helpers=helpers)
    assert list(beside) == list(alone) == list(FIGURES)
    assert beside == alone


def test_a_process_that_is_lost_costs_no_figure(pair, alone):
    assert print_figures(pair, closed_pair(), units="metric", only=FIGURES, kind="png", helpers=Lost()) == alone


def test_a_figure_is_laid_out_once_and_stays_so_in_all_formats(pair, monkeypatch):
    runs = []
    execute = ConstrainedLayoutEngine.execute
    monkeypatch.setattr(ConstrainedLayoutEngine, "execute", lambda *given: (runs.append(given), execute(*given)))
    figure = draw_heat_shares(pair)
    places = [axes.get_position().bounds for axes in figure.axes]
    first, *_ = [printed(figure, kind) for kind in ("png", "pdf", "svg")]
    assert len(runs) == 1
    assert [axes.get_position().bounds for axes in figure.axes] == places
    assert printed(figure, "png") == first

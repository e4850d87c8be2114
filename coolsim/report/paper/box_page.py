"""The page with the plan of a box: when each of its jars sets, and how flat it is."""

from __future__ import annotations

from functools import partial

from matplotlib.figure import Figure

from coolsim.report.figures.box import draw_box
from coolsim.report.figures.style import styled
from coolsim.report.paper.page import Frame, figure_page
from coolsim.report.text.box import box_sentences
from coolsim.solve.together import BoxResult
from coolsim.studies.workshop.boxes import box_answers
from coolsim.units import System


def box_page(frame: Frame, found: BoxResult, *, units: System) -> Figure:
    """Draw a box on a page: its plan with the time of each jar, and in words which ones are last and least flat."""
    told = " ".join(box_sentences(box_answers(found), units=units))
    page: Figure = styled(figure_page)(frame, "The box", ((1.0, partial(draw_box, found)),), told, units=units)
    return page

"""The theory on paper: all of it, in letters that can be read, each in its column."""

import pytest
from drawn_texts import beyond_the_page, overlaps
from matplotlib.text import Text

from coolsim.report.figures.saving import save_pages
from coolsim.report.figures.style import in_style
from coolsim.report.paper.page import Frame
from coolsim.report.paper.theory import FORMULA, INDENT, WIDTH, displayed, theory_pages
from coolsim.report.paper.typeset import formula_size
from coolsim.theory import EQUATIONS, LEFT_OUT, NOMENCLATURE

SMALLEST = 7.0  # pt, as on all paper
# The box of a line of letters has room above and below them: at 100 pixels to the inch, two of it are always white.
WHITE = 2.0


def pages_of(paper):
    frame = Frame(paper=paper, title="Theory")
    pages = theory_pages(frame)
    frame.number(pages)
    return pages


@pytest.fixture(scope="module", params=["a4", "letter"])
def pages(request):
    return pages_of(request.param)


def test_no_text_is_small_cut_or_over_another(pages):
    for page in pages:
        with in_style():
            assert overlaps(page, pixels=WHITE) == []
            assert beyond_the_page(page) == []
            assert min(text.get_fontsize() for text in page.findobj(Text)) >= SMALLEST


def test_three_pages_hold_the_equations_and_a_fourth_the_rest(pages):
    assert len(pages) == 4
    said = [[text.get_text() for text in page.findobj(Text)] for page in pages]
    numbers = [text for page in said for text in page if text in {f"({one.number})" for one in EQUATIONS}]
    assert numbers == [f"({one.number})" for one in EQUATIONS]
    for one in EQUATIONS:
        for formula in one.formulas:
            assert sum(f"${displayed(formula)}$" in page for page in said[:3]) >= 1, one.number
    assert {f"${one.formula}$" for one in NOMENCLATURE} <= set(said[3])
    told = "".join("".join(said[3]).split())
    for one in LEFT_OUT:
        # Lines stand side by side in columns, so a cell is looked for line by line.
        assert "".join(one.what.split()) in told


@pytest.mark.parametrize("equation", EQUATIONS, ids=lambda one: str(one.number))
def test_formulas_fit_their_column(equation):
    assert max(formula_size(displayed(one), FORMULA)[0] for one in equation.formulas) <= WIDTH - INDENT


def test_the_same_pages_have_the_same_bytes(tmp_path):
    for name in ("one", "other"):
        save_pages(pages_of("a4")[:1], tmp_path / f"{name}.pdf", title="Theory", author="")
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "other.pdf").read_bytes()

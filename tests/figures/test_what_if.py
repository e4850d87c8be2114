"""The page of `coolsim whatif`: cut jars of one scale round this one, and numbers, words and arrows to be read."""

from dataclasses import replace

import pytest
from commands import SCENARIOS
from drawn_texts import beyond_the_page, overlaps, texts
from matplotlib.patches import Polygon

from coolsim.report.paper.page import PAPERS
from coolsim.report.paper.whatif import draw_what_if
from coolsim.report.text.whatif import BETTER, set_text, sunk_text, word_of
from coolsim.scenario import built_in_pair, load_scenario, with_overrides
from coolsim.studies.workshop.whatif import WhatIf, what_if

COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}
# Lines of one paragraph share the white under their letters: a pixel and a half of 13.5.
WHITE = 2.0
COLD = with_overrides(load_scenario(SCENARIOS / "cold-room.toml"), {**COARSE, "title": "W" * 100})
BOXED = with_overrides(built_in_pair()[1], COARSE)


@pytest.fixture(scope="module")
def cold():
    """A jar with two faults, which some changes end; its box has neighbours."""
    return what_if(COLD)


@pytest.fixture(scope="module")
def boxed():
    return what_if(BOXED)


@pytest.fixture(scope="module")
def fullest(cold):
    """The same where every change brings two faults and is worse, and one cannot be run."""
    worst = {"pour_C": 90.0, "skin_melted_again_s": None, "dish_volume_m3": 88.88e-6, "fully_set_s": 12 * 3600.0}
    usual = replace(cold.usual, answers={**cold.usual.answers, "skin_melted_again_s": 60.0})
    hot = [
        replace(
            one, answers={**one.answers, **worst}, scenario=with_overrides(one.scenario, {"pour.temperature": "90 °C"})
        )
        for one in cold.tried
    ]
    hot[-1] = replace(
        hot[-1], answers=None, result=None, fault="the run came to nothing, for a reason that is long. " * 9
    )
    return WhatIf(usual=usual, tried=tuple(hot))


def said(page):
    return [" ".join(text.get_text().split()) for text, _ in texts(page)]


@pytest.mark.parametrize(
    ("name", "units", "paper"),
    [("cold", "metric", "a4"), ("cold", "us", "letter"), ("boxed", "us", "a4"), ("fullest", "metric", "letter")],
)
def test_nothing_overlaps_or_leaves_the_page(name, units, paper, request):
    page = draw_what_if(request.getfixturevalue(name), paper=paper, units=units)
    assert tuple(page.get_size_inches()) == PAPERS[paper]
    assert not overlaps(page, pixels=WHITE)
    assert not beyond_the_page(page)


def test_each_jar_has_its_two_numbers_an_arrow_and_its_word(boxed):
    page = draw_what_if(boxed)
    told = said(page)
    for one in (boxed.usual, *boxed.tried):
        assert set_text(one) in told
        assert sunk_text(one, "metric") in told
    words = [word for word in told if word in ("better", "worse", "no difference")]
    assert words == [word_of(boxed, one) for one in boxed.tried]
    assert {"better", "worse"} <= set(words)
    # The arrow points up where it is better: its tip, the one point in the middle, is the highest.
    arrows = [one for one in page.artists if isinstance(one, Polygon)]
    assert [one.get_gid() for one in arrows] == [f"arrow {boxed.effect(one).better}" for one in boxed.tried]
    for arrow in arrows:
        heights = arrow.get_xy()[:, 1]
        tip = heights[0]
        assert tip == (max(heights) if arrow.get_gid() == "arrow 1" else min(heights))
    assert BETTER.partition(":")[0] in " ".join(told)
    assert "Computed, not measured." in " ".join(told)
    assert "Hot wax burns skin" in " ".join(told)


def test_no_difference_has_two_bars_and_its_word(boxed):
    same = WhatIf(usual=boxed.usual, tried=tuple(replace(one, answers=boxed.usual.answers) for one in boxed.tried))
    page = draw_what_if(same)
    assert said(page).count("no difference") == len(boxed.tried)
    bars = [one for one in page.artists if isinstance(one, Polygon)]
    assert {one.get_gid() for one in bars} == {"arrow 0"}
    assert len(bars) == 2 * len(boxed.tried)


def test_all_jars_are_cut_to_one_scale_and_hold_their_own_tops(cold):
    page = draw_what_if(cold, paper="a4")
    width, height = page.get_size_inches()
    # Inches of paper for a millimetre of the jar.
    scales = set()
    for axes in page.axes:
        (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
        place = axes.get_position()
        scales |= {round(width * place.width / (right - left), 6), round(height * place.height / (high - low), 6)}
    assert len(scales) == 1
    # The middle of nine is this jar, and has no top of another one.
    shown = [*cold.tried[:4], cold.usual, *cold.tried[4:]]
    for axes, one in zip(page.axes, shown, strict=True):
        lines = {line.get_gid(): line.get_ydata() for line in axes.get_lines()}
        top = one.result.shrinkage
        assert max(lines["top"]) == pytest.approx(1e3 * max(top.level))
        assert ("before" in lines) is (one is not cold.usual)
        if "before" in lines:
            assert max(lines["before"]) == pytest.approx(1e3 * max(cold.usual.result.shrinkage.level))
        parts = [patch.get_gid() for patch in axes.patches]
        box = one.scenario.jar.surround
        assert ("board" in parts) is (box is not None)
        assert ("neighbour" in parts) is (box is not None and box.exposed_sides < 4)


def test_a_box_of_jars_draws_its_worst_top_and_its_closed_flaps():
    box = with_overrides(load_scenario(SCENARIOS / "box-2x3.toml"), {**COARSE, "places.rows": 1, "places.columns": 2})
    found = what_if(box)
    page = draw_what_if(found)
    assert "the worst that one of them has" in " ".join(said(page))
    # Floor, two walls and the flaps.
    middle = page.axes[4]
    assert [patch.get_gid() for patch in middle.patches].count("board") == 4
    assert found.usual.result.shrinkage.depth == pytest.approx(found.usual.answers["depth_m"])

"""Guess and reveal: jars to draw into, answers from the run, and a jar of paper with the sizes of the real one."""

import math
from fractions import Fraction
from functools import cache

import numpy as np
import pytest
from commands import SCENARIOS
from drawn_pdf import POINTS_PER_MM, level_lines, on_paper, sizes
from drawn_texts import beyond_the_page, overlaps, texts
from made_up import hollowed

from coolsim.answers.catalogue import BY_KEY, answers_of
from coolsim.answers.text import value_text
from coolsim.report.figures.set_jar import ring_times
from coolsim.report.paper.guess import GuessedJar, draw_guess, write_guess
from coolsim.report.paper.paper_jar import FLAP
from coolsim.report.paper.true_size import largest_scale
from coolsim.report.wording import hours_minutes, top_text
from coolsim.scenario import built_in_pair, load_scenario, with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.workshop.guesses import changes_to_guess

QUICK = {"run.refinement": 0.5, "run.tolerance": "1 K"}
BARE, BOXED = (with_overrides(one, QUICK) for one in built_in_pair())
WIDE = with_overrides(
    BARE, {"vessel.diameter": "150 mm", "vessel.height": "90 mm", "pour.volume": None, "pour.level": "60 mm"}
)
TIN = with_overrides(load_scenario(SCENARIOS / "small-tin.toml"), QUICK)
FLAT = with_overrides(
    BARE, {"vessel.diameter": "200 mm", "vessel.height": "30 mm", "pour.volume": None, "pour.level": "12 mm"}
)
JARS = {"flat": FLAT, "bare": BARE, "boxed": BOXED, "wide": WIDE, "tin": TIN}


@cache
def jar(name, title=None):
    scenario = JARS[name]
    stand = "bare" if scenario.jar.surround is None else "boxed"
    return GuessedJar(title=title or scenario.title, stand=stand, scenario=scenario, result=simulate(scenario.jar))


@cache
def pages_of(*names, paper=None, units=None):
    return draw_guess([jar(name) for name in names], paper=paper, units=units)


def said(page):
    return [" ".join(text.get_text().split()) for text, _ in texts(page)]


def drawn(page, gid):
    return page.findobj(lambda artist: artist.get_gid() == gid)


@pytest.mark.parametrize(
    ("names", "paper", "units"), [(("bare", "boxed", "wide", "tin"), "letter", "us"), (("tin",), "a4", "metric")]
)
def test_nothing_overlaps_or_leaves_a_page(names, paper, units):
    pages = draw_guess([jar(name, "W" * 100 if name == "wide" else None) for name in names], paper=paper, units=units)
    assert len(pages) == 4
    for number, page in enumerate(pages, start=1):
        # The figures of a ruler may touch its marks' box.
        assert overlaps(page, pixels=2.0) == []
        assert beyond_the_page(page) == []
        assert f"page {number} of 4" in said(page)
        assert any("Computed, not measured" in one for one in said(page))


def test_the_first_page_gives_nothing_away():
    sheet, *_ = pages_of("bare", "boxed")
    told = said(sheet)
    for expected in (
        "Guess",
        "A Tumbler, bare on the bench",
        "B Tumbler, one of six in an open box",
        "□ a pit at the wick",
    ):
        assert expected in told, expected
    assert sum(one.startswith("Rim sets after ___") for one in told) == 2
    joined = " ".join(told)
    assert "Bare. Room at 21 °C. Poured at 60 °C" in joined
    assert "In the box. Room at 21 °C. Poured at 60 °C" in joined
    assert drawn(sheet, "last liquid") == drawn(sheet, "top") == drawn(sheet, "rings") == []
    assert len(drawn(sheet, "pour level")) == 2


def test_the_second_page_has_the_answers_of_the_run():
    _, reveal, *_ = pages_of("bare", "boxed")
    joined = " ".join(said(reveal))
    for one in (jar("bare"), jar("boxed")):
        answers = answers_of(one.result, one.jar)
        for key in ("rim_set_s", "fully_set_s"):
            assert f"{value_text(BY_KEY[key], answers[key], 'metric')}" in said(reveal)
        assert top_text(one.result, "metric") in joined
        assert ", ".join(hours_minutes(float(time)) for time in ring_times(one.result, 4)) in joined
    crosses = drawn(reveal, "last liquid")
    # In millimetres of the jar.
    heights = [1000.0 * jar(name).result.events.last_liquid[1] for name in ("bare", "boxed")]
    assert [float(cross.get_ydata()[0]) for cross in crosses] == pytest.approx(heights)


def test_a_hidden_cavity_is_drawn_and_named():
    plain = jar("bare")
    hollow = GuessedJar(title="A", stand="bare", scenario=plain.scenario, result=hollowed(plain.result))
    _, reveal, *_ = draw_guess([hollow])
    assert drawn(reveal, "cavity")
    assert "hidden cavity 2.4 mL" in " ".join(said(reveal))


def test_the_jars_of_a_page_have_one_scale_that_it_states():
    sheet, *_ = pages_of("bare", "boxed", "wide", "tin")
    (told,) = [one for one in said(sheet) if one.startswith("The jars are drawn")]
    scale = Fraction(told.removeprefix("The jars are drawn ").rstrip(".").replace(" : ", "/"))
    for axes, one in zip(sheet.axes, ("bare", "boxed", "wide", "tin"), strict=True):
        boxes = [patch.get_window_extent() for patch in axes.patches if patch.get_gid() == "glass"]
        across = max(box.x1 for box in boxes) - min(box.x0 for box in boxes)
        diameter = 1000.0 * JARS[one].jar.vessel.diameter
        assert 25.4 * across / sheet.dpi == pytest.approx(float(scale) * diameter, abs=0.05)


@pytest.mark.parametrize(("name", "paper", "scale"), [("bare", "a4", 1.0), ("tin", "letter", 1.0), ("wide", "a4", 0.5)])
def test_the_strip_is_as_long_as_the_jar_is_round_and_a_flap(name, paper, scale):
    *_, strip, discs = pages_of(name, paper=paper)
    vessel = JARS[name].jar.vessel
    left, low, right, top = on_paper(strip, "strip")
    assert right - left == pytest.approx(scale * math.pi * 1000.0 * vessel.diameter + FLAP, abs=0.05)
    assert top - low == pytest.approx(scale * 1000.0 * vessel.height, abs=0.05)
    wanted = "Real size (1 : 1)" if scale == 1.0 else "Not real size: 1 : 2"
    for page in (strip, discs):
        assert any(one.startswith(wanted) for one in said(page))
    wide = strip.get_size_inches()[0] * 25.4
    # No printer prints nearer to the edge.
    assert left > 5.0
    assert right < wide - 5.0


def test_the_strip_in_the_file_is_true(tmp_path):
    content = write_guess([jar("bare")], tmp_path / "guess.pdf", paper="a4").read_bytes()
    assert sizes(content) == [pytest.approx((297.0 * POINTS_PER_MM, 210.0 * POINTS_PER_MM), abs=0.01)] * 4
    found = level_lines(content)
    for length in (100.0, 78.0 * math.pi + 12.0):
        assert min(abs(one - length * POINTS_PER_MM) for one in found) < 0.01


def test_discs_fit_into_the_roll_and_their_tabs_fold():
    *_, discs = pages_of("bare", "boxed")
    assert len(discs.axes) == 3
    for axes in discs.axes:
        (cuts,) = [one for one in axes.collections if one.get_gid() == "disc"]
        (folds,) = [one for one in axes.collections if one.get_gid() == "fold"]
        assert len(folds.get_segments()) == 4
        assert folds.get_linestyles()[0][1] is not None
        assert cuts.get_linestyles()[0][1] is None
        radii = np.concatenate([np.hypot(*segment.T) for segment in folds.get_segments()])
        # Half a millimetre less than the jar, for the paper of the roll.
        assert radii == pytest.approx(38.75)
    told = " ".join(said(discs))
    rim, last = jar("bare").result.shrinkage.rim_dip, jar("bare").result.events.last_liquid[1]
    depth = JARS["bare"].jar.depth
    for level in (depth - rim, last, 0.5 * last):
        assert f"{round(1000.0 * (0.078 - level), 1):g} mm below the upper edge" in told


def test_lines_on_the_wall_are_its_set_times_by_height():
    *_, strip, _ = pages_of("bare", "boxed")
    (axes,) = strip.axes
    result, base = jar("bare").result, 1000.0 * JARS["bare"].jar.vessel.base
    wall, heights = result.set_time()[:, -1], base + 1000.0 * result.wax.z
    names = {(text.get_text(), round(text.get_position()[1], 3)) for text in axes.texts if text.get_gid() == "set time"}
    assert len(names) >= 4
    for told, height in names:
        hours, minutes = map(int, told.split(":"))
        row = int(np.argmin(np.abs(heights - height)))
        near = wall[max(row - 2, 0) : row + 3]
        assert near.min() - 60.0 <= 3600.0 * hours + 60.0 * minutes <= near.max() + 60.0


def test_more_jars_than_there_is_room_for_are_refused():
    with pytest.raises(ValueError, match="there is room for 1 to 4 jars, not for 5"):
        draw_guess([jar("bare")] * 5)


def test_a_drawing_too_large_for_every_scale_is_refused():
    from coolsim.errors import OutputError

    with pytest.raises(OutputError, match="does not fit on this paper"):
        largest_scale(4000.0, 10.0, lambda _: (10.0, 7.0))


def test_changes_to_guess_break_no_limit_that_the_jar_keeps():
    # Poured 39 K hotter than the jar, of which 42 K are the limit.
    names = [change.name for change, _ in changes_to_guess(BARE, 9)]
    assert names[:3] == ["put it into the box", "pour cooler", "warm the room"]
    assert "pour hotter" not in names
    assert "cool the room" not in names
    warm = with_overrides(BARE, {"vessel.temperature": "40 °C"})
    assert [change.name for change, _ in changes_to_guess(warm, 3)] == [
        "put it into the box",
        "pour hotter",
        "cool the room",
    ]
    assert [change.name for change, _ in changes_to_guess(BOXED, 1)] == ["leave it bare"]


def test_a_limit_that_the_pour_breaks_is_named_on_the_second_page_alone():
    cooler = with_overrides(BOXED, {"pour.temperature": "55 C"})
    guessed = GuessedJar(title="Cooler", stand="boxed", scenario=cooler, result=simulate(cooler.jar))
    asked, shown, *_ = draw_guess([guessed])
    assert "Rings at the wall" in said(shown)
    assert "Rings at the wall" not in said(asked)
    assert "And also" not in said(pages_of("boxed")[1])

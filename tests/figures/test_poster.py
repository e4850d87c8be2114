"""The poster: the jar in real size on paper, the numbers of the plan and of the pour study, letters for two metres."""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from commands import SCENARIOS
from drawn_pdf import POINTS_PER_MM, level_lines, on_paper, sizes
from drawn_texts import beyond_the_page, overlaps, texts
from made_up import hollowed, made_up_spread

from coolsim.report.figures.set_jar import ring_times
from coolsim.report.paper.poster import POSTERS, Poster, draw_poster, write_poster
from coolsim.report.wording import capital, hours_minutes, top_text
from coolsim.scenario import built_in_pair, changed, load_scenario, with_overrides
from coolsim.solve.simulate import simulate
from coolsim.solve.together import simulate_box
from coolsim.studies.pour.choose import choose_pour
from coolsim.studies.workshop.boxes import box_answers
from coolsim.studies.workshop.day_plan import begun_at, plan_day

QUICK = {"run.refinement": 0.5, "run.tolerance": "1 K", "report": None}
BARE = with_overrides(built_in_pair()[0], QUICK)
BOXED = with_overrides(built_in_pair()[1], QUICK)
TALL = with_overrides(BARE, {"vessel.height": "140 mm", "pour.volume": None, "pour.level": "110 mm"})
HUGE = with_overrides(
    BARE, {"vessel.diameter": "300 mm", "vessel.height": "400 mm", "pour.volume": None, "pour.level": "300 mm"}
)
# Letters as wide as they come, and all that may stand on a poster.
FULLEST = with_overrides(
    BOXED, {"title": "W" * 100, "author": "W" * 100, "date": "2026-09-30", "plan.open": "8:00 to 18:00"}
)


JARS = {"bare": BARE, "fullest": FULLEST, "tall": TALL, "huge": HUGE}


def made(scenario, *, start=None, spread=True, rooms=("21C",), found=None):
    scenario = scenario if start is None else begun_at(scenario, start)
    found = found or simulate(scenario.jar)
    results = getattr(found, "results", found)
    plan = plan_day(scenario, results, doubt=made_up_spread() if spread else None)
    study = choose_pour(scenario, alone=True, rooms=rooms, pours=["58C", "60C"], workers=1)
    return Poster(scenario=scenario, found=found, plan=plan, study=study)


@cache
def poster_of(name, start="14:00"):
    return made(JARS[name], start=start, rooms=("18C", "21C", "24C"))


@pytest.fixture(scope="module")
def bare():
    return poster_of("bare", "9:00")


@cache
def page_of(paper="a4", units=None):
    """The poster of the bare tumbler."""
    return draw_poster(poster_of("bare", "9:00"), paper=paper, units=units)


def said(page):
    return [" ".join(text.get_text().split()) for text, _ in texts(page)]


@pytest.mark.parametrize("paper", POSTERS)
def test_the_jar_is_as_wide_and_high_on_paper_as_on_the_bench(bare, paper):
    page, scale = page_of(paper)
    left, low, right, top = on_paper(page, "glass")
    assert scale == 1
    # A printer errs by more.
    assert (right - left, top - low) == pytest.approx((78.0, 86.0), abs=0.05)


def test_the_rulers_in_the_file_are_true_and_the_same_poster_is_the_same_file(bare, tmp_path):
    first, second = (
        write_poster(bare, tmp_path / name, paper="a4", units="us")[0].read_bytes() for name in ("a.pdf", "b.pdf")
    )
    assert first == second
    # matplotlib writes six decimals.
    assert sizes(first) == [pytest.approx((210.0 * POINTS_PER_MM, 297.0 * POINTS_PER_MM), abs=0.01)]
    found = level_lines(first)
    for length in (283.46, 288.0):
        assert min(abs(one - length) for one in found) < 0.01


@pytest.mark.parametrize(("units", "inches"), [("metric", 0), ("us", 1)])
def test_inches_are_for_the_united_states(bare, units, inches):
    page, _ = page_of(units=units)
    assert said(page).count("100 mm") == 1
    assert said(page).count("4 in") == inches
    assert "Print at 100 %: only then is" in said(page)


def test_rings_have_their_times_after_the_pour_and_by_the_clock(bare):
    page, _ = page_of()
    told = said(page)
    times = ring_times(bare.found, 7)
    assert len(times) >= 4
    for time in (*times, bare.found.events.fully_set):
        assert f"{hours_minutes(time)} h" in told
    # Melting from 9:00 takes until 10:15.
    assert bare.plan.clock == 10.25 * 3600.0
    assert {"10:35", "11:15"} <= set(told)
    rings = page.findobj(lambda artist: artist.get_gid() == "rings")[0].get_paths()
    set_time, wax = bare.found.set_time(), bare.found.wax
    for time, ring in zip(times, rings, strict=True):
        points = ring.vertices[np.hypot(ring.vertices[:, 0], ring.vertices[:, 1] - 30.0) < 28.0] / 1000.0
        for r, z in points[:: max(len(points) // 5, 1)]:
            row, column = np.abs(wax.z - z).argmin(), np.abs(wax.r - abs(r)).argmin()
            around = set_time[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2]
            assert around.min() <= time <= around.max()


def test_clocks_show_the_safe_times_of_the_plan(bare):
    page, _ = page_of()
    told = said(page)
    hands = page.findobj(lambda artist: artist.get_gid() == "minute hand")
    for name, hand in zip(("wick", "skin", "still", "lid"), hands, strict=True):
        step = bare.plan.step(name)
        assert bare.plan.told(step) in told
        (tail, tip), (low, high) = hand.get_xdata(), hand.get_ydata()
        shown = math.degrees(math.atan2(tip - tail, high - low)) % 360.0
        minutes = ((bare.plan.clock + step.time) / 60.0) % 60.0
        # Round-off.
        assert shown == pytest.approx(6.0 * minutes, abs=1e-6)
    assert any("Nine of ten jars are ready by these times" in one for one in told)


def test_without_a_clock_the_hands_are_left_to_be_drawn():
    page, _ = draw_poster(made(BARE))
    assert page.findobj(lambda artist: artist.get_gid() in ("hour hand", "minute hand")) == []
    assert len(page.findobj(lambda artist: artist.get_gid() == "dial")) == 4
    assert any("Draw the hands of the clocks in" in one for one in said(page))
    assert sum("after the pour" in one for one in said(page)) == 4


def test_pours_are_those_of_the_study(bare):
    page, _ = page_of("a3")
    told = said(page)
    for choice in bare.study.choices:
        assert (choice.advised("metric") or "none passes") in " ".join(told)
    assert "60 °C planned" in told
    one, _ = draw_poster(made(BARE), paper="a4")
    (own,) = made(BARE).study.choices
    assert f"Room 21 °C: pour at {own.advised('metric')}" in said(one)


@pytest.mark.parametrize(("paper", "least"), [("a4", 18.0), ("letter", 18.0), ("a3", 24.0)])
def test_what_matters_is_read_from_two_metres(bare, paper, least):
    page, _ = page_of(paper)
    sizes_of = {text.get_text(): text.get_fontsize() for text, _ in texts(page)}
    plan = bare.plan
    wanted = [plan.told(plan.step(name)) for name in ("wick", "skin", "still", "lid")]
    wanted += ["Wick free until", "Lid on from", "0:40 h", "10:55", BARE.title]
    (own,) = bare.study.nearest(21.0)
    advised = own.advised("metric")
    wanted.append(advised if advised in sizes_of else f"Room 21 °C: pour at {advised}")
    for one in wanted:
        assert sizes_of[one] >= least, one


@pytest.mark.parametrize(
    ("name", "paper", "units"),
    [
        ("bare", "a4", "metric"),
        ("fullest", "letter", "us"),
        ("fullest", "a3", "us"),
        ("tall", "a3", "us"),
        ("huge", "a4", "metric"),
    ],
)
def test_nothing_overlaps_or_leaves_the_page(name, paper, units):
    poster = poster_of(name)
    page, _ = draw_poster(replace(poster, plan=replace(poster.plan, units=units)), paper=paper, units=units)
    # A line's box reaches a little beyond its letters, and these are large.
    assert overlaps(page, pixels=5.0) == []
    assert beyond_the_page(page) == []


@pytest.mark.parametrize(("name", "paper", "part"), [("tall", "a4", 2), ("huge", "a3", 3)])
def test_a_jar_too_large_for_the_paper_is_drawn_smaller_and_says_so(name, paper, part):
    page, scale = draw_poster(poster_of(name), paper=paper)
    left, _, right, _ = on_paper(page, "glass")
    assert 1 / scale == part
    assert right - left == pytest.approx(1000.0 * JARS[name].jar.vessel.diameter / part, abs=0.05)
    (found,) = [text for text, _ in texts(page) if text.get_text() == f"Not real size: 1 : {part}"]
    assert found.get_fontsize() > 20.0


def test_larger_paper_has_the_same_jar_in_real_size():
    page, scale = draw_poster(poster_of("tall"), paper="a3")
    assert scale == 1
    assert "Real size (1 : 1)" in said(page)


def test_a_box_has_the_jar_with_the_least_flat_top_and_clocks_for_all():
    six = with_overrides(load_scenario(SCENARIOS / "box-2x3.toml"), QUICK)
    box = simulate_box(six.jar)
    page, _ = draw_poster(made(six, found=box))
    worst = box_answers(box).least_flat
    assert f"{capital(worst.kind.called)} of the box · room 21 °C · poured at 60 °C" in said(page)
    assert "The clocks are for all jars of the box" in " ".join(said(page))
    assert top_text(box.at(worst.kind.places[0]), "metric") in " ".join(said(page))


def test_a_pour_beyond_a_limit_is_named_with_what_mends_it():
    hot = with_overrides(BARE, {"pour.temperature": "66 °C"})
    told = " ".join(said(draw_poster(made(hot))[0]))
    assert "shock limit" in told
    assert "vessel.shock_limit" not in told


def test_a_hidden_cavity_is_drawn_and_named():
    found = hollowed(simulate(BARE.jar))
    page, _ = draw_poster(made(BARE, found=found))
    assert page.findobj(lambda artist: artist.get_gid() == "cavity")
    assert "hidden cavity 2.4 mL" in " ".join(said(page))


def test_a_run_that_ends_too_soon_has_no_last_liquid_and_no_top():
    short = changed(BARE, {"run.horizon": 3600.0})
    told = said(draw_poster(made(short, spread=False))[0])
    assert "Top: not known: not set after 1:00 h" in told
    assert told.count("not within 1:00 h") == 2

"""Hot air on a set top as a figure."""

import numpy as np
import pytest
from drawn_texts import beyond_the_page, overlaps
from made_up import made_up_repair

from coolsim.report.figures.repair import draw_repair
from coolsim.report.figures.saving import save_figure
from coolsim.report.text.repair import after_text, blown_text
from coolsim.report.wording import length_text
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.repair.repair import over_films, repair

COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}
BARE = with_overrides(built_in_pair()[0], COARSE)


@pytest.fixture(scope="module")
def found():
    return repair(BARE)


@pytest.fixture(scope="module")
def figure(found):
    return draw_repair(found, title="Tumbler")


def strip(figure):
    """What is written on the strip of time, and where its events and stretches are."""
    axes = figure.axes[0]
    texts = [text.get_text() for text in axes.texts]
    events = [line.get_xdata()[0] for line in axes.lines if line.get_gid() == "event"]
    parts = {patch.get_gid(): patch for patch in axes.patches if patch.get_gid()}
    return texts, events, parts


def test_the_strip_has_its_events_in_order_with_their_times(found, figure):
    texts, events, _ = strip(figure)
    after = found.after
    for text in (
        "0 s", "air on", blown_text(found.needed), after_text(after.set_after), after_text(after.touchable_after),
        after_text(after.cool_after), "set again", "near the room\nlid on",
    ):  # fmt: skip
        assert text in texts
    depth, surface, rim = (
        np.interp(found.needed, found.seconds, one) for one in (found.depth_in_middle, found.surface, found.rim)
    )
    told = f"air off\nmelted {length_text(depth, 'metric')} deep\nsurface {surface:.0f} °C\nbrim {rim:.0f} °C"
    assert told in texts
    # The later of the two lets the jar be moved.
    assert after.set_after < after.touchable_after
    assert any(text.endswith("hand\nmay be moved") for text in texts)
    assert events == sorted(events)
    assert events[0] == 0.0
    assert events[-1] == 1.0


def test_made_up_events_stand_where_their_seconds_are():
    texts, events, parts = strip(draw_repair(made_up_repair(), title="Made up"))
    # 0, 40 s level, 50 s hot, 55 s through, 60 s off: on one scale; then 90 s and 600 s after the air, and the end.
    hot, cold = np.array(events[:5]), np.array(events[5:])
    assert hot / hot[-1] == pytest.approx(np.array([0.0, 40.0, 50.0, 55.0, 60.0]) / 60.0)
    assert parts["hot air"].get_width() == pytest.approx(hot[-1])
    start = parts["setting"].get_x()
    assert (cold[1] - start) / (cold[0] - start) == pytest.approx(600.0 / 90.0)
    assert start + parts["setting"].get_width() == pytest.approx(cold[1])
    assert "set again\nmay be moved" in texts
    assert len({patch.get_hatch() for patch in parts.values()}) == len(parts)


def test_before_and_after_are_cuts_with_what_melts_and_the_levels_that_were_found(found, figure):
    before, after = figure.axes[1:]
    assert (before.get_title(), after.get_title()) == (
        "Before", f"After {blown_text(found.needed)} of hot air, set again"
    )  # fmt: skip
    for axes, level in ((before, found.before.level), (after, found.after.level)):
        assert axes.get_aspect() == 1.0
        (top,) = [line for line in axes.lines if line.get_gid() == "top"]
        assert np.interp(1e3 * found.before.r, top.get_xdata(), top.get_ydata()) == pytest.approx(1e3 * level)
    (melted,) = [one for one in before.collections if one.get_gid() == "melted"]
    corners = melted.get_paths()[0].vertices
    near = corners[np.abs(corners[:, 0] - 1e3 * found.before.r[0]) < 1e-6]
    # In the innermost column, where all of the middle is.
    depth = np.interp(found.needed, found.seconds, found.depth[:, 0])
    assert np.ptp(near[:, 1]) == pytest.approx(1e3 * depth)
    assert not any(one.get_gid() == "melted" for one in after.collections)
    assert "flat\nmiddle below the rim: " in " ".join(text.get_text() for text in after.texts)
    assert "hidden cavity" not in [text.get_text() for text in figure.legends[0].texts]


def test_a_cavity_is_drawn_before_and_gone_after():
    figure = draw_repair(made_up_repair(), title="Hollow")
    before, after = figure.axes[1:]
    assert [patch.get_gid() for patch in before.patches].count("cavity") == 1
    assert not any(patch.get_gid() == "cavity" for patch in after.patches)
    assert "cavity 4.0 mL,\n3 mm under\nthe top" in [text.get_text() for text in before.texts]
    assert "hidden cavity" in [text.get_text() for text in figure.legends[0].texts]
    assert overlaps(figure) == []


@pytest.mark.parametrize(
    ("too_hot", "told"),
    [
        (20.0, "Not with this air: after 20 s\nthe wax is too hot for its oil"),
        (None, "No: all is not reached within 5:00 min"),
    ],
    ids=["too hot", "too slow"],
)
def test_where_there_is_no_time_the_figure_says_why(too_hot, told):
    reached = {"needed": None, "reaches": None, "after": None, "too_hot": too_hot}
    figure = draw_repair(made_up_repair(**reached), title="None", units="us")
    _, before, why = figure.axes
    assert before.get_title() == "Before"
    assert [text.get_text() for text in why.texts] == [told]
    assert overlaps(figure) == []
    assert beyond_the_page(figure) == []


def test_nothing_overlaps_or_leaves_the_page(figure):
    assert beyond_the_page(figure) == []
    assert overlaps(figure) == []


def test_a_figure_is_the_same_bytes_twice(found, tmp_path):
    first, second = (save_figure(draw_repair(found, title="Tumbler"), tmp_path / name) for name in ("a.png", "b.png"))
    assert first.read_bytes() == second.read_bytes()


def test_a_line_goes_from_what_the_strongest_to_what_the_weakest_jet_needs(found):
    films = over_films(found, simulate(BARE.jar))
    figure = draw_repair(found, title="Tumbler", films=films)
    texts, _, parts = strip(figure)
    (line,) = [line for line in figure.axes[0].lines if line.get_gid() == "jets"]
    second = parts["hot air"].get_width() / found.needed
    assert line.get_xdata() / second == pytest.approx(sorted(one.reaches for one in films))
    told = " to ".join(blown_text(one.reaches) for one in films[::-1])
    assert f"strong to weak jet: {told}" in texts
    assert overlaps(figure) == []

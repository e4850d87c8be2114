"""The animation: its colours are the temperatures, its texts can be read, its file is whole or not there."""

from dataclasses import replace

import matplotlib
import numpy as np
import pytest
from drawn_texts import beyond_the_page, overlaps, texts
from made_up import hollowed
from matplotlib.collections import QuadMesh
from matplotlib.colors import to_rgb
from PIL import Image

from coolsim.errors import OutputError
from coolsim.report.figures import animation
from coolsim.report.figures.animation import animation_pictures, animation_times, save_animation
from coolsim.report.figures.cut import GLASS, WAX, cavity_outlines
from coolsim.report.wording import hours_minutes
from coolsim.solve.curves import temperature_of_point
from coolsim.solve.result import Result

EARLY = 600.0


@pytest.fixture(scope="module")
def watch():
    """Draw pictures; return them, the clock and the texts that change of each, and the page as it is at the end."""

    def watched(runs, times, **how):
        pages, told, clocks = [], [], []
        with pytest.MonkeyPatch.context() as patch:
            lay_out, tell = animation._page, animation._tell

            def page(*given):
                pages.append(lay_out(*given))
                return pages[-1]

            def say(panel, page, time, scales):
                tell(panel, page, time, scales)
                told.append((panel.told.get_text(), panel.room.get_text()))

            patch.setattr(animation, "_page", page)
            patch.setattr(animation, "_tell", say)
            pictures = []
            for picture in animation_pictures(runs, times, **how):
                pictures.append(picture)
                clocks.append(pages[0].texts[-1].get_text())
        by_time = [told[at : at + len(runs)] for at in range(0, len(told), len(runs))]
        return pictures, clocks, by_time, pages[0]

    return watched


@pytest.fixture(scope="module")
def end(pair):
    return max(float(result.time[-1]) for _, result in pair)


@pytest.fixture(scope="module")
def shown(pair, end, watch):
    return watch(pair, [0.0, EARLY, end])


def panels(page):
    return page.subfigs[0].axes


def temperatures(page, picture, axes, places):
    """Temperatures at places in units of the axes, as a reader finds the colours of a picture in its key."""
    bar = next(one for one in page.findobj(matplotlib.axes.Axes) if one.get_label() == "<colorbar>")
    low, high = bar.get_xlim()
    scale = bar.findobj(QuadMesh)[0].cmap
    steps = scale(np.arange(scale.N))[:, :3]
    x, y = axes.transData.transform(places).T
    found = picture[len(picture) - 1 - y.astype(int), x.astype(int), :3] / 255.0
    nearest = ((steps - found[:, None, :]) ** 2).sum(axis=2)
    # Where nothing is drawn the page is white, far from every colour of the scale.
    assert nearest.min(axis=1).max() < 1e-3
    return low + (high - low) * (np.argmin(nearest, axis=1) + 0.5) / scale.N


def test_the_colours_of_the_wax_are_its_temperatures(pair, end, shown):
    pictures, _, _, page = shown
    # Clear of the name in the middle and of the lines in the corners, right of the axis.
    places = [(0.018, 0.012), (0.026, 0.022), (0.018, 0.040), (0.022, 0.048)]
    for picture, time in zip(pictures, (0.0, EARLY, end), strict=True):
        for axes, (_, result) in zip(panels(page), pair, strict=True):
            read = temperatures(page, picture, axes, [(1e3 * r, 1e3 * z) for r, z in places])
            at = min(time, float(result.time[-1]))
            held = [np.interp(at, result.time, temperature_of_point(result, r, z)) for r, z in places]
            # Half a step of colour, 0.25 K, and as much for the coarse cells between which both draw lines.
            np.testing.assert_allclose(read, held, atol=0.5)


def pixel(picture, axes, r, z):
    """Colour at a place [mm] of a panel, from 0 to 1."""
    x, y = axes.transData.transform((r, z))
    return tuple(picture[len(picture) - 1 - int(y), int(x), :3] / 255.0)


def test_left_of_the_axis_clear_melt_turns_opaque_as_it_sets(pair, end, shown):
    pictures, _, _, page = shown
    for axes in panels(page):
        poured, _, last = (pixel(picture, axes, -18.0, 40.0) for picture in pictures)
        # A sixteenth of the way from one to the other is one step of the colours.
        step = max(abs(a - b) for a, b in zip(to_rgb("#d99a2b"), to_rgb(WAX), strict=True)) / 16
        assert poured == pytest.approx(to_rgb("#d99a2b"), abs=step)
        assert last == pytest.approx(to_rgb(WAX), abs=step)
        # Grey tells them apart, too.
        assert to_rgb(WAX)[0] * 0.3 + 0.59 * last[1] - 0.3 * poured[0] - 0.59 * poured[1] > 0.15
    glass = [pixel(picture, panels(page)[0], -37.0, 70.0) for picture in pictures]
    assert glass == [pytest.approx(to_rgb(GLASS), abs=0.01)] * 3


def test_wax_looks_as_opaque_as_it_has_crystals_and_mostly_so_where_it_has_set(pair, watch):
    result = pair[0][1]
    time, clear = result.events.top_closed, np.array(to_rgb("#d99a2b"))
    (picture,), _, _, page = watch(pair[:1], [time])
    wax, way = result.wax, np.array(to_rgb(WAX)) - clear
    shown, held = [], []
    for r in (6.0, 14.0, 20.0, 30.0, 33.0):
        found = np.array(pixel(picture, panels(page)[0], -r, 30.0))
        shown.append(float((found - clear) @ way / (way @ way)))
        liquid = [np.interp(1e-3 * r, wax.r, row) for row in result.liquid_map(time)]
        solid = 1.0 - np.interp(0.03, wax.z, liquid)
        held.append(1.0 - np.exp(-1.6 * solid / (1.0 - result.sets_at)))
    # Half a step of the shades, and a pixel of half a millimetre.
    assert shown == pytest.approx(held, abs=0.06)
    assert 1.0 - np.exp(-1.6) == pytest.approx(0.8, abs=0.01)


def test_the_top_sinks_and_a_cavity_opens(pair, end, watch, monkeypatch):
    title, result = pair[0]
    opened = hollowed(result).shrinkage
    monkeypatch.setattr(Result, "tops_at", lambda run, times: [tops[0], opened])
    tops = [replace(result.shrinkage, level=np.full_like(result.shrinkage.level, result.shrinkage.pour_level))]
    pictures, _, _, page = watch([(title, result)], [0.0, end])
    (axes,) = panels(page)
    under_pour = (-1.0, 1e3 * opened.pour_level - 2.0)
    before, after = (pixel(picture, axes, *under_pour) for picture in pictures)
    assert before != (1.0, 1.0, 1.0)
    assert after == (1.0, 1.0, 1.0)
    inside = [(picture[:, :, :3] == 255).all(axis=2) for picture in pictures]
    hollow = cavity_outlines(opened)[0]
    left, low = axes.transData.transform(1e3 * hollow.min(axis=0))
    right, high = axes.transData.transform(1e3 * hollow.max(axis=0))
    part = np.s_[len(inside[0]) - int(high) : len(inside[0]) - int(low), int(left) : int(right)]
    # White paper between the lines of its hatch, where before there was wax and its name.
    assert inside[1][part].mean() > 0.1
    assert not inside[0][part].any()


def test_pictures_are_opaque_of_one_size_and_nothing_but_the_maps_and_texts_changes(shown):
    pictures, _, _, page = shown
    assert {picture.shape for picture in pictures} == {(*np.rint(page.bbox.size[::-1]).astype(int), 4)}
    assert all((picture[:, :, 3] == 255).all() for picture in pictures)
    changed = np.any(pictures[0] != pictures[-1], axis=2)
    box = page.subfigs[1].bbox
    # The key below, with a pixel of rounding.
    assert not changed[round(len(changed) - box.y1) + 1 :].any()
    assert changed.mean() > 0.1


def test_the_clock_runs_and_events_are_told_once_they_have_passed(pair, end, shown):
    _, clocks, told, _ = shown
    assert clocks == ["0:00 h", "0:10 h", f"{hours_minutes(end)} h"]
    assert [text for text, _ in told[0]] == ["", ""]
    for (text, room), (_, result) in zip(told[-1], pair, strict=True):
        events = result.events
        for name, time in (
            ("rim set", events.rim_set),
            ("top closed", events.top_closed),
            ("fully set", events.fully_set),
        ):
            assert f"{name} {hours_minutes(time)}" in text
        assert room == "room\n21 °C"
    # The bare jar is cool hours before the boxed one; it says that what is shown is its last state.
    assert told[-1][0][0].endswith(f"ended {hours_minutes(pair[0][1].time[-1])}")
    assert "ended" not in told[-1][1][0]


@pytest.mark.parametrize("chosen", [(0,), (0, 1, 2), (0, 1, 2, 3)], ids=["one", "three", "four"])
def test_at_the_end_when_most_is_told_no_text_overlaps_another_or_is_cut(odd, watch, chosen):
    runs = [odd[index] for index in chosen]
    _, _, _, page = watch(runs, [max(float(result.time[-1]) for _, result in runs)])
    assert overlaps(page) == []
    assert beyond_the_page(page) == []
    assert min(text.get_fontsize() for text, _ in texts(page)) >= 7.0


def test_in_the_pair_no_text_overlaps_another_or_is_cut_and_it_says_that_it_was_computed(pair, shown):
    page = shown[-1]
    assert overlaps(page) == []
    assert beyond_the_page(page) == []
    told = [text.get_text() for text, _ in texts(page)]
    assert "computed, not measured" in told
    assert {title for title, _ in pair} <= set(told)


def test_a_workshop_in_the_us_sees_inches_and_fahrenheit(pair, watch):
    _, _, told, page = watch(pair[:1], [EARLY], units="us")
    (axes,) = panels(page)
    assert (axes.get_xlabel(), axes.get_ylabel()) == ("radius [in]", "height above\nwax bottom [in]")
    assert "temperature [°F]" in [text.get_text() for text, _ in texts(page)]
    assert told[0][0][1] == "room\n70 °F"


@pytest.fixture(scope="module")
def saved(pair, tmp_path_factory):
    path = tmp_path_factory.mktemp("animation") / "once.gif"
    return save_animation(path, pair[:1], frames=3, seconds=1.5, until=3600.0)


def test_the_file_plays_as_long_as_was_asked_holds_its_last_picture_and_starts_again(saved):
    with Image.open(saved) as file:
        durations = []
        for number in range(file.n_frames):
            file.seek(number)
            durations.append(file.info["duration"])
        assert file.info["loop"] == 0
    assert durations[:2] == [500, 500]
    # 1.5 s more than the others.
    assert sum(durations) == 1500 + 1500


def test_all_pictures_of_a_file_share_the_256_colours_that_a_gif_has(saved):
    seen = set()
    with Image.open(saved) as file:
        for number in range(file.n_frames):
            file.seek(number)
            seen |= {colour for _, colour in file.convert("RGB").getcolors(2**24)}
    assert len(seen) <= 256


def test_the_same_run_gives_the_same_bytes_twice(pair, saved, tmp_path):
    again = save_animation(tmp_path / "again.gif", pair[:1], frames=3, seconds=1.5, until=3600.0)
    assert again.read_bytes() == saved.read_bytes()


def test_an_interrupt_leaves_the_file_as_it_was_and_nothing_beside_it(pair, tmp_path, monkeypatch):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "temporary"))
    (tmp_path / "temporary").mkdir()
    path = tmp_path / "kept.gif"
    path.write_bytes(b"as it was")

    def stop(done, _):
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        save_animation(path, pair[:1], frames=3, until=EARLY, on_frame=stop)
    assert path.read_bytes() == b"as it was"
    assert sorted(one.name for one in tmp_path.iterdir()) == ["kept.gif", "temporary"]
    assert list((tmp_path / "temporary").iterdir()) == []


def test_a_failed_write_is_one_clear_error_and_leaves_nothing(pair, tmp_path):
    with pytest.raises(OutputError, match="no such folder"):
        save_animation(tmp_path / "missing" / "a.gif", pair[:1], frames=2, until=EARLY)
    with pytest.raises(OutputError, match=r"End the name in \.gif"):
        save_animation(tmp_path / "a.png", pair[:1])
    assert list(tmp_path.iterdir()) == []


def test_pictures_go_from_the_pour_to_the_end_of_the_longest_run_dense_where_much_changes(pair, end):
    results = [result for _, result in pair]
    times = animation_times(results, frames=40)
    assert (times[0], times[-1]) == (0.0, end)
    assert (np.diff(times) > 0.0).all()
    # Three fifths of the pictures in the first quarter of the time, in which all sets.
    assert (times < 0.25 * end).mean() > 0.6
    assert np.diff(times).max() < end / 8
    np.testing.assert_allclose(animation_times(results, frames=2, until=60.0), [0.0, 60.0])


def test_the_moments_of_events_have_pictures_of_their_own(pair):
    results = [result for _, result in pair]
    times = animation_times(results, frames=60)
    for result in results:
        for event in (result.events.rim_set, result.events.top_closed, result.events.fully_set):
            assert event in times
    # Of two moments that share the nearest picture one gets it.
    assert (np.diff(animation_times([pair[0][1]] * 2, frames=5)) > 0.0).all()


def test_what_cannot_be_animated_is_refused_with_what_was_found(pair, tmp_path):
    results = [result for _, result in pair]
    for wrong in (1, 301):
        with pytest.raises(ValueError, match=f"found {wrong} frames"):
            animation_times(results, frames=wrong)
    for until in (0.0, float("inf"), float("nan")):
        with pytest.raises(ValueError, match="time after the pour"):
            animation_times(results, until=until)
    with pytest.raises(ValueError, match="at least one run"):
        animation_times([])
    with pytest.raises(ValueError, match="found 5 runs"):
        save_animation(tmp_path / "a.gif", pair[:1] * 5)
    with pytest.raises(ValueError, match="too quick"):
        save_animation(tmp_path / "a.gif", pair[:1], frames=10, seconds=0.1)
    assert list(tmp_path.iterdir()) == []

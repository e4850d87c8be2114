"""The film: jars as they look, to scale, texts that can be read, a loop without a jump, files whole or not there."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from drawn_texts import beyond_the_page, overlaps, texts
from made_up import hollowed
from matplotlib.colors import to_rgb
from PIL import Image

from coolsim.errors import OutputError
from coolsim.report.figures import animation
from coolsim.report.figures.animation import animation_pictures, animation_times, save_animation
from coolsim.report.figures.cut import GLASS, WAX, cavity_outlines
from coolsim.report.wording import hours_minutes, length_text
from coolsim.solve.curves import temperature_of_point
from coolsim.solve.result import Result

EARLY = 600.0
CLEAR = np.array(to_rgb("#dd9f33"))


@pytest.fixture(scope="module")
def watch():
    """Draw pictures; return them, the texts that change of each, jar by jar, and the page with its jars at the end."""

    def watched(runs, times, **how):
        laid_out = []
        with pytest.MonkeyPatch.context() as patch:
            lay_out = animation._page
            patch.setattr(animation, "_page", lambda *given: laid_out.append(lay_out(*given)) or laid_out[0])
            pictures, told = [], []
            for picture in animation_pictures(runs, times, **how):
                pictures.append(picture)
                page, panels, clock = laid_out[0]
                now = [
                    [one.now.get_text(), one.sunk.get_text(), *(t.get_text() for _, t in one.told if black(t))]
                    for one in panels
                ]
                told.append((clock.get_text(), now))
        return pictures, told, page, panels

    return watched


def black(text):
    return text.get_color() == "black"


@pytest.fixture(scope="module")
def end(pair):
    return max(float(result.time[-1]) for _, result in pair)


@pytest.fixture(scope="module")
def shown(pair, end, watch):
    return watch(pair, [0.0, EARLY, end])


def pixel(picture, panel, r, z):
    """Colour at a place [mm] of a jar, from 0 to 1."""
    x, y = panel.axes.transData.transform((r, z))
    return np.array(picture[len(picture) - 1 - int(y), int(x), :3] / 255.0)


def test_clear_melt_turns_opaque_as_it_sets_on_both_sides_of_the_axis(shown):
    pictures, _, _, panels = shown
    for panel in panels:
        for r in (-18.0, 18.0):
            poured, _, last = (pixel(picture, panel, r, 40.0) for picture in pictures)
            # A sixteenth of the way from one to the other is one step of the colours.
            step = np.abs(CLEAR - to_rgb(WAX)).max() / 16
            assert poured == pytest.approx(CLEAR, abs=step)
            assert last == pytest.approx(to_rgb(WAX), abs=step)
            # Grey tells them apart, too.
            assert (last - poured) @ (0.3, 0.59, 0.11) > 0.15
    glass = [pixel(picture, panels[0], -37.0, 70.0) for picture in pictures]
    assert glass == [pytest.approx(to_rgb(GLASS), abs=0.01)] * 3


def test_melt_has_a_gloss_at_the_glass_and_set_wax_has_none(shown):
    pictures, _, _, panels = shown
    for panel in panels:
        # The radius is 35.5 mm; the light lies at seven tenths of it, from near the floor to near the surface.
        poured, _, last = ([pixel(one, panel, r, 30.0).sum() for r in (-24.8, -10.0, -34.8)] for one in pictures)
        light, body, deep = poured
        assert light > body + 0.4 > deep + 0.5
        assert np.ptp(last) < 0.05


def test_wax_looks_as_opaque_as_it_has_crystals_and_mostly_so_where_it_has_set(pair, watch):
    result = pair[0][1]
    time = result.events.top_closed
    (picture,), _, _, (panel,) = watch(pair[:1], [time])
    wax, way = result.wax, np.array(to_rgb(WAX)) - CLEAR
    shown, held = [], []
    # Between wick and gloss.
    for r in (6.0, 10.0, 14.0, 20.0, 22.0):
        shown.append(float((pixel(picture, panel, r, 30.0) - CLEAR) @ way / (way @ way)))
        liquid = [np.interp(1e-3 * r, wax.r, row) for row in result.liquid_map(time)]
        solid = 1.0 - np.interp(0.03, wax.z, liquid)
        held.append(1.0 - np.exp(-1.6 * solid / (1.0 - result.sets_at)))
    # Half a step of the shades, and a pixel of half a millimetre.
    assert shown == pytest.approx(held, abs=0.06)
    assert 1.0 - np.exp(-1.6) == pytest.approx(0.8, abs=0.01)


def test_the_top_sinks_and_a_cavity_opens(pair, end, watch, monkeypatch):
    title, result = pair[0]
    hollow = hollowed(result)
    opened = hollow.shrinkage
    flat = replace(
        result.shrinkage,
        level=np.full_like(result.shrinkage.level, opened.pour_level),
        hollow=np.zeros_like(opened.hollow),
    )
    monkeypatch.setattr(Result, "tops_at", lambda run, times: [flat, opened])
    pictures, _, _, (panel,) = watch([(title, hollow)], [0.0, end])
    before, after = (pixel(picture, panel, -5.0, 1e3 * opened.pour_level - 1.5) for picture in pictures)
    assert (before < 1.0).any()
    assert (after == 1.0).all()
    white = [(picture[:, :, :3] == 255).all(axis=2) for picture in pictures]
    outline = cavity_outlines(opened)[0]
    left, low = panel.axes.transData.transform(1e3 * outline.min(axis=0))
    _, high = panel.axes.transData.transform(1e3 * outline.max(axis=0))
    wick = panel.axes.transData.transform((-1.5, 0.0))[0]
    part = np.s_[len(white[0]) - int(high) : len(white[0]) - int(low), int(left) : int(wick)]
    # White paper between the lines of its hatch, where before there was wax.
    assert white[1][part].mean() > 0.1
    assert not white[0][part].any()


def test_the_front_is_drawn_where_the_wax_has_set_and_not_above_the_top(pair, watch):
    result = pair[0][1]
    (picture,), _, _, (panel,) = watch(pair[:1], [result.events.top_closed])
    liquid = result.liquid_map(result.events.top_closed)
    row = int(np.argmin(np.abs(result.wax.z - 0.03)))
    at = 1e3 * float(np.interp(-result.sets_at, -liquid[row], result.wax.r))
    x, y = panel.axes.transData.transform((at, 1e3 * float(result.wax.z[row])))
    near = picture[len(picture) - 1 - int(y), int(x) - 6 : int(x) + 7, :3].sum(axis=1)
    # A black line with a white edge, within the 1.5 mm that lie between cells.
    assert near.min() < 200 < 650 < near.max()


def test_all_is_to_scale_and_says_so_with_a_length(shown):
    _, _, page, panels = shown
    for panel in panels:
        (x0, y0), (x1, y1) = panel.axes.transData.transform([(0.0, 0.0), (10.0, 10.0)])
        # Less than half a pixel in the width of the jar.
        assert y1 - y0 == pytest.approx(x1 - x0, rel=1e-3)
    (bar,) = (line for line in panels[0].axes.lines if line.get_gid() == "bar")
    assert np.ptp(bar.get_xdata()) == pytest.approx(20.0)
    assert "20 mm, true to scale" in [text.get_text() for text, _ in texts(page)]


def test_jars_stand_on_one_bench_and_a_jar_out_of_its_box_on_the_same(pair, watch):
    moved = replace(pair[1][1])
    gone = [one for one in animation.fields_at(moved, 0.0) if one.what in ("wax", "glass", "bench")]
    without = [replace(one, values=np.full_like(one.values, np.nan)) if one.what == "bench" else one for one in gone]
    with pytest.MonkeyPatch.context() as patch:
        fields_at = animation.fields_at
        patch.setattr(
            animation, "fields_at", lambda run, time: without if run is moved and time > 0.0 else fields_at(run, time)
        )
        pictures, _, _, panels = watch([pair[0], (pair[1][0], moved)], [0.0, EARLY])
    # A pixel under the bench's upper edge, beside the jars.
    for picture in pictures:
        heights = []
        for panel in panels:
            x = int(panel.axes.bbox.x0) + 2
            column = picture[:, x, :3].astype(int).sum(axis=1)
            heights.append(int(np.flatnonzero(column[int(0.4 * len(column)) :] < 500)[0]))
        assert abs(heights[0] - heights[1]) <= 1
    # Bottom of the glass [mm], which no longer stands on the floor of the box.
    low, high = panels[1].axes.get_ylim()
    glass = min(1e3 * float(one.z[0]) for one in gone if one.what == "glass")
    assert low == pytest.approx(glass - animation._BENCH)
    assert high - low == pytest.approx(panels[1].high)


def test_pictures_are_opaque_and_of_one_even_size(shown):
    pictures, _, page, _ = shown
    assert {picture.shape for picture in pictures} == {(*np.rint(page.bbox.size[::-1]).astype(int), 4)}
    assert [size % 2 for size in pictures[0].shape[:2]] == [0, 0]
    assert all((picture[:, :, 3] == 255).all() for picture in pictures)


def test_the_clock_runs_and_events_are_told_once_they_have_passed(pair, end, shown):
    _, told, _, panels = shown
    assert [clock for clock, _ in told] == ["0:00 h", "0:10 h", f"{hours_minutes(end)} h"]
    assert [now[2:] for now in told[0][1]] == [[], []]
    for (now, sunk, *passed), (_, result) in zip(told[-1][1], pair, strict=True):
        events = result.events
        rows = list(zip(passed[::2], passed[1::2], strict=True))
        for row in (
            ("rim set", hours_minutes(events.rim_set)),
            ("top closed", hours_minutes(events.top_closed)),
            ("fully set", hours_minutes(events.fully_set)),
            ("top has sunk for good", hours_minutes(events.top_final)),
            ("may be lidded", hours_minutes(events.cool)),
        ):
            assert row in rows
        centre = temperature_of_point(result, 0.0, 0.5 * result.shrinkage.pour_level)[-1]
        assert now == f"room 21 °C  ·  centre of the wax {centre:.0f} °C"
        assert sunk == f"middle of the top has sunk {length_text(result.shrinkage.centre_dip, 'metric')}"
    # What is still to come stands there in grey.
    assert all(time > EARLY for panel in panels for time, text in panel.told if text.get_text() == "fully set")


def test_of_a_run_that_was_cut_off_its_end_is_told(odd, watch):
    _, told, _, _ = watch(odd[3:], [0.0, 7200.0])
    assert told[-1][1][0][-2:] == ["run ends", "1:00"]


@pytest.mark.parametrize("chosen", [(0,), (0, 1, 2), (0, 1, 2, 3)], ids=["one", "three", "four"])
def test_at_the_end_when_most_is_told_no_text_overlaps_another_or_is_cut(odd, watch, chosen):
    runs = [odd[index] for index in chosen]
    _, _, page, _ = watch(runs, [max(float(result.time[-1]) for _, result in runs)])
    assert overlaps(page) == []
    assert beyond_the_page(page) == []
    # On a phone of 68 mm three jars beside each other are the most: letters of 1 mm.
    small = min(text.get_fontsize() for text, _ in texts(page))
    assert small / 72 / page.get_size_inches()[0] * 68 > 0.9


def test_in_the_pair_no_text_overlaps_another_or_is_cut_and_it_says_that_it_was_computed(pair, shown):
    page = shown[2]
    assert overlaps(page) == []
    assert beyond_the_page(page) == []
    told = [text.get_text() for text, _ in texts(page)]
    assert "computed, not measured  ·  the clock runs faster where little happens" in told
    assert {title for title, _ in pair} <= {" ".join(text.split()) for text in told}


def test_a_workshop_in_the_us_sees_inches_and_fahrenheit(pair, watch):
    _, told, page, _ = watch(pair[:1], [EARLY], units="us")
    now, sunk, *_ = told[0][1][0]
    assert now.startswith("room 70 °F  ·  centre of the wax ")
    assert sunk.endswith(" in")
    assert "1 in, true to scale" in [text.get_text() for text, _ in texts(page)]


@pytest.fixture(scope="module")
def saved(pair, tmp_path_factory):
    path = tmp_path_factory.mktemp("animation") / "once.gif"
    return save_animation(path, pair[:1], frames=3, seconds=1.5, until=3600.0)


def frames_of(path):
    """Pictures of a GIF, and how long each is shown [ms]."""
    with Image.open(path) as file:
        found = []
        for number in range(file.n_frames):
            file.seek(number)
            found.append((np.asarray(file.convert("RGB")).astype(int), file.info["duration"]))
        assert file.info["loop"] == 0
    return found


def test_the_film_plays_as_long_as_was_asked_holds_its_ends_and_fades_into_its_beginning(saved):
    pictures, durations = zip(*frames_of(saved), strict=True)
    # Three in 1.5 s; half a second more for the first and two for the last, in pictures of half a second.
    assert durations == (1000, 500, 2500, 500, 500)
    first, last, *fade = (pictures[0], *pictures[2:])
    whole = np.abs(first - last).mean()
    steps = [np.abs(a - b).mean() for a, b in pairwise([last, *fade, first])]
    # No step of the way back is half as large as the jump would be, and all lead there.
    assert max(steps) < 0.55 * whole
    assert sum(steps) == pytest.approx(whole, rel=0.1)


def test_a_film_of_four_jars_is_smaller_than_three_megabytes(pair, tmp_path):
    runs, first = [*pair, *pair], 6
    times, rate = animation_times([result for _, result in runs]), animation.FRAMES / animation.SECONDS
    # The first pictures of the film that is made unless told otherwise, with as many that fade.
    path = save_animation(
        tmp_path / "some.gif", runs, frames=first, seconds=first / rate, until=float(times[first - 1])
    )
    fade = round(animation._FADE * rate)
    whole = path.stat().st_size * (animation.FRAMES + fade) / (first + fade)
    # All 96 took 2.39 MB, and 1.26 MB of the pair: 3 % more than this says.
    assert 1.1 * whole < 3e6


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
    with pytest.raises(OutputError, match=r"End the name in \.gif or \.mp4"):
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

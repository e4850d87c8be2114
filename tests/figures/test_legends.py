"""Which line of a legend is which: the line with a label's look holds the data of that label."""

import numpy as np
import pytest
from drawn_texts import beyond_the_page, overlaps
from made_up import made_up_fit, made_up_melting, made_up_melts, made_up_pours, made_up_spread
from matplotlib.colors import to_hex

from coolsim.answers.catalogue import BY_KEY, in_group
from coolsim.report.figures.curves import draw_cooling_curves, draw_heat_shares
from coolsim.report.figures.fit import draw_fit
from coolsim.report.figures.melt_models import draw_melt_models
from coolsim.report.figures.melting import draw_melting
from coolsim.report.figures.pour_chart import draw_pour_chart
from coolsim.report.figures.spread import draw_spread
from coolsim.report.figures.tops import draw_top_profiles
from coolsim.solve.curves import heat_shares, outside_of_wall, temperature_of_point, usual_points
from coolsim.studies.checks.melt_models import MODELS


def look(line):
    """Colour and dashes of a line, whatever its width."""
    return to_hex(line.get_color()), str(line._unscaled_dash_pattern)


def legend(owner):
    """Lines of a legend by their label."""
    (found,) = owner.legends if hasattr(owner, "legends") else [owner.get_legend()]
    texts = [text.get_text() for text in found.texts]
    assert len(set(texts)) == len(texts)
    return dict(zip(texts, found.legend_handles, strict=True))


def alike(axes, line, gid=None):
    """Lines of a panel that look like one of the legend."""
    return [
        one
        for one in axes.get_lines()
        if look(one) == look(line) and (gid is None or str(one.get_gid()).startswith(gid))
    ]


def holds(line, x, y):
    np.testing.assert_allclose(line.get_xdata(), x)
    np.testing.assert_allclose(line.get_ydata(), y)


def test_each_cooling_curve_and_its_place_are_those_of_its_label(pair):
    figure = draw_cooling_curves(pair)
    labels = legend(figure)
    curves, places = figure.axes[::2], figure.axes[1::2]
    for axes, key, (_, result) in zip(curves, places, pair, strict=True):
        points, half = usual_points(result.wax), 0.5 * result.wax.z_edges[-1]
        expected = {name: temperature_of_point(result, *place) for name, place in points.items()}
        expected |= {"glass outside": outside_of_wall(result), "room": result.history.room}
        assert set(labels) == {*expected, "here it sets", "goes on freezing, to 90 % solid"}
        drawn = {line.get_gid(): line for line in key.get_lines() if line.get_gid()}
        for label, values in expected.items():
            (line,) = alike(axes, labels[label])
            assert line.get_marker() == labels[label].get_marker()
            holds(line, result.time / 3600.0, values)
            mark = drawn[label]
            assert (mark.get_marker(), to_hex(mark.get_color())) == (line.get_marker(), look(line)[0])
            if label != "room":
                # The outside of the glass is 39 mm from the axis.
                r, z = points.get(label, (0.039, half))
                holds(mark, [1e3 * r], [1e3 * z])
        assert drawn["room"].get_xdata()[0] > 39.0


def test_the_bands_of_the_cooling_curves_are_where_their_wax_sets_and_freezes(pair):
    figure = draw_cooling_curves(pair, units="us")
    labels = legend(figure)
    for axes, (_, result) in zip(figure.axes[::2], pair, strict=True):
        table = result.wax.table
        ends = [1.8 * np.interp(share, table.liquid, table.temperature) + 32.0 for share in (0.1, result.sets_at, 1.0)]
        bands = {patch.get_gid(): patch for patch in axes.patches}
        for gid, label, (low, high) in (
            ("sets", "here it sets", ends[1:]),
            ("freezes", "goes on freezing, to 90 % solid", ends[:2]),
        ):
            band = bands[gid]
            assert (band.get_y(), band.get_y() + band.get_height()) == pytest.approx((low, high))
            assert to_hex(band.get_facecolor()) == to_hex(labels[label].get_facecolor())
        assert f"here it sets: {ends[2]:.0f} °F to {ends[1]:.0f} °F" in [text.get_text() for text in axes.texts]


def test_each_share_of_the_heat_is_named_in_its_colour_at_its_end(pair):
    figure = draw_heat_shares(pair)
    for axes, (_, result) in zip(figure.axes, pair, strict=True):
        named = {text.get_text(): to_hex(text.get_color()) for text in axes.texts}
        for path, values in heat_shares(result).items():
            (line,) = [one for one in axes.get_lines() if one.get_gid() == path]
            holds(line, result.time / 3600.0, 100.0 * values)
            assert named[f"{path} {100 * values[-1]:.0f} %"] == look(line)[0]
        assert len(set(named.values())) == 3


def test_each_top_profile_and_its_middle_have_the_look_of_its_title(pair):
    figure = draw_top_profiles(pair)
    (axes,), labels = figure.axes, legend(figure)
    for title, result in pair:
        top = result.shrinkage
        (profile,) = alike(axes, labels[title], "top")
        drawn = np.interp(1e3 * top.r, profile.get_xdata(), profile.get_ydata())
        # In mm; the curve is smooth, and this is read off straight between its points.
        assert drawn == pytest.approx(1e3 * (top.level - top.pour_level), abs=5e-3)
        (middle,) = alike(axes, labels[title], "middle")
        assert middle.get_ydata() == pytest.approx([-1e3 * top.centre_dip] * 2)


@pytest.fixture(scope="module")
def study():
    return made_up_pours()


def test_the_key_of_the_pour_chart_is_that_of_its_lines_and_hatches(study):
    figure = draw_pour_chart(study)
    bare, _, foot = figure.axes
    labels = legend(foot)
    assert set(labels) == {"pour here: all as good, 2 °C off the limits if any is", "limit", "too cold", "too hot"}
    found = [choice for choice in study.choices if choice.place == "bare"]
    for name in ("low", "high"):
        (wall,) = [one for one in bare.get_lines() if one.get_gid() == f"{name} limit"]
        assert look(wall) == look(labels["limit"])
        # Led on to both edges of the panel.
        assert wall.get_ydata()[1:-1] == pytest.approx([getattr(choice, name).pour for choice in found])
    fields = {one.get_gid(): one for one in bare.collections}
    for name, label in (("low", "too cold"), ("high", "too hot")):
        assert fields[name].get_hatch() == labels[label].get_hatch()
        assert to_hex(fields[name].get_facecolor()[0]) == to_hex(labels[label].get_facecolor())
    band = labels["pour here: all as good, 2 °C off the limits if any is"]
    assert to_hex(fields["pour here"].get_facecolor()[0]) == to_hex(band.get_facecolor())
    assert len({labels[label].get_hatch() for label in ("too cold", "too hot")}) == 2


def test_band_median_and_own_curve_of_a_spread_are_those_of_the_key():
    found = made_up_spread()
    figure = draw_spread(found)
    labels = legend(figure)
    band, median, own = (
        next(line for label, line in labels.items() if label.startswith(begin))
        for begin in ("eight cases in ten", "median", "with the values")
    )
    *panels, times, depths, volumes = figure.axes
    for axes, one in zip(panels, found.bands, strict=True):
        assert axes.get_title(loc="left") == one.name
        hours = found.time / 3600.0
        for line, gid, values in ((median, "median", one.median), (own, "own", one.nominal)):
            (drawn,) = [alike_one for alike_one in axes.get_lines() if alike_one.get_gid() == gid]
            assert (look(drawn), drawn.get_linewidth()) == (look(line), line.get_linewidth())
            holds(drawn, hours, values)
        (shade,) = axes.collections
        assert to_hex(shade.get_facecolor()[0]) == to_hex(band.get_facecolor())
        edges = {text.get_text(): text.xy for text in axes.texts}
        for text, values in (("10 %", one.low), ("90 %", one.high)):
            x, y = edges[text]
            assert y == pytest.approx(np.interp(x, hours, values))
    for axes, keys, scale in (
        (times, [answer.key for answer in in_group("setting")], 1.0 / 3600.0),
        (depths, ["depth_m", "dish_m", "hole_m"], 1e3),
        (volumes, ["void_volume_m3", "cavity_volume_m3"], 1e6),
    ):
        ticks = {tick.get_text(): at for at, tick in zip(axes.get_yticks(), axes.get_yticklabels(), strict=True)}
        bars = {patch.get_gid(): patch for patch in axes.patches}
        lines = [
            (look(line), line.get_linewidth(), *line.get_xdata()[:1], np.mean(line.get_ydata())) for line in axes.lines
        ]
        assert len(ticks) == len(keys)
        for key in keys:
            called = BY_KEY[key].called
            label = called[:1].upper() + called[1:]
            one, bar, place = found.answer(key), bars[label], ticks[label]
            assert bar.get_y() + 0.5 * bar.get_height() == pytest.approx(place)
            ends = (bar.get_x(), bar.get_x() + bar.get_width())
            assert ends == pytest.approx((scale * one.low, scale * one.high))
            for line, value in ((median, one.median), (own, one.nominal)):
                here = [x for *style, x, y in lines if style == [look(line), line.get_linewidth()] and y == place]
                assert here == pytest.approx([scale * value])
    assert (depths.get_xlabel(), volumes.get_xlabel()) == ("depth [mm]", "volume [mL]")
    assert depths.get_title(loc="left") == "Top: flat in 25 % of the cases"


@pytest.mark.parametrize("units", ["metric", "us"])
def test_no_text_of_a_spread_overlaps_another_or_is_cut(units):
    figure = draw_spread(made_up_spread(), units=units)
    assert overlaps(figure) == []
    assert beyond_the_page(figure) == []
    *_, depths, _ = figure.axes
    one = made_up_spread().answer("depth_m")
    factor, digits, unit = (1e3, 1, "mm") if units == "metric" else (1.0 / 0.0254, 2, "in")
    told = [f"{factor * value:.{digits}f}" for value in (one.median, one.low, one.high)]
    assert f"{told[0]} ({told[1]} to {told[2]})" in [text.get_text() for text in depths.texts]
    assert depths.get_xlabel() == f"depth [{unit}]"


def test_a_log_and_the_model_before_and_after_have_the_look_of_the_key():
    fit = made_up_fit()
    figure = draw_fit(fit)
    upper, _, intervals = figure.axes
    labels = legend(upper)
    by_gid = {line.get_gid(): line for axes in figure.axes for line in axes.get_lines()}
    (jar,) = fit.jars
    for index, probe in enumerate(jar.measured.probes):
        mark = labels[f"{probe.name}, logged"]
        drawn = by_gid[f"log-0-{index}"]
        assert (drawn.get_marker(), to_hex(drawn.get_color())) == (mark.get_marker(), to_hex(mark.get_color()))
        holds(drawn, probe.time / 3600.0, probe.temperature)
        for when, shown, label in (
            ("before", jar.before, "model before (filled signs)"),
            ("after", jar.after, "model after the fit (filled signs)"),
        ):
            line, off = by_gid[f"{when}-0-{index}"], by_gid[f"misfit-{when}-0-{index}"]
            for one in (line, off):
                assert look(one)[1] == look(labels[label])[1]
                assert one.get_linewidth() == labels[label].get_linewidth()
                assert to_hex(one.get_color()) == to_hex(mark.get_color())
                # Without colour its filled sign says whose it is; those of the log are hollow.
                assert one.get_marker() == mark.get_marker()
                assert one.get_markerfacecolor() != drawn.get_markerfacecolor() == "white"
            holds(line, shown.time / 3600.0, shown.temperature[index])
            holds(off, probe.time / 3600.0, shown.temperature[index] - probe.temperature)
    (seen,) = [text for text in upper.texts if "seen" in text.get_text()]
    assert (seen.get_text(), seen.get_position()[0]) == ("top closed seen 0:25", pytest.approx(1500.0 / 3600.0))
    # Factors 1.1, 1.2 and 1.3 in standard deviations, of which four reach from 0.67 to 1.5.
    places = np.log([1.1, 1.2, 1.3]) / (np.log(1.5 / 0.67) / 4.0)
    assert by_gid["interval-0"].get_xdata() == pytest.approx(places[[0, 2]])
    assert by_gid["value-0"].get_xdata() == pytest.approx(places[[1]])
    assert [one.get_text() for one in intervals.get_yticklabels()] == ["films.side_factor"]


def test_each_model_of_the_melt_has_the_look_of_its_label(pair):
    results = [pair[0][1], pair[1][1], pair[0][1]]
    found = made_up_melts(results)
    figure = draw_melt_models([("Jar", found)])
    labels = legend(figure)
    names = {"stratified": "stratified", "effective": "effective", "none": "no mixing"}
    times, depths, curves = figure.axes
    dots = {line.get_gid(): line for axes in (times, depths) for line in axes.get_lines()}
    for model, result in zip(MODELS, results, strict=True):
        (key,) = [line for label, line in labels.items() if label.startswith(names[model])]
        (line,) = [one for one in curves.get_lines() if one.get_gid() == f"axis-{model}"]
        assert (look(line), line.get_marker()) == (look(key), key.get_marker())
        holds(line, result.time / 3600.0, temperature_of_point(result, 0.0, result.wax.z_edges[-1] - 5e-3))
        for name, scale in (("top_closed_s", 3600.0), ("dish_m", 1e-3)):
            dot = dots[f"{name}-{model}"]
            assert (to_hex(dot.get_color()), dot.get_marker()) == (look(key)[0], key.get_marker())
            assert dot.get_xdata()[0] == pytest.approx(found.value(name, model) / scale)
    # The top closes after 2 h, and with the others after twice and three fifths of that.
    written = [text.get_text() for text in times.texts]
    for text in ("2:00", "4:00 (+100 %)", "1:12 (-40 %)"):
        assert text in written


def test_melt_and_water_have_the_look_of_their_labels_and_moments_stand_at_their_times():
    found = made_up_melting()
    figure = draw_melting(found)
    upper, lower = figure.axes
    labels = legend(figure)
    hours = found.time / 3600.0
    for label, values in (("melt", found.temperature), ("water, then room", found.water)):
        (line,) = [one for one in alike(upper, labels[label]) if len(one.get_xdata()) == len(hours)]
        holds(line, hours, values)
    (melted,) = [one for one in lower.get_lines() if one.get_gid() == "melted"]
    holds(melted, hours, 100.0 * found.melted)
    moments = {text.get_text(): text.xy[0] for text in upper.texts if text.get_text()[-1].isdigit()}
    assert moments == pytest.approx(
        {"all melted 0:50": 3000 / 3600, "add the oil 1:10": 4200 / 3600, "pour 1:40": 5 / 3}
    )

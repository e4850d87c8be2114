"""What every figure must have: units on the axes, letters that can be read and do not overlap, equal bytes."""

import itertools
import subprocess
import sys
from functools import cache
from xml.etree import ElementTree

import matplotlib
import pytest
from drawn_texts import beyond_the_page, overlaps, texts
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from coolsim.errors import OutputError
from coolsim.report.figures.curves import draw_cooling_curves, draw_heat_shares
from coolsim.report.figures.fronts import draw_fronts
from coolsim.report.figures.saving import save_figure
from coolsim.report.figures.sections import draw_sections
from coolsim.report.figures.set_map import draw_set_map
from coolsim.report.figures.style import PAGE_WIDTH, SMALL, colours
from coolsim.report.figures.tops import draw_top_profiles, draw_tops

HOURS = [1800.0, 3600.0, 7200.0, 14400.0]


def sections(runs, **how):
    return draw_sections(runs, HOURS, **how)


DRAWN = [sections, draw_set_map, draw_cooling_curves, draw_fronts, draw_heat_shares, draw_tops, draw_top_profiles]
every_figure = pytest.mark.parametrize("draw", DRAWN, ids=lambda draw: draw.__name__)


@pytest.fixture(scope="module")
def of_odd(odd):
    """The figures of some of the odd runs, each drawn once."""

    @cache
    def draw(function, chosen):
        return function([odd[index] for index in chosen], units="us" if 0 in chosen else "metric")

    return draw


def check_readable(figure):
    assert overlaps(figure) == []
    assert beyond_the_page(figure) == []
    assert figure.get_figwidth() <= PAGE_WIDTH + 1e-9
    assert min(text.get_fontsize() for text, _ in texts(figure)) >= 7.0


@every_figure
@pytest.mark.parametrize("units", ["metric", "us"])
def test_in_the_built_in_pair_no_text_overlaps_another_or_leaves_the_page(pair, drawn, draw, units):
    figure = drawn(draw) if units == "metric" else draw(pair, units=units)
    check_readable(figure)


@every_figure
@pytest.mark.parametrize("chosen", [(0,), (1,), (2, 3), (0, 1, 2), (3, 2, 1, 0)], ids=str)
def test_one_to_four_runs_of_any_kind_are_drawn_clear_of_each_other(of_odd, draw, chosen):
    check_readable(of_odd(draw, chosen))


def test_the_check_for_overlaps_finds_one():
    figure = Figure()
    axes = figure.subplots()
    axes.text(0.5, 0.5, "one")
    axes.text(0.51, 0.5, "other")
    axes.text(0.99, 0.2, "beyond the page, far to the right")
    assert overlaps(figure) == [("one", "other")]
    assert beyond_the_page(figure) == ["beyond the page, far to the right"]


@every_figure
def test_every_axis_says_what_it_is_and_in_which_unit(drawn, draw):
    figure = drawn(draw)
    for axes in figure.findobj(matplotlib.axes.Axes):
        if not axes.axison:
            continue
        scale = axes.get_label() == "<colorbar>"
        labels = [axes.get_xlabel(), axes.get_ylabel()]
        # A scale of colours has one axis; panels in a row share the name of the upright one.
        named = [label for label in labels if label]
        assert named, labels
        assert scale or axes.get_xlabel()
        assert all("[" in label and label.endswith("]") for label in named)
    assert sum(bool(axes.get_ylabel()) for axes in figure.findobj(matplotlib.axes.Axes)) >= 1


@every_figure
def test_figures_drawn_onto_any_canvas_keep_the_style(drawn, draw):
    figure = drawn(draw)
    FigureCanvasAgg(figure).draw()
    for axes in figure.findobj(matplotlib.axes.Axes):
        assert {label.get_fontsize() for label in (*axes.get_xticklabels(), *axes.get_yticklabels())} <= {SMALL}


@every_figure
def test_the_title_of_every_run_can_be_read(pair, odd, drawn, of_odd, draw):
    for runs, figure in ((pair, drawn(draw)), (odd[:1], of_odd(draw, (0,)))):
        told = " ".join(text.get_text().replace("\n", " ") for text, _ in texts(figure))
        for title, _ in runs:
            assert title.replace("$", r"\$") in told


@every_figure
def test_without_runs_there_is_no_figure(draw):
    with pytest.raises(ValueError, match="at least one run"):
        draw([])


# As an SVG each figure is drawn again; in the other formats two, one with a map and one with hatches, are saved again.
@pytest.mark.parametrize(
    ("draw", "kind"),
    [
        *((draw, "svg") for draw in DRAWN),
        *((draw, kind) for draw in (draw_set_map, draw_tops) for kind in ("png", "pdf")),
    ],
)
def test_the_same_run_gives_the_same_bytes_twice(pair, drawn, tmp_path, draw, kind):
    figures = (drawn(draw), draw(pair) if kind == "svg" else drawn(draw))
    first, again = (save_figure(figure, tmp_path / f"{figure is figures[0]}.{kind}").read_bytes() for figure in figures)
    assert first == again
    assert first.startswith({"png": b"\x89PNG", "svg": b"<?xml", "pdf": b"%PDF"}[kind])
    for trace in (b"matplotlib v", b"Matplotlib v", b"CreationDate", b"<dc:date>"):
        assert trace not in first


@every_figure
def test_the_words_of_an_svg_are_text_that_can_be_translated_and_keep_their_halos(drawn, tmp_path, draw):
    figure = drawn(draw)
    words = {line.strip() for text, _ in texts(figure) for line in text.get_text().replace("\\$", "$").splitlines()}
    haloed = {text for text in figure.findobj(Text) if text.get_path_effects()}
    svg = ElementTree.parse(save_figure(figure, tmp_path / "a.svg")).getroot()
    space = "{http://www.w3.org/2000/svg}"
    assert words <= {"".join(text.itertext()).strip() for text in svg.iter(f"{space}text")}
    marked = {group.get("id"): group for group in svg.iter(f"{space}g") if str(group.get("id")).startswith("halo-")}
    assert len(marked) == len([text for text in haloed if text.get_text()])
    assert all(group.find(f".//{space}text") is not None for group in marked.values())
    assert '[id^="halo-"] text {paint-order: stroke; stroke: #ffffff' in svg.find(f".//{space}style").text
    # The figure is as it was: letters of a picture have their halos from matplotlib.
    assert {text for text in figure.findobj(Text) if text.get_path_effects()} == haloed


def test_the_users_own_settings_change_nothing(pair, tmp_path):
    plain = save_figure(draw_fronts(pair), tmp_path / "plain.svg").read_bytes()
    with matplotlib.rc_context({"font.size": 30, "lines.linewidth": 9, "axes.facecolor": "red", "svg.hashsalt": "x"}):
        assert save_figure(draw_fronts(pair), tmp_path / "other.svg").read_bytes() == plain
    assert matplotlib.rcParams["svg.hashsalt"] != "coolsim"


@pytest.mark.parametrize("name", ["a.jpg", "a", "a.png.exe"])
def test_another_kind_of_file_is_refused_with_what_to_do(tmp_path, name):
    with pytest.raises(OutputError, match=r"End the name in \.png, \.svg or \.pdf"):
        save_figure(Figure(), tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_figure_into_a_missing_folder_is_one_clear_error(tmp_path):
    with pytest.raises(OutputError, match="no such folder"):
        save_figure(Figure(), tmp_path / "missing" / "a.png")


def test_drawing_does_not_load_pyplot():
    code = (
        "import sys\n"
        "from coolsim.report.figures import curves, fronts, sections, set_map, tops\n"
        "print('matplotlib.pyplot' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_a_figure_can_be_printed_in_grey_and_the_scale_still_rises():
    # Rec. 601 luma, as black-and-white print takes it: the colours must get lighter from cold to hot.
    grey = [0.299 * r + 0.587 * g + 0.114 * b for r, g, b, _ in colours()(range(256))]
    assert all(lower < upper for lower, upper in itertools.pairwise(grey))
    assert grey[-1] - grey[0] > 0.6

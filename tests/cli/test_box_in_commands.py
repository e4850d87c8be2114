"""A box of jars in the commands that once were about one jar: each kind of place, or the jar that counts."""

import csv
import json

import pytest
from commands import names
from matplotlib.text import Text

from coolsim.cli.options import Figure


@pytest.fixture(scope="module")
def asked():
    """What `box` has told of each scenario."""
    return {}


@pytest.fixture
def kinds(coolsim, asked):
    """The kinds of place of a box as `box` tells them: by name, with all answers."""

    def ask(path):
        text = path.read_text(encoding="utf-8")
        if text not in asked:
            found = json.loads(coolsim("box", path, "--no-figures", "--json").stdout)["kinds"]
            asked[text] = {kind["kind"]: kind["answers"] for kind in found}
        return asked[text]

    return ask


def of_run(document):
    return json.loads(document.stdout)["runs"]


@pytest.mark.parametrize("box", ["six", "six_by_day"])
def test_run_has_a_column_for_each_kind_of_place_and_says_which_is_last(box, coolsim, kinds, request, folder):
    six = request.getfixturevalue(box)
    told = kinds(six)
    runs = of_run(coolsim("run", six, "--no-figures", "--json"))
    assert [(run["kind"], run["set_last"], len(run["places"])) for run in runs] == [
        ("corner", False, 4),
        ("edge", True, 2),
    ]
    for run in runs:
        assert run["fully_set_s"] == told[run["kind"]]["fully_set_s"]
        assert run["top"] == told[run["kind"]]["top"]
        # A companion on a coarser grid was run of the box, and told apart by kinds.
        error = run["numerical_error"]["fully_set_s"]
        assert 0.0 < error["uncertainty"] < 0.1 * run["fully_set_s"]
    assert runs[0]["numerical_error"] != runs[1]["numerical_error"]


def test_a_saved_box_is_printed_and_drawn_again(coolsim, six, folder):
    first = coolsim("run", six, "--figures", "one", "--only", "tops", "--save", "six.npz", "--csv", "curves")
    assert first.exit_code == 0, first.stderr
    heads = " ".join(first.stdout.partition("---")[0].split())
    assert (
        heads == "Six tumblers in one box: Six tumblers in one box: corner (4 jars), set edge (2 jars), set last first"
    )
    assert names(folder / "curves") == ["six-corner.csv", "six-edge.csv"]
    again = coolsim("run", "six.npz", "--figures", "other", "--only", "tops")
    assert again.stdout == first.stdout
    assert (folder / "one" / "six-tops.png").read_bytes() == (folder / "other" / "six-tops.png").read_bytes()
    table = coolsim("run", six, "--no-figures", "--csv", "all.csv")
    assert table.exit_code == 2
    assert "found 'all.csv' for the 2 kinds of place; give a folder" in " ".join(table.stderr.split())


def test_each_column_of_a_figure_has_the_scenario_of_its_jar(coolsim, monkeypatch, six, boxed):
    drawn = []
    monkeypatch.setattr(
        "coolsim.cli.outputs.print_figures", lambda *given, **_: drawn.append(given) or dict.fromkeys(Figure, b"drawn")
    )
    assert coolsim("run", boxed, six).exit_code == 0
    ((runs, scenarios),) = drawn
    assert [one.where for one in scenarios] == [str(boxed), str(six), str(six)]
    assert len(runs) == 3


def test_compare_sets_a_box_beside_one_jar(coolsim, six, boxed):
    runs = of_run(coolsim("run", six, boxed, "--no-figures", "--json"))
    assert [run.get("kind") for run in runs] == ["corner", "edge", None]
    assert "Same with" not in runs[2]["title"]
    assert max(run["fully_set_s"] for run in runs) == runs[1]["fully_set_s"]


def test_the_top_over_the_melt_is_that_of_each_kind(coolsim, six):
    corner, edge = of_run(coolsim("run", six, "--no-figures", "--json", "--melt-range"))
    for run in (corner, edge):
        # The middle of the range is the run itself.
        assert run["top_over_melt"][1]["depth_m"] == run["top"]["depth_m"]
    assert corner["top_over_melt"][0]["depth_m"] != edge["top_over_melt"][0]["depth_m"]


def test_a_sweep_of_a_box_gives_the_worst_of_its_jars_and_says_which_is_last(coolsim, kinds, six, folder):
    done = coolsim("sweep", six, "--over", "room.temperature=18C,26C", "--workers", "1", "--csv", "rows.csv")
    assert done.exit_code == 0, done.stderr
    with (folder / "rows.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["last jar"] for row in rows] == ["edge (2 jars)"] * 2
    told = "Of a box of jars each answer is the worst that one of them has: the last time, but of the wick the first"
    assert told in " ".join(done.stdout.split())
    # In the room of the file, 21 °C, all is set between those of the two rooms.
    latest = max(answers["fully_set_s"] for answers in kinds(six).values())
    assert float(rows[0]["fully set [s]"]) < latest < float(rows[1]["fully set [s]"])


@pytest.mark.parametrize("box", ["six", "six_by_day"])
def test_the_spread_of_a_box_is_that_of_its_worst_jars(box, coolsim, kinds, request):
    six = request.getfixturevalue(box)
    done = coolsim(
        "spread", six, "--vary", "wax.latent_heat", "--runs", "8", "--workers", "1", "--no-figures", "--json"
    )
    assert done.exit_code == 0, done.stderr
    found = json.loads(done.stdout)["answers"]
    times = list(kinds(six).values())
    latest, earliest = max(one["fully_set_s"] for one in times), min(one["wick_free_until_s"] for one in times)
    # A spread takes steps that err by 0.8 K, not 1 K.
    assert found["fully_set_s"]["as_stated"] == pytest.approx(latest, rel=0.02)
    assert found["wick_free_until_s"]["as_stated"] == pytest.approx(earliest, rel=0.02)
    assert latest > 1.05 * min(one["fully_set_s"] for one in times)
    assert earliest < 0.95 * max(one["wick_free_until_s"] for one in times)


@pytest.mark.parametrize("box", ["six", "six_by_day"])
def test_the_worst_top_of_a_box_is_repaired(box, coolsim, kinds, request):
    six = request.getfixturevalue(box)
    tops = {kind: answers["top"] for kind, answers in kinds(six).items()}
    worst = max(tops, key=lambda kind: tops[kind]["depth_m"])
    done = coolsim("repair", six, "--no-figures", "--json")
    assert done.exit_code == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["title"].startswith(f"Six tumblers in one box: {worst} (")
    assert found["title"].endswith(" jars), the worst top")
    assert found["before"]["dish_m"] == tops[worst]["dish_m"]
    assert found["after"]["verdict"] == "flat"


def test_the_film_of_a_box_shows_the_jars_that_set_first_and_last(coolsim, monkeypatch, six, boxed):
    shown = []
    monkeypatch.setattr("coolsim.report.figures.animation.save_animation", lambda _, runs, **__: shown.extend(runs))
    done = coolsim("make", "film", six, boxed, "-o", "box.gif")
    assert done.exit_code == 0, done.stderr
    assert [title.partition(": ")[2] for title, _ in shown] == [
        "corner (4 jars), set first",
        "edge (2 jars), set last",
        "",
    ]
    assert [result.name for _, result in shown][:2] == [
        "Six tumblers in one box: corner",
        "Six tumblers in one box: edge",
    ]
    many = coolsim("make", "film", six, six, six)
    assert many.exit_code == 2
    assert "found 6 runs; give 4 at most" in " ".join(many.stderr.split())


@pytest.mark.parametrize("box", ["six", "six_by_day"])
@pytest.mark.usefixtures("few_cases")
def test_the_sheet_of_a_box_is_for_all_jars_with_the_plan_of_the_box_on_a_second_page(box, coolsim, request, folder):
    done = coolsim("make", "sheet", request.getfixturevalue(box))
    assert done.exit_code == 0, done.stderr
    content = (folder / "six-sheet.pdf").read_bytes()
    assert content.count(b"/Type /Page\n") + content.count(b"/Type /Page ") == 2


SEEN = ("--fields", "films.side_factor", "--no-figures", "--json", "--workers", "1")


def test_a_fit_compares_what_was_seen_with_the_jar_that_is_named(coolsim, kinds, six):
    told = kinds(six)
    done = coolsim(
        "fit",
        six,
        "--seen",
        "row 1 column 2: fully set=3:40±0:10",
        "--seen",
        "Row 2, column 3: fully set=3:15±0:10",
        *SEEN,
    )
    assert done.exit_code == 0, done.stderr
    edge, corner = json.loads(done.stdout)["jars"]
    assert edge["seen"][0]["before_s"] == pytest.approx(told["edge"]["fully_set_s"], rel=1e-6)
    assert corner["seen"][0]["before_s"] == pytest.approx(told["corner"]["fully_set_s"], rel=1e-6)


@pytest.mark.parametrize(
    ("given", "code", "says"),
    [
        (
            ["top closed=2:10±0:10"],
            3,
            "found 6 jars in one box. Say which one was measured, as in 'row 1 column 1: top",
        ),
        (["row 3 column 1: top closed=2:10±0:10"], 3, "no jar stands in row 3, column 1 of 2 × 3 places"),
        (["other row 1 column 1: top closed=2:10±0:10"], 2, "found the jar 'other row 1 column 1'"),
        (["row 1 column 1: cool=9:00±0:10", "top closed=2:10±0:10", "row 1 column 2: dish=1mm±1mm"], 2, "Name its jar"),
    ],
)
def test_a_fit_asks_for_the_jar_of_a_box(given, code, says, coolsim, six):
    done = coolsim("fit", six, *(word for text in given for word in ("--seen", text)), *SEEN)
    assert done.exit_code == code, done.stderr
    assert says in " ".join(done.stderr.split())


FEW = ("--rooms", "18C,22C", "--pours", "56C,60C", "--workers", "1")


@pytest.fixture
def handed_out(monkeypatch):
    """The handout that a command has worked out, which is not drawn."""
    found = []

    def written(handout, path, **_):
        found.append(handout)
        return path

    monkeypatch.setattr("coolsim.report.paper.handout.write_handout", written)
    return found


def headings(handout):
    from coolsim.report.paper.handout import draw_handout

    return [max(page.findobj(Text), key=lambda text: text.get_fontsize()).get_text() for page in draw_handout(handout)]


@pytest.mark.usefixtures("few_cases")
def test_the_handout_of_a_box_shows_its_last_jar_beside_a_bare_one_and_plans_for_all(coolsim, kinds, six, handed_out):
    done = coolsim("make", "handout", six, *FEW)
    assert done.exit_code == 0, done.stderr
    (found,) = handed_out
    told = kinds(six)
    assert found.names == ("One of them, bare", "Six tumblers in one box")
    assert found.scenarios[0].jar.places is None
    assert found.results[1].events.fully_set == told["edge"]["fully_set_s"]
    assert headings(found).count("The box") == 1
    assert found.mended.before.dish == told["corner"]["top"]["dish_m"]
    # Straighten the wick before the first top closes, move the last jar when it is set.
    wick, still = (found.plans("metric")[1].step(name).time for name in ("wick", "still"))
    assert wick <= told["corner"]["wick_free_until_s"] < told["edge"]["wick_free_until_s"]
    assert still >= told["edge"]["fully_set_s"]


@pytest.mark.parametrize("box", ["six_by_day", "bare"])
@pytest.mark.usefixtures("few_cases")
def test_a_day_with_changes_is_handed_out_alone(box, coolsim, request, handed_out):
    path = request.getfixturevalue(box)
    if box == "bare":
        day = '\n[day]\nchanges = [["2 h", "draught", "0.5 m/s"]]\n'
        path.write_text(path.read_text(encoding="utf-8") + day, encoding="utf-8")
    done = coolsim("make", "handout", path, *FEW)
    assert done.exit_code == 0, done.stderr
    (found,) = handed_out
    assert [len(found.scenarios), len(found.results), len(found.boxes)] == [1, 1, int(box != "bare")]
    assert found.results[0].changes[0][1] == ("draught of 0.5 m/s" if box == "bare" else "flaps open")
    assert headings(found).count("The box") == len(found.boxes)

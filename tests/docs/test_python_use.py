"""What people who use coolsim from Python see: an example for each public name, and tables in a notebook."""

import doctest
import inspect
import pydoc
import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from html.parser import HTMLParser
from types import SimpleNamespace

import pytest
import typed_use

import coolsim
from coolsim import answers_table, built_in_pair, choose_pour, simulate, sweep, sweep_points, with_overrides
from coolsim.overview import OverviewTable
from coolsim.studies.sweep.sweep import SHOWN_AT_ONCE, Sweep
from coolsim.tables import HARD_SPACE

# What is shown does not depend on the accuracy of a run.
COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}
VOID = {"br", "hr", "img", "input", "meta", "link"}
HOSTILE = '<script>alert("5 < 6 & 7")</script>'


class Reader(HTMLParser):
    """Reads the cells of a table, and notes every tag, what is open at the end, and all attributes."""

    def __init__(self, text):
        super().__init__()
        self.rows, self.open, self.tags, self.styles, self.texts = [], [], set(), [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attributes):
        self.tags.add(tag)
        for name, value in attributes:
            assert name in ("style", "scope"), f"attribute {name} of {tag}"
            if name == "style":
                self.styles.append(value)
        if tag not in VOID:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.texts.append(data)
        if self.open and self.open[-1] in ("td", "th"):
            self.rows[-1][-1] += data


@pytest.fixture(scope="module")
def shown():
    """One of each thing that shows itself, by name."""
    quick = with_overrides(built_in_pair()[0], COARSE)
    points = sweep_points([quick], {"pour.temperature": ["62 °C", "20 °C"]})
    with ThreadPoolExecutor(max_workers=1) as executor:
        rows = sweep(points, executor=executor)
        study = choose_pour(quick, pours=["62 °C", "66 °C"], executor=executor)
    return {
        "scenario": quick,
        "jar": quick.jar,
        "wax": quick.jar.wax,
        "result": (result := simulate(quick.jar)),
        "top": result.shrinkage,
        "sweep": rows,
        "pour study": study,
        "choice": study.choices[0],
    }


SHOWN = ("scenario", "jar", "wax", "result", "top", "sweep", "pour study", "choice")


def without_example(thing):
    """Whether a docstring lacks an Examples section with something to run."""
    text = inspect.cleandoc(thing.__doc__ or "")
    section = re.search(r"^Examples\n-+\n", text, re.MULTILINE)
    return section is None or not doctest.DocTestParser().get_examples(text[section.end() :])


def test_every_public_function_and_class_has_a_runnable_example():
    # pytest runs them: `--doctest-modules` in pyproject.toml.
    things = {name: getattr(coolsim, name) for name in coolsim._HOMES}
    assert [name for name, thing in things.items() if callable(thing) and without_example(thing)] == []


def test_help_is_an_index_of_every_public_name_by_task_and_not_the_help_of_all_of_them():
    text = pydoc.plain(pydoc.render_doc(coolsim))
    assert set(coolsim._HOMES) - {"__version__"} <= set(re.findall(r"`(\w+)`", text))
    assert len(text.splitlines()) < 150
    # What the Tab key offers after the dot.
    assert {name for name in dir(coolsim) if not name.startswith("__")} == set(coolsim._HOMES) - {"__version__"}


def test_a_notebook_shows_figures_as_pictures_and_answers_as_lines(shown):
    figure = coolsim.draw_set_map([("Bare", shown["result"])])
    png, kept = figure._repr_png_()
    assert png.startswith(b"\x89PNG")
    assert kept["width"] == round(96 * figure.get_figwidth())
    text, lines = answers_table([("Bare", shown["result"])]), []
    text._repr_pretty_(SimpleNamespace(text=lines.append), cycle=False)
    assert lines == [text]


def test_the_strictly_typed_use_has_every_public_name():
    # mypy reads that file with the package, as pyproject.toml says.
    names = {line.strip(" ,") for line in inspect.getsource(typed_use).splitlines()}
    assert set(coolsim._HOMES) - {"__version__"} <= names


@pytest.mark.parametrize("name", SHOWN)
def test_a_notebook_shows_a_whole_table_without_scripts_or_colours_of_its_own(shown, name):
    read = Reader(shown[name]._repr_html_())
    assert read.open == []
    assert read.tags <= {"table", "caption", "thead", "tbody", "tr", "th", "td", "p"}
    assert len(read.rows) > 1
    assert len({len(row) for row in read.rows}) == 1
    # A notebook may be dark: no fixed colour, and no background.
    assert not re.search(r"(?<!-)color:|background|#[0-9a-f]{3}", " ".join(read.styles))


@pytest.mark.parametrize("name", SHOWN)
def test_print_says_what_the_notebook_shows(shown, name):
    printed = str(shown[name])
    for row in Reader(shown[name]._repr_html_()).rows:
        for cell in row:
            assert cell.replace(HARD_SPACE, " ") in printed


@pytest.mark.parametrize("name", ["scenario", "result", "top", "sweep", "pour study", "choice"])
def test_what_holds_much_data_names_itself_in_one_short_line(shown, name):
    # Two titles of a scenario and a few times.
    assert len(repr(shown[name])) < 160
    assert "\n" not in repr(shown[name])


@pytest.mark.parametrize("place", ["title", "heading", "name", "cell", "note"])
def test_what_users_write_is_text_and_not_html(place):
    def told(here):
        return HOSTILE if here == place else here

    table = OverviewTable(
        title=told("title"),
        headings=(told("heading"), "b"),
        rows=((told("name"), told("cell")),),
        notes=(told("note"),),
    )
    read = Reader(table.html())
    assert "script" not in read.tags
    assert HOSTILE in "".join(read.texts)


def test_a_result_shows_the_answers_of_the_table_of_answers(shown):
    result = shown["result"]
    table = " ".join(answers_table([("Bare", result)]).split())
    rows = dict(result.overview().rows)
    for label in ("Rim set", "Top has sunk for good"):
        assert f"{label} {rows[label]}" in table
    # Equal to the minute, they share a line of the table.
    assert rows["Wick free until"] == rows["Top closed"]
    assert f"Top closed, wick fixed {rows['Top closed']}" in table
    assert rows["Heat given off"] in table
    assert rows["Ended"].partition(": ")[2] in table
    assert len(rows) == 10


def test_a_result_that_was_cut_short_shows_what_it_did_not_reach(shown):
    short = simulate(replace(shown["jar"], horizon=1800.0))
    rows = dict(short.overview().rows)
    assert rows["Top closed"] == "–"
    assert rows["Ended"] == "0:30: the time was up"
    assert "top closed" not in repr(short)


def test_a_scenario_shows_itself_in_the_units_of_its_workshop(shown):
    american = with_overrides(shown["scenario"], {"units": "us"})
    assert dict(american.overview().rows)["Poured at"] == "140 °F"  # 60 °C


def test_a_sweep_says_how_many_of_its_rows_are_not_shown_and_why_points_failed(shown):
    rows = shown["sweep"]
    many = Sweep(rows[:1] * (SHOWN_AT_ONCE + 3))
    assert len(many.overview().rows) == SHOWN_AT_ONCE
    assert f"The first {SHOWN_AT_ONCE} of {SHOWN_AT_ONCE + 3} points." in many.overview().notes
    assert any(note == f"Failed: {rows[1].fault}" for note in rows.overview().notes)
    assert not any("The first" in note for note in rows.overview().notes)


def test_a_pour_study_shows_the_recommended_pour_or_what_stands_against_all(shown):
    study = shown["pour study"]
    bare, boxed = study.overview().rows
    assert bare[:3] == ("bare", "21 °C", "62 °C")
    assert boxed[0] == "boxed"
    candidates = tuple(replace(one, rejected=("too slow",)) for one in study.choices[0].candidates)
    none = replace(study, choices=(replace(study.choices[0], candidates=candidates),))
    assert none.overview().rows[0][2] == "none passes: too slow"

import csv
import io
import json
import subprocess
import sys
import unicodedata
from dataclasses import replace

import numpy as np
import pytest

from coolsim.answers.catalogue import BY_KEY
from coolsim.model.materials import catalogue_inert
from coolsim.model.problem import Boundary, Problem
from coolsim.model.section import Block, Section, Span
from coolsim.report.text.curves import curves_csv
from coolsim.report.text.page import WIDTH, paragraph
from coolsim.report.text.runs import answers_data, answers_table
from coolsim.report.wording import CAUTION, hours_minutes
from coolsim.solve.simulate import simulate


@pytest.fixture(scope="module")
def titled(runs):
    return [(scenario.title, result) for scenario, result in runs]


@pytest.fixture(scope="module")
def jars(runs):
    return [scenario.jar for scenario, _ in runs]


def columns(line):
    wide = sum(unicodedata.east_asian_width(letter) in "WF" for letter in line)
    return len(line) + wide - sum(bool(unicodedata.combining(letter)) for letter in line)


def rows(table):
    """First cell by label, for a table of one run."""
    found = {}
    for line in table.splitlines():
        if line.startswith("  ") and len(line) > 28 and line[2] != " ":
            found[line[2:26].strip()] = line[28:].strip()
    return found


LONG = (
    "A very long title of a scenario that somebody wrote without thinking of tables, with unbreakablecompounds"
    + "x" * 60
)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 7])
@pytest.mark.parametrize("title", ["Short", LONG, "軟らかい植物性ワックスを入れたガラスのコップ", "e\u0301" * 40])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_no_line_is_wider_than_80_columns(titled, jars, count, title, units):
    many = [(title, titled[number % 3][1]) for number in range(count)]
    table = answers_table(many, units=units, jars=[jars[number % 3] for number in range(count)])
    assert max(columns(line) for line in table.splitlines()) <= WIDTH == 80
    assert not any(line != line.rstrip() for line in table.splitlines())


def test_every_answer_stands_in_the_table_as_the_events_have_it(titled, jars):
    (title, result), events = titled[0], titled[0][1].events
    told = rows(answers_table([(title, result)], jars=jars[:1]))
    assert told["Wax poured at"] == "65 °C"
    assert told["Jar at"] == told["Room at"] == "21 °C"
    assert told["Pour minus jar"].startswith("44 °C: ABOVE the shock")
    assert told["Forms"] == "in the first minute"
    assert told["Lowest temperature"] == f"{events.first_skin.coldest:.0f} °C"
    assert told["Rim set"] == hours_minutes(events.rim_set)
    # To the minute they are one, so they are one line; `test_made_up_tables` has them apart.
    assert hours_minutes(events.wick_free_until) == hours_minutes(events.top_closed)
    assert told["Top closed, wick fixed"] == hours_minutes(events.top_closed)
    assert not {"Wick free until", "Top closed"} & told.keys()
    assert told["Fully set: may be moved"] == hours_minutes(events.fully_set)
    assert told["Top has sunk for good"] == hours_minutes(events.top_final)
    solid = f"{hours_minutes(events.solid_throughout)} ({100 * result.solid_share:.0f} % solid)"
    assert told["As solid as this room"] == solid
    assert told["Within 3 °C of the room:"] == hours_minutes(events.cool)
    assert events.last_liquid[0] == 0.0
    assert told["From the axis"] == "0 mm"
    assert told["Above the bottom of the"] == f"{1e3 * events.last_liquid[1]:.1f} mm"
    for path, share in result.ledger.by_path:
        assert told[f"Through the {path}"] == f"{100 * share:.0f} %"
    assert told["Given off in all"] == f"{result.ledger.given_off / 1e3:.1f} kJ"
    assert told["Energy ledger"] == "closes"
    assert told["Ended"].startswith(f"{hours_minutes(result.time[-1])} h: the wax was cool")


def test_what_was_not_reached_is_said_in_words(titled):
    told = rows(answers_table(titled[2:]))
    assert told["Top closed, wick fixed"] == hours_minutes(titled[2][1].events.top_closed)
    for label in ("Fully set: may be moved", "Top has sunk for good", "As solid as this room"):
        assert told[label] == "not within 1:30 h"
    assert told["Ended"] == "1:30 h: the time was up"


def with_skin(result, skin):
    return replace(result, events=replace(result.events, first_skin=skin))


def test_a_first_skin_is_told_whether_it_forms_stays_or_melts_again(titled):
    title, result = titled[0]
    skin = replace(result.events.first_skin, formed=600.0, melted_again=None)
    stays = rows(answers_table([(title, with_skin(result, skin))]))
    assert (stays["Forms"], stays["Melts again"]) == ("at 0:10 h", "no, it stays")
    melts = rows(answers_table([(title, with_skin(result, replace(skin, melted_again=1200.0)))]))
    assert melts["Melts again"] == "at 0:20 h"
    none = rows(answers_table([(title, with_skin(result, None))]))
    assert (none["Forms"], none["Lowest temperature"], none["Melts again"]) == ("none", "–", "–")


def test_the_shock_of_the_jar_is_judged_only_where_its_limit_is_known(titled, jars):
    title, result = titled[0]
    assert rows(answers_table([(title, result)]))["Pour minus jar"] == "44 °C"
    tough = replace(jars[0], vessel=replace(jars[0].vessel, shock_limit=60.0))
    assert rows(answers_table([(title, result)], jars=[tough]))["Pour minus jar"] == "44 °C, limit 60 °C"


def test_us_units_are_degrees_fahrenheit_and_inches(titled, jars):
    told = rows(answers_table(titled[:1], units="us", jars=jars[:1]))
    # 65 °C and 21 °C; 44 K and 42 K times 9/5.
    assert (told["Wax poured at"], told["Jar at"]) == ("149 °F", "70 °F")
    assert told["Pour minus jar"].startswith("79.2 °F: ABOVE")
    assert told["From the axis"].endswith(" in")
    assert "Within 5.4 °F of the" in told


def test_an_open_ledger_and_warnings_cannot_be_overlooked(titled):
    title, result = titled[0]
    odd = replace(result, ledger=replace(result.ledger, open_share=1e-3), warnings=("the law was stretched",))
    table = answers_table([(title, odd)])
    assert rows(table)["Energy ledger"] == "OPEN by 1e-03 of the heat"
    assert table.endswith(f"Warning, {title}: the law was stretched")


def test_more_than_three_runs_come_in_blocks_below_each_other(titled):
    table = answers_table([(f"run {number}", titled[0][1]) for number in range(4)])
    heads = [line.split() for line in table.splitlines() if "run" in line and "Run" not in line]
    assert heads == [["run", "0", "run", "1"], ["run", "2", "run", "3"]]


def test_nothing_to_report_is_refused(titled, jars):
    with pytest.raises(ValueError, match="no run"):
        answers_table([])
    with pytest.raises(ValueError, match="3 runs and 1 jars"):
        answers_table(titled, jars=jars[:1])


def test_a_run_without_wax_is_refused_by_name():
    section = Section(
        radial=(Span(name="r", length=0.03, cells=3),),
        axial=(Span(name="z", length=0.03, cells=3),),
        blocks=(Block(part="slab", material=catalogue_inert("oak"), radial=("r",), axial=("z",), start=40.0),),
    )
    side = Boundary(name="side", part="slab", facing="outwards", film=10.0)
    result = simulate(Problem(section=section, boundaries=(side,), room=20.0, horizon=60.0))
    with pytest.raises(ValueError, match="'a slab' holds no wax"):
        answers_table([("a slab", result)])


def test_data_for_machines_are_json_and_in_si(titled, jars):
    bare, _, short = json.loads(json.dumps(answers_data(titled, jars=jars), allow_nan=False))
    events = titled[0][1].events
    assert bare["title"] == "Tumbler, bare on the bench"
    assert (bare["pour_C"], bare["jar_C"], bare["room_C"]) == pytest.approx((65.0, 21.0, 21.0))
    assert bare["pour_minus_jar_K"] == pytest.approx(44.0)
    assert bare["shock_limit_K"] == 42.0
    assert bare["top_closed_s"] == events.top_closed
    assert bare["first_skin"]["coldest_C"] == events.first_skin.coldest
    assert bare["heat_share_top"] + bare["heat_share_side"] + bare["heat_share_base"] == pytest.approx(1.0)
    assert (bare["ended"], short["ended"], short["ended_s"]) == ("cool", "horizon", 5400.0)
    assert short["top_final_s"] is None


def test_every_key_for_machines_is_documented_and_has_its_unit(titled):
    (data,) = answers_data(titled[:1])
    for key in data:
        assert key in BY_KEY or f"``{key}``" in answers_data.__doc__
    assert {f"skin_{key}" for key in data["first_skin"]} < set(BY_KEY)
    assert set(data["top"]) - {"verdict", "depth_band_m", "cavity"} < set(BY_KEY)
    for key, value in data.items():
        if isinstance(value, float):
            assert key.rpartition("_")[2] in {"s", "C", "K", "m", "J", "share", "top", "side", "base"}


def read(text):
    return list(csv.reader(io.StringIO(text, newline="")))


def test_curves_are_rectangular_with_a_unit_in_every_heading(titled):
    result = titled[1][1]
    text = curves_csv(result)
    head, *body = read(text)
    # RFC 4180, section 2: lines end with CRLF, all have the same number of fields.
    assert text.count("\r\n") == text.count("\n") == len(result.time) + 1
    assert {len(line) for line in body} == {len(head)}
    assert all(heading.endswith((" [s]", " [°C]", " [mm]", " [-]")) for heading in head)
    assert len(set(head)) == len(head)
    for name in ("surface centre", "surface rim", "centre", "near the glass", "outside of the wall", "box air", "room"):
        assert f"{name} [°C]" in head


def test_curves_hold_what_the_result_holds(titled):
    result = titled[0][1]
    head, *body = read(curves_csv(result))
    # Written with as many decimals as the tolerances say.
    for heading, values, tolerance in (
        ("time [s]", result.time, 5.1e-3),
        ("hottest wax [°C]", result.hottest_wax(), 5.1e-4),
        ("solid fraction [-]", result.solid_fraction(), 5.1e-6),
        ("room [°C]", result.history.room, 5.1e-4),
    ):
        column = head.index(heading)
        np.testing.assert_allclose([float(line[column]) for line in body], values, rtol=0, atol=tolerance)
    front = head.index("front radius at mid-height [mm]")
    assert body[0][front] == "35.5000"
    assert body[-1][front] == ""


def test_curves_of_chosen_points_in_us_units(titled):
    head, *body = read(curves_csv(titled[0][1], units="us", points={'odd, "name"': (0.0, 0.01)}))
    assert 'odd, "name" [°F]' in head
    assert not any("middle" in heading for heading in head)
    # 65 °C
    assert float(body[0][1]) == pytest.approx(149.0)
    assert "front radius at mid-height [in]" in head


def test_the_caution_names_the_dangers_and_what_comes_first():
    for word in (
        "burns",
        "children",
        "never leave melting wax alone",
        "data sheets",
        "codes",
        "computed, not measured",
    ):
        assert word in CAUTION
    assert max(len(line) for line in paragraph(CAUTION).splitlines()) <= WIDTH


def test_tables_and_files_do_not_load_matplotlib():
    code = (
        "import sys, coolsim.report.text.runs, coolsim.report.text.curves, coolsim.report.saved.store\n"
        "import coolsim.report.whole_file, coolsim.report.estimates\n"
        "print([name for name in sys.modules if name.startswith('matplotlib')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"

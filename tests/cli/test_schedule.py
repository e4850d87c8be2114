"""`coolsim schedule` as a user meets it."""

import datetime
import json
import re

import icalendar
import pytest
from commands import coarse, names

from coolsim.studies.workshop.day_plan import STEPS

pytestmark = pytest.mark.usefixtures("few_cases")


def test_it_prints_the_day(coolsim, bare):
    result = coolsim("day", "--only", "plan", bare, "--start", "9:00", "--date", "2026-03-14", "--estimates")
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert lines[0] == "Tumbler, bare on the bench, 14 March 2026"
    rows = {line[:31].strip(): line[33:55].strip() for line in lines[4:14]}
    assert rows["Weigh, begin to melt"] == "9:00 -1:15"
    assert rows["Pour"] == "10:15"
    assert rows["First test burn from"] == "28 Mar 10:15"
    assert list(rows)[3:6] == [
        "Straighten a leaning wick until",
        "Look if the top is closed from",
        "Do not move the jar until",
    ]
    assert max(map(len, lines)) <= 80
    told = " ".join(result.stdout.split())
    for expected in (
        "nine of ten jars are ready by then", "the middle value is in brackets", "(8 cases)", "look before you touch",
        "estimates unless you state", "Never leave melting wax alone", "water bath",
        "flash points", "Hot wax can crack cold glass", "still soft inside", "invented", "data sheets",
    ):  # fmt: skip
        assert expected in told


def steps_of(coolsim, *arguments):
    data = json.loads(coolsim("day", "--only", "plan", *arguments, "--json").stdout)
    return data, {step["name"]: step for step in data["steps"]}


def test_the_ends_of_the_bands_are_those_of_the_spread_and_the_safe_one_is_printed(coolsim, bare):
    data, steps = steps_of(coolsim, bare, "--workers", 1)
    spread = json.loads(coolsim("spread", bare, "--workers", 1, "--no-figures", "--json").stdout)["answers"]
    assert data["cases"] == 8
    for name, key in (("wick", "wick_free_until_s"), ("still", "fully_set_s"), ("lid", "cool_s")):
        assert (steps[name]["low_s"], steps[name]["high_s"]) == (spread[key]["low"], spread[key]["high"])
    # Rounded to the safe side, to five minutes.
    assert steps["wick"]["low_s"] - 300.0 < steps["wick"]["after_pour_s"] <= steps["wick"]["low_s"]
    for name in ("still", "lid"):
        assert steps[name]["high_s"] <= steps[name]["after_pour_s"] < steps[name]["high_s"] + 300.0


def test_the_middle_makes_no_further_runs_and_is_what_stood_in_brackets(coolsim, bare, monkeypatch):
    _, safe = steps_of(coolsim, bare, "--workers", 1)
    monkeypatch.setattr("coolsim.studies.workshop.doubt.spread", lambda *_, **__: pytest.fail("a spread was made"))
    data, middle = steps_of(coolsim, bare, "--middle")
    assert data["cases"] == 0
    assert {name: step["after_pour_s"] for name, step in middle.items()} == {
        name: step["middle_s"] for name, step in safe.items()
    }
    told = coolsim("day", "--only", "plan", bare, "--middle", "--estimates").stdout
    assert "rounded to the safe side" in told
    assert "nine of ten" not in told


def test_after_closing_the_jar_is_left_overnight_in_the_calendar_too(coolsim, bare, folder):
    bare.write_text(bare.read_text(encoding="utf-8") + '\n[plan]\nopen = "8:00 to 11:30"\n', encoding="utf-8")
    asked = ("--start", "9:00", "--date", "2026-03-14", "--calendar", "day.ics", "--middle")
    told = " ".join(coolsim("day", "--only", "plan", bare, *asked).stdout.split())
    later = "after closing: leave it overnight, from 8:00"
    assert re.search(rf"Do not move the jar until 1\d:\d\d \+\d:\d\d {later}", told)
    calendar = icalendar.Calendar.from_ical((folder / "day.ics").read_bytes())
    events = {str(event["SUMMARY"]).partition(":")[0]: event for event in calendar.walk("VEVENT")}
    morning = datetime.datetime(2026, 3, 15, 8, 0)
    assert events["Do not move the jar"].end == events["Put the lid on"].start == morning
    assert events[STEPS["skin"][0]].start.date() == datetime.date(2026, 3, 14)
    assert f"{later}." in events["Put the lid on"]["DESCRIPTION"]


def test_without_a_clock_times_count_from_the_pour(coolsim, bare):
    told = coolsim("day", "--only", "plan", bare, "--quiet").stdout
    assert "1:15 h before" in told
    assert "14 d " in told


def test_units_give_the_clock_of_the_reader(coolsim, bare):
    told = coolsim("day", "--only", "plan", bare, "--start", "1:30 pm", "--units", "us").stdout
    assert "2:45 pm" in told
    assert "at 140 °F" in told


def test_the_calendar_is_written_beside(coolsim, bare, folder):
    result = coolsim("day", "--only", "plan", bare, "--start", "9:00", "--date", "2026-03-14", "--calendar", "day.ics")
    assert result.exit_code == 0
    assert result.stderr == "wrote day.ics\n"
    calendar = icalendar.Calendar.from_ical((folder / "day.ics").read_bytes())
    assert len(calendar.walk("VEVENT")) == 10


def test_json_says_the_same(coolsim, bare):
    data = json.loads(
        coolsim("day", "--only", "plan", bare, "--start", "9:00", "--date", "2026-03-14", "--json").stdout
    )
    steps = {step["name"]: step for step in data["steps"]}
    assert data["pour_clock_s"] == 36900.0
    assert data["melting_estimated"] is True
    assert steps["weigh"]["moment"] == "2026-03-14T09:00"
    assert steps["burn"]["after_pour_s"] == 14 * 86400.0
    assert steps["still"]["bound"] == "until"
    assert "Hot wax" in data["caution"]


def test_the_option_takes_the_place_of_the_pour(coolsim, bare):
    bare.write_text(bare.read_text(encoding="utf-8").replace("[pour]", '[pour]\nclock = "8:00"'), encoding="utf-8")
    assert "8:00 " in coolsim("day", "--only", "plan", bare).stdout
    result = coolsim("day", "--only", "plan", bare, "--start", "9:00")
    assert result.exit_code == 0
    assert "10:15" in result.stdout


@pytest.mark.parametrize(
    ("options", "code", "message"),
    [
        (["--start", "25:00"], 2, "--start: found '25:00', give a time of day such as '10:30', '2:15 pm' or '9 am'"),
        (["--date", "14.3.2026"], 2, "--date: found '14.3.2026', give a day as year-month-day"),
        (["--calendar", "day.ics"], 3, "date: missing, and a calendar needs it"),
        (["--workers", "0"], 2, "--workers: found 0; give 1 to 61."),
        (["--calendar", "day.txt"], 2, "--calendar: found 'day.txt'; give a name that ends in .ics."),
        (["--calendar", "no/day.ics", "--start", "9:00"], 4, "there is no folder 'no'"),
    ],
)
def test_bad_input_is_told_before_the_run_and_nothing_is_written(coolsim, bare, folder, options, code, message):
    before = names(folder)
    result = coolsim("day", "--only", "plan", bare, *options)
    assert result.exit_code == code
    assert result.stdout == ""
    assert message in result.stderr
    assert names(folder) == before


def test_water_is_refused(coolsim, bare):
    text = bare.read_text(encoding="utf-8").replace('kind = "soft-vegetable"', 'kind = "water"')
    bare.write_text(text, encoding="utf-8")
    result = coolsim("day", "--only", "plan", bare)
    assert result.exit_code == 3
    assert "wax.kind: found 'water', which never sets" in result.stderr


def test_in_a_box_the_first_jar_and_the_last_one_count(coolsim, folder):
    (folder / "box.toml").write_text(coarse("box-2x3.toml"), encoding="utf-8")
    result = coolsim("day", "--only", "plan", "box.toml", "--estimates")
    assert result.exit_code == 0
    assert "It holds for every jar of the box" in result.stdout
    assert "(8 cases)" in " ".join(result.stdout.split())


@pytest.fixture
def twelve(folder):
    path = folder / "twelve.toml"
    path.write_text(coarse("twelve-tumblers.toml"), encoding="utf-8")
    return path


def test_melts_in_turn_have_a_table_and_each_a_plan_of_its_jars(coolsim, twelve, folder):
    result = coolsim("day", "--only", "plan", twelve, "--calendar", "day.ics")
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= 80
    rows = [line.split() for line in lines if line[:4] in ("1   ", "2   ", "3   ")]
    assert [row[1:4] for row in rows] == [["1", "to", "4"], ["5", "to", "8"], ["9", "to", "12"]]
    (heads,) = [line for line in lines if line.startswith("The day ")]
    assert heads.split()[2:] == ["Melt", "1", "Melt", "2", "Melt", "3"]
    (pours,) = [line.split() for line in lines if line.startswith("Pour ")]
    assert pours[1:] == [row[-1] for row in rows]
    told = " ".join(result.stdout.split())
    assert "the second melt begins in water of 85 °C" in told
    assert "One pitcher is used 3 times" in told
    calendar = icalendar.Calendar.from_ical((folder / "day.ics").read_bytes()).walk("VEVENT")
    assert len(calendar) == 33
    assert len({event["UID"] for event in calendar}) == 33
    (last,) = [
        one for one in calendar if one["SUMMARY"] == "Pour: Twelve tumblers in three melts, melt 3 (jars 9 to 12)"
    ]
    assert f"{last.start:%H:%M}" == rows[2][-1]


def test_json_has_the_plan_of_each_melt(coolsim, twelve):
    data = json.loads(coolsim("day", "--only", "plan", twelve, "--middle", "--json").stdout)
    first, second, third = data["melts"]
    assert (third["melt"], third["first_jar"], third["last_jar"]) == (3, 9, 12)
    assert second["pour_clock_s"] - first["pour_clock_s"] == second["poured_after_first_s"] > 0.0
    assert (first["water_C"], second["water_C"]) == (40.0, 85.0)
    assert data["pour_clock_s"] == first["pour_clock_s"]


def test_many_melts_stand_three_beside_each_other(coolsim, bare):
    bare.write_text(bare.read_text(encoding="utf-8") + '\n[batch]\njars = 5\nmelt = "250 g"\n', encoding="utf-8")
    lines = coolsim("day", "--only", "plan", bare, "--middle", "--start", "9:00").stdout.splitlines()
    heads = [line.split()[2:] for line in lines if line.startswith("The day ")]
    assert heads == [["Melt", "1", "Melt", "2", "Melt", "3"], ["Melt", "4", "Melt", "5"]]


def test_without_a_clock_all_jars_have_the_times_of_their_own_pour(coolsim, bare):
    bare.write_text(bare.read_text(encoding="utf-8") + '\n[batch]\njars = 5\nmelt = "900 g"\n', encoding="utf-8")
    told = coolsim("day", "--only", "plan", bare, "--middle").stdout
    assert "those of the day from the pour of each melt." in " ".join(told.split())
    # An hour and a quarter, and a quarter of an hour before it.
    assert [line.split()[-2:] for line in told.splitlines() if line[:4] in ("1   ", "2   ")] == [
        ["0:00", "h"],
        ["1:30", "h"],
    ]


def test_one_large_melt_is_not_planned_in_silence(coolsim, bare):
    bare.write_text(bare.read_text(encoding="utf-8") + "\n[batch]\njars = 12\n", encoding="utf-8")
    told = " ".join(coolsim("day", "--only", "plan", bare, "--middle").stdout.split())
    assert "One melt of 2301 g of wax is planned for all jars; a pitcher of usual size takes 1086 g in flakes." in told


def test_a_box_that_is_filled_in_turn_says_so(coolsim, folder):
    text = coarse("box-2x3.toml") + '\n[batch]\njars = 6\nmelt = "900 g"\n'
    (folder / "box.toml").write_text(text, encoding="utf-8")
    told = " ".join(coolsim("day", "--only", "plan", "box.toml", "--middle").stdout.split())
    assert "The run has all jars of the box poured at once. They are not" in told

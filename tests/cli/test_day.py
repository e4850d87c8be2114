"""`coolsim day`: one folder with all that a day needs, or one part of it on the screen."""

import json

import pytest
from commands import coarse, names

pytestmark = pytest.mark.usefixtures("few_cases")
DATED = ("--start", "9:00", "--date", "2026-03-14")
PAGES = ["amounts.txt", "calendar.ics", "label.txt", "plan.txt", "sheet.pdf"]


def test_the_folder_holds_every_page_and_the_screen_shows_the_plan(coolsim, bare, folder):
    done = coolsim("day", bare, *DATED)
    assert done.exit_code == 0, done.stderr
    assert names(folder) == ["bare-day", "bare.toml"]
    assert names(folder / "bare-day") == PAGES
    assert sorted(done.stderr.splitlines()) == [f"wrote bare-day/{name}" for name in PAGES]
    plan = (folder / "bare-day" / "plan.txt").read_text(encoding="utf-8")
    answers, rests = done.stdout.split("\n\nCaution: ")
    assert plan.startswith(answers)
    assert "Straighten a leaning wick until" in answers
    # What the times rest on is told in full on the page, and in a line on the screen.
    assert "look before you touch" not in done.stdout
    assert "look before you touch" in " ".join(plan.split())
    assert rests.splitlines()[1:] == [
        "--estimates says what this rests on.",
        "The workshop and its figures are invented.",
    ]
    assert "Net weight" in (folder / "bare-day" / "label.txt").read_text(encoding="utf-8")
    assert "To weigh for 1 jar\n" in (folder / "bare-day" / "amounts.txt").read_text(encoding="utf-8")


def test_what_it_wrote_it_replaces_and_nothing_of_somebody_else(coolsim, bare, folder):
    for _ in range(2):
        assert coolsim("day", bare, *DATED, "--middle", "--output", "here").exit_code == 0
    (folder / "here" / "plan.txt").write_text("mine", encoding="utf-8")
    done = coolsim("day", bare, *DATED, "--middle", "--output", "here")
    assert (done.exit_code, done.stdout) == (4, "")
    assert done.stderr == "error: here/plan.txt: exists already. Give another name, or --force to replace it.\n"


def test_without_a_day_there_is_no_calendar_and_that_is_said(coolsim, bare, folder):
    done = coolsim("day", bare, "--middle", "--quiet")
    assert done.exit_code == 0
    assert names(folder / "bare-day") == [name for name in PAGES if name != "calendar.ics"]
    told = "warning: no calendar was written: it needs a day and a clock. Give --date and --start.\n"
    assert done.stderr == told


def test_a_scenario_with_a_bath_gets_the_melting_with_its_figure(coolsim, folder):
    (folder / "twelve.toml").write_text(coarse("twelve-tumblers.toml"), encoding="utf-8")
    done = coolsim("day", "twelve.toml", "--middle", "--format", "svg")
    assert done.exit_code == 0, done.stderr
    assert names(folder / "twelve-day") == sorted([*PAGES, "melting.svg", "melting.txt"])
    assert "melt 1 of 3" in (folder / "twelve-day" / "melting.txt").read_text(encoding="utf-8")
    # All pages are about the same three melts.
    assert "Melt 3" in (folder / "twelve-day" / "plan.txt").read_text(encoding="utf-8")
    assert "In 3 melts" in (folder / "twelve-day" / "amounts.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize(("part", "key"), [("plan", "steps"), ("amounts", "mix_kg"), ("melting", "all_melted_s")])
def test_one_part_is_printed_and_no_folder_is_written(part, key, coolsim, bare, folder):
    asked = ("day", bare, "--only", part, "--middle", "--no-figures")
    whole, data = coolsim(*asked), json.loads(coolsim(*asked, "--json").stdout)
    assert whole.exit_code == 0
    assert key in data
    assert names(folder) == ["bare.toml"]
    assert whole.stdout.splitlines()[-2] == "--estimates says what this rests on."
    rests = coolsim(*asked, "--estimates").stdout
    assert len(rests) > len(whole.stdout) + 200
    assert "--estimates" not in rests


def test_a_bath_that_is_not_stated_is_not_in_the_folder(coolsim, bare, folder):
    # The plan does not rest on it: two pages would contradict each other.
    assert coolsim("day", bare, "--middle", "--jars", 2, "-q").exit_code == 0
    assert "melting.txt" not in names(folder / "bare-day")

"""`coolsim log`: the log beside a scenario, seen beside computed, and the fit that takes it; all are invented."""

import codecs
import csv
import datetime
import json
import os
import subprocess
import sys

import pytest
from commands import coarse, environment

from coolsim import load_scenario, simulate, with_overrides
from coolsim.errors import OutputError
from coolsim.report.figures.batches import draw_batches
from coolsim.report.whole_file import append_bytes
from coolsim.studies.fit.batches import read_batches
from coolsim.studies.fit.drift import compared, drifts

HEADINGS = (
    "date,room [C],pour [C],top,rim [mm],dish [mm],middle [mm],cavity [mL],rim set [h:mm],wick free until [h:mm],"
    "top closed [h:mm],fully set [h:mm],top final [h:mm],solid [h:mm],cool [h:mm]\n"
)
DAY = ("--date", "2026-03-14")


@pytest.fixture
def log(folder):
    return folder / "bare-log.csv"


def six_batches(log, dish=2.9):
    rows = [f"2026-03-{day:02d},{(21, 18)[day % 2]},60,,,{dish + 0.1 * (day % 2)},,,,,,,,,\n" for day in range(1, 7)]
    log.write_text(HEADINGS + "".join(rows), encoding="utf-8")


def test_what_was_seen_is_added_to_a_csv_beside_the_scenario(coolsim, bare, log):
    done = coolsim("log", bare, "--rim", "1.2mm", "--dish", "2mm", "--room", "18C", "--top", "small hole", *DAY)
    assert done.stdout == "2026-03-14: room 18 °C, pour 60 °C, rim 1.2 mm, dish 2.0 mm, top: small hole\n"
    assert done.stderr == f"wrote {log}\n"
    first = HEADINGS + "2026-03-14,18,60,small hole,1.2,2,,,,,,,,,\n"
    assert log.read_text(encoding="utf-8") == first
    added = coolsim(
        "log", bare, "--seen", "top closed=1:05", "--seen", "middle = 1/4 in", "--pour", "62C", "--json", *DAY
    )
    assert log.read_text(encoding="utf-8") == first + "2026-03-14,21,62,,,,6.35,,,,1:05,,,,\n"
    data = json.loads(added.stdout)
    assert (data["log"], data["pour_C"], data["seen"]) == (
        "bare-log.csv", 62.0, {"top_closed_s": 3900.0, "middle_m": pytest.approx(0.00635)},
    )  # fmt: skip


def test_a_room_that_changes_through_the_day_stays_that_of_the_scenario(coolsim, folder):
    (folder / "night.toml").write_text(coarse("night-at-14.toml"), encoding="utf-8")
    for options in ((), ("--room", "22C")):
        assert coolsim("log", "night.toml", "--dish", "2mm", *options, *DAY).exit_code == 0
    rows = (folder / "night-log.csv").read_text(encoding="utf-8").splitlines()[1:]
    assert [row.split(",")[1] for row in rows] == ["", "22"]
    first, second = json.loads(coolsim("log", "night.toml", "--no-figures", "--json").stdout)["batches"]
    usual = load_scenario("night.toml")
    assert first["computed"]["dish_m"] == pytest.approx(simulate(usual.jar).shrinkage.dish, rel=1e-6)
    warmer = with_overrides(usual, {"room.temperature": "22 °C"})
    assert second["computed"]["dish_m"] == pytest.approx(simulate(warmer.jar).shrinkage.dish, rel=1e-6)


def test_the_day_is_today_unless_it_is_said(coolsim, bare, log):
    before = datetime.date.today().isoformat()
    assert coolsim("log", bare, "--top", "flat, says Ann").exit_code == 0
    day, *_, top = log.read_text(encoding="utf-8").splitlines()[1].split(",", 3)
    assert day in (before, datetime.date.today().isoformat())
    assert top.startswith('"flat, says Ann",')


def test_each_batch_stands_beside_what_is_computed_at_its_own_room_and_pour(coolsim, bare, log):
    coolsim("log", bare, "--dish", "2mm", "--room", "17C", "--top", "small hole", *DAY)
    coolsim("log", bare, "--dish", "3mm", "--pour", "64C", *DAY)
    found = json.loads(coolsim("log", bare, "--no-figures", "--json").stdout)
    other = ({"room.temperature": "17 °C"}, {"pour.temperature": "64 °C"})
    for batch, changes in zip(found["batches"], other, strict=True):
        top = simulate(with_overrides(load_scenario(bare), changes).jar).shrinkage
        # Many runs together agree with single ones to round-off.
        assert batch["computed"]["dish_m"] == pytest.approx(top.dish, rel=1e-6)
    shown = coolsim("log", bare.name, "--no-figures").stdout
    dish = found["batches"][0]["computed"]["dish_m"]
    told = f"2.0 mm     {1e3 * dish:.1f} mm     {2 - 1e3 * dish:+.1f} mm\n"
    assert f"2026-03-14  17 °C    60 °C    dish                {told}" in shown
    assert "top              small hole; computed: " in shown
    assert "dish                +" in shown
    assert "cannot tell yet: 2 batches, 6 are needed" in shown
    assert "\n  coolsim fit bare.toml bare-log.csv --out bare-fitted.toml\n" in shown
    assert max(map(len, shown.splitlines())) <= 80


def test_it_warns_when_seen_and_computed_drift_apart(coolsim, bare, log):
    six_batches(log)
    shown = " ".join(coolsim("log", bare, "--no-figures").stdout.split())
    mean = json.loads(coolsim("log", bare, "--no-figures", "--json").stdout)["differences"][0]["mean_m"]
    assert f"dish +{1e3 * mean:.1f} mm off, 6 batches" in shown
    assert f"in each of the last 6 batches, on the mean by {1e3 * mean:.1f} mm. A fit corrects that." in shown
    assert "Kendall's rank test" in shown


def test_the_figure_has_a_panel_for_each_thing_seen_and_the_last_day_below(coolsim, bare, log):
    rows = [
        f"2026-03-{day:02d},{(21, 18)[day % 2]},60,{'x' * day} & y,,2.{day % 4},,,,,1:{day:02d},,,,\n"
        for day in range(1, 20)
    ]
    log.write_text(HEADINGS + "".join(rows), encoding="utf-8")
    done = coolsim("log", bare, "--figures", "shown", "--quiet")
    assert done.exit_code == 0
    assert (bare.parent / "shown" / "bare-log.png").read_bytes().startswith(b"\x89PNG")
    scenario = load_scenario(bare)
    batches = compared(scenario, read_batches(log), "bare-log.csv")
    figure = draw_batches(batches, drifts(batches), title=scenario.title)
    assert [axes.get_ylabel() for axes in figure.axes] == ["dish [mm]", "top closed [h:mm]"]
    # Between them stand the ends of the errors.
    seen, computed = (figure.axes[0].lines[number].get_ydata() for number in (0, -1))
    assert seen == pytest.approx([1e3 * one.batch.seen[0].value for one in batches])
    assert computed == pytest.approx([1e3 * one.computed["dish"] for one in batches])
    days = [text.get_text().splitlines() for text in figure.axes[1].get_xticklabels()]
    assert len(days) <= 12
    assert days[-1][:2] == ["2026-03-19", "18 °C"]


def test_units_of_the_united_states(coolsim, bare, log):
    text = bare.read_text(encoding="utf-8")
    bare.write_text(text.replace('units = "metric"', 'units = "us"'), encoding="utf-8")
    done = coolsim("log", bare, "--dish", "3/32 in", "--cavity", "0.1 fl oz", "--room", "64F", *DAY)
    assert done.stdout == "2026-03-14: room 64 °F, pour 140 °F, dish 0.09 in, cavity 0.10 fl oz\n"
    heads, row = log.read_text(encoding="utf-8").splitlines()
    assert heads.startswith("date,room [F],pour [F],top,rim [in],dish [in],middle [in],cavity [fl oz],")
    assert row.startswith("2026-03-14,64,140,,,0.09375,,0.1,")
    assert "0.09 in" in coolsim("log", bare, "--no-figures").stdout


def test_a_spreadsheet_may_have_it_in_between(coolsim, bare, log):
    # Semicolons, decimal commas, a column of the maker's own, no line end at the end, the letters of Windows.
    text = "date;oil lot;dish [mm];room [°C];pour [°C];top\r\n14.03.2026;A 7;2,5;18,5;60;schöne Mulde, klein"
    log.write_bytes(text.encode("cp1252"))
    done = coolsim("log", bare, "--dish", "1.5mm", "--top", "glatt; hübsch", "--room", "18.25C", *DAY)
    assert done.exit_code == 0, done.stderr
    assert log.read_bytes().decode("cp1252") == text + '\n2026-03-14;;1,5;18,25;60;"glatt; hübsch"\r\n'
    batches = json.loads(coolsim("log", bare, "--no-figures", "--json").stdout)["batches"]
    assert [(one["date"], one["room_C"], one["seen"]["dish_m"]) for one in batches] == [
        ("14.03.2026", 18.5, 0.0025), ("2026-03-14", 18.25, 0.0015),
    ]  # fmt: skip


def test_seconds_of_a_spreadsheet_and_batches_in_the_order_of_their_days(coolsim, bare, log):
    log.write_bytes(codecs.BOM_UTF8 + b"Date,Top closed [h:mm]\n2026-03-14,0:50:00\n2026-03-02,1:00\n")
    batches = json.loads(coolsim("log", bare, "--no-figures", "--json").stdout)["batches"]
    assert [(one["date"], one["seen"]) for one in batches] == [
        ("2026-03-02", {"top_closed_s": 3600.0}), ("2026-03-14", {"top_closed_s": 3000.0}),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("date,dish [mm]\n2026-03-14,deep\n", "bare-log.csv: line 2, column 'dish': found 'deep' (no number and unit)"),
        ("date,dish [apples]\n2026-03-14,2\n", "line 2, column 'dish': found '2 apples'"),
        ("date,dish [mm],room [C]\n2026-03-14,2,1000\n", "bare-log.csv: line 2: room.temperature: found '1000 °C'"),
        ("date,dish [mm],Dish [in]\n2026-03-14,2,1\n", "line 1: found two columns 'dish'"),
        ("date,room [C]\n2026-03-14,18\n", "line 1: found no column of what was seen"),
        ("date,dish [mm]\n2026-03-14\n", "line 2: found 1 columns instead of 2"),
        ("date,top closed [h:mm]\n2026-03-14,0:00\n", "line 2, column 'top closed': found 'top closed=0:00"),
        ("", "bare-log.csv: empty"),
    ],
)  # fmt: skip
def test_a_log_that_does_not_fit_is_one_message_with_line_and_column(text, says, coolsim, bare, log):
    log.write_text(text, encoding="utf-8")
    done = coolsim("log", bare)
    assert done.exit_code == 3
    assert says in " ".join(done.stderr.split())
    assert done.stdout == ""


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["--dish", "2 apples"], 2, "--dish: dish: found '2 apples'"),
        (["--seen", "moon=2:10"], 2, "--seen: found 'moon'. Give one of"),
        (["--seen", "top closed"], 2, "--seen: top closed: found ''"),
        (["--dish", "2mm", "--seen", "dish=3mm"], 2, "--seen: found 'dish' twice."),
        (["--dish", "2mm", "--date", "14.3."], 2, "--date: found '14.3.'; give year, month and day, as in 2026-03-14."),
        (["--dish", "2mm", "--room", "warm"], 2, "--room: found 'warm'"),
        (["--dish", "2mm", "--pour", "20C"], 2, "--pour: found 20 °C, but this wax"),
        (["--room", "18C"], 2, "--room: nothing was seen of that batch"),
        ([], 2, "found no log bare-log.csv. Begin it with what you saw"),
    ],
)  # fmt: skip
def test_bad_options_are_one_message_and_nothing_is_written(arguments, code, says, coolsim, bare, log):
    done = coolsim("log", bare.name, *arguments)
    assert done.exit_code == code
    assert says in " ".join(done.stderr.split())
    assert not log.exists()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"date,dish [mm]\n2026-03-14,2\n", "line 1: found no column 'pour'. Add it behind the last heading."),
        (b"2026-03-14,18,60,,1\n", "found no headings"),
        (HEADINGS.encode() + b"2026-03-14,18,60,,much,,,,,,,,,,\n", "line 2, column 'rim': found 'much'"),
        ("date,dish [mm]\n".encode("utf-16"), "UTF-16 text, to which no line can be added"),
    ],
)
def test_nothing_is_added_to_a_log_that_does_not_fit(content, says, coolsim, bare, log):
    log.write_bytes(content)
    done = coolsim("log", bare, "--dish", "2mm", *DAY)
    assert done.exit_code == 3
    assert says in " ".join(done.stderr.split())
    assert log.read_bytes() == content


def test_a_box_of_jars_is_refused(coolsim, six, folder):
    done = coolsim("log", six, "--dish", "2mm")
    assert done.exit_code == 2
    assert "found a box of 6 jars" in " ".join(done.stderr.split())
    assert not (folder / "six-log.csv").exists()


def test_two_at_once_lose_no_batch(bare, log):
    calls = [
        subprocess.Popen(
            [sys.executable, "-m", "coolsim", "log", str(bare), "--dish", f"{number}mm", *DAY, "-q"], env=environment()
        )
        for number in (1, 2)
    ]
    assert [one.wait() for one in calls] == [0, 0]
    with log.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.reader(file) if row[0] != "date"]
    assert sorted(row[5] for row in rows) == ["1", "2"]
    assert {len(row) for row in rows} == {15}


def test_headings_that_two_wrote_at_once_are_read_as_headings(coolsim, bare, log):
    log.write_text(HEADINGS + HEADINGS + "2026-03-14,18,60,,,2,,,,,,,,,\n", encoding="utf-8")
    assert len(json.loads(coolsim("log", bare, "--no-figures", "--json").stdout)["batches"]) == 1


def test_a_full_disk_leaves_no_half_line(tmp_path, monkeypatch):
    path = tmp_path / "jar-log.csv"
    append_bytes(path, b"whole\n")
    write = os.write
    monkeypatch.setattr(os, "write", lambda handle, content: write(handle, content[:3]))
    with pytest.raises(OutputError, match="the disk is full"):
        append_bytes(path, b"torn\n")
    assert path.read_bytes() == b"whole\n"


def test_a_fit_takes_the_log_and_counts_batches_of_one_room_and_pour_together(coolsim, bare, log, monkeypatch):
    six_batches(log)
    given = []

    def caught(measured, **_):
        given.extend(measured)
        raise OutputError("enough: seen. Stop.")

    monkeypatch.setattr("coolsim.studies.fit.fit.fit_measured", caught)
    done = coolsim("fit", bare, log, "--seen", "rim=1 mm±0.5 mm", "--no-figures")
    assert "enough" in done.stderr
    assert [one.name for one in given] == ["bare at 18 °C, poured at 60 °C", "bare at 21 °C, poured at 60 °C", "bare"]
    assert [one.scenario.jar.room.at(0.0) for one in given] == [18.0, 21.0, 21.0]
    (dish,) = given[0].seen
    assert (dish.what, dish.value) == ("dish", pytest.approx(3.0e-3))
    assert dish.deviation == pytest.approx(0.5e-3 / 3**0.5)
    assert given[2].seen[0].what == "rim"


def test_a_fit_of_a_log_without_a_length_volume_or_time_is_refused(coolsim, bare, log):
    coolsim("log", bare, "--top", "flat", *DAY)
    done = coolsim("fit", bare, log)
    assert done.exit_code == 3
    assert "found no length, volume or time that was seen" in " ".join(done.stderr.split())

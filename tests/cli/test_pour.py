"""`coolsim pour`: the recommended pour first, every candidate with its reason, what to change when none passes."""

import csv
import json
import re

import pytest
from commands import names

FEW = ("--pour", "52C:64C:4K", "--workers", "2")


def tables(text):
    """Candidates of each table: the mark and the pour, in the order of the lines."""
    found = {}
    for block in text.split("\n\n"):
        heading, *lines = block.splitlines()
        if ", room at" in heading and "jar at" in heading:
            found[heading] = [(line[0], line[1:9].strip(), line) for line in lines if line[6:9].strip() in ("°C", "°F")]
    return found


def test_the_recommended_pour_stands_first_and_every_other_has_its_numbers(coolsim, bare, folder):
    done = coolsim("pour", bare, "--room", "21C", *FEW, "--all")
    assert done.exit_code == 0
    shown = tables(done.stdout)
    assert list(shown) == ["Bare, room at 21 °C, jar at 21 °C", "In the box, room at 21 °C, jar at 21 °C"]
    overview = done.stdout.split("\n\n")[1]
    for rows in shown.values():
        mark, recommended, _ = rows[0]
        assert mark == ">"
        assert f" {recommended} " in overview
        assert sorted(pour for _, pour, _ in rows) == ["52 °C", "56 °C", "60 °C", "64 °C"]
        # 64 °C into a jar of 21 °C is 43 K; 42 K are allowed.
        assert next(line for _, pour, line in rows if pour == "64 °C").endswith("jar shock")
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert "The scenario has no box" in done.stdout
    assert "Caution: hot wax burns" in done.stdout
    assert names(folder) == ["bare.toml"]


def test_a_range_without_a_step_has_a_line_for_each_whole_degree(coolsim, bare):
    asked = ("pour", bare, "--room", "17C:21C", "--pour", "56C:60C:2K", "--workers", "2", "--no-figures")
    lines = coolsim(*asked).stdout.splitlines()
    head, *rows = lines[2:4] + lines[4:9]
    assert head.split() == ["room", "Bare", "In", "the", "box", "between"]
    assert [row[:7].strip() for row in rows[1:]] == ["17 °C", "18 °C", "19 °C", "20 °C", "21 °C"]
    assert max(map(len, lines)) <= 80
    # The pick and its range are those of the tables; into a cold jar a warmed one is named.
    whole = json.loads(coolsim(*asked, "--json").stdout)["choices"]
    for row, room in zip(rows[1:], (17.0, 18.0, 19.0, 20.0, 21.0), strict=True):
        (boxed,) = (one for one in whole if (one["place"], one["room_C"]) == ("boxed", room))
        if boxed["recommended_C"] is not None:
            assert f"{boxed['recommended_C']:g} °C" in row[37:63]
        assert "skin" in row[63:]
    assert re.search(r"none; jar at \d+ °C: \d+ °C", "\n".join(rows))
    assert "room at 17 °C" not in "\n".join(lines)


def test_a_range_in_a_step_of_its_own_keeps_it():
    from coolsim.cli.commands.pour import by_degrees

    assert by_degrees("15C:27C") == "15C:27C:1C"
    assert by_degrees(" 60 °F : 80 °F ") == "60 °F : 80 °F:2F"
    for same in ("15C:27C:3K", "18C", "18C,22C", "27C:15C", "cold:warm"):
        assert by_degrees(same) == same


def test_when_none_passes_it_says_so_and_what_was_tried(coolsim, bare):
    done = coolsim("pour", bare, "--room", "12C", "--pour", "52C,64C", "--workers", "2")
    said = " ".join(done.stdout.split())
    assert "none passes, see below" in said
    assert "Bare, room at 12 °C: none of the 2 pours passes" in said
    assert re.search(r"it helps to warm the jar to \d+ °C: then \d+ °C passes \(.* set after \d:\d\d h\)", said)
    assert "values are estimates; --estimates lists them." in said


def test_against_the_data_sheet_no_change_in_the_workshop_is_advised(coolsim, bare):
    bare.write_text(bare.read_text().replace('[pour]\ntemperature = "60 °C"', '[pour]\ntemperature = "46 °C"'))
    text = bare.read_text().replace("[wax]\n", '[wax]\nhighest_temperature = "48 °C"\n')
    bare.write_text(text)
    done = coolsim("pour", bare, "--pour", "52C,60C", "--workers", "2")
    said = " ".join(done.stdout.split())
    assert "no change in the workshop helps" in said
    assert "wax maker's limit: 2 of 2" in said


def test_a_range_of_rooms_gets_a_table_for_each_a_csv_and_the_chart(coolsim, boxed, folder):
    done = coolsim(
        *("pour", boxed, "--room", "18C:26C:4K", "--pour", "56C:60C:4K", "--workers", "2"),
        *("--csv", "pours.csv", "--figures", "charts", "--format", "svg", "--all"),
    )
    assert len(tables(done.stdout)) == 6
    assert "The scenario has a box; bare is the same jar without it." in done.stdout
    assert done.stderr == "wrote pours.csv\nwrote charts/boxed-pour.svg\n"
    with open(folder / "pours.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 12
    assert {row["place"] for row in rows} == {"bare", "boxed"}
    for room in ("18.00", "22.00", "26.00"):
        for place in ("bare", "boxed"):
            chosen = [
                row for row in rows if (row["room [°C]"], row["place"], row["recommended"]) == (room, place, "yes")
            ]
            assert len(chosen) <= 1
            assert all(row["rejected by"] == "" for row in chosen)
    assert (folder / "charts" / "boxed-pour.svg").read_text().count("<svg") == 1


def test_json_holds_every_candidate_with_its_answers(coolsim, bare):
    done = coolsim("pour", bare, "--pour", "56C,60C", "--jar", "30C", "--json", "--workers", "2")
    document = json.loads(done.stdout)
    assert [(one["place"], one["room_C"], one["jar_C"]) for one in document["choices"]] == [
        ("bare", 21.0, 30.0),
        ("boxed", 21.0, 30.0),
    ]
    for choice in document["choices"]:
        assert [one["pour_C"] for one in choice["candidates"]] == [56.0, 60.0]
        passing = {
            one["answers"]["dish_volume_m3"] + one["answers"]["cavity_volume_m3"]: one["pour_C"]
            for one in choice["candidates"]
            if not one["rejected"]
        }
        assert (choice["not_below"]["limit"], choice["not_above"]) == (
            "too near freezing", {"limit": "jar shock", "pour_C": 72.0}
        )  # fmt: skip
        # The middle of those that are as good, of two the colder one.
        assert passing[min(passing)] in choice["as_good_C"]
        assert choice["recommended_C"] == choice["as_good_C"][0]
    assert document["limits"]["jar shock"] == {
        "why": "glass may crack where wax is more than 42 °C hotter than it",
        "from": "vessel.shock_limit",
    }
    assert document["caution"].startswith("Caution")


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        (["--room", "27C:15C"], 2, "--room: found '27C:15C', a range that runs backwards"),
        (["--room", "18"], 2, "no unit"),
        (["--room", "18mm"], 2, "a unit of a length"),
        (["--room", "41C"], 2, "it would never set"),
        (["--pour", "30C:60C:10K"], 2, "60.5 % of it is solid then, more than still pours (pour.thickest, 10 %)"),
        (["--jar", "20C:30C"], 2, "give one temperature"),
        (["--jar", "300C"], 2, "from -20 °C to 120 °C"),
        (["--within", "0 h"], 2, "above zero"),
        (["--within", "16"], 2, "no unit"),
        (["--margin", "5"], 2, "no unit"),
        (["--workers", "0"], 2, "--workers: found 0; give 1 to 61."),
        (["--room", "18C", "--figures", "x"], 2, "several rooms"),
        (["--csv", "missing/x.csv"], 4, "no folder 'missing'"),
        (["--room", "15C:27C", "--figures", "bare.toml"], 2, "which the command reads"),
    ],
)
def test_a_slip_gets_one_clear_message_and_runs_nothing(arguments, code, told, coolsim, bare, folder):
    done = coolsim("pour", bare, *arguments)
    assert done.exit_code == code
    assert told in " ".join(done.stderr.split())
    assert done.stdout == ""
    assert names(folder) == ["bare.toml"]


def test_cases_judge_by_how_often_a_pour_passes(coolsim, bare, folder):
    done = coolsim(
        "pour", bare, "--room", "21C,24C", "--pour", "54C,60C,64C", "--cases", "8", "--workers", "1",
        "--figures", "here", "--format", "svg", "--csv", "pours.csv", "--all",
    )  # fmt: skip
    assert done.exit_code == 0, done.stderr
    text = " ".join(done.stdout.split())
    assert "in 8 cases (estimates)" in text
    assert "must keep all in at least 80 % of them" in text
    assert "passes in" in text
    assert "Varied: films.side_factor, films.top_factor" in text
    assert "could not be computed" not in text
    assert "passes in too few of the cases" in (folder / "here" / "bare-pour.svg").read_text(encoding="utf-8")
    header, *rows = (folder / "pours.csv").read_text(encoding="utf-8").splitlines()
    assert header.endswith("passes in [%]")
    assert all(row.rpartition(",")[2] for row in rows)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--cases", "7"], "found 7; give 8 to 8192"),
        (["--share", "90 %"], "it needs --cases"),
        (["--cases", "8", "--share", "0 %"], "give a value above zero"),
        (["--cases", "8", "--share", "150 %"], "at most 100 %"),
        (["--cases", "8", "--share", "20 mm"], "--share"),
    ],
)
def test_cases_and_shares_that_cannot_be_are_refused_before_any_run(arguments, says, coolsim, bare, monkeypatch):
    def run(*_, **__):
        raise AssertionError("a simulation ran")

    monkeypatch.setattr("coolsim.studies.pour.choose.choose_pour", run)
    done = coolsim("pour", bare, *arguments)
    assert done.exit_code == 2
    assert says in " ".join(done.stderr.split())

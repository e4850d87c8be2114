"""`coolsim whatif` as a user meets it."""

import json
import re

import pytest
from commands import names


def test_it_ranks_small_changes_and_writes_a_page(coolsim, boxed, folder):
    result = coolsim("whatif", boxed)
    assert result.exit_code == 0
    assert result.stderr == "wrote boxed-whatif.pdf\n"
    assert (folder / "boxed-whatif.pdf").read_bytes().startswith(b"%PDF")
    lines = result.stdout.splitlines()
    assert lines[0] == "What if: Tumbler, one of six in an open box"
    assert max(map(len, lines)) <= 80
    assert [line[1] for line in lines if re.match(r" \d \S", line)] == list("12345678")
    words = " ".join(result.stdout.split())
    for expected in (
        "Leave it bare on the bench",
        "Close the flaps",
        "Stand it alone in the box",
        "Warm the jar to 36 °C (now 21 °C)",
        "Warm the room to 25 °C (now 21 °C)",
        "Pour cooler, at 55 °C (now 60 °C)",
        "Better means: fewer faults",
        "No different: times within 1 % or 5 minutes, tops within 2 %.",
        "hot wax burns and catches fire",
        "values are estimates",
        "invented",
    ):
        assert expected in words
    # Bare, it sets sooner and sinks more.
    assert "more sunk, though set" in words


def test_json_is_in_si_units_and_the_page_a_picture(coolsim, bare, folder):
    result = coolsim("whatif", bare, "--json", "--units", "us", "--paper", "letter", "-o", "page.png")
    assert result.exit_code == 0
    assert names(folder) == ["bare.toml", "page.png"]
    data = json.loads(result.stdout)
    assert data["usual"]["faults"] == []
    assert data["usual"]["sunk_and_cavity_m3"] == pytest.approx(
        data["usual"]["answers"]["dish_volume_m3"] + data["usual"]["answers"]["cavity_volume_m3"]
    )
    changes = {one["change"]: one for one in data["changes"]}
    assert len(changes) == 8
    assert changes["warm the jar"]["value_C"] == 36.0
    assert changes["fill less"]["share"] == 0.75
    assert changes["other wax"]["value"] == "coconut-blend"
    assert changes["pour cooler"]["brings"] == ["skin stays"]
    assert changes["pour cooler"]["verdict"] == "worse"
    assert changes["put it into the box"]["verdict"] == "better"
    assert "Hot wax" in data["caution"]


def test_faults_of_the_jar_are_named_with_what_mends_them_in_units_of_the_workshop(coolsim, bare):
    bare.write_text(bare.read_text(encoding="utf-8").replace('"60 °C"', '"65 °C"'), encoding="utf-8")
    lines = coolsim("whatif", bare, "--units", "us", "--estimates").stdout.splitlines()
    as_it_is = next(number for number, line in enumerate(lines) if "As it is" in line)
    assert lines[as_it_is + 1] == "   ! Beyond the shock limit"
    words = " ".join(" ".join(lines).split())
    for expected in (
        "Within the shock limit",
        "Note: the wax is 79.2 °F hotter than the jar",
        "Warm the jar to 97 °F (now 70 °F)",
        "(1 3/4 in, now 2",
        "a gap of 15/32 in",
        "The other wax has the values of the catalogue",
        "fl oz",
    ):
        assert expected in words


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (["-o", "page.txt"], 2, "--output: found 'page.txt'; give a name that ends in .png or .svg or .pdf."),
        (["-o", "bare.toml"], 2, "give a name that ends in"),
        (["--paper", "a5"], 2, "--paper"),
    ],
)
def test_bad_options_write_nothing(coolsim, bare, folder, arguments, code, message):
    result = coolsim("whatif", bare, *arguments)
    assert result.exit_code == code
    assert message in result.stderr
    assert result.stdout == ""
    assert names(folder) == ["bare.toml"]


def test_a_jar_of_water_is_refused(coolsim, bare, folder):
    text = bare.read_text(encoding="utf-8").replace('kind = "soft-vegetable"', 'kind = "water"')
    bare.write_text(text.replace('fragrance_load = "8 %"', ""), encoding="utf-8")
    result = coolsim("whatif", bare)
    assert result.exit_code == 3
    assert "wax.kind: found 'water', which never sets" in result.stderr
    assert names(folder) == ["bare.toml"]

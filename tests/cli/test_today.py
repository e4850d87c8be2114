"""`coolsim today`: five lines, which agree with `coolsim pour` and with the plan of the day."""

import json

import pytest
from commands import coarse

pytestmark = pytest.mark.usefixtures("few_cases")
QUICK = ("--workers", "1")


def lines(done):
    assert done.exit_code == 0, done.stderr
    title, answers, *_ = done.stdout.split("\n\n")
    return title, {line[:27].strip(): line[27:].strip() for line in answers.splitlines()}


def test_five_lines_of_which_each_says_what_the_other_commands_say(coolsim, bare):
    title, told = lines(coolsim("today", bare, "--room", "22C", *QUICK))
    assert title == "Tumbler, bare on the bench, room at 22 °C"
    assert list(told) == [
        "Pour at",
        "Straighten the wick until",
        "Leave it until",
        "Put the lid on from",
        "The top will be",
    ]
    pour = json.loads(coolsim("pour", bare, "--room", "22C", *QUICK, "--json").stdout)
    (choice,) = (one for one in pour["choices"] if one["place"] == "bare")
    best = choice["recommended_C"]
    assert told["Pour at"].endswith(f"say {best:g} °C")
    assert told["Pour at"].startswith(f"{choice['as_good_C'][0]:g} to {choice['as_good_C'][-1]:g} °C")
    # The same jar, poured so.
    text = bare.read_text(encoding="utf-8").replace('"60 °C"', f'"{best:g} °C"').replace('"21 °C"', '"22 °C"')
    bare.write_text(text, encoding="utf-8")
    plan = coolsim("day", "--only", "plan", bare, *QUICK).stdout
    for name, what in (
        ("Straighten the wick until", "Straighten a leaning wick until"),
        ("Leave it until", "Do not move"),
    ):
        (line,) = (line for line in plan.splitlines() if line.startswith(what))
        assert told[name] in line
    assert "mm (" in told["The top will be"]


def test_where_no_pour_passes_the_jar_is_warmed_for_one(coolsim, bare):
    done = coolsim("today", bare, "--room", "15C", "--middle", *QUICK)
    _, told = lines(done)
    poured, warmed = told["Pour at"].split(", into a jar that is warmed to ")
    assert float(poured.removesuffix(" °C")) - float(warmed.removesuffix(" °C")) < 42.0
    # A pour that passes breaks no limit.
    assert "Note:" not in done.stdout


def test_the_clock_and_the_units_are_those_of_the_workshop(coolsim, bare):
    done = coolsim("today", bare, "--room", "72F", "--pour-at", "10:30", "--units", "us", "--middle", *QUICK)
    _, told = lines(done)
    assert told["Pour at"].endswith(" °F")
    assert told["Straighten the wick until"].startswith("11:")
    assert " am" in told["Straighten the wick until"]
    assert told["The top will be"].endswith(")")


def test_of_a_box_the_worst_jar_counts(coolsim, folder):
    (folder / "six.toml").write_text(coarse("box-2x3.toml"), encoding="utf-8")
    found = json.loads(coolsim("today", "six.toml", "--middle", *QUICK, "--json").stdout)
    assert found["place"] == "box of jars"
    assert found["plan"]["steps"]


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["--room", "warm"], 2, "--room: found 'warm'"),
        (["--pour-at", "25:00"], 2, "--pour-at: found '25:00'"),
        (["--workers", "0"], 2, "--workers: found 0"),
    ],
)
def test_bad_input_is_one_message(arguments, code, says, coolsim, bare):
    done = coolsim("today", bare, *arguments)
    assert (done.exit_code, done.stdout) == (code, "")
    assert says in done.stderr

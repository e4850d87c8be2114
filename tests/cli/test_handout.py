"""`coolsim make handout`: one PDF, the plan and the advice in words, or one clear message and nothing written."""

import pytest
from commands import names

pytestmark = pytest.mark.usefixtures("few_cases")

# Two rooms and two pours: what is tested is the command, not the chart.
FEW = ("--rooms", "18C,22C", "--pours", "56C,60C", "--workers", "2")


def test_one_scenario_gives_one_pdf_and_the_day_by_the_clock(coolsim, boxed, folder):
    boxed.write_text(boxed.read_text().replace("[pour]\n", '[pour]\nclock = "19:40"\n'))
    done = coolsim("make", "handout", boxed, *FEW)
    assert done.exit_code == 0
    assert done.stderr == "wrote boxed-handout.pdf\n"
    assert names(folder) == ["boxed-handout.pdf", "boxed.toml"]
    assert (folder / "boxed-handout.pdf").read_bytes().startswith(b"%PDF")
    assert max(map(len, done.stdout.splitlines())) <= 80
    day = done.stdout.partition("\n\n")[0]
    assert "19:40" in day
    assert "next day" in day
    # The middle of each band.
    assert day.count("(") > 8
    assert "Nine of ten jars are ready by these times" in done.stdout
    for expected in ("Leave it bare on the bench", "Close the flaps", "eeper hole", "Caution: hot wax burns"):
        assert expected in done.stdout, expected


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        (["--rooms", "27C:15C"], 2, "--rooms: found '27C:15C', a range that runs backwards"),
        (["--rooms", "18C"], 2, "several rooms"),
        (["--pours", "60C"], 2, "several rooms and pours"),
        (["--rooms", "18C:41C"], 2, "it would never set"),
        (["--paper", "a5"], 2, "a4"),
        (["--workers", "0"], 2, "--workers: found 0; give 1 to 61."),
        (["--output", "class.png"], 2, "ends in .pdf"),
        (["--output", "missing/class.pdf"], 4, "no folder 'missing'"),
        (["missing.toml"], 3, "no such file"),
        (["bare.toml", "bare.toml"], 2, "give one or two"),
    ],
)
def test_a_slip_gets_one_clear_message_and_writes_nothing(arguments, code, told, coolsim, bare, folder):
    done = coolsim("make", "handout", bare, *arguments)
    assert done.exit_code == code, done.stderr
    assert told in " ".join(done.stderr.split())
    assert done.stdout == ""
    assert names(folder) == ["bare.toml"]

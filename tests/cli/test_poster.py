"""`coolsim make poster` and `coolsim make guess` as a user meets them."""

import json

import pytest
from commands import coarse, names
from drawn_pdf import POINTS_PER_MM, sizes

from coolsim.report.paper import poster as paper
from coolsim.studies.pour import choose

pytestmark = pytest.mark.usefixtures("few_cases")


@pytest.fixture
def written(monkeypatch):
    """The posters that a command writes."""
    found = []
    write = paper.write_poster

    def keep(poster, *arguments, **options):
        found.append(poster)
        return write(poster, *arguments, **options)

    monkeypatch.setattr(paper, "write_poster", keep)
    return found


@pytest.fixture
def few_pours(monkeypatch):
    """Let a study of the pour try three pours in each room."""
    monkeypatch.setattr(choose, "_MOST_STEPS", 4)


@pytest.mark.usefixtures("few_pours")
def test_the_poster_says_what_plan_and_today_say(coolsim, bare, folder, written):
    done = coolsim("make", "poster", bare, "--start", "9:00", "--paper", "a3", "--workers", 1)
    assert (done.exit_code, done.stdout) == (0, "")
    assert done.stderr.splitlines()[0] == "wrote bare-poster.pdf"
    content = (folder / "bare-poster.pdf").read_bytes()
    assert sizes(content) == [pytest.approx((297.0 * POINTS_PER_MM, 420.0 * POINTS_PER_MM), abs=0.01)]
    (poster,) = written
    plan = json.loads(coolsim("day", bare, "--only", "plan", "--start", "9:00", "--workers", 1, "--json").stdout)
    steps = {one["name"]: one["after_pour_s"] for one in plan["steps"]}
    for name in ("wick", "skin", "still", "lid"):
        assert poster.plan.step(name).time == steps[name]
    assert [round(choice.room) for choice in poster.study.choices] == [15, 18, 21, 24, 27]
    today = json.loads(coolsim("today", bare, "--middle", "--workers", 1, "--json").stdout)
    (own,) = [choice for choice in poster.study.choices if abs(choice.room - today["room_C"]) < 0.01]
    assert [one.pour for one in own.as_good] == today["as_good_C"]


@pytest.mark.usefixtures("few_pours")
def test_a_jar_that_does_not_fit_is_drawn_smaller_with_a_warning(coolsim, bare, folder, written):
    text = coarse("tumbler-bare.toml").replace('height = "86 mm"', 'height = "150 mm"')
    bare.write_text(text, encoding="utf-8")
    done = coolsim("make", "poster", bare, "--middle", "--workers", 1)
    assert done.exit_code == 0
    assert (
        "warning: bare-poster.pdf: in real size the jar does not fit on a4, so it is drawn 1 : 2; try --paper a3.\n"
    ) in done.stderr
    # On the smaller paper only the rooms that are nearest to its own.
    assert [round(choice.room) for choice in written[0].study.choices] == [18, 21, 24]
    assert names(folder) == ["bare-poster.pdf", "bare.toml"]


def test_one_jar_alone_is_guessed_about_in_four_ways(coolsim, bare, folder):
    done = coolsim("make", "guess", bare, "--paper", "letter", "-o", "class.pdf")
    assert (done.exit_code, done.stdout) == (0, "")
    assert done.stderr.splitlines()[0] == "wrote class.pdf"
    assert sizes((folder / "class.pdf").read_bytes()) == [(792.0, 612.0)] * 4


def test_a_box_of_jars_stands_beside_a_jar(coolsim, bare, six, folder):
    assert coolsim("make", "guess", bare, six).exit_code == 0
    assert names(folder) == ["bare-guess.pdf", "bare.toml", "six.toml"]


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (["guess", "bare.toml", "--output", "guess.png"], 2, "ends in .pdf"),
        (["guess", *["bare.toml"] * 5], 2, "error: FILE: found 5 scenarios; give 4 at most.\n"),
        (["guess", "bare.toml", "--paper", "a3"], 2, "error: --paper: found 'a3', which is for a poster;"),
        (["sheet", "bare.toml", "--paper", "a3"], 2, "a sheet is printed on a4 or letter.\n"),
        (["poster", "bare.toml", "--paper", "a5"], 2, "error: --paper: found 'a5'. Give one of a4, letter, a3."),
        (["poster", "bare.toml", "--start", "25:00"], 2, "--start: found '25:00'"),
        (["poster", "bare.toml", "--output", "poster.svg"], 2, "ends in .pdf"),
        (["poster", "bare.toml", "--output", "no/poster.pdf"], 4, "there is no folder 'no'"),
        (["guess"], 2, "error: FILE: missing. Give a scenario, as in `coolsim make guess jar.toml`.\n"),
    ],
)
def test_what_cannot_be_is_refused_before_the_run(coolsim, bare, folder, arguments, code, message):
    done = coolsim("make", *arguments)
    assert (done.exit_code, done.stdout) == (code, "")
    assert message in done.stderr
    assert names(folder) == ["bare.toml"]


@pytest.mark.parametrize("what", ["poster", "guess"])
def test_water_has_neither(coolsim, bare, folder, what):
    text = bare.read_text(encoding="utf-8").replace('kind = "soft-vegetable"', 'kind = "water"')
    bare.write_text(text, encoding="utf-8")
    done = coolsim("make", what, bare)
    assert done.exit_code == 3
    assert "wax.kind: found 'water', which never sets" in done.stderr
    assert names(folder) == ["bare.toml"]

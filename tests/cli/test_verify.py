"""`coolsim verify`: the checks on the screen, as data, and as a book."""

import dataclasses
import json
import re
from pathlib import Path

import pytest
from commands import names
from matplotlib.text import Text

from coolsim.model.jar import Jar
from coolsim.model.problem import Problem
from coolsim.report.paper.verify import draw_book
from coolsim.report.text.verify import verify_data, verify_text
from coolsim.studies.verify import cases, mush
from coolsim.studies.verify.case import KINDS, Checked, check, evidence, value
from coolsim.studies.verify.cases import CASES, cases_of, problem_of
from coolsim.studies.verify.not_validated import NOT_VALIDATED

ONE = value("one", 1.0, 1.0, within=0.1)


@pytest.fixture(autouse=True)
def without_the_theory(monkeypatch):
    """Leave out the pages of the theory, which are the same in all books and take 3 s: one test writes them."""
    monkeypatch.setattr("coolsim.report.paper.verify.theory_pages", lambda frame: [])


def pages_of(path):
    return len(re.findall(rb"/Type /Page\b", path.read_bytes()))


def test_it_prints_a_table_and_writes_a_page_for_each_check_one_of_all_and_one_of_what_they_come_to(coolsim, folder):
    result = coolsim("verify", "--only", "C2", "--only", "t5", "--figures", "pages")
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= 80
    assert [line.split()[0] for line in lines if line.endswith(" kept")] == ["C2", "T5"]
    assert any(re.match(r"C  closed form +1 +20 +[+-]0\.\d\d % +0\.\d\d % +0$", line) for line in lines)
    assert "C2 in Python:\n" in result.stdout
    assert "not validated" in result.stdout.lower()
    pictures = [f"pages/{name}.png" for name in ("C2", "T5", "checks", "summary")]
    assert result.stderr == "".join(f"wrote {name}\n" for name in (*pictures, "verification.pdf"))
    assert names(folder / "pages") == ["C2.png", "T5.png", "checks.png", "summary.png"]
    pages = pages_of(folder / "verification.pdf")
    # The same checks are the same book.
    before = (folder / "verification.pdf").read_bytes()
    assert coolsim("verify", "--only", "C2", "--only", "T5").exit_code == 0
    assert (folder / "verification.pdf").read_bytes() == before
    one = coolsim("verify", "--only", "T5", "--output", "one.pdf")
    assert one.exit_code == 0
    assert pages - pages_of(folder / "one.pdf") == 1


def test_a_whole_book_is_written_without_a_word_about_fonts(process):
    done = process("verify", "--only", "C10", "--output", "book.pdf")
    assert (done.returncode, done.stderr) == (0, "wrote book.pdf\n")


def test_it_says_how_to_open_the_problem_and_where_its_statement_for_other_codes_is():
    checked = [Checked(case=case, values=(ONE,), orders=()) for name in ("v5", "c14") for case in cases_of(name)]
    shown = verify_text(checked, opened=True)
    (line,) = re.findall(r"^R1 in Python, as V5:\n  (.*)$", shown, flags=re.MULTILINE)
    names = {}
    exec(line, names)
    assert isinstance(names["p"], Problem)
    (folder,) = re.findall(r"reference values: V5 in\n  (.*)$", shown, flags=re.MULTILINE)
    assert (Path(folder) / "V5.md").is_file()
    assert "C14 in Python" not in shown  # it follows a given freezing, and runs no problem
    assert verify_data(checked)["checks"]["R1"]["statements"] == ["V5"]
    assert "in Python" not in verify_text(checked)


@pytest.mark.parametrize("case", [case for case in CASES if case.problems], ids=lambda case: case.id)
def test_the_problem_of_a_check_can_be_opened(case):
    for name, _ in case.problems:
        assert isinstance(problem_of(name or case.id), Problem | Jar)


def test_what_runs_no_problem_is_one_message():
    with pytest.raises(ValueError, match="found 'T4', which is no check that runs a problem"):
        problem_of("T4")


def test_json_is_one_document_with_every_value(coolsim, folder):
    found = json.loads(coolsim("verify", "--only", "C2", "--json").stdout)
    assert (found["program"], found["missed"]) == ("coolsim", 0)
    case = found["checks"]["C2"]
    assert (case["kind"], case["kept"], len(case["values"])) == ("closed form", True, 20)
    assert case["values"][0]["name"] == "L/R 1, Bi 1, Fo 0.2: centre"
    assert case["values"][0]["computed"] == pytest.approx(case["values"][0]["reference"], abs=1e-3)
    assert found["kinds"]["closed form"]["values"] == 20
    assert list(found["not_validated"]) == [what for what, _ in NOT_VALIDATED]


def test_a_value_that_misses_is_named_and_ends_with_four_and_the_book_is_there_all_the_same(
    coolsim, folder, monkeypatch
):
    wrong = dataclasses.replace(CASES[1], run=lambda: [value("half of it", 1.0, 2.0, within=0.25, unit="mm")])
    monkeypatch.setattr(cases, "CASES", (wrong,))
    result = coolsim("verify", "--quiet")
    assert result.exit_code == 4
    assert "Missed in C2: half of it: 1 instead of 2 mm, off by -1 of 0.25." in " ".join(result.stdout.split())
    assert result.stderr == "error: 1 value off by more than the tolerance; see above.\n"
    assert names(folder) == ["verification.pdf"]


def test_a_value_that_is_not_there_misses(coolsim, monkeypatch):
    gone = dataclasses.replace(CASES[1], run=lambda: [value("never", float("nan"), 2.0, within=0.25)])
    monkeypatch.setattr(cases, "CASES", (gone,))
    result = coolsim("verify", "--json")
    assert result.exit_code == 4
    assert json.loads(result.stdout)["checks"]["C2"]["values"][0]["computed"] is None


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["--only", "V6"], 2, "--only: found 'V6', which is no check."),
        (["--only", "C1", "--output", "book.png"], 2, "found 'book.png'; give a name that ends in .pdf"),
        (["--output", "missing/book.pdf"], 4, "there is no folder 'missing'"),
    ],
)
def test_bad_input_is_one_message_before_any_check(arguments, code, says, coolsim, folder, monkeypatch):
    def run(*_, **__):
        raise AssertionError("a check ran")

    monkeypatch.setattr("coolsim.studies.verify.case.check", run)
    result = coolsim("verify", *arguments)
    assert result.exit_code == code
    assert says in " ".join(result.stderr.split())
    assert (result.stdout, names(folder)) == ("", [])


def test_every_case_is_asserted_by_a_test_and_all_kinds_of_evidence_are_there(request):
    tests = "".join(
        path.read_text(encoding="utf-8") for path in (request.config.rootpath / "tests/verification").glob("test_*.py")
    )
    known = {name: case for name, case in vars(cases).items() if case in CASES}
    assert set(known.values()) == set(CASES)
    assert len({case.id for case in CASES}) == len(CASES)
    # A case is imported, and asserted at least once.
    assert [name for name in known if len(re.findall(rf"\b{name}\b", tests)) < 2] == []
    assert {case.kind for case in CASES} == set(KINDS)
    assert all(re.fullmatch(f"[{''.join(KINDS)}][1-9][0-9]?", case.id) for case in CASES)


def test_bias_and_spread_are_those_of_the_relative_errors():
    values = [
        value("one", 1.1, 1.0, within=0.2),
        value("other", 2.0, 2.0, within=0.2),
        value("hot", 60, 50, within=20, span=100),
    ]
    (found,) = evidence([check(dataclasses.replace(CASES[0], run=lambda: values, orders=tuple))])
    assert (found.values, found.missed) == (3, 0)
    assert (found.bias, found.spread) == pytest.approx((0.2 / 3, (0.02 / 3 - (0.2 / 3) ** 2) ** 0.5))


def test_the_fullest_pages_have_room_for_every_value(monkeypatch):
    # Of the tops, whose values are drawn here without their runs: what they are compared with.
    monkeypatch.setattr(mush, "found", lambda top: (top.levels, top.middle, top.void))
    checked = [check(case) for case in CASES if case.id in ("R7", "R8", "R9", "R10")]
    book = draw_book(checked)
    for one in checked:
        shown = "".join(text.get_text() for text in book.named[one.case.id].findobj(Text))
        assert shown.count("void [mL]") == len(one.values) / 6


def test_a_page_that_is_too_full_goes_on_and_loses_nothing():
    values = [value(f"so many: {number}.", 1.0, 2.0, within=0.1) for number in range(200)]
    full = check(dataclasses.replace(CASES[0], run=lambda: values, orders=tuple))
    few = draw_book([check(dataclasses.replace(CASES[0], run=lambda: values[:2], orders=tuple))])
    book = draw_book([full])
    shown = [text.get_text() for page in book.pages for text in page.findobj(Text)]
    assert len(book.pages) > len(few.pages)
    assert {f"{number}." for number in range(200)} <= set(shown)
    assert "And 188 more." in shown

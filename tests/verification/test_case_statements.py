"""The problem statements for other codes are complete: what each asks for, units, sources and bounds.

The checks that `cases/README.md` names read their values from there.
"""

import re

import numpy as np
import pytest

from coolsim.studies.verify.cases import CASES
from coolsim.studies.verify.statement import FOLDER, data, given, rows, statement, values

STATEMENTS = sorted(path.stem for path in FOLDER.glob("*.md") if path.stem != "README")
TABLES = sorted(path.stem for path in FOLDER.glob("*.csv"))
EVENTS = ("REF1", "F1", "F3")  # tables whose first column says what the second is


def test_the_list_names_every_statement_and_the_check_that_holds_coolsim_to_it():
    listed = re.findall(r"^\| \[(\w+)\]\(\1\.md\) \|.*\| ([R\d ]+) \|$", statement("README"), flags=re.MULTILINE)
    assert sorted(case for case, _ in listed) == STATEMENTS
    assert {(name, check) for name, checks in listed for check in checks.split()} == {
        (name, case.id) for case in CASES for name in case.statements
    }


@pytest.mark.parametrize("table", TABLES)
def test_reference_values_say_where_they_are_from_and_in_which_unit(table):
    first, *_ = (FOLDER / f"{table}.csv").read_text(encoding="utf-8").splitlines()
    assert re.search("^# .*(omputed independently|resolved computation)", first)
    assert f"`{table}.csv`" in statement(table.split("-")[0])
    for row in rows(table):
        for column, value in row.items():
            # A column of numbers has a unit, and one with a unit has numbers; a value that is not known is empty.
            is_number = re.fullmatch(r"-?\d+(\.\d+)?|inf|", value) is not None
            has_unit = re.search(r" \[\S+\]$", column) is not None
            assert is_number == has_unit or (value == "" and not has_unit), f"{table}.csv, {column}: {value}"


@pytest.mark.parametrize("case", EVENTS)
def test_a_statement_asks_for_what_its_reference_values_are_of(case):
    asked = re.search(r"^## To report\n(.*?)\n^Reference values", statement(case), flags=re.MULTILINE | re.DOTALL)
    assert asked is not None
    assert set(values(case)) == set(re.findall("`([^`]+)`", asked[1]))


def test_freezing_times_of_the_long_cylinder_lie_between_the_published_bounds():
    # Plank; London & Seban 1943, as the statement has it. A wrong digit among the leading ones would show.
    for row in rows("V5"):
        biot, stefan, tau = (float(value) for value in row.values())
        quasi_steady = 0.25 + 0.5 / biot
        assert quasi_steady < stefan * tau < quasi_steady * (1.0 + stefan)


def test_front_goes_inwards_and_arrives_when_the_long_cylinder_is_frozen():
    front = rows("V5-front")
    radius, time = (np.array([float(row[name]) for row in front]) for name in ("s [-]", "tau [-]"))
    assert (np.diff(radius) < 0.0).all()
    assert (np.diff(time) > 0.0).all()
    (frozen,) = (
        float(row["tau [-]"])
        for row in rows("V5")
        if (float(row["Bi [-]"]), float(row["Ste [-]"])) == (float(front[0]["Bi [-]"]), float(front[0]["Ste [-]"]))
    )
    assert time[-1] < frozen


def test_last_liquid_of_the_even_cylinder_is_in_its_middle():
    stated = given("F1")
    assert stated["Bi_top"] == stated["Bi_base"]
    assert values("F1")["last liquid, height"] == 0.5 * stated["H"]


def test_each_jar_of_creeping_mush_is_stated():
    found = rows("V15")
    assert {row["curve"] for row in found} == set(data("V15", "curves"))
    assert {row["change"] for row in found} == {"", *data("V15", "changes")}
    for row in found:
        assert re.fullmatch("bare|(open|closed)[1-4]?", row["stands"])
    cases = [(row["curve"], row["stands"], row["change"]) for row in found]
    assert len(cases) == len(set(cases))


def test_fields_of_creeping_mush_can_be_had_as_the_statement_says(tmp_path, monkeypatch):
    text = statement("V15")
    (jar,) = re.findall(r"^```toml jar\n(.*?)^```$", text, flags=re.MULTILINE | re.DOTALL)
    (tmp_path / "jar.toml").write_text(jar, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    (code,) = re.findall(r"^    from coolsim import .*?\n\n", text, flags=re.MULTILINE | re.DOTALL)
    names: dict = {}
    exec(re.sub("^    ", "", code, flags=re.MULTILINE), names)
    shape = len(names["z"]), len(names["r"])
    assert names["temperature"].shape == (len(names["time"]), *shape)
    assert names["liquid"].shape == shape
    assert names["temperature"][0] == pytest.approx(65.0)

"""A pour that must pass in most of the cases: shares, the same cases for all, and the runs that a search saves."""

import math
import pickle
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from coolsim.errors import ScenarioError
from coolsim.report.text.pour import pour_text
from coolsim.scenario import with_overrides
from coolsim.studies.pour import cases as pour_cases
from coolsim.studies.pour.cases import pours_in_most_cases
from coolsim.studies.pour.choose import choose_pour
from coolsim.studies.sweep.point import run_jars
from tests.support.pair import closed_pair

QUICK = with_overrides(closed_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K", "room.temperature": "21 °C"})
POURS = ["52 °C", "56 °C", "60 °C", "62 °C", "66 °C"]
CASES = 8


@pytest.fixture(scope="module", autouse=True)
def each_jar_runs_once():
    """Let a jar run once, however many of the questions here come to it: all of them draw the same cases."""
    known = {}

    def remembered(jars):
        keys = [pickle.dumps(jar) for jar in jars]
        fresh = {key: jar for key, jar in zip(keys, jars, strict=True) if key not in known}
        if fresh:
            known.update(zip(fresh, run_jars(list(fresh.values())), strict=True))
        return [known[key] for key in keys]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pour_cases, "run_jars", remembered)
        yield


@pytest.fixture(scope="module")
def study():
    with ThreadPoolExecutor(1) as executor:
        return choose_pour(QUICK, pours=POURS, executor=executor)


def judged(study, **options):
    with ThreadPoolExecutor(1) as executor:
        return pours_in_most_cases(study, cases=CASES, executor=executor, **options)


@pytest.fixture(scope="module")
def found(study):
    return judged(study)


def test_each_candidate_passes_as_often_as_running_all_its_cases_says(study, found):
    # Without the search: every case at every open pour of the bare jar.
    bare = next(choice for choice in study.choices if choice.place == "bare")
    _, drawn = pour_cases._draw(study, CASES, 0)
    shares = []
    for index, one in enumerate(bare.candidates):
        if "jar shock" in one.rejected:
            shares.append(0.0)
            continue
        passes = 0
        for case in drawn:
            answers = pour_cases.run_jars([pour_cases._point(study, bare, case, index).jar])[0]["answers"]
            stays = answers["skin_formed_s"] is not None and answers["skin_melted_again_s"] is None
            near = one.pour < case.starts["bare"] + study.margin
            passes += not stays and not near and answers["fully_set_s"] <= study.time_allowed
        shares.append(passes / CASES)
    own = next(choice for choice in found.choices if choice.place == "bare")
    assert [one.passes for one in own.candidates] == shares
    assert len(set(shares)) > 2


def test_what_passes_often_enough_is_recommended_and_what_does_not_says_why(found):
    for choice in found.choices:
        for one in choice.candidates:
            assert ("passes too seldom" in one.rejected) == (one.passes < 0.8 and "jar shock" not in one.rejected)
            if "jar shock" not in one.rejected:
                assert one.passes + sum(share for _, share in one.breaks) == pytest.approx(1.0)
        if choice.recommended is not None:
            assert choice.recommended.passes >= 0.8


def test_a_smaller_share_lets_more_pass(study, found):
    easy = judged(study, share=0.1)
    passing = [sum(not one.rejected for choice in some.choices for one in choice.candidates) for some in (found, easy)]
    assert passing[0] < passing[1]


@pytest.mark.parametrize(("first", "last"), [(0, 20), (7, 20), (0, 12), (5, 6), (20, 20), (0, 0)])
def test_the_search_finds_both_ends_in_few_runs(study, first, last):
    # Twenty pours of which those from `first` on lose their skin, and those from `last` on set too late.
    bare = study.choices[0]
    one = replace(bare.candidates[-1], rejected=())
    choice = replace(bare, candidates=tuple(replace(one, pour=60.0 + index) for index in range(20)))
    case = pour_cases._Case(changes={}, starts={choice.place: 40.0})
    search = pour_cases._search(choice, case, study)
    runs, answers = 0, None
    while True:
        try:
            index = search.send(answers)
        except StopIteration as end:
            broken = end.value
            break
        runs += 1
        answers = {
            "skin_formed_s": 1.0,
            "skin_melted_again_s": 9.0 if index >= first else None,
            "fully_set_s": study.time_allowed + (1.0 if index >= last else -1.0),
        }
    assert broken == tuple(
        "skin stays" if index < first else "too slow" if index >= last else None for index in range(20)
    )
    # Each end by bisection, and one more run for the end that is asked first.
    assert runs <= 2 * (1 + math.ceil(math.log2(20)))
    assert (first, last) != (0, 20) or runs == 2


def test_progress_ends_with_all_runs(study):
    told = []
    judged(study, on_run=lambda done, total: told.append((done, total)))
    assert told[-1][0] == told[-1][1] == len(told)


def test_a_case_that_fails_does_not_pass(study, monkeypatch):
    monkeypatch.setattr(pour_cases, "run_jars", lambda jars: [{"fault": "made up for this test"}] * len(jars))
    found = judged(study)
    for choice in found.choices:
        assert [one.passes for one in choice.candidates] == [0.0] * len(POURS)
    assert "could not be computed; they count as not passing" in " ".join(pour_text(found, units="metric").split())


def test_what_the_cases_vary_is_told(found):
    assert "wax.latent_heat" in found.varied
    # The box of the twin has a material of its own, the bare jar has none.
    assert "surround.conductivity" in found.varied


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ({"share": 0.0}, "share: found 0. Give a share above 0 %"),
        ({"share": 1.2}, "share: found 1.2"),
        ({"workers": 0}, "workers: found 0"),
        ({"cases": 3}, "Give a number from 8"),
    ],
)
def test_numbers_that_cannot_be_are_refused(study, options, told):
    with pytest.raises(ScenarioError, match=told):
        pours_in_most_cases(study, **options)

"""Which points are run together."""

from dataclasses import replace

import pytest

from coolsim.scenario import load_scenario
from coolsim.studies.sweep.chunks import CELLS, MOST, chunks_of
from tests.support.commands import SCENARIOS
from tests.support.pair import closed_pair

BARE, BOXED = (scenario.jar for scenario in closed_pair())


def pours(jar, count):
    return [replace(jar, pour=60.0 + 0.01 * number) for number in range(count)]


def sizes(jars, workers):
    return [len(chunk) for chunk in chunks_of(dict(enumerate(jars)), workers)]


def test_a_chunk_holds_jars_of_one_grid_and_each_jar_is_in_one():
    fine = replace(BARE, accuracy=replace(BARE.accuracy, refinement=2.0))
    jars = [jar for three in zip(*(pours(one, 20) for one in (BARE, BOXED, fine)), strict=True) for jar in three]
    chunks = chunks_of(dict(enumerate(jars)), 2)
    assert sorted(number for chunk in chunks for number in chunk) == list(range(60))
    for chunk in chunks:
        assert len({(jars[number].surround is None, jars[number].accuracy.refinement) for number in chunk}) == 1


@pytest.mark.parametrize(
    ("count", "workers", "expected"),
    [(1, 2, [1]), (3, 3, [1] * 3), (16, 2, [8] * 2), (40, 2, [10] * 4), (96, 1, [MOST] * 4)],
)
def test_every_worker_gets_two_chunks_unless_they_are_small_and_none_is_too_large(count, workers, expected):
    assert sizes(pours(BARE, count), workers) == expected


def test_a_chunk_of_coarse_jars_is_longer():
    coarse = replace(BARE, accuracy=replace(BARE.accuracy, refinement=0.5))
    # A quarter of the cells each; 32 rings and 48 levels of wax, with glass and bench, are 2,583 at full.
    assert sizes(pours(coarse, 120), 1) == [60, 60]
    assert MOST < 60 <= CELLS / (2583 / 4)


def test_a_box_of_jars_a_day_with_changes_and_metal_go_alone():
    for name in ("box-2x3", "night-at-14", "small-tin"):
        jar = load_scenario(SCENARIOS / f"{name}.toml").jar
        assert sizes([BARE, *pours(jar, 3), BARE], 1) == [2, 1, 1, 1], name

"""What the tables of the pour and of a sweep say of numbers that are given to them."""

import csv
import io

import pytest

from coolsim.answers.catalogue import BY_KEY
from coolsim.report.text.pour import pour_csv, pour_text
from coolsim.report.text.sweep import sweep_csv, sweep_text
from coolsim.scenario import with_overrides
from coolsim.studies.pour.choose import Candidate, PourChoice, PourStudy
from coolsim.studies.sweep.sweep import SweptRow, sweep_points
from tests.support.pair import closed_pair

BARE, BOXED = closed_pair()
NUMBERS = {
    "skin_formed_s": 5.0,
    "skin_melted_again_s": 90.0,
    "top_closed_s": 5400.0,
    "fully_set_s": 12660.0,
    "dish_m": 0.00127,
    "hole_m": 0.00254,
    "depth_m": 0.00381,
    "mean_dip_m": 0.00127,
    # 29.5735295625 mL are one fluid ounce of the US (NIST Handbook 44, appendix C).
    "dish_volume_m3": 29.5735295625e-6,
    "cavity_volume_m3": 2 * 29.5735295625e-6,
    "void_volume_m3": 3 * 29.5735295625e-6,
}


def answers(**changed):
    return {**dict.fromkeys(BY_KEY), **NUMBERS, **changed}


def candidate(place, pour, *rejected, **changed):
    return Candidate(place=place, room=20.0, jar=20.0, pour=pour, answers=answers(**changed), rejected=rejected)


def study(bare, boxed, own="bare"):
    choices = tuple(
        PourChoice(place=found[0].place, room=20.0, jar=20.0, candidates=tuple(found)) for found in (bare, boxed)
    )
    return PourStudy(
        stands={"bare": BARE, "boxed": BOXED},
        own=own,
        choices=choices,
        time_allowed=57600.0,
        margin=8.0,
        own_grid=False,
    )


def one_line(text):
    return " ".join(text.split())


@pytest.fixture
def some():
    bare = [candidate("bare", 60.0, "jar shock"), candidate("bare", 64.0, "jar shock")]
    return study(bare, [candidate("boxed", 60.0), candidate("boxed", 58.0, "skin stays", skin_melted_again_s=None)])


def test_each_column_has_its_number_in_the_units_of_the_workshop(some):
    metric, us = pour_text(some, units="metric"), pour_text(some, units="us")
    (row,) = [line for line in metric.splitlines() if line.startswith(">")]
    assert row.split() == [">", "60", "°C", "29.57", "59.15", "88.72", "3.8", "1.3", "1.5", "3:31"]
    (row,) = [line for line in us.splitlines() if line.startswith(">")]
    assert row.split() == [">", "140", "°F", "1.000", "2.000", "3.000", "5/32", "1/16", "1.5", "3:31"]
    assert any(line.split()[-4:] == ["stays", "3:31", "skin", "stays"] for line in metric.splitlines())
    (boxed, _) = [row for row in csv.DictReader(io.StringIO(pour_csv(some, units="us"))) if row["place"] == "boxed"]
    assert (boxed["dish [fl oz]"], boxed["middle below rim [in]"], boxed["skin melts again [s]"]) == (
        "1.000",
        "0.1500",
        "90",
    )


def test_the_other_place_is_named_where_it_helps_and_the_share_that_is_as_good(some):
    text = one_line(pour_text(some, units="metric"))
    assert "Bare, room at 20 °C: none of the 2 pours passes (jar shock: 2 of 2)." in text
    assert "Put into the box, 60 °C passes." in text
    assert "within 10 % of the least are as good as the best (~)" in text
    other = study([candidate("bare", 60.0)], [candidate("boxed", 60.0, "too slow")])
    text = one_line(pour_text(other, units="metric"))
    assert "In the box, room at 20 °C: this pour does not pass (too slow: 1 of 1)." in text
    assert "Left bare, 60 °C passes." in text


def test_limits_are_those_of_this_jar():
    def said(**changes):
        one = study([candidate("bare", 60.0)], [candidate("boxed", 60.0)])
        changed = with_overrides(BARE, {key.replace("__", "."): value for key, value in changes.items()})
        return one_line(
            pour_text(PourStudy(**{**_fields(one), "stands": {**one.stands, "bare": changed}}), units="metric")
        )

    assert "shock Glass may crack where wax is more than 42 °C hotter than it (vessel.shock_limit)." in said()
    assert "states no wax.highest_temperature and no wax.fragrance_limit: look at the data sheets" in said()
    tin = said(vessel__material="tinned-steel")
    assert "Metal is safe from thermal shock." in tin
    assert "A first skin that stays on the metal" in tin
    assert "42 °C" not in tin
    assert "crack" not in tin
    stated = said(wax__highest_temperature="90 °C")
    assert "wax Above 90 °C the wax may discolour (wax.highest_temperature)." in stated
    assert "states no wax.fragrance_limit: look" in stated


def _fields(one):
    return {name: getattr(one, name) for name in PourStudy.__dataclass_fields__}


def test_candidates_as_good_on_both_sides_of_the_best_are_named_as_a_range():
    near = NUMBERS["dish_volume_m3"]
    found = [
        candidate("bare", 56.0, dish_volume_m3=2 * near),
        candidate("bare", 58.0, dish_volume_m3=1.05 * near),
        candidate("bare", 60.0),
        candidate("bare", 62.0, dish_volume_m3=1.1 * near),
        candidate("bare", 64.0, dish_volume_m3=2 * near),
        candidate("bare", 66.0, dish_volume_m3=1.01 * near),
    ]
    text = pour_text(study(found, [candidate("boxed", 60.0)]), units="metric")
    # 66 °C is as good by itself, but 64 °C between is not.
    assert "58 to 62 °C, say 60 °C" in text
    told = list(csv.DictReader(io.StringIO(pour_csv(study(found, [candidate("boxed", 60.0)]), units="metric"))))
    assert [row["recommended"] for row in told] == ["no", "as good", "yes", "as good", "no", "no", "yes"]
    assert [line.split()[1] for line in text.splitlines() if line.startswith("~")] == ["58", "62"]


def rows(*faults):
    points = sweep_points([BARE], {"room.temperature": ["20 °C", "22 °C", "24 °C"]})
    given = [*faults, None, None, None]
    return [
        SweptRow(point=point, answers=None if fault else answers(), fault=fault)
        for point, fault in zip(points, given, strict=False)
    ]


def test_a_row_of_a_sweep_has_its_numbers_in_the_units_of_the_workshop():
    def first(units):
        return next(line for line in sweep_text(rows(), ["x"], units=units).splitlines() if "°" in line).split()

    assert first("metric") == ["20", "°C", "3:31", "1:30", "1.3", "2.5", "88.72", "1.5"]
    assert first("us") == ["68", "°F", "3:31", "1:30", "1/16", "3/32", "3.000", "1.5"]
    row = next(csv.DictReader(io.StringIO(sweep_csv(rows(), ["x"], units="us"))))
    assert (row["dish volume [fl oz]"], row["hole [in]"], row["fully set [s]"]) == ("1", "0.1", "12660.00")


def test_points_that_failed_alike_are_told_once_and_counted():
    text = one_line(sweep_text(rows("told so", "told so"), ["x"], units="metric"))
    assert "2 of 3 points failed: room.temperature = 20 °C (and 1 more): told so" in text

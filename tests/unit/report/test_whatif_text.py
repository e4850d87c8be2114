"""The table of `coolsim whatif`, to the letter, and its plain data: of outcomes that are made up."""

from coolsim.answers.catalogue import BY_KEY
from coolsim.report.text.page import text_of
from coolsim.report.text.whatif import whatif_blocks, whatif_data
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.studies.pour.changes import change_to
from coolsim.studies.workshop.whatif import Outcome, WhatIf

BARE, BOXED = built_in_pair()
TEXT = """\
What if: Tumbler, bare on the bench

   What if                                    set   sunk middle
                                             h:mm     mL     mm
------------------------------------------------------------------------------
   As it is                                  2:00   4.00    5.0
   ! Rings at the wall
 1 Warm the jar to 36 °C (now 21 °C)         2:10   3.00    4.0  better
     No more rings, 25 % less sunk, but set 0:10 h later
 2 Fill only 75 % as high (44.5 mm, now      1:30   3.99    5.0  better
   59.4 mm)
     Set 0:30 h sooner
 3 Put it into the box                       2:01   4.01    5.1  no difference
     Top and time no different
 4 Take another wax: coconut blend (now      2:30   3.00    4.0  worse
   soft vegetable)
   ! Beyond the shock limit
     25 % less sunk, but set 0:30 h later
 5 Pour cooler, at 55 °C (now 60 °C)         1:50   5.00    6.0  worse
     25 % more sunk, though set 0:10 h sooner
 6 Cool the room to 17 °C (now 21 °C)           –      –      –  no answer
     Told so
------------------------------------------------------------------------------

Better means: fewer faults (a first skin that stays as rings, a pour beyond a
limit, wax that is not set); where they are the same, less sunk; where that is
no different, sooner set. No different: times within 1 % or 5 minutes, tops
within 2 %. Sunk: sunk volume and hidden cavity together, as `coolsim pour`
ranks its pours."""


def outcome(name=None, value=None, *, minutes, sunk, middle, rings=True, scenario=BARE):
    answers = {
        **dict.fromkeys(BY_KEY),
        "skin_formed_s": 5.0,
        "skin_melted_again_s": None if rings else 60.0,
        "fully_set_s": 60.0 * minutes,
        "dish_volume_m3": 0.75e-6 * sunk,
        "cavity_volume_m3": 0.25e-6 * sunk,
        "depth_m": 1e-3 * middle,
    }
    change = None if name is None else change_to(BARE if name != "put it into the box" else BOXED, name, value)
    return Outcome(change=change, scenario=scenario, answers=answers, result=None)


def found():
    cold = outcome("cool the room", 17.0, minutes=1, sunk=1, middle=1)
    shocked = with_overrides(BARE, {"pour.temperature": "65 °C"})
    return WhatIf(
        usual=outcome(minutes=120, sunk=4.0, middle=5.0),
        tried=(
            outcome("warm the jar", 36.0, minutes=130, sunk=3.0, middle=4.0, rings=False),
            outcome("fill less", 0.75, minutes=90, sunk=3.99, middle=5.0),
            outcome("put it into the box", minutes=121, sunk=4.01, middle=5.1),
            outcome("other wax", "coconut-blend", minutes=150, sunk=3.0, middle=4.0, scenario=shocked),
            outcome("pour cooler", 55.0, minutes=110, sunk=5.0, middle=6.0),
            Outcome(change=cold.change, scenario=BARE, answers=None, result=None, fault="told so"),
        ),
    )


def test_each_change_says_what_it_does_and_what_speaks_against_it():
    told = [block for block in whatif_blocks(found(), units="metric") if not getattr(block, "rests", False)]
    assert text_of(told) == TEXT


def test_what_the_numbers_rest_on_is_said_apart():
    rests = " ".join(block.text for block in whatif_blocks(found(), units="us") if getattr(block, "rests", False))
    assert "the box here is that of the built-in pair" in rests
    assert "a gap of 15/32 in" in rests
    assert "The other wax has the values of the catalogue" in rests


def test_plain_data_have_what_the_table_has():
    data = whatif_data(found())
    assert data["usual"]["faults"] == ["skin stays"]
    warm, less, *_, cold = data["changes"]
    assert (warm["change"], warm["value_C"], warm["verdict"], warm["ends"]) == (
        "warm the jar", 36.0, "better", ["skin stays"],
    )  # fmt: skip
    assert (less["share"], less["fully_set_s"]) == (0.75, 5400.0)
    assert abs(less["sunk_and_cavity_m3"] - 3.99e-6) < 1e-12
    assert (cold["verdict"], cold["fault"], cold["answers"]) == ("no answer", "told so", None)

"""Each key of a scenario reaches the model: one that is read, checked and then left behind would change nothing."""

from dataclasses import replace

import pytest

from coolsim.model.problem import Accuracy, Melt, Thresholds
from coolsim.model.softness import Softness
from coolsim.scenario import changed, with_overrides
from coolsim.scenario.keys import all_keys
from coolsim.scenario.values import Flag, Number, Quantity
from coolsim.units import parse_quantity
from tests.support.pair import closed_pair

BASE = with_overrides(
    closed_pair()[1],
    {
        "batch.jars": 6,
        "batch.flash_point": "120 °C",
        "day.changes": [["3 h", "lid on"]],
        "surround.cover_thickness": "10 mm",
        "surround.cover_conductivity": "0.05 W/mK",
        "wax.highest_temperature": "80 °C",
        "wax.fragrance_limit": "80 °C",
        "pour.clock": "10:00",
        "vessel.temperature": "24 °C",
        "support.temperature": "20 °C",
        "melting.start": "18 °C",
        "prices.wax": "9 per kg",
        "prices.fragrance": "80 per kg",
        "prices.jar": "1 each",
        "prices.wick": "0.15 each",
        "prices.lid": "0.40 each",
        "prices.label": "0.20 each",
    },
)


def moved():
    """Each number, quantity and flag that has a value, with another one [SI, °C]."""
    for key, one in all_keys().items():
        if key == "pour.thickest":
            # A limit of the pour, in no model.
            continue
        table, _, name = key.rpartition(".")
        held = getattr(BASE.file, table, None) if table else BASE.file
        now = getattr(held, name, None)
        if now is None or not isinstance(one.spec, Flag | Number | Quantity):
            continue
        if isinstance(one.spec, Flag):
            yield key, not now
        elif isinstance(one.spec, Number):
            yield key, 1.02 * now if 1.02 * now <= one.spec.high else 0.98 * now
        else:
            # A fiftieth more, of a temperature half a kelvin; from nothing on to a hundredth of the most.
            more = now + 0.5 if one.spec.kind == "temperature" else 1.02 * now
            most = parse_quantity(one.spec.high, one.spec.kind)
            yield key, (more if more <= most else 0.98 * now) or 0.01 * most


MOVED = dict(moved())


def test_these_are_nearly_all_keys_that_hold_a_number():
    numbers = [key for key, one in all_keys().items() if isinstance(one.spec, Flag | Number | Quantity)]
    # The rest are alternatives of others, or the table [places].
    assert len(MOVED) > 0.6 * len(numbers)


@pytest.mark.parametrize("key", MOVED)
def test_another_value_makes_another_model(key):
    found = changed(BASE, {key: MOVED[key]})
    assert replace(found, data={}, file=BASE.file) != replace(BASE, data={})


def test_answers_melt_and_accuracy_are_those_that_were_stated():
    stated = {
        "answers.touch": "2 kPa",
        "answers.touch_depth": "5 mm",
        "answers.wick": "3 kPa",
        "answers.carry": "500 Pa",
        "answers.cool_within": "4 K",
        "answers.skin_margin": "2 K",
        "answers.flat_within": "2 mm",
        "answers.pit_from": "4 mm",
        "answers.void_shows": "20 %",
        "answers.cavity_from": "1 mL",
        "melt.mixing": "effective",
        "melt.relaxation": "80 s",
        "melt.flows_above": "80 %",
        "mush.stiffness": "5 MPa",
        "mush.exponent": 3.0,
        "mush.gels_at": "5 %",
        "mush.suction": "0.8 bar",
        "melt.conductivity_factor": 7.0,
        "run.refinement": 0.7,
        "run.tolerance": "0.3 K",
    }
    jar = with_overrides(BASE, stated).jar
    assert jar.answers == Thresholds(
        touch=2e3,
        touch_depth=5e-3,
        wick=3e3,
        carry=500.0,
        cool_within=4.0,
        skin_margin=2.0,
        flat_within=2e-3,
        pit_from=4e-3,
        void_shows=0.2,
        cavity_from=1e-6,
    )
    assert jar.melt == Melt(
        mixing="effective",
        relaxation=80.0,
        flows_above=0.8,
        conductivity_factor=7.0,
        softness=Softness(stiffness=5e6, exponent=3.0, gels_at=0.05, suction=8e4),
    )
    assert jar.accuracy == Accuracy(refinement=0.7, tolerance=0.3)

"""Each key of a scenario reaches the model: one that is read, checked and then left behind would change nothing."""

from dataclasses import replace

import pytest

from coolsim.model.problem import Accuracy, Melt, Thresholds
from coolsim.scenario import built_in_pair, changed, with_overrides
from coolsim.scenario.keys import all_keys
from coolsim.scenario.values import Flag, Number, Quantity
from coolsim.units import parse_quantity

BASE = with_overrides(
    built_in_pair()[1],
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
    },
)


def moved():
    """Each number, quantity and flag that has a value, with another one [SI, °C]."""
    for key, one in all_keys().items():
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
            yield key, more or 0.01 * parse_quantity(one.spec.high, one.spec.kind)


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
        "answers.skin_holds": "5 mm",
        "answers.cool_within": "4 K",
        "answers.skin_margin": "2 K",
        "answers.flat_within": "2 mm",
        "answers.pit_from": "4 mm",
        "answers.cavity_from": "1 mL",
        "melt.mixing": "effective",
        "melt.relaxation": "80 s",
        "melt.flows_above": "80 %",
        "melt.feeds_above": "30 %",
        "melt.conductivity_factor": 7.0,
        "run.refinement": 0.7,
        "run.tolerance": "0.3 K",
    }
    jar = with_overrides(BASE, stated).jar
    assert jar.answers == Thresholds(
        skin_holds=5e-3, cool_within=4.0, skin_margin=2.0, flat_within=2e-3, pit_from=4e-3, cavity_from=1e-6
    )
    assert jar.melt == Melt(
        mixing="effective", relaxation=80.0, flows_above=0.8, feeds_above=0.3, conductivity_factor=7.0
    )
    assert jar.accuracy == Accuracy(refinement=0.7, tolerance=0.3)

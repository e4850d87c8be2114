"""Lists and ranges as a person writes them: exact values, and one clear message for each slip."""

import pytest

from coolsim.errors import ScenarioError
from coolsim.scenario.keys import key_of
from coolsim.scenario.ranges import swept_values
from coolsim.scenario.values import raw_quantity
from coolsim.units import parse_quantity


@pytest.mark.parametrize(
    ("key", "text", "values"),
    [
        ("room.temperature", "15C:27C:6K", ("15 °C", "21 °C", "27 °C")),
        ("room.temperature", "15C:27C:6C", ("15 °C", "21 °C", "27 °C")),
        # The last value only if whole steps reach it.
        ("room.temperature", "15C:20C:2K", ("15 °C", "17 °C", "19 °C")),
        # Without a step: five, evenly spaced.
        ("room.temperature", "15C:27C", ("15 °C", "18 °C", "21 °C", "24 °C", "27 °C")),
        ("room.temperature", "59F:77F:9F", ("15 °C", "20 °C", "25 °C")),
        ("room.temperature", "18C", ("18C",)),
        ("room.temperature", "20C:20C", ("20 °C",)),
        ("vessel.wall", "2 mm, 1/8 in", ("2 mm", "1/8 in")),
        ("surround.flaps", "open,closed", ("open", "closed")),
        ("surround.side_layers", "1:3", (1, 2, 3)),
        ("vessel.emissivity", "0.1:0.3:0.1", (0.1, 0.2, 0.3)),
        ("melt.flows_above", "50%:90%:20%", ("50 %", "70 %", "90 %")),
        # A time in hours and minutes is one value, not a range.
        ("run.horizon", "2:30", ("2:30",)),
        ("run.horizon", "2h:3h:30min", ("7200 s", "9000 s", "10800 s")),
        ("invented", "true,false", (True, False)),
    ],
)
def test_a_list_or_range_gives_its_values(key, text, values):
    assert swept_values(key, text) == values
    for value in values:
        key_of(key).spec.read(value)


@pytest.mark.parametrize(
    ("key", "text", "told"),
    [
        ("room.temprature", "15C", "Did you mean 'room.temperature'"),
        ("temperature", "15C", "'room.temperature'|'pour.temperature'|'vessel.temperature'"),
        ("room.temperature", " ", "found no values"),
        ("room.temperature", "27C:15C", "runs backwards"),
        ("room.temperature", "15C:", "a part missing"),
        ("room.temperature", "15C:27C:0K", "a step above zero"),
        ("room.temperature", "15C:27C:-1K", "a step above zero"),
        ("room.temperature", "15C:27C:0.001K", "larger step"),
        ("room.temperature", "15mm:27mm", "a unit of a length"),
        ("room.temperature", "15:27", "no unit"),
        ("room.temperature", "15C:99C", "from -20 °C to 60 °C"),
        ("room.temperature", "15C,15C", "twice"),
        ("room.temperature", "1C:2C:3K:4K", "Give"),
        ("surround.flaps", "open:closed", "a list with commas"),
        ("surround.flaps", "opened", "did you mean 'open'"),
        ("surround.side_layers", "1:2:0.5", "give a number"),
        ("vessel.emissivity", "0.1:nan", "give a number"),
    ],
)
def test_a_slip_gets_one_message_that_names_the_key(key, text, told):
    with pytest.raises(ScenarioError, match=told) as caught:
        swept_values(key, text)
    assert len(caught.value.faults) == 1
    assert key in str(caught.value)


@pytest.mark.parametrize(
    ("value", "kind"), [(1 / 3, "temperature"), (0.0123456789, "length"), (12345.678, "duration"), (1e-4, "volume")]
)
def test_a_written_quantity_reads_back_to_ten_digits(value, kind):
    # Ten digits are written; half of the last one may be lost.
    assert parse_quantity(raw_quantity(value, kind), kind) == pytest.approx(value, rel=1e-9)

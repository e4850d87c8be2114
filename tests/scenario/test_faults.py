"""One test case for each fault that a scenario can have: key, what was found, what to do."""

import datetime

import pytest

from coolsim.errors import ScenarioError
from coolsim.scenario import scenario_from_data


def faults_of(data):
    with pytest.raises(ScenarioError) as caught:
        scenario_from_data(data, where="jar.toml")
    return caught.value.faults


VALUES = {
    "number without unit": ("vessel.height", 90, "found 90 without a unit, give a length such as '90 mm'."),
    "text without unit": ("vessel.height", "90", "found '90' (no unit), expected a length such as '90 mm'"),
    "wrong unit": ("vessel.height", "90 g", "found '90 g' ('g' is a unit of a mass), expected a length"),
    "unknown unit": ("wax.fragrance_load", "8 percent", "unknown unit 'percent'; did you mean '%'?"),
    "no number": ("room.temperature", "warm", "found 'warm' (no number and unit), expected a temperature"),
    "negative": ("vessel.wall", "-3 mm", "found '-3 mm', give a value from 0.1 mm to 15 mm."),
    "zero": ("vessel.diameter", "0 mm", "found '0 mm', give a value from 20 mm to 300 mm."),
    "far too large": ("vessel.diameter", "5 m", "found '5 m', give a value from 20 mm to 300 mm."),
    "text nan": ("vessel.height", "nan mm", "found 'nan mm' (no number and unit)"),
    "nan": ("vessel.height", float("nan"), "found nan without a unit"),
    "infinite": ("vessel.emissivity", float("inf"), "found inf, give a number from 0.02 to 1."),
    "nan number": ("vessel.emissivity", float("nan"), "found nan, give a number from 0.02 to 1."),
    "overflow": ("vessel.height", "1e999 mm", "found '1e999 mm' (too large for a number)"),
    "very long quantity": ("vessel.height", "9" * 5000 + " mm", f"found '{'9' * 60}'…, give a length such as '90 mm'."),
    "truth value for a quantity": ("vessel.height", True, "found true, give a length such as '90 mm'."),
    "list for a quantity": ("vessel.height", ["90 mm"], "found a list of 1, give a length such as '90 mm'."),
    "date for a quantity": ("vessel.height", datetime.date(2026, 1, 2), "found a date, give a length"),
    "table for a quantity": ("vessel.height", {"mm": 90}, "found a table, give a length such as '90 mm'."),
    "text for a number": ("vessel.emissivity", "0.9", "found the text '0.9', give a number from 0.02 to 1, without"),
    "huge number": ("films.side_factor", 16**5000, "found a very large number, give a number from 0.2 to 5."),
    "count too large": ("surround.side_layers", 99, "found 99, give a whole number from 1 to 6."),
    "count with decimals": ("surround.side_layers", 1.5, "found 1.5, give a whole number from 1 to 6."),
    "count as truth value": ("surround.side_layers", True, "found true, give a whole number from 1 to 6."),
    "no exposed side": ("surround.exposed_sides", 0, "found 0, give a whole number from 1 to 4."),
    "stiffness without unit": ("mush.stiffness", 3, "found 3 without a unit, give a pressure such as '3 MPa'."),
    "stiffness as a length": (
        "mush.stiffness",
        "3 mm",
        "found '3 mm' ('mm' is a unit of a length), expected a pressure",
    ),
    "suction over an atmosphere": ("mush.suction", "2 bar", "found '2 bar', give a value from 0 Pa to 101 kPa."),
    "all solid before it gels": ("mush.gels_at", "60 %", "found '60 %', give a value from 0 % to 50 %."),
    "exponent": ("mush.exponent", 0.5, "found 0.5, give a number from 1 to 8."),
    "touch": ("answers.touch", "0 Pa", "found '0 Pa', give a value from 1 Pa to 100 kPa."),
    "negative gap": ("surround.gap", "-1 mm", "found '-1 mm', give a value from 1 mm to 80 mm."),
    "choice": ("surround.flaps", "close", "found 'close', give one of 'open', 'closed'; did you mean 'closed'?"),
    "choice by case": ("surround.flute", "b", "found 'b', give one of 'E', 'B', 'C'; did you mean 'B'?"),
    "unlike any choice": ("units", "stones", "found 'stones', give one of 'metric', 'us'."),
    "unknown wax": ("wax.kind", "parafin", "did you mean 'paraffin'?"),
    "unknown material": ("vessel.material", "glas", "found 'glas', which is not in the catalogue (glass, "),
    "flag as text": ("invented", "yes", "found 'yes', give true or false, without quotes."),
    "title as number": ("title", 5, "found 5, give a text in quotes."),
    "empty title": ("title", " ", "found 0 characters, give a text of 1 to 100."),
    "long title": ("title", "x" * 101, "found 101 characters, give a text of 1 to 100."),
    "title in two lines": ("title", "a\nb", "found 'a\\nb', give printable characters, in one line."),
    "control character": ("note", "a\x1b[31m", "found 'a\\x1b[31m', give line breaks and printable characters."),
    "hot glass": ("vessel.temperature", "150 °C", "found '150 °C', give a value from -20 °C to 120 °C."),
    "horizon": ("run.horizon", "200 h", "found '200 h', give a value from 1 h to 72 h."),
    "too much fragrance": ("wax.fragrance_load", "20 %", "found '20 %', give a value from 0 % to 15 %."),
    "no map times": ("report.map_times", [], 'found an empty list, give 1 to 8 times such as ["30 min", "2:15"].'),
    "map times out of order": ("report.map_times", ["2 h", "1 h"], "found a list of 2 out of order, give the times"),
    "map time": ("report.map_times", ["1 h", 7200], "item 2: found 7200 without a unit, give a duration such as"),
    "probes": ("report.probes", {}, "found an empty table, give 1 to 12 points such as"),
    "probe with one number": ("report.probes", {"rim": ["3 mm"]}, "point 'rim': found a list of 1, give distance"),
    "probe without unit": ("report.probes", {"rim": ["3 mm", 4]}, "point 'rim': found 4 without a unit"),
    "freezing is no list": ("wax.freezing", "45 °C", "found '45 °C', give rows such as"),
    "freezing row": ("wax.freezing", [["45 °C", "100 %"], ["35 °C"]], "row 2: found a list of 1, give rows such as"),
    "freezing value": ("wax.freezing", [["45 °C", "100 %"], ["35 °C", 0]], "row 2: found 0 without a unit"),
}


@pytest.mark.parametrize(("key", "value", "message"), VALUES.values(), ids=VALUES)
def test_a_bad_value_is_the_only_fault_and_says_key_finding_and_advice(boxed, changed, key, value, message):
    (fault,) = faults_of(changed(boxed, {key: value}))
    assert fault.startswith(f"jar.toml: {key}: ")
    assert message in fault


TOGETHER = {
    "freezing not falling in temperature": (
        {"wax.freezing": [["45 °C", "100 %"], ["46 °C", "50 %"], ["35 °C", "0 %"]]},
        "jar.toml: wax.freezing: found 50 % liquid at 46 °C next to 100 % at 45 °C: not monotone, give rows whose"
        " temperature and liquid share fall together.",
    ),
    "freezing not falling in share": (
        {"wax.freezing": [["45 °C", "100 %"], ["40 °C", "20 %"], ["38 °C", "30 %"], ["35 °C", "0 %"]]},
        "jar.toml: wax.freezing: found 30 % liquid at 38 °C next to 20 % at 40 °C: not monotone",
    ),
    "freezing without its end": (
        {"wax.freezing": [["45 °C", "100 %"], ["35 °C", "10 %"]]},
        "jar.toml: wax.freezing: found 10 to 100 % liquid, give rows from 100 % to 0 %.",
    ),
    "freezing stated twice": (
        {"wax.freezing": [["45 °C", "100 %"], ["35 °C", "0 %"]], "wax.freezing_ends": "35 °C"},
        "jar.toml: wax.freezing: found freezing_ends as well, give either the rows or the two temperatures.",
    ),
    "freezing ends above its start": (
        {"wax.freezing_ends": "47 °C"},
        "jar.toml: wax.freezing_ends: freezing_ends is 47 °C and freezing_starts 46.5 °C; the end must be the colder.",
    ),
    "impossible wax": (
        {"wax.total_shrinkage": "3 %"},
        "jar.toml: wax.total_shrinkage: total_shrinkage is 3 %, but from 70 down to 20 °C the liquid alone would lose"
        " 3.65 % (expansion_liquid),",
    ),
    "own material without its values": (
        {"support.material": "birch", "support.density": "650 kg/m3"},
        "for a material of your own give conductivity, density and heat_capacity as well",
    ),
    "wall thicker than the radius": (
        {"vessel.wall": "15 mm", "vessel.diameter": "30 mm", "pour.volume": None, "pour.level": "40 mm"},
        "jar.toml: vessel.wall: found 15 mm, too thick for a jar 30 mm wide, give at most 10 mm.",
    ),
    "base thicker than the jar is high": (
        {"vessel.base": "29 mm", "vessel.height": "34 mm", "pour.volume": None, "pour.level": "5 mm"},
        "jar.toml: vessel.base: found 29 mm, too thick for a jar 34 mm high, give at most 24 mm.",
    ),
    "level above the brim": (
        {"pour.volume": None, "pour.level": "80 mm"},
        "jar.toml: pour.level: found a fill 80 mm deep, above the brim at 78 mm over the base, pour less or take a"
        " taller jar.",
    ),
    "volume above the brim": (
        {"pour.volume": "400 mL"},
        "jar.toml: pour.volume: found a fill 101 mm deep, above the brim at 78 mm over the base",
    ),
    "mass above the brim": (
        {"pour.volume": None, "pour.mass": "300 g"},
        "jar.toml: pour.mass: found a fill 85.8 mm deep, above the brim at 78 mm over the base",
    ),
    "hardly any wax": ({"pour.volume": "5 mL"}, "jar.toml: pour.volume: found a fill 1.3 mm deep, pour at least 5 mm."),
    "two fills": (
        {"pour.mass": "100 g"},
        "jar.toml: pour: found volume and mass, give exactly one of level, volume, mass.",
    ),
    "no fill": ({"pour.volume": None}, "jar.toml: pour: found none of them, give exactly one of level, volume, mass."),
    "wax poured too thick": (
        {"pour.temperature": "40 °C"},
        "jar.toml: pour.temperature: found 40 °C, but this wax with its fragrance starts to set at 44 °C, and 14.5 % of"
        " it is solid then, more than still pours (pour.thickest, 10 %), pour it at 42 °C or hotter.",
    ),
    "pour above the limit of the wax": (
        {"wax.highest_temperature": "55 °C"},
        "jar.toml: pour.temperature: found 60 °C, above the limit of the maker of the wax, 55 °C"
        " (wax.highest_temperature), pour it cooler.",
    ),
    "pour above the limit of the fragrance": (
        {"wax.fragrance_limit": "55 °C"},
        "jar.toml: pour.temperature: found 60 °C, above the limit of the fragrance, 55 °C (wax.fragrance_limit), pour"
        " it cooler.",
    ),
    "room in which wax never sets": (
        {"room.temperature": "41 °C"},
        "jar.toml: room.temperature: found 41 °C, but this wax counts as set only below 40 °C: it would never set,"
        " give a room colder than 37 °C.",
    ),
    "room in which wax sets too late": (
        {"room.temperature": "38 °C"},
        "jar.toml: room.temperature: found 38 °C, but this wax counts as set only below 40 °C: it would be within 3 °C"
        " of the room (answers.cool_within), where the run ends, before it has set, give a room colder than 37 °C.",
    ),
    "room in which wax with a bent freezing curve sets too late": (
        # 3.1 kPa move it above 80 % liquid, three quarters up the second piece: 34 + 12 · 60/80 = 43 °C.
        {
            "wax.fragrance_load": None,
            "wax.freezing": [["46 °C", "100 %"], ["34 °C", "20 %"], ["30 °C", "0 %"]],
            "answers.carry": "3.1 kPa",
            "room.temperature": "42 °C",
        },
        "jar.toml: room.temperature: found 42 °C, but this wax counts as set only below 43 °C: it would be within 3 °C"
        " of the room (answers.cool_within), where the run ends, before it has set, give a room colder than 40 °C.",
    ),
    "room in which wax sets just as the run ends": (
        # It holds together from half solid on, midway between 45 and 35 °C: 40 °C, 3 K over the room.
        {
            "wax.fragrance_load": None,
            "wax.freezing": [["45 °C", "100 %"], ["35 °C", "0 %"]],
            "mush.gels_at": "50 %",
            "mush.exponent": 1.0,
            "answers.carry": "1 Pa",
            "room.temperature": "37 °C",
        },
        "jar.toml: room.temperature: found 37 °C, but this wax counts as set only below 40 °C: it would be within 3 °C"
        " of the room (answers.cool_within), where the run ends, before it has set, give a room colder than 37 °C.",
    ),
    "hot air no hotter than the clear point": (
        {"wax.fragrance_load": None, "repair.air": "52 °C"},
        "jar.toml: repair.air: found 52 °C, which never melts a wax that is clear at 53 °C, give hotter air.",
    ),
    "two gaps": (
        {"surround.box_width": "100 mm"},
        "jar.toml: surround: found gap and box_width, give exactly one of gap, box_width.",
    ),
    "no layer": ({"surround.flute": None}, "jar.toml: surround: found none of them, give exactly one of layer, flute."),
    "jar wider than the box": (
        {"surround.gap": None, "surround.box_width": "77 mm"},
        "jar.toml: surround.box_width: found 77 mm, but the jar is 78 mm wide and does not fit the box, give a wider"
        " box.",
    ),
    "box far too wide": (
        {"surround.gap": None, "surround.box_width": "190 mm"},
        "jar.toml: surround.box_width: found 190 mm, a mean gap of 82 mm round the jar, give a narrower box: gaps over"
        " 80 mm",
    ),
    "jar higher than the box": (
        {"surround.headroom": None, "surround.box_height": "85 mm"},
        "jar.toml: surround.box_height: found 85 mm, but the jar is 86 mm high and does not fit the box, give a taller"
        " box.",
    ),
    "box far too high": (
        {"surround.headroom": None, "surround.box_height": "240 mm"},
        "jar.toml: surround.box_height: found 240 mm, 154 mm above the brim, give a lower box: more than 150 mm",
    ),
    "cover on open flaps": (
        {"surround.flaps": "open", "surround.cover_thickness": "10 mm"},
        "jar.toml: surround.cover_thickness: found a cover on open flaps, close the flaps or leave the cover out.",
    ),
    "cover without thickness": (
        {"surround.flaps": "closed", "surround.cover_conductivity": "0.05 W/mK"},
        "jar.toml: surround.cover_conductivity: found without cover_thickness, give both or neither.",
    ),
    "bench that hardly goes on": (
        {"support.reach": "0.002 mm"},
        "jar.toml: support.reach: found 0.002 mm, shorter than 0.1 mm, give 0 mm for none, or a longer one.",
    ),
    "map after the end": (
        {"report.map_times": ["1 h", "3 h"], "run.horizon": "2 h"},
        "jar.toml: report.map_times: found 3:00, after the end of the run at 2:00, give earlier times or a later"
        " run.horizon.",
    ),
    "probe in the air over the wax": (
        {"report.probes": {"top": ["0 mm", "70 mm"]}},
        "jar.toml: report.probes: found 'top' at 0 mm from the axis and 70 mm above the bottom of the wax, which is"
        " neither wax nor glass: the wax reaches 35.5 mm and 59.4 mm, give a point in them.",
    ),
    "probe outside the jar": (
        {"report.probes": {"out": ["40 mm", "10 mm"]}},
        "jar.toml: report.probes: found 'out' at 40 mm from the axis",
    ),
    "unknown key": ({"vessel.diamter": "90 mm"}, "jar.toml: vessel.diamter: unknown key. Did you mean 'diameter'?"),
    "unknown table": ({"vesel.x": 1}, "jar.toml: vesel: unknown key. Did you mean 'vessel'?"),
    "key in the wrong table": ({"room.volume": "1 L"}, "jar.toml: room.volume: unknown key. It belongs under [pour]."),
    "key above the tables": ({"horizon": "10 h"}, "jar.toml: horizon: unknown key. It belongs under [run]."),
    "key that belongs above the tables": (
        {"report.title": "x"},
        "jar.toml: report.title: unknown key. It belongs above the first table.",
    ),
    "key like no other": (
        {"pour.zzz": 1},
        "jar.toml: pour.zzz: unknown key. Here there are temperature, level, volume, mass, thickest, clock.",
    ),
    "odd key": ({"pour.a b": 1}, "jar.toml: pour.'a b': unknown key."),
    "missing key": ({"vessel.height": None}, "jar.toml: vessel.height: missing. Give a length such as '90 mm'."),
    "missing choice": ({"wax.kind": None}, 'jar.toml: wax.kind: missing. Give "soft-vegetable" or "paraffin" or'),
    "missing table": ({"support": None}, "jar.toml: support: missing. Add a table [support] with material, thickness."),
    "value where a table is expected": (
        {"vessel": "glass"},
        "jar.toml: vessel: found 'glass' where a table is expected, write its keys under [vessel].",
    ),
    "list of tables": (
        {"vessel": [{"height": "1 mm"}]},
        "jar.toml: vessel: found a list of 1 where a table is expected, write its keys under [vessel].",
    ),
}


@pytest.mark.parametrize(("changes", "message"), TOGETHER.values(), ids=TOGETHER)
def test_values_that_do_not_fit_each_other_are_one_fault(boxed, changed, changes, message):
    (fault,) = faults_of(changed(boxed, changes))
    assert message in fault


def test_all_faults_of_a_file_are_reported_at_once(boxed, changed):
    faults = faults_of(
        changed(
            boxed,
            {
                "vessel.diamter": "90 mm",
                "vessel.foot": 25,
                "wax.freezing": [["45 °C", 100], ["35 °C", 0]],
                "pour.volume": "500 mL",
                "surround.gap": None,
                "surround.box_width": "70 mm",
                "room": {},
                "support": None,
                "run.horizon": "2 h",
                "report.map_times": ["3 h"],
            },
        )
    )
    keys = [fault.split(": ")[1] for fault in faults]
    assert sorted(keys) == [
        "pour.volume",
        "report.map_times",
        "support",
        "surround.box_width",
        "vessel.diamter",
        "vessel.foot",
        "wax.freezing",
        "wax.freezing",
    ]


def test_a_key_that_is_at_fault_does_not_bring_faults_of_others_with_it(boxed, changed):
    (fault,) = faults_of(changed(boxed, {"vessel.wall": "three"}))
    assert fault.startswith("jar.toml: vessel.wall: ")


@pytest.mark.parametrize(
    "changes",
    [
        {"wax.fragrance_load": None, "pour.temperature": "46.5 °C"},
        {"wax.highest_temperature": "60 °C", "wax.fragrance_limit": "60 °C"},
        {"run.horizon": "3 h", "report.map_times": ["3 h"]},
        {"mush.suction": "0 Pa", "mush.gels_at": "0 %", "mush.stiffness": "10 GPa", "mush.exponent": 1},
        {"room.temperature": "36.7 °C"},
    ],
    ids=["start of freezing", "limits", "last map", "mush", "room"],
)
def test_what_stands_just_at_its_limit_is_allowed(boxed, changed, changes):
    assert scenario_from_data(changed(boxed, changes), where="jar.toml").title


def test_messages_use_the_units_of_the_scenario(boxed, changed):
    (fault,) = faults_of(changed(boxed, {"units": "us", "pour.temperature": "100 °F"}))
    assert "found 100 °F, but this wax with its fragrance starts to set at 112 °F" in fault


def test_data_that_is_no_table_is_refused():
    assert faults_of([1]) == ("jar.toml: found a list of 1. A scenario is a table of tables.",)


def test_a_key_that_is_no_text_is_refused(boxed):
    boxed["vessel"][3] = "x"
    (fault,) = faults_of(boxed)
    assert "found a key that is not a text, give texts as keys" in fault
